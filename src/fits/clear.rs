//! What sticks that nobody has used for long are good for by themselves.

use std::collections::{BTreeMap, BTreeSet};

use super::{FitQuestion, Untouched, pieces};
use crate::measure::Length;
use crate::plan::Told;
use crate::shop::{Shop, Stick};
use crate::solve::Limits;
use crate::verify::Fault;

/// Usual sizes of frames, by the label of the stick that makes them.
pub type UsualSizes = BTreeMap<String, Vec<(Length, Length)>>;

/// The largest usual sizes that each of these sticks makes by itself, by its label. Those
/// of floaters are not there: what they make depends on the gap, which nobody has said. Nor
/// are build-outs, which make no frame.
///
/// # Errors
/// If a plan does not stand up to its check.
pub fn makes(shop: &Shop, sticks: &[Stick], limits: &Limits) -> Result<UsualSizes, Vec<Fault>> {
    makes_telling(shop, sticks, (limits, &|_, _| {}))
}

/// The same, telling how many mouldings are done and of how many.
///
/// # Errors
/// As there.
pub fn makes_telling(
    shop: &Shop,
    sticks: &[Stick],
    (limits, told): (&Limits, Told),
) -> Result<UsualSizes, Vec<Fault>> {
    let mouldings: BTreeSet<&String> = sticks.iter().map(|stick| &stick.moulding).collect();
    let (mut makes, all) = (BTreeMap::new(), mouldings.len());
    for (done, moulding) in mouldings.into_iter().map(|id| shop.moulding(id)).enumerate() {
        told(done, all);
        if !moulding.kind.has_rabbet() {
            continue;
        }
        let own = sticks.iter().filter(|stick| stick.moulding == moulding.id);
        let question = FitQuestion { moulding, match_: moulding.match_, gap: Length::ZERO };
        let untouched = Untouched {
            sticks: own.cloned().collect(),
            wanted: BTreeMap::new(),
            cut: 0,
            spare: Vec::new(),
        };
        let found = pieces(shop, &question, &untouched, limits)?;
        makes.extend(found.into_iter().map(|piece| (piece.stick.id, piece.usual)));
    }
    Ok(makes)
}
