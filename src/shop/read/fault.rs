//! What is wrong with a shop folder: where it stands, what was read, how to mend it.

use std::fmt;

use super::mistake::Mistake;

use super::quoted::{cut, on_one_line, shown};

/// Everything that is wrong with a shop folder, in the order of its files,
/// rows and columns; never empty when it is returned as an error.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub struct Faults(pub(super) Vec<FileFault>);

impl Faults {
    /// The faults one by one.
    pub fn iter(&self) -> std::slice::Iter<'_, FileFault> {
        self.0.iter()
    }

    /// How many there are.
    pub fn count(&self) -> usize {
        self.0.len()
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, fault) in self.0.iter().enumerate() {
            if index > 0 {
                writeln!(f)?;
            }
            write!(f, "{fault}")?;
        }
        Ok(())
    }
}

/// One thing that is wrong with one file.
///
/// Displayed like `frames.csv, row 7, width: "12,5" is not a length (write 12.5
/// with a point, not a comma)`.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub struct FileFault {
    /// The file's name.
    pub file: String,
    /// The row as a spreadsheet numbers it, the header, comments and blank rows
    /// counted; in `shop.toml` the line.
    pub row: Option<u64>,
    /// The column's name; in `shop.toml` the key with its section.
    pub column: Option<String>,
    /// What was read there.
    pub read: Option<String>,
    /// What is wrong with it.
    pub problem: Mistake,
    /// Where the column stands in its row, to keep the faults in order.
    pub(super) position: usize,
}

impl FileFault {
    /// A fault of a file as a whole.
    pub(super) fn whole(file: &str, problem: Mistake) -> FileFault {
        FileFault {
            file: file.to_owned(),
            row: None,
            column: None,
            read: None,
            problem,
            position: 0,
        }
    }
}

impl fmt::Display for FileFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&cut(&self.file, MOST_PATH))?;
        if let Some(row) = self.row {
            let word = if self.file.ends_with(".toml") { "line" } else { "row" };
            write!(f, ", {word} {row}")?;
        }
        if let Some(column) = &self.column {
            write!(f, ", {}", shown(column))?;
        }
        f.write_str(": ")?;
        if let Some(read) = &self.read {
            write!(f, "\"{}\" ", shown(read))?;
        }
        f.write_str(&on_one_line(&self.problem.to_string()))
    }
}

/// A longer path is cut.
const MOST_PATH: usize = 200;
