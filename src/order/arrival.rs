//! When things arrive: by when each waiting frame must have its moulding, and
//! when it will.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::Buyer;
use super::chops::chop_lots;
use super::finish::Detail;
use super::packer::WORK;
use super::wants::{WantedLayer, Wants};
use crate::buy::{Way, goods_of};
use crate::measure::{Money, Worth};
use crate::plan::{Awaited, CutStick, Order};
use crate::planner::feasible::bench;
use crate::planner::lots::Placed;
use crate::planner::offered::{chops, supplies};
use crate::planner::packing::{Counts, Packed, Packing, Sufficiency};
use crate::planner::work::ClassLayer;
use crate::shop::Shop;

/// By when the moulding of each task must arrive: on its day, one task after the
/// other in the order of their dates, so that none takes from the rack what one
/// before it needs.
pub(super) fn latest(
    buyer: &Buyer,
    tasks: &[usize],
    left: &BTreeMap<String, Vec<Placed>>,
) -> BTreeMap<usize, Option<Date>> {
    let work = buyer.work;
    let mut packings: BTreeMap<String, Packing> = BTreeMap::new();
    let mut held: BTreeMap<String, Counts> = BTreeMap::new();
    // What there is no room for; nor is there for anything more.
    let mut lacking: BTreeMap<String, Vec<Counts>> = BTreeMap::new();
    let mut latest = BTreeMap::new();
    let mut tasks = tasks.to_vec();
    tasks.sort_by_key(|task| work.tasks[*task].urgency());
    for task in tasks {
        let with = |held: &BTreeMap<String, Counts>, need: &[ClassLayer]| {
            let mut all = held.clone();
            for layer in need {
                let counts = all.entry(layer.moulding.clone()).or_default();
                *counts.entry(layer.ask).or_default() += 1;
            }
            all
        };
        let has_room = |need: &[ClassLayer], _| {
            let all = with(&held, need);
            need.iter().all(|layer| {
                let id = &layer.moulding;
                let packing = packings.entry(id.clone()).or_insert_with(|| {
                    let bench = bench(buyer.shop, buyer.shop.moulding(id));
                    let rack = left.get(id).cloned().unwrap_or_default();
                    let effort = buyer.effort.at_most(WORK);
                    Packing::new(bench, &work.asks[id], rack, effort)
                });
                let lacking = lacking.entry(id.clone()).or_default();
                if lacking.iter().any(|less| is_among(less, &all[id])) {
                    return false;
                }
                let room = packing.room(&all[id]);
                if room == Sufficiency::Lacking {
                    lacking.push(all[id].clone());
                }
                room == Sufficiency::Ample
            })
        };
        let day = buyer.elsewhere.day(work, task, has_room);
        held = with(&held, &day.need);
        latest.insert(task, day.by);
    }
    latest
}

/// Whether the others are these and maybe more.
fn is_among(these: &Counts, others: &Counts) -> bool {
    these.iter().all(|(ask, count)| others.get(ask).is_some_and(|all| count <= all))
}

/// The first day on which the moulding of each task can be there; `None` if all
/// of it is at hand.
pub(super) fn earliest(
    buyer: &Buyer,
    tasks: &[usize],
    left: &BTreeMap<String, Vec<Placed>>,
) -> BTreeMap<usize, Option<Date>> {
    let mut counts: BTreeMap<&str, Counts> = BTreeMap::new();
    for task in tasks {
        for layer in &buyer.work.classes[buyer.work.tasks[*task].class].layers {
            *counts.entry(&layer.moulding).or_default().entry(layer.ask).or_default() += 1;
        }
    }
    let mut known: BTreeMap<(&str, usize), Option<Date>> = BTreeMap::new();
    for (id, counts) in &counts {
        let asks = &buyer.work.asks[*id];
        let bench = bench(buyer.shop, buyer.shop.moulding(id));
        let rack = left.get(*id).cloned().unwrap_or_default();
        let mut packing = Packing::new(bench, asks, rack, buyer.effort.at_most(WORK));
        let at_hand = matches!(packing.glance(counts), Packed::Fits(_));
        let (supplies, chops) =
            (supplies(buyer.shop, id, buyer.date), chops(buyer.shop, id, buyer.date));
        for ask in counts.keys() {
            let sticks = supplies.iter().filter(|supply| {
                let lengths = supply.pieces.iter().map(|piece| piece.length);
                buyer.feasible.fits_lengths(id, &asks[*ask], &lengths.collect::<Vec<_>>())
            });
            let chopped = chops.iter().filter(|chops| chops.can_cut(&asks[*ask]));
            let arrives = sticks.map(|s| s.arrives).chain(chopped.map(|c| c.arrives)).min();
            known.insert((id, *ask), if at_hand { None } else { arrives });
        }
    }
    let of = |&task: &usize| {
        let class = &buyer.work.classes[buyer.work.tasks[task].class];
        let layers = class.layers.iter().map(|l| known[&(l.moulding.as_str(), l.ask)]);
        (task, layers.flatten().max())
    };
    tasks.iter().map(of).collect()
}

