//! What can be wrong with an instance, each with its place and its mend.

use std::fmt;

use super::quote::Quote;

/// One fault of an instance.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}, {flaw}")]
pub struct Fault {
    /// The line it stands on, from 1.
    pub line: usize,
    /// What is wrong there.
    pub flaw: Flaw,
}

/// What is wrong, in words that say what was read and what to write instead.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs, reason = "each message says what its fields are")]
pub enum Flaw {
    #[error("the file holds nothing (write how many items, the stock length, then the items)")]
    Nothing,
    #[error(
        "{field}: \"{read}\" is not a whole number (write digits only; for fractions \
         use a finer unit, such as tenths of a millimetre)"
    )]
    NotWhole { field: Field, read: Quote },
    #[error("{field}: \"{read}\" is negative (write 1 or more)")]
    Negative { field: Field, read: Quote },
    #[error("{field}: 0 will not do (write 1 or more, or leave the row out)")]
    Zero { field: Field },
    #[error("{field}: \"{read}\" is more than {most} (use a coarser unit)")]
    TooBig { field: Field, read: Quote, most: i64 },
    #[error("{field}: \"{read}\" is more than one number (one line, one number here)")]
    OneNumber { field: Field, read: Quote },
    #[error("item: \"{read}\" (write \"length demand\", or the length alone where one is wanted)")]
    ItemRow { read: Quote },
    #[error("stock: \"{read}\" (write \"length available cost\")")]
    StockRow { read: Quote },
    #[error(
        "second row: \"{read}\" (write the stock length alone, or \"length available cost\" \
         for each of several stock lengths)"
    )]
    SecondRow { read: Quote },
    #[error("{field}: {said} announced, {found} found (let the two agree)")]
    RowCount { field: Field, said: i64, found: usize },
    #[error("{field}: the file ends before it")]
    Ends { field: Field },
    #[error("not JSON: {message}")]
    NotJson { message: Quote },
    #[error("{read} is no {wanted} (write {example})")]
    Shape { read: Quote, wanted: &'static str, example: &'static str },
    #[error("\"{key}\" is missing (write {example})")]
    Missing { key: &'static str, example: &'static str },
    #[error("\"{key}\" is not a key here (the keys are {known})")]
    UnknownKey { key: Quote, known: &'static str },
    #[error("\"{key}\" is given twice (keep one)")]
    Twice { key: Quote },
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
pub enum Field {
    ItemCount,
    StockCount,
    StockLength,
    Available,
    Cost,
    Length,
    Demand,
}

impl fmt::Display for Field {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Field::ItemCount => "number of items",
            Field::StockCount => "number of stock lengths",
            Field::StockLength => "stock length",
            Field::Available => "available",
            Field::Cost => "cost",
            Field::Length => "length",
            Field::Demand => "demand",
        })
    }
}

/// How many faults are shown before the rest is only counted.
const SHOWN: usize = 40;

/// All the faults of one instance, in the order of their lines.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub struct Faults {
    /// The name of the file, as the user gave it.
    pub file: String,
    /// At least one.
    pub faults: Vec<Fault>,
}

impl fmt::Display for Faults {
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
