//! One split of a moulding: what its packings use up, for any pieces that arrive.
//!
//! `U(y)` is what the packing of the layers that are cut here uses up when the
//! pieces `y` arrive, each stick counting what it counts uncut. Three things are
//! known of it without packing for each `y`. A packing that cuts no more of any
//! kind than `y` has serves `y` too. What is used up from fewer pieces is never
//! less than from more. And if packing with endless pieces at the premiums `q`
//! comes to no less than `b`, then `U(y) >= b - q y`.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use super::kept::{Kept, is_whole, keep_whole};
use super::least_used::LeastUsed;
use super::packer::{
    Attempt, Look, PackStick, Phase, looks, of_rack, pack, pieces, rack_and_endless,
};
use super::pieces::{Alike, BOUNDS, Pieces, Premiums};
use super::record::PackingRecord;
use super::splits::Split;
use super::wants::Wants;
use crate::buy::UNKNOWN;
use crate::planner::effort::Effort;

/// So many bounds are looked through in a step; what a packing keeps takes two.
const LOOKS_A_STEP: u64 = 8;

/// What a split and its packings are known to come to.
pub(super) struct SplitPackings {
    pub split: Split,
    /// The length that is cut.
    length: i64,
    /// For each list of premiums of the pieces, the least that anything uses up, by
    /// how late the pieces may be.
    least: BTreeMap<usize, Premiums>,
    /// Whether that comes from packing, not from lengths alone.
    pub is_packed: bool,
    pub(super) records: Vec<PackingRecord>,
    /// For some pieces the least that packing from them uses up.
    least_used: LeastUsed,
    /// The same where each stick of the rack that is cut counts a thousandth.
    pub(super) leaving: LeastUsed,
}

/// What is known for some pieces.
pub(super) struct KnownPacking {
    /// Nothing uses up less than this.
    pub least: i64,
    /// The best packing that is known, and what it uses up.
    pub best: Option<(usize, i64)>,
}

impl SplitPackings {
    /// Nothing is known of it but that its least by length is this.
    pub fn new(split: Split, length: i64, by_length: i64, lateness: &[usize]) -> SplitPackings {
        let is_packed = split.cut.is_empty();
        let none = i64::MIN / 4;
        let least = if is_packed { [0; BOUNDS] } else { [by_length, none, none, none] };
        let least = lateness.iter().map(|late| (*late, least)).collect();
        let nothing = PackingRecord {
            phases: Vec::new(),
            cut: Vec::new(),
            used_up: 0,
            opened: 0,
            rack_left: Vec::new(),
        };
        let records = if is_packed { vec![nothing] } else { Vec::new() };
        let (least_used, leaving) = (LeastUsed::default(), LeastUsed::default());
        SplitPackings { split, length, least, is_packed, records, least_used, leaving }
    }

    /// Lifts the bounds to these, one for each list of premiums, where they are higher.
    pub fn lift(&mut self, late: usize, least: [Option<i64>; BOUNDS]) {
        let own = self.least.get_mut(&late).into_iter().flatten();
        for (own, least) in own.zip(least) {
            *own = least.map_or(*own, |least| least.max(*own));
        }
    }

    /// The bounds that hold for pieces that are so late: of those that are all in time
    /// every one does.
    fn least(&self, late: usize, bound: usize) -> i64 {
        let holds = self.least.iter().filter(|(of, _)| late == 0 || late == **of);
        holds.map(|(_, least)| least[bound]).max().unwrap_or(0)
    }

    /// What each packing that is known cuts of each kind, and uses up.
    pub fn packings(&self) -> impl Iterator<Item = (&Vec<u32>, i64)> {
        self.records.iter().map(|record| (&record.cut, record.used_up))
    }

    /// What is cut of each kind in the packings that are known.
    pub fn cut(&self) -> impl Iterator<Item = &Vec<u32>> {
        self.records.iter().map(|record| &record.cut)
    }

