//! What may be bought of a moulding beyond need.
//!
//! No more sticks are bought than are cut of them, and such as bring the whole sticks that
//! are left on the rack up to what is kept on it, or up to what the shop uses of the
//! moulding in the months that it covers, of which there are never more than so many. More
//! comes from a supplier only where fewer of theirs, as many as are cut of theirs, would cost
//! no less: as many as they have in no fewer (a box, the least of a line), and for a lower
//! price alone (a price step, a box beside single sticks) never more than so many either.
//!
//! # Which sticks are cut
//!
//! Where what is cut from the rack, from one supplier and from another counts the same,
//! any may be cut, and not every such packing is known. A way that is not within the
//! limit as it is known to be cut, and might be if it were cut as well otherwise, counts
//! for the bound and is never chosen.

use std::collections::BTreeMap;

use super::wants::Wants;

/// In what a supplier has so many of each kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct FewerGoods {
    /// The fewest.
    pub fewest: u32,
    /// The least price of goods for fewer than so many, if there are any.
    pub least: Option<i64>,
}

/// The least price of goods by how many are sent, where what is needed is among them; only
/// what costs less than fewer do.
pub(super) type BySent = BTreeMap<u32, i64>;

/// The same for a supplier, so many of each kind and so many in all, if it is known.
pub(super) type GoodsBySent = BTreeMap<(usize, Vec<u32>, u32), Option<BySent>>;

/// For a supplier, so many of each kind bought, what that costs and how many are needed: how
/// many are bought for a lower price alone, if that may be; and whether it might be fewer,
/// since not all was compared.
pub(super) type KnownForPrice = BTreeMap<(usize, Vec<u32>, i64, u32), (Option<u32>, bool)>;

/// Millionths of a stick in one.
const MILLION: u64 = 1_000_000;

/// How many sticks of a moulding may be bought beyond as many as are cut of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct BeyondLimit {
    /// Up to so many whole sticks on the rack, but no more than `most`.
    covered: u32,
    /// Nor are more bought for a lower price alone.
    pub most: u32,
    /// Up to so many, however many these are.
    kept: u32,
}

impl BeyondLimit {
    pub fn new(wants: &Wants) -> BeyondLimit {
        let buying = &wants.shop.settings.buying;
        let used = u64::from(wants.moulding.monthly.unwrap_or(0)) * u64::from(buying.cover_months);
        let covered = u32::try_from(used / MILLION).unwrap_or(u32::MAX);
        BeyondLimit { covered, most: buying.beyond_most, kept: wants.moulding.keep_on_rack }
    }

    /// No limit at all.
    pub const NONE: BeyondLimit = BeyondLimit { covered: u32::MAX, most: u32::MAX, kept: u32::MAX };

    /// How many where so many whole sticks are left on the rack.
    pub fn beside(self, whole: usize) -> u32 {
        if self == BeyondLimit::NONE {
            return u32::MAX;
        }
        let whole = u32::try_from(whole).unwrap_or(u32::MAX);
        let covered = self.covered.saturating_sub(whole).min(self.most);
        covered.max(self.kept.saturating_sub(whole))
    }

    /// How many the rack lacks of those that are kept on it, where so many whole sticks are
    /// left.
    pub fn lacking(self, whole: usize) -> u32 {
        self.kept.saturating_sub(u32::try_from(whole).unwrap_or(u32::MAX))
    }
}
