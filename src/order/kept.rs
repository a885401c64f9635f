//! The whole sticks of one moulding that are kept for the rack.

use std::cmp::Reverse;

use super::packer::PackStick;
use super::pieces::{Pieces, separate};
use super::wants::Wants;
use crate::cutting::Source;
use crate::measure::Length;
use crate::planner::material::Material;
use crate::shop::Restock;

/// What the rack is to keep.
pub(super) struct Kept {
    /// The lengths of its whole sticks, the longest first.
    rack: Vec<Length>,
    /// How many are to be kept.
    pub keep: usize,
    /// How many there must be.
    pub least: usize,
    /// The most that a whole stick counts more for being kept.
    pub most: i64,
    /// What those of the rack count more.
    pub before: i64,
    /// The most that can be cut from the rack.
    pub rack_room: i64,
    /// Whether it does not matter which whole sticks are kept: all are alike, or
    /// none is kept.
    pub is_plain: bool,
}

impl Kept {
    pub fn new(wants: &Wants, pieces: &Pieces) -> Kept {
        let whole = wants.rack.iter().filter(|(_, source)| wants.counted.is_whole(source));
        let mut rack: Vec<Length> = whole.map(|(_, source)| source.length).collect();
        rack.sort_unstable_by(|a, b| b.cmp(a));
        let keep = wants.moulding.keep_on_rack as usize;
        let is_sold = pieces.kinds.iter().any(|kind| kind.is_whole);
        let always = wants.shop.settings.buying.restock == Restock::Always;
        let new = pieces.kinds.iter().filter(|kind| kind.is_whole).map(|kind| kind.length);
        let more = |length| wants.counted.more(&wants.bench(), length);
        let most = rack.iter().copied().chain(new.clone()).map(more).max().unwrap_or(0);
        let mut lengths = rack.iter().copied().chain(new.clone());
        let first = lengths.next();
        let is_alike = lengths.all(|length| Some(length) == first);
        let is_plain = keep == 0 || is_alike && !separate(wants) && pieces.lateness() == [0];
        let least = if always && is_sold { keep } else { 0 };
        let sources: Vec<Source> = wants.rack.iter().map(|(_, source)| source.clone()).collect();
        let rack_room = Material::new(&wants.bench(), wants.asks, &sources).rooms.iter().sum();
        let mut kept = Kept { rack, keep, least, most, before: 0, rack_room, is_plain };
        kept.before = kept.more(wants, kept.rack.iter().map(|length| (*length, 1)).collect());
        kept
    }

    /// How many whole sticks the rack has.
    pub fn rack_whole(&self) -> usize {
        self.rack.len()
    }

    /// How many whole sticks have to be bought, as long as none of the rack is cut.
    pub fn least_bought(&self) -> u32 {
        u32::try_from(self.least.saturating_sub(self.rack.len())).unwrap_or(u32::MAX)
    }

    /// The most that whole sticks can count more than those of the rack do.
    pub fn most_more(&self) -> i64 {
        let keep = i64::try_from(self.keep).unwrap_or(i64::MAX);
        self.most.max(0).saturating_mul(keep) - self.before
    }

    /// What whole sticks, so many of each length, count more for being kept.
    pub fn more(&self, wants: &Wants, mut whole: Vec<(Length, u32)>) -> i64 {
        whole.sort_unstable_by(|a, b| b.cmp(a));
        let (bench, mut keep, mut more) = (wants.bench(), self.keep, 0);
        for (length, count) in whole {
            let kept = keep.min(count as usize);
            keep -= kept;
            more += wants.counted.more(&bench, length) * i64::try_from(kept).unwrap_or(i64::MAX);
        }
        more
    }

    /// How many whole sticks there are with these pieces.
    pub fn count(&self, pieces: &Pieces, some: &[u32]) -> usize {
        let new = pieces.kinds.iter().zip(some).filter(|(kind, _)| kind.is_whole);
        self.rack.len() + new.map(|(_, count)| *count as usize).sum::<usize>()
    }

    /// Whether it does not matter which whole sticks are kept where these pieces come, since
    /// all that there are then are alike.
    pub fn is_alike(&self, pieces: &Pieces, some: &[u32]) -> bool {
        let new = pieces.kinds.iter().zip(some).filter(|(kind, _)| kind.is_whole);
        self.rack.is_empty() && new.filter(|(_, count)| **count > 0).count() == 1
    }

    /// The most that whole sticks can count more with these pieces.
    pub fn at_most(&self, pieces: &Pieces, some: &[u32]) -> i64 {
        let count = self.keep.min(self.count(pieces, some));
        self.most.max(0) * i64::try_from(count).unwrap_or(i64::MAX)
    }
}

/// Lets whole sticks be cut only for what they count more if they are kept, or
/// not at all where they must be. Some others lie idle, and are kept first.
pub(super) fn keep_whole(
    wants: &Wants,
    pieces: &Pieces,
    kept: &Kept,
    idle: usize,
    sticks: &mut Vec<PackStick>,
) {
    let mut whole: Vec<usize> =
        (0..sticks.len()).filter(|&at| is_whole(wants, pieces, &sticks[at])).collect();
    whole.sort_by_key(|&at| Reverse(sticks[at].placed.1.length));
    whole.truncate(kept.keep.saturating_sub(idle));
    if kept.least > 0 {
        whole.sort_unstable();
        whole.into_iter().rev().for_each(|at| drop(sticks.remove(at)));
        return;
    }
    whole.into_iter().for_each(|at| sticks[at].charge(kept.most));
}

pub(super) fn is_whole(wants: &Wants, pieces: &Pieces, stick: &PackStick) -> bool {
    match stick.kind {
        Some(kind) => pieces.kinds[kind].is_whole,
        None => wants.counted.is_whole(&stick.placed.1),
    }
}
