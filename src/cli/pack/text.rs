//! Reads the two text forms: one stock length, and several.

use super::fault::{InputError, InputFault, Quantity};
use super::number;
use super::quote::{Excerpt, MOST_SIGNS};
use crate::solve::{Item, Problem, Stock};

/// The words of one line that is neither empty nor a comment.
struct WordRow<'a> {
    line: usize,
    words: Vec<&'a str>,
}

impl WordRow<'_> {
    /// The row as it is quoted: no more words of it than could be shown.
    fn quote(&self) -> Excerpt {
        let words = &self.words[..self.words.len().min(MOST_SIGNS)];
        Excerpt::new(&words.join(" "))
    }
}

/// Reads an instance in either text form, which the second row tells apart.
///
/// Empty lines and lines that begin with `#` are passed over. Every row is
/// looked at, also after a faulty one; faults are added to `faults`.
pub(super) fn read(text: &str, faults: &mut Vec<InputFault>) -> Problem {
    let mut rows: Vec<WordRow> = text
        .lines()
        .enumerate()
        .map(|(index, line)| WordRow { line: index + 1, words: line.split_whitespace().collect() })
        .filter(|row| row.words.first().is_some_and(|w| !w.starts_with('#')))
        .collect();
    // The number of items and the stock length may share the first row.
    if let Some([_, length]) = rows.first().map(|row| &row.words[..]) {
        let second = WordRow { line: rows[0].line, words: vec![length] };
        rows[0].words.truncate(1);
        rows.insert(1, second);
    }
    let end = rows.last().map_or(1, |row| row.line);
    let mut reader = TextReader { rows: &rows, end, faults };
    match rows.get(1).map(|row| row.words.len()) {
        None | Some(1) => reader.one_length(),
        Some(3) => reader.several_lengths(),
        Some(_) => {
            let read = rows[1].quote();
            let nothing: Option<Problem> =
                reader.fault(rows[1].line, InputError::SecondRow { read });
            nothing.unwrap_or_default()
        }
    }
}

struct TextReader<'a> {
    /// The rows still to be read.
    rows: &'a [WordRow<'a>],
    /// The line of the last row.
    end: usize,
    faults: &'a mut Vec<InputFault>,
}

impl<'a> TextReader<'a> {
    /// `n`, the stock length, then n items.
    fn one_length(&mut self) -> Problem {
        let said = self.lone(Quantity::ItemCount, number::count);
        let length = self.lone(Quantity::StockLength, number::amount);
        let items = self.items(said);
        let stock = length.map(|(_, length)| super::read::stock(length, 1, None));
        Problem { stock: stock.into_iter().collect(), items }
    }

    /// `K`, then K stock lengths, `m`, then m items.
    fn several_lengths(&mut self) -> Problem {
        let kinds = self.lone(Quantity::StockCount, number::count);
        // Stock rows have three words, the row after them one: where the
        // announced number is wrong, the rows themselves say where they end.
        let end = self.rows.iter().position(|row| row.words.len() == 1);
        let (rows, rest) = self.rows.split_at(end.unwrap_or(self.rows.len()));
        self.rows = rest;
        let stock = rows.iter().filter_map(|row| self.stock(row)).collect();
        self.compare(Quantity::StockCount, kinds, rows.len());
        let said = self.lone(Quantity::ItemCount, number::count);
        let items = self.items(said);
        Problem { stock, items }
    }

    /// A row of one number.
    fn lone<T>(
        &mut self,
        field: Quantity,
        number: fn(Quantity, &str) -> Result<T, InputError>,
    ) -> Option<(usize, T)> {
        let Some((row, rest)) = self.rows.split_first() else {
            return self.fault(self.end, InputError::Ends { field });
        };
        self.rows = rest;
        let value = match row.words[..] {
            [word] => self.keep(row.line, number(field, word)),
            _ => {
                let read = row.quote();
                self.fault(row.line, InputError::OneNumber { field, read })
            }
        };
        value.map(|value| (row.line, value))
    }

    fn stock(&mut self, row: &WordRow) -> Option<Stock> {
        let [length, available, cost] = row.words[..] else {
            let read = row.quote();
            return self.fault(row.line, InputError::StockRow { read });
        };
        let length = self.keep(row.line, number::amount(Quantity::StockLength, length));
        let supply = self.keep(row.line, number::count(Quantity::Available, available));
        let cost = self.keep(row.line, number::amount(Quantity::Cost, cost));
        Some(super::read::stock(length?, cost?, Some(supply?)))
    }

    /// All the rows left, of which there should be as many as were announced.
    fn items(&mut self, said: Option<(usize, u32)>) -> Vec<Item> {
        let rows = std::mem::take(&mut self.rows);
        let items = rows.iter().filter_map(|row| self.item(row)).collect();
        self.compare(Quantity::ItemCount, said, rows.len());
        items
    }

    fn item(&mut self, row: &WordRow) -> Option<Item> {
        let (length, demand) = match row.words[..] {
            [length] => (length, "1"),
            [length, demand] => (length, demand),
            _ => {
                let read = row.quote();
                return self.fault(row.line, InputError::ItemRow { read });
            }
        };
        let length = self.keep(row.line, number::amount(Quantity::Length, length));
        let demand = self.keep(row.line, number::count(Quantity::Demand, demand));
        Some(super::read::item(length?, demand?))
    }

    fn compare(&mut self, field: Quantity, said: Option<(usize, u32)>, found: usize) {
        let Some((line, said)) = said else { return };
        if usize::try_from(said) != Ok(found) {
            let said = i64::from(said);
            self.fault::<()>(line, InputError::RowCount { field, said, found });
        }
    }

    fn keep<T>(&mut self, line: usize, value: Result<T, InputError>) -> Option<T> {
        match value {
            Ok(value) => Some(value),
            Err(flaw) => self.fault(line, flaw),
        }
    }

    fn fault<T>(&mut self, line: usize, flaw: InputError) -> Option<T> {
        self.faults.push(InputFault { line, flaw });
        None
    }
}
