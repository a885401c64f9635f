//! One way to get a moulding with all its figures: what is bought, what it
//! costs, what is spare.

use std::collections::BTreeMap;

use super::beyond::beyond;
use super::offered::Piece;
use super::packer::{Look, Phase, Set, back, price};
use super::splits::Split;
use super::wants::{Layer, Wants};
use crate::buy::{Goods, Lot, Way, chop_billed, count_for, goods_of, step_reached, sticks_in};
use crate::measure::{Length, Worth};
use crate::shop::{Offer, Restock};

/// Thousandths in a minor unit.
pub(super) const FINE: i64 = 1000;
/// Millionths in a whole share.
const WHOLE: i128 = 1_000_000;

/// What a way means.
#[derive(Clone)]
pub(super) struct Detail {
    pub phases: Vec<Phase>,
    /// The offers of the chops and their layers.
    pub chopped: Vec<(usize, Vec<Layer>)>,
    pub bought: Vec<Bought>,
    /// Where it comes from, among the moulding's [`Ways`](super::ways::Ways).
    pub origin: usize,
}

impl Detail {
    /// How hard its packings are to be looked at next; `None` if that changes
    /// nothing.
    pub fn next_look(&self) -> Option<Look> {
        self.phases.iter().map(|phase| phase.look).min().and_then(Look::harder)
    }
}

/// Sticks or boxes of one length of one supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Bought {
    pub supply: usize,
    pub piece: Piece,
    /// How many sticks or boxes.
    pub count: u32,
    /// How many pieces arrive at the least.
    pub pieces: u32,
    /// How many of them are cut.
    pub cut: u32,
    /// How many of the others fill the rack up to what is kept on it.
    pub restock: u32,
}

/// A way as it is, and with the rack filled up, as the shop's rules are; each
/// also with sticks beyond need (`beyond`), and whether with all that could pay.
pub(super) fn finish(
    wants: &Wants,
    split: &Split,
    phases: &[Phase],
    set: &Set,
    origin: usize,
) -> (Vec<(Way, Detail)>, bool) {
    let making = Making { wants, split, phases, set, origin, fill: None, more: &[] };
    let plain = making.make();
    let mut ways = Vec::new();
    let lacks =
        wants.moulding.keep_on_rack > 0 && plain.as_ref().is_none_or(|(lacks, _)| *lacks > 0);
    if lacks {
        let candidates: Vec<usize> = if set.is_empty() {
            (0..wants.supplies.len()).collect()
        } else {
            set.iter().map(|(supply, _)| *supply).collect()
        };
        for supply in candidates {
            let making = Making { fill: Some(supply), ..making };
            ways.extend(making.make().map(|(_, way)| (making, way)));
        }
    }
    let always = wants.shop.settings.buying.restock == Restock::Always;
    if let Some((_, way)) = plain
        && (!always || ways.is_empty())
    {
        ways.push((making, way));
    }
    let (mut all, mut whole) = (Vec::new(), true);
    for (making, way) in ways {
        whole &= beyond(making, &way, &mut all);
        all.push(way);
    }
    (all, whole)
}

/// What a way is made from.
#[derive(Clone, Copy)]
pub(super) struct Making<'a> {
    pub wants: &'a Wants<'a>,
    pub split: &'a Split,
    pub phases: &'a [Phase],
    pub set: &'a Set,
    pub origin: usize,
    /// The supply from which the rack is filled up.
    pub fill: Option<usize>,
    /// For each line of what is bought, sticks or boxes beyond need.
    pub more: &'a [u32],
}

