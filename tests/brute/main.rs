//! Whole plans of two thousand tiny shops against trying everything. Nothing
//! here is shared with the planner but the shop, its rails and the plan.

#[path = "../support/numbers.rs"]
mod numbers;
#[path = "../support/mod.rs"]
mod support;

mod bench;
mod search;
mod shops;

use std::collections::BTreeSet;

use longpoint::measure::Worth;
use longpoint::plan::{HoldReason, Part, Plan, Warning, plan, verify};
use longpoint::shop::{Match, Shop};

use search::{Best, Job, Settled, best, dates, settle};

/// How many shops are tried.
const SHOPS: u64 = 2_000;

#[test]
fn plans_are_as_good_as_any_way_to_cut() {
    let mut proven = 0;
    for seed in 0..SHOPS {
        let shop = shops::shop(seed);
        let plan = plan(&shop, support::MORNING, support::LIMITS);
        let faults = judge(&shop, &plan);
        assert!(faults.is_empty(), "shop {seed}: {faults:#?}\n{shop:#?}\n{plan:#?}");
        proven += u64::from(plan.proof.iter().all(|proof| proof.proven));
    }
    assert!(proven * 100 >= SHOPS * 95, "only {proven} of {SHOPS} plans are proven");
}

/// Everything that a plan gets wrong or misses.
fn judge(shop: &Shop, plan: &Plan) -> Vec<String> {
    let mut faults: Vec<String> = match verify(shop, plan) {
        Ok(()) => Vec::new(),
        Err(faults) => faults.iter().map(ToString::to_string).collect(),
    };
    let settled: Vec<Settled> = shop.frames.iter().map(|frame| settle(shop, frame)).collect();
    faults.extend(possible(shop, plan, &settled));
    let all = jobs(shop, &settled, |_, _| true);
    let today = best(shop, &all, &BTreeSet::new(), false);
    faults.extend(compare(shop, plan, Part::Today, &today));
    let taken: BTreeSet<String> = plan.today.iter().map(|stick| stick.stick.clone()).collect();
    let left = jobs(shop, &settled, |frame, copy| !is_cut(plan, Part::Today, frame, copy));
    let order = best(shop, &left, &taken, true);
    faults.extend(compare(shop, plan, Part::Order, &order));
    faults
}

/// The frames that can be made, with those of their copies that are `wanted`.
fn jobs<'a>(
    shop: &'a Shop,
    settled: &[Settled],
    wanted: impl Fn(&str, u32) -> bool,
) -> Vec<Job<'a>> {
    let jobs = shop.frames.iter().zip(settled).filter_map(|(frame, matches)| {
        let copies = (1..=frame.copies).filter(|copy| wanted(&frame.id, *copy)).count();
        let copies = u8::try_from(copies).unwrap();
        matches.clone().map(|matches| Job { frame, matches, copies })
    });
    jobs.filter(|job| job.copies > 0).collect()
}

fn is_cut(plan: &Plan, part: Part, frame: &str, copy: u32) -> bool {
    let sticks = match part {
        Part::Today => &plan.today,
        Part::Order => &plan.order.sticks,
    };
    sticks
        .iter()
        .flat_map(|stick| &stick.rails)
        .any(|r| (r.frame.as_str(), r.copy) == (frame, copy))
}

/// The plan holds what is impossible and relaxes what must be, and nothing else.
fn possible(shop: &Shop, plan: &Plan, settled: &[Settled]) -> Vec<String> {
    let mut faults = Vec::new();
    for (frame, settled) in shop.frames.iter().zip(settled) {
        let held = plan.held.iter().any(|held| {
            held.frame == frame.id && !matches!(held.reason, HoldReason::StickTaken { .. })
        });
        if held != settled.is_none() {
            faults.push(format!("{} is held: {held}, possible: {settled:?}", frame.id));
        }
        for (index, given) in settled.iter().flatten().enumerate() {
            let said = plan.warnings.iter().find_map(|warning| match warning {
                Warning::Relaxed { frame: id, layer, given, .. }
                    if *id == frame.id && *layer == index + 1 =>
                {
                    Some(*given)
                }
                _ => None,
            });
            let said: Match = said.unwrap_or(frame.layers[index].match_);
            if said != *given {
                faults.push(format!("{} is matched {said:?}, could be {given:?}", frame.id));
            }
        }
    }
    faults
}

fn compare(shop: &Shop, plan: &Plan, part: Part, best: &Best) -> Vec<String> {
    let dates = dates(shop);
    let mut served = vec![0_u32; dates.len()];
    for frame in &shop.frames {
        let date = dates.iter().position(|date| *date == frame.due).unwrap();
        let cut = (1..=frame.copies).filter(|copy| is_cut(plan, part, &frame.id, *copy));
        served[date] += u32::try_from(cut.count()).unwrap();
    }
    let proofs: Vec<_> = plan.proof.iter().filter(|proof| proof.part == part).collect();
    let used_up = proofs.iter().map(|proof| proof.used_up).sum::<Worth>().0;
    let bound = proofs.iter().map(|proof| proof.bound).sum::<Worth>().0;
    let sticks: u32 = proofs.iter().map(|proof| proof.sticks).sum();
    let proven = proofs.iter().all(|proof| proof.proven);
    let found = (&served, (used_up, sticks));
    let right = (&best.served, best.cost);
    let well = if proven {
        found == right
    } else {
        served < best.served
            || served == best.served && bound <= best.cost.0 && best.cost <= (used_up, sticks)
    };
    if well {
        return Vec::new();
    }
    vec![format!("{}: found {found:?} (bound {bound}), best {right:?}", part.word())]
}
