//! The pieces of one moulding that may arrive, those alike together.

use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::wants::Wants;
use crate::buy::{sticks_in, unit_price};
use crate::cutting::Source;
use crate::measure::Length;
use crate::planner::lots::NEW_LOT;
use crate::planner::material::Material;
use crate::planner::offered::OfferedPiece;

/// Pieces that are alike in all that matters to what is cut from them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Alike {
    pub length: Length,
    /// The lot they come as, where lots matter.
    pub lot: u32,
    /// How many of the dates by which layers are wanted have passed when they
    /// arrive: from what arrives later fewer layers can be cut.
    pub late: usize,
    /// Whether any layer can be cut from them in time.
    pub is_of_use: bool,
    /// Whether they are halves.
    pub halved: bool,
    /// Whether they make a parcel long.
    pub long: bool,
    /// Whether one that is left uncut is a whole stick for the rack.
    pub is_whole: bool,
    /// What one counts that is left uncut.
    pub worth: i64,
    /// How much more it counts if it is for the rack.
    pub more: i64,
    /// The most that can be cut from one, in nanometres.
    pub room: i64,
    /// What cutting from one costs beyond what it counts uncut, where bounds are
    /// made: the least that it is bought for, so much that no kind counts less for its
    /// room than another, so much that as few as can be are cut, and the same for what
    /// is in time for all layers only.
    pub premiums: Premiums,
}

impl Alike {
    /// Whether it is in time for all layers, or as late as this.
    pub fn is_by(&self, late: usize) -> bool {
        self.late == 0 || self.late == late
    }

    /// Whether it counts more for its room than another.
    fn rate_over(&self, other: &Alike) -> Ordering {
        let one = i128::from(self.worth) * i128::from(other.room);
        one.cmp(&(i128::from(other.worth) * i128::from(self.room)))
    }

    /// What lacks to counting as much for its room, but no more than it is bought for: a
    /// half counts less than half a stick, and where nobody buys one, no bound is to be
    /// made of them.
    fn lacks_to_rate(&self, (worth, room): (i64, i64)) -> i64 {
        let even = i128::from(worth) * i128::from(self.room) / i128::from(room.max(1));
        let more = i64::try_from(even - i128::from(self.worth)).unwrap_or(i64::MAX);
        more.clamp(0, self.premiums[0].max(0))
    }
}

/// For each way to make a bound.
pub(super) type Premiums = [i64; BOUNDS];

/// So many ways there are to make a bound.
pub(super) const BOUNDS: usize = 4;

/// The one that counts what arrives in time for all.
pub(super) const IN_TIME: usize = BOUNDS - 1;

/// What as few as can be are cut for, in times of what one is bought for.
const HEAVY: i64 = 32;

/// All pieces that may arrive.
pub(super) struct Pieces {
    pub kinds: Vec<Alike>,
    /// For each supply and place in it the kind.
    of: BTreeMap<(usize, usize), usize>,
    /// For each kind the first that is alike whatever the lot.
    alike: Vec<usize>,
}

impl Pieces {
    pub fn new(wants: &Wants) -> Pieces {
        let dates: BTreeSet<Date> = wants.layers.iter().filter_map(|layer| layer.by).collect();
        let mut pieces = Pieces { kinds: Vec::new(), of: BTreeMap::new(), alike: Vec::new() };
        let mut known: BTreeMap<(u32, Length, usize, [bool; 3]), usize> = BTreeMap::new();
        for (place, supply) in wants.supplies.iter().enumerate() {
            let late = dates.iter().filter(|by| **by < supply.arrives).count();
            let lot = if separate(wants) { lot_of(wants, place) } else { NEW_LOT };
            for (at, piece) in supply.pieces.iter().enumerate() {
                let is_whole = !piece.halved && wants.counted.is_long_enough(piece.length);
                let key = (lot, piece.length, late, [is_whole, piece.halved, piece.long]);
                let kind = *known.entry(key).or_insert(pieces.kinds.len());
                let least = least(wants, place, piece);
                if kind == pieces.kinds.len() {
                    let bench = wants.bench();
                    let worth = wants.counted.of(&bench, piece.length);
                    let can = |by: Option<Date>| by.is_none_or(|by| by >= supply.arrives);
                    pieces.kinds.push(Alike {
                        length: piece.length,
                        lot,
                        late,
                        is_of_use: wants.layers.iter().any(|layer| can(layer.by)),
                        halved: piece.halved,
                        long: piece.long,
                        is_whole,
                        worth,
                        more: wants.counted.more(&bench, piece.length),
                        room: room(wants, piece.length),
                        premiums: [i64::MAX, 0, 0, 0],
                    });
                }
                let of = &mut pieces.kinds[kind];
                of.premiums[0] = of.premiums[0].min((least - of.worth).max(0));
                pieces.of.insert((place, at), kind);
            }
        }
        let of_use = || pieces.kinds.iter().filter(|kind| kind.is_of_use && kind.room > 0);
        let dearest = of_use().max_by(|a, b| a.rate_over(b)).map(|kind| (kind.worth, kind.room));
        for kind in &mut pieces.kinds {
            let even = dearest.map_or(0, |dearest| kind.lacks_to_rate(dearest));
            let heavy = (kind.premiums[0] + kind.worth).saturating_mul(HEAVY);
            let in_time = if kind.late == 0 { heavy } else { 0 };
            let premiums = [kind.premiums[0], even, heavy, in_time];
            kind.premiums = if kind.is_of_use { premiums } else { [0; BOUNDS] };
        }
        let whatever_lot = |kind: &Alike| (kind.length, kind.late, kind.is_of_use, kind.is_whole);
        let first = |kind| pieces.kinds.iter().position(|k| whatever_lot(k) == whatever_lot(kind));
        pieces.alike = pieces.kinds.iter().filter_map(first).collect();
        pieces
    }

