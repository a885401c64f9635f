//! Walks the book and the model through the same events.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use jiff::ToSpan;
use longpoint::book::{Book, BookError, Delivery, Stamp, Wanted};
use longpoint::measure::Length;
use longpoint::plan::{Wishes, plan_as_wished};
use longpoint::shop::{Flaw, Shop};

use super::super::shops::{Files, TODAY, begin, files, limits, read, stamp};
use super::Event;
use super::day::{Day, Lay, Model, Piece, State};

/// What happened.
#[derive(Debug, Default)]
pub struct Seen {
    pub steps: usize,
    pub done: BTreeMap<&'static str, usize>,
}

struct Walk {
    book: Book,
    dir: tempfile::TempDir,
    model: Model,
    /// What the model was before each step that is not undone.
    before: Vec<Model>,
    stamp: Stamp,
    tickets: u32,
    crashes: usize,
    seen: Seen,
}

pub fn through(events: &[Event]) -> Seen {
    let dir = tempfile::tempdir().unwrap();
    let book = begin(dir.path(), &files());
    let shop = read(&files());
    let mut model = Model::default();
    for stick in &shop.rack {
        let (length, moulding, place) = (stick.length, stick.moulding.clone(), stick.place.clone());
        model.came += length;
        model.sticks.insert(stick.id.clone(), Piece { length, moulding, place, at_bench: false });
    }
    for frame in &shop.frames {
        model.pending.insert(frame.id.clone(), (1..=frame.copies).collect());
    }
    model.tickets = String::from_utf8(files()["frames.csv"].clone()).unwrap();
    let (before, stamp) = (Vec::new(), stamp());
    let seen = Seen::default();
    let mut walk = Walk { book, dir, model, before, stamp, tickets: 100, crashes: 0, seen };
    for event in events {
        walk.stamp.at = walk.stamp.at.checked_add(7.hours()).unwrap();
        walk.live(event);
        walk.agree(event);
    }
    walk.seen
}

fn pick<T: Clone>(from: &[T], number: usize) -> Option<T> {
    if from.is_empty() { None } else { Some(from[number % from.len()].clone()) }
}

impl Walk {
    fn shop(&self) -> Shop {
        self.book.shop().unwrap()
    }

    fn live(&mut self, event: &Event) {
        let kept = self.model.clone();
        let what = match event {
            Event::Receive(length, count) => self.receive(*length, *count),
            Event::Tickets(size, alike) => self.tickets(*size, *alike),
            Event::Take => self.take(),
            Event::Cut(stick, to) => self.cut(*stick, *to),
            Event::CutAll => self.cut_all(),
            Event::Spoil(stick, cut) => self.spoil(*stick, *cut),
            Event::Flaw(stick, at) => self.flaw(*stick, *at),
            Event::Replan => self.replan(),
            Event::Finish(rest_back) => self.finish(*rest_back),
            Event::PutBack => self.put_back(),
            Event::Undo => return self.undo(),
            Event::Count(place, stick, length) => self.count(*place, *stick, *length),
            Event::Scrap(stick) => self.scrap(*stick),
            Event::Crash => return self.crash(),
        };
        match what {
            Some(what) => {
                self.before.push(kept);
                self.seen.steps += 1;
                *self.seen.done.entry(what).or_default() += 1;
            }
            None => self.model = kept,
        }
    }

