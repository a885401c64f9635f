//! What a plan leaves for the order: the layers that wait, by when they are
//! wanted, and the sticks that the rack has left.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use longpoint::measure::{Length, Money};
use longpoint::plan::Plan;
use longpoint::rails::frame_rails;
use longpoint::shop::{Form, Frame, Match, Moulding, Shop};

use super::rules::Rules;
use super::ways::{Lacking, Layer, Rack};

/// By when each copy that waits must be there.
pub type Days = BTreeMap<(String, u32), Option<Date>>;

/// The day on which a copy's moulding is all there, as a plan has it.
pub fn arrival(plan: &Plan, frame: &str, copy: u32) -> Date {
    let awaited = plan.order.awaited.iter().find(|a| (a.frame.as_str(), a.copy) == (frame, copy));
    awaited.and_then(|awaited| awaited.arrives).unwrap_or(plan.date)
}

/// When a frame's moulding is wanted: at once if it is rushed.
pub fn wanted(rules: &Rules, plan: &Plan, frame: &Frame) -> Option<Date> {
    if plan.wishes.rushes(frame) {
        return Some(plan.date);
    }
    frame.due.map(|due| rules.needed_by(due))
}

/// By when each copy must be there so that none is later than in the plan.
pub fn days(rules: &Rules, plan: &Plan) -> Days {
    let shop = rules.shop;
    let day = |frame: &Frame, copy: u32| {
        wanted(rules, plan, frame).map(|due| due.max(arrival(plan, &frame.id, copy)))
    };
    let waiting = plan.waiting.iter().map(|w| (shop.frame(&w.frame).unwrap(), w.copy));
    waiting.map(|(frame, copy)| ((frame.id.clone(), copy), day(frame, copy))).collect()
}

/// A stick or offcut that is on the rack when today is cut.
pub struct Left {
    pub id: String,
    pub length: Length,
    pub lot: String,
    pub is_sound: bool,
}

/// What today leaves of a moulding: what it does not cut, and the offcuts of what
/// it does. None of these shops has a flaw on a stick that is cut.
pub fn evening(shop: &Shop, plan: &Plan, moulding: &str) -> Vec<Left> {
    let gone: BTreeSet<&str> = plan.today.iter().map(|stick| stick.stick.as_str()).collect();
    let rack = shop.rack.iter().filter(|s| s.moulding == moulding && !gone.contains(&s.id[..]));
    let rack = rack.map(|stick| Left {
        id: stick.id.clone(),
        length: stick.length,
        lot: stick.lot.clone(),
        is_sound: stick.flaws.is_empty(),
    });
    let cut = plan.today.iter().filter(|stick| stick.moulding == moulding);
    let offcuts = cut.flat_map(|stick| {
        assert!(stick.flaws.is_empty());
        let left = stick.between.iter().chain([&stick.left]).filter(|left| left.keep);
        left.map(|left| Left {
            id: left.label.clone(),
            length: left.length,
            lot: stick.lot.clone(),
            is_sound: true,
        })
    });
    rack.chain(offcuts).collect()
}

/// What is lacking of each moulding: what waits for it, and what the rack is to
/// be filled up with.
pub fn lacking<'a>(rules: &'a Rules<'a>, plan: &Plan, days: &Days) -> Vec<Lacking<'a>> {
    let shop = rules.shop;
    let always = shop.settings.buying.restock == longpoint::shop::Restock::Always;
    let of = |id: &String| -> Vec<Layer> {
        days.iter().flat_map(|(copy, by)| layers(rules, id, &copy.0, *by)).collect()
    };
    let is_wanted =
        |(id, moulding): &(&String, &Moulding)| moulding.keep_on_rack > 0 || !of(id).is_empty();
    let wanted: BTreeSet<&String> =
        shop.mouldings.iter().filter(is_wanted).map(|(id, _)| id).collect();
    let mut all = Vec::new();
    for (id, moulding) in &shop.mouldings {
        let layers = of(id);
        if layers.is_empty() && moulding.keep_on_rack == 0 && !fills_up(shop, id, &wanted) {
            continue;
        }
        let left = evening(shop, plan, id).into_iter();
        let rack = left.map(|stick| Rack {
            length: stick.length,
            lot: stick.lot,
            can_be_whole: stick.is_sound,
        });
        all.push(Lacking { rules, id, layers, rack: rack.collect(), always });
    }
    all
}

/// Whether a moulding that nobody waits for may be bought: the shop uses it, and somebody
/// sells it from whom something that is wanted may come, who charges less beside the goods for
/// more. None of these shops has more than the twelve that there may be.
fn fills_up(shop: &Shop, id: &str, wanted: &BTreeSet<&String>) -> bool {
    let monthly = u64::from(shop.mouldings[id].monthly.unwrap_or(0));
    let is_used = monthly * u64::from(shop.settings.buying.cover_months) >= 1_000_000;
    let charges_less = |id: &String| {
        let supplier = &shop.suppliers[id];
        let steps = || supplier.freight.iter().map(|step| step.from);
        let small = supplier.small.map(|small| small.below);
        let bends: BTreeSet<Money> = steps().chain(small).chain([Money(0)]).collect();
        let beside = |at: &Money| {
            let carriage = supplier.freight.iter().rfind(|step| step.from <= *at);
            let small = supplier.small.filter(|small| *at < small.below);
            carriage.map_or(0, |step| step.charge.0) + small.map_or(0, |small| small.charge.0)
        };
        let beside: Vec<i64> = bends.iter().map(beside).collect();
        supplier.minimum.0 > 0 || beside.windows(2).any(|pair| pair[1] < pair[0])
    };
    let may_come = |supplier: &String| {
        let mut offers = shop.offers.iter();
        offers.any(|offer| offer.supplier == *supplier && wanted.contains(&offer.moulding))
    };
    let mut offers = shop.offers.iter().filter(|offer| offer.moulding == id);
    is_used
        && offers.any(|offer| {
            let is_chop = matches!(offer.form, Form::Chop { .. });
            !is_chop && may_come(&offer.supplier) && charges_less(&offer.supplier)
        })
}

/// The layers of a frame that are of a moulding.
fn layers(rules: &Rules, id: &str, frame: &str, by: Option<Date>) -> Vec<Layer> {
    let shop = rules.shop;
    let frame = shop.frame(frame).unwrap();
    let cutter = shop.cutter_of(rules.moulding(id));
    let joint = {
        let dust = Length::from_nm(cutter.kerf.nm() * i64::from(cutter.passes));
        frame.mitre.over_cos_up(dust) + cutter.nick
    };
    let mut found = Vec::new();
    for (layer, rails) in frame.layers.iter().zip(frame_rails(shop, frame)) {
        if layer.moulding != id {
            continue;
        }
        let rails: Vec<Length> = rails.rails.iter().map(|rail| rail.long_point).collect();
        let together = match layer.match_ {
            Match::Any | Match::Lot => 1,
            Match::Halves => 2,
            Match::Stick | Match::Wrap => rails.len(),
        };
        let block = |rails: &[Length]| {
            let joints = i64::try_from(rails.len()).unwrap() - 1;
            rails.iter().copied().sum::<Length>() + joint * joints
        };
        found.push(Layer {
            blocks: rails.chunks(together).map(block).collect(),
            one_lot: matches!(layer.match_, Match::Lot | Match::Halves),
            can_be_chopped: matches!(layer.match_, Match::Any | Match::Lot),
            can_be_cut: rails.iter().all(|rail| *rail >= cutter.shortest),
            by,
            rails,
        });
    }
    found
}
