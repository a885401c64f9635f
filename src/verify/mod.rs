//! Every plan checked against the shop's data before anyone sees it.
//!
//! Nothing here comes from the planner: lengths, runs, joints, worths and
//! reasons are worked out again from what the shop typed, and compared with
//! what the plan says.

mod able;
mod alike;
mod bills;
mod bought;
mod copies;
mod dates;
mod days;
mod deadlines;
mod facts;
mod fault;
mod left;
mod limit;
mod net;
mod offcuts;
mod order;
mod patience;
mod proof;
mod reasons;
mod remade;
mod settings;
mod sheets_added;
mod spares;
mod sticks;
mod truth;
mod verified;
mod wishes;

pub use fault::{Fault, RailName};
pub use remade::remade;
pub use sheets_added::sheets_added;
pub use spares::{There, paid};
pub use verified::Verified;

use crate::plan::Plan;
use crate::shop::Shop;
use facts::Facts;

/// Checks a plan against the shop that it is for.
///
/// # Errors
/// Everything that is wrong with it. A plan with a fault must not be shown: the
/// fault is the program's, and cutting by it would waste moulding.
pub fn verify(shop: &Shop, plan: &Plan) -> Result<(), Vec<Fault>> {
    let mut faults = Vec::new();
    let with_spares = spares::check(shop, plan, &mut faults);
    let shop = &*with_spares;
    let offcuts = left::racked(plan);
    let facts = Facts::new(shop, plan, &offcuts);
    if plan.shop != shop.settings.name {
        let (found, shop) = (plan.shop.clone(), shop.settings.name.clone());
        faults.push(Fault::OtherShop { found, shop });
    }
    copies::check(&facts, &mut faults);
    sticks::check(&facts, &mut faults);
    left::check(&facts, &mut faults);
    alike::check(&facts, &mut faults);
    proof::check(&facts, &mut faults);
    settings::check(&facts, &mut faults);
    if shop.offers.is_empty() || plan.wishes.rack_only {
        order::check(&facts, &mut faults);
    } else {
        bought::check(&facts, &mut faults);
        bills::check(&facts, &mut faults);
        deadlines::check(&facts, &mut faults);
        net::check(&facts, &mut faults);
    }
    offcuts::check(&facts, &mut faults);
    reasons::check(&facts, &mut faults);
    wishes::check(&facts, &mut faults);
    dates::check(&facts, &mut faults);
    if faults.is_empty() { Ok(()) } else { Err(faults) }
}

/// The plan as one that passed [`verify`].
///
/// # Errors
/// As [`verify`].
pub fn verified(shop: &Shop, plan: Plan) -> Result<Verified<Plan>, Vec<Fault>> {
    verify(shop, &plan)?;
    Ok(Verified::new(plan))
}
