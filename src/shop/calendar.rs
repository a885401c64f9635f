//! Working days: which days of the week, and which dates not.
//!
//! # Why nothing here can hang
//!
//! A search leaps over what is closed, and between two closures it looks at one week
//! at most. Days without a day of the week find nothing at all; the reader refuses
//! them.

use jiff::civil::{Date, Weekday};

/// The days of the week by their names, in small letters.
pub(super) const WEEK: [(&str, Weekday); 7] = [
    ("monday", Weekday::Monday),
    ("tuesday", Weekday::Tuesday),
    ("wednesday", Weekday::Wednesday),
    ("thursday", Weekday::Thursday),
    ("friday", Weekday::Friday),
    ("saturday", Weekday::Saturday),
    ("sunday", Weekday::Sunday),
];

/// The days on which something is done: some days of the week, but not on some dates.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Days {
    /// A bit for each day of the week, Monday's the lowest.
    week: u8,
    /// Dates without, from the first to the last of each closure, in order and apart.
    closed: Vec<(Date, Date)>,
}

/// When the shop works, and how fast.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShopDays {
    /// The days on which the shop is open.
    pub open: Days,
    /// How many of them are wanted between a delivery and the due date.
    pub bench_days: u32,
    /// How many frames it makes in a day, if that is written down.
    pub frames_a_day: Option<u32>,
    /// How many open days a frame may wait so that it is cut with others; `None` if none
    /// does.
    pub patience: Option<u32>,
    /// What a length of rail that is cut later is expected to use up, in thousandths of
    /// itself: what uses up no more today does not wait. `None` if all wait that may.
    pub later: Option<u32>,
}

impl Default for Days {
    /// Every day.
    fn default() -> Days {
        Days { week: 0b111_1111, closed: Vec::new() }
    }
}

impl Default for ShopDays {
    /// Open every day, with one for the bench.
    fn default() -> ShopDays {
        ShopDays {
            open: Days::default(),
            bench_days: 1,
            frames_a_day: None,
            patience: None,
            later: None,
        }
    }
}

impl Days {
    /// These days of the week.
    pub fn of_week(week: impl IntoIterator<Item = Weekday>) -> Days {
        let week = week.into_iter().fold(0, |week, day| week | bit(day));
        Days { week, closed: Vec::new() }
    }

    /// The same without these dates: the first and the last of each closure, in any
    /// order.
    pub fn but(&self, closed: impl IntoIterator<Item = (Date, Date)>) -> Days {
        let closed = self.closed.iter().copied().chain(closed).collect();
        Days { week: self.week, closed: apart(closed) }
    }

    /// The days that are in both.
    pub fn and(&self, other: &Days) -> Days {
        Days { week: self.week & other.week, ..self.but(other.closed.iter().copied()) }
    }

    /// Whether this is one of the days.
    pub fn is_open(&self, date: Date) -> bool {
        self.week & bit(date.weekday()) != 0 && self.closure(date).is_none()
    }

    /// The first of the days from this one on; `None` if there is none.
    pub fn next(&self, from: Date) -> Option<Date> {
        self.seek(from, |(_, last)| last, |day| day.tomorrow().ok())
    }

    /// The last of the days up to this one; `None` if there is none.
    pub fn last(&self, until: Date) -> Option<Date> {
        self.seek(until, |(first, _)| first, |day| day.yesterday().ok())
    }

    /// The day so many of the days after this one, which is not counted itself; with
    /// none, this one.
    pub fn after(&self, date: Date, count: u32) -> Option<Date> {
        (0..count).try_fold(date, |day, _| self.next(day.tomorrow().ok()?))
    }

    /// The day so many of the days before this one, which is not counted itself; with
    /// none, this one.
    pub fn before(&self, date: Date, count: u32) -> Option<Date> {
        (0..count).try_fold(date, |day, _| self.last(day.yesterday().ok()?))
    }

    /// The nearest of the days in one direction.
    fn seek(
        &self,
        from: Date,
        end: impl Fn((Date, Date)) -> Date,
        step: impl Fn(Date) -> Option<Date>,
    ) -> Option<Date> {
        let mut day = Some(from).filter(|_| self.week != 0)?;
        loop {
            match self.closure(day) {
                Some(closure) => day = step(end(closure))?,
                None if self.is_open(day) => return Some(day),
                None => day = step(day)?,
            }
        }
    }

    /// The closure that a date lies in.
    fn closure(&self, date: Date) -> Option<(Date, Date)> {
        let after = self.closed.partition_point(|(first, _)| *first <= date);
        let before = self.closed[..after].last().copied();
        before.filter(|(_, last)| date <= *last)
    }
}

impl ShopDays {
    /// The last day on which moulding may come for what is due then: counted back from
    /// that day, or from the last before it on which the shop is open.
    pub fn needed_by(&self, due: Date) -> Date {
        let last = self.open.last(due);
        last.and_then(|last| self.open.before(last, self.bench_days)).unwrap_or(Date::MIN)
    }
}

fn bit(day: Weekday) -> u8 {
    1 << day.to_monday_zero_offset()
}

