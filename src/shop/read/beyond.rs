//! A row with more cells than its head has columns: most often a comma within a figure.

use super::header::{Header, Meaning};
use super::split::Record;

/// A cell under no name, most often since a row has more cells than its head.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "stands under no column name{} (name its column, or put a cell with a comma in quotes)",
    self.said()
)]
pub struct Beyond {
    /// How many cells the row has.
    pub cells: usize,
    /// How many columns the head names.
    pub head: usize,
    /// Where a comma may have parted one figure: its column, and the figure.
    pub perhaps: Vec<(String, String)>,
}

/// No more places are named.
const FEW: usize = 3;

impl Beyond {
    /// Of a row, and from which place on its cells may stand under another's name.
    pub(super) fn of(header: &Header, record: &Record) -> (Beyond, usize) {
        let (cells, head) = (record.cells.len(), header.width());
        if cells <= head {
            return (Beyond { cells, head, perhaps: Vec::new() }, cells);
        }
        let texts: Vec<String> = record.cells.iter().map(|cell| cell.text_lossy()).collect();
        let named = |at: usize| match header.meaning(at) {
            Meaning::Column(place) => Some(&header.columns[place]).filter(|of| !of.in_words),
            _ => None,
        };
        let pairs = texts.windows(2).enumerate();
        let found = pairs.filter_map(|(at, pair)| Some((at, named(at)?.name, pair)));
        let found: Vec<_> = found.filter(|(_, _, pair)| is_parted(&pair[0], &pair[1])).collect();
        let from = found.first().map_or(head, |(at, ..)| *at);
        let perhaps = found.iter().take(FEW);
        let perhaps = perhaps.map(|(_, name, pair)| ((*name).to_owned(), pair.join(",")));
        (Beyond { cells, head, perhaps: perhaps.collect() }, from)
    }

    fn said(&self) -> String {
        if self.cells <= self.head {
            return String::new();
        }
        let places = self.perhaps.iter().map(|(column, figure)| format!("{column} ({figure})"));
        let places: Vec<String> = places.collect();
        let perhaps = match places.is_empty() {
            true => String::new(),
            false => format!("; a comma may stand too many in {}", places.join(", or in ")),
        };
        format!(": the row has {} cells and the head {}{perhaps}", self.cells, self.head)
    }
}

/// Whether two cells look like one figure that a comma parted: `1,250`, `1,250.00`, `0,3`.
fn is_parted(front: &str, back: &str) -> bool {
    let is_digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let whole = back.split([' ', '.']).next().unwrap_or_default();
    is_digits(front) && is_digits(whole) && (front == "0" || front.len() <= 3 && whole.len() == 3)
}
