//! Linear programs with few rows and many columns: a revised simplex method
//! with an explicit dense inverse, primal for new columns and dual for new
//! right-hand sides, warm from one to the next.
//!
//! Chvatal (1983), "Linear Programming", chapters 7 and 10. Nothing that comes
//! out of here is a proof: bounds are always computed again in integers.

/// Below this a reduced cost counts as nothing; costs are scaled to about 1.
const COST_EPS: f64 = 1e-12;
/// Below this a basic value counts as nothing.
const VALUE_EPS: f64 = 1e-9;
/// Below this an entry is no pivot.
const PIVOT_EPS: f64 = 1e-8;
/// Pivots between two looks at how far the inverse has drifted.
const LOOK: u32 = 50;
/// The drift above which the inverse is built anew.
const DRIFT: f64 = 1e-9;
/// Pivots without progress after which values are shifted.
const STALLED: u32 = 60;
/// How far values are shifted then.
const SHIFT: f64 = 1e-6;
/// Pivots allowed to mend it.
const MOST_MENDING: u32 = 50_000;
/// Columns that are looked through at least for the next to enter.
const STRETCH: usize = 300;

/// No column, or no row.
const NONE: u32 = u32::MAX;

/// The columns of a linear program `min cost x, A x = rhs, x >= 0`.
#[derive(Debug, Clone, Default)]
pub(super) struct Matrix {
    pub cost: Vec<f64>,
    pub column: Vec<Vec<(u32, f64)>>,
}

impl Matrix {
    /// Adds a column and returns its number.
    pub fn push(&mut self, cost: f64, entries: Vec<(u32, f64)>) -> usize {
        self.cost.push(cost);
        self.column.push(entries);
        self.cost.len() - 1
    }

    pub fn len(&self) -> usize {
        self.cost.len()
    }
}

/// How a run of the simplex method ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum End {
    Optimal,
    /// The dual method found a row that no open column can mend.
    Infeasible,
    /// Too many pivots, or the numbers broke down.
    GaveUp,
    /// As many pivots as were allowed; it can go on from here.
    Limit,
}

/// A basis with its inverse and the values and prices that go with it.
#[derive(Debug, Clone)]
pub(super) struct Basis {
    rows: usize,
    rhs: Vec<f64>,
    /// The unit column of each row, to fall back on.
    units: Vec<u32>,
    /// The basic column of each row.
    head: Vec<u32>,
    /// The row of each basic column.
    place: Vec<u32>,
    /// Columns that must stay at zero.
    shut: Vec<bool>,
    /// Row by row.
    inverse: Vec<f64>,
    value: Vec<f64>,
    price: Vec<f64>,
    pivots: u32,
    /// Whether the values are shifted from what the right-hand side gives.
    shifted: bool,
    /// Where the next stretch of columns begins.
    cursor: usize,
    /// Pivots in all, as a measure of work.
    pub work: u64,
}

impl Basis {
    /// Starts from unit columns, one a row in the order of the rows.
    pub fn new(matrix: &Matrix, rhs: Vec<f64>, units: &[usize]) -> Basis {
        let rows = rhs.len();
        let mut basis = Basis {
            rows,
            rhs,
            units: units.iter().map(|&c| index(c)).collect(),
            head: units.iter().map(|&c| index(c)).collect(),
            place: Vec::new(),
            shut: Vec::new(),
            inverse: vec![0.0; rows * rows],
            value: vec![0.0; rows],
            price: vec![0.0; rows],
            pivots: 0,
            shifted: false,
            cursor: 0,
            work: 0,
        };
        basis.grow(matrix);
        for (r, &c) in units.iter().enumerate() {
            basis.place[c] = index(r);
            let entry = matrix.column[c][0];
            debug_assert_eq!(entry.0, index(r));
            basis.inverse[r * rows + r] = 1.0 / entry.1;
        }
        basis.set_values();
        basis.set_prices(matrix);
        basis
    }

    /// Makes room for columns that were added to the matrix.
    pub fn grow(&mut self, matrix: &Matrix) {
        self.place.resize(matrix.len(), NONE);
        self.shut.resize(matrix.len(), false);
    }

    pub fn shut(&mut self, column: usize, shut: bool) {
        self.shut[column] = shut;
    }

    pub fn is_shut(&self, column: usize) -> bool {
        self.shut[column]
    }

    /// The value of a column.
    pub fn value(&self, column: usize) -> f64 {
        match self.place[column] {
            NONE => 0.0,
            row => self.value[row as usize].max(0.0),
        }
    }

    /// The basic columns and their values.
    pub fn basic(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        let head = self.head.iter().map(|&c| c as usize);
        head.zip(self.value.iter().copied())
    }

    /// The price of each row.
    pub fn prices(&self) -> &[f64] {
        &self.price
    }

    pub fn objective(&self, matrix: &Matrix) -> f64 {
        self.basic().map(|(c, value)| matrix.cost[c] * value).sum()
    }

    /// The reduced cost of a column.
    pub fn reduced(&self, matrix: &Matrix, column: usize) -> f64 {
        let entries = matrix.column[column].iter();
        let paid: f64 = entries.map(|&(r, a)| self.price[r as usize] * a).sum();
        matrix.cost[column] - paid
    }