/// The closures in order, with those that overlap or touch made one.
fn apart(mut closed: Vec<(Date, Date)>) -> Vec<(Date, Date)> {
    closed.sort_unstable();
    let mut apart: Vec<(Date, Date)> = Vec::with_capacity(closed.len());
    for (first, last) in closed {
        match apart.last_mut() {
            Some(before) if before.1.tomorrow().map_or(true, |next| first <= next) => {
                before.1 = before.1.max(last);
            }
            _ => apart.push((first, last)),
        }
    }
    apart
}

#[cfg(test)]
mod tests {
    use jiff::ToSpan;
    use jiff::civil::date;
    use proptest::prelude::*;

    use super::*;

    /// Monday to Friday, without Christmas; the days of the week are the calendar's.
    fn usual() -> Days {
        let week = Weekday::Monday.cycle_forward().take(5);
        Days::of_week(week).but([(date(2026, 12, 24), date(2027, 1, 2))])
    }

    #[test]
    fn a_closure_and_a_weekend_are_passed_over() {
        let days = usual();
        assert!(days.is_open(date(2026, 12, 23)), "a Wednesday");
        assert!(!days.is_open(date(2026, 12, 28)), "a Monday within the closure");
        assert_eq!(days.next(date(2026, 12, 24)), Some(date(2027, 1, 4)));
        assert_eq!(days.last(date(2027, 1, 3)), Some(date(2026, 12, 23)));
        assert_eq!(days.before(date(2027, 1, 5), 2), Some(date(2026, 12, 23)));
        assert_eq!(days.before(date(2027, 1, 3), 0), Some(date(2027, 1, 3)), "no day back");
        assert_eq!(days.after(date(2026, 12, 22), 2), Some(date(2027, 1, 4)));
        let but = days.but([(date(2027, 1, 4), date(2027, 1, 4))]);
        assert_eq!(but.next(date(2026, 12, 24)), Some(date(2027, 1, 5)));
    }

    #[test]
    fn days_of_which_there_are_none_are_not_looked_for() {
        let never = Days::of_week([]);
        let (first, last) = (date(1900, 1, 1), date(2200, 12, 31));
        assert_eq!(
            (never.next(first), never.last(last), never.after(first, 1)),
            (None, None, None)
        );
        let apart = usual().and(&Days::of_week([Weekday::Sunday]));
        assert_eq!(apart.next(first), None);
    }

    #[test]
    fn moulding_is_wanted_so_many_working_days_before() {
        let days = ShopDays { open: usual(), ..ShopDays::default() };
        assert_eq!(days.needed_by(date(2026, 11, 30)), date(2026, 11, 27), "Monday, Friday");
        assert_eq!(days.needed_by(date(2026, 11, 29)), date(2026, 11, 26), "a Sunday");
        let at_once = ShopDays { bench_days: 0, ..days };
        assert_eq!(at_once.needed_by(date(2026, 11, 30)), date(2026, 11, 30));
        assert_eq!(at_once.needed_by(date(2026, 11, 29)), date(2026, 11, 27), "a Sunday");
    }

    /// Within this many days of the middle, everything is looked at one by one.
    const SPAN: i64 = 400;

    prop_compose! {
        fn drawn()(
            week in 1_u8..128,
            closed in prop::collection::vec((0_i64..120, 0_i64..30), 0..6),
        ) -> (u8, Vec<(Date, Date)>) {
            let middle = date(2026, 11, 1);
            let closed = closed.iter().map(|&(from, long)| {
                (middle + from.days(), middle + (from + long).days())
            });
            (week, closed.collect())
        }
    }

    proptest! {
        #[test]
        fn days_are_those_that_are_found_one_by_one(
            (week, closed) in drawn(),
            (other, more) in drawn(),
            from in -30_i64..180,
            count in 0_u32..5,
        ) {
            let of_week = |week: u8| {
                Weekday::Monday.cycle_forward().take(7).enumerate()
                    .filter(move |(place, _)| week >> place & 1 == 1).map(|(_, day)| day)
            };
            let is_open = |date: Date| {
                let place = date.weekday().to_monday_zero_offset();
                let shut = closed.iter().chain(&more).any(|(a, b)| *a <= date && date <= *b);
                week & other & (1 << place) != 0 && !shut
            };
            let days = Days::of_week(of_week(week)).but(closed.clone())
                .and(&Days::of_week(of_week(other)).but(more.clone()));
            let from = date(2026, 11, 1) + from.days();
            prop_assert_eq!(days.is_open(from), is_open(from));
            let up = |least: i64| (least..SPAN).map(move |n| from + n.days());
            let down = |least: i64| (least..SPAN).map(move |n| from - n.days());
            prop_assert_eq!(days.next(from), up(0).find(|day| is_open(*day)));
            prop_assert_eq!(days.last(from), down(0).find(|day| is_open(*day)));
            let nth = |mut all: Box<dyn Iterator<Item = Date>>| match count {
                0 => Some(from),
                n => all.nth(n as usize - 1),
            };
            let open = |date: &Date| is_open(*date);
            prop_assert_eq!(days.after(from, count), nth(Box::new(up(1).filter(open))));
            prop_assert_eq!(days.before(from, count), nth(Box::new(down(1).filter(open))));
        }
    }
}
