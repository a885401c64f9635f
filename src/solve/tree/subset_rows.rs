//! Subset-row cuts: of three pieces at most one pair can be together.
//!
//! A pattern with two or three of three single pieces uses up the one chance
//! that there is for two of them to be together; a plan in fractions may give
//! each of the three pairs half a pattern. Jepsen, Petersen, Spoorendonk and
//! Pisinger (2008, "Subset-row inequalities applied to the vehicle-routing problem
//! with time windows", Operations Research 56). In general: of an odd number of
//! pieces, a pattern that holds `n` counts `n / 2`, rounded down, and all patterns
//! together count for no more than half of the pieces, rounded down. Cuts have
//! prices like the pieces have; what a pattern pays for them is found while it is
//! put together (`enumeration`).
//!
//! Sound because a plan need never cut more pieces than are wanted: for stock
//! without credit. The sets tried are those of up to three types of which two
//! pairs are together somewhere; in a linear program that are few. Where the gap
//! of one unit is real (ANI), a handful of cuts proves it in most cases; where it
//! is not, the program that they leave is another one to dive from.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use super::dive::dive;
use super::pair_branching::worthy;
use super::root::{Root, artificial_rate};
use crate::solve::columns::generation::{Reached, generate};
use crate::solve::columns::master::Master;
use crate::solve::columns::subproblems::Subproblems;
use crate::solve::cutting_plan::Column;
use crate::solve::instance::{Instance, StockKind};
use crate::solve::search::Search;
use crate::solve::subset_row::SubsetRow;

/// Rounds of cuts at most, cuts in one round, and those of them that a type is in.
const ROUNDS: u32 = 30;
const MOST_CUTS: usize = 40;
const MOST_WITH_TYPE: u32 = 5;
/// Steps for them that are not too many.
const LEAST_STEPS: u64 = 4_000_000;
/// Cuts that are exceeded by less are left alone.
const EXCESS: f64 = 0.02;
/// Types that are together with more others are no middle of a set.
const MOST_BESIDE: usize = 60;
/// Dives once cuts raise the bound no more.
const TRIES: u32 = 2;

/// Adds cuts as long as there are any and it takes no longer, and dives from
/// what they leave; whether that settled the problem.
pub(crate) fn close(search: &mut Search, root: &Root) -> bool {
    let instance = Rc::clone(&search.instance);
    let simple = |kind: &StockKind| kind.is_plain() && kind.credit.is_none();
    if !matches!(root.reached, Reached::Bound(_)) || !instance.kinds.iter().all(simple) {
        return false;
    }
    // As much as half of what the problem took so far.
    let steps = LEAST_STEPS.max(search.work() / 2);
    let settled = cut(search, root, steps);
    search.narrow(Instance::clone(&instance));
    settled
}

fn cut(search: &mut Search, root: &Root, steps: u64) -> bool {
    let end = search.work().saturating_add(steps);
    let mut known: BTreeSet<SubsetRow> = BTreeSet::new();
    let mut last: Option<Root> = None;
    for _ in 0..ROUNDS {
        let here = last.as_ref().unwrap_or(root);
        let found = exceeded(&search.instance, &here.master, &known);
        if found.is_empty() || search.work() >= end || search.is_stopped() {
            break;
        }
        known.extend(found);
        let next = with_cuts(search, here, &known);
        if search.is_proven() || matches!(next.reached, Reached::Beaten | Reached::Infeasible) {
            search.raise(i128::from(search.cutoff()));
            return true;
        }
        if next.reached == Reached::Stopped {
            return false;
        }
        last = Some(next);
    }
    let Some(mut last) = last else { return false };
    dive(search, &last.view, &mut last.master, &last.rest, TRIES);
    search.is_proven()
}