    fn agree(&self, event: &Event) {
        let rack = self.book.rack(&Wanted::default()).unwrap();
        let found: BTreeMap<String, Piece> = rack
            .into_iter()
            .map(|on| {
                let at_bench = on.job.is_some();
                let (length, moulding, place) =
                    (on.stick.length, on.stick.moulding, on.stick.place);
                (on.stick.id, Piece { length, moulding, place, at_bench })
            })
            .collect();
        let mut expected = self.model.sticks.clone();
        expected.retain(|_, piece| piece.length.is_positive());
        assert_eq!(found, expected, "after {event:?}");
        let pile: BTreeMap<String, usize> = self
            .book
            .snapshot()
            .unwrap()
            .shop
            .frames
            .iter()
            .map(|frame| (frame.id.clone(), frame.copies as usize))
            .collect();
        let pending = self.model.pending.iter().filter(|(_, copies)| !copies.is_empty());
        let pending: BTreeMap<String, usize> =
            pending.map(|(frame, copies)| (frame.clone(), copies.len())).collect();
        assert_eq!(pile, pending, "after {event:?}");
        let bench = self.book.bench().unwrap();
        assert_eq!(bench.len(), usize::from(self.model.day.is_some()));
        let owed: BTreeSet<_> = bench
            .iter()
            .flat_map(|plan| &plan.owed)
            .map(|owed| (owed.frame.clone(), owed.copy, owed.layer, owed.side))
            .collect();
        assert_eq!(owed, self.model.owed(&self.shop()), "after {event:?}");
        let audit = self.book.audit().unwrap();
        assert!(audit.balances(), "after {event:?}: {:?}", audit.faults);
        let sums = (audit.came, audit.rails, audit.spoiled);
        assert_eq!(
            sums,
            (self.model.came, self.model.rails, self.model.spoiled),
            "after {event:?}"
        );
    }

    /// `None`, if the book rightly refuses.
    fn allowed<T>(&self, done: Result<T, BookError>, expected: bool) -> Option<T> {
        match done {
            Ok(done) => {
                assert!(expected, "the book should have refused");
                Some(done)
            }
            Err(error) => {
                assert!(error.is_wrong_input(), "{error}");
                assert!(!expected, "the book refused: {error}");
                None
            }
        }
    }

