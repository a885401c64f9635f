//! The jobs of a plan: those whose frames are cut today.

use std::collections::{BTreeMap, BTreeSet};

use crate::plan::Plan;
use crate::shop::Shop;
use crate::ticket::{JobSheet, job_sheets};

/// Their sheets, in the order of the pile, each for the copies that are cut today.
///
/// # Errors
/// What the check of jobs finds wrong: a mistake of the program. The writers of a plan
/// then leave its jobs out.
pub fn jobs_today(plan: &Plan, shop: &Shop) -> Result<Vec<JobSheet>, Vec<String>> {
    let rails = plan.today.iter().flat_map(|stick| &stick.rails);
    let rails = rails.map(|rail| (rail.frame.as_str(), rail.copy));
    let spare = plan.spares_today().map(|of| (of.frame.as_str(), of.copy));
    let mut copies: BTreeMap<&str, BTreeSet<u32>> = BTreeMap::new();
    for (frame, copy) in rails.chain(spare) {
        copies.entry(frame).or_default().insert(copy);
    }
    let cut = shop.frames.iter().filter_map(|frame| {
        let copies = copies.get(frame.id.as_str())?.len();
        Some((frame, u32::try_from(copies).unwrap_or(u32::MAX)))
    });
    job_sheets(shop, cut, plan.date)
}
