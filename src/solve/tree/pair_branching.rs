//! Branching on which pieces go together.
//!
//! Ryan and Foster (1981) for single pieces; for types after da Silva and
//! Schouery: in one branch so many pairs of two types are joined into pieces of
//! a new type, which leaves pricing as it was; in the others fewer pairs are
//! joined and what is left of the two types is kept apart. Depth first, most
//! pairs first, so that the way down is a dive. Only for stock of one run.

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::rc::Rc;

use super::dive::dive;
use super::root::{Root, artificial_rate};
use crate::solve::columns::generation::{Reached, generate};
use crate::solve::columns::master::Master;
use crate::solve::columns::subproblems::Subproblems;
use crate::solve::cutting_plan::Column;
use crate::solve::instance::{Instance, StockKind, Type};
use crate::solve::residual::Residual;
use crate::solve::search::Search;

/// Below this a number of pairs counts as whole.
const WHOLE_EPS: f64 = 1e-5;
/// Columns that a branch starts from at most.
const MOST_COLUMNS: usize = 1_500;
/// Nodes between two dives.
const DIVE_EVERY: u64 = 8;
/// Pairs that are remembered.
const MOST_REMEMBERED: usize = 20;

/// Branches from the root for about so many steps, raising the bound if the
/// search completes.
pub(crate) fn branch(search: &mut Search, root: &Root, steps: u64) {
    if !matches!(root.reached, Reached::Bound(_))
        || !search.instance.kinds.iter().all(StockKind::is_plain)
    {
        return;
    }
    let end = search.work().saturating_add(steps);
    let mut tree = PairTree::new(search, end);
    let columns = worthy(&root.master, &root.rest);
    let instance = Rc::clone(&search.instance);
    let bound = tree.node(search, instance, columns, 0);
    search.raise(bound);
}

/// Branches where no more units than those of `instance` may be used; the bound
/// proven there within about so many steps, which no plan there beats.
pub(crate) fn branch_within(
    search: &mut Search,
    instance: Instance,
    master: &Master,
    rest: &Residual,
    steps: u64,
) -> i128 {
    let end = search.work().saturating_add(steps);
    let mut tree = PairTree::new(search, end);
    let mut columns = worthy(master, rest);
    columns.retain(|column| instance.kinds[column.kind].supply > 0);
    tree.node(search, Rc::new(instance), columns, 0)
}

/// Branches below one another at most; beyond, the bound of the node counts. A
/// node keeps its instance and some columns.
const MOST_DEPTH: u32 = 300;

struct PairTree {
    nodes: u64,
    rate: f64,
    /// The work of the search at which this one ends.
    end: u64,
    /// Lengths of pairs that led to an end lately, the last first: what decided
    /// there will often decide here.
    decided: Vec<(i64, i64)>,
}

/// A number of pairs of two types that is not whole.
struct OpenPair {
    pair: (usize, usize),
    value: f64,
}

impl PairTree {
    fn new(search: &Search, end: u64) -> PairTree {
        PairTree { nodes: 0, rate: artificial_rate(search) * 4.0, end, decided: Vec::new() }
    }

    /// Notes that branching on the pair led to an end at once.
    fn remember(&mut self, lengths: (i64, i64)) {
        self.decided.retain(|&pair| pair != lengths);
        self.decided.insert(0, lengths);
        self.decided.truncate(MOST_REMEMBERED);
    }

    /// The best bound proven below: the cost to beat if nothing better is there.
    fn node(
        &mut self,
        search: &mut Search,
        instance: Rc<Instance>,
        columns: Vec<Column>,
        depth: u32,
    ) -> i128 {
        let floor = i128::from(search.bound);
        if search.work() >= self.end {
            return floor;
        }
        let rest = Residual::of(&instance);
        let view = Subproblems::new(Rc::clone(&instance), false);
        let mut master = Master::new(&instance, &rest, self.rate, false);
        for column in columns {
            master.add(column);
        }
        let reached = generate(search, &view, &mut master, &rest, true, &mut |_, _| {});
        let bound = match reached {
            Reached::Bound(bound) => bound.max(floor),
            Reached::Beaten | Reached::Infeasible => return i128::from(search.cutoff()),
            Reached::Stopped => return floor,
        };
        self.nodes += 1;
        let open = open_pair(&instance, &master, &self.decided);
        if self.nodes % DIVE_EVERY == 0 || open.is_none() {
            dive(search, &view, &mut master, &rest, 1);
        }
        let cutoff = i128::from(search.cutoff());
        let going = bound < cutoff && depth < MOST_DEPTH && !search.is_stopped();
        let Some(open) = open.filter(|_| going) else {
            return bound.min(cutoff);
        };
        let columns = worthy(&master, &rest);
        drop(master);
        let mut least = i128::from(search.cutoff());
        let most = open.value.ceil() as u32;
        for joined in (0..=most).rev() {
            let apart = joined < most;
            let Some(child) = join(&instance, open.pair, joined, apart) else {
                continue;
            };
            let passed = pass_on(&child, &columns, open.pair, instance.types.len());
            let before = self.nodes;
            least = least.min(self.node(search, Rc::new(child), passed, depth + 1));
            if self.nodes == before {
                self.remember(lengths(&instance, open.pair));
            }
            if least <= bound {
                // Nothing more can be said for the node as a whole.
                break;
            }
        }
        bound.max(least)
    }
}

