//! The best plan out of a list of columns by dynamic programming over what has
//! been cut, kind after kind, kept small by proven prices.
//!
//! A state is worth keeping only while its cost, less the worth of what is cut,
//! leaves it within the gap between bound and best plan (states-space pruning by
//! a dual bound as in Christofides, Mingozzi and Toth 1981, "State-space
//! relaxation procedures for the computation of bounds to routing problems",
//! Networks 11), and only while the length still to be cut can be had from the
//! stock still to come at what is left to spend. Exact as long as the states
//! stay within the limit and the demands fit 128 bits.

use std::rc::Rc;

use super::stock_states::{ColumnStep, State, StockStates};
use crate::solve::bounds::knapsack::CompletionTable;
use crate::solve::bounds::total_length::LengthCosts;
use crate::solve::cutting_plan::{Column, CuttingPlan};
use crate::solve::instance::Instance;
use crate::solve::outcome::Settled;
use crate::solve::prices::Prices;
use crate::solve::residual::Residual;
use crate::solve::search::Search;
use crate::solve::watchman::Watchman;

/// States that are kept at most.
const MOST_STATES: usize = 400_000;
/// Joined pairs to the gap in the outlook.
const JOINS: i64 = 64;

/// What is known of the cost of what is still to be cut.
pub(crate) enum Reachable {
    Unknown,
    /// By its length.
    Lengths(LengthCosts),
    /// By its worth at the prices; the prices are of the whole problem.
    Fronts(CompletionTable),
}

/// The best plan over the columns that costs less than `cutoff`. The prices must
/// be proven: no column costs less than its pieces are worth less its charge.
///
/// Takes `left` steps at most, and counts them.
pub(crate) fn solve(
    search: &mut Search,
    rest: &Residual,
    prices: &Prices,
    columns: &[Column],
    cutoff: i64,
    outlook: &Reachable,
    left: &mut u64,
) -> Settled<CuttingPlan> {
    let instance = Rc::clone(&search.instance);
    let Some(stages) = Stages::new(&instance, rest, prices, columns, cutoff, outlook) else {
        return Settled::Unknown;
    };
    // Costs beside what is paid, in fixed point.
    let beyond = i128::from(cutoff) - 1 - i128::from(rest.paid);
    let gap = beyond * i128::from(prices.scale) - (stages.worth - stages.charged);
    // A state's cost is never more than gap and worth, its charges never more than
    // all: if these fit 64 bits together, so does every sum on the way.
    let all = gap.max(0) + stages.worth + stages.charged;
    let (Ok(gap), Ok(_)) = (i64::try_from(gap), i64::try_from(all)) else {
        return Settled::Unknown;
    };
    let mut meter = Meter { search, left };
    match stages.run(gap, &mut meter) {
        None => Settled::Unknown,
        // A plan beyond the gap was met by chance, and others there missed.
        Some(Some(plan)) if plan.cost < cutoff => Settled::Yes(plan),
        Some(_) => Settled::No,
    }
}

/// Counts steps against the limits of the whole search and a limit of its own.
struct Meter<'a, 'b> {
    search: &'a mut Search<'b>,
    left: &'a mut u64,
}

impl Meter<'_, '_> {
    fn spend(&mut self, steps: u64) -> Option<()> {
        *self.left = self.left.saturating_sub(steps);
        (self.search.spend(steps) && *self.left > 0).then_some(())
    }
}

/// The steps of one limited kind.
struct KindSteps {
    steps: Vec<ColumnStep>,
    units: u32,
    charge: i64,
}

struct Stages<'a> {
    columns: &'a [Column],
    stages: Vec<KindSteps>,
    /// Steps of endless stock, by the first type that they cut.
    endless: Vec<Vec<ColumnStep>>,
    /// The lowest bit of each type with its guard, first type highest.
    shift: Vec<u32>,
    guards: u128,
    full: u128,
    scale: i64,
    /// Worth of everything.
    worth: i128,
    /// All charges.
    charged: i128,
    outlook: &'a Reachable,
    total: i64,
    /// What a plan must cost less than, beside what is paid.
    cutoff: i64,
}

