//! Reads a number greater than zero, or says by name what it is instead.

use super::fault::{InputError, Quantity};
use super::quote::Excerpt;

/// The greatest length or cost that is read: a million kilometres in
/// millimetres. The sums that a plan needs stay far inside 64 bits.
pub const MOST: i64 = 1_000_000_000_000;

/// The greatest count that is read.
pub const MOST_COUNT: i64 = u32::MAX as i64;

/// Reads a length or a cost.
///
/// # Errors
///
/// The [`InputError`] of what stands there.
pub fn amount(field: Quantity, read: &str) -> Result<i64, InputError> {
    positive(field, read, MOST)
}

/// Reads a demand, a supply or a number of rows.
///
/// # Errors
///
/// The [`InputError`] of what stands there.
pub fn count(field: Quantity, read: &str) -> Result<u32, InputError> {
    let value = positive(field, read, MOST_COUNT)?;
    Ok(u32::try_from(value).expect("a count is at most MOST_COUNT"))
}

fn positive(field: Quantity, read: &str, most: i64) -> Result<i64, InputError> {
    let digits = read.strip_prefix('-').unwrap_or(read);
    let whole = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
    let negative = read.starts_with('-');
    let read = Excerpt::new(read);
    if !whole {
        return Err(InputError::NotWhole { field, read });
    }
    let value = digits.parse::<i64>();
    if value == Ok(0) {
        return Err(InputError::Zero { field });
    }
    if negative {
        return Err(InputError::Negative { field, read });
    }
    // Digits that do not parse are too many digits.
    value.ok().filter(|&value| value <= most).ok_or(InputError::TooBig { field, read, most })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_numbers_above_zero_are_read() {
        assert_eq!(amount(Quantity::Length, "1"), Ok(1));
        assert_eq!(amount(Quantity::Length, "0042"), Ok(42));
        assert_eq!(amount(Quantity::Cost, "1000000000000"), Ok(MOST));
        assert_eq!(count(Quantity::Demand, "4294967295"), Ok(u32::MAX));
    }

    #[test]
    fn everything_else_is_refused_by_name() {
        let flaw = |read| amount(Quantity::Length, read).unwrap_err();
        for read in ["", "-", "12.5", "12,5", "1e3", "+3", "--3", "abc", "٣", "16\""] {
            assert!(matches!(flaw(read), InputError::NotWhole { .. }), "{read:?}");
        }
        for read in ["-1", "-99999999999999999999"] {
            assert!(matches!(flaw(read), InputError::Negative { .. }), "{read:?}");
        }
        for read in ["0", "-0", "000"] {
            assert!(matches!(flaw(read), InputError::Zero { .. }), "{read:?}");
        }
        for read in ["1000000000001", "99999999999999999999"] {
            assert!(matches!(flaw(read), InputError::TooBig { .. }), "{read:?}");
        }
        assert!(matches!(
            count(Quantity::Demand, "4294967296"),
            Err(InputError::TooBig { most, .. }) if most == MOST_COUNT
        ));
    }
}
