//! What happens to the rack and the pile, to the book and to the model.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use longpoint::book::{Corrected, Correction, Delivery, Found, Stamp};
use longpoint::measure::Length;
use longpoint::morning::plan_as_wished;
use longpoint::plan::{Part, Plan, Waiting, Wishes};
use longpoint::shop::{Flaw, Shop};
use longpoint::verify::verify;

use super::super::super::shops::{limits, read};
use super::super::day::{Name, Piece, Placed, State};
use super::{Walk, pick};

impl Walk {
    pub(super) fn receive(&mut self, length: u16, count: u8) -> Option<&'static str> {
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

    pub(super) fn tickets(&mut self, size: u8, alike: u8) -> Option<&'static str> {
        self.tickets += 1;
        let alike = ["any", "lot", "halves", "stick", "wrap"][usize::from(alike % 5)];
        let moulding = if size % 2 == 0 { "ASH" } else { "OAK" };
        let (id, wide, copies) = (self.tickets, 6 + size % 7, 1 + u32::from(size % 3));
        self.model.tickets +=
            &format!("{id},,{moulding},{wide},10,{copies},2026-04-{:02},{alike}\n", 1 + size % 28);
        let mut files = self.files.clone();
        files.insert("frames.csv".to_owned(), self.model.tickets.clone().into_bytes());
        let done = self.book.refresh((&read(&files), &files), &self.stamp);
        self.allowed(done, true)?;
        self.model.pending.insert(id.to_string(), (1..=copies).collect());
        Some("refresh")
    }

    /// A ticket is of another width: what is cut of its copies that are not done is
    /// nobody's, and they are on the pile.
    pub(super) fn resize(&mut self, ticket: u8, size: u8) -> Option<&'static str> {
        let rows: Vec<String> = self.model.tickets.lines().skip(1).map(str::to_owned).collect();
        let row = pick(&rows, usize::from(ticket))?;
        let mut cells: Vec<&str> = row.split(',').collect();
        let (id, wide) = (cells[0].to_owned(), (6 + size % 7).to_string());
        if cells[1] == "2" || cells[3] == wide {
            return None;
        }
        cells[3] = &wide;
        let tickets = self.model.tickets.replace(&row, &cells.join(","));
        let mut files = self.files.clone();
        files.insert("frames.csv".to_owned(), tickets.clone().into_bytes());
        let joined = self.joined().into_iter().any(|(frame, _)| frame == id);
        let done = self.book.refresh((&read(&files), &files), &self.stamp);
        let refreshed = self.allowed(done, !joined)?;
        self.model.tickets = tickets;
        let is_begun = |name: &Name| name.0 == id && self.model.pending[&id].contains(&name.1);
        let at_bench = self.model.day.iter().flat_map(|day| &day.copies);
        let at_bench: BTreeSet<u32> = at_bench.filter(|of| of.0 == id).map(|of| of.1).collect();
        let owed = self.model.good.keys().filter(|name| is_begun(name)).map(|name| name.1);
        let owed: BTreeSet<u32> = owed.collect();
        let copies: Vec<u32> = at_bench.into_iter().chain(owed).collect();
        let changed = refreshed.changed.into_iter().map(|(_, what)| what).next();
        let changed = changed.unwrap_or_default();
        assert_eq!(changed.copies, copies, "those that are begun change");
        let all: Vec<(String, u32)> = copies.iter().map(|copy| (id.clone(), *copy)).collect();
        self.withdraw(&all, &changed);
        for copy in copies {
            self.cast_off(&id, copy);
        }
        Some("resize")
    }

    /// Spare rails that were given are spare again, by the number that no copy has.
    pub(super) fn not_given(&mut self, given: &[Name]) {
        let good = given.iter().filter(|name| self.model.good.contains_key(*name));
        let good: BTreeSet<Name> = good.cloned().collect();
        let copies: BTreeSet<(String, u32)> =
            good.iter().map(|name| (name.0.clone(), name.1)).collect();
        for (id, copy) in copies {
            let number = self.cast_off.get(&id).map_or(1_000_001, |last| last + 1);
            self.cast_off.insert(id.clone(), number);
            for name in good.iter().filter(|name| (name.0.as_str(), name.1) == (&id, copy)) {
                let length = self.model.good.remove(name).unwrap();
                let name = (id.clone(), number, name.2, name.3);
                self.model.good.insert(name, length);
            }
            self.model.cancelled.insert((id, number));
        }
    }

    /// The good rails of a copy go by a number that no copy has.
    fn cast_off(&mut self, id: &str, copy: u32) {
        let number = self.cast_off.get(id).map_or(1_000_001, |last| last + 1);
        let own = |name: &Name| (name.0.as_str(), name.1) == (id, copy);
        let good: Vec<Name> = self.model.good.keys().filter(|name| own(name)).cloned().collect();
        let mut any = !good.is_empty();
        for name in good {
            let length = self.model.good.remove(&name).unwrap();
            self.model.good.insert((name.0, number, name.2, name.3), length);
        }
        let lays = self.model.day.iter_mut().flat_map(|day| &mut day.lays);
        for rail in lays.flat_map(|lay| &mut lay.rails) {
            if own(&rail.name) && rail.state == State::Cut {
                rail.name.1 = number;
                any = true;
            }
        }
        if any {
            self.cast_off.insert(id.to_owned(), number);
            self.model.cancelled.insert((id.to_owned(), number));
        }
    }

    pub(super) fn flaw(&mut self, stick: u8, at: u16) -> Option<&'static str> {
        let name = self.any_stick(stick)?;
        let length = self.model.sticks[&name].length;
        let from = Length::from_nm(length.nm() / 65_536 * i64::from(at));
        let flaw = Flaw { from, to: (from + Length::from_mm(9)).min(length) };
        let done = self.book.flaw(&name, &[flaw], &self.stamp);
        self.allowed(done, true)?;
        Some("flaw")
    }

    /// A stick is measured, on the rack or at the bench.
    pub(super) fn measure(&mut self, stick: u8, by: u16) -> Option<&'static str> {
        let name = self.any_stick(stick)?;
        let was = self.model.sticks[&name].length;
        // Up to 30 in shorter and 20 in longer.
        let by = Length::from_nm((i64::from(by) - 40_000) * 20_011);
        let is = (was + by).max(Length::from_mm(1));
        let correction = Correction { length: Some(is), ..Correction::default() };
        let done = self.book.correct(&name, &correction, &self.stamp);
        let corrected = self.allowed(done, true)?;
        self.model.came += is - was;
        self.model.sticks.get_mut(&name).unwrap().length = is;
        self.corrected(&name, &corrected, (is - was, false));
        Some("measure")
    }

    /// A stick of which something is left.
    fn any_stick(&self, stick: u8) -> Option<String> {
        let there = self.model.sticks.iter().filter(|(_, piece)| piece.length.is_positive());
        let names: Vec<String> = there.map(|(name, _)| name.clone()).collect();
        pick(&names, usize::from(stick))
    }

    /// A stick turns out to be of a lot that no other is of.
    pub(super) fn lot(&mut self, stick: u8) -> Option<&'static str> {
        let name = self.any_stick(stick)?;
        let lot = format!("L{}", self.seen.done.get("lot").unwrap_or(&0));
        let correction = Correction { lot: Some(lot), ..Correction::default() };
        let done = self.book.correct(&name, &correction, &self.stamp);
        let corrected = self.allowed(done, true)?;
        self.corrected(&name, &corrected, (Length::ZERO, true));
        Some("lot")
    }

    /// What follows at the bench from a stick that is so much longer, or another one
    /// than was meant: then nothing more is cut from it for what it was laid out for.
    fn corrected(&mut self, name: &str, corrected: &Corrected, of: (Length, bool)) {
        let (longer, is_other) = of;
        if let Some(day) = self.model.day.as_mut().filter(|_| longer != Length::ZERO) {
            if let Some(lay) = day.lays.iter().find(|lay| lay.stick == name && lay.is_on) {
                let planned = (lay.moulding.clone(), lay.length, lay.length);
                day.measured.entry(name.to_owned()).or_insert(planned).2 = lay.length + longer;
            }
        }
        let day = self.model.day.iter_mut().flat_map(|day| &mut day.lays);
        let Some(lay) = day.into_iter().find(|lay| lay.stick == name && lay.is_on) else {
            let bench = self.book.bench().unwrap();
            let mut sticks = bench.iter().flat_map(|plan| &plan.sticks);
            let rest = sticks.find(|own| own.lay.stick == name && own.is_rest());
            let said = rest.map(|rest| (rest.left, rest.lay.label.clone()));
            assert_eq!((corrected.off.len(), &corrected.remains), (0, &said));
            return;
        };
        let end = lay.end();
        lay.kept.retain(|(from, ..)| *from < end);
        lay.length += longer;
        let far = lay.length - Length::from_64ths(64);
        let mut off = 0;
        for rail in lay.rails.iter_mut().filter(|rail| rail.state == State::ToCut) {
            if is_other || rail.to > far {
                rail.state = State::Off;
                off += 1;
            }
        }
        assert_eq!(corrected.off.len(), off);
        if !lay.is_open() {
            lay.is_on = false;
            assert_eq!(corrected.remains, None);
            return;
        }
        let (left, label) = corrected.remains.clone().unwrap();
        assert_eq!(left, (lay.length - lay.end()).max(Length::ZERO));
        assert_eq!(label.is_empty(), left < Length::from_64ths(8 * 64));
        if !label.is_empty() {
            lay.kept.push((lay.end(), left, label));
        }
    }

    pub(super) fn count(&mut self, place: u8, odd: u8, length: u16) -> Option<&'static str> {
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
        // Who counts all there is may say that the rest is gone; else it stays.
        let others_gone = length % 4 == 0;
        let found = Found { sticks: found, others_gone, ..Found::default() };
        let looked = self.book.count(place, &found, (&self.stamp, false)).unwrap();
        let done = self.book.count(place, &found, (&self.stamp, true));
        let counted = self.allowed(done, true)?;
        assert_eq!(counted, looked, "looking says what keeping does");
        assert!(counted.differences.len() <= 1);
        Some("count")
    }

    pub(super) fn scrap(&mut self, stick: u8) -> Option<&'static str> {
        let name = self.any_stick(stick)?;
        self.model.sticks.get_mut(&name).unwrap().length = Length::ZERO;
        let done = self.book.scrap(std::slice::from_ref(&name), &self.stamp);
        let off = &self.allowed(done, true)?[0].off;
        // What was still to be cut from it is owed.
        let lays = self.model.day.iter_mut().flat_map(|day| &mut day.lays);
        let Some(lay) = lays.into_iter().find(|lay| lay.stick == name && lay.is_on) else {
            assert!(off.is_empty());
            return Some("scrap");
        };
        let open = lay.rails.iter_mut().filter(|rail| rail.state == State::ToCut);
        assert_eq!(open.map(|rail| rail.state = State::Off).count(), off.len());
        lay.is_on = false;
        Some("scrap")
    }

    /// Orders what lacks; then nothing lacks that is not on order.
    pub(super) fn order(&mut self) -> Option<&'static str> {
        let today = self.today();
        let planned = |shop: &Shop| {
            let plan = plan_as_wished(shop, today, &Wishes::default(), limits()).unwrap();
            verify(shop, &plan).unwrap_or_else(|faults| panic!("{faults:?}"));
            plan
        };
        let snapshot = self.book.snapshot().unwrap();
        let plan = planned(&snapshot.shop);
        let shop = snapshot.shop.clone();
        let done = self.book.order(&snapshot, &plan, &self.stamp);
        for line in self.allowed(done, !plan.order.lines.is_empty())? {
            self.model.placed.insert(line.line, Placed::new(&line));
        }
        let then = planned(&self.book.snapshot().unwrap().shop);
        assert_eq!(then.order.lines, [], "what is on order is not ordered again");
        let later = self.book.snapshot().unwrap();
        let press = Stamp { token: String::new(), ..self.stamp.clone() };
        assert!(self.book.order(&later, &then, &press).is_err(), "there is nothing to order");
        // A day that is not settled can be another on the next look, and cut other frames.
        let is_settled =
            |plan: &Plan| plan.proof.iter().all(|proof| proof.part != Part::Today || proof.proven);
        if !is_settled(&plan) || !is_settled(&then) {
            *self.seen.done.entry("unsettled").or_default() += 1;
            return Some("order");
        }
        // A stick that was kept for an earlier frame may be free now that more comes: as
        // many as before are cut of each date, or of the first that is otherwise more.
        let counts = |plan: &Plan| -> Vec<usize> {
            let dates: BTreeSet<_> = shop.frames.iter().map(|f| (f.due.is_none(), f.due)).collect();
            let of = |date: &(bool, Option<Date>)| {
                plan.waiting
                    .iter()
                    .filter(|waits| (waits.due.is_none(), waits.due) == *date)
                    .count()
            };
            dates.iter().map(of).collect()
        };
        assert!(counts(&then) <= counts(&plan), "{:?}, before {:?}", then.waiting, plan.waiting);
        let still = |waits: &Waiting| plan.waiting.contains(waits);
        let buys = !shop.offers.is_empty();
        assert!(buys || then.waiting.iter().all(still), "{:?}, {:?}", then.waiting, plan.waiting);
        Some("order")
    }
}
