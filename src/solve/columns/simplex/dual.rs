//! Dual pivots: back to values that are allowed, at the least loss.

use super::{Basis, End, Matrix, NONE, PIVOT_EPS, VALUE_EPS, index};

/// Pivots after which reduced costs are worked out anew.
const AFRESH: u32 = 50;

impl Basis {
    /// Dual pivots until every value is allowed.
    pub fn dual(&mut self, matrix: &Matrix, most: u32) -> End {
        self.grow(matrix);
        let end = self.make_feasible(matrix, most);
        self.set_true_values();
        end
    }

    fn make_feasible(&mut self, matrix: &Matrix, most: u32) -> End {
        let mut open = OpenColumns::new(self, matrix);
        for pivots in 1..=most {
            if pivots % AFRESH == 0 {
                open = OpenColumns::new(self, matrix);
            }
            let Some(row) = self.wrong() else {
                return End::Optimal;
            };
            let inverse = self.row(row);
            let sign = if self.value[row] < 0.0 { -1.0 } else { 1.0 };
            let Some(place) = open.mending(self, sign, &inverse) else {
                return End::Infeasible;
            };
            let entering = open.columns[place] as usize;
            let direction = self.direction(matrix, entering);
            if direction.alpha[row].abs() < PIVOT_EPS / 10.0 {
                return End::GaveUp;
            }
            open.pivot(place, self.head[row]);
            self.pivot(matrix, entering, row, &direction, &inverse);
        }
        End::Limit
    }

    /// After [`End::Infeasible`]: weights of the rows that no open column with
    /// values of zero or more can satisfy together.
    pub fn ray(&self) -> Option<Vec<f64>> {
        let row = self.wrong()?;
        let sign = if self.value[row] < 0.0 { -1.0 } else { 1.0 };
        Some(self.row(row).iter().map(|i| i * sign).collect())
    }

    /// The row whose value is furthest from what is allowed.
    fn wrong(&self) -> Option<usize> {
        let fault = |r: usize| {
            let value = self.value[r];
            if value > 0.0 && self.shut[self.head[r] as usize] { value } else { -value }
        };
        let worst = (0..self.rows).max_by(|&a, &b| fault(a).total_cmp(&fault(b)))?;
        (fault(worst) > VALUE_EPS).then_some(worst)
    }
}

/// The open columns while values are mended, with their reduced costs. Their
/// entries stand row by row, since a row of the inverse has few.
struct OpenColumns {
    /// Rising.
    columns: Vec<u32>,
    reduced: Vec<f64>,
    /// Where the entries of each row begin.
    start: Vec<u32>,
    /// Place of the column, and value, of each entry.
    entries: Vec<(u32, f64)>,
    /// The columns in the row that is mended.
    mended: Vec<f64>,
}

impl OpenColumns {
    fn new(basis: &Basis, matrix: &Matrix) -> OpenColumns {
        let open = |c: &u32| !basis.shut[*c as usize];
        let columns: Vec<u32> = (0..index(matrix.len())).filter(open).collect();
        let reduced: Vec<f64> =
            columns.iter().map(|&c| basis.reduced(matrix, c as usize)).collect();
        let each = || columns.iter().map(|&c| &matrix.column[c as usize]);
        let mut start = vec![0; basis.rows + 1];
        each().flatten().for_each(|&(r, _)| start[r as usize + 1] += 1);
        (0..basis.rows).for_each(|r| start[r + 1] += start[r]);
        let mut next = start.clone();
        let mut entries = vec![(0, 0.0); start[basis.rows] as usize];
        for (place, column) in each().enumerate() {
            for &(r, a) in column {
                let next = &mut next[r as usize];
                entries[*next as usize] = (index(place), a);
                *next += 1;
            }
        }
        OpenColumns { mended: vec![0.0; columns.len()], columns, reduced, start, entries }
    }

    /// The place of the column that mends the row at the least loss of reduced
    /// cost.
    fn mending(&mut self, basis: &Basis, sign: f64, inverse: &[f64]) -> Option<usize> {
        self.mended.fill(0.0);
        for (r, &times) in inverse.iter().enumerate().filter(|&(_, times)| *times != 0.0) {
            let row = &self.entries[self.start[r] as usize..self.start[r + 1] as usize];
            row.iter().for_each(|&(place, a)| self.mended[place as usize] += times * a);
        }
        let mut best: Option<(f64, f64, usize)> = None;
        for (place, &entry) in self.mended.iter().enumerate() {
            let size = entry * sign;
            if size <= PIVOT_EPS || basis.place[self.columns[place] as usize] != NONE {
                continue;
            }
            let ratio = self.reduced[place].max(0.0) / size;
            let better = best.is_none_or(|(least, largest, _)| {
                if (ratio - least).abs() <= 1e-12 { size > largest } else { ratio < least }
            });
            if better {
                best = Some((ratio, size, place));
            }
        }
        best.map(|(.., place)| place)
    }

    /// Brings the reduced costs up to date when the column at a place takes the
    /// place of the leaving one.
    fn pivot(&mut self, place: usize, leaving: u32) {
        let step = self.reduced[place] / self.mended[place];
        self.reduced.iter_mut().zip(&self.mended).for_each(|(d, entry)| *d -= step * entry);
        self.reduced[place] = 0.0;
        if let Ok(place) = self.columns.binary_search(&leaving) {
            self.reduced[place] = -step;
        }
    }
}
