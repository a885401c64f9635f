//! The best plan out of a list of columns by dynamic programming over what has
//! been cut, kind after kind, kept small by proven prices.
//!
//! A state is worth keeping only while its cost, less the worth of what is cut,
//! leaves it within the gap between bound and best plan (states-space pruning by
//! a dual bound as in Christofides, Mingozzi and Toth 1981, "State-space
//! relaxation procedures for the computation of bounds to routing problems",
//! Networks 11). The gap is widened step by step, since the best plan is often
//! close to the bound. Exact as long as the states stay within the limit and
//! the demands fit 128 bits.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

use super::generate::Rest;
use super::instance::Instance;
use super::plan::{Column, Plan};
use super::pricing::Prices;

/// States that are kept at most.
const MOST_STATES: usize = 400_000;
/// Steps of widening the gap.
const WIDENING: [i128; 4] = [16, 4, 2, 1];

/// What came of the stages.
pub(super) enum Staged {
    /// The best plan.
    Best(Plan),
    /// No plan costs less than what was to be beaten.
    Nothing,
    /// Too many states; no plan costs less than this.
    AtLeast(i128),
}

/// The best plan over the columns that costs less than `beat`. The prices must
/// be proven: no column costs less than its pieces are worth less its charge.
pub(super) fn solve(
    instance: &Instance,
    rest: &Rest,
    prices: &Prices,
    columns: &[Column],
    beat: i64,
    steps: &mut u64,
) -> Staged {
    let Some(stages) = Stages::new(instance, rest, prices, columns) else {
        return Staged::AtLeast(i128::MIN);
    };
    // Costs beside what is paid, in fixed point.
    let beyond = i128::from(beat) - 1 - i128::from(rest.paid);
    let gap = beyond * i128::from(prices.scale) - stages.bound;
    let mut proven = i128::MIN;
    for share in WIDENING {
        let Ok(within) = i64::try_from(gap / share) else {
            break;
        };
        match stages.run(within, steps) {
            None => return Staged::AtLeast(proven),
            // A plan beyond the gap was met by chance, and others there missed.
            Some(Some(plan)) if stages.takes(&plan) <= i128::from(within) => {
                return Staged::Best(plan);
            }
            Some(_) => {
                let bound = stages.bound + i128::from(within);
                proven = bound.div_euclid(i128::from(prices.scale)) + 1 + i128::from(rest.paid);
            }
        }
    }
    if proven == i128::MIN { Staged::AtLeast(proven) } else { Staged::Nothing }
}

/// A column as a step.
#[derive(Clone, Copy)]
struct Step {
    packed: u128,
    cost: i64,
    value: i64,
    /// Cost and charge beyond the worth: what it takes of the gap.
    loss: i64,
    column: usize,
}

/// The steps of one limited kind.
struct Stage {
    steps: Vec<Step>,
    units: u32,
    charge: i64,
}

struct Stages<'a> {
    columns: &'a [Column],
    stages: Vec<Stage>,
    /// Steps of endless stock, by the first type that they cut.
    endless: Vec<Vec<Step>>,
    /// The lowest bit of each type with its guard, first type highest.
    shift: Vec<u32>,
    guards: u128,
    full: u128,
    scale: i64,
    /// Worth of everything less all charges.
    bound: i128,
}

#[derive(Clone, Copy)]
struct State {
    packed: u128,
    cost: i64,
    value: i64,
    link: u32,
}

