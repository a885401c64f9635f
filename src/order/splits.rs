//! Which layers are had chopped and which are cut here: every way to split them.

use std::collections::BTreeSet;

use super::chops::chop_goods;
use super::rates::Rates;
use super::wants::{WantedLayer, Wants};
use crate::measure::{Money, Worth};
use crate::planner::offered::Chops;

/// More ways to split the layers of a moulding than this are not listed: twelve
/// frames, all different.
const MOST: usize = 1 << 12;

/// Of more ways so many are.
const LIKELIEST: usize = 64;

/// More ways to split them over several offers of chops than this are not.
const MOST_MIXED: usize = 256;

/// A split: what is chopped by the supplier, and what is cut here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Split {
    /// The places of the chops in the list of what is on offer, and their layers.
    pub chopped: Vec<(usize, Vec<WantedLayer>)>,
    pub cut: Vec<WantedLayer>,
}

/// The splits of what waits for a moulding.
#[derive(Default)]
pub(super) struct Splits {
    /// All of them, or the likeliest.
    pub all: Vec<Split>,
    /// Whether some are not.
    pub lacking: bool,
}

/// Every split, as far as they are not too many.
///
/// Of layers that are alike the most urgent are chopped first, as far as the
/// chops arrive in time for them.
pub(super) fn splits(wants: &Wants, rates: Option<&Rates>) -> Splits {
    let mut splits = Splits::default();
    if wants.layers.iter().all(|layer| !layer.chop_only) {
        splits.all.push(Split { chopped: Vec::new(), cut: wants.layers.clone() });
    }
    for place in 0..wants.chops.len() {
        with(wants, place, rates, &mut splits);
    }
    if wants.chops.len() > 1 {
        let (mut more, all) = mixed(wants);
        splits.lacking |= !all;
        splits.all.append(&mut more);
    }
    splits
}

/// The splits with something chopped by each of several offers.
fn mixed(wants: &Wants) -> (Vec<Split>, bool) {
    let mut splits = vec![Split { chopped: Vec::new(), cut: Vec::new() }];
    for layers in Wants::by_ask(&wants.layers).into_values() {
        let options = shared(wants, &layers);
        let join = |split: &Split| -> Vec<Split> {
            let with = |option: &Split| Split {
                chopped: [split.chopped.clone(), option.chopped.clone()].concat(),
                cut: [split.cut.clone(), option.cut.clone()].concat(),
            };
            options.iter().map(with).collect()
        };
        splits = splits.iter().flat_map(join).collect();
        if splits.len() > MOST_MIXED {
            return (Vec::new(), false);
        }
    }
    (splits.into_iter().filter_map(gathered).collect(), true)
}

/// Every way to share layers that are alike out over the offers of chops and the
/// bench. Each offer in turn, the fastest first, takes the most urgent that are
/// left and suit it.
fn shared(wants: &Wants, layers: &[WantedLayer]) -> Vec<Split> {
    let mut offers: Vec<usize> = (0..wants.chops.len()).collect();
    offers.sort_by_key(|&place| (wants.chops[place].arrives, place));
    let mut shares = vec![Split { chopped: Vec::new(), cut: layers.to_vec() }];
    for place in offers {
        let wider = |split: &Split| -> Vec<Split> {
            let (can, cannot): (Vec<WantedLayer>, Vec<WantedLayer>) =
                split.cut.iter().partition(|layer| suits(wants, &wants.chops[place], layer));
            let take = |count: usize| Split {
                chopped: [split.chopped.clone(), vec![(place, can[..count].to_vec())]].concat(),
                cut: [&can[count..], &cannot].concat(),
            };
            (0..=can.len()).map(take).collect()
        };
        shares = shares.iter().flat_map(wider).collect();
    }
    shares.retain(|split| split.cut.iter().all(|layer| !layer.chop_only));
    shares
}

/// The chops of each offer together; `None` unless there are several offers.
fn gathered(split: Split) -> Option<Split> {
    let offers: BTreeSet<usize> =
        split.chopped.iter().filter(|(_, of)| !of.is_empty()).map(|(place, _)| *place).collect();
    let of = |place: usize| {
        let of = split.chopped.iter().filter(|(other, _)| *other == place);
        (place, of.flat_map(|(_, layers)| layers).copied().collect())
    };
    let chopped: Vec<(usize, Vec<WantedLayer>)> = offers.into_iter().map(of).collect();
    (chopped.len() > 1).then_some(Split { chopped, cut: split.cut })
}

