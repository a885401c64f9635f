//! Packing a few units' pieces again at less cost: a search that fills one unit
//! at a time from the longest piece left.
//!
//! Bin completion (Korf 2002, "A new algorithm for optimal bin packing", AAAI;
//! for bins of several sizes Haouari and Serairi 2009, "Heuristics for the
//! variable sized bin-packing problem", Computers & Operations Research 36) with
//! two bounds on what is left: the least that units with room for its length
//! cost, and its worth at proven prices. For stock of one run. A unit that a
//! piece left would still fit is never better than full, unless what is left of
//! it is worth something. A heuristic: each step looks at the most promising
//! fillings alone.

use rustc_hash::FxHashSet;

use crate::solve::bounds::completion::CompletionBound;
use crate::solve::cutting_plan::Column;
use crate::solve::instance::Instance;
use crate::solve::layout::Contents;
use crate::solve::prices::Prices;

/// Fillings of one unit that are tried, and steps for finding them.
const MOST_FILLINGS: usize = 24;
const FILL_STEPS: u64 = 3_000;

/// A type among the pieces to be packed.
#[derive(Clone, Copy)]
struct Local {
    of_type: usize,
    length: i64,
    value: i64,
    group: Option<u32>,
}

/// One way to fill a unit.
struct Filling {
    /// What all costs at least with it.
    total: i64,
    /// What it costs beyond the worth of its pieces.
    loss: i128,
    kind: usize,
    cost: i64,
    counts: Vec<u32>,
    length: i64,
    value: i128,
}

/// The search for a cheaper packing.
pub(crate) struct Repack<'a> {
    instance: &'a Instance,
    needs: &'a CompletionBound,
    scale: i128,
    /// What a unit of each kind can gain over its cost at the prices.
    charge: Vec<i128>,
    /// What all units that are left can gain.
    gain: i128,
    types: Vec<Local>,
    open: Vec<u32>,
    supply: Vec<u32>,
    length: i64,
    value: i128,
    target: i64,
    taken: Vec<(usize, Vec<u32>)>,
    failed: FxHashSet<Vec<u32>>,
    /// Steps that are left.
    pub left: u64,
}