    /// What must be added to the prices so that the basic columns, which now
    /// miss their costs by `gaps`, just pay.
    pub fn mend_prices(&self, gaps: &[f64]) -> Vec<f64> {
        let mut mended = vec![0.0; self.rows];
        for (r, &gap) in gaps.iter().enumerate().filter(|&(_, &gap)| gap != 0.0) {
            let row = &self.inverse[r * self.rows..][..self.rows];
            mended.iter_mut().zip(row).for_each(|(price, &i)| *price += gap * i);
        }
        mended
    }

    /// Takes another right-hand side; call [`Basis::dual`] afterwards.
    pub fn set_rhs(&mut self, rhs: &[f64]) {
        self.rhs.copy_from_slice(rhs);
        self.set_values();
    }

    /// Adds a row with its unit column already in the matrix; the new column
    /// becomes basic.
    pub fn add_row(&mut self, matrix: &Matrix, rhs: f64, unit: usize) {
        self.grow(matrix);
        let (old, new) = (self.rows, self.rows + 1);
        let sign = matrix.column[unit][0].1;
        let mut inverse = vec![0.0; new * new];
        for r in 0..old {
            inverse[r * new..][..old].copy_from_slice(&self.inverse[r * old..][..old]);
        }
        for r in 0..old {
            let column = &matrix.column[self.head[r] as usize];
            let Some(&(_, a)) = column.iter().find(|&&(row, _)| row as usize == old) else {
                continue;
            };
            for i in 0..old {
                inverse[old * new + i] -= a * self.inverse[r * old + i] / sign;
            }
        }
        inverse[old * new + old] = 1.0 / sign;
        self.inverse = inverse;
        self.rows = new;
        self.rhs.push(rhs);
        self.units.push(index(unit));
        self.head.push(index(unit));
        self.place[unit] = index(old);
        self.value.push(0.0);
        self.price.push(0.0);
        self.set_values();
        self.set_prices(matrix);
    }

    fn set_values(&mut self) {
        for r in 0..self.rows {
            let row = &self.inverse[r * self.rows..][..self.rows];
            self.value[r] = row.iter().zip(&self.rhs).map(|(i, b)| i * b).sum();
        }
    }

    /// Works the prices out anew from the costs in the matrix.
    pub fn set_prices(&mut self, matrix: &Matrix) {
        let costs: Vec<f64> = self.head.iter().map(|&c| matrix.cost[c as usize]).collect();
        self.price = self.mend_prices(&costs);
    }

    /// The column in terms of the basis.
    fn transformed(&self, matrix: &Matrix, column: usize) -> Vec<f64> {
        let entries = &matrix.column[column];
        let row = |r: usize| {
            let row = &self.inverse[r * self.rows..][..self.rows];
            entries.iter().map(|&(i, a)| row[i as usize] * a).sum()
        };
        (0..self.rows).map(row).collect()
    }

    /// After [`End::Infeasible`]: weights of the rows that no open column with
    /// values of zero or more can satisfy together.
    pub fn ray(&self) -> Option<Vec<f64>> {
        let row = self.wrong()?;
        let sign = if self.value[row] < 0.0 { -1.0 } else { 1.0 };
        let line = &self.inverse[row * self.rows..][..self.rows];
        Some(line.iter().map(|i| i * sign).collect())
    }

    /// Primal pivots until no open column improves. Where values of zero keep
    /// it from moving, all values are shifted a little, which is mended by dual
    /// pivots at the end.
    pub fn primal(&mut self, matrix: &Matrix, most: u32) -> End {
        self.grow(matrix);
        let mut stalled = 0;
        for _ in 0..most {
            let Some(entering) = self.entering(matrix) else {
                if !self.shifted {
                    return End::Optimal;
                }
                self.shifted = false;
                self.set_values();
                if self.dual(matrix, MOST_MENDING) != End::Optimal {
                    return End::GaveUp;
                }
                stalled = 0;
                continue;
            };
            let alpha = self.transformed(matrix, entering);
            let Some(row) = self.leaving(&alpha) else {
                return End::GaveUp;
            };
            let moved = self.value[row] / alpha[row] > VALUE_EPS;
            stalled = if moved { 0 } else { stalled + 1 };
            self.pivot(matrix, entering, row, &alpha);
            if stalled > STALLED && !self.shifted {
                self.shift();
            }
        }
        End::Limit
    }

    /// Moves every value up by a small amount of its own.
    fn shift(&mut self) {
        self.shifted = true;
        for (r, value) in self.value.iter_mut().enumerate() {
            let own = (r as u64 + 1).wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 44;
            *value = value.max(0.0) + SHIFT * (1.0 + own as f64 / f64::from(1 << 20));
        }
    }

