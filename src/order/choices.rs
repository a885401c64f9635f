//! What can be bought of each offer of sticks of one moulding: every count of
//! each of its lengths that could be part of a cheapest order.

use super::limit::BeyondLimit;
use super::pieces::{Pieces, Premiums, pieces_in};
use super::wants::Wants;
use crate::buy::{Goods, OfferQuantity, Terms, count_for, goods_of, unit_price};

/// More sticks or boxes of one length than this are not looked at, unless it takes
/// more to serve everything.
const MOST_COUNT: u32 = 400;
/// More choices of several lengths of one offer than this are not.
const MOST_CHOICES: u64 = 6_000;

/// One offer and what can be bought of it.
pub(super) struct SoldOffer {
    /// The first is nothing.
    pub choices: Vec<Choice>,
}

/// So much of one offer.
#[derive(Clone, Default)]
pub(super) struct Choice {
    pub supply: usize,
    /// For each length of the supply how many sticks or boxes.
    pub counts: Vec<u32>,
    /// The pieces that arrive, by kind.
    pub pieces: Vec<(usize, u32)>,
    pub goods: Option<Goods>,
    /// What the pieces count uncut.
    pub worth: i64,
    /// Their premiums.
    pub premiums: Premiums,
}

/// The choices of each offer, where no more than `most` pieces of each kind are
/// cut; whether these are all that could matter.
pub(super) fn choices(
    wants: &Wants,
    pieces: &Pieces,
    most: &[u32],
    limit: BeyondLimit,
) -> (Vec<SoldOffer>, bool) {
    let mut offers: Vec<usize> = wants.supplies.iter().map(|supply| supply.offer).collect();
    offers.dedup();
    let mut is_whole = true;
    let sold = |offer: usize| {
        let of = |id: &str| wants.shop.suppliers.keys().position(|other| other == id);
        let supplier = of(&wants.shop.offers[offer].supplier).expect("its supplier is known");
        let mut choices = vec![Choice::default()];
        let halved_or_not = (0..wants.supplies.len()).filter(|s| wants.supplies[*s].offer == offer);
        for supply in halved_or_not {
            is_whole &= add(wants, pieces, (most, limit), (supply, supplier), &mut choices);
        }
        SoldOffer { choices }
    };
    (offers.into_iter().map(sold).collect(), is_whole)
}

/// Adds what can be bought of one supply: as many of each length as serve
/// everything, and as many of several lengths together as there is room to list.
fn add(
    wants: &Wants,
    pieces: &Pieces,
    most: (&[u32], BeyondLimit),
    (supply, supplier): (usize, usize),
    choices: &mut Vec<Choice>,
) -> bool {
    let lengths = wants.supplies[supply].pieces.len();
    let (alone, whole): (Vec<u32>, Vec<bool>) =
        (0..lengths).map(|at| most_steps(wants, pieces, most, supply, at)).unzip();
    let mut caps = alone.clone();
    let mut is_whole = whole.into_iter().all(|is_whole| is_whole);
    let size = |caps: &[u32]| caps.iter().map(|cap| u64::from(*cap) + 1).product::<u64>();
    while size(&caps) > MOST_CHOICES {
        is_whole = false;
        let largest = caps.iter_mut().max().expect("an offer has a length");
        *largest = *largest * 3 / 4;
    }
    // None of a length, or from the least that is taken on: so many steps up.
    let least = wants.shop.offers[wants.supplies[supply].offer].least_count.max(1);
    let count = |step: &u32| if *step == 0 { 0 } else { least - 1 + *step };
    let mut push = |steps: &[u32]| {
        let counts: Vec<u32> = steps.iter().map(count).collect();
        choices.push(choice(wants, pieces, (supply, supplier), &counts));
    };
    let mut steps = vec![0; lengths];
    // The next steps, like the digits of a number.
    while let Some(at) = (0..lengths).find(|&at| steps[at] < caps[at]) {
        steps[at] += 1;
        steps[..at].fill(0);
        push(&steps);
    }
    for at in 0..lengths {
        steps.fill(0);
        for step in caps[at] + 1..=alone[at] {
            steps[at] = step;
            push(&steps);
        }
    }
    is_whole
}

