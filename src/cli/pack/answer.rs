//! The answer as plain data: what both writers read, and the JSON contract.

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::time::Duration;

use serde::Serialize;

use crate::solve::{Certificate, Outcome, Problem, Shortfall, Solution};

/// An answer to one instance. Items and stock are given by their place in the
/// input, from 0.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PackAnswer {
    /// How far the answer can be trusted.
    pub status: Status,
    /// What the plan costs, if there is one.
    pub cost: Option<i64>,
    /// No plan can cost less; none where there can be no plan.
    pub bound: Option<i64>,
    /// How many sticks the plan takes.
    pub sticks: Option<u64>,
    /// How long the solver ran, to the microsecond.
    pub seconds: f64,
    /// What is cut from what, in a fixed order.
    pub patterns: Vec<StickCuts>,
    /// Why there can be no plan.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<Reason>,
    /// Prices that prove a bound, where they were asked for and there are any.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub certificate: Option<PackPrices>,
}

/// Prices that prove a bound by themselves: for every way to cut a stick, its
/// items are worth no more than `scale` times its cost plus the stick's charge.
/// So no plan costs less than the worth of all items less the charges of all
/// sticks, over `scale` and rounded up. A search may prove more.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PackPrices {
    /// What one unit of cost counts.
    pub scale: i64,
    /// What one of each item is worth.
    pub items: Vec<i64>,
    /// The charge for a stick of each stock; zero where supply is without limit.
    pub stock: Vec<i64>,
    /// The bound that they prove.
    pub bound: i64,
}

impl PackPrices {
    /// The certificate with an entry for each item and stock of the problem.
    pub fn new(problem: &Problem, certificate: &Certificate) -> PackPrices {
        let each = |count: usize, known: &BTreeMap<usize, i64>| {
            (0..count).map(|index| known.get(&index).copied().unwrap_or(0)).collect()
        };
        PackPrices {
            scale: certificate.scale,
            items: each(problem.items.len(), &certificate.items),
            stock: each(problem.stock.len(), &certificate.stock),
            bound: certificate.bound(problem),
        }
    }
}

/// How far an answer can be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Status {
    /// No plan costs less.
    Proven,
    /// A plan, but perhaps not the best.
    Feasible,
    /// There is no plan.
    Impossible,
    /// The time was up before there was a plan or a proof that there is none.
    Interrupted,
}

/// One way to cut a stick.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct StickCuts {
    /// Which stock.
    pub stock: usize,
    /// How many sticks are cut this way.
    pub times: u32,
    /// Each item cut and how often, `[item, count]`.
    pub items: Vec<(usize, u32)>,
}

/// Why there can be no plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Reason {
    /// Which kind of reason.
    pub kind: ReasonKind,
    /// The items that cannot be placed, or not all of them.
    pub items: Vec<usize>,
    /// What the items add up to, or how many they are, where that is the reason.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wanted: Option<i64>,
    /// What all the stock can give, where length is the reason.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub room: Option<i64>,
    /// How many of them all the stock can give, where number is the reason.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub places: Option<i64>,
}

/// The kinds of reason.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ReasonKind {
    /// The items are longer than any stock.
    TooLong,
    /// All the stock together is too short.
    TooLittle,
    /// All the stock together has too few places for pieces as long as these.
    TooFew,
    /// It is proven that there is no way to share out the stock.
    NoArrangement,
}

impl PackAnswer {
    /// Puts what the solver found into the order in which it is shown.
    pub fn new(outcome: &Outcome, ran: Duration) -> PackAnswer {
        let seconds = (ran.as_secs_f64() * 1e6).round() / 1e6;
        let none = PackAnswer {
            status: Status::Interrupted,
            cost: None,
            bound: None,
            sticks: None,
            seconds,
            patterns: Vec::new(),
            reason: None,
            certificate: None,
        };
        match outcome {
            Outcome::Solved(solution) => PackAnswer {
                status: if solution.is_proven() { Status::Proven } else { Status::Feasible },
                cost: Some(solution.cost),
                bound: Some(solution.bound),
                sticks: Some(solution.sticks()),
                patterns: cuts(solution),
                ..none
            },
            Outcome::Impossible(shortfall) => PackAnswer {
                status: Status::Impossible,
                reason: Some(Reason::new(shortfall)),
                ..none
            },
            Outcome::Interrupted { bound, .. } => PackAnswer { bound: Some(*bound), ..none },
        }
    }
}

impl Reason {
    fn new(shortfall: &Shortfall) -> Reason {
        let only = |kind, items: &[usize]| Reason {
            kind,
            items: items.to_vec(),
            wanted: None,
            room: None,
            places: None,
        };
        let count = |number: &u64| i64::try_from(*number).ok();
        match shortfall {
            Shortfall::TooLong(items) => only(ReasonKind::TooLong, items),
            Shortfall::TooLittle { items, wanted, room } => Reason {
                wanted: Some(*wanted),
                room: Some(*room),
                ..only(ReasonKind::TooLittle, items)
            },
            Shortfall::TooFew { items, wanted, places } => Reason {
                wanted: count(wanted),
                places: count(places),
                ..only(ReasonKind::TooFew, items)
            },
            Shortfall::NoArrangement(items) => only(ReasonKind::NoArrangement, items),
        }
    }
}

/// Equal patterns as one, by stock, the most used first.
fn cuts(solution: &Solution) -> Vec<StickCuts> {
    let mut times: BTreeMap<(usize, Vec<(usize, u32)>), u32> = BTreeMap::new();
    for pattern in &solution.patterns {
        let mut counts: BTreeMap<usize, u32> = BTreeMap::new();
        for piece in pattern.runs.iter().flatten() {
            *counts.entry(piece.item).or_default() += piece.count;
        }
        let key = (pattern.stock, counts.into_iter().collect());
        *times.entry(key).or_default() += pattern.times;
    }
    let mut cuts: Vec<StickCuts> = times
        .into_iter()
        .map(|((stock, items), times)| StickCuts { stock, times, items })
        .collect();
    cuts.sort_by_key(|cut| (cut.stock, Reverse(cut.times)));
    cuts
}
