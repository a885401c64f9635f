//! Plans of thousands of tiny shops against every way to serve their frames, one
//! after the other in the order of their dates. Nothing here is shared with the
//! planner but the shop and the plan.

use std::collections::BTreeSet;

use jiff::civil::Date;
use longpoint::morning::plan_as_wished;
use longpoint::plan::{Plan, Wishes};
use longpoint::solve::Limits;
use longpoint::verify::verify;

use super::shops::{Made, STICK, TODAY, Ticket, made};

/// How many shops each of the tests tries, unless `LONGPOINT_DATES` says so.
const SHOPS: u64 = 1000;

#[test]
fn every_frame_of_the_first_shops_has_its_day() {
    try_all(0);
}

#[test]
fn every_frame_of_the_second_shops_has_its_day() {
    try_all(1);
}

fn try_all(first: u64) {
    let shops = std::env::var("LONGPOINT_DATES").ok().and_then(|shops| shops.parse().ok());
    let (mut kept, mut wrong) = (0, Vec::new());
    for seed in (0..shops.unwrap_or(SHOPS)).map(|place| place * 2 + first) {
        let made = made(seed);
        let (right, holds) = best(&made);
        kept += u64::from(holds);
        let rush = made.tickets.iter().filter(|t| t.rush).map(|t| t.id.clone()).collect();
        let wishes = Wishes { rush, ..Wishes::default() };
        let limits = Limits { work: 200_000, deadline: None, stop: None, watch: None };
        let plan = plan_as_wished(&made.shop, TODAY, &wishes, limits).unwrap().into_inner();
        let faults = judge(&made, &plan, &right);
        if !faults.is_empty() {
            wrong.push(seed);
            println!(
                "shop {seed}: {faults:#?}\n{:#?}\nrack {:?} brought {:?} trim {} keep {} {:?}",
                made.tickets, made.rack, made.brought, made.trim, made.keep, made.calendar
            );
        }
    }
    assert!(wrong.is_empty(), "{} shops: {wrong:?}", wrong.len());
    assert!(kept >= 50, "the rack is kept for frames in {kept} shops only: too easy");
}

/// What a frame gets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Gets {
    Today,
    /// Its moulding is there by this day; or on some day, if it has no date.
    By(Option<Date>),
    Never,
}

fn judge(made: &Made, plan: &Plan, right: &[(&Ticket, Gets)]) -> Vec<String> {
    let mut faults = match verify(&made.shop, plan) {
        Ok(()) => Vec::new(),
        Err(faults) => faults.iter().map(ToString::to_string).collect(),
    };
    for (ticket, right) in right {
        let found = gets(plan, ticket);
        let well = match (found, right) {
            (Gets::Today, Gets::Today) => true,
            (Gets::By(day), Gets::By(by)) => by.is_none_or(|by| day.is_none_or(|day| day <= by)),
            (Gets::Never | Gets::By(_), Gets::Never) => true,
            _ => false,
        };
        if !well {
            faults.push(format!("{} gets {found:?}, could {right:?}", ticket.id));
        }
    }
    faults
}

fn gets(plan: &Plan, ticket: &Ticket) -> Gets {
    let mut today = plan.today.iter().flat_map(|stick| &stick.rails);
    if today.any(|rail| rail.frame == ticket.id) {
        return Gets::Today;
    }
    let awaited = plan.order.awaited.iter().find(|awaited| awaited.frame == ticket.id);
    awaited.map_or(Gets::Never, |awaited| Gets::By(awaited.arrives))
}

/// How much of each stick is cut today, and how much of what it leaves is kept.
type World = Vec<(i64, i64)>;

/// What each frame gets, in the order of their dates, and whether something is
/// kept for one of them.
fn best(made: &Made) -> (Vec<(&Ticket, Gets)>, bool) {
    let mut tickets: Vec<&Ticket> = made.tickets.iter().collect();
    tickets.sort_by_key(|ticket| (!ticket.rush, ticket.due.is_none(), ticket.due));
    let mut worlds: [BTreeSet<World>; 3] =
        std::array::from_fn(|of| BTreeSet::from([vec![(0, 0); made.rack[of].len()]]));
    let (mut all, mut holds) = (Vec::new(), false);
    for ticket in tickets {
        if let Some(after) = with(made, &worlds, &ticket.layers, true) {
            worlds = after;
            all.push((ticket, Gets::Today));
            continue;
        }
        let mut gets = Gets::Never;
        for by in days(made, ticket) {
            let late = ticket.layers.iter().filter(|layer| !is_brought(made, layer, by));
            let late: Vec<_> = late.copied().collect();
            if let Some(after) = with(made, &worlds, &late, false) {
                worlds = after;
                holds |= !late.is_empty();
                gets = Gets::By(by);
                break;
            }
        }
        all.push((ticket, gets));
    }
    (all, holds)
}

/// The days that would do for a ticket, the best first.
fn days(made: &Made, ticket: &Ticket) -> Vec<Option<Date>> {
    if ticket.due.is_none() && !ticket.rush {
        return vec![None];
    }
    let least = if ticket.rush { TODAY } else { made.calendar.needed_by(ticket.due.unwrap()) };
    let all = made.brought.iter().flatten().copied().chain([least]);
    let all: BTreeSet<Date> = all.filter(|day| *day >= least).collect();
    all.into_iter().map(Some).collect()
}

/// Whether somebody brings what a layer takes by a day.
fn is_brought(made: &Made, (of, rail, together): &(usize, i64, bool), by: Option<Date>) -> bool {
    let takes = made.trim + if *together { 4 * rail } else { *rail };
    takes <= STICK && made.brought[*of].iter().any(|day| by.is_none_or(|by| *day <= by))
}

/// The worlds after some layers are cut today or kept; none if there are none.
fn with(
    made: &Made,
    worlds: &[BTreeSet<World>; 3],
    layers: &[(usize, i64, bool)],
    today: bool,
) -> Option<[BTreeSet<World>; 3]> {
    let mut after = worlds.clone();
    for (of, rail, together) in layers {
        let (times, length) = if *together { (1, 4 * rail) } else { (4, *rail) };
        for _ in 0..times {
            let mut next = BTreeSet::new();
            for world in &after[*of] {
                for place in 0..world.len() {
                    let mut world = world.clone();
                    let (cut, kept) = &mut world[place];
                    if today {
                        *cut += length
                    } else {
                        *kept += length
                    }
                    if is_possible(made, made.rack[*of][place], world[place]) {
                        next.insert(world);
                    }
                }
            }
            after[*of] = next;
        }
        if after[*of].is_empty() {
            return None;
        }
    }
    Some(after)
}

/// Whether so much can be cut of a stick, and so much kept of what it leaves.
fn is_possible(made: &Made, length: i64, (cut, kept): (i64, i64)) -> bool {
    let left = length - made.trim - cut;
    match (cut > 0, kept > 0) {
        (_, false) => left >= 0,
        (false, true) => made.trim + kept <= length,
        (true, true) => left >= made.keep && made.trim + kept <= left,
    }
}
