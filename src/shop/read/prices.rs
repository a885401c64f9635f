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
    /// It has none with a comma, and might all the same write 1.234 for 1234.
    Unknown,
}

/// The price as digits with a point; what is none is left as it is, so that it is
/// refused.
///
/// # Errors
/// What was read, if that is one figure with a point for a decimal and another for
/// thousands, and the list does not tell which.
pub(super) fn plain<'t>(
    text: Cow<'t, str>,
    written: Decimals,
    currency: &Currency,
) -> Result<Cow<'t, str>, (String, Mistake)> {
    let bare = without_sign(text.trim(), currency);
    let three_after_point = |(whole, part): (&str, &str)| {
        let digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
        matches!(whole.len(), 1..=3) && part.len() == 3 && digits(whole) && digits(part)
    };
    if written != Decimals::Points && bare.split_once('.').is_some_and(three_after_point) {
        return Err((text.trim().to_owned(), ListMistake::PointOrThousand.into()));
    }
    Ok(as_digits(bare, written).map_or(text, Cow::Owned))
}

/// The figure as digits with a point, if it can be read in one way only.
fn as_digits(bare: &str, written: Decimals) -> Option<String> {
    let (point, mark) = if written == Decimals::Commas { (',', '.') } else { ('.', ',') };
    let (whole, part) = match bare.split_once(point) {
        Some((whole, part)) => (whole, Some(part)),
        None => (bare, None),
    };
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let mut groups = whole.split(mark);
    let first = groups.next().unwrap_or_default();
    let others: Vec<&str> = groups.collect();
    let is_grouped = first.len() <= 3 && others.iter().all(|group| group.len() == 3);
    // One mark and no decimals may be a decimal comma: 1,234 is left.
    let is_sure = others.is_empty() || is_grouped && (part.is_some() || others.len() > 1);
    if !is_sure || !digits(first) || !others.iter().chain(&part).all(|group| digits(group)) {
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
    fn what_can_be_read_one_way_only_is_read() {
        for (text, plain) in [
            ("4.85", "4.85"),
            ("$4.85", "4.85"),
            ("US$ 1,234.50", "1234.50"),
            ("1,234,567", "1234567"),
            ("4.85 USD", "4.85"),
            (" 12 ", "12"),
        ] {
            assert_eq!(read(text, Decimals::Points, "USD"), plain, "{text}");
        }
        assert_eq!(read("1.234,50 €", Decimals::Commas, "EUR"), "1234.50");
        assert_eq!(read("4,85", Decimals::Commas, "EUR"), "4.85");
    }

    #[test]
    fn what_could_be_read_two_ways_is_left() {
        for text in ["1,234", "£4.85", "4,85", "12,34.50", "POA", "-4.85", "", "1,2345.00"] {
            assert_eq!(read(text, Decimals::Points, "USD"), text);
        }
        assert_eq!(read("1.234", Decimals::Points, "EUR"), "1.234");
        for written in [Decimals::Commas, Decimals::Unknown] {
            assert_eq!(read("1.234 €", written, "EUR"), "1.234 €?");
            assert_eq!(read("1234", written, "EUR"), "1234");
        }
        assert_eq!(read("1.25", Decimals::Unknown, "EUR"), "1.25");
    }
}
