//! A size, a match and a day as they are typed at the counter.

use jiff::ToSpan;
use jiff::civil::Date;

use std::borrow::Cow;

use super::calendar::WEEK;
use super::read::shown;
use super::{Match, Settings};
use crate::measure::{Length, parse_length, written_unit};

/// The sheets of ISO 216 that pictures come on, upright, in millimetres (from memory).
const SHEETS: [(&str, i64, i64); 7] = [
    ("A0", 841, 1189),
    ("A1", 594, 841),
    ("A2", 420, 594),
    ("A3", 297, 420),
    ("A4", 210, 297),
    ("A5", 148, 210),
    ("A6", 105, 148),
];

/// Reads the day on which something is wanted: `today`, `tomorrow`, a day of the week as
/// the next one after today, or a date.
///
/// # Errors
/// What was read and how to write it.
pub fn read_day(text: &str, today: Date) -> Result<Date, String> {
    let mend = || {
        format!("{:?} is not a day (write Thursday, tomorrow or {today}, year first)", shown(text))
    };
    let typed = text.trim().to_lowercase();
    let in_days = |days: i32| today.checked_add(days.days()).map_err(|_| mend());
    let named = WEEK.iter().find(|(name, _)| typed.len() > 1 && name.starts_with(&typed));
    let date = match (typed.as_str(), named) {
        ("today", _) => today,
        ("tomorrow", _) => in_days(1)?,
        (_, Some((_, weekday))) => {
            let since = today.weekday().until(*weekday);
            in_days(if since == 0 { 7 } else { i32::from(since) })?
        }
        (date, None) => date.parse().map_err(|_| mend())?,
    };
    match date < today {
        true => Err(format!("{:?} is past (it is {today} today)", shown(text))),
        false => Ok(date),
    }
}

impl Settings {
    /// Reads a size such as `16x20`, `16 1/4 x 20` or `400 x 500 mm`, width first, or a
    /// sheet's such as `A3`, upright; a bare number is in the unit that is written after
    /// the height, or in the shop's.
    ///
    /// # Errors
    /// What was read and how to write it.
    pub fn read_size(&self, text: &str) -> Result<(Length, Length), String> {
        let mend = || {
            let such = self.example("16x20", "400x500");
            format!("{:?} is not a size (write width x height, such as {such})", shown(text))
        };
        let named = |(name, ..): &&(&str, i64, i64)| name.eq_ignore_ascii_case(text.trim());
        if let Some((_, width, height)) = SHEETS.iter().find(named) {
            return Ok((Length::from_mm(*width), Length::from_mm(*height)));
        }
        let (width, height) = text.split_once(['x', 'X', '\u{d7}']).ok_or_else(mend)?;
        // A fraction is of inches, whatever the height is in.
        let unit = written_unit(height).filter(|unit| *unit != "'" && !width.contains('/'));
        let width = match (written_unit(width), unit) {
            (None, Some(unit)) => Cow::Owned(format!("{}{unit}", width.trim_end())),
            _ => Cow::Borrowed(width),
        };
        let side = |side: &str| match parse_length(side, self.unit) {
            Ok(length) if length.is_positive() => Ok(length),
            Ok(_) => Err(mend()),
            Err(error) => Err(format!("{:?} {error}", shown(side.trim()))),
        };
        Ok((side(&width)?, side(height)?))
    }

    /// Reads the gap of a floater; a bare number is in the shop's unit.
    ///
    /// # Errors
    /// What was read and how to write it.
    pub fn read_gap(&self, text: &str) -> Result<Length, String> {
        parse_length(text, self.unit).map_err(|error| format!("{:?} {error}", shown(text)))
    }
}

impl Match {
    /// Reads `any`, `lot`, `halves`, `stick` or `wrap`; capitals do not matter.
    ///
    /// # Errors
    /// The words that there are.
    pub fn read(text: &str) -> Result<Match, String> {
        let all = [Match::Any, Match::Lot, Match::Halves, Match::Stick, Match::Wrap];
        let named = |match_: &Match| match_.word().eq_ignore_ascii_case(text.trim());
        let mend = || "write any, lot, halves, stick or wrap".to_owned();
        all.into_iter().find(named).ok_or_else(mend)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Currency, Unit};

    #[test]
    fn a_size_is_two_lengths_in_any_spelling() {
        let settings = Settings {
            name: String::new(),
            contact: Default::default(),
            unit: Unit::Inch,
            mark: Length::from_64ths(2),
            allowance: Length::ZERO,
            currency: Currency::new("USD").unwrap(),
            default_cutter: String::new(),
            keep: Length::ZERO,
            worth: 0,
            buying: Default::default(),
            price: None,
            days: Default::default(),
            job: Default::default(),
        };
        let size = (Length::from_64ths(64 * 16 + 16), Length::from_64ths(64 * 20));
        for text in [
            "16 1/4x20",
            "16.25 X 20 in",
            "16-1/4 in \u{d7} 508 mm",
            "412.75x508mm",
            "41.275 x 50.8 cm",
        ] {
            assert_eq!(settings.read_size(text), Ok(size), "{text}");
        }
        let size = (Length::from_mm(297), Length::from_mm(420));
        for text in ["29.7x42cm", "297 x 420 mm", "A3", "a3", "297mm x 42 cm"] {
            assert_eq!(settings.read_size(text), Ok(size), "{text}");
        }
        let wrong = |text| settings.read_size(text).unwrap_err();
        assert_eq!(wrong("16"), r#""16" is not a size (write width x height, such as 16x20)"#);
        assert!(wrong("16,5x20").starts_with(r#""16,5" is not a length (write 16.5"#));
        assert!(wrong("0x20").contains("is not a size"));
        assert_eq!(Match::read(" Halves"), Ok(Match::Halves));
        assert_eq!(Match::read("most").unwrap_err(), "write any, lot, halves, stick or wrap");
    }

    #[test]
    fn a_day_is_said_as_people_say_it() {
        let today = jiff::civil::date(2026, 11, 25); // a Wednesday, computed
        let read = |text: &str| read_day(text, today).map(|day| day.to_string());
        assert_eq!(read("today").as_deref(), Ok("2026-11-25"));
        assert_eq!(read("Tomorrow ").as_deref(), Ok("2026-11-26"));
        assert_eq!(read("thu").as_deref(), Ok("2026-11-26"));
        assert_eq!(read("Tuesday").as_deref(), Ok("2026-12-01"));
        assert_eq!(read("wednesday").as_deref(), Ok("2026-12-02"), "the next one");
        assert_eq!(read("2026-12-04").as_deref(), Ok("2026-12-04"));
        assert!(read("2026-11-24").unwrap_err().contains("is past"));
        for odd in ["", "t", "someday", "4 December", "thursdays"] {
            assert!(read(odd).is_err(), "{odd}");
        }
    }
}
