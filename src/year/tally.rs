//! What a practice came to in a year.

use crate::measure::{Length, Worth};

/// What a practice came to in a year. Lengths are of all mouldings together; money is
/// of those that have a price.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct YearTally {
    /// What was bought.
    pub bought: Length,
    /// The rails that were cut, tip to tip.
    pub rails: Length,
    /// What was lost between rails.
    pub joints: Length,
    /// What was cut away at marked ends.
    pub trims: Length,
    /// What was too short to be kept, or lay at flaws.
    pub scrap: Length,
    /// What was on the rack before, and what is on it at the end.
    pub rack: (Length, Length),
    /// What was bought, at list price.
    pub spent: Worth,
    /// What the rack counted before, and what it counts at the end.
    pub counted: (Worth, Worth),
    /// How many offcuts are on the rack at the end.
    pub offcuts: u32,
    /// How many days they have been there, all together.
    pub offcut_days: u64,
    /// Frames that were cut too late for their date.
    pub late: u32,
    /// Frames that were not cut at all.
    pub not_cut: u32,
    /// How often a machine was set.
    pub settings: u64,
    /// How many frames were cut, or came chopped.
    pub cut: u32,
    /// How many open days frames waited before they were cut, all together.
    pub waited: u64,
    /// For each day how many offcuts are on the rack in the evening.
    pub evenings: Vec<u32>,
}

impl YearTally {
    /// What the year came to: what was spent, less what the rack counts more than before.
    pub fn money(&self) -> Worth {
        self.spent + self.counted.0 - self.counted.1
    }

    /// This and another year, one after the other.
    pub(super) fn and(self, other: &YearTally) -> YearTally {
        let evenings = [self.evenings, other.evenings.clone()].concat();
        YearTally {
            bought: self.bought + other.bought,
            rails: self.rails + other.rails,
            joints: self.joints + other.joints,
            trims: self.trims + other.trims,
            scrap: self.scrap + other.scrap,
            rack: (self.rack.0 + other.rack.0, self.rack.1 + other.rack.1),
            spent: self.spent + other.spent,
            counted: (self.counted.0 + other.counted.0, self.counted.1 + other.counted.1),
            offcuts: self.offcuts + other.offcuts,
            offcut_days: self.offcut_days + other.offcut_days,
            late: self.late + other.late,
            not_cut: self.not_cut + other.not_cut,
            settings: self.settings + other.settings,
            cut: self.cut + other.cut,
            waited: self.waited + other.waited,
            evenings,
        }
    }

    /// What is out of balance: nothing, unless moulding came from nowhere or went there.
    pub(super) fn out_of_balance(&self) -> Length {
        let came = self.rack.0 + self.bought;
        let went = self.rails + self.joints + self.trims + self.scrap + self.rack.1;
        came - went
    }
}
