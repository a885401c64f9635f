//! What a single cell can hold: a length, a price, a count, a date, a word, an id.

use jiff::civil::Date;

use crate::measure::{
    Currency, DecimalError, Length, Money, Unit, Worth, parse_decimal, parse_length,
};
use crate::shop::WHOLE;

use super::mistake::Mistake;
use super::suggest::Suggest;

/// The unit and currency in which bare figures are read.
#[derive(Debug, Clone)]
pub(super) struct ReadingUnits {
    pub(super) unit: Unit,
    pub(super) currency: Currency,
}

/// An allowance, a gap, a kerf or a nick above this is a slip of the unit.
const MOST_SMALL: Length = Length::from_mm(50);
/// The highest price, in thousandths of a minor unit: 100 000.00 dollars. Below
/// it, the worth of a hundred thousand sticks of 50 m still fits in 64 bits.
pub(super) const MOST_PRICE: Worth = Worth(10_000_000_000);
/// The longest id that still fits on a label.
const MOST_ID: usize = 40;
/// The longest free text that is taken as meant.
const MOST_TEXT: usize = 2000;

/// Yes or no.
pub(super) const ANSWERS: [(&str, bool); 2] = [("yes", true), ("no", false)];

impl ReadingUnits {
    /// Any length that is not negative.
    pub(super) fn length(&self, text: &str) -> Result<Length, Mistake> {
        Ok(parse_length(text, self.unit)?)
    }

    /// A length that must be there.
    pub(super) fn positive(
        &self,
        what: &'static str,
    ) -> impl Fn(&str) -> Result<Length, Mistake> + '_ {
        move |text| match self.length(text)? {
            length if length.is_positive() => Ok(length),
            _ => Err(Mistake::Zero { what }),
        }
    }

    /// A length of a few millimetres at most.
    pub(super) fn small(
        &self,
        what: &'static str,
    ) -> impl Fn(&str) -> Result<Length, Mistake> + '_ {
        move |text| match self.length(text)? {
            length if length <= MOST_SMALL => Ok(length),
            _ => Err(Mistake::TooMuch { what }),
        }
    }

    /// An amount to the minor unit.
    pub(super) fn money(&self, text: &str) -> Result<Money, Mistake> {
        Ok(self.currency.parse(text)?)
    }

    /// A price of something that is not given away.
    pub(super) fn price(&self, text: &str) -> Result<Worth, Mistake> {
        match self.currency.parse_fine(text)? {
            Worth(0) => Err(Mistake::Zero { what: "the price" }),
            price if price > MOST_PRICE => Err(DecimalError::TooLarge.into()),
            price => Ok(price),
        }
    }
}

/// A whole number within bounds.
pub(super) fn count(least: u32, most: u32) -> impl Fn(&str) -> Result<u32, Mistake> {
    move |text| {
        let digits = text.bytes().all(|b| b.is_ascii_digit());
        let number = if digits { text.parse().ok() } else { None };
        number
            .filter(|number| (least..=most).contains(number))
            .ok_or(Mistake::Count { least, most })
    }
}

/// A number from 0 on with at most three decimals, in thousandths.
pub(super) fn thousandths(most: u32) -> impl Fn(&str) -> Result<u32, Mistake> {
    move |text| {
        let number = u32::try_from(parse_decimal(text, 3)?).ok();
        number.filter(|number| *number <= most * 1000).ok_or(Mistake::AboveMost { most })
    }
}

/// One of a few words, whatever its capitals.
pub(super) fn word<'w, T: Copy>(
    known: &'w [(&'static str, T)],
) -> impl Fn(&str) -> Result<T, Mistake> + 'w {
    move |text| {
        let found = known.iter().find(|(word, _)| word.eq_ignore_ascii_case(text));
        found.map(|(_, value)| *value).ok_or_else(|| {
            let words: Vec<&str> = known.iter().map(|(word, _)| *word).collect();
            Mistake::Word {
                near: Suggest::new().near(text, words.iter().copied()),
                known: words.join(", "),
            }
        })
    }
}

