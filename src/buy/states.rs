//! The states that a supplier can be in: not ordered from, or ordered from with
//! one step of carriage, with long parcels or without.

use super::question::Terms;
use super::tariff::REFUSED;

/// One state of one supplier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct SupplierState {
    /// Whether anything is ordered.
    pub used: bool,
    /// Whether anything long is.
    pub long: bool,
    /// The least price of goods in this state.
    pub from: i64,
    /// The greatest; `None` is no limit.
    pub to: Option<i64>,
    /// What is charged in any case: carriage, and the surcharge.
    pub charge: i64,
}

/// Every state of a supplier of whom at most `most` can be bought; told apart by
/// long parcels only if there is a surcharge that matters, `long`. What they
/// refuse is no state.
pub(super) fn states(terms: &Terms, most: i64, long: bool) -> Vec<SupplierState> {
    let unused = SupplierState { used: false, long: false, from: 0, to: Some(0), charge: 0 };
    let mut states = vec![unused];
    if most == 0 {
        return states;
    }
    for (place, (from, charge)) in terms.freight.iter().enumerate() {
        // Where more is charged no more for, the state may be taken as one without
        // an end: what is beyond it costs no more than it seems to.
        let dearer = terms.freight[place + 1..].iter().find(|(_, other)| other > charge);
        let to = dearer.map(|(next, _)| next - 1);
        let from = (*from).max(1);
        if from > most || to.is_some_and(|to| to < from) || *charge >= REFUSED {
            continue;
        }
        let state = SupplierState { used: true, long: !long, from, to, charge: *charge };
        states.push(state);
        if long {
            states.push(SupplierState { long: true, charge: charge + terms.long, ..state });
        }
    }
    states
}
