//! No more is bought beyond need than the shop allows: tried from the offers alone.
//!
//! By the rule in the README ("How an order is decided", *Sticks beyond need*): as many
//! are cut of them, and within what is kept or what the moulding's use covers; or from
//! each supplier, for as many as are cut of theirs with what the rack lacks, so many that
//! fewer would cost no less, and no more than `beyond_most` above the fewest that they have.

use std::collections::{BTreeMap, BTreeSet};

use super::bills::charge;
use super::bought::{offer_of, sticks_each};
use super::facts::Facts;
use super::{Fault, truth};
use crate::measure::Length;
use crate::plan::OrderLine;
use crate::shop::{Form, Moulding, Offer};

/// More purchases of one offer than this are not tried: then nothing is said.
const MOST: u64 = 20_000;

/// A kind of piece as it arrives: its length, whether it is half of a stick, and whether
/// it makes its parcel long.
type PieceKind = (Length, bool, bool);

/// So many of each.
type Needed = BTreeMap<PieceKind, u32>;

/// For so many pieces in all the least price of goods.
type ByCount = BTreeMap<u32, i64>;

/// `rack` whole sticks of a moulding are left by the order. Of a plan that does
/// not say that all was compared only what is sold stick by stick at one price is looked at:
/// there fewer are always had for less.
pub(super) fn check(
    facts: &Facts,
    moulding: &Moulding,
    (rack, is_whole): (u32, bool),
    faults: &mut Vec<Fault>,
) {
    let lines = facts.plan.order.lines.iter();
    let is_own = |line: &&OrderLine| line.moulding == moulding.id && line.form != "chop";
    let lines: Vec<&OrderLine> = lines.filter(is_own).collect();
    let buying = &facts.shop.settings.buying;
    // Millionths of a stick.
    let used = u64::from(moulding.monthly.unwrap_or(0)) * u64::from(buying.cover_months);
    let covers = |beyond: u32| u64::from(beyond.saturating_add(rack)) * 1_000_000 <= used;
    let beyond: u32 = lines.iter().map(|line| line.pieces.saturating_sub(line.cut)).sum();
    let is_kept = beyond.saturating_add(rack) <= moulding.keep_on_rack;
    if beyond == 0 || is_kept || beyond <= buying.beyond_most && covers(beyond) {
        return;
    }
    let suppliers: BTreeSet<&str> = lines.iter().map(|line| line.supplier.as_str()).collect();
    let own = |supplier| lines.iter().copied().filter(move |line| line.supplier == supplier);
    let each = suppliers.into_iter().map(|supplier| own(supplier).collect::<Vec<&OrderLine>>());
    let each: Vec<_> =
        each.filter(|own| is_whole || own.iter().all(|line| is_plain(facts, line))).collect();
    let lacking = moulding.keep_on_rack.saturating_sub(rack);
    if !is_shared(facts, &each, (lacking, buying.beyond_most)) {
        let alone = |own: &&Vec<&OrderLine>| {
            !is_shared(facts, std::slice::from_ref(*own), (lacking, buying.beyond_most))
        };
        let first = each.iter().find(alone).unwrap_or(&each[0]);
        let (moulding, supplier) = (moulding.id.clone(), first[0].supplier.clone());
        faults.push(Fault::BeyondLimit { moulding, supplier });
    }
}

/// Whether what the rack lacks can be bought of one supplier or another, each stick once, so
/// that of all together no more than `most` are bought for a lower price alone.
fn is_shared(facts: &Facts, each: &[Vec<&OrderLine>], (lacking, most): (u32, u32)) -> bool {
    let Some((own, others)) = each.split_first() else { return true };
    let cut: u32 = own.iter().map(|line| line.cut).sum();
    (0..=lacking).any(|more| match for_price(facts, own, cut.saturating_add(more)) {
        // Too much to try.
        None => is_shared(facts, others, (lacking - more, most)),
        Some(None) => false,
        Some(Some(for_price)) => {
            for_price <= most && is_shared(facts, others, (lacking - more, most - for_price))
        }
    })
}

/// Whether a line is of sticks that are sold one by one at one price.
fn is_plain(facts: &Facts, line: &OrderLine) -> bool {
    let offer = offer_of(facts, line.offer);
    offer.is_some_and(|offer| {
        offer.form == Form::Length && offer.steps.is_empty() && offer.least_count <= 1
    })
}

