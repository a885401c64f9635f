//! Lengths as the book's file has them, none of them beyond all measure.

use rusqlite::types::{FromSql, FromSqlError, FromSqlResult, ValueRef};

use crate::measure::Length;

/// Ten thousand kilometres, in nanometres. What is longer was never written by
/// this program; hundreds of such lengths still add up within 64 bits.
const LONGEST: u64 = 10_000_000_000_000_000;

impl FromSql for Length {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Length> {
        let nm = i64::column_result(value)?;
        match nm.unsigned_abs() > LONGEST {
            true => Err(FromSqlError::OutOfRange(nm)),
            false => Ok(Length::from_nm(nm)),
        }
    }
}
