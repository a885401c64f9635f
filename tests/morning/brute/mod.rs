//! Whole plans of three thousand tiny shops against trying everything. Nothing
//! here is shared with the planner but the shop, its rails and the plan.

mod bench;
mod reach;
mod search;
pub mod shops;
mod stops;

use std::collections::BTreeSet;

use longpoint::chop::schedule;
use longpoint::measure::{Mitre, Worth};
use longpoint::morning::plan_as_wished;
use longpoint::plan::{HoldReason, Part, Plan, Warning, Wishes};
use longpoint::shop::{Match, Shop, Stick};
use longpoint::verify::verify;

use search::{Best, Job, Settled, best, fewest_settings, settle, turn, turns, unmatched};

/// How many shops each of the tests tries.
const SHOPS: u64 = 750;

#[test]
fn plans_of_the_first_shops_are_as_good_as_any_way_to_cut() {
    try_all(0);
}

#[test]
fn plans_of_the_second_shops_are_as_good_as_any_way_to_cut() {
    try_all(1);
}

#[test]
fn plans_of_the_third_shops_are_as_good_as_any_way_to_cut() {
    try_all(2);
}

#[test]
fn plans_of_the_fourth_shops_are_as_good_as_any_way_to_cut() {
    try_all(3);
}

#[test]
fn plans_of_shops_with_several_mitres_are_as_good_as_any_way_to_cut_and_proven() {
    for seed in 0..crate::ring::part(SHOPS / 2) {
        let shop = shops::mixed(seed);
        let plan = plan_as_wished(
            &shop,
            crate::support::MORNING,
            &Wishes::default(),
            crate::support::LIMITS,
        )
        .unwrap()
        .into_inner();
        let (faults, _) = judge(&shop, &plan);
        assert!(faults.is_empty(), "shop {seed}: {faults:#?}\n{shop:#?}\n{plan:#?}");
        let is_proven = plan.proof.iter().all(|proof| proof.proven);
        assert!(is_proven, "shop {seed}: {shop:#?}\n{plan:#?}");
    }
}

#[test]
fn plans_of_shops_with_build_outs_are_as_good_as_any_way_to_cut() {
    let (mut cut, mut proven) = (0, 0);
    let shops = crate::ring::part(SHOPS / 6);
    for seed in 0..shops {
        let shop = shops::built(seed);
        let wishes = shops::wishes(seed, &shop);
        let plan = plan_as_wished(&shop, crate::support::MORNING, &wishes, crate::support::LIMITS)
            .unwrap()
            .into_inner();
        let (faults, _) = judge(&shop, &plan);
        assert!(faults.is_empty(), "shop {seed}: {faults:#?}\n{shop:#?}\n{plan:#?}");
        let rails = || plan.today.iter().flat_map(|stick| &stick.rails);
        cut += u64::from(rails().any(|rail| rail.mitre == Mitre::BUTT));
        proven += u64::from(plan.proof.iter().all(|proof| proof.proven));
    }
    assert!(cut * 5 >= shops, "only {cut} of {shops} shops cut a build-out today");
    assert!(proven * 100 >= shops * 95, "only {proven} of {shops} plans are proven");
}

/// Every so many shops, so that the tests take as long as one another.
fn try_all(first: u64) {
    let (mut proven, mut waiting, mut fewest) = (0, 0, 0);
    let shops = crate::ring::part(SHOPS);
    for seed in (0..shops).map(|place| place * 4 + first) {
        let shop = shops::shop(seed);
        let wishes = shops::wishes(seed, &shop);
        let plan = plan_as_wished(&shop, crate::support::MORNING, &wishes, crate::support::LIMITS)
            .unwrap()
            .into_inner();
        let (faults, has_fewest) = judge(&shop, &plan);
        assert!(faults.is_empty(), "shop {seed}: {faults:#?}\n{shop:#?}\n{plan:#?}");
        proven += u64::from(plan.proof.iter().all(|proof| proof.proven));
        waiting += u64::from(!plan.waiting.is_empty());
        fewest += u64::from(has_fewest);
    }
    assert!(proven * 100 >= shops * 95, "only {proven} of {shops} plans are proven");
    assert!(fewest * 100 >= shops * 95, "{fewest} of {shops} have the fewest settings");
    assert!(waiting * 4 >= shops, "frames wait in {waiting} of {shops} shops only: too easy");
}

