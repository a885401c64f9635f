//! What happens at the bench, to the book and to the model.

use std::collections::BTreeSet;

use longpoint::measure::Length;
use longpoint::plan::{Wishes, plan_as_wished};

use super::super::super::shops::{TODAY, limits};
use super::super::day::{Day, Lay, Model, Piece, State};
use super::{Walk, pick};

impl Walk {
    pub(super) fn take(&mut self) -> Option<&'static str> {
        if self.model.day.is_some() {
            return None;
        }
        let snapshot = self.book.snapshot().unwrap();
        let plan = plan_as_wished(&snapshot.shop, TODAY, &Wishes::default(), limits());
        let done = self.book.take(&snapshot, &plan, &self.stamp);
        let taken = self.allowed(done, !plan.today.is_empty())?;
        let shop = self.shop();
        let lays: Vec<Lay> = taken.plan.today.iter().map(|cut| Lay::new(&shop, cut)).collect();
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
    pub(super) fn open(&self) -> Vec<usize> {
        let Some(day) = &self.model.day else { return Vec::new() };
        (0..day.lays.len()).filter(|lay| day.lays[*lay].is_open()).collect()
    }

    /// Whether the book has a rail on a flaw among the first so many of a stick.
    pub(super) fn on_flaw(&self, stick: &str, up_to: usize) -> bool {
        let bench = self.book.bench().unwrap();
        let sticks = bench.iter().flat_map(|plan| &plan.sticks);
        let own = sticks.filter(|own| own.lay.stick == stick).flat_map(|own| &own.on_flaw);
        own.into_iter().any(|number| *number <= up_to)
    }

    pub(super) fn cut(&mut self, stick: u8, to: u8) -> Option<&'static str> {
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

    pub(super) fn cut_all(&mut self) -> Option<&'static str> {
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

    pub(super) fn spoil(&mut self, stick: u8, cut: u8) -> Option<&'static str> {
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

    pub(super) fn replan(&mut self) -> Option<&'static str> {
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
                day.lays.push(Lay::new(&shop, cut));
            }
        }
        self.model.release();
        let still = self.model.owed(&shop);
        assert!(replanned.short.is_empty() || !still.is_empty());
        assert!(!replanned.short.is_empty() || still.is_empty(), "nothing stays owed: {still:?}");
        Some("replan")
    }

    pub(super) fn finish(&mut self, rest_back: bool) -> Option<&'static str> {
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

    pub(super) fn put_back(&mut self) -> Option<&'static str> {
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
}

fn lays_len(model: &Model, at: usize) -> usize {
    model.day.as_ref().unwrap().lays[at].rails.len()
}
