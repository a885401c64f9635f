//! What a simulated shop holds back is what the planner holds back that has sticks
//! enough: one rule, told twice.

use std::collections::BTreeSet;

use jiff::civil::{Date, date};
use longpoint::measure::Length;
use longpoint::morning::plan;
use longpoint::shop::{Frame, Shop, Stick, read_files};
use longpoint::solve::Limits;
use longpoint::year::{Customer, cut_today};

use crate::numbers::Numbers;

/// Steps for each packing.
const WORK: u64 = 100_000;

/// Open days that a frame waits at the most, and those until it must be cut.
const PATIENCE: u32 = 2;
const NOTICE: usize = 4;

/// Three mouldings, two of which are tied by a stack.
fn shop() -> Shop {
    let file = |name: &str, text: &str| (name.to_owned(), text.as_bytes().to_vec());
    let files = [
        file(
            "shop.toml",
            "name = \"Tied\"\nunit = \"mm\"\nmark = \"1\"\nallowance = \"0\"\n\
             currency = \"EUR\"\ndefault_cutter = \"saw\"\n\
             [offcuts]\nkeep = \"300\"\nworth = \"0.5\"\n\
             [days]\nopen = \"Mon .. Fri\"\npatience = \"2\"\n\
             [cutter.saw]\nkerf = \"0\"\nnick = \"1\"\nfirst_trim = \"5\"\n\
             last_trim = \"5\"\ngrip = \"0\"\nshortest = \"100\"\nstop = \"long\"\n",
        ),
        file(
            "mouldings.csv",
            "moulding,width,rabbet,stick,price,per\nA,20,10,3000,1.00,m\n\
             B,20,10,3000,1.00,m\nC,20,10,3000,1.00,m\n",
        ),
        file(
            "frames.csv",
            "frame,layer,moulding,width,height\n1,1,A,300,200\n2,1,B,400,300\n\
             3,1,C,250,350\n4,1,B,200,200\n4,2,C,,\n",
        ),
        file("rack.csv", "stick,moulding,length\n"),
    ];
    let mut shop = read_files(&files.into_iter().collect()).unwrap();
    let sticks = shop.mouldings.keys().flat_map(|id| {
        (0..40).map(move |number| Stick {
            id: format!("{id}{number}"),
            moulding: id.clone(),
            length: Length::from_mm(3_000),
            lot: String::new(),
            place: String::new(),
            flaws: Vec::new(),
            since: None,
        })
    });
    shop.rack = sticks.collect();
    shop
}

#[test]
fn the_planner_lets_the_same_frames_wait() {
    let all = days_waited(None);
    assert!(all > 10, "{all}");
    let some = [1_020, 1_050, 1_100, 1_200, 1_400].map(|later| days_waited(Some(later)));
    assert!(some.iter().any(|some| (1..all).contains(some)), "{some:?} of {all}");
    assert_eq!(days_waited(Some(10_000)), 0, "for ten times its length nothing waits");
}

/// How many days all frames waited together, at a price of what is left to later.
fn days_waited(later: Option<u32>) -> usize {
    let mut shop = shop();
    shop.settings.days.later = later;
    let open = &shop.settings.days.open;
    let all = (4..=29).map(|day| date(2027, 1, day));
    let days: Vec<Date> = all.filter(|day| open.is_open(*day)).collect();
    let numbers = &mut Numbers(7);
    let customers: Vec<Customer> =
        (0..days.len()).map(|came| customer(&shop, &days, came, numbers)).collect();
    let mut waiting: Vec<&Customer> = Vec::new();
    let mut waited = 0;
    for (today, day) in days.iter().enumerate() {
        waiting.extend(customers.iter().filter(|customer| customer.came == today));
        let chosen = cut_today(&shop, PATIENCE, &waiting, (today, *day), WORK).unwrap();
        let chosen: BTreeSet<&str> = chosen.iter().map(|one| one.frame.id.as_str()).collect();
        let frames = waiting.iter().map(|customer| customer.frame.clone()).collect();
        let pile = Shop { frames, ..shop.clone() };
        let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
        let planned = plan(&pile, *day, limits).unwrap();
        let rails = planned.today.iter().flat_map(|stick| &stick.rails);
        let cut: BTreeSet<&str> = rails.map(|rail| rail.frame.as_str()).collect();
        assert_eq!(cut, chosen, "on {day}");
        waiting.retain(|customer| !cut.contains(customer.frame.id.as_str()));
        waited += waiting.len();
    }
    waited
}

/// Who comes on a day, with one of the shop's tickets.
fn customer(shop: &Shop, days: &[Date], came: usize, numbers: &mut Numbers) -> Customer {
    let last = (came + NOTICE).min(days.len() - 1);
    let tickets: Vec<&Frame> = shop.frames.iter().collect();
    let ticket = numbers.one_of(&tickets);
    let bench_days = shop.settings.days.bench_days;
    let due = shop.settings.days.open.after(days[last], bench_days);
    let (id, came_on) = ((came + 1).to_string(), Some(days[came]));
    Customer { frame: Frame { id, came: came_on, due, ..ticket.clone() }, came, last }
}