/// The columns in use and those next to being used.
pub(crate) fn worthy(master: &Master, rest: &Residual) -> Vec<Column> {
    let mut columns = master.by_reduced_cost(rest);
    columns.truncate(MOST_COLUMNS);
    columns
}

/// The pair of types of which a number of pairs that is not whole is together,
/// of those that were decided lately the last, else the longest.
fn open_pair(instance: &Instance, master: &Master, decided: &[(i64, i64)]) -> Option<OpenPair> {
    let mut pairs: BTreeMap<(usize, usize), f64> = BTreeMap::new();
    for (c, value) in master.used() {
        let pieces = &master.columns[c].pieces;
        for (i, &(a, count)) in pieces.iter().enumerate() {
            if count > 1 {
                *pairs.entry((a, a)).or_default() += value * f64::from(count / 2);
            }
            for &(b, other) in &pieces[i + 1..] {
                *pairs.entry((a, b)).or_default() += value * f64::from(count.min(other));
            }
        }
    }
    let rank = |pair: (usize, usize)| {
        let lengths = lengths(instance, pair);
        let lately = decided.iter().position(|&other| other == lengths);
        (Reverse(lately.unwrap_or(usize::MAX)), lengths.0 + lengths.1, Reverse(pair))
    };
    pairs
        .into_iter()
        .filter(|&(_, value)| (value - value.round()).abs() > WHOLE_EPS)
        .max_by_key(|&(pair, _)| rank(pair))
        .map(|(pair, value)| OpenPair { pair, value })
}

/// The lengths of a pair of types, the shorter first.
fn lengths(instance: &Instance, (a, b): (usize, usize)) -> (i64, i64) {
    let (first, second) = (instance.types[a].length, instance.types[b].length);
    (first.min(second), first.max(second))
}

/// The instance with some pairs joined, and the rest of the two kept apart if
/// asked; nothing if there are not so many.
fn join(instance: &Instance, (a, b): (usize, usize), joined: u32, apart: bool) -> Option<Instance> {
    let mut child = instance.clone();
    // They do not speak of joined pieces.
    child.cuts.clear();
    if joined > 0 {
        let made = joined_type(instance, a, b, joined)?;
        let new = child.types.len();
        let own = made.apart.contains(&a) || made.apart.contains(&b);
        for &other in &made.apart {
            child.types[other].apart.push(new);
        }
        child.types.push(made);
        if own {
            child.types[new].apart.push(new);
        }
        for t in [a, b] {
            child.types[t].demand = child.types[t].demand.checked_sub(joined)?;
        }
    }
    if apart && !child.types[a].apart.contains(&b) {
        child.types[a].apart.push(b);
        if a != b {
            child.types[b].apart.push(a);
        }
    }
    Some(child)
}

fn joined_type(instance: &Instance, a: usize, b: usize, joined: u32) -> Option<Type> {
    let (first, second) = (&instance.types[a], &instance.types[b]);
    let length = first.length + second.length;
    let longest = instance.kinds.iter().map(|kind| kind.room).max()?;
    if length > longest {
        return None;
    }
    let mut apart = first.apart.clone();
    apart.extend(second.apart.iter().filter(|t| !first.apart.contains(t)));
    Some(Type {
        parts: vec![length],
        length,
        demand: joined,
        group: first.group.or(second.group),
        sources: Vec::new(),
        made_of: instance.taken_apart(&[(a, 1), (b, 1)]),
        apart,
    })
}

/// The columns as they are in the child, and again with a pair joined.
fn pass_on(
    child: &Instance,
    columns: &[Column],
    (a, b): (usize, usize),
    new: usize,
) -> Vec<Column> {
    let mut passed = Vec::new();
    for column in columns {
        if let Some(joined) = with_pair(column, a, b, new).filter(|_| child.types.len() > new) {
            passed.push(joined);
        }
        passed.push(column.clone());
    }
    passed.retain(|column| {
        let wanted = |&(t, count): &(usize, u32)| count <= child.types[t].demand;
        column.pieces.iter().all(wanted) && child.agree(&column.pieces)
    });
    passed
}

fn with_pair(column: &Column, a: usize, b: usize, new: usize) -> Option<Column> {
    let mut pieces = column.pieces.clone();
    for t in [a, b] {
        let place = pieces.iter().position(|&(other, count)| other == t && count > 0)?;
        pieces[place].1 -= 1;
    }
    pieces.retain(|&(_, count)| count > 0);
    pieces.push((new, 1));
    Some(Column { pieces, ..*column })
}
