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
mod fault;
mod left;
mod net;
mod offcuts;
mod order;
mod proof;
mod reasons;
mod remade;
mod settings;
mod spares;
mod sticks;
mod truth;
mod verified;
mod wishes;

pub use fault::{Fault, RailName};
pub use remade::remade;
pub use spares::{There, paid};
pub use verified::Verified;

use std::collections::{BTreeMap, BTreeSet};

use crate::measure::{Length, Mitre};
use crate::plan::{CutStick, Part, PlacedRail, Plan, Warning};
use crate::shop::{Frame, Match, Moulding, Shop, Stick};
use truth::TrueRails;

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

/// A shop, a plan for it, and what follows from the shop alone.
struct Facts<'a> {
    shop: &'a Shop,
    plan: &'a Plan,
    /// The frames that the plan is to be for.
    frames: BTreeMap<&'a str, &'a Frame>,
    rails: BTreeMap<&'a str, Vec<TrueRails>>,
    /// The sticks on the rack and on order.
    rack: BTreeMap<&'a str, &'a Stick>,
    /// What today puts back on the rack: what waits may be cut from it.
    offcuts: BTreeMap<&'a str, &'a Stick>,
    /// The weaker matches that the plan says it gives.
    given: BTreeMap<(&'a str, usize), Match>,
    /// The mitres cut from each moulding in each part of the plan.
    mitres: BTreeMap<(Part, &'a str), BTreeSet<Mitre>>,
}

impl<'a> Facts<'a> {
    fn new(shop: &'a Shop, plan: &'a Plan, offcuts: &'a [Stick]) -> Facts<'a> {
        let given = plan.warnings.iter().filter_map(|warning| match warning {
            Warning::Relaxed { frame, layer, given, .. } => {
                Some(((frame.as_str(), *layer), *given))
            }
            Warning::TooThick { .. } | Warning::Late { .. } => None,
        });
        let mut mitres: BTreeMap<(Part, &str), BTreeSet<Mitre>> = BTreeMap::new();
        for (part, stick) in sticks_of(plan) {
            let cut = mitres.entry((part, stick.moulding.as_str())).or_default();
            cut.extend(stick.rails.iter().map(|rail| rail.mitre));
        }
        Facts {
            shop,
            plan,
            frames: shop
                .frames
                .iter()
                .filter(|frame| plan.wishes.concerns(frame))
                .map(|frame| (frame.id.as_str(), frame))
                .collect(),
            rails: truth::all_rails(shop),
            rack: shop.sticks().map(|stick| (stick.id.as_str(), stick)).collect(),
            offcuts: offcuts.iter().map(|stick| (stick.id.as_str(), stick)).collect(),
            given: given.collect(),
            mitres,
        }
    }

    /// The sticks of all parts.
    fn sticks(&self) -> impl Iterator<Item = (Part, &'a CutStick)> {
        sticks_of(self.plan)
    }

    /// The moulding of a stick, if the shop has it.
    fn moulding(&self, stick: &CutStick) -> Option<&'a Moulding> {
        self.shop.mouldings.get(&stick.moulding)
    }

    /// How alike the rails of a frame's layer must be: as asked, unless the plan
    /// says that it is relaxed. `None` if there is no such layer.
    fn match_in_force(&self, frame: &str, layer: usize) -> Option<Match> {
        let asked = self.frames.get(frame)?.layers.get(layer.checked_sub(1)?)?.match_;
        Some(self.given.get(&(frame, layer)).copied().unwrap_or(asked))
    }

    /// The clear runs of a stick, given what else is cut from its moulding.
    fn runs(&self, part: Part, stick: &CutStick, moulding: &Moulding) -> Vec<(Length, Length)> {
        let cutter = self.shop.cutter_of(moulding);
        let mitres = self.mitres[&(part, stick.moulding.as_str())].iter();
        let widest = mitres.map(|mitre| truth::joint(cutter, *mitre)).max().unwrap_or_default();
        truth::runs(cutter, stick.length, &stick.flaws, widest)
    }
}

fn sticks_of(plan: &Plan) -> impl Iterator<Item = (Part, &CutStick)> {
    let today = plan.today.iter().map(|stick| (Part::Today, stick));
    let coming = plan.order.coming.iter().map(|stick| (Part::Coming, stick));
    let order = plan.order.sticks.iter().map(|stick| (Part::Order, stick));
    today.chain(coming).chain(order)
}

fn name(stick: &CutStick, rail: &PlacedRail) -> Box<RailName> {
    Box::new(RailName {
        stick: stick.stick.clone(),
        frame: rail.frame.clone(),
        copy: rail.copy,
        layer: rail.layer,
        side: rail.side,
    })
}