/// How many steps up from none it is to the most of one length that could be bought,
/// and whether more could not matter: as many as are needed and kept, as the last
/// price step and the least of a line ask for, and as lift the supplier's bill to where
/// nothing changes any more or until they cost more than that saves, as far as that many
/// may be bought beyond need.
fn most_steps(
    wants: &Wants,
    pieces: &Pieces,
    (most, limit): (&[u32], BeyondLimit),
    supply: usize,
    at: usize,
) -> (u32, bool) {
    let piece = &wants.supplies[supply].pieces[at];
    let offer = &wants.shop.offers[wants.supplies[supply].offer];
    let each = pieces_in(wants, supply, piece);
    let kind = pieces.kind(supply, at);
    let need = (most[kind] + wants.moulding.keep_on_rack).div_ceil(each);
    let to_step = count_for(offer, offer.steps.len(), piece.stick, &[]);
    let seller = &wants.shop.suppliers[&offer.supplier];
    let terms = Terms::of(seller);
    let cost = |step| {
        let (over, under) = unit_price(offer, step, piece.stick);
        over.div_euclid(under)
    };
    let cheapest = (0..=offer.steps.len()).map(cost).min().unwrap_or(1).max(1);
    let lost = cheapest - i128::from(pieces.kinds[kind].worth) * i128::from(each);
    let to_bend = i128::from(terms.last_bend()) * 1000 / cheapest + 1;
    let pays = i128::from(terms.most_saved()) * 1000 / lost.max(1) + 1;
    let spare = u32::try_from(to_bend.min(pays)).unwrap_or(u32::MAX);
    let spare = if terms.last_bend() == 0 { 0 } else { spare };
    let spare = spare.min(limit.beside(0).div_ceil(each));
    let least = offer.least_count.max(1);
    let need = need.max(least);
    let all = need.saturating_add(spare).max(to_step);
    let cap = all.min(MOST_COUNT.max(need));
    (cap + 1 - least, all < MOST_COUNT || all == least)
}

fn choice(
    wants: &Wants,
    pieces: &Pieces,
    (supply, supplier): (usize, usize),
    counts: &[u32],
) -> Choice {
    let of = &wants.supplies[supply];
    let bought = || counts.iter().enumerate().filter(|(_, count)| **count > 0);
    let lot =
        |(at, count): (usize, &u32)| OfferQuantity { length: of.pieces[at].stick, count: *count };
    let lots: Vec<OfferQuantity> = bought().map(lot).collect();
    let goods = Goods {
        supplier,
        cost: goods_of(&wants.shop.offers[of.offer], &lots).0,
        long: bought().any(|(at, _)| of.pieces[at].long),
    };
    let arrive = |(at, count): (usize, &u32)| {
        (pieces.kind(supply, at), count * pieces_in(wants, supply, &of.pieces[at]))
    };
    let arrives: Vec<(usize, u32)> = bought().map(arrive).collect();
    let worth = arrives.iter().map(|(kind, count)| pieces.kinds[*kind].worth * i64::from(*count));
    let worth = worth.sum();
    let premiums = std::array::from_fn(|bound| {
        let of =
            |(kind, count): &(usize, u32)| pieces.kinds[*kind].premiums[bound] * i64::from(*count);
        arrives.iter().map(of).sum()
    });
    let (counts, goods) = (counts.to_vec(), Some(goods));
    Choice { supply, counts, pieces: arrives, goods, worth, premiums }
}

/// The pieces that arrive, by kind.
pub(super) fn arriving(pieces: &Pieces, sold: &[SoldOffer], picks: &[u32]) -> Vec<u32> {
    let mut some = vec![0; pieces.kinds.len()];
    for (sold, pick) in sold.iter().zip(picks) {
        for (kind, count) in &sold.choices[*pick as usize].pieces {
            some[*kind] += count;
        }
    }
    some
}
