//! What packing from some pieces uses up at the least, as far as it was looked at.
//!
//! What is told whatever the lots holds for all pieces that differ in nothing else: of a
//! dozen suppliers' sticks of one length one look tells what so many of them are good for.

use super::kept::Kept;
use super::packer::Look;
use super::pieces::Pieces;

/// For so many pieces of each kind, or of fewer, the least.
#[derive(Default)]
pub(super) struct LeastUsed {
    some: Vec<(Vec<u32>, i64)>,
    /// The same for pieces whatever their lot.
    any_lot: Vec<(Vec<u32>, i64)>,
}

impl LeastUsed {
    /// Keeps what a look at some pieces has told, if anything.
    pub fn know(&mut self, pieces: &Pieces, some: &[u32], look: Look, bound: Option<i64>) {
        let Some(bound) = bound else { return };
        match look {
            Look::Bound => self.any_lot.push((pieces.whatever_lot(some), bound)),
            Look::Whole => self.some.push((some.to_vec(), bound)),
        }
    }

    /// The most of what is known to hold for some pieces.
    pub fn of(&self, pieces: &Pieces, kept: &Kept, some: &[u32]) -> Option<i64> {
        let holds = |of: &[u32], some: &[u32]| {
            // A stick more may count a little less where it is kept.
            of == some || kept.most >= 0 && of.iter().zip(some).all(|(of, one)| one <= of)
        };
        let any_lot = pieces.whatever_lot(some);
        let these = self.some.iter().filter(|(of, _)| holds(of, some));
        let those = self.any_lot.iter().filter(|(of, _)| holds(of, &any_lot));
        these.chain(those).map(|(_, bound)| *bound).max()
    }

    /// How many there are.
    pub fn count(&self) -> usize {
        self.some.len() + self.any_lot.len()
    }
}