impl<'a> Stages<'a> {
    fn new(
        instance: &Instance,
        rest: &Residual,
        prices: &Prices,
        columns: &'a [Column],
        cutoff: i64,
        outlook: &'a Reachable,
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
            worth: worth(&rest.wanted, prices),
            charged: 0,
            outlook,
            total: instance.length_of(&rest.wanted),
            cutoff: cutoff - rest.paid,
        };
        for k in order(instance, rest, prices) {
            let charge = prices.charge[k];
            stages.charged += i128::from(charge) * i128::from(rest.supply[k]);
            let of_kind = columns.iter().enumerate().filter(|(_, column)| column.kind == k);
            let mut steps: Vec<ColumnStep> =
                of_kind.map(|(c, column)| stages.step(instance, c, column, prices)).collect();
            steps.sort_by_key(|step| (step.loss, step.column));
            if instance.kinds[k].limited {
                stages.stages.push(KindSteps { steps, units: rest.supply[k], charge });
            } else {
                for step in steps {
                    stages.endless[columns[step.column].pieces[0].0].push(step);
                }
            }
        }
        for steps in &mut stages.endless {
            steps.sort_by_key(|step| (step.loss, step.column));
        }
        Some(stages)
    }

    fn step(&self, instance: &Instance, c: usize, column: &Column, prices: &Prices) -> ColumnStep {
        let value = column.pieces.iter().map(|&(t, n)| prices.piece[t] * i64::from(n)).sum();
        let packed = column.pieces.iter().map(|&(t, n)| u128::from(n) << self.shift[t]).sum();
        ColumnStep {
            packed,
            cost: column.cost,
            value,
            length: column.length(instance),
            loss: prices.paid(column.kind, column.cost).saturating_sub(value),
            column: c,
        }
    }

    /// The best plan within the gap, if any; nothing if there are too many
    /// states or steps.
    fn run(&self, gap: i64, meter: &mut Meter) -> Option<Option<CuttingPlan>> {
        let mut table = StockStates::new();
        // What the charges of the kinds behind us come to.
        let mut charged = 0i64;
        for (out, stage) in self.stages.iter().enumerate() {
            for unit in 1..=stage.units {
                let before = table.states.clone();
                for state in &before {
                    let spent = self.spent(state, charged);
                    self.extend(&mut table, state, &stage.steps, gap - spent, meter)?;
                }
                charged += stage.charge;
                let (out, used) = if unit == stage.units { (out + 1, 0) } else { (out, unit) };
                let lasts = |state: &State| self.can_end(state, out, used);
                table.keep(|state| self.spent(state, charged) <= gap && lasts(state));
                if table.states.len() > MOST_STATES {
                    return None;
                }
                if table.states.is_empty() {
                    return Some(None);
                }
            }
        }
        self.finish(table, gap, charged, meter)
    }

    /// What a state has taken of the gap.
    fn spent(&self, state: &State, charged: i64) -> i64 {
        state.cost * self.scale - state.value + charged
    }

    /// Whether what is still to be cut can be had from all but the first `out`
    /// stages and `used` units of the next, and from endless stock.
    fn can_end(&self, state: &State, out: usize, used: u32) -> bool {
        match self.outlook {
            Reachable::Unknown => true,
            Reachable::Lengths(lengths) => {
                let more = lengths.least(out, self.total - state.length);
                state.cost.saturating_add(more) < self.cutoff
            }
            Reachable::Fronts(ahead) => ahead.is_hopeful(out, used, state.value, state.cost),
        }
    }

    /// The same from endless stock alone, some of which may be in use.
    fn can_end_endless(&self, state: &State) -> bool {
        let out = self.stages.len();
        match self.outlook {
            Reachable::Fronts(ahead) => ahead.is_hopeful_beyond(out, state.value, state.cost),
            Reachable::Unknown | Reachable::Lengths(_) => self.can_end(state, out, 0),
        }
    }

    fn extend(
        &self,
        table: &mut StockStates,
        state: &State,
        list: &[ColumnStep],
        gap: i64,
        meter: &mut Meter,
    ) -> Option<()> {
        let open = (self.full - state.packed) | self.guards;
        let end = list.partition_point(|step| step.loss <= gap);
        let mut reached = 0;
        for step in &list[..end] {
            if (open - step.packed) & self.guards == self.guards {
                table.reach(state, step);
                reached += 1;
            }
        }
        if table.is_full() {
            return None;
        }
        meter.spend(1 + end as u64 / 16 + reached)
    }

    /// Cuts the first type still open from endless stock, states with fewer
    /// pieces of the first types first.
    fn finish(
        &self,
        mut table: StockStates,
        gap: i64,
        charged: i64,
        meter: &mut Meter,
    ) -> Option<Option<CuttingPlan>> {
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
                    self.extend(&mut table, state, &self.endless[t], left, meter)?;
                }
                // Behind us: nothing leads on from them.
                table.keep(|state| digit(state.packed) != count && self.can_end_endless(state));
                if table.states.len() > MOST_STATES {
                    return None;
                }
            }
        }
        let end = table.states.iter().find(|state| state.packed == self.full);
        Some(end.map(|end| self.plan(&table, end.link)))
    }

    fn plan(&self, table: &StockStates, mut link: u32) -> CuttingPlan {
        let mut uses: Vec<(Column, u32)> = Vec::new();
        while let (before, Some(column)) = table.links[link as usize] {
            uses.push((self.columns[column].clone(), 1));
            link = before;
        }
        CuttingPlan::new(uses)
    }
}

/// Kinds in the order of their stages: the dearest to leave out first, so that
/// most states die at once; equal ones and endless ones in their own order.
fn order(instance: &Instance, rest: &Residual, prices: &Prices) -> Vec<usize> {
    let mut order: Vec<usize> = (0..instance.kinds.len()).filter(|&k| rest.supply[k] > 0).collect();
    order.sort_by_key(|&k| (!instance.kinds[k].limited, -prices.charge[k]));
    order
}

/// What the kinds still to come cost at least at these prices, for plans of less
/// than `cutoff`, by worth.
pub(crate) fn ahead(
    instance: &Instance,
    rest: &Residual,
    prices: &Prices,
    cutoff: i64,
    most_steps: u64,
) -> Option<CompletionTable> {
    let order = order(instance, rest, prices);
    CompletionTable::new(instance, prices, cutoff, &order, JOINS, most_steps)
}

/// Least costs of lengths that go with the stages at these prices.
pub(crate) fn lengths(
    instance: &Instance,
    rest: &Residual,
    prices: &Prices,
    watchman: Watchman,
) -> Option<LengthCosts> {
    let order = order(instance, rest, prices);
    let (limited, endless): (Vec<usize>, Vec<usize>) =
        order.into_iter().partition(|&k| instance.kinds[k].limited);
    let limited: Vec<(usize, u32)> = limited.into_iter().map(|k| (k, rest.supply[k])).collect();
    let total = instance.length_of(&rest.wanted);
    LengthCosts::new(instance, &limited, &endless, total, watchman)
}

fn worth(wanted: &[u32], prices: &Prices) -> i128 {
    let each = wanted.iter().zip(&prices.piece);
    each.map(|(&count, &piece)| i128::from(count) * i128::from(piece)).sum()
}
