//! What can be wrong with an instance, each with its place and its mend.

use std::fmt;

use super::quote::Excerpt;

/// One fault of an instance.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}, {flaw}")]
pub struct InputFault {
    /// The line it stands on, from 1.
    pub line: usize,
    /// What is wrong there.
    pub flaw: InputError,
}

/// What is wrong, in words that say what was read and what to write instead.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs, reason = "each message says what its fields are")]
pub enum InputError {
    #[error("the file holds nothing (write how many items, the stock length, then the items)")]
    Nothing,
    #[error(
        "{field}: \"{read}\" is not a whole number (write digits only; for fractions \
         use a finer unit, such as tenths of a millimetre)"
    )]
    NotWhole { field: Quantity, read: Excerpt },
    #[error("{field}: \"{read}\" is negative (write 1 or more)")]
    Negative { field: Quantity, read: Excerpt },
    #[error("{field}: 0 will not do (write 1 or more, or leave the row out)")]
    Zero { field: Quantity },
    #[error("{field}: \"{read}\" is more than {most} (use a coarser unit)")]
    TooBig { field: Quantity, read: Excerpt, most: i64 },
    #[error("{field}: \"{read}\" is more than one number (one line, one number here)")]
    OneNumber { field: Quantity, read: Excerpt },
    #[error("item: \"{read}\" (write \"length demand\", or the length alone where one is wanted)")]
    ItemRow { read: Excerpt },
    #[error("stock: \"{read}\" (write \"length available cost\")")]
    StockRow { read: Excerpt },
    #[error(
        "second row: \"{read}\" (write the stock length alone, or \"length available cost\" \
         for each of several stock lengths)"
    )]
    SecondRow { read: Excerpt },
    #[error("{field}: {said} announced, {found} found (let the two agree)")]
    RowCount { field: Quantity, said: i64, found: usize },
    #[error("{field}: the file ends before it")]
    Ends { field: Quantity },
    #[error("not JSON: {message}")]
    NotJson { message: Excerpt },
    #[error("{read} is no {wanted} (write {example})")]
    Shape { read: Excerpt, wanted: &'static str, example: &'static str },
    #[error("\"{key}\" is missing (write {example})")]
    Missing { key: &'static str, example: &'static str },
    #[error("\"{key}\" is not a key here (the keys are {known})")]
    UnknownKey { key: Excerpt, known: &'static str },
    #[error("\"{key}\" is given twice (keep one)")]
    Twice { key: Excerpt },
    #[error("{what} add up to more than {most} (use a coarser unit)")]
    Sum { what: &'static str, most: i64 },
    #[error("all demands together are more than {most} pieces (split the instance)")]
    Pieces { most: i64 },
    #[error(
        "{found} {what} are more than {most} (split the instance, or leave out what it does not need)"
    )]
    TooMany { what: &'static str, found: usize, most: usize },
}

/// What a number in an instance stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs, reason = "the printed names say it")]
pub enum Quantity {
    ItemCount,
    StockCount,
    StockLength,
    Available,
    Cost,
    Length,
    Demand,
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Quantity::ItemCount => "number of items",
            Quantity::StockCount => "number of stock lengths",
            Quantity::StockLength => "stock length",
            Quantity::Available => "available",
            Quantity::Cost => "cost",
            Quantity::Length => "length",
            Quantity::Demand => "demand",
        })
    }
}

/// How many faults are shown before the rest is only counted.
const SHOWN: usize = 40;

/// All the faults of one instance, in the order of their lines.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub struct InputFaults {
    /// The name of the file, as the user gave it.
    pub file: String,
    /// At least one.
    pub faults: Vec<InputFault>,
}

impl fmt::Display for InputFaults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, fault) in self.faults.iter().take(SHOWN).enumerate() {
            let end = if index == 0 { "" } else { "\n" };
            write!(f, "{end}{}, {fault}", self.file)?;
        }
        match self.faults.len().saturating_sub(SHOWN) {
            0 => Ok(()),
            more => write!(f, "\nand {more} more like these"),
        }
    }
}