/// When each waiting frame's moulding arrives, and what it costs.
pub(super) fn awaited(
    buyer: &Buyer,
    tasks: &[usize],
    chosen: &[(&Wants, &Way, &Detail)],
    order: &Order,
    earliest: &BTreeMap<usize, Option<Date>>,
) -> Vec<Awaited> {
    let (work, shop) = (buyer.work, buyer.shop);
    let mut arrives: BTreeMap<(&str, u32), Date> = BTreeMap::new();
    let mut arrive = |frame, supplier: &str| {
        let Some(day) = shop.suppliers.get(supplier).and_then(|s| s.arrives(buyer.date)) else {
            return;
        };
        let known = arrives.entry(frame).or_insert(day);
        *known = (*known).max(day);
    };
    for stick in order.sticks.iter().filter(|stick| stick.is_new) {
        for rail in &stick.rails {
            arrive((rail.frame.as_str(), rail.copy), &stick.supplier);
        }
    }
    for chopped in &order.chops {
        arrive((chopped.frame.as_str(), chopped.copy), &chopped.supplier);
    }
    let mut costs: BTreeMap<usize, i64> = BTreeMap::new();
    for (wants, way, detail) in chosen {
        let mut chopped = Money(0);
        for (offer, layers) in &detail.chopped {
            let offer = &shop.offers[*offer];
            let cost = goods_of(offer, &chop_lots(wants, offer, layers));
            share(&mut costs, wants, layers, cost.0);
            chopped = chopped + cost;
        }
        let cut: Vec<WantedLayer> = detail.phases.iter().flat_map(|p| p.layers.clone()).collect();
        share(&mut costs, wants, &cut, Worth(way.cost()).to_money().0 - chopped.0);
    }
    let of = |&task: &usize| {
        let frame = &shop.frames[work.tasks[task].frame].id;
        let copy = work.tasks[task].copy;
        let ordered = arrives.get(&(frame.as_str(), copy)).copied();
        let arrives = ordered.max(last_of(shop, order, (frame, copy)));
        Awaited {
            arrives,
            // Where the rack helps out, it may be earlier than suppliers alone can.
            earliest: earliest[&task].zip(arrives).map(|(one, other)| one.min(other)),
            cost: Money(costs.get(&task).copied().unwrap_or(0)),
            frame: frame.clone(),
            copy,
        }
    };
    tasks.iter().map(of).collect()
}

/// Shares a sum out over layers by their rails, to the last minor unit.
fn share(costs: &mut BTreeMap<usize, i64>, wants: &Wants, layers: &[WantedLayer], sum: i64) {
    let all: i128 = layers.iter().map(|layer| i128::from(wants.perimeter(layer).nm())).sum();
    let (mut before, mut given) = (0_i128, 0_i64);
    for layer in layers {
        before += i128::from(wants.perimeter(layer).nm());
        let so_far = i128::from(sum) * before / all.max(1);
        let so_far = i64::try_from(so_far).unwrap_or(sum);
        *costs.entry(layer.task).or_default() += so_far - given;
        given = so_far;
    }
}

/// When the last of what is on order for a frame copy should come, as far as
/// that is known.
pub fn last_of(shop: &Shop, order: &Order, (frame, copy): (&str, u32)) -> Option<Date> {
    let own = |stick: &&CutStick| stick.rails.iter().any(|r| r.frame == frame && r.copy == copy);
    let laid: Vec<&CutStick> = order.all_sticks().filter(own).collect();
    let sticks = laid.iter().filter_map(|stick| shop.coming_stick(&stick.stick)?.arrives);
    let frame = shop.frame(frame);
    let chops = frame.into_iter().flat_map(|frame| frame.coming(copy));
    // What was ordered for, and is not laid out here, has the last of what could be for it.
    let ordered = frame.filter(|of| laid.is_empty() && of.progress.ordered.contains(&copy));
    let layers = ordered.map(|of| of.to_cut(copy).into_iter().map(|layer| &of.layers[layer - 1]));
    let mouldings: BTreeSet<&str> =
        layers.into_iter().flatten().map(|layer| layer.moulding.as_str()).collect();
    let last = shop.coming.iter().filter(|on| mouldings.contains(on.stick.moulding.as_str()));
    let last = last.filter_map(|coming| coming.arrives);
    sticks.chain(chops.filter_map(|(.., arrives)| arrives)).chain(last).max()
}
