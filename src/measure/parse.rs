//! The many ways a framer writes a length, read exactly.

use super::{Length, Unit, date};

/// Why a text is no length. Each says how to mend it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LengthError {
    /// Not one of the spellings.
    #[error("is not a length (write 12.5, 12 1/2 or 317.5 mm)")]
    NotALength,
    /// A date, which a spreadsheet made of a fraction.
    #[error(
        "is a date, which a spreadsheet makes of a fraction ({0}, or make the cells text first)"
    )]
    Date(String),
    /// A comma where the point belongs.
    #[error("is not a length (write {0} with a point, not a comma)")]
    Comma(String),
    /// Not a whole number of nanometres.
    #[error(
        "is finer than a millionth of a millimetre (write it as a decimal of at most 6 places in mm, or in 64ths)"
    )]
    TooFine,
    /// Below zero.
    #[error("is below zero (lengths have no minus sign)")]
    Negative,
    /// Longer than any stick.
    #[error("is longer than 50 m, which no stick is (is the unit right?)")]
    Absurd,
}

/// A longer text is not repeated with its comma mended.
const MOST_MENDED: usize = 40;
/// How people write a minus.
const MINUS: [char; 2] = ['-', '\u{2212}'];
/// The longest length that is taken as meant.
const LONGEST: i64 = 50_000 * 1_000_000;
/// More digits than this in one figure are refused before any arithmetic, so
/// that the sums below stay in 128 bits; a metre has 10^9 nanometres.
const MOST_DIGITS: usize = 9;

/// Reads a length; a bare number is in `unit`.
///
/// ```
/// use longpoint::measure::{Length, Unit, parse_length};
/// let quarter = Length::from_64ths(16 * 64 + 16);
/// for text in ["16.25", "16 1/4", "16-1/4", "16 1/4\"", "16.25 in", "1' 4 1/4\"", "412.75 mm", "41.275 cm", "0.41275 m", "65/4"] {
///     assert_eq!(parse_length(text, Unit::Inch), Ok(quarter), "{text}");
/// }
/// assert_eq!(parse_length("5' 3 1/2\"", Unit::Millimetre), Ok(Length::from_64ths(64 * 63 + 32)));
/// assert_eq!(parse_length("412", Unit::Millimetre), Ok(Length::from_mm(412)));
/// assert_eq!(parse_length("16 1/4", Unit::Millimetre), parse_length("16.25 mm", Unit::Inch));
/// assert_eq!(parse_length("0.001", Unit::Inch), Ok(Length::from_nm(25_400)));
/// ```
///
/// # Errors
/// Names what is wrong: no such spelling, a decimal comma, finer than a
/// nanometre, negative, or longer than 50 m.
pub fn parse_length(text: &str, unit: Unit) -> Result<Length, LengthError> {
    let text = text.trim();
    let rest = text.trim_start_matches(|c: char| MINUS.contains(&c) || c.is_whitespace());
    if rest.len() < text.len() {
        return parse_length(rest, unit).and(Err(LengthError::Negative));
    }
    if let Some(fraction) = date::fraction(text) {
        return Err(LengthError::Date(fraction));
    }
    if let Some(mended) = decimal_comma(text, unit) {
        return Err(LengthError::Comma(mended));
    }
    let (feet, rest) = match text.split_once(FEET) {
        Some((feet, rest)) => (Some(feet), rest.trim()),
        None => (None, text),
    };
    let mut total = Ratio::ZERO;
    if let Some(feet) = feet {
        total = Ratio::number(feet)?.times(12 * Unit::Inch.nm());
    }
    if feet.is_none() || !rest.is_empty() {
        let (figure, nm) = split_unit(rest, if feet.is_some() { Unit::Inch } else { unit });
        if feet.is_some() && nm != Unit::Inch.nm() {
            return Err(LengthError::NotALength);
        }
        total = total.plus(Ratio::number(figure)?.times(nm));
    }
    total.to_length()
}

/// The text with a point, if a decimal comma is all that is wrong with it.
fn decimal_comma(text: &str, unit: Unit) -> Option<String> {
    let (whole, part) = text.split_once(',')?;
    let looks_decimal =
        whole.bytes().all(|b| b.is_ascii_digit()) && part.starts_with(|c: char| c.is_ascii_digit());
    let mended = format!("{whole}.{part}");
    let looks_decimal = looks_decimal && mended.len() <= MOST_MENDED;
    (looks_decimal && parse_length(&mended, unit).is_ok()).then_some(mended)
}

/// Units' symbols, with the nanometres in one.
const SYMBOLS: [(&str, i64); 8] = [
    ("mm", 1_000_000),
    ("cm", 10_000_000),
    ("in", 25_400_000),
    ("ft", 12 * 25_400_000),
    ("m", 1_000_000_000),
    ("\"", 25_400_000),
    ("\u{201d}", 25_400_000),
    ("\u{2033}", 25_400_000),
];

/// The marks of feet.
const FEET: [char; 3] = ['\'', '\u{2019}', '\u{2032}'];

/// The symbol of the unit that a length is written in, if one is written.
pub fn written_unit(text: &str) -> Option<&'static str> {
    let symbol = SYMBOLS.iter().map(|(symbol, _)| *symbol);
    let feet = text.contains(FEET).then_some("'");
    symbol.into_iter().find(|symbol| text.trim_end().ends_with(symbol)).or(feet)
}

