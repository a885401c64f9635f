//! Demands too large to take piece by piece.
//!
//! Work grows with the types here, never with the pieces. Whole patterns are
//! taken as often as they go, first by length alone and then as often as the
//! linear program says, rounded down (Wascher and Gau 1996, "Heuristics for the
//! integer one-dimensional cutting stock problem: a computational study", OR
//! Spektrum 18); what is left is a problem of few pieces, solved like any other.
//! The bound is that of the linear program.

use std::rc::Rc;

use super::dive::{WHOLE_EPS, fix};
use super::root::{artificial_rate, certified, first_columns};
use crate::solve::columns::generation::{Reached, generate};
use crate::solve::columns::master::Master;
use crate::solve::columns::subproblems::Subproblems;
use crate::solve::cutting_plan::{Column, CuttingPlan};
use crate::solve::instance::Instance;
use crate::solve::outcome::{Limits, Outcome, Pattern};
use crate::solve::problem::{Item, Problem};
use crate::solve::residual::Residual;
use crate::solve::search::Search;

/// Pieces beyond which they are not taken one by one.
const MOST_PIECES: u64 = 20_000;
/// Pieces, and pieces times kinds of stock, from which there is a plan of whole
/// patterns before any other: those take long.
const MANY_PIECES: u64 = 6_000;
const MANY_CHOICES: u64 = 1_000_000;
/// Types times kinds up to which each kind is filled to see which is cheapest.
const MOST_FILLED: usize = 10_000;
/// How often fewer than the linear program says each pattern is taken, one way
/// after the other: the more is left, the better the rest can be arranged.
const SPARED: [u32; 4] = [0, 1, 2, 8];
/// Steps for solving a rest, but for the last.
const REST_STEPS: u64 = 20_000_000;

/// Whether there are more pieces than are taken one by one.
pub(crate) fn applies(instance: &Instance) -> bool {
    pieces(&instance.demands()) > MOST_PIECES
}

fn pieces(wanted: &[u32]) -> u64 {
    wanted.iter().map(|&count| u64::from(count)).sum()
}

/// Plans of whole patterns by length alone, where others take long to find.
pub(crate) fn plan_first(search: &mut Search) {
    let pieces = pieces(&search.instance.demands());
    let choices = pieces.saturating_mul(search.instance.kinds.len() as u64);
    if pieces > MANY_PIECES || choices > MANY_CHOICES {
        plan_whole(search);
    }
}

fn plan_whole(search: &mut Search) {
    for pick in PICKS {
        by_pattern(search, Residual::of(&search.instance), Vec::new(), pick);
    }
}

/// Finds a plan and a bound; whether that settled the problem.
pub(crate) fn is_settled(problem: &Problem, search: &mut Search) -> bool {
    let whole = Residual::of(&search.instance);
    plan_whole(search);
    if search.is_proven() {
        return true;
    }
    let view = Subproblems::new(Rc::clone(&search.instance), true);
    let mut master = Master::new(&search.instance, &whole, artificial_rate(search), false);
    for column in first_columns(search) {
        master.add(column);
    }
    let reached = generate(search, &view, &mut master, &whole, false, &mut |_, _| {});
    if reached == Reached::Infeasible || search.is_proven() {
        return true;
    }
    certified(search, &view, &master, &whole, matches!(reached, Reached::Bound(_)));
    for (turn, spared) in SPARED.into_iter().enumerate() {
        let last = turn + 1 == SPARED.len();
        let work = if last { u64::MAX } else { REST_STEPS };
        round_down(problem, search, &view, &master, spared, work);
        if search.is_proven() || search.is_late() {
            break;
        }
    }
    search.is_proven()
}

/// Takes each pattern as often as the linear program says, rounded down and so
/// many times fewer, and solves the rest.
fn round_down(
    problem: &Problem,
    search: &mut Search,
    view: &Subproblems,
    master: &Master,
    spared: u32,
    work: u64,
) {
    let mut rest = Residual::of(&search.instance);
    let mut fixed = Vec::new();
    for (c, value) in master.used() {
        let times = (value + WHOLE_EPS).floor() as u32;
        fix(view, &mut rest, &mut fixed, &master.columns[c], times.saturating_sub(spared));
    }
    for pick in PICKS {
        by_pattern(search, rest.clone(), fixed.clone(), pick);
    }
    if pieces(&rest.wanted) <= MOST_PIECES && !search.is_proven() && !search.is_late() {
        let limits = search.limits_left();
        let limits = Limits { work: limits.work.min(work), ..limits };
        let (few, items, stock) = part(problem, &search.instance, &rest);
        if let Outcome::Solved(solution) = crate::solve::solve(&few, &limits) {
            search.spend(solution.work);
            let column = |pattern: &Pattern| column(search, pattern, &items, &stock);
            let more: Option<Vec<(Column, u32)>> = solution.patterns.iter().map(column).collect();
            if let Some(more) = more {
                fixed.extend(more);
                search.offer(CuttingPlan::new(fixed));
            }
        }
    }
}