    /// Whether some packing is known.
    pub fn has_record(&self) -> bool {
        !self.records.is_empty()
    }

    pub fn record(&self, place: usize) -> &PackingRecord {
        &self.records[place]
    }

    /// What it takes to look up what is known of some pieces, in steps.
    pub fn size(&self) -> u64 {
        1 + 2 * self.records.len() as u64 + self.least_used.count() as u64 / LOOKS_A_STEP
    }

    /// The bounds that hold for all pieces of such lateness, for each list of their
    /// premiums; `None` if nothing can be cut from all that there is.
    pub fn bounds(&self, late: usize) -> Option<Premiums> {
        self.least.get(&late).copied().filter(|least| least[0] < UNKNOWN)
    }

    /// What is known of some pieces; `None` if it is known that they do not do.
    pub fn known(
        &self,
        wants: &Wants,
        pieces: &Pieces,
        kept: &Kept,
        some: &[u32],
    ) -> Option<KnownPacking> {
        if kept.count(pieces, some) < kept.least {
            return None;
        }
        let counts = || pieces.kinds.iter().zip(some);
        let room = |(kind, count): (&Alike, &u32)| {
            if kind.is_of_use { kind.room.saturating_mul(i64::from(*count)) } else { 0 }
        };
        if kept.rack_room + counts().map(room).sum::<i64>() < self.length {
            return None;
        }
        let before = kept.before;
        let late = pieces.late(some)?;
        let with = |bound: usize| {
            let premium = |(kind, count): (&Alike, &u32)| {
                kind.premiums[bound].saturating_mul(i64::from(*count))
            };
            self.least(late, bound) - counts().map(premium).sum::<i64>()
        };
        let least = (0..BOUNDS).map(with).max().unwrap_or(0);
        let mut least = least + before - kept.at_most(pieces, some);
        least = least.max(self.least_used.of(pieces, kept, some).unwrap_or(least));
        if least >= UNKNOWN {
            return None;
        }
        let mut best: Option<(usize, i64)> = None;
        for (place, record) in self.records.iter().enumerate() {
            let Some(after) = record.kept(wants, pieces, kept, some) else { continue };
            let used_up = record.used_up + before - after;
            // Of packings that are as good the one from the fewest sticks, then the
            // one that leaves the rack's.
            let is_better = |(other, best): (usize, i64)| {
                let other = &self.records[other];
                let new = |record: &PackingRecord| Reverse(record.new_cut(pieces));
                (used_up, record.opened, new(record)) < (best, other.opened, new(other))
            };
            if best.is_none_or(is_better) {
                best = Some((place, used_up));
            }
        }
        // Where worth differs by length the bound of what is kept is a rough one;
        // where nothing is cut there is nothing to be packed better.
        let least = match best {
            Some((_, best)) if self.split.cut.is_empty() => best,
            Some((_, best)) => least.min(best),
            None => least,
        };
        Some(KnownPacking { least, best })
    }