    fn receive(&mut self, length: u16, count: u8) -> Option<&'static str> {
        let length = Length::from_nm(300_000_000 + i64::from(length) * 40_001);
        let moulding = if count % 2 == 0 { "ASH" } else { "OAK" };
        let delivery = Delivery {
            moulding: moulding.to_owned(),
            lengths: vec![length; usize::from(count)],
            lot: if count == 3 { String::new() } else { "A".to_owned() },
            place: "bay 1".to_owned(),
            flaws: Vec::new(),
            line: None,
        };
        let done = self.book.receive(&delivery, &self.stamp);
        for stick in self.allowed(done, true)?.sticks {
            let (moulding, place) = (moulding.to_owned(), "bay 1".to_owned());
            self.model.came += length;
            let piece = Piece { length, moulding, place, at_bench: false };
            assert!(self.model.sticks.insert(stick.id, piece).is_none());
        }
        Some("receive")
    }

    fn tickets(&mut self, size: u8, alike: u8) -> Option<&'static str> {
        self.tickets += 1;
        let alike = ["any", "lot", "halves", "stick", "wrap"][usize::from(alike % 5)];
        let moulding = if size % 2 == 0 { "ASH" } else { "OAK" };
        let (id, wide, copies) = (self.tickets, 6 + size % 7, 1 + u32::from(size % 3));
        self.model.tickets +=
            &format!("{id},,{moulding},{wide},10,{copies},2026-04-{:02},{alike}\n", 1 + size % 28);
        let mut files: Files = files();
        files.insert("frames.csv".to_owned(), self.model.tickets.clone().into_bytes());
        let done = self.book.refresh((&read(&files), &files), &self.stamp);
        self.allowed(done, true)?;
        self.model.pending.insert(id.to_string(), (1..=copies).collect());
        Some("refresh")
    }

    fn take(&mut self) -> Option<&'static str> {
        if self.model.day.is_some() {
            return None;
        }
        let snapshot = self.book.snapshot().unwrap();
        let plan = plan_as_wished(&snapshot.shop, TODAY, &Wishes::default(), limits());
        let done = self.book.take(&snapshot, &plan, &self.stamp);
        let taken = self.allowed(done, !plan.today.is_empty())?;
        let pending = self.model.pending.clone();
        let number =
            |frame: &str, copy: u32| *pending[frame].iter().nth(copy as usize - 1).unwrap();
        let shop = self.shop();
        let lays: Vec<Lay> =
            taken.plan.today.iter().map(|cut| Lay::new(&shop, cut, number)).collect();
        let mut day = Day { lays, ..Day::default() };
        for rail in day.lays.iter().flat_map(|lay| &lay.rails) {
            day.copies.insert((rail.name.0.clone(), rail.name.1));
        }
        for (frame, copy) in &day.copies {
            assert!(self.model.pending.get_mut(frame).unwrap().remove(copy), "{frame} was free");
        }
        for lay in &day.lays {
            let piece = self.model.sticks.get_mut(&lay.stick).unwrap();
            assert!(!piece.at_bench && piece.length == lay.length, "{} was free", lay.stick);
            piece.at_bench = true;
        }
        self.model.day = Some(day);
        Some("take")
    }

    /// The places in the model of lays with something to cut.
    fn open(&self) -> Vec<usize> {
        let Some(day) = &self.model.day else { return Vec::new() };
        (0..day.lays.len()).filter(|lay| day.lays[*lay].is_open()).collect()
    }

    /// Whether the book has a rail on a flaw among the first so many of a stick.
    fn on_flaw(&self, stick: &str, up_to: usize) -> bool {
        let bench = self.book.bench().unwrap();
        let sticks = bench.iter().flat_map(|plan| &plan.sticks);
        let own = sticks.filter(|own| own.lay.stick == stick).flat_map(|own| &own.on_flaw);
        own.into_iter().any(|number| *number <= up_to)
    }

    fn cut(&mut self, stick: u8, to: u8) -> Option<&'static str> {
        let at = pick(&self.open(), usize::from(stick))?;
        let lay = self.model.day.as_ref().unwrap().lays[at].clone();
        let to = 1 + usize::from(to) % lay.rails.len();
        let due: Vec<usize> = (0..to).filter(|r| lay.rails[*r].state == State::ToCut).collect();
        let fine = !due.is_empty() && !self.on_flaw(&lay.stick, to);
        let done = self.book.cut(&lay.stick, Some(to), &self.stamp);
        let cut = self.allowed(done, fine)?;
        assert_eq!(cut.rails.len(), due.len());
        for rail in due {
            self.model.take_off(at, rail, State::Cut);
        }
        Some("cut")
    }

    fn cut_all(&mut self) -> Option<&'static str> {
        let open = self.open();
        let lays = |at: &usize| self.model.day.as_ref().unwrap().lays[*at].clone();
        let flawed = open.iter().any(|at| self.on_flaw(&lays(at).stick, usize::MAX));
        let done = self.book.cut_all(None, &self.stamp);
        self.allowed(done, !open.is_empty() && !flawed)?;
        for at in open {
            for rail in 0..lays_len(&self.model, at) {
                if self.model.day.as_ref().unwrap().lays[at].rails[rail].state == State::ToCut {
                    self.model.take_off(at, rail, State::Cut);
                }
            }
        }
        Some("cut")
    }

    fn spoil(&mut self, stick: u8, cut: u8) -> Option<&'static str> {
        let day = self.model.day.as_ref()?;
        let on: Vec<usize> = (0..day.lays.len()).filter(|at| day.lays[*at].is_on).collect();
        let at = pick(&on, usize::from(stick))?;
        let lay = day.lays[at].clone();
        let rail = usize::from(cut) % lay.rails.len();
        let is_next = lay.rails[..rail].iter().all(|before| before.state != State::ToCut);
        let fine = match lay.rails[rail].state {
            State::Cut => true,
            State::ToCut => is_next && !self.on_flaw(&lay.stick, rail + 1),
            State::Spoiled | State::Off => false,
        };
        let done = self.book.spoil(&lay.stick, rail + 1, &self.stamp);
        self.allowed(done, fine)?;
        match lay.rails[rail].state {
            State::Cut => {
                let length = lay.rails[rail].to - lay.rails[rail].from;
                self.model.rails -= length;
                self.model.spoiled += length;
                self.model.day.as_mut().unwrap().lays[at].rails[rail].state = State::Spoiled;
            }
            _ => self.model.take_off(at, rail, State::Spoiled),
        }
        Some("spoil")
    }

    fn flaw(&mut self, stick: u8, at: u16) -> Option<&'static str> {
        let there = self.model.sticks.iter().filter(|(_, piece)| piece.length.is_positive());
        let names: Vec<String> = there.map(|(name, _)| name.clone()).collect();
        let name = pick(&names, usize::from(stick))?;
        let length = self.model.sticks[&name].length;
        let from = Length::from_nm(length.nm() / 65_536 * i64::from(at));
        let flaw = Flaw { from, to: (from + Length::from_mm(9)).min(length) };
        let done = self.book.flaw(&name, &[flaw], &self.stamp);
        self.allowed(done, true)?;
        Some("flaw")
    }

    fn replan(&mut self) -> Option<&'static str> {
        self.model.day.as_ref()?;
        let owed = self.model.owed(&self.shop());
        let flawed = self.book.bench().unwrap()[0].sticks.iter().any(|s| !s.on_flaw.is_empty());
        let draft = self.book.day(None).unwrap().draft(&limits());
        let draft = self.allowed(draft, !owed.is_empty() || flawed)?;
        let replanned = self.book.replan(&draft, TODAY, &self.stamp).unwrap().draft;
        let shop = self.shop();
        for (stick, aside) in &replanned.set_aside {
            let day = self.model.day.as_mut().unwrap();
            let rails =
                day.lays.iter_mut().filter(|lay| lay.stick == *stick).flat_map(|l| &mut l.rails);
            let name = (aside.frame.clone(), aside.copy, aside.layer, aside.side);
            let rail = rails.into_iter().find(|r| r.name == name && r.state == State::Cut).unwrap();
            rail.state = State::Spoiled;
            self.model.rails -= rail.to - rail.from;
            self.model.spoiled += rail.to - rail.from;
        }
        self.model.leave(&replanned.dropped);
        let day = self.model.day.as_mut().unwrap();
        for again in &replanned.mouldings {
            for lay in
                day.lays.iter_mut().filter(|lay| lay.moulding == again.moulding && lay.is_open())
            {
                if !again.kept.contains(&lay.stick) {
                    let open = lay.rails.iter_mut().filter(|rail| rail.state == State::ToCut);
                    open.for_each(|rail| rail.state = State::Off);
                    lay.is_on = false;
                }
            }
            for cut in &again.sticks {
                let piece = self.model.sticks.get_mut(&cut.stick).unwrap();
                assert_eq!(piece.length, cut.length, "{} is so long", cut.stick);
                piece.at_bench = true;
                day.lays.push(Lay::new(&shop, cut, |_, copy| copy));
            }
        }
        self.model.release();
        let still = self.model.owed(&shop);
        assert!(replanned.short.is_empty() || !still.is_empty());
        assert!(!replanned.short.is_empty() || still.is_empty(), "nothing stays owed: {still:?}");
        Some("replan")
    }

    fn finish(&mut self, rest_back: bool) -> Option<&'static str> {
        if self.model.day.is_none() {
            assert!(self.book.finish(None, ("", false), &self.stamp).is_err());
            return None;
        }
        if rest_back {
            let day = self.model.day.as_ref().unwrap();
            let rails = day.lays.iter().flat_map(|lay| &lay.rails);
            let begun: BTreeSet<(String, u32)> = rails
                .filter(|rail| rail.state == State::Cut)
                .map(|rail| (rail.name.0.clone(), rail.name.1))
                .collect();
            let back = day.copies.difference(&begun).cloned().collect();
            self.model.leave(&back);
        }
        let whole = self.open().is_empty() && self.model.owed(&self.shop()).is_empty();
        let done = self.book.finish(None, ("offcuts", rest_back), &self.stamp);
        let finished = self.allowed(done, whole)?;
        let day = self.model.day.take().unwrap();
        assert_eq!(finished.chopped.into_iter().collect::<BTreeSet<_>>(), day.copies);
        let begun = |name: &str| day.lays.iter().any(|l| l.stick == name && l.is_begun());
        let mut racked = finished.racked;
        let names: Vec<String> = self.model.sticks.keys().cloned().collect();
        for name in names {
            let piece = self.model.sticks.get_mut(&name).unwrap();
            if !piece.at_bench || !piece.length.is_positive() {
                piece.at_bench = false;
                continue;
            }
            piece.at_bench = false;
            if begun(&name) {
                let rest = std::mem::replace(&mut piece.length, Length::ZERO);
                if rest >= Length::from_64ths(8 * 64) {
                    let of = racked.iter().position(|stick| {
                        stick.length == rest && !self.model.sticks.contains_key(&stick.id)
                    });
                    let stick = racked.remove(of.expect("what remains is racked"));
                    let (moulding, place) = (stick.moulding, stick.place);
                    let piece = Piece { length: rest, moulding, place, at_bench: false };
                    self.model.sticks.insert(stick.id, piece);
                }
            } else if day.made.contains(&name) {
                piece.place = "offcuts".to_owned();
                racked.retain(|stick| stick.id != name);
            }
        }
        assert!(racked.is_empty(), "{racked:?}");
        Some("finish")
    }

    fn put_back(&mut self) -> Option<&'static str> {
        let day = self.model.day.clone()?;
        let begun = day.lays.iter().any(Lay::is_begun);
        let done = self.book.put_back(None, &self.stamp);
        self.allowed(done, !begun)?;
        self.model.leave(&day.copies);
        self.model.day = None;
        for lay in &day.lays {
            self.model.sticks.get_mut(&lay.stick).unwrap().at_bench = false;
        }
        Some("put-back")
    }

    fn undo(&mut self) {
        // The beginning is not undone here: without files there is no shop.
        if let Some(before) = self.before.pop() {
            self.book.undo(&self.stamp).unwrap();
            self.model = before;
            *self.seen.done.entry("undo").or_default() += 1;
        }
    }

    fn count(&mut self, place: u8, odd: u8, length: u16) -> Option<&'static str> {
        let place = ["bay 1", "bay 2", "offcuts"][usize::from(place % 3)];
        let lies =
            |piece: &Piece| piece.place == place && !piece.at_bench && piece.length.is_positive();
        let there = self.model.sticks.iter().filter(|(_, piece)| lies(piece));
        let there: Vec<String> = there.map(|(name, _)| name.clone()).collect();
        let odd = pick(&there, usize::from(odd))?;
        let mut found: BTreeMap<String, Option<Length>> =
            there.iter().map(|name| (name.clone(), None)).collect();
        let piece = self.model.sticks.get_mut(&odd).unwrap();
        if length % 4 == 0 {
            found.remove(&odd);
            self.model.came -= piece.length;
            piece.length = Length::ZERO;
        } else {
            let is = Length::from_nm(200_000_000 + i64::from(length) * 30_011);
            self.model.came += is - piece.length;
            piece.length = is;
            found.insert(odd, Some(is));
        }
        let looked = self.book.count(place, &found, (&self.stamp, false)).unwrap();
        let done = self.book.count(place, &found, (&self.stamp, true));
        let counted = self.allowed(done, true)?;
        assert_eq!(counted, looked, "looking says what keeping does");
        assert!(counted.differences.len() <= 1);
        Some("count")
    }

    fn scrap(&mut self, stick: u8) -> Option<&'static str> {
        let there = self.model.sticks.iter().filter(|(_, piece)| piece.length.is_positive());
        let names: Vec<String> = there.map(|(name, _)| name.clone()).collect();
        let name = pick(&names, usize::from(stick))?;
        let piece = self.model.sticks.get_mut(&name).unwrap();
        let free = !piece.at_bench;
        piece.length = Length::ZERO;
        let done = self.book.scrap(&[name], &self.stamp);
        self.allowed(done, free)?;
        Some("scrap")
    }

    /// The power goes in the middle of a change: the files as they lie on the
    /// disk are all that is left.
    fn crash(&mut self) {
        let writing = rusqlite::Connection::open(self.book.path()).unwrap();
        writing
            .execute_batch(
                "PRAGMA cache_size = 1; BEGIN IMMEDIATE;
             INSERT INTO step (at, who, what, why) VALUES ('', '', 'crash', '');
             INSERT INTO movement (step, stick, kind, nm) SELECT max(step.id), stick.id, 'scrap', -1
               FROM step, stick GROUP BY stick.id;",
            )
            .unwrap();
        self.crashes += 1;
        let to = self.dir.path().join(format!("after-{}.book", self.crashes));
        let end = |path: &Path, end: &str| {
            let mut name = path.as_os_str().to_owned();
            name.push(end);
            std::path::PathBuf::from(name)
        };
        for of in ["", "-wal"] {
            let from = end(self.book.path(), of);
            if from.exists() {
                std::fs::copy(from, end(&to, of)).unwrap();
            }
        }
        self.book = Book::open(&to).unwrap();
        *self.seen.done.entry("crash").or_default() += 1;
    }
}

fn lays_len(model: &Model, at: usize) -> usize {
    model.day.as_ref().unwrap().lays[at].rails.len()
}
