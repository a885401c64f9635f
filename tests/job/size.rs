//! How lengths and weights are written in these tests.

use longpoint::measure::{Length, Unit, Weight, parse_length, parse_weight};

/// A length in inches, or with its unit.
pub fn inch(text: &str) -> Length {
    parse_length(text, Unit::Inch).unwrap()
}

/// Two of them.
pub fn inches(width: &str, height: &str) -> (Length, Length) {
    (inch(width), inch(height))
}

/// A length in millimetres.
pub fn mm(text: &str) -> Length {
    parse_length(text, Unit::Millimetre).unwrap()
}

/// A weight with its unit.
pub fn kg(text: &str) -> Weight {
    parse_weight(text).unwrap()
}

/// Whether a length shows as a printed figure to its last digit: within half of one.
pub fn shows(length: Length, printed: &str, unit: Unit) {
    let decimals = printed.split_once('.').map_or(0, |(_, part)| part.len());
    let digit = unit.nm() / 10_i64.pow(u32::try_from(decimals).unwrap());
    let printed = parse_length(printed, unit).unwrap();
    let apart = (length - printed).nm().abs();
    assert!(apart * 2 <= digit + 2, "{} nm for {} nm", length.nm(), printed.nm());
}

/// The same of a factor on a weight, in thousandths of it.
pub fn factor(load: Weight, weight: Weight, thousandths: i64) {
    let of = i128::from(load.ug()) * 2000 / i128::from(weight.ug());
    let apart = (of - 2 * i128::from(thousandths)).abs();
    assert!(apart <= 2, "{of} half thousandths for {thousandths}");
}
