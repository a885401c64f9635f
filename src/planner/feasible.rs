//! Whether a layer can be made at all, from any stick at hand or to be bought.
//!
//! # Why a frame may be held because of another's mitre
//!
//! Where rails of several mitres are too many to list every way, reversible stock of
//! that moulding is not planned head to tail at all. A frame that fits a new stick in
//! no other way is then held with that reason, and planned by itself with `--only`.

use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::effort::Effort;
use super::lots::{NEW_LOT, Placed, at_hand};
use super::offered::{chops, has_offers, new_lengths, random, sold_from, supplies};
use super::packing::{Counts, Packed, Packing};
use crate::cutting::{Ask, Bench, Source, clear_runs};
use crate::measure::Length;
use crate::plan::HoldReason;
use crate::rails::Rail;
use crate::shop::{Match, Moulding, Shop};

/// What decides whether a layer fits: moulding, sides, match, long points.
type FitKey = (String, u8, Match, Vec<Length>);

/// Each question may cost one part in so many of the steps that are left.
const PARTS: u64 = 8;

/// Every stick that a moulding's rails could come from.
pub(crate) struct Feasible<'a> {
    shop: &'a Shop,
    date: Date,
    effort: Effort<'a>,
    benches: BTreeMap<&'a str, (Bench<'a>, Vec<Source>)>,
    seen: RefCell<BTreeMap<FitKey, bool>>,
    /// The longest clear run of a moulding, by what is lost at its joints.
    longest: RefCell<BTreeMap<(String, Length), Length>>,
    /// The steps that are left.
    left: Cell<u64>,
}

