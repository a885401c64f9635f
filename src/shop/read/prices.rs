//! Prices as suppliers write them in their lists: with a currency's sign and with marks
//! between the thousands, as far as there is only one way to read them.

use std::borrow::Cow;

use super::list_mistake::ListMistake;
use super::mistake::Mistake;
use crate::measure::Currency;

/// The signs of some currencies.
const SIGNS: [(&str, &[&str]); 12] = [
    ("USD", &["US$", "$"]),
    ("CAD", &["CA$", "C$", "$"]),
    ("AUD", &["AU$", "A$", "$"]),
    ("NZD", &["NZ$", "$"]),
    ("GBP", &["£"]),
    ("EUR", &["€"]),
    ("JPY", &["¥", "￥"]),
    ("CHF", &["Fr.", "SFr."]),
    ("SEK", &["kr"]),
    ("NOK", &["kr"]),
    ("DKK", &["kr."]),
    ("INR", &["₹", "Rs."]),
];

/// How a list writes its decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Decimals {
    /// 1,234.50
    Points,
    /// 1.234,50
    Commas,
    /// It does not say: 1,234 and 1.234 might be either.
    Unknown,
}

impl Decimals {
    /// Reads `.` or `,`.
    pub(super) fn read(text: &str) -> Result<Decimals, Mistake> {
        match text {
            "." => Ok(Decimals::Points),
            "," => Ok(Decimals::Commas),
            _ => Err(ListMistake::Decimal.into()),
        }
    }

    /// What a price says of its list's decimals, where it can be read in one way only.
    pub(super) fn shown_by(price: &str, currency: &Currency) -> Decimals {
        let bare = without_sign(price.trim(), currency);
        let is_read = |written| as_digits(bare, written).is_some();
        match (is_read(Decimals::Points), is_read(Decimals::Commas)) {
            (true, false) => Decimals::Points,
            (false, true) => Decimals::Commas,
            _ => Decimals::Unknown,
        }
    }
}

/// The price as digits with a point; what is none is left as it is, so that it is
/// refused.
///
/// # Errors
/// What was read, if it is one figure with a point for a decimal and another with one for
/// thousands and the list does not tell which, or is only one in the way that the list
/// is not written in.
pub(super) fn plain<'t>(
    text: Cow<'t, str>,
    written: Decimals,
    currency: &Currency,
) -> Result<Cow<'t, str>, (String, Mistake)> {
    let bare = without_sign(text.trim(), currency);
    let [points, commas] = [Decimals::Points, Decimals::Commas].map(|way| as_digits(bare, way));
    let wrong = |problem: ListMistake| Err((text.trim().to_owned(), problem.into()));
    let digits = match (written, points, commas) {
        (_, None, None) => return Ok(text),
        (Decimals::Unknown, Some(one), Some(other)) if one != other => {
            let is_whole = !one.contains('.');
            let (whole, part) = if is_whole { (one, other) } else { (other, one) };
            return wrong(ListMistake::PointOrThousand { whole, part });
        }
        (Decimals::Points, None, _) => return wrong(ListMistake::OtherDecimals { decimal: '.' }),
        (Decimals::Commas, _, None) => return wrong(ListMistake::OtherDecimals { decimal: ',' }),
        (Decimals::Commas, _, Some(digits)) | (_, Some(digits), _) | (_, None, Some(digits)) => {
            digits
        }
    };
    Ok(Cow::Owned(digits))
}

/// What may stand between thousands, whatever is before the decimals: a blank, one that
/// breaks no line, a narrow one, an apostrophe.
const BETWEEN: [char; 5] = [' ', '\u{a0}', '\u{202f}', '\'', '\u{2019}'];

