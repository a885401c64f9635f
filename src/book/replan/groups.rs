//! What is still to be cut of one layer of a frame copy, and how alike it must be.

use std::collections::{BTreeMap, BTreeSet};

use super::super::lays::{BenchRail, RailState, StickLayout};
use super::look::DayLook;
use crate::plan::Owed;
use crate::rails::Side;
use crate::shop::{Frame, Match};

/// The rails of one layer of a frame copy that are planned again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::book) struct Group {
    pub frame: String,
    pub copy: u32,
    pub layer: usize,
    /// In cutting order.
    pub sides: Vec<Side>,
    /// How alike the layer is to be, as the plan at the bench has it.
    pub asked: Match,
    /// How alike these are to be.
    pub match_: Match,
    /// What those that stay are from.
    pub like: Option<(String, String)>,
    /// Rails that are cut and good, and are cut anew all the same.
    pub aside: Vec<(String, BenchRail)>,
    /// Whether sticks that keep their cuts have some of these rails already.
    pub is_laid: bool,
}

impl Group {
    /// All the rails of a layer, to be as alike as is said.
    pub fn whole(frame: &Frame, copy: u32, layer: usize, asked: Match) -> Group {
        Group {
            frame: frame.id.clone(),
            copy,
            layer,
            sides: Side::all(frame.mitre),
            asked,
            match_: asked,
            like: None,
            aside: Vec::new(),
            is_laid: false,
        }
    }

    /// As the planner takes it.
    pub fn owed(&self) -> Owed {
        Owed {
            frame: self.frame.clone(),
            copy: self.copy,
            layer: self.layer,
            sides: self.sides.clone(),
            match_: self.match_,
            like: self.like.clone(),
        }
    }
}

/// A layer of a frame copy.
pub(super) type LayerOf = (String, u32, usize);

/// A rail that stays where it is, with its stick.
pub(in crate::book) type Stays<'a> = (&'a StickLayout, &'a BenchRail);

/// What is to be planned again of a moulding when the lays in `fixed` keep their
/// cuts, and these layers are cut anew as a whole.
pub(super) fn groups(
    look: &DayLook,
    moulding: &str,
    fixed: &[i64],
    anew: &BTreeSet<LayerOf>,
) -> Vec<Group> {
    let mut stay: BTreeMap<(&str, u32, usize), Vec<Stays>> = BTreeMap::new();
    let mut asked: BTreeMap<(&str, u32, usize), Match> = BTreeMap::new();
    for lay in look.lays.iter().filter(|lay| lay.moulding == moulding) {
        for rail in &lay.rails {
            let of = (rail.frame.as_str(), rail.copy, rail.layer);
            asked.insert(of, rail.alike);
            let stays = rail.state == RailState::Cut
                || (rail.state == RailState::ToCut && fixed.contains(&lay.id));
            if stays {
                stay.entry(of).or_default().push((lay, rail));
            }
        }
    }
    let mut groups = Vec::new();
    for (id, copy) in &look.at.copies {
        let Some(frame) = look.shop.frame(id) else { continue };
        for number in frame.to_cut(*copy) {
            let layer = &frame.layers[number - 1];
            if layer.moulding != moulding {
                continue;
            }
            let of = (id.as_str(), *copy, number);
            let asked = asked.get(&of).copied().unwrap_or(layer.match_);
            let group = Group::whole(frame, *copy, number, asked);
            let none = Vec::new();
            let stay = stay.get(&of).unwrap_or(&none);
            let is_anew = anew.contains(&(id.clone(), *copy, number));
            groups.extend(rest(group, stay, layer.match_floor, is_anew));
        }
    }
    groups
}

/// What is left of a group beside the rails that stay; nothing if they are all. All
/// of it, if it is to be cut anew as a whole where its rails must be of one lot.
pub(in crate::book) fn rest(
    whole: Group,
    stay: &[Stays],
    floor: Match,
    is_anew: bool,
) -> Option<Group> {
    let all = whole.sides.clone();
    let is_there = |side: &Side| stay.iter().any(|(_, rail)| rail.side == *side);
    let sides: Vec<Side> = all.iter().copied().filter(|side| !is_there(side)).collect();
    if sides.is_empty() {
        return None;
    }
    let Some((lay, _)) = stay.first() else { return Some(whole) };
    let like = Some((lay.lot.clone(), lay.stick.clone()));
    let in_pairs =
        all.chunks(2).all(|pair| pair.iter().all(is_there) || !pair.iter().any(is_there));
    match whole.asked {
        Match::Any => Some(Group { sides, ..whole }),
        Match::Lot if !is_anew => Some(Group { sides, like, ..whole }),
        Match::Halves if in_pairs && !is_anew => Some(Group { sides, like, ..whole }),
        Match::Halves | Match::Stick | Match::Wrap if floor <= Match::Lot && !is_anew => {
            Some(Group { sides, match_: Match::Lot, like, ..whole })
        }
        Match::Lot | Match::Halves | Match::Stick | Match::Wrap => {
            let cut = stay.iter().filter(|(_, rail)| rail.state == RailState::Cut);
            let aside = cut.map(|(lay, rail)| (lay.stick.clone(), (*rail).clone())).collect();
            let is_laid = stay.iter().any(|(_, rail)| rail.state == RailState::ToCut);
            Some(Group { aside, is_laid, ..whole })
        }
    }
}