/// The linear program with these cuts.
fn with_cuts(search: &mut Search, before: &Root, cuts: &BTreeSet<SubsetRow>) -> Root {
    let instance = Instance { cuts: cuts.iter().cloned().collect(), ..(*search.instance).clone() };
    search.narrow(instance);
    let rest = before.rest.clone();
    let view = Subproblems::new(Rc::clone(&search.instance), true);
    let mut master = Master::new(&search.instance, &rest, artificial_rate(search), false);
    for column in worthy(&before.master, &rest) {
        master.add(column);
    }
    let reached = generate(search, &view, &mut master, &rest, true, &mut |_, _| {});
    Root { view, master, rest, reached, furthest: Vec::new() }
}

/// Cuts that the linear program exceeds most.
fn exceeded(instance: &Instance, master: &Master, known: &BTreeSet<SubsetRow>) -> Vec<SubsetRow> {
    let used = Used::new(instance, master);
    let mut found: BTreeMap<SubsetRow, f64> = BTreeMap::new();
    for set in used.sets() {
        let pieces: u32 = set.iter().map(|&t| instance.types[t].demand).sum();
        let cut = SubsetRow(set);
        if pieces % 2 == 1 && !known.contains(&cut) && !found.contains_key(&cut) {
            let excess = used.counted(&cut) - f64::from(pieces / 2);
            found.extend((excess > EXCESS).then_some((cut, excess)));
        }
    }
    let mut found: Vec<(SubsetRow, f64)> = found.into_iter().collect();
    found.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    let mut of_type = vec![0; instance.types.len()];
    let mut fresh = |cut: &SubsetRow| {
        let fresh = cut.0.iter().all(|&t| of_type[t] < MOST_WITH_TYPE);
        cut.0.iter().for_each(|&t| of_type[t] += u32::from(fresh));
        fresh
    };
    found.into_iter().map(|(cut, _)| cut).filter(|cut| fresh(cut)).take(MOST_CUTS).collect()
}

/// What a linear program uses.
struct Used<'a> {
    columns: Vec<(&'a Column, f64)>,
    /// The columns of each type.
    of_type: Vec<Vec<usize>>,
    /// The types that are in some column with each type, rising.
    beside: Vec<BTreeSet<usize>>,
}

impl<'a> Used<'a> {
    fn new(instance: &Instance, master: &'a Master) -> Used<'a> {
        let used = master.used().into_iter();
        let columns: Vec<_> = used.map(|(c, value)| (&master.columns[c], value)).collect();
        let mut of_type = vec![Vec::new(); instance.types.len()];
        let mut beside = vec![BTreeSet::new(); instance.types.len()];
        for (c, (column, _)) in columns.iter().enumerate() {
            for &(t, count) in &column.pieces {
                of_type[t].push(c);
                let others = column.pieces.iter().map(|(other, _)| *other);
                beside[t].extend(others.filter(|&other| other != t || count > 1));
            }
        }
        Used { columns, of_type, beside }
    }

    /// Sets of up to three types of which two pairs are together somewhere.
    fn sets(&self) -> impl Iterator<Item = Vec<usize>> + '_ {
        let few = |(_, beside): &(usize, &BTreeSet<usize>)| beside.len() <= MOST_BESIDE;
        self.beside.iter().enumerate().filter(few).flat_map(|(middle, beside)| {
            beside.iter().flat_map(move |&a| {
                beside.range(a..).map(move |&b| {
                    let mut set = vec![a, middle, b];
                    set.sort_unstable();
                    set.dedup();
                    set
                })
            })
        })
    }