impl<'a> Feasible<'a> {
    /// Gathers the rack, what is on order and, of each moulding, the sticks that can
    /// be bought.
    pub fn new(shop: &'a Shop, date: Date, effort: Effort<'a>) -> Feasible<'a> {
        let mut at_hand = at_hand(shop);
        let all = |moulding: &'a Moulding| {
            let mut all = at_hand(&moulding.id);
            all.extend(new_sticks(shop, moulding, date).into_iter().map(|new| (None, new)));
            let all = all.into_iter().map(|(_, source)| source).collect();
            (moulding.id.as_str(), (bench(shop, moulding), all))
        };
        Feasible {
            shop,
            date,
            effort,
            benches: shop.mouldings.values().map(all).collect(),
            seen: RefCell::default(),
            longest: RefCell::default(),
            left: Cell::new(effort.purse()),
        }
    }

    /// The strongest match, from the one asked down to `floor`, with which a
    /// layer can be made; or why there is none.
    pub fn settle(
        &self,
        layer: usize,
        moulding: &str,
        ask: &Ask,
        floor: Match,
    ) -> Result<Match, HoldReason> {
        self.each_rail(layer, moulding, ask, floor)?;
        let weaker = [Match::Wrap, Match::Stick, Match::Halves, Match::Lot, Match::Any];
        let allowed = weaker.into_iter().filter(|match_| (floor..=ask.match_).contains(match_));
        for match_ in allowed {
            if self.fits(moulding, &Ask { match_, ..ask.clone() }) {
                return Ok(match_);
            }
        }
        if self.is_not_sold(moulding) {
            return Err(self.not_sold(moulding));
        }
        let together = || self.too_long_together(layer, moulding, ask);
        Err(self.random_lengths(layer, moulding, ask, floor).unwrap_or_else(together))
    }

    /// Whether no sticks of a moulding can be bought.
    fn is_not_sold(&self, moulding: &str) -> bool {
        new_lengths(self.shop, moulding, self.date).is_empty()
    }

    fn not_sold(&self, moulding: &str) -> HoldReason {
        let mouldings = vec![moulding.to_owned()];
        let from = sold_from(self.shop, &mouldings, self.date);
        HoldReason::NotSold { mouldings, from }
    }

    /// Each rail for itself: an opening, long enough to hold, short enough to find.
    fn each_rail(
        &self,
        layer: usize,
        moulding: &str,
        ask: &Ask,
        floor: Match,
    ) -> Result<(), HoldReason> {
        let (bench, _) = &self.benches[moulding];
        if !bench.cutter.cuts(ask.mitre) {
            let (mitre, cutter) = (ask.mitre, bench.cutter.name.clone());
            return Err(HoldReason::NoMitre { layer, mitre, cutter });
        }
        let longest = self.longest_run(moulding, ask);
        for rail in &ask.rails {
            let (side, long_point, moulding) = (rail.side, rail.long_point, moulding.to_owned());
            if !rail.sight.is_positive() {
                return Err(HoldReason::NoOpening { layer, moulding, side });
            }
            if long_point < bench.cutter.shortest {
                let (cutter, shortest) = (bench.cutter.name.clone(), bench.cutter.shortest);
                return Err(HoldReason::TooShort { layer, side, long_point, cutter, shortest });
            }
            if long_point > longest && self.is_not_sold(&moulding) {
                return Err(self.not_sold(&moulding));
            }
            if long_point > longest {
                let random = self.random_lengths(layer, &moulding, ask, floor);
                let too_long = HoldReason::TooLong { layer, moulding, side, long_point, longest };
                return Err(random.unwrap_or(too_long));
            }
        }
        Ok(())
    }

    /// What must be asked of those who sell it in random lengths, where one of these may be
    /// long enough: for the strongest match that they might give.
    fn random_lengths(
        &self,
        layer: usize,
        moulding: &str,
        ask: &Ask,
        floor: Match,
    ) -> Option<HoldReason> {
        let (bench, _) = &self.benches[moulding];
        let uncut = bench.cutter.first_trim + bench.cutter.last_trim.max(bench.cutter.grip);
        let sold = random(self.shop, moulding, self.date);
        let weaker = [Match::Wrap, Match::Stick, Match::Halves, Match::Lot, Match::Any];
        let allowed = weaker.into_iter().filter(|match_| (floor..=ask.match_).contains(match_));
        let asked = allowed.map(|match_| {
            let least = together(bench, &Ask { match_, ..ask.clone() }) + uncut;
            least.round_up(self.shop.settings.mark)
        });
        asked.into_iter().find_map(|least| {
            let may = sold.iter().filter(|(_, longest)| *longest >= least);
            let suppliers: BTreeSet<String> = may.map(|(id, _)| (*id).to_owned()).collect();
            let is_sold = !suppliers.is_empty();
            let (moulding, suppliers) = (moulding.to_owned(), suppliers.into_iter().collect());
            is_sold.then_some(HoldReason::RandomLengths { layer, moulding, least, suppliers })
        })
    }

    /// The same with just the match that it asks.
    pub fn might(&self, layer: usize, moulding: &str, ask: &Ask) -> Option<HoldReason> {
        self.random_lengths(layer, moulding, ask, ask.match_)
    }

    fn longest_run(&self, moulding: &str, ask: &Ask) -> Length {
        let (bench, sources) = &self.benches[moulding];
        let joint = bench.joint_loss(ask.mitre);
        *self.longest.borrow_mut().entry((moulding.to_owned(), joint)).or_insert_with(|| {
            let runs = sources.iter().flat_map(|source| clear_runs(bench, source, joint));
            runs.map(|run| run.to - run.from).max().unwrap_or_default()
        })
    }

    /// Whether one such layer can be cut: certainly if a stick of the usual
    /// length holds all that must be together, else by really packing it. Which lot it is
    /// bound to does not count.
    fn fits(&self, moulding: &str, ask: &Ask) -> bool {
        let (bench, sources) = &self.benches[moulding];
        let new = sources.iter().filter(|source| source.is_new);
        let mut usual = new.flat_map(|source| clear_runs(bench, source, Length::ZERO));
        if usual.any(|run| longest_together(bench, ask) <= run.to - run.from) {
            return true;
        }
        let key = (
            moulding.to_owned(),
            ask.mitre.sides(),
            ask.match_,
            ask.rails.iter().map(|rail| rail.long_point).collect(),
        );
        if let Some(known) = self.seen.borrow().get(&key) {
            return *known;
        }
        let asks = [Ask { like: None, ..ask.clone() }];
        let placed = sources.iter().map(|source| (None, source.clone())).collect();
        let fits = !matches!(self.pack(bench, &asks, placed), Packed::Impossible);
        self.seen.borrow_mut().insert(key, fits);
        fits
    }

    /// Whether one such layer can be cut from new sticks alone.
    pub fn fits_new(&self, moulding: &str, ask: &Ask) -> bool {
        let supplies = supplies(self.shop, moulding, self.date);
        if matches!(ask.match_, Match::Lot | Match::Halves) && has_offers(self.shop) {
            // One delivery is one lot: each supplier by themselves.
            return supplies.iter().any(|one| {
                let supplier = |offer: usize| &self.shop.offers[offer].supplier;
                let same = supplies.iter().filter(|s| supplier(s.offer) == supplier(one.offer));
                let lengths = same.flat_map(|s| &s.pieces).map(|piece| piece.length);
                self.fits_lengths(moulding, ask, &lengths.collect::<Vec<_>>())
            });
        }
        let lengths = new_lengths(self.shop, moulding, self.date);
        self.fits_lengths(moulding, ask, &lengths)
    }

    /// Whether one such layer can be cut from new sticks of these lengths.
    pub fn fits_lengths(&self, moulding: &str, ask: &Ask, lengths: &[Length]) -> bool {
        let bench = &self.benches[moulding].0;
        let new = lengths.iter().map(|&length| Source {
            length,
            flaws: Vec::new(),
            lot: NEW_LOT,
            is_new: true,
            paid: None,
        });
        let new: Vec<Source> = new.collect();
        let mut runs = new.iter().flat_map(|source| clear_runs(bench, source, Length::ZERO));
        let shortest = ask.rails.iter().map(|rail| rail.long_point).min();
        let is_held = shortest.is_none_or(|shortest| shortest >= bench.cutter.shortest);
        if !is_held || !bench.cutter.cuts(ask.mitre) {
            return false;
        }
        runs.any(|run| together(bench, ask) <= run.to - run.from)
    }

    /// Packs the one ask, with a part of the steps that are left.
    fn pack(&self, bench: &Bench<'a>, asks: &[Ask], placed: Vec<Placed>) -> Packed {
        let own = self.left.get() / PARTS;
        let mut packing = Packing::new(*bench, asks, placed, self.effort.with_purse(own));
        let packed = packing.pack(&Counts::from([(0, 1)]));
        self.left.set(self.left.get() - own + packing.left());
        packed
    }

    /// The strongest match, down to `floor`, with which a supplier can cut such a
    /// layer to size.
    pub fn chopped(&self, moulding: &str, ask: &Ask, floor: Match) -> Option<Match> {
        if ask.rails.iter().any(|rail| !rail.sight.is_positive()) {
            return None;
        }
        let chops = chops(self.shop, moulding, self.date);
        let weaker = [Match::Lot, Match::Any].into_iter();
        let mut allowed = weaker.filter(|match_| (floor..=ask.match_).contains(match_));
        allowed.find(|match_| {
            let asked = Ask { match_: *match_, ..ask.clone() };
            chops.iter().any(|chops| chops.can_cut(&asked))
        })
    }

    fn too_long_together(&self, layer: usize, moulding: &str, ask: &Ask) -> HoldReason {
        HoldReason::MatchTooLong {
            layer,
            moulding: moulding.to_owned(),
            match_: ask.match_,
            needed: longest_together(&self.benches[moulding].0, ask),
            longest: self.longest_run(moulding, ask),
        }
    }
}