impl<'a> Repack<'a> {
    /// A packing of `wanted` from `supply` for `target` at most, if one is
    /// found within `steps`. The prices must be proven.
    pub fn new(
        instance: &'a Instance,
        needs: &'a CompletionBound,
        prices: Option<&Prices>,
        wanted: &[(usize, u32)],
        supply: &[u32],
        target: i64,
        steps: u64,
    ) -> Repack<'a> {
        let types: Vec<Local> = wanted
            .iter()
            .map(|&(t, _)| Local {
                of_type: t,
                length: instance.types[t].length,
                value: prices.map_or(0, |prices| prices.piece[t]),
                group: instance.types[t].group,
            })
            .collect();
        let open: Vec<u32> = wanted.iter().map(|&(_, count)| count).collect();
        let each = || types.iter().zip(&open);
        let length = each().map(|(t, &count)| t.length * i64::from(count)).sum();
        let value = each().map(|(t, &count)| i128::from(t.value) * i128::from(count)).sum();
        let charge: Vec<i128> = match prices {
            Some(prices) => prices.charge.iter().map(|&charge| i128::from(charge)).collect(),
            None => vec![0; supply.len()],
        };
        let gain = charge.iter().zip(supply).map(|(c, &units)| c * i128::from(units)).sum();
        Repack {
            instance,
            needs,
            scale: prices.map_or(1, |prices| i128::from(prices.scale)),
            charge,
            gain,
            types,
            open,
            supply: supply.to_vec(),
            length,
            value,
            target,
            taken: Vec::new(),
            failed: FxHashSet::default(),
            left: steps,
        }
    }

    /// Searches; the columns if there is such a packing.
    pub fn run(&mut self) -> Option<Vec<Column>> {
        if !self.descend(0) {
            return None;
        }
        let taken = std::mem::take(&mut self.taken);
        taken.into_iter().map(|(kind, counts)| self.column(kind, &counts)).collect()
    }

    fn column(&self, kind: usize, counts: &[u32]) -> Option<Column> {
        let counted = self.types.iter().zip(counts).filter(|&(_, &count)| count > 0);
        let mut pieces: Contents = counted.map(|(t, &count)| (t.of_type, count)).collect();
        pieces.sort_unstable();
        Column::new(self.instance, kind, pieces)
    }

    /// Packs what is open after `paid`; whether that succeeded.
    fn descend(&mut self, paid: i64) -> bool {
        let Some(lead) = self.open.iter().position(|&count| count > 0) else {
            return true;
        };
        if self.left == 0 || self.least(paid, self.length, self.value, self.gain) > self.target {
            return false;
        }
        let mut key = self.open.clone();
        key.extend(&self.supply);
        if self.failed.contains(&key) {
            return false;
        }
        for filling in self.fillings(lead, paid) {
            self.apply(&filling, true);
            let done = self.descend(paid + filling.cost);
            if done {
                return true;
            }
            self.apply(&filling, false);
            if self.left == 0 {
                return false;
            }
        }
        self.failed.insert(key);
        false
    }

    fn apply(&mut self, filling: &Filling, take: bool) {
        for (open, &count) in self.open.iter_mut().zip(&filling.counts) {
            if take {
                *open -= count;
            } else {
                *open += count;
            }
        }
        if take {
            self.supply[filling.kind] -= 1;
            self.gain -= self.charge[filling.kind];
            self.length -= filling.length;
            self.value -= filling.value;
            self.taken.push((filling.kind, filling.counts.clone()));
        } else {
            self.supply[filling.kind] += 1;
            self.gain += self.charge[filling.kind];
            self.length += filling.length;
            self.value += filling.value;
            self.taken.pop();
        }
    }

    /// What all costs at least when so much is still to be packed.
    fn least(&self, paid: i64, length: i64, value: i128, gain: i128) -> i64 {
        let worth = crate::solve::bounds::material::ceil_div(value - gain, self.scale);
        let worth = i64::try_from(worth).unwrap_or(i64::MAX / 4);
        paid + self.needed(length).max(worth)
    }

    /// What the length costs at least.
    fn needed(&self, length: i64) -> i64 {
        self.needs.least(self.instance, &self.supply, length.max(0))
    }

    /// The most promising ways to fill a unit with the lead piece.
    fn fillings(&mut self, lead: usize, paid: i64) -> Vec<Filling> {
        let mut found = Vec::new();
        for kind in 0..self.supply.len() {
            let of_kind = &self.instance.kinds[kind];
            let (room, first) = (of_kind.room, self.types[lead]);
            let serves = of_kind.is_plain() && of_kind.serves(first.group);
            if self.supply[kind] == 0 || !serves || first.length > room {
                continue;
            }
            // What the unit costs at least.
            let cost = of_kind.cost_at(first.length).min(of_kind.cost);
            if self.needed(self.length - room) + paid + cost > self.target {
                continue;
            }
            let mut counts = vec![0; self.types.len()];
            counts[lead] = 1;
            let rest = i128::from(self.target - paid - cost) * self.scale;
            let lacking = self.value - (self.gain - self.charge[kind]) - rest;
            let mut filler = Filler {
                open: self,
                kind,
                paid,
                lacking: lacking as f64 - 1.0,
                shortest: self.shortest_filling(paid + cost, room),
                rate: self.rates(kind),
                counts,
                steps: FILL_STEPS.min(self.left),
                found: Vec::new(),
            };
            filler.extend(lead, room - first.length, first.value as f64);
            let spent = FILL_STEPS.min(self.left) - filler.steps;
            found.append(&mut filler.found);
            self.left = self.left.saturating_sub(spent + 1);
        }
        found.sort_by_key(|filling: &Filling| (filling.total, filling.loss));
        found.truncate(MOST_FILLINGS);
        found
    }

    /// The length that a unit must take, by what the rest would cost.
    fn shortest_filling(&self, paid: i64, room: i64) -> i64 {
        let (mut low, mut high) = (1, room);
        while low < high {
            let middle = (low + high) / 2;
            if paid + self.needed(self.length - middle) <= self.target {
                high = middle;
            } else {
                low = middle + 1;
            }
        }
        low
    }

    /// The best worth per length from each type on.
    fn rates(&self, kind: usize) -> Vec<f64> {
        let mut rates = vec![0.0; self.types.len() + 1];
        for (t, of_type) in self.types.iter().enumerate().rev() {
            let own = of_type.value as f64 / of_type.length as f64;
            let serves = self.instance.kinds[kind].serves(of_type.group);
            rates[t] = if serves && self.open[t] > 0 { own } else { 0.0f64 }.max(rates[t + 1]);
        }
        rates
    }
}

