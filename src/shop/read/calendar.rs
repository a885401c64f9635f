//! Days of the week, dates that are closed, and times of day, as they are typed.

use jiff::civil::{Date, Time, Weekday, date};

use super::cells;
use super::mistake::Mistake;
use crate::shop::Days;
use crate::shop::calendar::WEEK;

/// `Mon; Thu` or `Mon .. Fri`: days of the week. A range may run over the week's end.
pub(super) fn week(text: &str) -> Result<Vec<Weekday>, Mistake> {
    let mut days = Vec::new();
    for part in text.split(';') {
        match part.split_once("..") {
            None => days.push(weekday(part)?),
            Some((from, to)) => {
                let (from, to) = (weekday(from)?, weekday(to)?);
                let length = 1 + from.until(to);
                days.extend(from.cycle_forward().take(usize::from(length.unsigned_abs())));
            }
        }
    }
    Ok(days)
}

fn weekday(text: &str) -> Result<Weekday, Mistake> {
    let text = text.trim().to_ascii_lowercase();
    let is_meant = |name: &&str| **name == *text || name[..3] == *text;
    let known = WEEK.iter().find(|(name, _)| is_meant(name));
    known.map(|(_, day)| *day).ok_or(Mistake::Weekdays)
}

/// `2026-12-24 .. 2027-01-02; 2027-04-05`: dates and ranges of dates.
pub(super) fn dates(text: &str) -> Result<Vec<(Date, Date)>, Mistake> {
    let one = |part: &str| match part.split_once("..") {
        None => cells::date(part.trim()).map(|day| (day, day)),
        Some((from, to)) => match (cells::date(from.trim())?, cells::date(to.trim())?) {
            (from, to) if from > to => Err(Mistake::DatesBackwards),
            range => Ok(range),
        },
    };
    text.split(';').map(one).collect()
}

/// `14:30`: a time of day, hours from 0 to 23; a spreadsheet may add its seconds.
pub(crate) fn time(text: &str) -> Result<Time, Mistake> {
    let number = |part: &str, longest: usize| {
        let is_plain = part.bytes().all(|b| b.is_ascii_digit());
        let is_long = (1..=longest).contains(&part.len());
        part.parse::<i8>().ok().filter(|_| is_plain && is_long)
    };
    let text = text.trim();
    let whole = text.strip_suffix(":00").filter(|whole| whole.contains(':')).unwrap_or(text);
    let parts = whole.split_once(':').filter(|(_, minutes)| minutes.len() == 2);
    let parts = parts.and_then(|(hours, minutes)| Some((number(hours, 2)?, number(minutes, 2)?)));
    let time = parts.and_then(|(hours, minutes)| Time::new(hours, minutes, 0, 0).ok());
    time.ok_or(Mistake::Time)
}

/// Whether these days never come in the years that are read.
pub(super) fn are_none(days: &Days) -> bool {
    days.next(date(1900, 1, 1)).is_none_or(|day| day.year() > 2200)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_of_the_week_are_lists_and_ranges() {
        use Weekday::{Friday, Monday, Saturday, Sunday, Thursday, Tuesday, Wednesday};
        assert_eq!(week("Mon; thursday"), Ok(vec![Monday, Thursday]));
        assert_eq!(week("MON..Wed ; Fri"), Ok(vec![Monday, Tuesday, Wednesday, Friday]));
        assert_eq!(week("Sat .. Mon"), Ok(vec![Saturday, Sunday, Monday]));
        assert_eq!(week("Sun .. Sun"), Ok(vec![Sunday]));
        assert_eq!(week("Mon .. Sun").map(|days| days.len()), Ok(7));
        for wrong in ["", "Mo", "Mon;", "Mon .. ", "weekdays", "Mon - Fri", "Mon .. Wed .. Fri"] {
            assert_eq!(week(wrong), Err(Mistake::Weekdays), "{wrong:?}");
        }
    }

    #[test]
    fn dates_are_single_or_from_one_to_another() {
        let day = |day| date(2026, 12, day);
        assert_eq!(
            dates("2026-12-24 .. 2026-12-28;2026-12-31"),
            Ok(vec![(day(24), day(28)), (day(31), day(31))])
        );
        assert_eq!(dates("2026-12-28 .. 2026-12-24"), Err(Mistake::DatesBackwards));
        assert_eq!(dates("2026-12-24 .. 2602-01-01"), Err(Mistake::DateRange));
        for wrong in ["", "2026-12-24;", "2026-12-24 ..", "24 Dec", "2026-12-24 - 2026-12-28"] {
            assert_eq!(dates(wrong), Err(Mistake::Date), "{wrong:?}");
        }
    }

    #[test]
    fn times_are_hours_and_minutes() {
        assert_eq!(time("9:05"), Ok(jiff::civil::time(9, 5, 0, 0)));
        assert_eq!(time("23:59"), Ok(jiff::civil::time(23, 59, 0, 0)));
        assert_eq!(time("12:00:00"), time("12:00"), "as a spreadsheet writes it");
        for wrong in
            ["", "12", "24:00", "12:60", "12:5", "noon", "+9:00", "9:+5", "12:00:01", "2:00 pm"]
        {
            assert_eq!(time(wrong), Err(Mistake::Time), "{wrong:?}");
        }
    }

    #[test]
    fn days_that_are_closed_for_ever_are_none() {
        let week = || Weekday::Monday.cycle_forward().take(7);
        let until = |to| Days::of_week(week()).but([(date(1900, 1, 1), to)]);
        assert!(are_none(&until(date(2200, 12, 31))));
        assert!(!are_none(&until(date(2200, 12, 30))));
        assert!(are_none(&Days::of_week([])));
    }
}
