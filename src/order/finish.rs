//! One way to get a moulding written out: what is bought, what of it is cut, kept
//! on the rack or beyond need, and what it costs.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::packer::Phase;
use super::pieces::pieces_in;
use super::wants::{WantedLayer, Wants};
use super::ways::MouldingWays;
use crate::buy::{OfferQuantity, Way, rate_paid, step_reached};
use crate::measure::Worth;
use crate::planner::offered::OfferedPiece;

/// What a way means.
#[derive(Clone)]
pub(super) struct Detail {
    pub phases: Vec<Phase>,
    /// The offers of the chops and their layers.
    pub chopped: Vec<(usize, Vec<WantedLayer>)>,
    pub bought: Vec<Bought>,
    /// What is spent on sticks beyond need, in minor units.
    pub spent: i64,
}

/// Sticks or boxes of one length of one supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Bought {
    pub supply: usize,
    pub piece: OfferedPiece,
    /// The kind of the pieces.
    pub kind: usize,
    /// How many sticks or boxes.
    pub count: u32,
    /// How many pieces arrive at the least.
    pub pieces: u32,
    /// How many of them are cut.
    pub cut: u32,
    /// How many of the others are for the rack.
    pub restock: u32,
}

/// A way that is known, written out.
pub(super) fn detail(ways: &MouldingWays, way: &Way) -> Option<Detail> {
    let (case, picks) = way.of.split_first()?;
    let case = *case as usize;
    let some = super::choices::arriving(&ways.pieces, &ways.sold, picks);
    let known = ways.known(case, &some)?;
    let (record, _) = ways.best_within(case, &known, picks).or(known.best)?;
    let wants = &ways.wants;
    let offer =
        |(place, layers): &(usize, Vec<WantedLayer>)| (wants.chops[*place].offer, layers.clone());
    let bought = bought(ways, case, record, picks);
    Some(Detail {
        phases: ways.cases[case].record(record).phases.clone(),
        chopped: ways.cases[case].split.chopped.iter().map(offer).collect(),
        spent: beyond_need(wants, &bought),
        bought,
    })
}

/// What a way spends on sticks beyond need, in minor units.
pub(super) fn spent(ways: &MouldingWays, case: usize, record: usize, picks: &[u32]) -> i64 {
    beyond_need(&ways.wants, &bought(ways, case, record, picks))
}

/// How many of each supplier's sticks a way cuts.
pub(super) fn cut_of_each(
    ways: &MouldingWays,
    case: usize,
    record: usize,
    picks: &[u32],
) -> BTreeMap<usize, u32> {
    let wants = &ways.wants;
    let mut cut = BTreeMap::new();
    for of in bought(ways, case, record, picks) {
        let supplier = &wants.shop.offers[wants.supplies[of.supply].offer].supplier;
        let place = wants.shop.suppliers.keys().position(|id| id == supplier);
        *cut.entry(place.expect("its supplier is known")).or_default() += of.cut;
    }
    cut
}

/// What a way spends on sticks beyond need at the least, however it is cut: at the
/// cheapest, as many as are more than there are rails and are to be kept.
pub(super) fn spent_least(ways: &MouldingWays, case: usize, picks: &[u32]) -> i64 {
    let wants = &ways.wants;
    let bought = lines(ways, picks);
    let cut = ways.cases[case].split.cut.iter();
    let rails: usize = cut.map(|layer| wants.asks[layer.ask].rails.len()).sum();
    let pieces: usize = bought.iter().map(|of| of.pieces as usize).sum();
    let idle = pieces.saturating_sub(rails + wants.moulding.keep_on_rack as usize);
    if idle == 0 {
        return 0;
    }
    let least = each(wants, &bought).iter().map(|each| each.0).min().unwrap_or(0);
    // Each line is rounded by itself.
    let lines = i64::try_from(bought.len()).unwrap_or(i64::MAX);
    let idle = i64::try_from(idle).unwrap_or(i64::MAX);
    (least.saturating_mul(idle) / 1000).saturating_sub(lines).max(0)
}

fn bought(ways: &MouldingWays, case: usize, record: usize, picks: &[u32]) -> Vec<Bought> {
    let wants = &ways.wants;
    let mut bought = lines(ways, picks);
    let record = ways.cases[case].record(record);
    let mut order: Vec<usize> = (0..bought.len()).collect();
    // What is cut comes from the dearest, so that the least is spent beyond need.
    let each = each(wants, &bought);
    order.sort_by_key(|&line| (Reverse(each[line]), line));
    let mut cut = record.cut.clone();
    cut.resize(ways.pieces.kinds.len(), 0);
    for &line in &order {
        let of = &mut bought[line];
        of.cut = of.pieces.min(cut[of.kind]);
        cut[of.kind] -= of.cut;
    }
    // The longest are kept, those of the rack before those that are bought.
    let mut rack = record.rack_left_of(wants);
    order.sort_by_key(|&line| (Reverse(bought[line].piece.length), Reverse(each[line]), line));
    let mut keep = u32::try_from(ways.kept.keep).unwrap_or(u32::MAX);
    for line in order {
        let of = &mut bought[line];
        if !ways.pieces.kinds[of.kind].is_whole {
            continue;
        }
        let before = rack.len();
        rack.retain(|length| *length < of.piece.length);
        keep = keep.saturating_sub(u32::try_from(before - rack.len()).unwrap_or(u32::MAX));
        of.restock = (of.pieces - of.cut).min(keep);
        keep -= of.restock;
    }
    bought
}

/// What these choices buy; nothing of it is cut or kept yet.
fn lines(ways: &MouldingWays, picks: &[u32]) -> Vec<Bought> {
    let wants = &ways.wants;
    let mut bought = Vec::new();
    for (sold, pick) in ways.sold.iter().zip(picks) {
        let choice = &sold.choices[*pick as usize];
        for (at, &count) in choice.counts.iter().enumerate().filter(|(_, count)| **count > 0) {
            let (supply, piece) = (choice.supply, wants.supplies[choice.supply].pieces[at]);
            let pieces = count * pieces_in(wants, supply, &piece);
            let kind = ways.pieces.kind(supply, at);
            bought.push(Bought { supply, piece, kind, count, pieces, cut: 0, restock: 0 });
        }
    }
    bought
}

/// What one piece of each line is paid by its length.
fn each(wants: &Wants, bought: &[Bought]) -> Vec<Worth> {
    let lots = lots_of(wants, bought);
    let paid = |of: &Bought| {
        let place = wants.supplies[of.supply].offer;
        let offer = &wants.shop.offers[place];
        rate_paid(offer, step_reached(offer, &lots[&place]), of.piece.stick).of(of.piece.length)
    };
    bought.iter().map(paid).collect()
}

fn beyond_need(wants: &Wants, bought: &[Bought]) -> i64 {
    let spent = |(of, each): (&Bought, Worth)| {
        let beyond = of.pieces - of.cut - of.restock;
        Worth(each.0 * i64::from(beyond)).to_money().0
    };
    bought.iter().zip(each(wants, bought)).map(spent).sum()
}

/// What is bought by offer, as it is priced.
pub(super) fn lots_of(wants: &Wants, bought: &[Bought]) -> BTreeMap<usize, Vec<OfferQuantity>> {
    let mut lots: BTreeMap<usize, Vec<OfferQuantity>> = BTreeMap::new();
    for line in bought {
        let lot = OfferQuantity { length: line.piece.stick, count: line.count };
        lots.entry(wants.supplies[line.supply].offer).or_default().push(lot);
    }
    lots
}