/// Finds the fillings of one unit.
struct Filler<'a, 'b> {
    open: &'a Repack<'b>,
    kind: usize,
    /// What is paid before the unit.
    paid: i64,
    shortest: i64,
    /// The worth that the unit must hold, and the best worth per length from
    /// each type on: guides that only drop fillings.
    lacking: f64,
    rate: Vec<f64>,
    counts: Vec<u32>,
    steps: u64,
    found: Vec<Filling>,
}

impl Filler<'_, '_> {
    /// Extends the filling by types from `t` on, most of the longest first.
    fn extend(&mut self, t: usize, room: i64, value: f64) {
        if self.steps == 0 {
            return;
        }
        self.steps -= 1;
        if value + self.rate[t] * (room as f64) < self.lacking {
            return;
        }
        let kind = &self.open.instance.kinds[self.kind];
        let fits = |filler: &Self, t: usize| {
            filler.open.types[t].length <= room
                && filler.counts[t] < filler.open.open[t]
                && kind.serves(filler.open.types[t].group)
        };
        let Some(next) = (t..self.counts.len()).find(|&t| fits(self, t)) else {
            self.record(room);
            return;
        };
        let of_type = self.open.types[next];
        let free = self.open.open[next] - self.counts[next];
        let most = u32::try_from(room / of_type.length).unwrap_or(u32::MAX).min(free);
        let before = self.counts[next];
        for more in (0..=most).rev() {
            self.counts[next] = before + more;
            let left = room - i64::from(more) * of_type.length;
            self.extend(next + 1, left, value + f64::from(more) * of_type.value as f64);
        }
        self.counts[next] = before;
    }

    fn record(&mut self, room: i64) {
        let kind = &self.open.instance.kinds[self.kind];
        let length = kind.room - room;
        if length < self.shortest {
            return;
        }
        let cost = kind.cost_at(length);
        // Not full, and nothing gained by it: a piece passed over would fit.
        let passed = self.counts.iter().zip(&self.open.open).zip(&self.open.types);
        let room_for = |t: &Local| t.length <= room && kind.serves(t.group);
        let mut passed = passed.into_iter();
        if cost == kind.cost && passed.any(|((&count, &open), t)| count < open && room_for(t)) {
            return;
        }
        let each = self.counts.iter().zip(&self.open.types);
        let value = each.map(|(&count, t)| i128::from(count) * i128::from(t.value)).sum::<i128>();
        let rest = (self.open.length - length, self.open.value - value);
        let charge = self.open.charge[self.kind];
        let paid = self.paid + cost;
        let total = self.open.least(paid, rest.0, rest.1, self.open.gain - charge);
        if total <= self.open.target {
            let loss = i128::from(cost) * self.open.scale + charge - value;
            let counts = self.counts.clone();
            self.found.push(Filling { total, loss, kind: self.kind, cost, counts, length, value });
        }
    }
}
