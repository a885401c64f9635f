//! Days and times: as they are typed, and the only place that asks the computer.

use anyhow::Context;
use jiff::Timestamp;
use jiff::civil::{Date, DateTime, Time};
use jiff::tz::TimeZone;

use crate::shop::{Shop, read_time};

/// The time on the shop's wall. Where the computer does not know its time zone, that is
/// said: another zone's day may be another day.
pub(super) fn now() -> anyhow::Result<DateTime> {
    let zone = TimeZone::try_system().context(
        "this computer does not say in which time zone it is, so that the day here is not known \
         (set TZ, such as TZ=Europe/Berlin, or say the day or time yourself: --today, --at)",
    )?;
    Ok(Timestamp::now().to_zoned(zone).datetime())
}

/// The day that is asked for, or today.
pub(super) fn day(asked: Option<Date>) -> anyhow::Result<Date> {
    asked.map_or_else(|| now().map(|now| now.date()), Ok)
}

/// The day that is asked for and the shop at the time of day that is, or today and now.
/// A day that is asked for by itself is before every cut-off.
pub(super) fn morning(
    shop: Shop,
    today: Option<Date>,
    time: Option<Time>,
) -> anyhow::Result<(Shop, Date)> {
    let (date, time) = match today {
        Some(today) => (today, time),
        None => now().map(|now| (now.date(), Some(time.unwrap_or(now.time()))))?,
    };
    Ok((at(shop, date, time), date))
}

/// The shop at a time of a day, if one is known.
pub(super) fn at(shop: Shop, date: Date, time: Option<Time>) -> Shop {
    match time {
        Some(time) => shop.at(date, time),
        None => shop,
    }
}

/// A time of day as the shop's files write it.
pub(super) fn time(read: &str) -> Result<Time, String> {
    read_time(read).map_err(|problem| problem.to_string())
}

/// A day in the years that the shop's files may name too.
pub(super) fn date(read: &str) -> Result<Date, String> {
    let day: Option<Date> = read.parse().ok();
    day.filter(|day| in_range(day.year()))
        .ok_or_else(|| "write it year first, such as 2026-11-25".to_owned())
}

/// Whether a year is one that can be meant. Nothing that takes a year or less to
/// come from then on is beyond the calendar.
pub(super) fn in_range(year: i16) -> bool {
    (1900..=2200).contains(&year)
}

#[cfg(test)]
mod tests {
    use jiff::tz::TimeZoneDatabase;

    /// Minimal containers and Windows have no database of zones.
    #[test]
    fn the_program_carries_a_database_of_zones() {
        assert!(TimeZoneDatabase::bundled().get("Europe/Berlin").is_ok());
    }
}
