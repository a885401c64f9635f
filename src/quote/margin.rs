//! What a frame costs at the margin: goods and rack alone.

use jiff::civil::Date;

use crate::measure::{Money, Worth};
use crate::morning::plan;
use crate::plan::{CutStick, Part, Plan};
use crate::shop::{Frame, Shop};
use crate::solve::Limits;
use crate::verify::Fault;

/// Whether sticks are bought that nobody waits for.
pub(super) fn buys_beyond_need(plan: &Plan) -> bool {
    plan.order.account.is_some_and(|account| account.beyond_need.0 > 0)
}

/// What all that waits comes to without a frame and with it, where no supplier adds anything
/// to goods: else what is bought to reach a minimum, or cheaper carriage, would stand on one
/// side and not on the other.
///
/// # Errors
/// What the check finds wrong with one of the plans: a mistake of the program.
pub(super) fn bare<'a>(
    shop: &Shop,
    frame: &Frame,
    date: Date,
    limits: &(impl Fn() -> Limits<'a> + Sync),
) -> Result<(Worth, Worth), Vec<Fault>> {
    let mut bare = shop.clone();
    for supplier in bare.suppliers.values_mut() {
        (supplier.minimum, supplier.refuses) = (Money(0), false);
        (supplier.small, supplier.long) = (None, None);
        supplier.freight.iter_mut().for_each(|step| step.charge = Money(0));
    }
    let mut wider = bare.clone();
    wider.frames.push(frame.clone());
    let cost_of = |of: &Shop| plan(of, date, limits()).map(|plan| cost(&plan, of));
    let (without, with) = rayon::join(|| cost_of(&bare), || cost_of(&wider));
    Ok((without?, with?))
}

/// What everything in a plan uses up of mouldings with a price, and what goods are
/// bought: without carriage and minimums, which may be paid for other mouldings anyway.
pub(super) fn cost(plan: &Plan, shop: &Shop) -> Worth {
    let is_priced = |moulding: &str| shop.moulding(moulding).price.is_some();
    let counted = plan.proof.iter().filter(|proof| {
        is_priced(&proof.moulding) && (proof.part == Part::Today || plan.order.account.is_none())
    });
    let used_up: Worth = counted.map(|proof| proof.used_up).sum();
    // What is on order was paid for, and is worth what a stick on the rack is.
    let coming = plan.order.coming.iter().filter(|stick| is_priced(&stick.moulding));
    let coming: Worth = coming.map(CutStick::used_up).sum();
    let net = plan.order.account.map(|account| account.net).unwrap_or_default();
    let added = plan.order.bills.iter().map(|bill| bill.to_pay(shop) - bill.goods);
    used_up + coming + net - Worth::from(added.sum::<Money>())
}
