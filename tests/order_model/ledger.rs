//! What a plan's own order comes to, added up from its lines and sticks.

use std::collections::{BTreeMap, BTreeSet};

use longpoint::measure::Length;
use longpoint::plan::{OrderLine, Plan};
use longpoint::shop::{Form, Restock, Supplier};

use super::figures::in_minor_units;
use super::rules::{FINE, Rules};
use super::waiting::evening;

/// What an order comes to, piece by piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sum {
    /// What is paid, in minor units; `None` where a supplier takes no such order.
    pub paid: Option<i64>,
    /// All of it, in thousandths.
    pub net: i64,
    /// What sticks beyond need cost, in minor units.
    pub beyond: i64,
    /// The mouldings of which too few whole sticks are there afterwards.
    pub lacking: Vec<String>,
}

pub fn sum(rules: &Rules, plan: &Plan) -> Sum {
    let paid = paid(rules, plan, Rules::bill);
    // Who is asked, and takes it, is paid what it comes to and nothing up to their minimum.
    let if_asked = paid.or_else(|| self::paid(rules, plan, Rules::bill_if_asked));
    let mut net = if_asked.unwrap_or(0) * FINE;
    for stick in &plan.order.sticks {
        let left = stick.between.iter().chain([&stick.left]);
        net -= left.map(|left| rules.worth(&stick.moulding, left.length)).sum::<i64>();
        if !stick.is_new {
            net += rules.worth(&stick.moulding, stick.length);
        }
    }
    let (mut beyond, mut lacking) = (0, Vec::new());
    for id in rules.shop.mouldings.keys() {
        let kept = uncut(rules, plan, id);
        net -= kept.0;
        beyond += kept.1;
        if kept.2 {
            lacking.push(id.clone());
        }
    }
    Sum { paid, net, beyond, lacking }
}

/// What a supplier charges for goods of this price, in a parcel that is long or not.
type Billed<'a> = fn(&Rules<'a>, &Supplier, i64, bool) -> Option<i64>;

fn paid<'a>(rules: &Rules<'a>, plan: &Plan, billed: Billed<'a>) -> Option<i64> {
    let mut lines: BTreeMap<u64, Vec<&OrderLine>> = BTreeMap::new();
    for line in &plan.order.lines {
        lines.entry(line.offer.unwrap()).or_default().push(line);
    }
    let mut goods: BTreeMap<&str, (i64, bool)> = BTreeMap::new();
    for (row, lines) in lines {
        let place = rules.shop.offers.iter().position(|offer| offer.row == row).unwrap();
        let offer = &rules.shop.offers[place];
        let lots: Vec<_> = lines.iter().map(|line| (line.length, line.count)).collect();
        let (cost, long) = goods.entry(&offer.supplier).or_default();
        *cost += rules.goods(place, &lots).0;
        if let Form::Chop { fee, .. } = offer.form {
            *cost += lots.iter().map(|(_, count)| fee.0 * i64::from(*count)).sum::<i64>();
            let over = rules.supplier(offer).long.map(|long| long.over);
            let mut rails = lines.iter().flat_map(|line| &line.rails);
            *long |= over.is_some_and(|over| rails.any(|rail| *rail > over));
        } else {
            for line in lines {
                let kinds = rules.kinds(place, line.halved).unwrap();
                *long |= kinds.iter().any(|kind| kind.stick == line.length && kind.long);
            }
        }
    }
    let bill = |(id, (goods, long)): (&&str, &(i64, bool))| {
        billed(rules, &rules.shop.suppliers[*id], *goods, *long)
    };
    goods.iter().map(bill).sum()
}

/// What is left uncut of a moulding counts; what of it is beyond need cost; and
/// whether the rack lacks whole sticks.
fn uncut(rules: &Rules, plan: &Plan, id: &str) -> (i64, i64, bool) {
    let cut: BTreeSet<&str> = plan.order.sticks.iter().map(|s| s.stick.as_str()).collect();
    let evening = evening(rules.shop, plan, id);
    let rack = evening.iter().filter(|stick| !cut.contains(stick.id.as_str()));
    let mut uncut: Vec<(Length, i64, i64, bool)> =
        rack.map(|s| (s.length, 0, rules.worth(id, s.length), s.is_sound)).collect();
    for line in plan.order.lines.iter().filter(|l| l.moulding == id && l.form != "chop") {
        let place = rules.shop.offers.iter().position(|o| Some(o.row) == line.offer).unwrap();
        let of = plan.order.lines.iter().filter(|other| other.offer == line.offer);
        let lots: Vec<_> = of.map(|line| (line.length, line.count)).collect();
        let price = rules.goods(place, &lots).1;
        let kinds = rules.kinds(place, line.halved).unwrap();
        let kind = kinds.into_iter().find(|kind| kind.stick == line.length).unwrap();
        let cost = rules.piece_price(&kind, price);
        for _ in line.cut..line.pieces {
            uncut.push((kind.piece, cost, 0, !kind.halved));
        }
    }
    let before = evening.iter().filter(|s| s.is_sound).map(|s| s.length);
    let before = rules.bonus(id, before.collect());
    let keep = usize::try_from(rules.moulding(id).keep_on_rack).unwrap();
    uncut.sort_unstable_by_key(|(length, cost, ..)| std::cmp::Reverse((*length, *cost)));
    let (mut credit, mut beyond, mut whole) = (-before, Vec::new(), 0);
    for (length, cost, before, may) in uncut {
        if may && length >= rules.whole_from(id) && whole < keep {
            whole += 1;
            credit += rules.whole(id, length) - before;
        } else {
            beyond.push(cost);
            credit += rules.worth(id, length) - before;
        }
    }
    let always = rules.shop.settings.buying.restock == Restock::Always;
    (credit, in_minor_units(beyond), always && whole < keep && !rules.offers(id, false).is_empty())
}