/// Splits a unit's symbol from the end of a figure: the figure and the
/// nanometres in one of the unit.
fn split_unit(text: &str, bare: Unit) -> (&str, i64) {
    for (symbol, nm) in SYMBOLS {
        if let Some(figure) = text.strip_suffix(symbol) {
            return (figure.trim_end(), nm);
        }
    }
    (text, bare.nm())
}

/// An exact fraction, small enough for its sums to stay in 128 bits.
#[derive(Clone, Copy)]
struct Ratio {
    above: i128,
    below: i128,
}

impl Ratio {
    const ZERO: Ratio = Ratio { above: 0, below: 1 };

    /// Reads `16`, `16.25`, `1/4`, `16 1/4` or `16-1/4`.
    fn number(text: &str) -> Result<Ratio, LengthError> {
        let text = text.trim();
        let Some((front, below)) = text.split_once('/') else {
            return Ratio::decimal(text);
        };
        let (whole, above) = match front.trim_end().rsplit_once([' ', '-']) {
            Some((whole, above)) => (Ratio::digits(whole.trim_end())?, above),
            None => (0, front),
        };
        let (above, below) = (Ratio::digits(above.trim())?, Ratio::digits(below.trim())?);
        if below == 0 {
            return Err(LengthError::NotALength);
        }
        Ok(Ratio { above: whole * below + above, below })
    }

    fn decimal(text: &str) -> Result<Ratio, LengthError> {
        let (whole, part) = text.split_once('.').unwrap_or((text, ""));
        if whole.is_empty() && part.is_empty() {
            return Err(LengthError::NotALength);
        }
        let part = part.trim_end_matches('0');
        if part.len() > MOST_DIGITS {
            return Err(LengthError::TooFine);
        }
        let above = |digits: &str| if digits.is_empty() { Ok(0) } else { Ratio::digits(digits) };
        let (whole, fraction) = (above(whole)?, above(part)?);
        let below = 10_i128.pow(u32::try_from(part.len()).map_err(|_| LengthError::TooFine)?);
        Ok(Ratio { above: whole * below + fraction, below })
    }

    fn digits(text: &str) -> Result<i128, LengthError> {
        if text.is_empty() || !text.bytes().all(|b| b.is_ascii_digit()) {
            return Err(LengthError::NotALength);
        }
        let significant = text.trim_start_matches('0');
        if significant.len() > MOST_DIGITS {
            return Err(LengthError::Absurd);
        }
        format!("0{significant}").parse().map_err(|_| LengthError::Absurd)
    }

    fn times(self, factor: i64) -> Ratio {
        Ratio { above: self.above * i128::from(factor), below: self.below }
    }

    fn plus(self, other: Ratio) -> Ratio {
        Ratio {
            above: self.above * other.below + other.above * self.below,
            below: self.below * other.below,
        }
    }

    fn to_length(self) -> Result<Length, LengthError> {
        let nm = self.above / self.below;
        if nm > i128::from(LONGEST) {
            return Err(LengthError::Absurd);
        }
        if self.above % self.below != 0 {
            return Err(LengthError::TooFine);
        }
        i64::try_from(nm).map(Length::from_nm).map_err(|_| LengthError::Absurd)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_is_no_length_is_refused_by_name() {
        let refused = |text: &str| parse_length(text, Unit::Inch).unwrap_err();
        for text in [
            "",
            "abc",
            "1/0",
            "16 1/4 1/2",
            "1 2",
            "16..2",
            "'",
            "5' 3 mm",
            "1/2/3",
            "16\" 1/4",
            "NaN",
            "1e3",
            "+5",
        ] {
            assert_eq!(refused(text), LengthError::NotALength, "{text:?}");
        }
        assert_eq!(refused("12,5"), LengthError::Comma("12.5".to_owned()));
        assert_eq!(refused("1/128"), LengthError::TooFine);
        assert_eq!(refused("16.0000001"), LengthError::TooFine);
        assert_eq!(refused("-3"), LengthError::Negative);
        assert_eq!(refused("\u{2212}3 1/2"), LengthError::Negative);
        assert_eq!(refused("9999"), LengthError::Absurd);
        assert_eq!(refused("99999999999999999999999999999999"), LengthError::Absurd);
    }

    #[test]
    fn the_grain_of_the_bench_is_exact() {
        assert_eq!(parse_length("1/64", Unit::Inch), Ok(Length::from_nm(396_875)));
        assert_eq!(parse_length("0.000001", Unit::Millimetre), Ok(Length::from_nm(1)));
        assert_eq!(parse_length("50 m", Unit::Inch), Ok(Length::from_mm(50_000)));
    }

    proptest! {
        #[test]
        fn no_text_makes_the_reader_panic(text in "\\PC{0,40}", inches in any::<bool>()) {
            let unit = if inches { Unit::Inch } else { Unit::Millimetre };
            let _ = parse_length(&text, unit);
        }

        #[test]
        fn figures_and_signs_in_any_order_never_panic(text in "[0-9 ./'\"\\-mcift,]{0,60}") {
            let _ = parse_length(&text, Unit::Inch);
        }
    }
}