impl Making<'_> {
    /// The way, and how many whole sticks the rack still lacks; `None` if it
    /// does not come to the steps that it was packed for.
    pub fn make(&self) -> Option<(u32, (Way, Detail))> {
        let wants = self.wants;
        let mut bought = self.needed()?;
        let mut lacks = self.lacking();
        for line in &mut bought {
            let spare = if self.is_whole(&line.piece) { line.pieces - line.cut } else { 0 };
            line.restock = spare.min(lacks);
            lacks -= line.restock;
        }
        if let Some(supply) = self.fill {
            lacks -= self.fill_up(&mut bought, supply, lacks)?;
        }
        self.reach_steps(&mut bought)?;
        self.add_more(&mut bought)?;
        let (mut goods, mut long): (BTreeMap<&str, i64>, BTreeMap<&str, bool>) = Default::default();
        for (offer, lots) in lots_of(wants, &bought) {
            let offer = &wants.shop.offers[offer];
            *goods.entry(&offer.supplier).or_default() += goods_of(offer, &lots).0;
        }
        for line in &bought {
            let offer = &wants.shop.offers[wants.supplies[line.supply].offer];
            *long.entry(&offer.supplier).or_default() |= line.piece.long;
        }
        let mut chopped = Vec::new();
        for (place, layers) in &self.split.chopped {
            let chops = &wants.chops[*place];
            let offer = &wants.shop.offers[chops.offer];
            *goods.entry(&offer.supplier).or_default() +=
                goods_of(offer, &chop_lots(wants, offer, layers)).0;
            *long.entry(&offer.supplier).or_default() |= is_long_chop(wants, offer, layers);
            chopped.push((chops.offer, layers.clone()));
        }
        let (credit, spare) = self.spare(&bought);
        let own: i64 = self.phases.iter().map(|phase| self.own(phase)).sum();
        let doubt = |phase: &Phase| {
            if phase.fit.proven { 0 } else { phase.fit.used_up.0 - phase.fit.bound.0 }
        };
        let places = |id: &str| wants.shop.suppliers.keys().position(|other| other == id);
        let goods = goods.into_iter().map(|(id, cost)| Goods {
            supplier: places(id).expect("an offer's supplier is known"),
            cost,
            long: long.get(id).copied().unwrap_or(false),
        });
        let way = Way {
            own: own - credit,
            doubt: self.phases.iter().map(doubt).sum(),
            goods: goods.collect(),
            spare,
        };
        Some((
            lacks,
            (way, Detail { phases: self.phases.to_vec(), chopped, bought, origin: self.origin }),
        ))
    }

    /// The pieces that are cut, as sticks or boxes; `None` if some supply of the
    /// set gives none.
    fn needed(&self) -> Option<Vec<Bought>> {
        let mut needed: BTreeMap<(usize, Length), (Piece, u32)> = BTreeMap::new();
        for (supply, piece, count) in self.phases.iter().flat_map(|phase| &phase.pieces) {
            needed.entry((*supply, piece.length)).or_insert((*piece, 0)).1 += count;
        }
        let gives = |(supply, _): &(usize, usize)| needed.keys().any(|(other, _)| other == supply);
        if !self.set.iter().all(gives) {
            return None;
        }
        let line = |((supply, _), (piece, cut)): ((usize, Length), (Piece, u32))| {
            let count = cut.div_ceil(self.per(supply, &piece));
            let pieces = count * self.per(supply, &piece);
            Bought { supply, piece, count, pieces, cut, restock: 0 }
        };
        Some(needed.into_iter().map(line).collect())
    }

    /// How many pieces one stick or box gives.
    fn per(&self, supply: usize, piece: &Piece) -> u32 {
        let offer = &self.wants.shop.offers[self.wants.supplies[supply].offer];
        sticks_in(offer, piece.stick).max(1) * if piece.halved { 2 } else { 1 }
    }

    /// Whether a piece counts as a whole stick on the rack.
    fn is_whole(&self, piece: &Piece) -> bool {
        !piece.halved && piece.length >= self.wants.moulding.stick
    }

    /// How many whole sticks the rack lacks once this way is cut.
    fn lacking(&self) -> u32 {
        let touched: Vec<_> = self.phases.iter().map(Phase::touched).collect();
        let whole = self.wants.rack.iter().filter(|(place, source)| {
            source.length >= self.wants.moulding.stick
                && source.flaws.is_empty()
                && !touched.iter().any(|touched| touched.contains(place))
        });
        let whole = u32::try_from(whole.count()).unwrap_or(u32::MAX);
        self.wants.moulding.keep_on_rack.saturating_sub(whole)
    }

    /// Buys what the rack lacks; how many sticks that are. `None` if the supply
    /// has no whole sticks.
    fn fill_up(&self, bought: &mut Vec<Bought>, supply: usize, lacks: u32) -> Option<u32> {
        let pieces = &self.wants.supplies[supply].pieces;
        let piece = *pieces.iter().find(|piece| self.is_whole(piece))?;
        let is_same = |line: &&mut Bought| line.supply == supply && line.piece == piece;
        if let Some(line) = bought.iter_mut().find(is_same) {
            let per = self.per(supply, &piece);
            line.count = (line.cut + line.restock + lacks).div_ceil(per);
            line.pieces = line.count * per;
            line.restock += lacks;
        } else {
            let count = lacks.div_ceil(self.per(supply, &piece));
            let pieces = count * self.per(supply, &piece);
            bought.push(Bought { supply, piece, count, pieces, cut: 0, restock: lacks });
        }
        Some(lacks)
    }

    /// Buys up to the step that each supply was packed at; `None` if it comes to
    /// another.
    fn reach_steps(&self, bought: &mut [Bought]) -> Option<()> {
        for &(supply, step) in self.set {
            let place = self.wants.supplies[supply].offer;
            let offer = &self.wants.shop.offers[place];
            let lots = lots_of(self.wants, bought).remove(&place)?;
            if step_reached(offer, &lots) < step {
                let most = bought.iter_mut().filter(|line| line.supply == supply);
                let line = most.max_by_key(|line| (line.cut, line.piece.length))?;
                let others: Vec<Lot> =
                    lots.into_iter().filter(|lot| lot.length != line.piece.stick).collect();
                line.count = count_for(offer, step, line.piece.stick, &others);
                line.pieces = line.count.checked_mul(self.per(supply, &line.piece))?;
            }
            let lots = lots_of(self.wants, bought).remove(&place)?;
            if step_reached(offer, &lots) != step {
                return None;
            }
        }
        Some(())
    }

    /// Buys more of each line; `None` if that comes to another step.
    fn add_more(&self, bought: &mut [Bought]) -> Option<()> {
        let steps = |bought: &[Bought]| -> Vec<usize> {
            bought.iter().map(|line| self.step(bought, line)).collect()
        };
        let before = steps(bought);
        for (line, more) in bought.iter_mut().zip(self.more) {
            line.count = line.count.checked_add(*more)?;
            line.pieces = line.count.checked_mul(self.per(line.supply, &line.piece))?;
        }
        (steps(bought) == before).then_some(())
    }

    /// What a phase uses up beside the sticks that it buys.
    fn own(&self, phase: &Phase) -> i64 {
        if self.wants.moulding.price.is_none() {
            // Without a price worth is a length, which is no money.
            return 0;
        }
        let bench = self.wants.bench();
        let bought = phase.fit.posed.bought(&phase.sources, &phase.fit.solution);
        let paid = |(source, count): (usize, u32)| {
            bench.price(&phase.sources[source]).0 * i64::from(count)
        };
        phase.fit.used_up.0 - bought.into_iter().map(paid).sum::<i64>()
    }

    /// What the pieces that are not cut are worth, in thousandths, and what is
    /// spent on those that the shop did not ask for, in minor units.
    fn spare(&self, bought: &[Bought]) -> (i64, i64) {
        let share = i128::from(self.wants.shop.settings.buying.spare);
        let steps: Set = match self.set.is_empty() {
            false => self.set.clone(),
            true => bought.iter().map(|line| (line.supply, self.step(bought, line))).collect(),
        };
        let back = back(self.wants, &steps);
        let (mut credit, mut spent) = (0, 0);
        for line in bought {
            let whole = back.of(line.piece.length).0;
            let beyond = line.pieces - line.cut - line.restock;
            let part = i64::try_from(i128::from(whole) * share / WHOLE).unwrap_or(0);
            // A stick for the rack is worth a minor unit less than it is, so that
            // none is bought which changes nothing.
            credit += (whole - FINE).max(0) * i64::from(line.restock) + part * i64::from(beyond);
            let step = self.step(bought, line);
            let each = price(self.wants, line.supply, step, &line.piece).of(line.piece.length);
            spent += Worth(each.0 * i64::from(beyond)).to_money().0;
        }
        (credit, spent)
    }

    /// The step that a line's offer comes to.
    fn step(&self, bought: &[Bought], line: &Bought) -> usize {
        let place = self.wants.supplies[line.supply].offer;
        let lots = lots_of(self.wants, bought).remove(&place).unwrap_or_default();
        step_reached(&self.wants.shop.offers[place], &lots)
    }
}

