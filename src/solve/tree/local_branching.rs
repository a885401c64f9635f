//! Dives near where a good one ended.
//!
//! A dive that all but led to a better plan has most patterns right. The linear
//! program is solved again with a row that keeps all but a few of those, and
//! the dive goes on from that optimum, where what it got wrong may be chosen
//! anew. The nearness is that of local branching (Fischetti and Lodi 2003,
//! "Local branching", Mathematical Programming 98), around a dive instead of a
//! plan, since any plan but the best is about as bad as any other here (after
//! the constrained relax-and-fix of da Silva and Schouery).
//!
//! A heuristic: it finds plans, and proves nothing. For one kind of stock without
//! credit.

use std::mem;
use std::rc::Rc;

use super::dive;
use super::pair_branching::worthy;
use super::root::{Root, artificial_rate};
use crate::solve::columns::generation::{Reached, generate};
use crate::solve::columns::master::{Master, NearRow};
use crate::solve::columns::subproblems::Subproblems;
use crate::solve::cutting_plan::Column;
use crate::solve::search::Search;

/// Steps for it that are not too many.
const LEAST_STEPS: u64 = 4_000_000;
/// Rounds at most.
const ROUNDS: u32 = 400;
/// So many patterns may be chosen anew at first, so many more if that led
/// nowhere, and so many at most.
const AWAY: u32 = 12;
const FURTHER_AWAY: u32 = 6;
const MOST_AWAY: u32 = 36;
/// Dives from each optimum.
const TRIES: u32 = 3;

/// Where dives have come to.
struct Centre {
    fixed: Vec<(Column, u32)>,
    /// The furthest of the dives near it that led to something else.
    other: Vec<(Column, u32)>,
    /// Columns that the next linear program starts from.
    columns: Vec<Column>,
}

/// Whether there is a dive to begin with, and a better plan would leave nothing
/// of any unit; elsewhere branching finds it sooner.
pub(crate) fn applies(search: &Search, root: &Root) -> bool {
    let found = matches!(root.reached, Reached::Bound(_)) && !root.furthest.is_empty();
    let waste = root.rest.waste(&search.instance, search.cutoff());
    found && waste == Some(0)
}

/// Dives near the furthest dive from the root, near the furthest of those, and
/// so on; where none of them leads further, near another. For about as many
/// steps as the problem took so far; whether that settled it.
pub(crate) fn dive(search: &mut Search, root: &Root) -> bool {
    if !applies(search, root) {
        return false;
    }
    let end = search.work().saturating_add(LEAST_STEPS.max(search.work()));
    let columns = worthy(&root.master, &root.rest);
    let mut centre = Centre { fixed: root.furthest.clone(), other: Vec::new(), columns };
    let mut away = AWAY;
    for _ in 0..ROUNDS {
        if search.is_proven() || search.is_stopped() || search.work() >= end {
            break;
        }
        let further = around(search, root, &mut centre, away);
        away = if further { AWAY } else { away + FURTHER_AWAY };
        if away > MOST_AWAY && !centre.other.is_empty() {
            centre.fixed = mem::take(&mut centre.other);
            away = AWAY;
        }
    }
    search.is_proven()
}

