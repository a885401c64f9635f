//! What a moulding counts in an order, worked out from the offers alone.

use std::collections::BTreeSet;

use super::bought::sticks_each;
use super::{Facts, truth};
use crate::measure::Length;
use crate::plan::Part;
use crate::shop::{Carton, Form, Moulding, Per};

/// Millionths in a whole share.
const MILLION: i128 = 1_000_000;

/// The rate of a moulding, and from which length its sticks are whole.
pub(super) struct Counted<'a> {
    moulding: &'a Moulding,
    /// So many thousandths buy so many nanometres today.
    rate: (i128, i128),
    whole_from: Length,
}

impl<'a> Counted<'a> {
    pub fn new(facts: &Facts<'a>, moulding: &'a Moulding) -> Counted<'a> {
        let (amount, per) = moulding.rate();
        let own = if moulding.price.is_some() { amount.0 } else { 0 };
        let (mut best, mut longest): (Option<(i128, i128)>, _) = (None, None);
        for offer in facts.shop.offers.iter().filter(|offer| offer.moulding == moulding.id) {
            for piece in truth::pieces(facts.shop, offer, facts.plan.date) {
                if piece.halved {
                    continue;
                }
                longest = longest.max(Some(piece.length));
                let holds = i128::from(sticks_each(offer, piece.stick).max(1));
                let billed = match offer.form {
                    Form::Box { holds: Carton::Length(length) } => i128::from(length.nm()),
                    _ => holds * i128::from(piece.stick.nm()),
                };
                let (times, under) = match offer.per {
                    Per::Foot => (billed, 12 * 25_400_000),
                    Per::Metre => (billed, 1_000_000_000),
                    Per::Stick => (holds, 1),
                    Per::Box => (1, 1),
                };
                let prices = offer.steps.iter().map(|step| step.price).chain([offer.price]);
                let least = i128::from(prices.min().unwrap_or(offer.price).0);
                let one = lowest(least * times, under * holds * i128::from(piece.stick.nm()));
                let is_less = |(over, per): (i128, i128)| one.0 * per < over * one.1;
                if best.is_none_or(is_less) {
                    best = Some(one);
                }
            }
        }
        let rate = best.unwrap_or((i128::from(own), i128::from(per.nm())));
        let whole_from = longest.map_or(moulding.stick, |longest| longest.min(moulding.stick));
        Counted { moulding, rate, whole_from }
    }

    /// What a stick or offcut of this length counts, in thousandths.
    pub fn of(&self, facts: &Facts, length: Length) -> i64 {
        let settings = &facts.shop.settings;
        if length < settings.keep || !length.is_positive() {
            return 0;
        }
        let spare = i128::from(settings.buying.spare);
        let (over, under) = lowest(self.rate.0 * spare, self.rate.1 * MILLION);
        let full = over * i128::from(length.nm());
        let worth = if length >= self.moulding.stick {
            full.div_euclid(under)
        } else {
            let rise = i128::from((self.moulding.stick - settings.keep).nm());
            let risen = i128::from((length - settings.keep).nm());
            let share = i128::from(settings.worth) * (rise - risen) + MILLION * risen;
            (full * share).div_euclid(under * MILLION * rise)
        };
        i64::try_from(worth).unwrap_or(i64::MAX)
    }

    /// What whole sticks count more than any others, as many as are to be kept.
    pub fn kept(&self, facts: &Facts, mut whole: Vec<Length>) -> i64 {
        whole.sort_unstable();
        let kept = whole.iter().rev().take(self.moulding.keep_on_rack as usize);
        let more = |length: &Length| {
            let length_paid = i128::from((*length).min(self.moulding.stick).nm());
            let full = (self.rate.0 * length_paid).div_euclid(self.rate.1);
            i64::try_from(full).unwrap_or(i64::MAX) - 1000 - self.of(facts, *length)
        };
        kept.map(more).sum()
    }
}

/// The whole sticks of a moulding before the waiting frames are cut, and once all
/// that is bought is there.
pub(super) fn whole(facts: &Facts, moulding: &str, counted: &Counted) -> [Vec<Length>; 2] {
    let cut = |order: bool| -> BTreeSet<&str> {
        let of = facts.sticks().filter(|(part, _)| (*part == Part::Order) == order);
        of.map(|(_, stick)| stick.stick.as_str()).collect()
    };
    let (gone, cut) = (cut(false), cut(true));
    let there = facts.shop.sticks().filter(|stick| {
        stick.moulding == moulding
            && stick.flaws.is_empty()
            && stick.length >= counted.whole_from
            && !gone.contains(stick.id.as_str())
    });
    let there: Vec<(bool, Length)> =
        there.map(|stick| (cut.contains(stick.id.as_str()), stick.length)).collect();
    let before = there.iter().map(|(_, length)| *length).collect();
    let mut after: Vec<Length> =
        there.iter().filter(|(is_cut, _)| !is_cut).map(|(_, length)| *length).collect();
    for line in facts.plan.order.lines.iter().filter(|line| line.form != "chop") {
        if line.moulding == moulding && !line.halved && line.length >= counted.whole_from {
            after.extend((line.cut..line.pieces).map(|_| line.length));
        }
    }
    [before, after]
}

/// A fraction in lowest terms.
fn lowest(over: i128, under: i128) -> (i128, i128) {
    let (mut a, mut b) = (over.abs(), under);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    (over / a.max(1), under / a.max(1))
}
