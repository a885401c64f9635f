//! The linear program of the whole problem, and plans by diving from it.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::dive::{dive, round};
use crate::solve::cells::Cells;
use crate::solve::columns::generation::{Reached, generate};
use crate::solve::columns::listing::proven;
use crate::solve::columns::master::Master;
use crate::solve::columns::subproblems::Subproblems;
use crate::solve::columns::table::Grain;
use crate::solve::cutting_plan::Column;
use crate::solve::instance::{Instance, StockKind};
use crate::solve::outcome::Certificate;
use crate::solve::prices::Prices;
use crate::solve::residual::Residual;
use crate::solve::search::Search;

/// Dives from one optimum.
const TRIES: u32 = 10;
/// Types times room from which a table counts as large.
const LARGE: i64 = 200_000;

/// The solved root: what further search starts from.
pub(crate) struct Root {
    pub view: Subproblems,
    pub master: Master,
    pub rest: Residual,
    pub reached: Reached,
    /// What the furthest dive fixed.
    pub furthest: Vec<(Column, u32)>,
}

impl Root {
    /// The prices of the optimum, with charges so high that no column gains.
    pub fn proven_prices(&self, search: &mut Search) -> Prices {
        let (instance, cells) = (&search.instance, &mut search.cells);
        let prices = self.master.prices(instance);
        proven(instance, &self.view.classes, &prices, &self.rest, Grain::Fine, cells)
    }
}

/// Solves the linear program again after costs have risen.
pub(crate) fn again(search: &mut Search, root: &Root, tries: u32) -> Root {
    let rest = Residual::of(&search.instance);
    let view = Subproblems::new(Rc::clone(&search.instance), true);
    let mut master = Master::new(&search.instance, &rest, artificial_rate(search), false);
    for column in &root.master.columns {
        let again = Column::new(&search.instance, column.kind, column.pieces.clone());
        master.add(again.expect("it fitted before"));
    }
    let mut reached = generate(search, &view, &mut master, &rest, false, &mut |_, _| {});
    let furthest = plans_from(search, (&view, &mut master, &rest), &mut reached, tries);
    Root { view, master, rest, reached, furthest }
}

/// Solves the linear program of the whole problem, rounding on the way, and
/// dives from its optimum.
pub(crate) fn solve(search: &mut Search) -> Root {
    let rest = Residual::of(&search.instance);
    let view = Subproblems::new(Rc::clone(&search.instance), true);
    let rate = artificial_rate(search);
    let mut master = Master::new(&search.instance, &rest, rate, false);
    for column in first_columns(search) {
        master.add(column);
    }
    // Where tables are large, patterns that a better plan cannot afford are left
    // out; elsewhere the prices are to prove the bound by themselves.
    let room = view.classes.iter().map(|class| class.room()).max().unwrap_or(0);
    let tight = room.saturating_mul(rest.wanted.len() as i64) > LARGE;
    let mut looks = 0u32;
    let mut reached = generate(search, &view, &mut master, &rest, tight, &mut |search, master| {
        looks += 1;
        if looks.is_power_of_two() || looks % 8 == 0 {
            round(search, &view, master, &rest, &[], None);
        }
    });
    let furthest = plans_from(search, (&view, &mut master, &rest), &mut reached, TRIES);
    // Prices of a whole program that was solved are the best there are.
    let best = !tight && matches!(reached, Reached::Bound(_));
    certified(search, &view, &master, &rest, best);
    Root { view, master, rest, reached, furthest }
}

/// Rounds and dives from the optimum of a program, where it has one and nothing is
/// proven yet; the furthest dive.
fn plans_from(
    search: &mut Search,
    (view, master, rest): (&Subproblems, &mut Master, &Residual),
    reached: &mut Reached,
    tries: u32,
) -> Vec<(Column, u32)> {
    if search.is_proven() {
        *reached = Reached::Beaten;
    }
    let Reached::Bound(_) = *reached else { return Vec::new() };
    let worth = worth(&search.instance, master);
    round(search, view, master, rest, &[], Some(&worth));
    dive(search, view, master, rest, tries)
}

/// Keeps the prices that prove the most by themselves: those of the program, and
/// unless they are the best there are, those by length. Where it is late, there
/// is no time to prove anything.
pub(crate) fn certified(
    search: &mut Search,
    view: &Subproblems,
    master: &Master,
    rest: &Residual,
    best: bool,
) {
    if search.is_late() {
        return;
    }
    let instance = Rc::clone(&search.instance);
    let mut prices = vec![(master.prices(&instance), Grain::Exact)];
    if !best {
        prices.push((by_length(&instance, master), Grain::Fine));
    }
    let proof = |(prices, grain)| certify(&instance, view, rest, prices, grain, &mut search.cells);
    let proofs = prices.into_iter().filter_map(proof);
    // Of equal ones, that of the linear program.
    let best = proofs.reduce(|first, second| if second.0 > first.0 { second } else { first });
    if let Some((_, certificate)) = best {
        search.certificate = Some(certificate);
    }
}

