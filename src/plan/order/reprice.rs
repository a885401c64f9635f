//! A packing at the moulding's own price, read at other prices.
//!
//! Where all new sticks cost the same by their length, what they cost hardly
//! matters to how they are best cut, so that one packing serves every offer and
//! step. Let the moulding's own rate be `o`, the rate paid `p`, and the rate of
//! what is left `b`, at most both. A packing that uses up `R` of the rack and
//! `N` of new sticks at the rate `o`, and buys the length `A`, comes to
//! `R + (b/o) N + (p - b) A`. If nothing uses up less than `v` at the rate `o`,
//! nothing comes to less than `(b/o) v + (p - b) A'` where no packing buys less
//! than `A'`.

use crate::cutting::{Bench, Paid, Source, pose};
use crate::measure::{Length, Rate, Worth};
use crate::plan::lots::Placed;
use crate::plan::packing::Fit;
use crate::shop::Moulding;
use crate::solve::{Pattern, Problem};

use super::packer::own;

/// The rate that all new sticks are bought at, and that of what is left of them,
/// in the moulding's own money; `None` if they differ or there are none.
pub(super) fn is_at_one_price(moulding: &Moulding, sources: &[Placed]) -> Option<(Rate, Rate)> {
    if moulding.price.is_none() || own(moulding).amount.0 <= 0 {
        return None;
    }
    let mut paid = sources.iter().filter_map(|(_, source)| source.paid);
    let Paid { price, back } = paid.next()?;
    paid.all(|other| is_same(other.price, price)).then_some((price, back))
}

fn is_same(one: Rate, other: Rate) -> bool {
    let cross = |a: Rate, b: Rate| i128::from(a.amount.0) * i128::from(b.per.nm());
    cross(one, other) == cross(other, one)
}

/// The packing, made at the moulding's own price, at what the sources cost.
pub(super) fn reprice(
    bench: &Bench,
    fit: &Fit,
    sources: &[Source],
    (price, back): (Rate, Rate),
) -> Fit {
    let own = own(bench.moulding);
    if is_same(own, price) && is_same(own, back) {
        return fit.clone();
    }
    let posed = pose(bench, &fit.demands, sources);
    let cost: i64 = fit.solution.patterns.iter().map(|p| net_cost(&posed.problem, p)).sum();
    let used_up = Worth((cost - i64::from(fit.sticks)) / posed.scale);
    let bought = least_bought(posed.relaxed.as_ref().unwrap_or(&posed.problem), sources);
    let most = i128::from(fit.bound.0) * i128::from(back.amount.0) * i128::from(own.per.nm())
        / (i128::from(back.per.nm()) * i128::from(own.amount.0));
    let premium = price.of(bought).0 - back.of(bought).0;
    let bound = i64::try_from(most).unwrap_or(0) + premium - rounding(&posed.problem);
    let bound = Worth(bound.clamp(0, used_up.0.max(0)));
    let mut solution = fit.solution.clone();
    (solution.cost, solution.certificate) = (cost, None);
    solution.bound = bound.0 * posed.scale;
    let proven = bound == used_up;
    Fit { posed, solution, used_up, bound, proven, ..fit.clone() }
}

fn net_cost(problem: &Problem, pattern: &Pattern) -> i64 {
    let taken: Vec<i64> = pattern
        .runs
        .iter()
        .map(|pieces| {
            let length = |piece: &crate::solve::Piece| {
                problem.items[piece.item].parts[piece.part] * i64::from(piece.count)
            };
            pieces.iter().map(length).sum()
        })
        .collect();
    problem.stock[pattern.stock].net_cost(&taken) * i64::from(pattern.times)
}

/// The least length that every packing buys: nothing where the rack might do.
fn least_bought(problem: &Problem, sources: &[Source]) -> Length {
    if sources.iter().any(|source| !source.is_new) {
        return Length::ZERO;
    }
    let all: i64 = problem.items.iter().map(|item| item.length() * i64::from(item.demand)).sum();
    let room = problem.stock.iter().map(|stock| stock.room()).max().unwrap_or(1).max(1);
    let shortest = sources.iter().map(|source| source.length).min().unwrap_or_default();
    shortest * ((all + room - 1) / room)
}

/// How much rounding may hide, in thousandths: one for the price of each stick
/// and one for each of its remnants, at either price.
fn rounding(problem: &Problem) -> i64 {
    let runs = problem.stock.iter().map(|stock| stock.runs.len()).max().unwrap_or(1);
    let sticks: i64 = problem.items.iter().map(|item| i64::from(item.demand)).sum();
    sticks * (2 + 2 * i64::try_from(runs).unwrap_or(1)) + 2
}
