//! Plans out of linear programs: rounding, and diving with new patterns priced
//! at every step ("relax and fix", after da Silva and Schouery; diving by
//! restricted masters: Sadykov and others 2019, "Primal heuristics for
//! branch and price", INFORMS Journal on Computing 31).

use crate::solve::columns::generation::{Reached, generate};
use crate::solve::columns::master::Master;
use crate::solve::columns::simplex::Basis;
use crate::solve::columns::subproblems::Subproblems;
use crate::solve::cutting_plan::{Column, CuttingPlan};
use crate::solve::heuristics::greedy::complete;
use crate::solve::instance::Instance;
use crate::solve::residual::Residual;
use crate::solve::search::Search;

/// The share of a pattern from which rounding up is tried.
const ROUND_UP: f64 = 0.6;
/// The share of a pattern from which several are fixed at once.
const FIX: f64 = 0.5;
/// Values this close below a whole number count as whole.
pub(crate) const WHOLE_EPS: f64 = 1e-6;

impl Residual {
    /// All that an instance asks for.
    pub fn of(instance: &Instance) -> Residual {
        Residual {
            wanted: instance.demands(),
            supply: instance.supplies(),
            least: vec![0; instance.kinds.len()],
            paid: 0,
        }
    }

    /// Takes the column up to `times` times; how often it still fits.
    pub fn take(&mut self, column: &Column, times: u32) -> u32 {
        let counts = column.pieces.iter().map(|&(t, count)| self.wanted[t] / count);
        let times = counts.fold(times.min(self.supply[column.kind]), u32::min);
        self.supply[column.kind] -= times;
        let least = &mut self.least[column.kind];
        *least = least.saturating_sub(times);
        for &(t, count) in &column.pieces {
            self.wanted[t] -= count * times;
        }
        self.paid += column.cost * i64::from(times);
        times
    }

    fn is_done(&self) -> bool {
        self.wanted.iter().all(|&count| count == 0)
    }
}

/// Rounds the optimum of the master to a plan: whole parts, then large
/// fractions as far as they fit, then the rest longest first.
pub(crate) fn round(
    search: &mut Search,
    view: &Subproblems,
    master: &Master,
    rest: &Residual,
    fixed: &[(Column, u32)],
    worth: Option<&[i64]>,
) {
    let mut rest = rest.clone();
    let mut fixed = fixed.to_vec();
    let mut used = master.used();
    for &(c, value) in &used {
        fix(view, &mut rest, &mut fixed, &master.columns[c], (value + WHOLE_EPS).floor() as u32);
    }
    used.retain(|&(_, value)| (value + WHOLE_EPS).fract() > ROUND_UP);
    used.sort_by(|a, b| b.1.fract().total_cmp(&a.1.fract()).then(a.0.cmp(&b.0)));
    for &(c, _) in &used {
        fix(view, &mut rest, &mut fixed, &master.columns[c], 1);
    }
    let open: Vec<(usize, u32)> = rest.wanted.iter().copied().enumerate().collect();
    let mut wanted = vec![0; search.instance.types.len()];
    for (t, count) in view.instance.taken_apart(&open) {
        wanted[t] = count;
    }
    complete(search, &fixed, &wanted, &rest.supply, worth);
}

/// Takes the column and notes it in the types of the whole problem.
pub(crate) fn fix(
    view: &Subproblems,
    rest: &mut Residual,
    fixed: &mut Vec<(Column, u32)>,
    column: &Column,
    times: u32,
) -> bool {
    let times = rest.take(column, times);
    if times == 0 {
        return false;
    }
    let column = Column { pieces: view.instance.taken_apart(&column.pieces), ..*column };
    match fixed.iter_mut().find(|(other, _)| *other == column) {
        Some((_, already)) => *already += times,
        None => fixed.push((column, times)),
    }
    true
}

