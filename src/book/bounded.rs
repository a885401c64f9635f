//! Lengths, sums and prices as the book's file has them, none of them beyond all measure.

use rusqlite::types::{FromSql, FromSqlError, FromSqlResult, ValueRef};

use crate::measure::{Length, Money, Worth};

/// Ten thousand kilometres, in nanometres. What is longer was never written by
/// this program; hundreds of such lengths still add up within 64 bits.
const LONGEST: u64 = 10_000_000_000_000_000;

/// Ten million millions in most currencies, in minor units: likewise.
pub(super) const DEAREST: u64 = 1_000_000_000_000_000;

/// A price of a hundred million minor units, in thousandths; none that is typed is so high.
const HIGHEST: u64 = 100_000_000_000;

impl FromSql for Length {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Length> {
        within(value, LONGEST).map(Length::from_nm)
    }
}

impl FromSql for Money {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Money> {
        within(value, DEAREST).map(Money)
    }
}

impl FromSql for Worth {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Worth> {
        within(value, HIGHEST).map(Worth)
    }
}

fn within(value: ValueRef<'_>, most: u64) -> FromSqlResult<i64> {
    let number = i64::column_result(value)?;
    match number.unsigned_abs() > most {
        true => Err(FromSqlError::OutOfRange(number)),
        false => Ok(number),
    }
}
