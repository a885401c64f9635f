//! What can be wrong with a supplier's price list, each with its mend in brackets.

use super::suggest::did_you_mean;

/// What is wrong with a list, or with what is said of it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ListMistake {
    /// A name of a list's file that is none.
    #[error("is no name of a file beside shop.toml (write a name alone, such as list-2026.csv)")]
    ListFile,
    /// A price list that is not there.
    #[error("is missing (put the list of {supplier} there, or mend file in shop.toml)")]
    MissingList {
        /// Whose list.
        supplier: String,
    },
    /// A list that shop.toml does not name.
    #[error("names no list of {supplier} (write a section [import.\"{supplier}\"])")]
    NoList {
        /// Whose list.
        supplier: String,
    },
    /// A column that a list has not got.
    #[error("is no column of {file} ({})", did_you_mean(.near, "write a name of its header row"))]
    NoListColumn {
        /// The list's file.
        file: String,
        /// One of its columns that is spelt alike.
        near: Option<String>,
    },
    /// A code that is not in the price list.
    #[error("is not in {file} ({})", did_you_mean(.near, "mend the code, or write the price here"))]
    NotListed {
        /// The list's file.
        file: String,
        /// A code that is spelt alike.
        near: Option<String>,
    },
    /// A code with several rows.
    #[error("stands in several rows of {file} (write form and lengths of the one that is meant)")]
    ListedTwice {
        /// The list's file.
        file: String,
    },
    /// A price that is two figures.
    #[error(
        "could be {whole} or {part} (say decimal = \".\" or \",\" in the list's section of \
         shop.toml, or write {whole} if it is that)"
    )]
    PointOrThousand {
        /// With the mark between thousands.
        whole: String,
        /// With the mark before decimals.
        part: String,
    },
    /// What stands in a list in place of a price.
    #[error(
        "is no price (write your own for this code in a row of offers.csv, with no under out_until \
         if it is not to be had; or take the row out of the list)"
    )]
    NoPrice,
    /// A figure that is written otherwise than its list.
    #[error(
        "is not written as the list is, whose decimals have {} (write it as the others, or \
         have the list sent anew)",
        if *.decimal == ',' { "a comma" } else { "a point" }
    )]
    OtherDecimals {
        /// What is before the list's decimals.
        decimal: char,
    },
    /// Prices that can only be read in two ways.
    #[error(
        "has a decimal {}, and row {row} a decimal {}: {read} (write all prices in one way, or have \
         the list sent anew; decimal = \".\" or \",\" in the list's section of shop.toml says which \
         is right)",
        if *.decimal == ',' { "comma" } else { "point" },
        if *.decimal == ',' { "point" } else { "comma" }
    )]
    TwoDecimals {
        /// What is before its own decimals.
        decimal: char,
        /// The first row that is written otherwise.
        row: u64,
        /// What stands there.
        read: String,
    },
    /// A sign that decimals do not have.
    #[error("is no sign of decimals (write \".\" or \",\")")]
    Decimal,
    /// A code that the list has twice.
    #[error(
        "stands in row {first} as well, in the same form, length and days (write its price in a row of \
         offers.csv, or take one of the two rows out of the list)"
    )]
    ListedAgain {
        /// Its first row.
        first: u64,
    },
}