    /// Packs with endless pieces at each list of premiums. The steps taken.
    pub fn pack<'a>(&mut self, wants: &Wants<'a>, pieces_of: &Pieces, effort: Effort<'a>) -> u64 {
        self.is_packed = true;
        let mut steps = 0;
        for late in pieces_of.lateness() {
            let mut least = [None; BOUNDS];
            for (at, least) in least.iter_mut().enumerate() {
                let sticks = rack_and_endless(wants, pieces_of, at, &|kind| kind.is_by(late));
                for &look in looks(wants) {
                    let attempt =
                        self.attempt(wants, pieces_of, sticks.clone(), late, look, effort);
                    steps += attempt.steps;
                    *least = (*least).max(attempt.bound(0));
                    self.note(wants, pieces_of, attempt);
                }
            }
            self.lift(late, least);
        }
        steps
    }

    /// Packs from endless pieces without the long ones that might be halved, or
    /// without halves.
    pub fn pack_unmixed<'a>(
        &mut self,
        wants: &Wants<'a>,
        pieces_of: &Pieces,
        halved: bool,
        effort: Effort<'a>,
    ) {
        for late in pieces_of.lateness() {
            let is_taken = |kind: &Alike| {
                let is_other = if halved { kind.long && !kind.halved } else { kind.halved };
                !is_other && kind.is_by(late)
            };
            self.pack_endless(wants, pieces_of, (&is_taken, late), effort);
        }
    }

    /// Packs from the rack and endless pieces of these kinds, of which none may be later.
    /// The steps taken.
    fn pack_endless<'a>(
        &mut self,
        wants: &Wants<'a>,
        pieces_of: &Pieces,
        (is_taken, late): (&dyn Fn(&Alike) -> bool, usize),
        effort: Effort<'a>,
    ) -> u64 {
        let sticks = rack_and_endless(wants, pieces_of, 0, is_taken);
        let attempt = self.attempt(wants, pieces_of, sticks, late, Look::Whole, effort);
        let steps = attempt.steps;
        self.note(wants, pieces_of, attempt);
        steps
    }

    /// Packs from endless pieces of each lot in time for all, by itself and with each lot
    /// that is late, as long as no more than so many steps were taken. Whoever is ordered
    /// from adds something to the whole, so that few may be cheaper than many.
    pub fn pack_by_few<'a>(
        &mut self,
        wants: &Wants<'a>,
        pieces_of: &Pieces,
        most: u64,
        effort: Effort<'a>,
    ) {
        let of_use = pieces_of.kinds.iter().filter(|kind| kind.is_of_use);
        let lots: BTreeSet<(usize, u32)> = of_use.map(|kind| (kind.late, kind.lot)).collect();
        let in_time = lots.iter().filter(|(late, _)| *late == 0);
        let mut steps = 0;
        for first in in_time {
            for second in lots.iter().filter(|lot| lot.0 > 0 || *lot == first) {
                if steps > most {
                    return;
                }
                let is_taken = |kind: &Alike| [first, second].contains(&&(kind.late, kind.lot));
                steps += self.pack_endless(wants, pieces_of, (&is_taken, second.0), effort);
            }
        }
    }

    /// Packs with just these pieces. The steps taken.
    pub fn pack_from<'a>(
        &mut self,
        wants: &Wants<'a>,
        pieces_of: &Pieces,
        kept: &Kept,
        some: &[u32],
        look: Look,
        effort: Effort<'a>,
    ) -> u64 {
        let (mut sticks, late) = self.sticks(wants, pieces_of, kept, some);
        let has_budget = wants.shop.settings.buying.spare_most.is_some();
        let more = match look == Look::Whole && has_budget {
            // As good a packing that leaves the rack's sticks spends less beyond need.
            true => self.pack_leaving(wants, pieces_of, kept, some, effort),
            false => 0,
        };
        if !(kept.is_plain || kept.is_alike(pieces_of, some)) {
            return more
                + self.pack_charged(wants, pieces_of, kept, some, (sticks, late, look), effort);
        }
        let idle = |(kind, count): (&Alike, &u32)| {
            if kind.is_whole && !kind.is_of_use { *count as usize } else { 0 }
        };
        let idle: usize = pieces_of.kinds.iter().zip(some).map(idle).sum();
        keep_whole(wants, pieces_of, kept, idle, &mut sticks);
        let attempt = self.attempt(wants, pieces_of, sticks, late, look, effort);
        let steps = more + attempt.steps;
        let bound = attempt.bound(kept.before - kept.at_most(pieces_of, some));
        self.least_used.know(pieces_of, some, look, bound);
        self.note(wants, pieces_of, attempt);
        steps
    }

    /// The rack's sticks and these pieces, and how late these are.
    pub(super) fn sticks(
        &self,
        wants: &Wants,
        pieces_of: &Pieces,
        kept: &Kept,
        some: &[u32],
    ) -> (Vec<PackStick>, usize) {
        let (mut sticks, mut late) = (of_rack(wants), 0);
        // What is more than there are rails, beside what is to be kept, changes nothing.
        let rails = self.split.cut.iter().map(|layer| wants.asks[layer.ask].rails.len());
        let most = rails.sum::<usize>() + kept.keep;
        for (place, kind) in pieces_of.kinds.iter().enumerate().filter(|(_, k)| k.is_of_use) {
            for _ in 0..most.min(some[place] as usize) {
                sticks.push(pieces(wants, (place, kind), 0, false));
                late = late.max(kind.late);
            }
        }
        (sticks, late)
    }

    /// The same where it matters which whole sticks are kept: each one that is cut
    /// is charged for, with nothing or with all that it counts more for the rack.
    ///
    /// Of `w` whole sticks those beyond the number to be kept may be cut for
    /// nothing; so what it costs with `c` of them cut is no less than with a charge
    /// on each, less that charge for as many as may be. That holds for any charge up
    /// to what one counts.
    fn pack_charged<'a>(
        &mut self,
        wants: &Wants<'a>,
        pieces_of: &Pieces,
        kept: &Kept,
        some: &[u32],
        (sticks, late, look): (Vec<PackStick>, usize, Look),
        effort: Effort<'a>,
    ) -> u64 {
        let free = kept.count(pieces_of, some).saturating_sub(kept.keep);
        let free = i64::try_from(free).unwrap_or(i64::MAX);
        let least = kept.before - kept.at_most(pieces_of, some);
        let (mut steps, mut best) = (0, None);
        for charge in BTreeSet::from([0, kept.most.max(0)]) {
            let mut sticks = sticks.clone();
            for stick in sticks.iter_mut().filter(|stick| is_whole(wants, pieces_of, stick)) {
                stick.charge(charge);
            }
            let attempt = self.attempt(wants, pieces_of, sticks, late, look, effort);
            steps += attempt.steps;
            best = best.max(attempt.bound(least - charge.saturating_mul(free)));
            self.note(wants, pieces_of, attempt);
        }
        if kept.least > 0 && look == Look::Whole {
            let mut sticks = sticks;
            keep_whole(wants, pieces_of, kept, 0, &mut sticks);
            let attempt = self.attempt(wants, pieces_of, sticks, late, look, effort);
            steps += attempt.steps;
            self.note(wants, pieces_of, attempt);
        }
        self.least_used.know(pieces_of, some, look, best);
        steps
    }

    pub(super) fn attempt<'a>(
        &self,
        wants: &Wants<'a>,
        pieces: &Pieces,
        sticks: Vec<PackStick>,
        late: usize,
        look: Look,
        effort: Effort<'a>,
    ) -> Attempt {
        // Layers wanted after the last date that such pieces miss can wait.
        let from = wants.urgent_before(&wants.layers, late);
        let is_late = |kind: usize| pieces.kinds[kind].late > 0;
        pack(wants, &self.split.cut, sticks, &is_late, from, look, effort)
    }

    pub(super) fn note(&mut self, wants: &Wants, pieces: &Pieces, attempt: Attempt) {
        let Some(phases) = attempt.phases else { return };
        let mut cut = vec![0; pieces.kinds.len()];
        for phase in &phases {
            for &source in &phase.cut {
                cut[phase.kinds[source].expect("what is bought is of a kind")] += 1;
            }
        }
        let touched: BTreeSet<Option<usize>> = phases.iter().flat_map(Phase::rack_cut).collect();
        let left = wants
            .rack
            .iter()
            .filter(|(place, source)| wants.counted.is_whole(source) && !touched.contains(place));
        let rack_left = left.map(|(_, source)| source.length).collect();
        let used_up = phases.iter().map(|phase| phase.used_up).sum();
        let bought: u32 = cut.iter().sum();
        let opened = touched.len() + bought as usize;
        self.records.push(PackingRecord { phases, cut, used_up, opened, rack_left });
    }
}