/// Adds the splits with something chopped by one offer.
fn with(wants: &Wants, place: usize, rates: Option<&Rates>, splits: &mut Splits) {
    let chops = &wants.chops[place];
    // For each ask what must be chopped, what may be, and what may not.
    let mut pools: Vec<(Vec<WantedLayer>, Vec<WantedLayer>)> = Vec::new();
    let mut cut: Vec<WantedLayer> = Vec::new();
    for layers in Wants::by_ask(&wants.layers).into_values() {
        let (can, cannot): (Vec<WantedLayer>, Vec<WantedLayer>) =
            layers.into_iter().partition(|layer| suits(wants, chops, layer));
        if cannot.iter().any(|layer| layer.chop_only) {
            return;
        }
        cut.extend(cannot);
        pools.push(can.into_iter().partition(|layer| layer.chop_only));
    }
    let ways = pools.iter().map(|(_, may)| may.len() + 1).try_fold(1_usize, usize::checked_mul);
    let takes = match ways {
        Some(ways) if ways <= MOST => every(&pools),
        _ => {
            splits.lacking = true;
            likeliest(wants, place, rates, &pools)
        }
    };
    let split = |take: Vec<usize>| {
        let (mut chopped, mut cut) = (Vec::new(), cut.clone());
        for ((must, may), take) in pools.iter().zip(take) {
            chopped.extend(must.iter().chain(&may[..take]).copied());
            cut.extend(&may[take..]);
        }
        (!chopped.is_empty()).then_some(Split { chopped: vec![(place, chopped)], cut })
    };
    splits.all.extend(takes.into_iter().filter_map(split));
}

/// Whether a layer can be had chopped, in time.
fn suits(wants: &Wants, chops: &Chops, layer: &WantedLayer) -> bool {
    layer.by.is_none_or(|by| chops.arrives <= by) && chops.can_cut(&wants.asks[layer.ask])
}

/// How many of each pool: every combination.
fn every(pools: &[(Vec<WantedLayer>, Vec<WantedLayer>)]) -> Vec<Vec<usize>> {
    let mut takes: Vec<Vec<usize>> = vec![Vec::new()];
    for (_, may) in pools {
        let extend = |take: &Vec<usize>| -> Vec<Vec<usize>> {
            (0..=may.len()).map(|more| [take.clone(), vec![more]].concat()).collect()
        };
        takes = takes.iter().flat_map(extend).collect();
    }
    takes
}

/// One layer more at a time: first what costs the least chopped beside what it
/// uses up when it is cut here. Where that is not known, the longest rails first:
/// they leave most waste, and the least length billed matters least for them.
fn likeliest(
    wants: &Wants,
    chops: usize,
    rates: Option<&Rates>,
    pools: &[(Vec<WantedLayer>, Vec<WantedLayer>)],
) -> Vec<Vec<usize>> {
    let mut order: Vec<(i64, i64, usize)> = Vec::new();
    for (place, (_, may)) in pools.iter().enumerate() {
        // All of a pool ask the same.
        let Some(layer) = may.first() else { continue };
        let dearer = rates.map_or(0, |rates| {
            let alone = Split { chopped: vec![(chops, vec![*layer])], cut: Vec::new() };
            let goods: i64 = chop_goods(wants, &alone).iter().map(|goods| goods.cost).sum();
            Worth::from(Money(goods)).0 - rates.worth(layer)
        });
        order.extend(may.iter().map(|_| (dearer, -wants.perimeter(layer).nm(), place)));
    }
    order.sort_unstable();
    let mut take = vec![0; pools.len()];
    let mut takes = vec![take.clone()];
    for (_, _, place) in order {
        take[place] += 1;
        takes.push(take.clone());
    }
    // All at once is looked at, whatever else is left out.
    let last = takes.pop();
    takes.truncate(LIKELIEST - 1);
    takes.extend(last);
    takes
}