    /// The open column of least reduced cost in the next stretch of columns
    /// that has any below zero.
    fn entering(&mut self, matrix: &Matrix) -> Option<usize> {
        let count = matrix.len();
        let stretch = STRETCH.max(count / 8);
        let mut best: Option<(f64, usize)> = None;
        for tried in 0..count {
            let c = (self.cursor + tried) % count;
            if let Some(reduced) = self.enters(matrix, c) {
                if best.is_none_or(|(least, _)| reduced < least) {
                    best = Some((reduced, c));
                }
            }
            if best.is_some() && (tried + 1) % stretch == 0 {
                self.cursor = (c + 1) % count;
                break;
            }
        }
        best.map(|(_, c)| c)
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
            let held = self.shut[self.head[r] as usize] && a < -PIVOT_EPS;
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

    /// Dual pivots until every value is allowed.
    pub fn dual(&mut self, matrix: &Matrix, most: u32) -> End {
        self.grow(matrix);
        for _ in 0..most {
            let Some(row) = self.wrong() else {
                return End::Optimal;
            };
            let Some(entering) = self.mending(matrix, row) else {
                return End::Infeasible;
            };
            let alpha = self.transformed(matrix, entering);
            if alpha[row].abs() < PIVOT_EPS / 10.0 {
                return End::GaveUp;
            }
            self.pivot(matrix, entering, row, &alpha);
        }
        End::GaveUp
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
    fn mending(&self, matrix: &Matrix, row: usize) -> Option<usize> {
        let sign = if self.value[row] < 0.0 { -1.0 } else { 1.0 };
        let inverse = &self.inverse[row * self.rows..][..self.rows];
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

    fn pivot(&mut self, matrix: &Matrix, entering: usize, row: usize, alpha: &[f64]) {
        let m = self.rows;
        let reduced = self.reduced(matrix, entering);
        let step = self.value[row] / alpha[row];
        for (r, value) in self.value.iter_mut().enumerate() {
            *value = if r == row { step } else { *value - step * alpha[r] };
        }
        let (before, rest) = self.inverse.split_at_mut(row * m);
        let (pivot_row, after) = rest.split_at_mut(m);
        pivot_row.iter_mut().for_each(|i| *i /= alpha[row]);
        let rows = before.chunks_exact_mut(m).chain(after.chunks_exact_mut(m));
        let others = alpha[..row].iter().chain(&alpha[row + 1..]);
        for (line, &a) in rows.zip(others) {
            if a.abs() > 1e-14 {
                line.iter_mut().zip(pivot_row.iter()).for_each(|(i, &p)| *i -= a * p);
            }
        }
        self.price.iter_mut().zip(pivot_row.iter()).for_each(|(y, &p)| *y += reduced * p);
        self.place[self.head[row] as usize] = NONE;
        self.head[row] = index(entering);
        self.place[entering] = index(row);
        self.pivots += 1;
        self.work += 1;
        if self.pivots % LOOK == 0 && !self.shifted && self.drift(matrix) > DRIFT {
            self.rebuild(matrix);
        }
    }

    /// How far the basic columns are from giving the right-hand side.
    fn drift(&self, matrix: &Matrix) -> f64 {
        let mut rest = self.rhs.clone();
        for (c, value) in self.basic() {
            for &(r, a) in &matrix.column[c] {
                rest[r as usize] -= a * value;
            }
        }
        let scale = self.rhs.iter().fold(1.0, |most: f64, b| most.max(b.abs()));
        rest.iter().fold(0.0, |most: f64, r| most.max(r.abs())) / scale
    }

    /// Builds the inverse anew, column by column, largest pivot first.
    fn rebuild(&mut self, matrix: &Matrix) {
        let m = self.rows;
        let old = std::mem::replace(&mut self.head, vec![NONE; m]);
        self.inverse.fill(0.0);
        (0..m).for_each(|r| self.inverse[r * m + r] = 1.0);
        for &c in &old {
            self.place[c as usize] = NONE;
        }
        // Unit columns stand in for any that have become dependent.
        let mut order = old;
        order.sort_by_key(|&c| (matrix.column[c as usize].len(), c));
        order.extend(self.units.clone());
        for c in order {
            if self.place[c as usize] != NONE {
                continue;
            }
            let alpha = self.transformed(matrix, c as usize);
            let free = (0..m).filter(|&r| self.head[r] == NONE);
            let Some(row) = free.max_by(|&a, &b| alpha[a].abs().total_cmp(&alpha[b].abs())) else {
                break;
            };
            if alpha[row].abs() > 1e-11 {
                self.eliminate(row, &alpha);
                self.head[row] = c;
                self.place[c as usize] = index(row);
            }
        }
        self.set_values();
        self.set_prices(matrix);
    }

    fn eliminate(&mut self, row: usize, alpha: &[f64]) {
        let m = self.rows;
        let pivot: Vec<f64> = self.inverse[row * m..][..m].iter().map(|i| i / alpha[row]).collect();
        for (r, line) in self.inverse.chunks_exact_mut(m).enumerate() {
            if r == row {
                line.copy_from_slice(&pivot);
            } else if alpha[r].abs() > 1e-14 {
                line.iter_mut().zip(&pivot).for_each(|(i, &p)| *i -= alpha[r] * p);
            }
        }
    }
}

fn index(i: usize) -> u32 {
    u32::try_from(i).expect("fewer than 2^32 rows and columns")
}
