//! Decimal figures read into integers of a fixed fineness, without rounding.

/// Why a text is no decimal figure of the wanted fineness.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DecimalError {
    /// Not digits with at most one point.
    #[error("is not a number (write digits with a point, such as 4.85)")]
    NotANumber,
    /// A minus sign.
    #[error("is below zero (write it without the minus)")]
    Negative,
    /// More decimals than the integer underneath can hold.
    #[error("has more than {0} decimals (round it to {0})")]
    TooFine(u32),
    /// Too many digits for any use in a shop.
    #[error("is too large to be meant (is a decimal point missing?)")]
    TooLarge,
}

/// The most digits before the point: a billion is no moulding price.
const MOST_WHOLE_DIGITS: usize = 9;

/// Millionths as a decimal: `0.5`.
pub(crate) fn show_share(millionths: u32) -> String {
    let text = format!("{}.{:06}", millionths / 1_000_000, millionths % 1_000_000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Reads `text` as a count of units of 10^-`decimals`.
///
/// # Errors
/// Says what is wrong with the text; nothing is rounded.
pub(crate) fn parse_decimal(text: &str, decimals: u32) -> Result<i64, DecimalError> {
    let text = text.trim();
    let is_minus = |c: char| matches!(c, '-' | '\u{2212}');
    let rest = text.trim_start_matches(|c: char| is_minus(c) || c.is_whitespace());
    if rest.len() < text.len() {
        return parse_decimal(rest, decimals).and(Err(DecimalError::Negative));
    }
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    let all_digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
    if (whole.is_empty() && fraction.is_empty()) || !all_digits(whole) || !all_digits(fraction) {
        return Err(DecimalError::NotANumber);
    }
    let whole = whole.trim_start_matches('0');
    let fraction = fraction.trim_end_matches('0');
    if whole.len() > MOST_WHOLE_DIGITS {
        return Err(DecimalError::TooLarge);
    }
    let places = u32::try_from(fraction.len()).unwrap_or(u32::MAX);
    if places > decimals {
        return Err(DecimalError::TooFine(decimals));
    }
    let digits = format!("0{whole}{fraction}");
    let value: i64 = digits.parse().map_err(|_| DecimalError::TooLarge)?;
    10_i64
        .checked_pow(decimals - places)
        .and_then(|scale| value.checked_mul(scale))
        .ok_or(DecimalError::TooLarge)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_read_exactly_or_refused_by_name() {
        assert_eq!(parse_decimal("4.85", 2), Ok(485));
        assert_eq!(parse_decimal(" 4 ", 2), Ok(400));
        assert_eq!(parse_decimal(".5", 6), Ok(500_000));
        assert_eq!(parse_decimal("4.850000", 2), Ok(485));
        assert_eq!(parse_decimal("4.855", 2), Err(DecimalError::TooFine(2)));
        assert_eq!(parse_decimal("-4", 2), Err(DecimalError::Negative));
        assert_eq!(parse_decimal("4,85", 2), Err(DecimalError::NotANumber));
        assert_eq!(parse_decimal("", 2), Err(DecimalError::NotANumber));
        assert_eq!(parse_decimal(".", 2), Err(DecimalError::NotANumber));
        assert_eq!(parse_decimal("1e3", 2), Err(DecimalError::NotANumber));
        assert_eq!(parse_decimal("99999999999", 2), Err(DecimalError::TooLarge));
    }
}