    /// The same pieces counted whatever their lot.
    pub fn whatever_lot(&self, some: &[u32]) -> Vec<u32> {
        let mut all = vec![0; some.len()];
        self.alike.iter().zip(some).for_each(|(kind, count)| all[*kind] += count);
        all
    }

    /// The kind of a piece of a supply.
    pub fn kind(&self, supply: usize, at: usize) -> usize {
        self.of[&(supply, at)]
    }

    /// For each kind how many pieces there are at the most in an order, where all
    /// that they could save is so much: each costs its premium at the least. More
    /// than there are rails are never cut.
    pub fn most_cut(&self, wants: &Wants, saved: i64) -> Vec<u32> {
        let rails = wants.layers.iter().map(|layer| wants.asks[layer.ask].rails.len());
        let rails = u32::try_from(rails.sum::<usize>()).unwrap_or(u32::MAX);
        let most = |kind: &Alike| match kind.premiums[0] {
            _ if !kind.is_of_use => 0,
            premium if premium <= 0 => rails,
            premium => {
                rails.min(u32::try_from(saved / premium).unwrap_or(u32::MAX).saturating_add(1))
            }
        };
        self.kinds.iter().map(most).collect()
    }

    /// How late pieces may be that are cut: each of these is packed by itself.
    pub fn lateness(&self) -> Vec<usize> {
        let of_use = self.kinds.iter().filter(|kind| kind.is_of_use);
        let late: BTreeSet<usize> = of_use.map(|kind| kind.late).filter(|late| *late > 0).collect();
        if late.is_empty() { vec![0] } else { late.into_iter().collect() }
    }
}

impl Pieces {
    /// How late those of these are that something can be cut from: the latest. `None`
    /// if there are some of two kinds of lateness.
    pub fn late(&self, some: &[u32]) -> Option<usize> {
        let of_use = |(kind, count): (&Alike, &u32)| {
            (kind.is_of_use && kind.late > 0 && *count > 0).then_some(kind.late)
        };
        let mut late = self.kinds.iter().zip(some).filter_map(of_use);
        let first = late.next();
        late.all(|other| Some(other) == first).then_some(first.unwrap_or(0))
    }
}

/// The most that can be cut from a stick of this length.
fn room(wants: &Wants, length: Length) -> i64 {
    let source = Source { length, flaws: Vec::new(), lot: NEW_LOT, is_new: true, paid: None };
    Material::new(&wants.bench(), wants.asks, &[source]).rooms[0]
}

/// The least that a piece costs at any step, rounded down.
fn least(wants: &Wants, supply: usize, piece: &OfferedPiece) -> i64 {
    let offer = &wants.shop.offers[wants.supplies[supply].offer];
    let each = i128::from(pieces_in(wants, supply, piece));
    let at = |step| {
        let (over, under) = unit_price(offer, step, piece.stick);
        i64::try_from(over.div_euclid(under * each)).unwrap_or(i64::MAX)
    };
    (0..=offer.steps.len()).map(at).min().unwrap_or(0)
}

/// How many pieces one stick or box gives.
pub(super) fn pieces_in(wants: &Wants, supply: usize, piece: &OfferedPiece) -> u32 {
    let offer = &wants.shop.offers[wants.supplies[supply].offer];
    sticks_in(offer, piece.stick).max(1) * if piece.halved { 2 } else { 1 }
}

/// Whether sticks of different suppliers must be told apart.
pub(super) fn separate(wants: &Wants) -> bool {
    wants.is_by_lot(&wants.layers)
}

/// One delivery is one lot.
fn lot_of(wants: &Wants, supply: usize) -> u32 {
    let supplier = &wants.shop.offers[wants.supplies[supply].offer].supplier;
    let place = wants.shop.suppliers.keys().position(|id| id == supplier);
    NEW_LOT - u32::try_from(place.unwrap_or(0)).unwrap_or(0)
}
