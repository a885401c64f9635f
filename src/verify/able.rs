//! Whether one layer could be cut at all from what is at hand or on offer.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::truth::{self, TrueRails};
use crate::measure::{Length, Mitre};
use crate::shop::{Match, Moulding, Shop};

/// One layer of a frame and the moulding that it is to be of.
pub(super) struct AskedLayer<'a> {
    pub shop: &'a Shop,
    pub date: Date,
    pub moulding: &'a Moulding,
    pub mitre: Mitre,
    pub rails: &'a TrueRails,
}

/// A stick's lot, as far as it is known to be another stick's too.
#[derive(PartialEq, Eq, PartialOrd, Ord, Clone, Copy)]
enum KnownLot<'a> {
    New,
    Known(&'a str),
    Alone(usize),
}

impl<'a> AskedLayer<'a> {
    /// The longest clear run of any stick on the rack or to be bought.
    pub fn longest_run(&self) -> Length {
        let runs = self.sticks().into_iter().flat_map(|(_, runs)| runs);
        runs.max().unwrap_or_default()
    }

    /// What the rails that a match keeps together take at most, cut one after
    /// the other with their joints.
    pub fn longest_together(&self, match_: Match) -> Length {
        self.blocks(match_).into_iter().max().unwrap_or_default()
    }

    /// How long a stick must be to be sure to give what a match keeps together, on the bench
    /// mark. Rails that only have to be of one stick may lie head to tail.
    pub fn least_stick(&self, match_: Match) -> Length {
        let cutter = self.shop.cutter_of(self.moulding);
        let overlap = truth::overlap(self.moulding, self.mitre);
        let turned = match match_ {
            Match::Stick => overlap * (i64::try_from(self.rails.len()).expect("16 sides") - 1),
            _ => Length::ZERO,
        };
        let uncut = cutter.first_trim + cutter.last_trim.max(cutter.grip);
        (self.longest_together(match_) - turned + uncut).round_up(self.shop.settings.mark)
    }

    /// Whether the layer can be cut under this match.
    pub fn possible(&self, match_: Match) -> bool {
        self.possible_from(match_, self.sticks())
    }

    /// Whether it can be cut from new sticks alone.
    pub fn possible_new(&self, match_: Match) -> bool {
        self.possible_from(match_, self.new_sticks())
    }

    /// Where the machine cannot hold a rail safely, no stick will do.
    fn possible_from(&self, match_: Match, sticks: Vec<(KnownLot, Vec<Length>)>) -> bool {
        let machine = self.shop.cutter_of(self.moulding);
        let shortest = machine.shortest;
        if !machine.cuts(self.mitre)
            || self.rails.iter().any(|(_, rail)| rail.long_point < shortest)
        {
            return false;
        }
        let mut sources: BTreeMap<(Option<KnownLot>, usize), Vec<Length>> = BTreeMap::new();
        for (index, (lot, runs)) in sticks.into_iter().enumerate() {
            let times = if lot == KnownLot::New { self.rails.len() } else { 1 };
            let (key, times) = match match_ {
                Match::Any => ((None, 0), times),
                Match::Lot | Match::Halves => ((Some(lot), 0), times),
                Match::Stick | Match::Wrap => ((None, index), 1),
            };
            let source = sources.entry(key).or_default();
            (0..times).for_each(|_| source.extend(&runs));
        }
        let blocks = match match_ {
            Match::Stick => self.blocks(Match::Any),
            _ => self.blocks(match_),
        };
        sources.values().any(|runs| self.fits(&blocks, runs))
    }

    /// The lengths of what the match keeps together.
    fn blocks(&self, match_: Match) -> Vec<Length> {
        let together = match match_ {
            Match::Any | Match::Lot => 1,
            Match::Halves => 2,
            Match::Stick | Match::Wrap => self.rails.len(),
        };
        let joint = truth::joint_loss(self.shop.cutter_of(self.moulding), self.mitre);
        let length = |block: &[(_, truth::TrueRail)]| {
            let points: Length = block.iter().map(|(_, rail)| rail.long_point).sum();
            let joints = i64::try_from(block.len()).expect("at most 16 sides") - 1;
            points + joint * joints
        };
        self.rails.chunks(together).map(length).collect()
    }

    /// The clear runs of every stick on the rack and on order, and of new ones at
    /// the end.
    fn sticks(&self) -> Vec<(KnownLot<'a>, Vec<Length>)> {
        let cutter = self.shop.cutter_of(self.moulding);
        let joint = truth::joint_loss(cutter, self.mitre);
        let rack = self.shop.sticks().enumerate();
        let mut sticks: Vec<(KnownLot, Vec<Length>)> = rack
            .filter(|(_, stick)| stick.moulding == self.moulding.id)
            .map(|(index, stick)| {
                let known = !stick.lot.is_empty();
                let lot = if known { KnownLot::Known(&stick.lot) } else { KnownLot::Alone(index) };
                (lot, lengths(truth::runs(cutter, stick.length, &stick.flaws, joint)))
            })
            .collect();
        sticks.extend(self.new_sticks());
        sticks
    }

    fn new_sticks(&self) -> Vec<(KnownLot<'a>, Vec<Length>)> {
        let cutter = self.shop.cutter_of(self.moulding);
        let runs = |length| lengths(truth::runs(cutter, length, &[], Length::ZERO));
        let new = truth::new_lengths(self.shop, self.moulding, self.date);
        new.into_iter().map(|length| (KnownLot::New, runs(length))).collect()
    }

    /// Whether the blocks can be shared among the runs. A frame has few
    /// different blocks, so every way to take some of each is tried, run by run:
    /// what is kept is how many of each have a place.
    fn fits(&self, blocks: &[Length], runs: &[Length]) -> bool {
        let joint = truth::joint_loss(self.shop.cutter_of(self.moulding), self.mitre);
        let step = joint - truth::overlap(self.moulding, self.mitre);
        let mut kinds: BTreeMap<Length, usize> = BTreeMap::new();
        for block in blocks {
            *kinds.entry(*block).or_default() += 1;
        }
        let kinds: Vec<(Length, usize)> = kinds.into_iter().collect();
        let all: Vec<usize> = kinds.iter().map(|(_, count)| *count).collect();
        let mut placed = BTreeSet::from([vec![0; kinds.len()]]);
        for run in runs {
            let room = *run + step;
            let more = placed.iter().flat_map(|state| further(state, &kinds, room, step));
            let more: Vec<Vec<usize>> = more.collect();
            placed.extend(more);
            if placed.contains(&all) {
                return true;
            }
        }
        placed.contains(&all)
    }
}

/// Every state that is reached by placing more blocks within `room`.
fn further(
    state: &[usize],
    kinds: &[(Length, usize)],
    room: Length,
    step: Length,
) -> Vec<Vec<usize>> {
    let mut reached = vec![(state.to_vec(), room)];
    for (kind, (block, count)) in kinds.iter().enumerate() {
        let mut wider = Vec::new();
        for (state, room) in reached {
            let mut room = room;
            for more in state[kind]..=*count {
                let mut next = state.clone();
                next[kind] = more;
                wider.push((next, room));
                room -= *block + step;
                if room < Length::ZERO {
                    break;
                }
            }
        }
        reached = wider;
    }
    reached.into_iter().map(|(state, _)| state).collect()
}

fn lengths(runs: Vec<(Length, Length)>) -> Vec<Length> {
    runs.into_iter().map(|(from, to)| to - from).collect()
}
