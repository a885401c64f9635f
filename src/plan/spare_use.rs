//! Spare rails that frames take, as plain data.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use crate::rails::Side;
use crate::shop::{Match, Shop};

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

/// The shop once the spare rails are with the frames that take them: those are not to
/// be cut, and what is whole by that is off the pile. What is left of a layer that must
/// be of one lot is bound to theirs.
pub(crate) fn with_spares<'a>(shop: &'a Shop, uses: &[SpareUse]) -> Cow<'a, Shop> {
    if uses.is_empty() {
        return Cow::Borrowed(shop);
    }
    let mut served = shop.clone();
    let lots: BTreeMap<&str, &str> =
        shop.spare.iter().map(|spare| (spare.label.as_str(), spare.lot.as_str())).collect();
    for of in uses {
        let Some(frame) = served.frames.iter_mut().find(|frame| frame.id == of.frame) else {
            continue;
        };
        let side = Side::all(frame.mitre).iter().position(|side| *side == of.side);
        let key = (of.copy, of.layer);
        let lot = lots.get(of.label.as_str()).filter(|lot| !lot.is_empty());
        let is_first = !frame.progress.cut.contains_key(&key);
        if let Some(lot) =
            lot.filter(|_| is_first && frame.layers[of.layer - 1].match_ == Match::Lot)
        {
            frame.progress.like.insert(key, (*lot).to_owned());
        }
        frame.progress.cut.entry(key).or_default().extend(side);
        if frame.to_cut(of.copy).is_empty() && frame.coming(of.copy).is_empty() {
            frame.progress.gone.insert(of.copy);
        }
    }
    let still: BTreeSet<&str> = uses.iter().map(|of| of.label.as_str()).collect();
    served.spare.retain(|spare| !still.contains(spare.label.as_str()));
    Cow::Owned(served)
}
