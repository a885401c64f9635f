//! What is used up, added again, and whether the proofs say so.

use std::collections::{BTreeMap, BTreeSet};

use super::Fault;
use super::facts::Facts;
use crate::measure::Worth;
use crate::plan::{Matching, Part, Proof};

/// What one moulding's part of the plan comes to.
#[derive(Default)]
struct Sum {
    used_up: Worth,
    sticks: u32,
}

pub(super) fn check(facts: &Facts, faults: &mut Vec<Fault>) {
    let mut sums = sums(facts);
    // What becomes of what is on order is no decision yet.
    sums.retain(|(part, _), _| *part != Part::Coming);
    if !facts.shop.offers.is_empty() {
        // The order is accounted for as a whole.
        sums.retain(|(part, _), _| *part == Part::Today);
    }
    let proofs = facts.plan.proof.iter().map(|proof| (proof.part, proof.moulding.as_str()));
    let said: BTreeSet<(Part, &str)> = proofs.chain(sums.keys().copied()).collect();
    for (part, moulding) in said {
        let about = |proof: &&Proof| proof.part == part && proof.moulding == moulding;
        let found: Vec<&Proof> = facts.plan.proof.iter().filter(about).collect();
        match (sums.get(&(part, moulding)), found.as_slice()) {
            (Some(sum), [proof]) => check_proof(facts, proof, sum, faults),
            // Nothing is cut of it, and it is said that this was not settled.
            (None, [proof]) if !proof.proven && proof.bound == Worth(0) => {
                check_proof(facts, proof, &Sum::default(), faults);
            }
            (_, found) => {
                let (moulding, found) = (moulding.to_owned(), found.len());
                faults.push(Fault::FalseProofs { moulding, part, found });
            }
        }
    }
    for matching in &facts.plan.matching {
        check_matching(facts, matching, sums.get(&(matching.part, &matching.moulding)), faults);
    }
}

fn sums<'a>(facts: &Facts<'a>) -> BTreeMap<(Part, &'a str), Sum> {
    let mut sums: BTreeMap<(Part, &str), Sum> = BTreeMap::new();
    for (part, stick) in facts.sticks() {
        let sum = sums.entry((part, stick.moulding.as_str())).or_default();
        let back: Worth = stick.between.iter().map(|left| left.worth).sum();
        sum.used_up += stick.worth - stick.left.worth - back;
        sum.sticks += 1;
    }
    sums
}

/// A proven part uses up what its bound says; an unproven one may as well,
/// since fewer sticks might do.
fn check_proof(facts: &Facts, proof: &Proof, sum: &Sum, faults: &mut Vec<Fault>) {
    let truths = [
        ("worth used up", proof.used_up == sum.used_up),
        ("number of sticks", proof.sticks == sum.sticks),
        ("bound", proof.bound <= proof.used_up),
        ("claim to be proven", !proof.proven || proof.bound == proof.used_up),
        ("unit", is_priced(facts, &proof.moulding) == Some(proof.priced)),
    ];
    for (what, _) in truths.into_iter().filter(|(_, is_true)| !is_true) {
        let (moulding, part) = (proof.moulding.clone(), proof.part);
        faults.push(Fault::FalseProof { moulding, part, what });
    }
}

fn check_matching(facts: &Facts, matching: &Matching, sum: Option<&Sum>, faults: &mut Vec<Fault>) {
    let same = |sum: &Sum| (sum.used_up, sum.sticks) == (matching.used_up, matching.sticks);
    let better =
        (matching.used_up, matching.sticks) < (matching.used_up_free, matching.sticks_free);
    let truths = [
        ("account of the sticks", sum.is_some_and(same)),
        ("claim to be proven", !matching.proven || !better),
        ("unit", is_priced(facts, &matching.moulding) == Some(matching.priced)),
    ];
    for (what, _) in truths.into_iter().filter(|(_, is_true)| !is_true) {
        let (moulding, part) = (matching.moulding.clone(), matching.part);
        faults.push(Fault::FalseMatching { moulding, part, what });
    }
}

fn is_priced(facts: &Facts, moulding: &str) -> Option<bool> {
    facts.shop.mouldings.get(moulding).map(|moulding| moulding.price.is_some())
}
