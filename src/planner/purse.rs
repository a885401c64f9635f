//! The steps of one stage of a plan, handed out to its mouldings and taken back.
//!
//! What is handed out is split by what is asked of each moulding, before they are
//! worked on side by side; what they leave is for those that are open next.

use std::collections::BTreeMap;

use super::packing::Packing;

/// Steps that nobody has yet.
pub(crate) struct Purse(pub u64);

impl Purse {
    /// Hands one part in so many out, by weight; who weighs nothing gets nothing.
    pub fn hand_out(
        &mut self,
        parts: u64,
        packings: &mut BTreeMap<String, Packing>,
        weight: impl Fn(&str) -> u64,
    ) {
        let part = u128::from(self.0 / parts.max(1));
        let all: u128 = packings.keys().map(|id| u128::from(weight(id))).sum();
        for (id, packing) in packings {
            let own = part * u128::from(weight(id)) / all.max(1);
            let own = u64::try_from(own).unwrap_or(u64::MAX).min(self.0);
            self.0 -= own;
            packing.grant(own);
        }
    }

    /// Takes back what is left.
    pub fn collect(&mut self, packings: &mut BTreeMap<String, Packing>) {
        for packing in packings.values_mut() {
            self.0 = self.0.saturating_add(packing.left());
            packing.grant(0);
        }
    }
}