/// How many of one supplier's pieces are bought above the fewest in which they have so many as
/// are needed, whichever of them are; nothing where fewer than are bought would cost less, and
/// `None` if that is too much to try.
fn for_price(facts: &Facts, lines: &[&OrderLine], needed: u32) -> Option<Option<u32>> {
    let line = *lines.first()?;
    let mut paid = 0;
    let rows: BTreeSet<Option<u64>> = lines.iter().map(|line| line.offer).collect();
    for row in rows {
        let of: Vec<&OrderLine> = lines.iter().copied().filter(|line| line.offer == row).collect();
        paid += charge(facts, offer_of(facts, row)?, &of);
    }
    let mut bought = Needed::new();
    for line in lines {
        let pieces = truth::pieces(facts.shop, offer_of(facts, line.offer)?, facts.plan.date);
        let is_of =
            |piece: &&truth::SoldPiece| (piece.stick, piece.halved) == (line.length, line.halved);
        let piece = pieces.iter().find(is_of)?;
        *bought.entry((piece.length, piece.halved, piece.long)).or_default() += line.pieces;
    }
    let offers = facts.shop.offers.iter();
    let offers: Vec<&Offer> = offers
        .filter(|offer| offer.supplier == line.supplier && offer.moulding == line.moulding)
        .collect();
    // Every share of what is needed over the kinds that are bought.
    let kinds: Vec<(PieceKind, u32)> = bought.into_iter().collect();
    let total = needed.min(kinds.iter().map(|(_, count)| count).sum());
    let mut shares = vec![0_u32; kinds.len()];
    let mut tried = 0_u64;
    let all: u32 = kinds.iter().map(|(_, count)| count).sum();
    let mut best = None;
    loop {
        if shares.iter().sum::<u32>() == total {
            let needed = kinds.iter().zip(&shares).map(|((kind, _), share)| (*kind, *share));
            let by_count = by_count(facts, &offers, needed.collect(), (line, all))?;
            if by_count.range(..all).all(|(_, least)| paid <= *least) {
                let fewest = by_count.keys().next().copied().unwrap_or(all);
                best = Some(best.map_or(all - fewest, |best: u32| best.min(all - fewest)));
            }
        }
        tried += 1;
        let next = (0..kinds.len()).find(|&at| shares[at] < kinds[at].1);
        let Some(at) = next.filter(|_| tried < MOST) else {
            return (tried < MOST).then_some(best);
        };
        shares[at] += 1;
        shares[..at].fill(0);
    }
}

/// The least that so many pieces cost from these offers, by how many come in all, `most` at
/// the most; what costs no less than fewer may be left out.
fn by_count(
    facts: &Facts,
    offers: &[&Offer],
    mut needed: Needed,
    (line, most): (&OrderLine, u32),
) -> Option<ByCount> {
    needed.retain(|_, count| *count > 0);
    let Some((offer, others)) = offers.split_first() else {
        return Some(if needed.is_empty() { ByCount::from([(0, 0)]) } else { ByCount::new() });
    };
    let mut best = by_count(facts, others, needed.clone(), (line, most))?;
    let pieces = truth::pieces(facts.shop, offer, facts.plan.date);
    for halved in [false, true] {
        // Long sticks are halved or not, all of one offer; the others are not.
        let is_long = |of: &truth::SoldPiece| {
            pieces.iter().any(|other| other.stick == of.stick && other.halved)
        };
        let sold: Vec<truth::SoldPiece> = pieces
            .iter()
            .filter(|piece| if is_long(piece) { piece.halved == halved } else { true })
            .copied()
            .collect();
        let is_other = pieces.iter().any(|piece| piece.halved);
        if halved && !is_other || sold.is_empty() {
            continue;
        }
        let caps = sold.iter().map(|piece| cap(offer, piece, &needed).min(most));
        let caps: Vec<u32> = caps.collect();
        if caps.iter().map(|cap| u64::from(*cap) + 1).product::<u64>() > MOST {
            return None;
        }
        let mut counts = vec![0_u32; sold.len()];
        while let Some(at) = (0..counts.len()).find(|&at| counts[at] < caps[at]) {
            counts[at] += 1;
            counts[..at].fill(0);
            if counts.iter().any(|count| (1..offer.least_count).contains(count)) {
                continue;
            }
            let mut left = needed.clone();
            let (mut bought, mut come) = (Vec::new(), 0);
            for (piece, &count) in sold.iter().zip(&counts).filter(|(_, count)| **count > 0) {
                let each = sticks_each(offer, piece.stick) * if piece.halved { 2 } else { 1 };
                come += count * each;
                if let Some(of) = left.get_mut(&(piece.length, piece.halved, piece.long)) {
                    *of = of.saturating_sub(count * each);
                }
                bought.push(OrderLine { length: piece.stick, count, ..line.clone() });
            }
            if come > most {
                continue;
            }
            let goods = charge(facts, offer, &bought.iter().collect::<Vec<_>>());
            if best.range(..=come).any(|(_, known)| *known <= goods) {
                continue;
            }
            for (count, rest) in by_count(facts, others, left, (line, most - come))? {
                let known = best.entry(come + count).or_insert(goods + rest);
                *known = (*known).min(goods + rest);
            }
        }
    }
    Some(best)
}

/// As many of one length as are needed, as are taken in one line at the least, or as
/// reach the last price step.
fn cap(offer: &Offer, piece: &truth::SoldPiece, needed: &Needed) -> u32 {
    let each = sticks_each(offer, piece.stick).max(1);
    let kind = (piece.length, piece.halved, piece.long);
    let pieces = each * if piece.halved { 2 } else { 1 };
    let needed = needed.get(&kind).copied().unwrap_or(0).div_ceil(pieces);
    let (over, under) = super::bills::each(offer, piece.stick);
    let step = offer.steps.last().map_or(0, |step| {
        (i128::from(step.from) * under + over.max(1) - 1).div_euclid(over.max(1))
    });
    needed.max(u32::try_from(step).unwrap_or(u32::MAX)).max(offer.least_count)
}
