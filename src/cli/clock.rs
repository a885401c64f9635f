//! The only place that asks the computer what time it is.

use anyhow::Context;
use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use jiff::tz::TimeZone;

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

#[cfg(test)]
mod tests {
    use jiff::tz::TimeZoneDatabase;

    /// Minimal containers and Windows have no database of zones.
    #[test]
    fn the_program_carries_a_database_of_zones() {
        assert!(TimeZoneDatabase::bundled().get("Europe/Berlin").is_ok());
    }
}
