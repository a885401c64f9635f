//! What no practice can beat: each moulding's whole year packed at once, by somebody
//! who knew every customer beforehand.
//!
//! The rails of a year, from whichever stick, are packed into the rack as it was at
//! first and new sticks so that as few whole sticks as possible are begun; the solver's
//! bound is what counts, not its packing. A practice that cuts a stick over many days
//! loses no less between its rails and at its ends than one that cuts it at once, so it
//! begins no less.
//!
//! # Why money follows from length
//!
//! Let an offcut count the share `s` of its list price by length, `R`. A whole stick of
//! length `L` that is begun loses at least `(1 - s) R L`, and `s R` for each length that
//! is cut of it: its first trim, its rails, and all but the last of their joints. An
//! offcut loses the latter. So a year comes to no less than `s R` times what is cut and
//! `(1 - s) R` times what is begun. Offcuts that count nothing are given as a present,
//! and of every figure that was rounded down one unit.
//!
//! # Why money is packed once more
//!
//! That counts what is left of every stick, however short, at the share `s`. What is
//! shorter than the shop keeps counts nothing, so the year is packed a second time: a whole
//! stick without flaws is paid at list price, and what is left of it counts `s R` for its
//! length if it is kept. A practice has of such a stick one piece in the end, no longer
//! than if all were cut at once. Offcuts are a present here, with nothing for what is left
//! of them, and of a whole stick with flaws `(1 - s) R L` is paid. The greater of the two
//! bounds holds.

use rayon::prelude::*;

use super::customers::{Customers, bench};
use super::yardstick::rate;
use crate::cutting::{Ask, Bench, Demand, Paid, Source, pose};
use crate::measure::{Length, Rate, Worth};
use crate::rails::frame_rails;
use crate::shop::{Flaw, Match, Shop, Stick};
use crate::solve::{Limits, Outcome, least, solve};

/// No practice buys less, or comes to less.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Clairvoyant {
    /// What is bought at least.
    pub bought: Length,
    /// What the year comes to at least.
    pub money: Worth,
    /// For how many mouldings the packing is proven best, of how many.
    pub proven: (u32, u32),
}

impl std::ops::Add for Clairvoyant {
    type Output = Clairvoyant;
    fn add(self, other: Clairvoyant) -> Clairvoyant {
        Clairvoyant {
            bought: self.bought + other.bought,
            money: self.money + other.money,
            proven: (self.proven.0 + other.proven.0, self.proven.1 + other.proven.1),
        }
    }
}

/// The year of these customers, known beforehand.
pub(super) fn clairvoyant(shop: &Shop, customers: &Customers, work: u64) -> Clairvoyant {
    let shop = &counted_evenly(shop);
    let ids: Vec<&String> = shop.mouldings.keys().collect();
    let of = |id: &&String| of_moulding(shop, id, customers, work);
    let each: Vec<Clairvoyant> = ids.par_iter().map(of).collect();
    each.into_iter().fold(Clairvoyant::default(), |all, one| all + one)
}

/// The shop with offcuts that are worth the same share of their price, whatever their length.
fn counted_evenly(shop: &Shop) -> Shop {
    let mut shop = shop.clone();
    shop.settings.worth = ALL;
    shop.mouldings.values_mut().for_each(|moulding| moulding.worths.clear());
    shop
}

/// All of a price, in millionths.
const ALL: u32 = 1_000_000;

fn of_moulding(shop: &Shop, id: &str, customers: &Customers, work: u64) -> Clairvoyant {
    let bench = bench(shop, id);
    let demands = demands(shop, id, customers);
    if demands.is_empty() {
        return Clairvoyant::default();
    }
    let rack: Vec<&Stick> = shop.rack.iter().filter(|stick| stick.moulding == id).collect();
    let usual = bench.moulding.stick;
    let whole = |stick: &&&Stick| stick.length == usual;
    let mut sources: Vec<Source> = rack.iter().map(|stick| source(stick, usual)).collect();
    sources.push(begun(usual, Vec::new(), (true, true)));
    let (bound, proven) = least_paid(&bench, &demands, &sources, work.max(SEARCH));
    let begun = usual * (bound + PRICE - 1).div_euclid(PRICE);
    let had: Length = rack.iter().filter(whole).map(|stick| stick.length).sum();
    let evenly = money(&bench, &demands, &rack, begun);
    Clairvoyant {
        bought: (begun - had).max(Length::ZERO),
        money: evenly.max(packed(&bench, &demands, &rack, work.max(ONCE_MORE))),
        proven: (u32::from(proven), 1),
    }
}

/// What no packing of these into these pays less than, and whether one that pays so much
/// was found.
fn least_paid(bench: &Bench, demands: &[Demand], sources: &[Source], work: u64) -> (i64, bool) {
    let posed = pose(bench, demands, sources);
    let problem = posed.relaxed.as_ref().unwrap_or(&posed.problem);
    let limits = Limits { work, deadline: None, stop: None, watch: None };
    let (bound, proven) = match solve(problem, &limits) {
        Outcome::Solved(solution) => (solution.bound, solution.is_proven()),
        Outcome::Interrupted { bound, .. } => (bound, false),
        Outcome::Impossible(_) => (least(problem), false),
    };
    (bound.div_euclid(posed.scale), proven && posed.relaxed.is_none())
}