impl<'a> Stages<'a> {
    fn new(
        instance: &Instance,
        rest: &Rest,
        prices: &Prices,
        columns: &'a [Column],
    ) -> Option<Stages<'a>> {
        let types = rest.wanted.len();
        let (mut bits, mut guards, mut full) = (0, 0u128, 0u128);
        let mut shift = vec![0; types];
        for t in (0..types).rev() {
            shift[t] = bits;
            bits += u32::BITS - rest.wanted[t].leading_zeros() + 1;
            if bits > u128::BITS {
                return None;
            }
            guards |= 1 << (bits - 1);
            full |= u128::from(rest.wanted[t]) << shift[t];
        }
        let mut stages = Stages {
            columns,
            stages: Vec::new(),
            endless: vec![Vec::new(); types],
            shift,
            guards,
            full,
            scale: prices.scale,
            bound: worth(&rest.wanted, prices),
        };
        for (k, kind) in instance.kinds.iter().enumerate().filter(|&(k, _)| rest.supply[k] > 0) {
            let charge = prices.charge[k];
            stages.bound -= i128::from(charge) * i128::from(rest.supply[k]);
            let of_kind = columns.iter().enumerate().filter(|(_, column)| column.kind == k);
            let mut steps: Vec<Step> =
                of_kind.map(|(c, column)| stages.step(c, column, prices)).collect();
            steps.sort_by_key(|step| (step.loss, step.column));
            if kind.limited {
                stages.stages.push(Stage { steps, units: rest.supply[k], charge });
            } else {
                // What it gains by unused units is not counted on.
                for step in steps {
                    stages.endless[columns[step.column].pieces[0].0].push(step);
                }
            }
        }
        for steps in &mut stages.endless {
            steps.sort_by_key(|step| (step.loss, step.column));
        }
        // The dearest to leave out first: most states die at once.
        stages.stages.sort_by_key(|stage| (-stage.charge, stage.steps.len()));
        Some(stages)
    }

    fn step(&self, c: usize, column: &Column, prices: &Prices) -> Step {
        let value = column.pieces.iter().map(|&(t, n)| prices.piece[t] * i64::from(n)).sum();
        let packed = column.pieces.iter().map(|&(t, n)| u128::from(n) << self.shift[t]).sum();
        Step {
            packed,
            cost: column.cost,
            value,
            loss: prices.scale * column.cost + prices.charge[column.kind] - value,
            column: c,
        }
    }

    /// What a plan takes of the gap.
    fn takes(&self, plan: &Plan) -> i128 {
        i128::from(plan.cost) * i128::from(self.scale) - self.bound
    }

    /// The best plan within the gap, if any; nothing if there are too many
    /// states or steps.
    fn run(&self, gap: i64, steps: &mut u64) -> Option<Option<Plan>> {
        let mut table = Table::new();
        // What the charges of the kinds behind us come to.
        let mut charged = 0i64;
        for stage in &self.stages {
            for _ in 0..stage.units {
                let before = table.states.clone();
                for state in &before {
                    let spent = self.spent(state, charged);
                    self.extend(&mut table, state, &stage.steps, gap - spent, steps)?;
                }
                charged += stage.charge;
                table.keep(|state| self.spent(state, charged) <= gap);
                if table.states.len() > MOST_STATES {
                    return None;
                }
                if table.states.is_empty() {
                    return Some(None);
                }
            }
        }
        self.finish(table, gap, charged, steps)
    }

    /// What a state has taken of the gap.
    fn spent(&self, state: &State, charged: i64) -> i64 {
        state.cost * self.scale - state.value + charged
    }

    fn extend(
        &self,
        table: &mut Table,
        state: &State,
        list: &[Step],
        gap: i64,
        steps: &mut u64,
    ) -> Option<()> {
        let open = (self.full - state.packed) | self.guards;
        for (tried, step) in list.iter().enumerate() {
            if step.loss > gap {
                *steps = steps.checked_sub(tried as u64 / 8 + 1)?;
                return Some(());
            }
            if (open - step.packed) & self.guards == self.guards {
                table.reach(state, step);
            }
        }
        *steps = steps.checked_sub(list.len() as u64 / 8 + 1)?;
        Some(())
    }

    /// Cuts the first type still open from endless stock, states with fewer
    /// pieces of the first types first.
    fn finish(
        &self,
        mut table: Table,
        gap: i64,
        charged: i64,
        steps: &mut u64,
    ) -> Option<Option<Plan>> {
        // By first open type: a step never leads back to an earlier one.
        for t in 0..self.shift.len() {
            let digit = |packed: u128| {
                let top = self.guards >> self.shift[t];
                (packed >> self.shift[t]) & ((1 << top.trailing_zeros()) - 1)
            };
            let wanted = digit(self.full);
            for count in 0..wanted {
                let before: Vec<State> =
                    table.states.iter().filter(|s| digit(s.packed) == count).copied().collect();
                for state in &before {
                    let left = gap - self.spent(state, charged);
                    self.extend(&mut table, state, &self.endless[t], left, steps)?;
                }
                // Behind us: nothing leads on from them.
                table.keep(|state| digit(state.packed) != count);
                if table.states.len() > MOST_STATES {
                    return None;
                }
            }
        }
        let end = table.states.iter().find(|state| state.packed == self.full);
        Some(end.map(|end| self.plan(&table, end.link)))
    }

    fn plan(&self, table: &Table, mut link: u32) -> Plan {
        let mut uses: Vec<(Column, u32)> = Vec::new();
        while let Some((before, column)) = table.links[link as usize] {
            uses.push((self.columns[column].clone(), 1));
            link = before;
        }
        Plan::new(uses)
    }
}

fn worth(wanted: &[u32], prices: &Prices) -> i128 {
    let each = wanted.iter().zip(&prices.piece);
    each.map(|(&count, &piece)| i128::from(count) * i128::from(piece)).sum()
}

/// States with the cheapest way to each.
struct Table {
    states: Vec<State>,
    place: HashMap<u128, u32, BuildHasherDefault<Mixer>>,
    /// The link before and the column taken.
    links: Vec<Option<(u32, usize)>>,
}

impl Table {
    fn new() -> Table {
        let start = State { packed: 0, cost: 0, value: 0, link: 0 };
        Table { states: vec![start], place: HashMap::from_iter([(0, 0)]), links: vec![None] }
    }

    fn reach(&mut self, from: &State, step: &Step) {
        let packed = from.packed + step.packed;
        let cost = from.cost + step.cost;
        let fresh = u32::try_from(self.states.len()).expect("far fewer states");
        let place = *self.place.entry(packed).or_insert(fresh);
        let link = u32::try_from(self.links.len()).expect("steps are limited");
        if place == fresh {
            self.states.push(State { packed, cost, value: from.value + step.value, link });
        } else {
            let state = &mut self.states[place as usize];
            if state.cost <= cost {
                return;
            }
            state.cost = cost;
            state.link = link;
        }
        self.links.push(Some((from.link, step.column)));
    }

    fn keep(&mut self, kept: impl Fn(&State) -> bool) {
        let before = self.states.len();
        self.states.retain(kept);
        if self.states.len() < before {
            let states = self.states.iter().enumerate();
            self.place.clear();
            self.place.extend(
                states
                    .map(|(i, state)| (state.packed, u32::try_from(i).expect("far fewer states"))),
            );
        }
    }
}

/// A hash for keys that are spread by multiplication; looked up only, so that
/// its order never shows.
#[derive(Default)]
struct Mixer(u64);

impl Hasher for Mixer {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for &byte in bytes {
            self.write_u64(u64::from(byte));
        }
    }

    fn write_u64(&mut self, word: u64) {
        self.0 = (self.0.rotate_left(23) ^ word).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        self.0 ^= self.0 >> 29;
    }

    fn write_u128(&mut self, word: u128) {
        self.write_u64(word as u64);
        self.write_u64((word >> 64) as u64);
    }
}
