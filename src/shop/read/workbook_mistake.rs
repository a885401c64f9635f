//! What can be wrong with a workbook, each with its mend in brackets.

/// What is wrong with a workbook as a whole, or one of its sheets.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WorkbookMistake {
    /// It is none.
    #[error("is no workbook that can be read: {0} (save it again as .xlsx)")]
    Unreadable(String),
    /// It is too large.
    #[error("is larger than any shop's tables are (take out what is no table)")]
    TooLarge,
    /// A sheet goes on for too long.
    #[error(
        "the sheet has something in row {0}, column {1} (delete the rows and columns beyond the \
         table; at most 200000 and 200 are read)"
    )]
    Beyond(u32, u32),
    /// A table stands twice.
    #[error("stands as a sheet of shop.xlsx too (take one of the two away)")]
    Twice,
    /// A sheet with nearly the name of a table.
    #[error("the sheet is no table that is read here (did you mean {0}?)")]
    Misnamed(String),
}