/// The longest that any rails take which this match keeps together, cut one
/// after the other in one run.
fn longest_together(bench: &Bench, ask: &Ask) -> Length {
    let together = match ask.match_ {
        Match::Any | Match::Lot => 1,
        Match::Halves => 2,
        Match::Stick | Match::Wrap => ask.rails.len(),
    };
    let taken = |rails: &[Rail]| {
        let points: Length = rails.iter().map(|rail| rail.long_point).sum();
        let joints = i64::try_from(rails.len()).expect("at most 16 sides") - 1;
        points + bench.joint_loss(ask.mitre) * joints
    };
    ask.rails.chunks(together).map(taken).max().unwrap_or_default()
}

/// What an ask takes of new sticks, of which there are as many as wanted: the
/// longest of what must be in one run. Rails that only have to be from one stick may
/// lie head to tail.
fn together(bench: &Bench, ask: &Ask) -> Length {
    if ask.match_ != Match::Stick {
        return longest_together(bench, ask);
    }
    let points: Length = ask.rails.iter().map(|rail| rail.long_point).sum();
    let between = i64::try_from(ask.rails.len()).expect("at most 16 sides") - 1;
    points + (bench.joint_loss(ask.mitre) - bench.overlap(ask.mitre)) * between
}

/// What holds for every stick and rail of a moulding of this shop.
pub(crate) fn bench<'a>(shop: &'a Shop, moulding: &'a Moulding) -> Bench<'a> {
    let cutter = shop.cutter_of(moulding);
    Bench { settings: &shop.settings, moulding, cutter, joint_at_flaws: Length::ZERO }
}

/// The sticks that can be bought, as many as wanted of each: of each length on
/// offer, or of the usual length where the shop has no offers at all.
pub(crate) fn new_sticks(shop: &Shop, moulding: &Moulding, date: Date) -> Vec<Source> {
    let lengths = new_lengths(shop, &moulding.id, date).into_iter();
    let new = |length| Source { length, flaws: Vec::new(), lot: NEW_LOT, is_new: true, paid: None };
    lengths.map(new).collect()
}