/// What a year comes to at least, with what is left of whole sticks counted if it is kept.
fn packed(bench: &Bench, demands: &[Demand], rack: &[&Stick], work: u64) -> Worth {
    if bench.moulding.price.is_none() {
        return Worth(0);
    }
    let (Rate { amount, per }, usual) = (rate(bench.moulding), bench.moulding.stick);
    let price = rate(bench.moulding).of(usual);
    // Rounded up, so that nothing counts less than it may.
    let share = |whole: Worth| {
        let share = i128::from(whole.0) * i128::from(bench.settings.buying.spare);
        Worth(i64::try_from((share + i128::from(ALL) - 1) / i128::from(ALL)).unwrap_or(i64::MAX))
    };
    let (lost, counted) = (price - share(price), Rate { amount: share(amount), per });
    let nothing = Rate { amount: Worth(0), per };
    let paid = |stick: &&Stick| {
        let (price, back) = match (stick.length == usual, stick.flaws.is_empty()) {
            (true, true) => (price, counted),
            (true, false) => (lost, nothing),
            (false, _) => (Worth(0), nothing),
        };
        let paid = Some(Paid { price, back, endless: false });
        Source { length: stick.length, flaws: stick.flaws.clone(), lot: 0, is_new: false, paid }
    };
    let mut sources: Vec<Source> = rack.iter().map(paid).collect();
    let paid = Some(Paid { price, back: counted, endless: true });
    sources.push(Source { length: usual, flaws: Vec::new(), lot: 0, is_new: true, paid });
    Worth(least_paid(bench, demands, &sources, work).0.max(0))
}

/// A stick of the rack: free, but for whole ones. What is left of any counts nothing.
fn source(stick: &Stick, usual: Length) -> Source {
    let is_whole = stick.length == usual;
    begun(stick.length, stick.flaws.clone(), (is_whole, false))
}

/// What it costs to begin a whole stick: enough that the solver's prices of rails, which
/// are whole numbers, say what share of a stick each takes.
const PRICE: i64 = 100_000;

/// The steps that a moulding's year may take at the least: it has many more rails than a
/// morning, and is packed once.
const SEARCH: u64 = 10_000_000;

/// The same for packing it once more: ten times as many raise the bound of 2,500 frames by
/// half a thousandth only.
const ONCE_MORE: u64 = 1_000_000;

/// A stick that may be cut from.
fn begun(length: Length, flaws: Vec<Flaw>, (is_whole, is_new): (bool, bool)) -> Source {
    let back = Rate { amount: Worth(0), per: Length::from_mm(1) };
    let paid = Paid { price: Worth(if is_whole { PRICE } else { 0 }), back, endless: is_new };
    Source { length, flaws, lot: 0, is_new, paid: Some(paid) }
}

/// All that is cut of a moulding, from whichever stick.
fn demands(shop: &Shop, id: &str, customers: &Customers) -> Vec<Demand> {
    let mut demands = Vec::new();
    for customer in &customers.all {
        let frame = &customer.frame;
        for (layer, rails) in frame.layers.iter().zip(frame_rails(shop, frame)) {
            if layer.moulding == id {
                let (mitre, rails) = (rails.mitre, rails.rails);
                let ask = Ask { mitre, match_: Match::Any, rails, like: None };
                demands.push(Demand { ask, lot: None, together: false, count: 1 });
            }
        }
    }
    demands
}

/// What a year comes to at least in which so much is begun of whole sticks.
fn money(bench: &Bench, demands: &[Demand], rack: &[&Stick], begun: Length) -> Worth {
    if bench.moulding.price.is_none() {
        return Worth(0);
    }
    let trim = bench.cutter.first_trim;
    let joints = demands.iter().map(|demand| bench.joint_loss(demand.ask.mitre));
    let with_joints = joints.max().is_some_and(|joint| joint <= trim);
    let mut cut = Length::ZERO;
    let mut slack = i128::try_from(rack.len()).unwrap_or(0);
    for Demand { ask, .. } in demands {
        let joint = if with_joints { bench.joint_loss(ask.mitre) } else { Length::ZERO };
        let lost = joint - bench.overlap(ask.mitre);
        cut += ask.rails.iter().map(|rail| rail.long_point + lost).sum();
        slack += i128::try_from(ask.rails.len()).unwrap_or(0);
    }
    let joint = demands.iter().map(|demand| bench.joint_loss(demand.ask.mitre)).max();
    let end = if with_joints { trim - joint.unwrap_or_default() } else { trim };
    cut += end * (begun.nm() / bench.moulding.stick.nm());
    let keep = bench.settings.keep;
    cut -= rack.iter().filter(|stick| stick.length < keep).map(|stick| stick.length).sum();
    let share = i128::from(bench.settings.buying.spare);
    let lengths = share * i128::from(cut.nm()) + (1_000_000 - share) * i128::from(begun.nm());
    let Rate { amount, per } = rate(bench.moulding);
    let least = (lengths * i128::from(amount.0)).div_euclid(1_000_000 * i128::from(per.nm()));
    Worth(i64::try_from((least - slack).max(0)).unwrap_or(i64::MAX))
}
