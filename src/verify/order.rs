//! The order is for the new sticks, and costs what they cost.

use std::collections::{BTreeMap, BTreeSet};

use super::facts::Facts;
use super::{Fault, truth};
use crate::measure::{Length, Worth};
use crate::plan::OrderLine;

pub(super) fn check(facts: &Facts, faults: &mut Vec<Fault>) {
    let mut new: BTreeMap<(&str, Length), u32> = BTreeMap::new();
    for (_, stick) in facts.sticks().filter(|(_, stick)| stick.is_new) {
        *new.entry((stick.moulding.as_str(), stick.length)).or_default() += 1;
    }
    let mut ordered: BTreeMap<(&str, Length), u32> = BTreeMap::new();
    for line in &facts.plan.order.lines {
        *ordered.entry((line.moulding.as_str(), line.length)).or_default() += line.count;
        cost(facts, line, faults);
    }
    let kinds: BTreeSet<_> = new.keys().chain(ordered.keys()).copied().collect();
    for kind in kinds {
        let count = |of: &BTreeMap<_, u32>| of.get(&kind).copied().unwrap_or(0);
        let (found, right) = (count(&ordered), count(&new));
        if found != right {
            faults.push(Fault::FalseCount { moulding: kind.0.to_owned(), found, right });
        }
    }
}

/// Where no supplier is chosen, a line costs the moulding's own price.
fn cost(facts: &Facts, line: &OrderLine, faults: &mut Vec<Fault>) {
    let moulding = facts.shop.mouldings.get(&line.moulding);
    if !line.supplier.is_empty() || line.form != "length" {
        return;
    }
    let right = moulding.filter(|moulding| moulding.price.is_some()).map(|moulding| {
        let each = truth::price(moulding, line.length);
        (0..line.count).map(|_| each).sum::<Worth>().to_money()
    });
    if line.cost != right {
        faults.push(Fault::FalseCost { moulding: line.moulding.clone() });
    }
}
