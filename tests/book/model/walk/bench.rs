//! What happens at the bench, to the book and to the model.

use std::collections::{BTreeMap, BTreeSet};

use longpoint::book::{BenchRail, Cancelled, Which};
use longpoint::measure::Length;
use longpoint::morning::plan_as_wished;
use longpoint::plan::{SpareUse, Wishes};

use super::super::super::shops::limits;
use super::super::day::{Day, Lay, Model, Name, Piece, Rail, State};
use super::{Walk, pick};

impl Walk {
    pub(super) fn take(&mut self) -> Option<&'static str> {
        if self.model.day.is_some() {
            return None;
        }
        let snapshot = self.book.snapshot().unwrap();
        let plan =
            plan_as_wished(&snapshot.shop, self.today(), &Wishes::default(), limits()).unwrap();
        let spare = self.spare_names();
        let done = self.book.take(&snapshot, &plan, &self.stamp);
        let given: Vec<SpareUse> =
            snapshot.debts.spares.iter().chain(plan.spares_today()).cloned().collect();
        let some = [&plan.today, &snapshot.debts.sticks].iter().any(|sticks| !sticks.is_empty());
        let some = some || !given.is_empty();
        let taken = self.allowed(done, some)?;
        let shop = self.shop();
        let sticks = taken.owed.iter().chain(&taken.plan.today);
        let lays: Vec<Lay> = sticks.map(|cut| Lay::new(&shop, cut)).collect();
        let mut day = Day { lays, ..Day::default() };
        for rail in day.lays.iter().flat_map(|lay| &lay.rails) {
            day.copies.insert((rail.name.0.clone(), rail.name.1));
        }
        let lengths: Vec<Length> =
            given.iter().map(|of| self.model.good.remove(&spare[&of.label]).unwrap()).collect();
        for (of, length) in given.into_iter().zip(lengths) {
            let name = (of.frame.clone(), of.copy, of.layer, of.side);
            self.model.set_aside(&name, &mut day);
            day.given.push(name.clone());
            self.model.good.insert(name, length);
            day.copies.insert((of.frame, of.copy));
            *self.seen.done.entry("spare").or_default() += 1;
        }
        for (frame, copy) in &day.copies {
            assert!(self.model.pending.get_mut(frame).unwrap().remove(copy), "{frame} was free");
        }
        for lay in &day.lays {
            let piece = self.model.sticks.get_mut(&lay.stick).unwrap();
            assert!(!piece.at_bench && piece.length == lay.length, "{} was free", lay.stick);
            piece.at_bench = true;
        }
        let laid: Vec<Name> =
            day.lays.iter().flat_map(|lay| &lay.rails).map(|rail| rail.name.clone()).collect();
        for name in &laid {
            self.model.set_aside(name, &mut day);
        }
        self.model.day = Some(day);
        Some("take")
    }

    /// What each spare rail was cut as.
    fn spare_names(&self) -> BTreeMap<String, Name> {
        let name = |rail: &BenchRail| (rail.frame.clone(), rail.copy, rail.layer, rail.side);
        let spare = self.book.spare().unwrap();
        spare.iter().map(|(_, rail)| (rail.spare_label(), name(rail))).collect()
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

    /// Whether the rest of its moulding is planned again before more of it is cut.
    fn waits(&self, lay: &Lay) -> bool {
        self.model.day.as_ref().is_some_and(|day| {
            day.measured.values().any(|(of, planned, is)| *of == lay.moulding && planned != is)
        })
    }

    pub(super) fn cut(&mut self, stick: u8, to: u8) -> Option<&'static str> {
        let at = pick(&self.open(), usize::from(stick))?;
        let lay = self.model.day.as_ref().unwrap().lays[at].clone();
        let to = 1 + usize::from(to) % lay.rails.len();
        let due: Vec<usize> = (0..to).filter(|r| lay.rails[*r].state == State::ToCut).collect();
        let fine = !due.is_empty() && !self.on_flaw(&lay.stick, to) && !self.waits(&lay);
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
        let waits = open.iter().any(|at| self.waits(&lays(at)));
        let done = self.book.cut_all(None, &self.stamp);
        self.allowed(done, !open.is_empty() && !flawed && !waits)?;
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
            State::ToCut => is_next && !self.on_flaw(&lay.stick, rail + 1) && !self.waits(&lay),
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

    /// Rails of days that are over split, one or all of a frame.
    pub(super) fn remake(&mut self, rail: u16, whole: bool) -> Option<&'static str> {
        let names: Vec<Name> = self.model.good.keys().cloned().collect();
        let (frame, copy, layer, side) = pick(&names, usize::from(rail))?;
        let one = |text: String| if whole { None } else { Some(text) };
        let which = Which {
            copy: Some(copy),
            layer: one(String::new()).map(|_| layer),
            side: one(side.to_string()),
        };
        // What is cut today of a copy that is at the bench again goes with the rest.
        let is_it = |name: &Name| {
            (&name.0, name.1) == (&frame, copy) && (whole || (name.2, name.3) == (layer, side))
        };
        let done = self.book.spoil_frame(&frame, &which, &self.stamp);
        let spoiled = self.allowed(done, true)?;
        let mut count = 0;
        for name in names.iter().filter(|name| is_it(name)) {
            let length = self.model.good.remove(name).unwrap();
            (self.model.rails, self.model.spoiled) =
                (self.model.rails - length, self.model.spoiled + length);
            count += 1;
        }
        let mut is_at_bench = false;
        if let Some(day) = &mut self.model.day {
            is_at_bench = day.copies.contains(&(frame.clone(), copy));
            for rail in day.lays.iter_mut().flat_map(|lay| &mut lay.rails) {
                if rail.state == State::Cut && is_it(&rail.name) {
                    rail.state = State::Spoiled;
                    self.model.rails -= rail.to - rail.from;
                    self.model.spoiled += rail.to - rail.from;
                    count += 1;
                }
            }
        }
        assert_eq!((spoiled.rails.len(), spoiled.chops.len()), (count, 0));
        if !is_at_bench && !self.model.cancelled.contains(&(frame.clone(), copy)) {
            self.model.pending.get_mut(&frame).unwrap().insert(copy);
        }
        Some("remake")
    }

    /// A customer cancels one copy, on the pile or at the bench.
    pub(super) fn cancel(&mut self, copy: u16) -> Option<&'static str> {
        let day = self.model.day.iter().flat_map(|day| &day.copies);
        let pile = self.model.pending.iter();
        let pile = pile.flat_map(|(id, copies)| copies.iter().map(|copy| (id.clone(), *copy)));
        let all: Vec<(String, u32)> = day.cloned().chain(pile).collect();
        let of = pick(&all, usize::from(copy))?;
        let joined = self.joined().contains(&of);
        let done = self.book.cancel(&of.0, Some(of.1), &self.stamp);
        let cancelled = self.allowed(done, !joined)?;
        self.withdraw(std::slice::from_ref(&of), &cancelled);
        self.model.pending.get_mut(&of.0).unwrap().remove(&of.1);
        self.model.cancelled.insert(of);
        Some("cancel")
    }

    /// A copy of which nothing is cut and good goes back on the pile.
    pub(super) fn put_back_one(&mut self, copy: u16) -> Option<&'static str> {
        let all: Vec<(String, u32)> =
            self.model.day.iter().flat_map(|day| day.copies.clone()).collect();
        let of = pick(&all, usize::from(copy))?;
        let is_own = |name: &Name| (&name.0, name.1) == (&of.0, of.1);
        let today = self.model.day.iter().flat_map(|day| &day.lays).flat_map(|lay| &lay.rails);
        let cut = today.filter(|rail| rail.state == State::Cut).map(|rail| &rail.name);
        let is_begun = self.model.good.keys().chain(cut).any(is_own);
        let done = self.book.put_back_ticket(&of.0, Some(of.1), &self.stamp);
        let back = self.allowed(done, !is_begun)?;
        self.withdraw(&[of], &back);
        Some("put-back one")
    }

    /// Copies leave the bench, as far as they are there. What others have on their sticks
    /// stays in its order, no farther from the marked end than it was.
    pub(super) fn withdraw(&mut self, all: &[(String, u32)], what: &Cancelled) {
        let Some(day) = &self.model.day else { return };
        let ours: BTreeSet<(String, u32)> =
            all.iter().filter(|of| day.copies.contains(*of)).cloned().collect();
        if ours.is_empty() {
            // What lies at the bench is no business of a ticket on the pile.
            return;
        }
        let is_own = |rail: &Rail| ours.contains(&(rail.name.0.clone(), rail.name.1));
        let is_cut = |of: &(String, u32)| {
            let mut rails = day.lays.iter().flat_map(|lay| &lay.rails);
            let own = |rail: &Rail| (&rail.name.0, rail.name.1) == (&of.0, of.1);
            rails.any(|rail| rail.state == State::Cut && own(rail))
        };
        let whole = ours.iter().filter(|of| !is_cut(of)).cloned().collect();
        self.model.restore(&whole);
        let shop = self.shop();
        let day = self.model.day.as_mut().unwrap();
        let mut moved_up = Vec::new();
        for lay in day.lays.iter_mut().filter(|lay| lay.is_open()) {
            let is_open = |rail: &&Rail| rail.state == State::ToCut;
            let stay = lay.rails.iter().filter(is_open).filter(|rail| !is_own(rail));
            let stay: Vec<Rail> = stay.cloned().collect();
            if stay.len() == lay.rails.iter().filter(is_open).count() || stay.is_empty() {
                continue;
            }
            if !what.replaced.contains(&lay.stick) {
                let cut = what.closed.iter().find(|cut| cut.stick == lay.stick).unwrap();
                let new = Lay::new(&shop, cut);
                assert_eq!(new.length, self.model.sticks[&lay.stick].length);
                let names = |rails: &[Rail]| -> Vec<Name> {
                    rails.iter().map(|rail| rail.name.clone()).collect()
                };
                assert_eq!(names(&new.rails), names(&stay), "in their order");
                let gone = lay.length - new.length;
                let nearer = |(new, old): (&Rail, &Rail)| new.from <= old.from - gone;
                assert!(new.rails.iter().zip(&stay).all(nearer), "{new:?} beside {lay:?}");
                moved_up.push(new);
            }
            if what.replaced.contains(&lay.stick) {
                *self.seen.done.entry("taken up").or_default() += 1;
            }
            let open = lay.rails.iter_mut().filter(|rail| rail.state == State::ToCut);
            open.for_each(|rail| rail.state = State::Off);
            lay.is_on = false;
        }
        *self.seen.done.entry("moved up").or_default() += moved_up.len();
        day.lays.extend(moved_up);
        self.model.leave(&ours);
        self.model.release();
    }

    pub(super) fn replan(&mut self) -> Option<&'static str> {
        self.model.day.as_ref()?;
        let owed = self.model.owed(&self.shop());
        let flawed = self.book.bench().unwrap()[0].sticks.iter().any(|s| !s.on_flaw.is_empty());
        let draft = self.book.day(None).unwrap().draft(&limits());
        let waits = self.open().into_iter().any(|at| {
            let lay = &self.model.day.as_ref().unwrap().lays[at];
            self.waits(lay)
        });
        let draft = self.allowed(draft, !owed.is_empty() || flawed || waits)?;
        self.model.day.as_mut().unwrap().measured.clear();
        let spare = self.spare_names();
        let replanned = self.book.replan(&draft, self.today(), &self.stamp).unwrap();
        let shop = self.shop();
        for of in replanned.spares.iter() {
            let name = (of.frame.clone(), of.copy, of.layer, of.side);
            assert!(owed.contains(&name), "{of:?} is owed");
            let day = self.model.day.as_mut().unwrap();
            match self.model.good.remove(&spare[&of.label]) {
                Some(length) => {
                    day.given.push(name.clone());
                    assert!(self.model.good.insert(name, length).is_none(), "{of:?} is there");
                }
                // It was cut today, for a ticket that is another now.
                None => {
                    let mut rails = day.lays.iter_mut().flat_map(|lay| &mut lay.rails);
                    let was = &spare[&of.label];
                    let own = rails.find(|rail| rail.name == *was && rail.state == State::Cut);
                    own.expect("it is cut").name = name;
                }
            }
            *self.seen.done.entry("spare at replan").or_default() += 1;
        }
        for (stick, aside) in &replanned.draft.set_aside {
            let day = self.model.day.as_mut().unwrap();
            let rails =
                day.lays.iter_mut().filter(|lay| lay.stick == *stick).flat_map(|l| &mut l.rails);
            let name = (aside.frame.clone(), aside.copy, aside.layer, aside.side);
            let length = aside.to - aside.from;
            match rails.into_iter().find(|r| r.name == name && r.state == State::Cut) {
                Some(rail) => rail.state = State::Spoiled,
                None => assert_eq!(self.model.good.remove(&name), Some(length), "{name:?}"),
            }
            self.model.rails -= length;
            self.model.spoiled += length;
        }
        self.model.leave(&replanned.draft.dropped);
        let day = self.model.day.as_mut().unwrap();
        for again in &replanned.draft.mouldings {
            for lay in
                day.lays.iter_mut().filter(|lay| lay.moulding == again.moulding && lay.is_open())
            {
                if !again.kept.contains(&lay.stick) {
                    let open = lay.rails.iter_mut().filter(|rail| rail.state == State::ToCut);
                    open.for_each(|rail| rail.state = State::Off);
                    lay.is_on = false;
                }
            }
            for cut in again.sticks.iter() {
                let piece = self.model.sticks.get_mut(&cut.stick).unwrap();
                assert_eq!(piece.length, cut.length, "{} is so long", cut.stick);
                piece.at_bench = true;
                day.lays.push(Lay::new(&shop, cut));
            }
        }
        self.model.release();
        let still = self.model.owed(&shop);
        assert!(replanned.draft.short.is_empty() || !still.is_empty());
        assert!(
            !replanned.draft.short.is_empty() || still.is_empty(),
            "nothing stays owed: {still:?}"
        );
        Some("replan")
    }

    pub(super) fn finish(&mut self, rest_back: bool) -> Option<&'static str> {
        if self.model.day.is_none() {
            assert!(self.book.finish(None, ("", false), &self.stamp).is_err());
            return None;
        }
        let fine = rest_back || self.open().is_empty();
        let shop = self.shop();
        let mut lacking = self.model.owed(&shop);
        let day = self.model.day.as_ref().unwrap();
        let rails = || day.lays.iter().flat_map(|lay| &lay.rails);
        lacking.extend(rails().filter(|r| r.state == State::ToCut).map(|rail| rail.name.clone()));
        let mut cut: BTreeMap<Name, Length> = BTreeMap::new();
        for rail in rails().filter(|rail| rail.state == State::Cut) {
            cut.insert(rail.name.clone(), rail.to - rail.from);
        }
        let of = |name: &Name| (name.0.clone(), name.1);
        let back: BTreeSet<(String, u32)> = lacking.iter().map(of).collect();
        let good = cut.keys().chain(self.model.good.keys());
        let begun: BTreeSet<(String, u32)> = good.map(of).collect();
        let uncut: BTreeSet<_> = back.difference(&begun).cloned().collect();
        let done = self.book.finish(None, ("offcuts", rest_back), &self.stamp);
        let finished = self.allowed(done, fine)?;
        self.model.restore(&uncut);
        self.model.leave(&back);
        for (name, length) in cut {
            assert!(self.model.good.insert(name.clone(), length).is_none(), "{name:?} twice");
        }
        let day = self.model.day.take().unwrap();
        assert_eq!(finished.chopped.into_iter().collect::<BTreeSet<_>>(), day.copies);
        let owed = finished.owed.iter().map(|o| (o.frame.clone(), o.copy));
        let on_pile: BTreeSet<_> = owed.chain(finished.back).collect();
        assert_eq!(on_pile, back);
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
        self.not_given(&day.given);
        self.model.restore(&day.copies);
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
