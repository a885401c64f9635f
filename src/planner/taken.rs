//! Why a frame that some stick could serve gets none of those to be bought.

use super::feasible::Feasible;
use super::work::Work;
use crate::plan::HoldReason;

/// Why a task lacks these mouldings though as many sticks as wanted are bought:
/// only a stick on the rack would do and goes to others; or a new stick would do,
/// or a supplier's saw, and the search was cut short.
pub(crate) fn taken(
    work: &Work,
    feasible: &Feasible,
    task: usize,
    mouldings: Vec<String>,
) -> HoldReason {
    let layers = &work.classes[work.tasks[task].class].layers;
    let mut lacking = layers.iter().filter(|layer| mouldings.contains(&layer.moulding));
    let would_do = lacking.all(|layer| {
        let ask = &work.asks[&layer.moulding][layer.ask];
        layer.chop_only || feasible.fits_new(&layer.moulding, ask)
    });
    match would_do {
        true => HoldReason::NotSettled { mouldings },
        false => HoldReason::StickTaken { mouldings },
    }
}
