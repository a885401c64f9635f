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

use crate::cutting::{Bench, Paid, Source};
use crate::measure::{Rate, Worth};
use crate::plan::lots::Placed;
use crate::plan::packing::Fit;
use crate::shop::Moulding;

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
    let read = fit.read_at(bench, sources);
    let most = i128::from(fit.bound.0) * i128::from(back.amount.0) * i128::from(own.per.nm())
        / (i128::from(back.per.nm()) * i128::from(own.amount.0));
    let premium = price.of(read.bought).0 - back.of(read.bought).0;
    let bound = i64::try_from(most).unwrap_or(0) + premium - read.rounding;
    read.fit.bounded(Worth(bound))
}
