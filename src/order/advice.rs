//! What the framer may want to know beside the order: a step or a box more that
//! pays back, and what the certainty about random lengths costs.

use rayon::prelude::*;

use super::finish::{Bought, Detail, lots_of};
use super::packer;
use super::wants::Wants;
use crate::buy::{OfferQuantity, Way, count_for, goods_of, step_reached, sticks_in};
use crate::measure::{Length, Money};
use crate::plan::{Advice, Certainty};
use crate::planner::effort::Effort;
use crate::shop::{Form, Lengths};

/// A step more than this many times what is ordered is no advice.
const MOST_TIMES: u32 = 3;

/// For each line, the next step or one more box, if the sticks beyond need come
/// cheaper than they would one by one.
pub(super) fn advice(chosen: &[(&Wants, &Way, &Detail)]) -> Vec<Advice> {
    let lines = chosen.iter().flat_map(|(wants, _, detail)| {
        detail.bought.iter().filter_map(|line| one_more(wants, detail, line))
    });
    lines.collect()
}

fn one_more(wants: &Wants, detail: &Detail, line: &Bought) -> Option<Advice> {
    let place = wants.supplies[line.supply].offer;
    let offer = &wants.shop.offers[place];
    let lots = lots_of(wants, &detail.bought).remove(&place)?;
    let step = step_reached(offer, &lots);
    let others: Vec<OfferQuantity> =
        lots.iter().copied().filter(|lot| lot.length != line.piece.stick).collect();
    let to_step =
        (step < offer.steps.len()).then(|| count_for(offer, step + 1, line.piece.stick, &others));
    let to_box = matches!(offer.form, Form::Box { .. }).then_some(line.count + 1);
    let count = to_step.or(to_box).filter(|count| *count <= line.count * MOST_TIMES)?;
    let more = [others, vec![OfferQuantity { length: line.piece.stick, count }]].concat();
    let (now, then) = (goods_of(offer, &lots), goods_of(offer, &more));
    let extra = count.checked_sub(line.count)?;
    let each = sticks_in(offer, line.piece.stick).max(1);
    let (sticks, have) = (extra * each, line.count * each);
    // What one stick costs where sticks are sold one by one.
    let single = wants
        .supplies
        .iter()
        .map(|supply| &wants.shop.offers[supply.offer])
        .filter(|other| matches!(other.form, Form::Length))
        .map(|other| goods_of(other, &[OfferQuantity { length: line.piece.stick, count: 1 }]))
        .min()
        .unwrap_or_else(|| Money(now.0 / i64::from(have.max(1))));
    let costs = Money(then.0 - now.0);
    let used = (costs.0.max(0) + single.0 - 1) / single.0.max(1);
    let pays_at = u32::try_from(used).ok()?;
    (extra > 0 && pays_at < sticks).then(|| Advice {
        moulding: wants.moulding.id.clone(),
        supplier: offer.supplier.clone(),
        form: form(&offer.form).to_owned(),
        length: line.piece.stick,
        more: extra,
        sticks,
        costs,
        pays_at,
    })
}

/// The word for a form.
pub(super) fn form(form: &Form) -> &'static str {
    match form {
        Form::Length => "length",
        Form::Box { .. } => "box",
        Form::Chop { .. } => "chop",
    }
}

/// Where sticks of random length are bought: how many more that takes than if
/// each were of the middle length.
pub(super) fn certainty<'a>(
    chosen: &[(&Wants<'a>, &Way, &Detail)],
    effort: Effort<'a>,
) -> Vec<Certainty> {
    let of_moulding = |(wants, _, detail): &(&Wants<'a>, &Way, &Detail)| -> Vec<Certainty> {
        detail.bought.iter().filter_map(|line| of_line(wants, detail, line, effort)).collect()
    };
    chosen.par_iter().flat_map_iter(of_moulding).collect()
}

fn of_line<'a>(
    wants: &Wants<'a>,
    detail: &Detail,
    line: &Bought,
    effort: Effort<'a>,
) -> Option<Certainty> {
    let offer = &wants.shop.offers[wants.supplies[line.supply].offer];
    let Lengths::Between(from, to) = offer.lengths else { return None };
    let [phase] = &detail.phases[..] else { return None };
    let is_alone = detail.bought.iter().filter(|line| line.cut > 0).count() == 1;
    if line.cut == 0 || !is_alone || !phase.rack_cut().is_empty() {
        return None;
    }
    let middle = Length::from_nm((from + to).nm() / 2);
    let length = if line.piece.halved { Length::from_nm(middle.nm() / 2) } else { middle };
    let sticks = vec![packer::endless(wants, length)];
    let attempt =
        packer::pack(wants, &phase.layers, sticks, &|_| false, None, packer::Look::Whole, effort);
    let usual = attempt.phases?.iter().map(|phase| phase.cut.len()).sum::<usize>();
    let usual = u32::try_from(usual).unwrap_or(u32::MAX);
    Some(Certainty {
        moulding: wants.moulding.id.clone(),
        supplier: offer.supplier.clone(),
        sticks: line.cut,
        extra: line.cut.saturating_sub(usual),
        middle,
    })
}
