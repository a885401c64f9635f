//! Every purchase of sticks of one moulding that could be worth its price.

use std::collections::BTreeMap;

use longpoint::measure::Length;

use super::rules::{FINE, Kind};
use super::ways::Lacking;

/// More purchases than this are not listed.
const MOST: usize = 300_000;

/// So many of one kind.
#[derive(Debug, Clone)]
pub struct Bought {
    pub kind: Kind,
    /// The supplier's place.
    pub supplier: usize,
    pub count: u32,
    /// What a piece of it counts as, in thousandths.
    pub each: i64,
    /// What a piece counts if it is left over, in thousandths.
    pub worth: i64,
}

/// All that is bought of a moulding as sticks.
#[derive(Debug, Clone)]
pub struct Purchase {
    pub bought: Vec<Bought>,
    pub goods: Vec<i64>,
    pub long: Vec<bool>,
}

/// What is bought by one offer.
#[derive(Clone)]
struct ByOffer {
    bought: Vec<Bought>,
    goods: i64,
    /// What it costs if all of it is left over.
    least: i64,
}

/// Every count of every kind of every offer, whole or halved, up to what could
/// be cut or kept, reach the last price step, or the last price of goods from
/// which a supplier's terms change; none that costs more than `most` if all that
/// is bought is left over.
///
/// `None` if there are too many.
pub fn purchases(lacking: &Lacking, most: i64) -> Option<Vec<Purchase>> {
    let rules = lacking.rules;
    let most = most.saturating_add(most_whole(lacking));
    let mut chosen: Vec<(i64, Vec<ByOffer>)> = vec![(0, Vec::new())];
    for place in rules.offers(lacking.id, false) {
        let more: Vec<ByOffer> = [false, true]
            .into_iter()
            .filter_map(|halved| rules.kinds(place, halved))
            .flat_map(|kinds| by_offer(lacking, place, &kinds))
            .collect();
        if chosen.len() * more.len() > MOST {
            return None;
        }
        let with = |before: &(i64, Vec<ByOffer>), of: &ByOffer| {
            let least = before.0 + of.least;
            (least <= most)
                .then(|| (least, [before.1.as_slice(), std::slice::from_ref(of)].concat()))
        };
        let all = chosen.iter().flat_map(|before| more.iter().filter_map(|of| with(before, of)));
        chosen = all.collect();
    }
    Some(chosen.into_iter().map(|(_, offers)| purchase(lacking, &offers)).collect())
}

/// Every count of some kinds of one offer; of halved kinds, only where something
/// is halved.
fn by_offer(lacking: &Lacking, place: usize, kinds: &[Kind]) -> Vec<ByOffer> {
    let mut all: Vec<Vec<Bought>> = vec![Vec::new()];
    for kind in kinds {
        let (cap, one) = (cap(lacking, kind), bought(lacking, kind));
        let counted = all.iter().flat_map(|before| {
            let least = lacking.rules.shop.offers[place].least_count;
            let counts = (0..=cap).filter(move |count| *count == 0 || *count >= least);
            counts.map(|count| match count {
                0 => before.clone(),
                _ => [before.as_slice(), &[Bought { count, ..one.clone() }]].concat(),
            })
        });
        all = counted.collect();
    }
    let is_halving = kinds.iter().any(|kind| kind.halved);
    all.retain(|bought| !is_halving || bought.iter().any(|b| b.kind.halved));
    let of = |mut bought: Vec<Bought>| {
        let lots: Vec<_> = bought.iter().map(|b| (b.kind.stick, b.count)).collect();
        let (goods, price) = lacking.rules.goods(place, &lots);
        let mut least = goods * FINE;
        for of in &mut bought {
            of.each = lacking.rules.piece_price(&of.kind, price);
            least -= of.worth * i64::from(of.count * of.kind.pieces);
        }
        ByOffer { bought, goods, least }
    };
    all.into_iter().map(of).collect()
}

fn bought(lacking: &Lacking, kind: &Kind) -> Bought {
    let rules = lacking.rules;
    let id = &rules.shop.offers[kind.offer].supplier;
    let supplier = rules.shop.suppliers.keys().position(|other| other == id).unwrap();
    let worth = rules.worth(lacking.id, kind.piece);
    Bought { kind: *kind, supplier, count: 0, each: 0, worth }
}