/// Dives where all but `away` of the patterns of the centre are used; whether
/// that led further, to another centre.
fn around(search: &mut Search, root: &Root, centre: &mut Centre, away: u32) -> bool {
    let (instance, rest) = (&root.view.instance, &root.rest);
    let count: u32 = centre.fixed.iter().map(|(_, times)| times).sum();
    let near_row = NearRow {
        columns: centre.fixed.iter().map(|(column, _)| column.clone()).collect(),
        least: count.saturating_sub(away),
    };
    // Its bound would be true, but is no better than that of the root.
    let view = Subproblems::new(Rc::clone(instance), false);
    let mut master = Master::near_row(instance, rest, artificial_rate(search), near_row);
    let fixed = centre.fixed.iter().map(|(column, _)| column);
    for column in fixed.chain(&centre.columns) {
        master.add(column.clone());
    }
    let reached = generate(search, &view, &mut master, rest, true, &mut |_, _| {});
    if !matches!(reached, Reached::Bound(_)) {
        return false;
    }
    centre.columns = worthy(&master, rest);
    master.let_go();
    let fixed = dive::dive(search, &view, &mut master, rest, TRIES);
    let length = |fixed: &Vec<(Column, u32)>| -> i64 {
        fixed.iter().map(|(column, times)| column.length(instance) * i64::from(*times)).sum()
    };
    if length(&fixed) > length(&centre.fixed) {
        centre.fixed = fixed;
        centre.other.clear();
        return true;
    }
    if fixed != centre.fixed && length(&fixed) > length(&centre.other) {
        centre.other = fixed;
    }
    false
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::solve::heuristics::greedy;
    use crate::solve::instance::Instance;
    use crate::solve::outcome::Limits;
    use crate::solve::problem::{Item, Problem, Run, Stock};
    use crate::solve::residual::Residual;

    const LIMITS: Limits = Limits { work: 1 << 40, deadline: None, stop: None, watch: None };
    const ROOM: i64 = 4_000;
    const UNITS: i64 = 60;

    /// Units cut into three pieces each with nothing left: the plan by
    /// construction, whose patterns come with it.
    fn cut_up() -> (Instance, Vec<(Column, u32)>) {
        let mut state = 4_u64;
        let mut within = |low: i64, high: i64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            low + i64::try_from(state >> 33).expect("31 bits") % (high - low)
        };
        let units: Vec<[i64; 3]> = (0..UNITS)
            .map(|_| {
                let (a, b) = (within(750, 1_625), within(750, 1_625));
                [a, b, ROOM - a - b]
            })
            .collect();
        let stock =
            Stock { runs: vec![Run::clear(ROOM)], cost: 1, supply: None, credit: None, group: 0 };
        let item = |&length: &i64| Item { parts: vec![length], demand: 1, group: None };
        let items = units.iter().flatten().map(item).collect();
        let instance = Instance::new(&Problem { stock: vec![stock], items });
        // Lengths may come in another unit, in the same proportion.
        let scale = ROOM / instance.kinds[0].room;
        let type_of = |length: i64| {
            let found = instance.types.iter().position(|t| t.length * scale == length);
            found.expect("a length of the problem")
        };
        let fixed = units.iter().map(|unit| {
            let mut pieces = std::collections::BTreeMap::new();
            unit.iter().for_each(|&length| *pieces.entry(type_of(length)).or_insert(0) += 1);
            let pieces = pieces.into_iter().collect();
            (Column::new(&instance, 0, pieces).expect("it fits"), 1)
        });
        let fixed = fixed.collect();
        (instance, fixed)
    }

    /// The linear program alone, and dives that found all patterns but `lost`.
    fn root(search: &mut Search, fixed: &[(Column, u32)], lost: usize) -> Root {
        let rest = Residual::of(&search.instance);
        let view = Subproblems::new(Rc::clone(&search.instance), true);
        let mut master = Master::new(&search.instance, &rest, artificial_rate(search), false);
        let reached = generate(search, &view, &mut master, &rest, false, &mut |_, _| {});
        Root { view, master, rest, reached, furthest: fixed[lost..].to_vec() }
    }

    #[test]
    fn a_dive_that_all_but_led_to_a_plan_is_led_there() {
        let (instance, fixed) = cut_up();
        let mut search = Search::new(instance, &LIMITS);
        greedy::longest_first(&mut search);
        assert!(search.cutoff() > UNITS, "longest first should not find it");
        let mut root = root(&mut search, &fixed, 6);
        search.with_target(UNITS + 1, |search| {
            assert!(applies(search, &root));
            dive::dive(search, &root.view, &mut root.master, &root.rest, TRIES);
            assert!(!search.is_proven(), "the program alone should not lead there");
            let columns = worthy(&root.master, &root.rest);
            let mut centre = Centre { fixed: root.furthest.clone(), other: Vec::new(), columns };
            around(search, &root, &mut centre, AWAY);
        });
        assert_eq!(search.best.as_ref().map(|best| best.cost), Some(UNITS));
    }

    #[test]
    fn the_linear_program_keeps_near_until_it_is_let_go() {
        let (instance, _) = cut_up();
        let alone = |t: usize| Column::new(&instance, 0, vec![(t, 1)]).expect("it fits");
        let columns: BTreeSet<Column> = (0..instance.types.len()).map(alone).collect();
        let mut search = Search::new(instance, &LIMITS);
        let root = root(&mut search, &Vec::new(), 0);
        let near_row = NearRow { columns: columns.clone(), least: 20 };
        let instance = Rc::clone(&search.instance);
        let mut master =
            Master::near_row(&instance, &root.rest, artificial_rate(&search), near_row);
        columns.iter().chain(&root.master.columns).for_each(|column| {
            master.add(column.clone());
        });
        let used = |master: &Master| -> f64 {
            let is_near = |c: usize| columns.contains(&master.columns[c]);
            master.used().into_iter().filter(|&(c, _)| is_near(c)).map(|(_, value)| value).sum()
        };
        assert!(master.solve(&mut search));
        // Twenty units with a piece each instead of three.
        assert!(used(&master) > 20.0 - 1e-6 && master.objective() > UNITS as f64 + 5.0);
        master.let_go();
        assert!(master.restrict(&mut search, &root.rest) && master.solve(&mut search));
        assert!(used(&master) < 1e-6 && (master.objective() - UNITS as f64).abs() < 1e-6);
    }
}
