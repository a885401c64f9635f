//! Cells and tables as people type them.

use crate::numbers::Numbers;

/// How lengths are written in one shop.
pub struct Speller {
    pub inches: bool,
}

impl Speller {
    /// A length of so many thousandths of a millimetre. In an inch shop it is the
    /// 64th below it, but never nothing.
    pub fn cell(&self, numbers: &mut Numbers, thousandths: i64) -> String {
        if !self.inches {
            let (whole, part) = (thousandths / 1000, thousandths % 1000);
            return match numbers.within(0, 5) {
                0 => format!("{whole}.{part:03} mm"),
                1 if part % 10 == 0 => {
                    format!("{}.{:03}cm", whole / 10, whole % 10 * 100 + part / 10)
                }
                2 if part == 0 => format!("{whole}"),
                _ => format!("{whole}.{part:03}"),
            };
        }
        let grains = match thousandths {
            0 => 0,
            _ => (thousandths * 64 / 25_400).max(1),
        };
        let (whole, part) = (grains / 64, grains % 64);
        match numbers.within(0, 5) {
            0 => format!("{whole} {part}/64 in"),
            1 => format!("{whole}-{part}/64"),
            2 => format!("{}.{:06}", whole, part * 15_625),
            3 => format!("{}' {} {part}/64\"\"", whole / 12, whole % 12).replace("\"\"", ""),
            _ => format!("{whole} {part}/64"),
        }
    }
}

/// A table: its columns, and rows of cells in that order.
pub struct Table {
    columns: Vec<&'static str>,
    rows: Vec<Vec<String>>,
    /// Columns that stand last and draw no numbers, and their cells.
    last: Vec<&'static str>,
    last_cells: Vec<Vec<&'static str>>,
}

impl Table {
    pub fn new(columns: &[&'static str]) -> Table {
        let (columns, rows) = (columns.to_vec(), Vec::new());
        Table { columns, rows, last: Vec::new(), last_cells: Vec::new() }
    }

    pub fn row(&mut self, cells: Vec<String>) {
        assert_eq!(cells.len(), self.columns.len(), "a cell a column");
        self.rows.push(cells);
    }

    /// The same with these columns last.
    pub fn with(self, last: &[&'static str]) -> Table {
        Table { last: last.to_vec(), ..self }
    }

    /// The last cells of the last row.
    pub fn add(&mut self, cells: &[&'static str]) {
        assert_eq!(cells.len(), self.last.len(), "a cell a column");
        self.last_cells.push(cells.to_vec());
    }

    /// The table as a file: columns in any order, comments, blank rows, any line
    /// end, a byte order mark now and then.
    pub fn write(self, numbers: &mut Numbers) -> String {
        let mut order: Vec<usize> = (0..self.columns.len()).collect();
        for place in (1..order.len()).rev() {
            let other = usize::try_from(numbers.within(0, place as i64)).unwrap();
            order.swap(place, other);
        }
        let end = numbers.one_of(&["\n", "\n", "\r\n"]);
        let mut text = numbers.one_of(&["", "", "\u{feff}"]).to_owned();
        let header: Vec<&str> = order.iter().map(|&place| self.columns[place]).collect();
        text += &([&header[..], &self.last].concat().join(",") + end);
        for (at, row) in self.rows.iter().enumerate() {
            if numbers.one_in(30) {
                text += numbers.one_of(&["# set aside, \"so to speak", ",,,", ""]);
                text += end;
            }
            let cells: Vec<String> =
                order.iter().map(|&place| quoted(numbers, &row[place])).collect();
            text += &cells.join(",");
            for cell in self.last_cells.get(at).into_iter().flatten() {
                text += &format!(",{cell}");
            }
            text += end;
        }
        text
    }
}

fn quoted(numbers: &mut Numbers, cell: &str) -> String {
    let needed = cell.contains([',', '"', '\n']) || cell.starts_with('#');
    match needed || numbers.one_in(20) {
        true => format!("\"{}\"", cell.replace('"', "\"\"")),
        false => cell.to_owned(),
    }
}
