//! What the check knows: a shop, a plan for it, and what follows from the shop alone.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::fault::RailName;
use super::truth::{self, TrueRails};
use crate::measure::{Length, Mitre};
use crate::plan::{CutStick, Part, PlacedRail, Plan, Warning};
use crate::shop::{Frame, Match, Moulding, Shop, Stick};

/// When a frame's turn comes: rushed first, then earliest due, undated last.
pub(super) type Urgency = (bool, bool, Option<Date>);

/// A shop, a plan for it, and what follows from the shop alone.
pub(super) struct Facts<'a> {
    pub shop: &'a Shop,
    pub plan: &'a Plan,
    /// The frames that the plan is to be for.
    pub frames: BTreeMap<&'a str, &'a Frame>,
    pub rails: BTreeMap<&'a str, Vec<TrueRails>>,
    /// The sticks on the rack and on order.
    pub rack: BTreeMap<&'a str, &'a Stick>,
    /// What today puts back on the rack: what waits may be cut from it.
    pub offcuts: BTreeMap<&'a str, &'a Stick>,
    /// The weaker matches that the plan says it gives.
    pub given: BTreeMap<(&'a str, usize), Match>,
    /// The mitres cut from each moulding in each part of the plan.
    pub mitres: BTreeMap<(Part, &'a str), BTreeSet<Mitre>>,
}

impl<'a> Facts<'a> {
    pub fn new(shop: &'a Shop, plan: &'a Plan, offcuts: &'a [Stick]) -> Facts<'a> {
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

    /// When a frame's turn comes.
    pub fn urgency(&self, frame: &Frame) -> Urgency {
        (!self.plan.wishes.rushes(frame), frame.due.is_none(), frame.due)
    }

    /// The sticks of all parts.
    pub fn sticks(&self) -> impl Iterator<Item = (Part, &'a CutStick)> {
        sticks_of(self.plan)
    }

    /// The moulding of a stick, if the shop has it.
    pub fn moulding(&self, stick: &CutStick) -> Option<&'a Moulding> {
        self.shop.mouldings.get(&stick.moulding)
    }

    /// How alike the rails of a frame's layer must be: as asked, unless the plan
    /// says that it is relaxed. `None` if there is no such layer.
    pub fn match_in_force(&self, frame: &str, layer: usize) -> Option<Match> {
        let asked = self.frames.get(frame)?.layers.get(layer.checked_sub(1)?)?.match_;
        Some(self.given.get(&(frame, layer)).copied().unwrap_or(asked))
    }

    /// The clear runs of a stick, given what else is cut from its moulding.
    pub fn runs(&self, part: Part, stick: &CutStick, moulding: &Moulding) -> Vec<(Length, Length)> {
        let cutter = self.shop.cutter_of(moulding);
        let mitres = self.mitres[&(part, stick.moulding.as_str())].iter();
        let widest =
            mitres.map(|mitre| truth::joint_loss(cutter, *mitre)).max().unwrap_or_default();
        truth::runs(cutter, stick.length, &stick.flaws, widest)
    }
}

fn sticks_of(plan: &Plan) -> impl Iterator<Item = (Part, &CutStick)> {
    let today = plan.today.iter().map(|stick| (Part::Today, stick));
    let coming = plan.order.coming.iter().map(|stick| (Part::Coming, stick));
    let order = plan.order.sticks.iter().map(|stick| (Part::Order, stick));
    today.chain(coming).chain(order)
}

pub(super) fn name(stick: &CutStick, rail: &PlacedRail) -> Box<RailName> {
    Box::new(RailName {
        stick: stick.stick.clone(),
        frame: rail.frame.clone(),
        copy: rail.copy,
        layer: rail.layer,
        side: rail.side,
    })
}