/// How many of a kind could ever pay.
fn cap(lacking: &Lacking, kind: &Kind) -> u32 {
    let rules = lacking.rules;
    let offer = &rules.shop.offers[kind.offer];
    let supplier = rules.supplier(offer);
    let items: usize = lacking.layers.iter().map(|layer| layer.blocks.len()).sum();
    let pieces = u32::try_from(items).unwrap() + rules.moulding(lacking.id).keep_on_rack;
    let needed = pieces.div_ceil(kind.pieces);
    let bends = supplier.freight.iter().map(|step| step.from).chain([supplier.minimum]);
    let bends = bends.chain(supplier.small.map(|small| small.below));
    let bend = bends.max().unwrap().0;
    let last = offer.steps.last().map_or(0, |step| step.from);
    let mut count = needed;
    let mut stepped = false;
    for more in 0..=needed.max(40) {
        let lots = [(kind.stick, more)];
        // A step may lower the goods below the bend once more.
        let reached = rules.goods(kind.offer, &lots).0 >= bend;
        let price = offer.steps.last().map(|step| step.price.0 * rules.left(offer));
        stepped |= last == 0 || more > 0 && Some(rules.goods(kind.offer, &lots).1) == price;
        if reached && stepped {
            count = count.max(more);
            break;
        }
    }
    count.max(offer.least_count)
}

/// How much more all whole sticks for the rack can count than as remainders: any
/// of the rack's or of what is sold may come to be among them.
fn most_whole(lacking: &Lacking) -> i64 {
    let rules = lacking.rules;
    let sold = rules.offers(lacking.id, false).into_iter();
    let sold = sold.flat_map(|place| rules.kinds(place, false).unwrap()).map(|kind| kind.piece);
    let lengths = lacking.rack.iter().map(|stick| stick.length).chain(sold);
    let more = |length| rules.whole(lacking.id, length) - rules.worth(lacking.id, length);
    let more = lengths.map(more).max().unwrap_or(0).max(0);
    more * i64::from(rules.moulding(lacking.id).keep_on_rack)
}

fn purchase(lacking: &Lacking, offers: &[ByOffer]) -> Purchase {
    let rules = lacking.rules;
    let suppliers = rules.shop.suppliers.len();
    let (mut goods, mut long) = (vec![0; suppliers], vec![false; suppliers]);
    for offer in offers {
        for of in &offer.bought {
            long[of.supplier] |= of.kind.long;
        }
        if let Some(of) = offer.bought.first() {
            goods[of.supplier] += offer.goods;
        }
    }
    let bought = offers.iter().flat_map(|offer| offer.bought.iter().cloned()).collect();
    Purchase { bought, goods, long }
}

/// Every count of pieces, `most` at the most, in which a supplier has so many of each length,
/// whatever else comes with them, each with its least price of goods.
pub fn by_count(
    lacking: &Lacking,
    supplier: usize,
    needed: &[(Length, u32)],
    most: u32,
) -> BTreeMap<u32, i64> {
    let rules = lacking.rules;
    let theirs = rules.offers(lacking.id, false).into_iter().filter(|place| {
        let id = &rules.shop.offers[*place].supplier;
        rules.shop.suppliers.keys().position(|other| other == id) == Some(supplier)
    });
    let none = (needed.iter().map(|(_, count)| *count).collect::<Vec<u32>>(), 0);
    let mut lacks = BTreeMap::from([(none, 0)]);
    for place in theirs {
        let choices: Vec<ByOffer> = [false, true]
            .into_iter()
            .filter_map(|halved| rules.kinds(place, halved))
            .flat_map(|kinds| by_offer(lacking, place, &kinds))
            .collect();
        let mut next: BTreeMap<(Vec<u32>, u32), i64> = BTreeMap::new();
        for (((left, come), cost), choice) in
            lacks.iter().flat_map(|one| choices.iter().map(move |choice| (one, choice)))
        {
            let (mut left, mut come) = (left.clone(), *come);
            for bought in &choice.bought {
                let pieces = bought.count * bought.kind.pieces;
                come += pieces;
                let at = needed.iter().position(|(length, _)| *length == bought.kind.piece);
                let Some(at) = at else { continue };
                left[at] = left[at].saturating_sub(pieces);
            }
            if come <= most {
                let cost = cost + choice.goods;
                let known = next.entry((left, come)).or_insert(cost);
                *known = (*known).min(cost);
            }
        }
        lacks = next;
    }
    let mut by_count: BTreeMap<u32, i64> = BTreeMap::new();
    for ((left, come), cost) in lacks {
        if left.iter().all(|n| *n == 0) {
            let known = by_count.entry(come).or_insert(cost);
            *known = (*known).min(cost);
        }
    }
    by_count
}

impl Purchase {
    /// In words, by the rows of `offers.csv`.
    pub fn words(&self, lacking: &Lacking) -> String {
        let word = |b: &Bought| {
            let row = lacking.rules.shop.offers[b.kind.offer].row;
            let halved = if b.kind.halved { " halved" } else { "" };
            format!("{} of row {row} {} mm{halved};", b.count, b.kind.stick.as_mm())
        };
        self.bought.iter().map(word).collect()
    }
}
