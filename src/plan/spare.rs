//! Spare rails go to the frames that can use them, before anything is cut.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use super::Wishes;
use crate::rails::{Rail, Side, rails_to_cut};
use crate::shop::{Frame, Match, Shop, Spare};

/// A spare rail that a frame takes in place of one that would have to be cut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpareUse {
    /// What the spare rail goes by.
    pub label: String,
    /// The ticket number of the frame that takes it.
    pub frame: String,
    /// Which copy.
    pub copy: u32,
    /// Which layer, counted from 1.
    pub layer: usize,
    /// Which side it becomes.
    pub side: Side,
}

/// A frame copy.
pub(super) type Copy = (String, u32);

/// Who takes which spare rails: the most urgent frame first. A layer whose rails may
/// come from any stick takes what there is; one that must match takes all its rails or
/// none. The copies in `without` take nothing.
pub(super) fn offer(shop: &Shop, wishes: &Wishes, without: &BTreeSet<Copy>) -> Vec<SpareUse> {
    let mut free: Vec<&Spare> = shop.spare.iter().collect();
    let mut uses = Vec::new();
    let mut frames: Vec<&Frame> = shop.frames.iter().filter(|f| wishes.concerns(f)).collect();
    frames.sort_by_key(|frame| (!wishes.rushes(frame), frame.due.is_none(), frame.due));
    for frame in frames {
        for copy in frame.pending().filter(|copy| !without.contains(&(frame.id.clone(), *copy))) {
            if free.is_empty() {
                return uses;
            }
            for layer in rails_to_cut(shop, frame, copy) {
                let asks = &frame.layers[layer.layer - 1];
                let is_begun = frame.cut(copy, layer.layer).is_some();
                let asked = if is_begun { Match::Any } else { asks.match_ };
                let fit: Vec<&Spare> = free
                    .iter()
                    .copied()
                    .filter(|spare| (&spare.moulding, spare.mitre) == (&asks.moulding, frame.mitre))
                    .collect();
                for (rail, spare) in taken(asked, &layer.rails, &fit) {
                    free.retain(|other| other.label != spare.label);
                    let (label, frame) = (spare.label.clone(), frame.id.clone());
                    uses.push(SpareUse { label, frame, copy, layer: layer.layer, side: rail.side });
                }
            }
        }
    }
    uses
}

/// What spare rails of one group have in common: lot, stick where that is not known, and
/// what they were cut for where that counts.
type Source<'a> = (&'a str, &'a str, Option<&'a (String, u32, usize)>);

/// Which of these spare rails become which of these rails of a layer.
fn taken<'a>(asked: Match, rails: &[Rail], fit: &[&'a Spare]) -> Vec<(Rail, &'a Spare)> {
    if asked == Match::Any {
        return each(rails, fit, &|rail, spare| rail.long_point == spare.long_point);
    }
    // Rails of one lot; where they must come from the same sticks, those that were cut
    // for one frame that asked as much, each on its own side.
    let mut groups: BTreeMap<Source, Vec<&Spare>> = BTreeMap::new();
    for spare in fit.iter().filter(|spare| asked == Match::Lot || spare.alike >= asked) {
        let stick = if spare.lot.is_empty() { spare.stick.as_str() } else { "" };
        let of = (asked != Match::Lot).then_some(&spare.of);
        groups.entry((spare.lot.as_str(), stick, of)).or_default().push(spare);
    }
    let is_own = |rail: &Rail, spare: &Spare| {
        rail.long_point == spare.long_point
            && (asked == Match::Lot || Side::all(spare.mitre).get(spare.side) == Some(&rail.side))
    };
    let whole = groups.into_values().map(|group| each(rails, &group, &is_own));
    whole.into_iter().find(|taken| taken.len() == rails.len()).unwrap_or_default()
}

/// For each rail the first spare one that can be it, as far as there is one.
fn each<'a>(
    rails: &[Rail],
    fit: &[&'a Spare],
    can_be: &dyn Fn(&Rail, &Spare) -> bool,
) -> Vec<(Rail, &'a Spare)> {
    let mut fit = fit.to_vec();
    let mut taken = Vec::new();
    for rail in rails {
        if let Some(at) = fit.iter().position(|spare| can_be(rail, spare)) {
            taken.push((*rail, fit.remove(at)));
        }
    }
    taken
}

/// The shop once the spare rails are with the frames that take them: those are not to
/// be cut, and what is whole by that is off the pile.
pub(super) fn served<'a>(shop: &'a Shop, uses: &[SpareUse]) -> Cow<'a, Shop> {
    if uses.is_empty() {
        return Cow::Borrowed(shop);
    }
    let mut served = shop.clone();
    for of in uses {
        let Some(frame) = served.frames.iter_mut().find(|frame| frame.id == of.frame) else {
            continue;
        };
        let side = Side::all(frame.mitre).iter().position(|side| *side == of.side);
        frame.progress.cut.entry((of.copy, of.layer)).or_default().extend(side);
        if frame.to_cut(of.copy).is_empty() && frame.coming(of.copy).is_empty() {
            frame.progress.gone.insert(of.copy);
        }
    }
    let still: BTreeSet<&str> = uses.iter().map(|of| of.label.as_str()).collect();
    served.spare.retain(|spare| !still.contains(spare.label.as_str()));
    Cow::Owned(served)
}
