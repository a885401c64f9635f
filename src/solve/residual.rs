//! The residual problem: what is left of the demand and of the stock.

use super::instance::Instance;

/// What is still to be cut, from what, and what the rest costs already.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Residual {
    pub wanted: Vec<u32>,
    pub supply: Vec<u32>,
    /// Units of each kind that must be used; only counted masters keep to it.
    pub least: Vec<u32>,
    pub paid: i64,
}

impl Residual {
    /// What a unit may waste in a plan of less than `cutoff`, where all stock is
    /// one kind without credit: negative if there is no such plan.
    pub fn waste(&self, instance: &Instance, cutoff: i64) -> Option<i64> {
        let [kind] = instance.kinds.as_slice() else {
            return None;
        };
        if !kind.is_plain() || kind.credit.is_some() || kind.cost <= 0 || cutoff == i64::MAX {
            return None;
        }
        let units = (cutoff - 1 - self.paid).div_euclid(kind.cost);
        let room = i128::from(units) * i128::from(kind.room);
        i64::try_from(room - i128::from(instance.length_of(&self.wanted))).ok()
    }
}
