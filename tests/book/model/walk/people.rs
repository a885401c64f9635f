//! Several people at one book, presses that are repeated, and a day that ends early.

use std::collections::BTreeSet;

use longpoint::book::{Assembly, BookError, Delivery, Stamp};
use longpoint::measure::Length;

use super::super::Event;
use super::Walk;

impl Walk {
    /// Somebody else takes a turn.
    pub(super) fn other(&mut self) {
        self.stamp.by = if self.stamp.by == "Ana" { "Ben" } else { "Ana" }.to_owned();
        *self.seen.done.entry("other").or_default() += 1;
    }

    /// Undoes the last step; where that is somebody else's, only by its number.
    pub(super) fn undo(&mut self) {
        // The beginning is not undone here: without files there is no shop.
        let Some((before, by)) = self.before.pop() else { return };
        let mut asked = None;
        if by != self.stamp.by {
            let refused = self.book.undo(None, &self.stamp).unwrap_err();
            let words = refused.to_string();
            assert!(refused.is_wrong_input() && words.contains(&format!("by {by} ")), "{words}");
            let number = words.split("(step ").nth(1).and_then(|rest| rest.split(')').next());
            asked = Some(number.unwrap().parse().unwrap());
            *self.seen.done.entry("undo of another's").or_default() += 1;
        }
        let done = self.book.undo(asked, &self.stamp).unwrap();
        assert_eq!(done.who, by);
        self.model = before;
        *self.seen.done.entry("undo").or_default() += 1;
    }

    /// The day can be finished, whatever happened: tried, and undone again.
    pub(super) fn can_be_finished(&mut self, event: &Event) {
        if self.model.day.is_some() {
            let stamp = Stamp { token: String::new(), ..self.stamp.clone() };
            let done = self.book.finish(None, ("", true), &stamp);
            assert!(done.is_ok(), "after {event:?}: {done:?}");
            self.book.undo(None, &stamp).unwrap();
        }
    }

    /// Somebody joins a copy of which all rails are there, or fits it.
    pub(super) fn make(&mut self, copy: u8, fitted: bool) -> Option<&'static str> {
        let all = self.book.in_work(self.today()).unwrap();
        let of = super::pick(&all, usize::from(copy))?;
        let made = if fitted { Assembly::Fitted } else { Assembly::Joined };
        let done = self.book.make(&of.frame, Some(of.copy), made, &self.stamp);
        self.allowed(done, of.is_complete() && of.made < Some(made))?;
        let rails = of.rails.iter().map(|(_, rail)| rail.id()).collect();
        self.model.made.insert((of.frame, of.copy), (made, rails));
        Some(made.word())
    }

    /// The copies at the bench whose rails are in them: each step compares them with what
    /// was said.
    pub(super) fn joined(&self) -> BTreeSet<(String, u32)> {
        let day = self.model.day.iter().flat_map(|day| &day.copies);
        let at_bench: BTreeSet<(String, u32)> = day.cloned().collect();
        let all = self.book.in_work(self.today()).unwrap();
        let made = all.into_iter().filter(|of| of.made.is_some()).map(|of| (of.frame, of.copy));
        made.filter(|of| at_bench.contains(of)).collect()
    }

    /// What was joined or fitted has all its rails, and is so as long as they are those.
    pub(super) fn what_is_made_stays_made(&self, event: &Event) {
        for of in self.book.in_work(self.today()).unwrap() {
            let said = self.model.made.get(&(of.frame.clone(), of.copy));
            let rails: BTreeSet<i64> = of.rails.iter().map(|(_, rail)| rail.id()).collect();
            let expected = said.filter(|(_, own)| *own == rails).map(|(made, _)| *made);
            assert_eq!(of.made, expected, "after {event:?}: {} {}", of.frame, of.copy);
            assert!(of.made.is_none() || of.is_complete(), "after {event:?}: {of:?}");
        }
    }

    /// The answer to a press was lost, and it is pressed again: whatever it was, it is
    /// one step, and the book says which.
    pub(super) fn again(&mut self, what: u8) {
        let come = |length: Length| Delivery {
            moulding: "ASH".to_owned(),
            lengths: vec![length],
            lot: "T".to_owned(),
            place: "bay 1".to_owned(),
            flaws: Vec::new(),
            line: None,
        };
        let kept = self.model.clone();
        let length = Length::from_mm(600 + i64::from(what));
        let first = self.book.receive(&come(length), &self.stamp).unwrap();
        let stick = first.sticks[0].clone();
        let (moulding, place) = (stick.moulding, stick.place);
        let piece = super::Piece { length, moulding, place, at_bench: false };
        self.model.came += length;
        self.model.sticks.insert(stick.id.clone(), piece);
        self.before.push((kept, self.stamp.by.clone()));
        self.seen.steps += 1;
        let same = |done: Result<(), BookError>| match done {
            Err(BookError::Repeated(done)) => assert_eq!(done.what, "receive"),
            other => panic!("it is the same press: {other:?}"),
        };
        same(self.book.receive(&come(length), &self.stamp).map(drop));
        same(self.book.scrap(&[stick.id], &self.stamp).map(drop));
        same(self.book.undo(None, &self.stamp).map(drop));
        let later = Stamp { at: self.stamp.at.tomorrow().unwrap(), ..self.stamp.clone() };
        same(self.book.receive(&come(length), &later).map(drop));
        *self.seen.done.entry("again").or_default() += 1;
    }
}
