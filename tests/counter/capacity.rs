//! The first day with hands to spare, against a shop that is walked through day by day.

use jiff::civil::{Date, Weekday, date};
use longpoint::quote::free_day;
use longpoint::shop::{Days, Frame, ShopDays};

use crate::numbers::Numbers;
use crate::price::{frame, shop};

const TODAY: Date = date(2026, 11, 25);

const WEEK: [Weekday; 7] = [
    Weekday::Monday,
    Weekday::Tuesday,
    Weekday::Wednesday,
    Weekday::Thursday,
    Weekday::Friday,
    Weekday::Saturday,
    Weekday::Sunday,
];

/// Whether it works: every day as many frames are made as can be, the earliest due
/// first, the new ones after others of their day. They are done by their day, and
/// nobody who is due on or after it is late.
fn works(days: &ShopDays, each: u32, due: &[Date], copies: u32, day: Date) -> bool {
    let mut pile: Vec<(Date, bool)> = due.iter().map(|due| ((*due).max(TODAY), false)).collect();
    pile.extend((0..copies).map(|_| (day, true)));
    pile.sort();
    let (mut today, mut made) = (TODAY, 0);
    for (due, is_new) in pile {
        while !days.open.is_open(today) || made == each {
            (today, made) = (today.tomorrow().unwrap(), 0);
        }
        made += 1;
        if today > due && (is_new || due >= day) {
            return false;
        }
    }
    true
}

#[test]
fn the_first_free_day_is_the_first_that_works() {
    let bench = shop("in", "0", "M,2,0,108,3.00,ft,,\n", "");
    let blank = frame(&bench, &["M"], "16x20");
    let (mut later, mut closed_days) = (0, 0);
    for seed in 0..3000 {
        let mut dice = Numbers(seed);
        let mut open = Days::of_week(WEEK.into_iter().filter(|_| !dice.one_in(4)));
        if open == Days::of_week([]) {
            open = Days::of_week([Weekday::Friday]);
        }
        let after = |days: i64| TODAY.checked_add(jiff::Span::new().days(days)).unwrap();
        if dice.one_in(3) {
            let first = dice.within(0, 11);
            open = open.but([(after(first), after(first + dice.within(0, 8)))]);
            closed_days += 1;
        }
        let each = dice.count(1, 3);
        let days = ShopDays { open, frames_a_day: Some(each), ..ShopDays::default() };
        // Crowded, and some of it overdue.
        let due: Vec<Option<Date>> = (0..dice.count(0, 24))
            .map(|_| match dice.within(0, 7) {
                0 => None,
                1 => Some(date(2026, 11, 20)),
                _ => Some(after(dice.within(0, 13))),
            })
            .collect();
        let pile: Vec<Frame> = due.iter().map(|due| Frame { due: *due, ..blank.clone() }).collect();
        let dated: Vec<Date> = due.into_iter().flatten().collect();
        let (copies, from) = (dice.count(1, 4), after(dice.within(0, 5)));
        let mut first = from;
        while !days.open.is_open(first) || !works(&days, each, &dated, copies, first) {
            first = first.tomorrow().unwrap();
        }
        let found = free_day(&days, &pile, copies, (TODAY, from));
        assert_eq!(found, Some(first), "seed {seed}");
        later += u32::from(days.open.next(from) != found);
    }
    assert!(later > 500 && closed_days > 500, "{later} {closed_days}");
}

/// A frame a day, a quarter of a million of them, and no end before the calendar's.
#[test]
fn a_pile_beyond_all_measure_has_an_answer() {
    let bench = shop("in", "0", "M,2,0,108,3.00,ft,,\n", "");
    let frame = frame(&bench, &["M"], "16x20");
    let due = |copies| Frame { copies, due: Some(TODAY), ..frame.clone() };
    let days = ShopDays { frames_a_day: Some(1), ..ShopDays::default() };
    let found = free_day(&days, &[due(10_000)], 1, (TODAY, TODAY));
    assert_eq!(found, TODAY.checked_add(jiff::Span::new().days(10_000)).ok());
    let all = vec![due(10_000); 400];
    assert_eq!(free_day(&days, &all, 1, (TODAY, TODAY)), None);
}