    /// What the columns count for.
    fn counted(&self, cut: &SubsetRow) -> f64 {
        let mut columns: Vec<usize> =
            cut.0.iter().flat_map(|&t| self.of_type[t].iter().copied()).collect();
        columns.sort_unstable();
        columns.dedup();
        let count = |c: usize| {
            let (column, value) = &self.columns[c];
            f64::from(cut.times(&column.pieces)) * value
        };
        columns.into_iter().map(count).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solve::exact::by_demand;
    use crate::solve::outcome::{Limits, Settled};
    use crate::solve::problem::{Item, Problem, Run, Stock};
    use crate::solve::residual::Residual;
    use crate::solve::watchman::Watchman;
    use proptest::prelude::*;

    const LIMITS: Limits = Limits { work: 1 << 40, deadline: None, stop: None, watch: None };

    fn problem(room: &[i64], items: &[(i64, u32)]) -> Problem {
        let stock = |(i, &room): (usize, &i64)| Stock {
            runs: vec![Run::clear(room)],
            cost: 10 + i64::try_from(i).expect("few"),
            supply: None,
            credit: None,
            group: 0,
        };
        let item =
            |&(length, demand): &(i64, u32)| Item { parts: vec![length], demand, group: None };
        Problem {
            stock: room.iter().enumerate().map(stock).collect(),
            items: items.iter().map(item).collect(),
        }
    }

    /// The linear program without a plan to beat, so that nothing ends it early.
    fn program(search: &mut Search) -> Root {
        let rest = Residual::of(&search.instance);
        let view = Subproblems::new(Rc::clone(&search.instance), true);
        let mut master = Master::new(&search.instance, &rest, artificial_rate(search), false);
        let reached = generate(search, &view, &mut master, &rest, false, &mut |_, _| {});
        Root { view, master, rest, reached, furthest: Vec::new() }
    }

    fn least(instance: &Instance) -> i64 {
        let (wanted, supply) = (instance.demands(), instance.supplies());
        let mut steps = 0;
        let (work, watchman) = (LIMITS.work, Watchman::default());
        match by_demand::solve(instance, &wanted, &supply, i64::MAX, work, &mut steps, watchman) {
            Settled::Yes(plan) => plan.cost,
            _ => panic!("the problem should be small, and everything fits"),
        }
    }

    #[test]
    fn of_three_pieces_one_pair_is_together() {
        let cut = SubsetRow(vec![2, 5, 7]);
        assert_eq!([1, 2, 3].map(|n| cut.times(&[(1, 4), (2, n)])), [0, 1, 1]);
        assert_eq!(cut.times(&[(2, 1), (5, 1), (7, 1), (8, 9)]), 1);
        assert_eq!(cut.most(&[9, 9, 1, 9, 9, 1, 9, 3]), 2);
    }

    /// Pieces as the lines between six points, where the lines at each point fill a
    /// stick: half of each of those six patterns cuts everything from 3 sticks,
    /// but any two of them share a piece. Computed; only seven patterns fill a
    /// stick at all, and no three of those are apart.
    #[test]
    fn cuts_prove_what_no_linear_program_does() {
        let lengths =
            [1404, 1372, 1321, 1242, 1185, 1156, 1155, 1129, 1015, 788, 704, 698, 667, 664, 500];
        let limits = LIMITS;
        let instance = Instance::new(&problem(&[5000], &lengths.map(|length| (length, 1))));
        assert_eq!(least(&instance), 40);
        let mut search = Search::new(instance, &limits);
        let root = program(&mut search);
        assert_eq!(search.bound, 30);
        cut(&mut search, &root, u64::MAX);
        assert_eq!(search.bound, 40);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(400))]
        #[test]
        fn cuts_never_rule_out_the_best_plan(
            room in prop::collection::vec(30..50_i64, 1..3),
            items in prop::collection::vec((5..15_i64, 1..4_u32), 3..8),
        ) {
            let limits = LIMITS;
            let instance = Instance::new(&problem(&room, &items));
            let least = least(&instance);
            let mut search = Search::new(instance, &limits);
            search.bound = 0;
            let root = program(&mut search);
            let mut known = BTreeSet::new();
            let mut last = root;
            for _ in 0..ROUNDS {
                let found = exceeded(&search.instance, &last.master, &known);
                if found.is_empty() {
                    break;
                }
                known.extend(found);
                last = with_cuts(&mut search, &last, &known);
                prop_assert!(search.bound <= least, "{} for {least}", search.bound);
            }
        }
    }
}