/// What is bought by offer, as it is priced.
pub(super) fn lots_of(wants: &Wants, bought: &[Bought]) -> BTreeMap<usize, Vec<Lot>> {
    let mut lots: BTreeMap<usize, Vec<Lot>> = BTreeMap::new();
    for line in bought {
        let lot = Lot { length: line.piece.stick, count: line.count };
        lots.entry(wants.supplies[line.supply].offer).or_default().push(lot);
    }
    lots
}

/// Chopped layers as they are billed: those of one length together.
pub(super) fn chop_lots(wants: &Wants, offer: &Offer, layers: &[Layer]) -> Vec<Lot> {
    let mut lots: BTreeMap<Length, u32> = BTreeMap::new();
    for layer in layers {
        *lots.entry(chop_billed(offer, wants.perimeter(layer))).or_default() += 1;
    }
    lots.into_iter().map(|(length, count)| Lot { length, count }).collect()
}

/// Whether a rail is so long that its parcel costs more.
fn is_long_chop(wants: &Wants, offer: &Offer, layers: &[Layer]) -> bool {
    let Some(long) = wants.shop.suppliers[&offer.supplier].long else { return false };
    let rails = layers.iter().flat_map(|layer| &wants.asks[layer.ask].rails);
    rails.map(|rail| rail.long_point).any(|length| length > long.over)
}
