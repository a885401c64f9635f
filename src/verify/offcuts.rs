//! What is said of the offcuts on the rack is so.

use std::collections::{BTreeMap, BTreeSet};

use super::Fault;
use super::facts::Facts;
use crate::measure::Worth;
use crate::plan::Part;

pub(super) fn check(facts: &Facts, faults: &mut Vec<Fault>) {
    let taken: BTreeSet<&str> = facts.sticks().map(|(_, stick)| stick.stick.as_str()).collect();
    let mut idle: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for stick in &facts.shop.rack {
        let Some(moulding) = facts.shop.mouldings.get(&stick.moulding) else { continue };
        if stick.length < moulding.stick {
            let of = idle.entry(&moulding.id).or_default();
            of.extend((!taken.contains(stick.id.as_str())).then_some(stick.id.as_str()));
        }
    }
    let said: Vec<&str> = facts.plan.offcuts.iter().map(|use_| use_.moulding.as_str()).collect();
    if said != idle.keys().copied().collect::<Vec<&str>>() {
        faults.push(Fault::FalseOffcuts { moulding: said.join(", "), what: "list" });
    }
    for use_ in &facts.plan.offcuts {
        let moulding = use_.moulding.as_str();
        let part_used = facts.sticks().any(|(part, stick)| {
            let usual = facts.shop.mouldings.get(&stick.moulding).map(|moulding| moulding.stick);
            part == Part::Today && stick.moulding == moulding && Some(stick.length) < usual
        });
        let priced = facts.shop.mouldings.get(moulding).map(|moulding| moulding.price.is_some());
        let truths = [
            ("list", idle.get(moulding).is_some_and(|idle| *idle == use_.idle)),
            ("saving", use_.saved == Worth(0) || use_.saved > Worth(0) && part_used),
            ("unit", priced == Some(use_.priced)),
        ];
        for (what, _) in truths.into_iter().filter(|(_, is_true)| !is_true) {
            faults.push(Fault::FalseOffcuts { moulding: moulding.to_owned(), what });
        }
    }
}
