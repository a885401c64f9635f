//! Linear programs with few rows and many columns: a revised simplex method,
//! [`primal`] for new columns and [`dual`] for new right-hand sides, warm from
//! one to the next.
//!
//! Chvatal (1983), "Linear Programming", chapters 7 and 10. Nothing that comes
//! out of here is a proof: bounds are always computed again in integers.

mod dual;
mod factors;
mod primal;

use factors::{Direction, Factors};

/// Below this a basic value counts as nothing.
const VALUE_EPS: f64 = 1e-9;
/// How far the right-hand side is tilted.
const TILT: f64 = 1e-6;
/// Below this an entry is no pivot.
const PIVOT_EPS: f64 = 1e-8;

/// No column, or no row.
const NONE: u32 = u32::MAX;

/// The columns of a linear program `min cost x, A x = rhs, x >= 0`.
#[derive(Debug, Clone, Default)]
pub(crate) struct Matrix {
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
pub(crate) enum End {
    Optimal,
    /// The dual method found a row that no open column can mend.
    Infeasible,
    /// Too many pivots, or the numbers broke down.
    GaveUp,
    /// As many pivots as were allowed; it can go on from here.
    Limit,
}

/// A basis with its factors and the values and prices that go with it.
#[derive(Debug, Clone)]
pub(crate) struct Basis {
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
    factors: Factors,
    /// The value of the basic column of each row, for the tilted right-hand side
    /// that keeps values from being zero.
    value: Vec<f64>,
    /// The same for the true right-hand side, once a run has ended.
    true_value: Vec<f64>,
    /// The price of each row.
    price: Vec<f64>,
    /// Where the next stretch of columns begins.
    cursor: usize,
    /// Columns picked out of the last stretch.
    picked: Vec<usize>,
    /// Pivots in all, as a measure of work.
    pub work: u64,
}

impl Basis {
    /// Starts from unit columns, one a row in the order of the rows.
    pub fn new(matrix: &Matrix, rhs: Vec<f64>, units: &[usize]) -> Basis {
        let units: Vec<u32> = units.iter().map(|&c| index(c)).collect();
        let entries: Vec<&[(u32, f64)]> =
            units.iter().map(|&c| matrix.column[c as usize].as_slice()).collect();
        let mut basis = Basis {
            rows: rhs.len(),
            head: units.clone(),
            place: Vec::new(),
            shut: Vec::new(),
            factors: Factors::new(&entries).expect("unit columns, one a row"),
            value: Vec::new(),
            true_value: Vec::new(),
            price: vec![0.0; rhs.len()],
            cursor: 0,
            picked: Vec::new(),
            work: 0,
            units,
            rhs,
        };
        basis.grow(matrix);
        for (r, &c) in basis.head.iter().enumerate() {
            basis.place[c as usize] = index(r);
        }
        basis.set_values(matrix);
        basis.set_true_values();
        basis.set_prices(matrix);
        basis
    }

    /// Makes room for columns that were added to the matrix.
    pub fn grow(&mut self, matrix: &Matrix) {
        self.place.resize(matrix.len(), NONE);
        self.shut.resize(matrix.len(), false);
    }

    /// Holds a column at zero, or lets it go.
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
            row => self.true_value[row as usize].max(0.0),
        }
    }

    /// The basic columns and their values.
    pub fn basic(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        let head = self.head.iter().map(|&c| c as usize);
        head.zip(self.true_value.iter().copied())
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
    pub fn mend_prices(&self, gaps: Vec<f64>) -> Vec<f64> {
        self.factors.solve_transposed(&gaps)
    }

    /// Takes another right-hand side; call [`Basis::dual`] afterwards.
    pub fn set_rhs(&mut self, matrix: &Matrix, rhs: &[f64]) {
        self.rhs.copy_from_slice(rhs);
        self.set_values(matrix);
        self.set_true_values();
    }

    /// Adds a row with its unit column already in the matrix; the new column
    /// becomes basic.
    pub fn add_row(&mut self, matrix: &Matrix, rhs: f64, unit: usize) {
        self.grow(matrix);
        self.place[unit] = index(self.rows);
        self.rows += 1;
        self.rhs.push(rhs);
        self.units.push(index(unit));
        self.head.push(index(unit));
        self.refactor(matrix);
        self.set_true_values();
    }

    fn set_values(&mut self, matrix: &Matrix) {
        let tilted = self.rhs.iter().zip(&self.units).enumerate().map(|(r, (rhs, &unit))| {
            // Towards more of the row's own unit column, each by its own amount.
            let own = (r as u64 + 1).wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 44;
            let perturbation = TILT * (1.0 + own as f64 / f64::from(1 << 20));
            rhs + perturbation * matrix.column[unit as usize][0].1
        });
        self.value = self.factors.solve(tilted.collect());
    }

    fn set_true_values(&mut self) {
        self.true_value = self.factors.solve(self.rhs.clone());
    }

    /// Works the prices out anew from the costs in the matrix.
    pub fn set_prices(&mut self, matrix: &Matrix) {
        let costs: Vec<f64> = self.head.iter().map(|&c| matrix.cost[c as usize]).collect();
        self.price = self.mend_prices(costs);
    }

    /// The column in terms of the basis.
    fn direction(&self, matrix: &Matrix, column: usize) -> Direction {
        let mut entries = vec![0.0; self.rows];
        matrix.column[column].iter().for_each(|&(r, a)| entries[r as usize] = a);
        self.factors.direction(entries)
    }

    /// A row of the inverse.
    fn row(&self, row: usize) -> Vec<f64> {
        let mut unit = vec![0.0; self.rows];
        unit[row] = 1.0;
        self.factors.solve_transposed(&unit)
    }

    /// Puts a column in the place of a row's, whose row of the inverse is
    /// `inverse`.
    fn pivot(
        &mut self,
        matrix: &Matrix,
        entering: usize,
        row: usize,
        direction: &Direction,
        inverse: &[f64],
    ) {
        let alpha = &direction.alpha;
        let reduced = self.reduced(matrix, entering) / alpha[row];
        let step = self.value[row] / alpha[row];
        self.value.iter_mut().zip(alpha).for_each(|(value, a)| *value -= step * a);
        self.value[row] = step;
        self.price.iter_mut().zip(inverse).for_each(|(price, i)| *price += reduced * i);
        self.place[self.head[row] as usize] = NONE;
        self.head[row] = index(entering);
        self.place[entering] = index(row);
        self.work += 1;
        self.factors.replace(row, direction);
        if self.factors.is_worn() {
            self.refactor(matrix);
        }
    }

    /// Takes the basis apart anew; unit columns stand in for any columns that
    /// have become dependent.
    fn refactor(&mut self, matrix: &Matrix) {
        loop {
            let entries: Vec<&[(u32, f64)]> =
                self.head.iter().map(|&c| matrix.column[c as usize].as_slice()).collect();
            match Factors::new(&entries) {
                Ok(factors) => {
                    self.factors = factors;
                    break;
                }
                Err(dependent) => {
                    for (&row, &position) in dependent.rows.iter().zip(&dependent.positions) {
                        self.place[self.head[position as usize] as usize] = NONE;
                        self.head[position as usize] = self.units[row as usize];
                        self.place[self.units[row as usize] as usize] = position;
                    }
                }
            }
        }
        self.set_values(matrix);
        self.set_prices(matrix);
    }
}

fn index(i: usize) -> u32 {
    u32::try_from(i).expect("fewer than 2^32 rows and columns")
}
