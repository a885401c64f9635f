//! A packing of what is cut of a split: what it cuts, what it uses up, what it leaves.

use super::kept::Kept;
use super::packer::Phase;
use super::pieces::{Alike, Pieces};
use super::wants::Wants;
use crate::measure::Length;

/// A packing.
pub(super) struct PackingRecord {
    pub phases: Vec<Phase>,
    /// How many pieces of each kind are cut.
    pub cut: Vec<u32>,
    pub used_up: i64,
    /// How many sticks it opens, of the rack too.
    pub opened: usize,
    /// The whole sticks of the rack that it leaves.
    pub rack_left: Vec<Length>,
}

impl PackingRecord {
    /// How many new pieces it cuts.
    pub fn new_count(&self) -> usize {
        self.cut.iter().sum::<u32>() as usize
    }

    /// The length of the new pieces that it cuts.
    pub fn new_cut(&self, pieces: &Pieces) -> i64 {
        let of = |(kind, count): (&Alike, &u32)| kind.length.nm() * i64::from(*count);
        pieces.kinds.iter().zip(&self.cut).map(of).sum()
    }

    /// What whole sticks count more for being kept, if these pieces arrive; `None`
    /// if these do not do, or fewer are left than there must be.
    pub fn kept(&self, wants: &Wants, pieces: &Pieces, kept: &Kept, some: &[u32]) -> Option<i64> {
        if self.cut.iter().zip(some).any(|(cut, some)| cut > some) {
            return None;
        }
        if kept.keep == 0 {
            return Some(0);
        }
        let whole = self.whole_left(wants, pieces, some);
        let count: usize = whole.iter().map(|(_, count)| *count as usize).sum();
        (count >= kept.least).then(|| kept.more(wants, whole))
    }

    /// How many whole sticks of what length are left of the rack and of these
    /// pieces.
    fn whole_left(&self, wants: &Wants, pieces: &Pieces, some: &[u32]) -> Vec<(Length, u32)> {
        let rack = self.rack_left_of(wants).into_iter();
        let mut whole: Vec<(Length, u32)> = rack.map(|length| (length, 1)).collect();
        for (place, kind) in pieces.kinds.iter().enumerate().filter(|(_, kind)| kind.is_whole) {
            let cut = self.cut.get(place).copied().unwrap_or(0);
            whole.push((kind.length, some[place].saturating_sub(cut)));
        }
        whole
    }

    /// The whole sticks of the rack that are left.
    pub fn rack_left_of(&self, wants: &Wants) -> Vec<Length> {
        if !self.phases.is_empty() {
            return self.rack_left.clone();
        }
        let whole = wants.rack.iter().filter(|(_, source)| wants.counted.is_whole(source));
        whole.map(|(_, source)| source.length).collect()
    }
}