/// The figure as digits with a point, if it is one where decimals are written so.
fn as_digits(bare: &str, written: Decimals) -> Option<String> {
    let (point, mark) = if written == Decimals::Commas { (',', '.') } else { ('.', ',') };
    let (whole, part) = match bare.split_once(point) {
        Some((whole, part)) => (whole, Some(part)),
        None => (bare, None),
    };
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    // One mark alone stands between all thousands of a figure.
    let mark = whole.chars().find(|c| BETWEEN.contains(c)).unwrap_or(mark);
    let mut groups = whole.split(mark);
    let first = groups.next().unwrap_or_default();
    let others: Vec<&str> = groups.collect();
    let is_grouped =
        first.len() <= 3 && !first.starts_with('0') && others.iter().all(|g| g.len() == 3);
    let is_one = others.is_empty() || is_grouped;
    if !is_one || !digits(first) || !others.iter().chain(&part).all(|group| digits(group)) {
        return None;
    }
    let whole = [&[first][..], &others].concat().concat();
    Some(part.map_or(whole.clone(), |part| format!("{whole}.{part}")))
}

/// The figure without the shop's own currency before or after it.
fn without_sign<'t>(text: &'t str, currency: &Currency) -> &'t str {
    let of = SIGNS.iter().find(|(code, _)| *code == currency.code());
    let signs = of.map_or(&[][..], |(_, signs)| *signs).iter().copied();
    for sign in signs.chain([currency.code()]) {
        let bare = text.strip_prefix(sign).or_else(|| text.strip_suffix(sign));
        if let Some(bare) = bare {
            return bare.trim();
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, written: Decimals, code: &str) -> String {
        let read = plain(Cow::Borrowed(text), written, &Currency::new(code).unwrap());
        read.map_or_else(|(read, _)| format!("{read}?"), Cow::into_owned)
    }

    /// Common practice, no source.
    #[test]
    fn what_is_written_as_its_list_is_read() {
        for (text, plain) in [
            ("4.85", "4.85"),
            ("$4.85", "4.85"),
            ("US$ 1,234.50", "1234.50"),
            ("1,234,567", "1234567"),
            ("1,234", "1234"),
            ("1'234.50", "1234.50"),
            ("1 234 567", "1234567"),
            ("1.234", "1.234"),
            ("4.85 USD", "4.85"),
            (" 12 ", "12"),
        ] {
            assert_eq!(read(text, Decimals::Points, "USD"), plain, "{text}");
        }
        for (text, plain) in [
            ("1.234,50 €", "1234.50"),
            ("4,85", "4.85"),
            ("1,234", "1.234"),
            ("1.234 €", "1234"),
            ("1 234,50", "1234.50"),
            ("1\u{a0}234,50\u{a0}€", "1234.50"),
            ("1\u{202f}234\u{202f}567,5", "1234567.5"),
            ("1\u{2019}234,50", "1234.50"),
        ] {
            assert_eq!(read(text, Decimals::Commas, "EUR"), plain, "{text}");
        }
    }

    #[test]
    fn what_could_be_read_two_ways_is_asked_about() {
        for text in ["1,234", "1.234 €", "999.000"] {
            assert_eq!(read(text, Decimals::Unknown, "EUR"), format!("{text}?"));
        }
        for (text, plain) in [
            ("1234", "1234"),
            ("1.25", "1.25"),
            ("1,25", "1.25"),
            ("0,234", "0.234"),
            ("1234.500", "1234.500"),
            ("1.234,567", "1234.567"),
            ("1 234", "1234"),
            ("1 234,567", "1234.567"),
        ] {
            assert_eq!(read(text, Decimals::Unknown, "EUR"), plain, "{text}");
        }
    }

    #[test]
    fn what_is_not_written_as_its_list_is_refused() {
        for text in ["4,85", "1.234,50", "1.234.567"] {
            assert_eq!(read(text, Decimals::Points, "USD"), format!("{text}?"));
        }
        for text in ["4.85", "1,234.50", "1,234,567"] {
            assert_eq!(read(text, Decimals::Commas, "USD"), format!("{text}?"));
        }
        for text in ["£4.85", "12,34.50", "POA", "-4.85", "", "1,2345.00", "1,23,456"]
            .into_iter()
            .chain(["1 23", "1 2345", "1 234 56", "1 234'567", "1 234,567.50", "0 234", "1  234"])
        {
            for written in [Decimals::Points, Decimals::Commas, Decimals::Unknown] {
                assert_eq!(read(text, written, "USD"), text, "{written:?}");
            }
        }
    }
}
