//! Why a frame that some stick could serve gets none of those to be bought.

use super::feasible::Feasible;
use super::work::{ClassLayer, Work};
use crate::cutting::Ask;
use crate::plan::HoldReason;
use crate::rails::rails_to_cut;
use crate::shop::Shop;

/// Why a task lacks these mouldings though as many sticks as wanted are bought:
/// only a stick on the rack would do and goes to others, or one of random lengths might;
/// or a new stick would do, or a supplier's saw, and the search was cut short.
pub(crate) fn taken(
    shop: &Shop,
    work: &Work,
    feasible: &Feasible,
    task: usize,
    mouldings: Vec<String>,
) -> HoldReason {
    let layers = &work.classes[work.tasks[task].class].layers;
    let mut lacking = layers.iter().filter(|layer| mouldings.contains(&layer.moulding));
    let ask = |layer: &ClassLayer| &work.asks[&layer.moulding][layer.ask];
    let does =
        |layer: &ClassLayer| layer.chop_only || feasible.fits_new(&layer.moulding, ask(layer));
    if lacking.all(does) {
        return HoldReason::NotSettled { mouldings };
    }
    let own = &work.tasks[task];
    let frame = &shop.frames[own.frame];
    let numbers = rails_to_cut(shop, frame, own.copy).into_iter();
    let mut layers = numbers.map(|rails| rails.layer).zip(layers);
    // Nobody need be asked for what somebody chops.
    let is_chopped = |number: usize, layer: &ClassLayer| {
        let of = &frame.layers[number - 1];
        let asked = Ask { match_: of.match_, ..ask(layer).clone() };
        feasible.chopped(&layer.moulding, &asked, of.match_floor).is_some()
    };
    let random = layers.find_map(|(number, layer)| {
        let is_lacking = mouldings.contains(&layer.moulding) && !does(layer);
        let is_asked = is_lacking && !is_chopped(number, layer);
        is_asked.then(|| feasible.might(number, &layer.moulding, ask(layer)))?
    });
    random.unwrap_or(HoldReason::StickTaken { mouldings })
}