/// Everything that a plan gets wrong or misses, and whether no plan as good has fewer
/// settings of the stop.
fn judge(shop: &Shop, plan: &Plan) -> (Vec<String>, bool) {
    let mut faults: Vec<String> = match verify(shop, plan) {
        Ok(()) => Vec::new(),
        Err(faults) => faults.iter().map(ToString::to_string).collect(),
    };
    let settled: Vec<Settled> = shop.frames.iter().map(|frame| settle(shop, frame)).collect();
    faults.extend(possible(shop, plan, &settled));
    let all = jobs(shop, &settled, |_, _| true);
    let rushed = &plan.wishes.rush;
    let today = best(shop, rushed, &all, &BTreeSet::new(), false);
    faults.extend(compare(shop, plan, Part::Today, &today));
    let fewest = fewest_settings(shop, &all, &today);
    let has_fewest = settings(shop, plan) == fewest;
    faults.extend(compare_settings(shop, plan, fewest));
    let cut = jobs(shop, &settled, |frame, copy| is_cut(plan, Part::Today, frame, copy));
    faults.extend(compare_matching(shop, plan, Part::Today, &cut, &BTreeSet::new()));
    if plan.wishes.rack_only {
        return (faults, has_fewest);
    }
    let left = jobs(shop, &settled, |frame, copy| !is_cut(plan, Part::Today, frame, copy));
    let (evening, none) = (evening(shop, plan), BTreeSet::new());
    let order = best(&evening, rushed, &left, &none, true);
    faults.extend(compare(shop, plan, Part::Order, &order));
    let cut = jobs(shop, &settled, |frame, copy| is_cut(plan, Part::Order, frame, copy));
    faults.extend(compare_matching(&evening, plan, Part::Order, &cut, &none));
    (faults, has_fewest)
}

/// The shop once today's offcuts are back on the rack.
fn evening(shop: &Shop, plan: &Plan) -> Shop {
    let mut evening = shop.clone();
    evening.rack.retain(|stick| plan.today.iter().all(|cut| cut.stick != stick.id));
    for cut in &plan.today {
        for left in cut.between.iter().chain([&cut.left]).filter(|left| left.keep) {
            let of = shop.rack.iter().find(|stick| stick.id == cut.stick).unwrap();
            let mut flaws = of.flaws.clone();
            flaws.retain(|flaw| left.from < flaw.to && flaw.from < left.from + left.length);
            for flaw in &mut flaws {
                flaw.from = flaw.from.max(left.from) - left.from;
                flaw.to = flaw.to.min(left.from + left.length) - left.from;
            }
            let (id, length) = (left.label.clone(), left.length);
            evening.rack.push(Stick { id, length, flaws, ..of.clone() });
        }
    }
    evening
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
        Part::Coming => &plan.order.coming,
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
    let rushed = &plan.wishes.rush;
    let turns = turns(shop, rushed);
    let mut served = vec![0_u32; turns.len()];
    for frame in &shop.frames {
        let date = turns.iter().position(|other| *other == turn(frame, rushed)).unwrap();
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

/// How often the stop or the mitre is set, as the bench's steps read.
fn settings(shop: &Shop, plan: &Plan) -> usize {
    let schedule = schedule(plan, shop);
    let cuts = schedule.sticks().flat_map(|stick| &stick.cuts);
    let settings: Vec<_> = cuts.map(|cut| (cut.stop, cut.rail.mitre)).collect();
    let moved = settings.windows(2).filter(|pair| pair[0] != pair[1]).count();
    moved + usize::from(!settings.is_empty())
}

/// No plan as good has fewer settings than this one says, nor this one where it
/// is proven.
fn compare_settings(shop: &Shop, plan: &Plan, fewest: usize) -> Vec<String> {
    let (found, least) = (settings(shop, plan), plan.least_settings as usize);
    let is_proven = plan.proof.iter().all(|proof| proof.proven || proof.part != Part::Today);
    if least <= fewest && least <= found && (fewest <= found || !is_proven) {
        return Vec::new();
    }
    vec![format!("{found} settings (at least {least}), fewest {fewest}")]
}

/// What the frames of a part would take without match rules.
fn compare_matching(
    shop: &Shop,
    plan: &Plan,
    part: Part,
    cut: &[Job],
    taken: &BTreeSet<String>,
) -> Vec<String> {
    let mut faults = Vec::new();
    for said in plan.matching.iter().filter(|matching| matching.part == part) {
        let free = unmatched(shop, shop.moulding(&said.moulding), cut, taken, part == Part::Order);
        let found = (said.used_up_free.0, said.sticks_free);
        let least = free.expect("what is cut with match rules can be cut without");
        if found < least || said.proven && found != least {
            let (id, part) = (&said.moulding, part.word());
            faults.push(format!("{id} {part} unmatched: found {found:?}, best {least:?}"));
        }
    }
    faults
}
