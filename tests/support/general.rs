//! A cutting-stock problem as a general integer program: every way to cut one
//! unit is written out, with what it costs, and a general solver (microlp,
//! through good_lp) chooses how often to use each.

use std::collections::{BTreeMap, BTreeSet};

use good_lp::{
    Expression, ResolutionError, Solution as _, SolverModel, constraint, microlp, variable,
    variables,
};
use longpoint::solve::{Problem, Run};

/// One way to cut a unit of a stock: how often each item, at what net cost.
pub struct Way {
    pub stock: usize,
    pub counts: Vec<u32>,
    pub cost: i64,
}

/// Every way to cut one unit of any stock, the cheapest for each set of items;
/// nothing if there are more than `most`.
pub fn ways(problem: &Problem, most: usize) -> Option<Vec<Way>> {
    let mut all = Vec::new();
    for (stock, kind) in problem.stock.iter().enumerate() {
        let mut cheapest: BTreeMap<Vec<u32>, i64> = BTreeMap::new();
        let none = (vec![0; problem.items.len()], vec![0; kind.runs.len()]);
        let mut states = BTreeSet::from([none]);
        while let Some((counts, taken)) = states.pop_first() {
            let cost = kind.net_cost(&taken);
            let known = cheapest.entry(counts.clone()).or_insert(cost);
            *known = cost.min(*known);
            if cheapest.len() > most {
                return None;
            }
            // A copy more of the last item cut, or of one after it.
            let from = counts.iter().rposition(|&count| count > 0).unwrap_or(0);
            for item in from..counts.len() {
                let wanted = &problem.items[item];
                let serves = wanted.group.is_none_or(|group| group == kind.group);
                if serves && counts[item] < wanted.demand {
                    let mut more = counts.clone();
                    more[item] += 1;
                    let held = placements(&wanted.parts, &kind.runs, &taken);
                    states.extend(held.into_iter().map(|taken| (more.clone(), taken)));
                }
            }
        }
        cheapest.retain(|counts, _| counts.iter().any(|&count| count > 0));
        all.extend(cheapest.into_iter().map(|(counts, cost)| Way { stock, counts, cost }));
    }
    (all.len() <= most).then_some(all)
}

/// Every way to put all the parts into runs that already give `taken`.
fn placements(parts: &[i64], runs: &[Run], taken: &[i64]) -> BTreeSet<Vec<i64>> {
    let mut placed = BTreeSet::from([taken.to_vec()]);
    for part in parts {
        let mut next = BTreeSet::new();
        for taken in placed {
            for run in 0..runs.len() {
                let mut taken = taken.clone();
                taken[run] += part;
                if taken[run] <= runs[run].room {
                    next.insert(taken);
                }
            }
        }
        placed = next;
    }
    placed
}

/// The least cost by the general solver, or `None` if there is no plan; an error
/// where its numbers break down.
///
/// The model is solved twice: without and with whole numbers. Costs are whole,
/// so no plan costs less than the first answer rounded up; told that, the
/// general solver need not find it out by search.
pub fn least_cost(problem: &Problem, ways: &[Way]) -> Result<Option<i64>, ResolutionError> {
    /// Far above the rounding of the general solver, far below one.
    const SLACK: f64 = 1e-4;
    let Some(fractions) = general(problem, ways, None)? else { return Ok(None) };
    let cost: f64 = ways.iter().zip(&fractions).map(|(way, times)| way.cost as f64 * times).sum();
    let Some(times) = general(problem, ways, Some((cost - SLACK).ceil()))? else {
        return Ok(None);
    };
    let times: Vec<i64> = times.iter().map(|times| times.round() as i64).collect();
    Ok(Some(added_up(problem, ways, &times)))
}

/// How often each way is used in the best plan: in whole numbers if the least
/// cost is given, otherwise in fractions.
fn general(
    problem: &Problem,
    ways: &[Way],
    least: Option<f64>,
) -> Result<Option<Vec<f64>>, ResolutionError> {
    variables! { model: }
    let often = || match least {
        Some(_) => variable().integer().min(0).max(1000),
        None => variable().min(0),
    };
    let times: Vec<_> = ways.iter().map(|_| model.add(often())).collect();
    let sum = |of: &dyn Fn(&Way) -> f64| -> Expression {
        let terms = times.iter().zip(ways);
        terms.map(|(&times, way)| of(way) * times).sum()
    };
    let cost = sum(&|way| way.cost as f64);
    let mut model = model.minimise(cost.clone()).using(microlp);
    if let Some(least) = least {
        model = model.with(constraint!(cost >= least));
    }
    for (item, wanted) in problem.items.iter().enumerate() {
        let cut = sum(&|way| f64::from(way.counts[item]));
        model = model.with(constraint!(cut == f64::from(wanted.demand)));
    }
    for (stock, kind) in problem.stock.iter().enumerate() {
        if let Some(supply) = kind.supply {
            let taken = sum(&|way| f64::from(u8::from(way.stock == stock)));
            model = model.with(constraint!(taken <= f64::from(supply)));
        }
    }
    match model.solve() {
        Ok(solved) => Ok(Some(times.iter().map(|&times| solved.value(times)).collect())),
        Err(ResolutionError::Infeasible) => Ok(None),
        Err(error) => Err(error),
    }
}

/// The cost of the general solver's plan, once it is seen to be one.
fn added_up(problem: &Problem, ways: &[Way], times: &[i64]) -> i64 {
    let sum = |of: &dyn Fn(&Way) -> i64| -> i64 {
        times.iter().zip(ways).map(|(times, way)| times * of(way)).sum()
    };
    for (item, wanted) in problem.items.iter().enumerate() {
        assert_eq!(sum(&|way| way.counts[item].into()), i64::from(wanted.demand));
    }
    for (stock, kind) in problem.stock.iter().enumerate() {
        let taken = sum(&|way| (way.stock == stock).into());
        assert!(kind.supply.is_none_or(|supply| taken <= supply.into()));
    }
    sum(&|way| way.cost)
}
