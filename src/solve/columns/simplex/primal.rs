//! Primal pivots: from one set of values that is allowed to a better one.

use super::{Basis, End, Matrix, NONE, PIVOT_EPS};

/// Below this a reduced cost counts as nothing; costs are scaled to about 1.
const COST_EPS: f64 = 1e-12;
/// Columns that are looked through at least for the next to enter.
const STRETCH: usize = 300;
/// Columns that are picked out of a stretch.
const PICKED: usize = 8;

impl Basis {
    /// Primal pivots until no open column improves.
    pub fn primal(&mut self, matrix: &Matrix, most: u32) -> End {
        self.grow(matrix);
        let end = self.improve(matrix, most);
        self.set_true_values();
        end
    }

    fn improve(&mut self, matrix: &Matrix, most: u32) -> End {
        for _ in 0..most {
            let Some(entering) = self.entering(matrix) else {
                return End::Optimal;
            };
            let direction = self.direction(matrix, entering);
            let Some(row) = self.leaving(&direction.alpha) else {
                return End::GaveUp;
            };
            let inverse = self.row(row);
            self.pivot(matrix, entering, row, &direction, &inverse);
        }
        End::Limit
    }

    /// The open column of least reduced cost among those picked out last; once
    /// none of these improves, of the next stretch of columns that has any that
    /// does, from which a few are picked out ("multiple partial pricing", Orchard-
    /// Hays 1968, "Advanced linear-programming computing techniques").
    fn entering(&mut self, matrix: &Matrix) -> Option<usize> {
        let picked = std::mem::take(&mut self.picked);
        let mut best: Option<(f64, usize)> = None;
        for &c in &picked {
            let Some(reduced) = self.enters(matrix, c) else { continue };
            self.picked.push(c);
            if best.is_none_or(|(least, _)| reduced < least) {
                best = Some((reduced, c));
            }
        }
        best.map(|(_, c)| c).or_else(|| self.pick(matrix))
    }

    fn pick(&mut self, matrix: &Matrix) -> Option<usize> {
        let count = matrix.len();
        let stretch = STRETCH.max(count / 8);
        let mut improving: Vec<(f64, usize)> = Vec::new();
        let columns = (self.cursor..count).chain(0..self.cursor.min(count));
        for (tried, c) in columns.enumerate() {
            improving.extend(self.enters(matrix, c).map(|reduced| (reduced, c)));
            if !improving.is_empty() && (tried + 1) % stretch == 0 {
                self.cursor = (c + 1) % count;
                break;
            }
        }
        let by_cost = |a: &(f64, usize), b: &(f64, usize)| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1));
        if improving.len() > PICKED {
            improving.select_nth_unstable_by(PICKED, by_cost);
            improving.truncate(PICKED);
        }
        improving.sort_by(by_cost);
        self.picked = improving.iter().map(|&(_, c)| c).collect();
        self.picked.first().copied()
    }

    fn enters(&self, matrix: &Matrix, column: usize) -> Option<f64> {
        if self.shut[column] || self.place[column] != NONE {
            return None;
        }
        let reduced = self.reduced(matrix, column);
        (reduced < -COST_EPS).then_some(reduced)
    }

    fn leaving(&self, alpha: &[f64]) -> Option<usize> {
        let mut best: Option<(f64, usize)> = None;
        for (r, &a) in alpha.iter().enumerate() {
            // A shut column that is still basic must not rise above zero.
            let held = a < -PIVOT_EPS && self.shut[self.head[r] as usize];
            if a <= PIVOT_EPS && !held {
                continue;
            }
            let ratio = if held { 0.0 } else { self.value[r].max(0.0) / a };
            let better = best.is_none_or(|(least, b)| {
                let tie = (ratio - least).abs() <= 1e-12;
                let preferred = a.abs() > alpha[b].abs();
                if tie { preferred } else { ratio < least }
            });
            if better {
                best = Some((ratio, r));
            }
        }
        best.map(|(_, r)| r)
    }
}
