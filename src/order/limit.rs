//! What may be bought of a moulding beyond need.
//!
//! No more sticks are bought than the order cuts, the rack's among them, and such as
//! bring the whole sticks on the rack up to what is kept on it, or up to what the shop
//! uses of the moulding in the months that it covers, of which there are never more than
//! so many. More is bought from a supplier only where they have no fewer for less: a box
//! where they sell no single stick for less, a price step that makes the whole cheaper.
//!
//! # Why sticks of the rack that are cut count too
//!
//! Where what is cut from the rack and what is bought count the same, either may be
//! cut; how many sticks are opened is known, and so whether a purchase is within the
//! limit does not hang on which. A way of which it is not known yet how it is cut best,
//! and which is not within the limit as it is known, is one that nobody knows how to
//! make: it counts for the bound and is never chosen.

use std::collections::BTreeMap;

use super::kept::Kept;
use super::wants::Wants;

/// For a supplier and so many of each kind the least price of goods, if it is known.
pub(super) type LeastGoods = BTreeMap<(usize, Vec<u32>), Option<i64>>;

/// Millionths of a stick in one.
const MILLION: u64 = 1_000_000;

/// How many sticks of a moulding may be bought beyond as many as are cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct BeyondLimit(pub u32);

impl BeyondLimit {
    pub fn new(wants: &Wants, kept: &Kept) -> BeyondLimit {
        let buying = &wants.shop.settings.buying;
        let used = u64::from(wants.moulding.monthly.unwrap_or(0)) * u64::from(buying.cover_months);
        let covered = u32::try_from(used / MILLION).unwrap_or(u32::MAX);
        let lacks = |of: u32| of.saturating_sub(u32::try_from(kept.rack_whole()).unwrap_or(of));
        let kept = lacks(wants.moulding.keep_on_rack);
        BeyondLimit(lacks(covered).min(buying.beyond_most).max(kept))
    }

    /// No limit at all.
    pub const NONE: BeyondLimit = BeyondLimit(u32::MAX);

    /// How many may be bought that are not cut, unless more cost less: as many as of the
    /// rack's are, and so many more.
    pub fn spare(self, wants: &Wants) -> u32 {
        self.0.saturating_add(u32::try_from(wants.rack.len()).unwrap_or(u32::MAX))
    }
}