/// A rate for artificial variables a little above what the best plan pays for length.
pub(crate) fn artificial_rate(search: &Search) -> f64 {
    let instance = &search.instance;
    let lengths = instance.types.iter().map(|t| t.length as f64 * f64::from(t.demand));
    let all: f64 = lengths.sum();
    let dearest =
        instance.kinds.iter().map(|kind| kind.cost_at(kind.room).abs() as f64 / kind.room as f64);
    match &search.best {
        Some(best) if best.cost > 0 => 1.5 * best.cost as f64 / all,
        _ => 2.0 * dearest.fold(0.0, f64::max),
    }
}

/// The patterns of the best plan, and one for each type as often as it fits.
pub(crate) fn first_columns(search: &Search) -> Vec<Column> {
    let instance = &search.instance;
    let best = search.best.iter().flat_map(|best| &best.uses);
    let mut columns: Vec<Column> = best.map(|(column, _)| column.clone()).collect();
    let watchman = search.watchman();
    for t in (0..instance.types.len()).take_while(|_| !watchman.is_late()) {
        let kinds = (0..instance.kinds.len()).filter(|&k| instance.fits(k, t));
        let alone = kinds.filter_map(|k| {
            let kind = &instance.kinds[k];
            let fits = if kind.is_plain() { kind.room / instance.types[t].length } else { 1 };
            let count = instance.types[t].demand.min(u32::try_from(fits).unwrap_or(u32::MAX));
            Column::new(instance, k, vec![(t, count)])
        });
        columns.extend(alone.min_by_key(|column| column.cost));
    }
    columns
}

fn worth(instance: &Instance, master: &Master) -> Vec<i64> {
    master.prices(instance).piece.iter().map(|&price| price.max(1)).collect()
}

/// Prices by length alone, at the dearest rate of any stock.
fn by_length(instance: &Instance, master: &Master) -> Prices {
    let mut prices = master.prices(instance);
    let rate = |kind: &StockKind| {
        let cost = i128::from(kind.cost_at(kind.room)) * i128::from(prices.scale);
        cost / i128::from(kind.room.max(1))
    };
    let rate = instance.kinds.iter().map(rate).max().unwrap_or(0).max(0);
    let scaled = |length: i64| i64::try_from(rate * i128::from(length)).unwrap_or(0);
    prices.piece = instance.types.iter().map(|t| scaled(t.length)).collect();
    prices.within_reach(instance)
}

/// Prices that prove the bound of the whole problem on their own, shrunk until
/// endless stock does not gain, with charges for the rest; and that bound, in
/// units of the prices.
fn certify(
    instance: &Instance,
    view: &Subproblems,
    rest: &Residual,
    mut prices: Prices,
    grain: Grain,
    cells: &mut Cells,
) -> Option<(i128, Certificate)> {
    let mut at =
        |prices: &Prices| proven(instance, &view.classes, prices, rest, grain, cells).charge;
    let least = instance.types.iter().map(|t| t.length).min()?;
    let mut charge = at(&prices);
    let (mut top, mut bottom) = (1i128, 1i128);
    for (kind, &gain) in instance.kinds.iter().zip(&charge) {
        let cost = i128::from(prices.scale) * i128::from(kind.cost_at(least.min(kind.room)));
        let gain = i128::from(gain);
        if !kind.limited && cost > 0 && (gain + cost) * bottom > top * cost {
            (top, bottom) = (gain + cost, cost);
        }
    }
    if top > bottom {
        for piece in &mut prices.piece {
            *piece = i64::try_from(i128::from(*piece) * bottom / top).ok()?;
        }
        charge = at(&prices);
    }
    let mut kinds = instance.kinds.iter().zip(&charge);
    if kinds.any(|(kind, &charge)| !kind.limited && charge > 0) {
        return None;
    }
    let worth = instance.types.iter().zip(&prices.piece);
    let worth: i128 = worth.map(|(t, &p)| i128::from(t.demand) * i128::from(p)).sum();
    let charged = instance.kinds.iter().zip(&charge).filter(|(kind, _)| kind.limited);
    let charged: i128 = charged.map(|(k, &c)| i128::from(k.supply) * i128::from(c)).sum();
    let mut certificate =
        Certificate { scale: prices.scale, items: BTreeMap::new(), stock: BTreeMap::new() };
    for (of_type, &piece) in instance.types.iter().zip(&prices.piece) {
        let sources = of_type.sources.iter();
        certificate.items.extend(sources.map(|source| (source.item, piece)));
    }
    for (kind, &charge) in instance.kinds.iter().zip(&charge) {
        certificate.stock.extend(kind.stocks.iter().map(|&(stock, _)| (stock, charge)));
    }
    Some((worth - charged, certificate))
}