/// A day between 1900 and 2200, as ISO 8601 writes it.
pub(super) fn date(text: &str) -> Result<Date, Mistake> {
    let mut parts = text.split('-');
    let mut number = |digits: usize| -> Option<i16> {
        let part = parts.next()?;
        let plain = part.len() == digits && part.bytes().all(|b| b.is_ascii_digit());
        if plain { part.parse().ok() } else { None }
    };
    let (year, month, day) = (number(4), number(2), number(2));
    let day = match (year, month, day, parts.next()) {
        (Some(year), Some(month), Some(day), None) => i8::try_from(month)
            .and_then(|month| Ok((month, i8::try_from(day)?)))
            .ok()
            .and_then(|(month, day)| Date::new(year, month, day).ok()),
        _ => None,
    };
    match day {
        None => Err(Mistake::Date),
        Some(day) if (1900..=2200).contains(&day.year()) => Ok(day),
        Some(_) => Err(Mistake::DateRange),
    }
}

/// A short name by which other rows refer to this one.
pub(super) fn id(text: &str) -> Result<String, Mistake> {
    if text.chars().any(is_invisible) {
        return Err(Mistake::Control);
    }
    if text.chars().nth(MOST_ID).is_some() {
        return Err(Mistake::TooLong { most: MOST_ID });
    }
    Ok(text.to_owned())
}

/// The name of a section that is the shop's own.
pub(super) fn name(name: &str) -> Result<(), Mistake> {
    if name.is_empty() || name.trim() != name {
        return Err(Mistake::Padded);
    }
    id(name).map(|_| ())
}

/// Whether a character takes no place on paper: controls, and those that join,
/// part or turn round the letters beside them. Two ids could differ by one and
/// look the same.
pub(super) fn is_invisible(c: char) -> bool {
    c.is_control()
        || matches!(
            c,
            '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{feff}'
        )
}

/// Lines of text, parted by semicolons.
pub(super) fn lines(lines: &str) -> Result<Vec<String>, Mistake> {
    let lines = lines.split(';').map(str::trim).filter(|line| !line.is_empty());
    lines.map(text).collect()
}

/// A share that is taken off, in ten-thousandths.
pub(super) fn discount(text: &str) -> Result<u16, Mistake> {
    let share = parse_decimal(text, 4).ok().and_then(|share| u16::try_from(share).ok());
    share.filter(|share| *share < WHOLE).ok_or(Mistake::Discount)
}

/// The first day on which something is to be had again: `no` where nobody knows.
pub(super) fn back(text: &str) -> Result<Date, Mistake> {
    if text.eq_ignore_ascii_case("no") { Ok(Date::MAX) } else { date(text) }
}

/// Any text; its line breaks and tabs become blanks.
pub(super) fn text(text: &str) -> Result<String, Mistake> {
    let one_line: String =
        text.chars().map(|c| if matches!(c, '\n' | '\r' | '\t') { ' ' } else { c }).collect();
    if one_line.chars().any(is_invisible) {
        return Err(Mistake::Control);
    }
    if one_line.chars().nth(MOST_TEXT).is_some() {
        return Err(Mistake::TooLong { most: MOST_TEXT });
    }
    Ok(one_line)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_read_as_iso_8601_writes_them() {
        assert_eq!(date("2026-03-05"), Ok(jiff::civil::date(2026, 3, 5)));
        for text in
            ["2026-3-5", "05.03.2026", "2026-02-30", "2026-03-05T10:00", "20260305", "+026-03-05"]
        {
            assert_eq!(date(text), Err(Mistake::Date), "{text}");
        }
        assert_eq!(date("0226-03-05"), Err(Mistake::DateRange));
        assert_eq!(date("2201-01-01"), Err(Mistake::DateRange));
    }

    #[test]
    fn counts_are_plain_digits_within_bounds() {
        let sides = count(3, 16);
        assert_eq!(sides("8"), Ok(8));
        for text in ["2", "17", "+8", "8.0", "eight", "99999999999999999999"] {
            assert_eq!(sides(text), Err(Mistake::Count { least: 3, most: 16 }), "{text}");
        }
    }
}
