//! Dual pivots: back to values that are allowed, at the least loss.

use super::{Basis, End, Matrix, NONE, PIVOT_EPS, VALUE_EPS};

impl Basis {
    /// Dual pivots until every value is allowed.
    pub fn dual(&mut self, matrix: &Matrix, most: u32) -> End {
        self.grow(matrix);
        let end = self.mend(matrix, most);
        self.set_true_values();
        end
    }

    fn mend(&mut self, matrix: &Matrix, most: u32) -> End {
        for _ in 0..most {
            let Some(row) = self.wrong() else {
                return End::Optimal;
            };
            let inverse = self.row(row);
            let Some(entering) = self.mending(matrix, row, &inverse) else {
                return End::Infeasible;
            };
            let direction = self.direction(matrix, entering);
            if direction.alpha[row].abs() < PIVOT_EPS / 10.0 {
                return End::GaveUp;
            }
            self.pivot(matrix, entering, row, &direction, &inverse);
        }
        End::GaveUp
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

    /// The open column that mends the row at the least loss of reduced cost.
    fn mending(&self, matrix: &Matrix, row: usize, inverse: &[f64]) -> Option<usize> {
        let sign = if self.value[row] < 0.0 { -1.0 } else { 1.0 };
        let mut best: Option<(f64, f64, usize)> = None;
        for c in 0..matrix.len() {
            if self.shut[c] || self.place[c] != NONE {
                continue;
            }
            let (mut a, mut paid) = (0.0, 0.0);
            for &(r, entry) in &matrix.column[c] {
                a += inverse[r as usize] * entry;
                paid += self.price[r as usize] * entry;
            }
            let a = a * sign;
            if a <= PIVOT_EPS {
                continue;
            }
            let ratio = (matrix.cost[c] - paid).max(0.0) / a;
            let better = best.is_none_or(|(least, size, _)| {
                if (ratio - least).abs() <= 1e-12 { a > size } else { ratio < least }
            });
            if better {
                best = Some((ratio, a, c));
            }
        }
        best.map(|(.., c)| c)
    }
}
