//! Prices as suppliers write them in their lists: with a currency's sign and with marks
//! between the thousands, as far as there is only one way to read them.

use std::borrow::Cow;

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

/// The price as digits with a point; what could be read in two ways is left as it is,
/// so that it is refused. `commas` says that the list has decimal commas.
pub(super) fn plain<'t>(text: Cow<'t, str>, commas: bool, currency: &Currency) -> Cow<'t, str> {
    let bare = without_sign(text.trim(), currency);
    let (point, mark) = if commas { (',', '.') } else { ('.', ',') };
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
        return text;
    }
    let whole = [&[first][..], &others].concat().concat();
    Cow::Owned(part.map_or(whole.clone(), |part| format!("{whole}.{part}")))
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

    fn read(text: &str, commas: bool, code: &str) -> String {
        plain(Cow::Borrowed(text), commas, &Currency::new(code).unwrap()).into_owned()
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
            assert_eq!(read(text, false, "USD"), plain, "{text}");
        }
        assert_eq!(read("1.234,50 €", true, "EUR"), "1234.50");
        assert_eq!(read("4,85", true, "EUR"), "4.85");
    }

    #[test]
    fn what_could_be_read_two_ways_is_left() {
        for text in ["1,234", "£4.85", "4,85", "12,34.50", "POA", "-4.85", "", "1,2345.00"] {
            assert_eq!(read(text, false, "USD"), text);
        }
        assert_eq!(read("1.234", true, "EUR"), "1.234");
    }
}