/// The rest as a problem of its own, the type behind each of its items and the
/// kind behind each of its stock.
fn part(
    problem: &Problem,
    instance: &Instance,
    rest: &Residual,
) -> (Problem, Vec<usize>, Vec<usize>) {
    let mut few = Problem::default();
    let open = |counts: &[u32]| (0..counts.len()).filter(|&at| counts[at] > 0).collect();
    let (items, stock): (Vec<usize>, Vec<usize>) = (open(&rest.wanted), open(&rest.supply));
    for &t in &items {
        let known = &problem.items[instance.types[t].sources[0].item];
        few.items.push(Item { demand: rest.wanted[t], ..known.clone() });
    }
    for &k in &stock {
        let kind = &instance.kinds[k];
        let mut known = problem.stock[kind.stocks[0].0].clone();
        known.supply = kind.limited.then_some(rest.supply[k]);
        few.stock.push(known);
    }
    (few, items, stock)
}

/// A pattern of the rest in the types and kinds of the whole.
fn column(
    search: &Search,
    pattern: &Pattern,
    items: &[usize],
    stock: &[usize],
) -> Option<(Column, u32)> {
    let first = pattern.runs.iter().flatten().filter(|piece| piece.part == 0);
    let mut pieces: Vec<(usize, u32)> = Vec::new();
    for piece in first {
        let t = *items.get(piece.item)?;
        match pieces.iter_mut().find(|(other, _)| *other == t) {
            Some((_, count)) => *count += piece.count,
            None => pieces.push((t, piece.count)),
        }
    }
    pieces.sort_unstable();
    let column = Column::new(&search.instance, *stock.get(pattern.stock)?, pieces)?;
    Some((column, pattern.times))
}

/// Which kind the next pattern is cut from.
#[derive(Clone, Copy)]
enum NextKind {
    /// The least cost for the length cut.
    Cheapest,
    /// The most room.
    Longest,
    /// The least room that holds the longest piece.
    Tightest,
}

const PICKS: [NextKind; 3] = [NextKind::Cheapest, NextKind::Longest, NextKind::Tightest];

/// Completes a plan: pattern after pattern is filled with the longest pieces
/// wanted and taken as often as it goes, so that each time some type or kind is
/// all but used up.
fn by_pattern(
    search: &mut Search,
    mut rest: Residual,
    mut fixed: Vec<(Column, u32)>,
    pick: NextKind,
) {
    let instance = Rc::clone(&search.instance);
    while let Some(longest) = rest.wanted.iter().position(|&count| count > 0) {
        if search.is_late() {
            return;
        }
        search.spend(instance.types.len() as u64);
        let Some(column) = next(&instance, &rest, longest, pick) else { return };
        let times = rest.take(&column, u32::MAX);
        if times == 0 {
            return;
        }
        fixed.push((column, times));
    }
    search.offer(CuttingPlan::new(fixed));
}

/// The pattern that is taken next, with a piece of the longest type.
fn next(instance: &Instance, rest: &Residual, longest: usize, pick: NextKind) -> Option<Column> {
    let kinds = 0..instance.kinds.len();
    let able = kinds.filter(|&k| rest.supply[k] > 0 && instance.fits(k, longest));
    let room = |k: usize| instance.kinds[k].room;
    let filled = |k: usize| fill(instance, rest, k, longest);
    match pick {
        NextKind::Longest => filled(able.max_by_key(|&k| (room(k), usize::MAX - k))?),
        NextKind::Tightest => filled(able.min_by_key(|&k| room(k))?),
        NextKind::Cheapest if instance.kinds.len() * instance.types.len() > MOST_FILLED => {
            filled(able.min_by(|&a, &b| {
                let rate = |one: usize, other: usize| {
                    i128::from(instance.kinds[one].cost) * i128::from(room(other))
                };
                rate(a, b).cmp(&rate(b, a))
            })?)
        }
        NextKind::Cheapest => able.filter_map(filled).min_by(|a, b| {
            let rate = |one: &Column, other: &Column| {
                i128::from(one.cost) * i128::from(other.length(instance))
            };
            rate(a, b).cmp(&rate(b, a))
        }),
    }
}

/// As many of the longest pieces as the room holds, then of the next, and so
/// on; in several runs one piece alone, since they are to be arranged.
fn fill(instance: &Instance, rest: &Residual, k: usize, longest: usize) -> Option<Column> {
    let kind = &instance.kinds[k];
    if !kind.is_plain() {
        return Column::new(instance, k, vec![(longest, 1)]);
    }
    let mut room = kind.room;
    let mut pieces = Vec::new();
    for (t, of_type) in instance.types.iter().enumerate().skip(longest) {
        if rest.wanted[t] == 0 || of_type.length > room || !kind.serves(of_type.group) {
            continue;
        }
        let fits = u32::try_from(room / of_type.length).unwrap_or(u32::MAX);
        let count = rest.wanted[t].min(fits);
        room -= i64::from(count) * of_type.length;
        pieces.push((t, count));
    }
    Column::new(instance, k, pieces)
}