/// Fixes patterns of the optimum, solves the rest anew, and so on down to a
/// plan; on failure takes the last quarter of the steps back and tries again
/// with what was learnt, `tries` times in all. What was fixed where the least
/// length was left.
pub(crate) fn dive(
    search: &mut Search,
    view: &Subproblems,
    master: &mut Master,
    rest: &Residual,
    tries: u32,
) -> Vec<(Column, u32)> {
    let root = master.basis();
    let mut steps: Vec<(Residual, Vec<(Column, u32)>)> = vec![(rest.clone(), Vec::new())];
    let mut furthest = (i64::MAX, Vec::new());
    for attempt in 0..tries {
        down(search, view, master, &mut steps, attempt);
        let (rest, fixed) = steps.last().expect("the root stays");
        let left = view.instance.length_of(&rest.wanted);
        if left < furthest.0 {
            furthest = (left, fixed.clone());
        }
        if search.is_proven()
            || search.is_stopped()
            || !back(search, view, master, &root, &mut steps)
        {
            break;
        }
    }
    master.restore(root);
    furthest.1
}

/// Takes steps back until the rest may hold a better plan again; the master is
/// left with its optimum. From the basis of the root, so that values may rise.
fn back(
    search: &mut Search,
    view: &Subproblems,
    master: &mut Master,
    root: &Basis,
    steps: &mut Vec<(Residual, Vec<(Column, u32)>)>,
) -> bool {
    loop {
        let last = steps.len() == 1;
        steps.truncate((steps.len() - steps.len().div_ceil(4)).max(1));
        master.restore(root.clone());
        let (rest, fixed) = steps.last().expect("the root stays").clone();
        let solved = master.restrict(search, &rest)
            && matches!(reach(search, view, master, &rest, &fixed), Reached::Bound(_));
        if solved || last || search.is_stopped() {
            return solved;
        }
    }
}

fn reach(
    search: &mut Search,
    view: &Subproblems,
    master: &mut Master,
    rest: &Residual,
    fixed: &[(Column, u32)],
) -> Reached {
    let mut looks = 0u32;
    let reached = generate(search, view, master, rest, true, &mut |search, master| {
        if looks % 4 == 0 {
            round(search, view, master, rest, fixed, None);
        }
        looks += 1;
    });
    if search.is_proven() { Reached::Beaten } else { reached }
}

/// One dive from the last of the steps, whose optimum the master holds; the
/// first step passes over the `skip` largest fractions.
fn down(
    search: &mut Search,
    view: &Subproblems,
    master: &mut Master,
    steps: &mut Vec<(Residual, Vec<(Column, u32)>)>,
    mut skip: u32,
) {
    loop {
        let (mut rest, mut fixed) = steps.last().expect("the root stays").clone();
        if !fix_some(search, view, master, &mut rest, &mut fixed, skip) {
            return;
        }
        skip = 0;
        if rest.is_done() {
            search.offer(CuttingPlan::new(fixed));
            return;
        }
        steps.push((rest.clone(), fixed.clone()));
        if !master.restrict(search, &rest) {
            return;
        }
        if !matches!(reach(search, view, master, &rest, &fixed), Reached::Bound(_)) {
            return;
        }
    }
}

/// Fixes whole parts; failing that, the largest fractions within what the gap
/// allows, at least one, but not the first `skip` of them.
fn fix_some(
    search: &Search,
    view: &Subproblems,
    master: &Master,
    rest: &mut Residual,
    fixed: &mut Vec<(Column, u32)>,
    skip: u32,
) -> bool {
    let mut used = master.used();
    let mut any = false;
    for &(c, value) in &used {
        any |= fix(view, rest, fixed, &master.columns[c], (value + WHOLE_EPS).floor() as u32);
    }
    if any {
        return true;
    }
    used.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let mut budget = search.cutoff() as f64 - 1.0 - master.objective() - rest.paid as f64;
    let skip = (skip as usize).min(used.len().saturating_sub(1));
    for &(c, value) in &used[skip..] {
        let column = &master.columns[c];
        budget -= column.cost as f64 * (1.0 - value);
        if any && (value <= FIX || budget < 0.0) {
            break;
        }
        any |= fix(view, rest, fixed, column, 1);
    }
    any
}
