//! A sparse basis matrix taken apart into two triangles, and kept up to date as
//! one column after the other is replaced.
//!
//! Updates are those of Forrest and Tomlin (1972, "Updated triangular factors of
//! the basis to maintain sparsity in the product form simplex method",
//! Mathematical Programming 2): the new column takes the last place in the order
//! of elimination, and what its row still holds is eliminated by one row
//! operation. A solve costs little more than the entries of the basis.

mod elimination;

use std::rc::Rc;

pub(super) use elimination::Dependent;
use elimination::{DEPENDENT, Elimination, Lists};

/// Below this an entry is taken for a rounding error.
const TINY: f64 = 1e-14;
/// Updates after which the triangles are made anew.
const MOST_UPDATES: usize = 100;
/// The pivot of an update may differ from what it should be by this share.
const DRIFT: f64 = 1e-7;

/// One entry: a row and its value.
type Entry = (u32, f64);

/// No step, no row, no position.
const NONE: u32 = u32::MAX;

/// The triangles of a basis matrix whose columns stand at numbered positions.
#[derive(Debug, Clone)]
pub(super) struct Factors {
    lower: Rc<Lower>,
    upper: Upper,
    /// The row that each update changed ...
    changed: Vec<u32>,
    /// ... and the rows that it subtracted from it, how often.
    subtracted: Lists,
    /// The upper triangle's entries at first.
    size: usize,
    /// Whether the last update was too inexact to go on from.
    drifted: bool,
}

/// Row operations of the elimination, in their order.
#[derive(Debug)]
struct Lower {
    rows: Vec<u32>,
    lists: Lists,
}

/// The upper triangle, by pivots.
#[derive(Debug, Clone)]
struct Upper {
    /// Row and position of each pivot.
    pivots: Vec<(u32, u32)>,
    /// The value of each pivot.
    diagonal: Vec<f64>,
    /// For each pivot, entries of its column in rows that stand before it in the
    /// order.
    columns: Lists,
    /// The pivots in the order of elimination.
    order: Vec<u32>,
    /// The pivot of each position.
    at: Vec<u32>,
}

/// A column in terms of the basis.
#[derive(Debug)]
pub(super) struct Direction {
    /// How much of the column at each position it takes.
    pub alpha: Vec<f64>,
    /// The column as a column of the upper triangle, by row.
    spike: Vec<f64>,
}

impl Factors {
    /// Takes the square matrix with these columns apart.
    pub fn new(columns: &[&[Entry]]) -> Result<Factors, Dependent> {
        let triangles = Elimination::new(columns).run()?;
        let size = triangles.upper.entries.len();
        Ok(Factors {
            lower: Rc::new(Lower { rows: triangles.lower_rows, lists: triangles.lower }),
            upper: Upper::new(triangles.pivots, triangles.diagonal, triangles.upper),
            changed: Vec::new(),
            subtracted: Lists::default(),
            size,
            drifted: false,
        })
    }

    /// Whether it is time to take the matrix apart anew.
    pub fn is_worn(&self) -> bool {
        let rows = self.upper.pivots.len();
        let grown = self.upper.columns.entries.len() + self.subtracted.entries.len();
        self.drifted || self.changed.len() >= MOST_UPDATES || grown > 3 * self.size + 16 * rows
    }

    /// Notes that a position has another column: the one that was turned into
    /// this direction.
    pub fn replace(&mut self, position: usize, direction: &Direction) {
        let should_be = direction.alpha[position] * self.upper.value_at(position);
        let (row, subtracted, value) = self.upper.replace(position, &direction.spike);
        self.changed.push(row);
        self.subtracted.push(subtracted.into_iter());
        self.drifted =
            value.abs() < DEPENDENT || (value - should_be).abs() > DRIFT * value.abs().max(1.0);
    }

    /// `x` by position, where the columns times `x` give `work`, by row.
    pub fn solve(&self, mut work: Vec<f64>) -> Vec<f64> {
        self.operate(&mut work);
        self.upper.solve(work)
    }

    /// The column with these values by row in terms of the basis.
    pub fn direction(&self, mut column: Vec<f64>) -> Direction {
        self.operate(&mut column);
        Direction { alpha: self.upper.solve(column.clone()), spike: column }
    }

    /// All row operations so far.
    fn operate(&self, work: &mut [f64]) {
        let Lower { rows, lists } = &*self.lower;
        for (k, &row) in rows.iter().enumerate() {
            let value = work[row as usize];
            if value != 0.0 {
                lists.get(k).iter().for_each(|&(i, l)| work[i as usize] -= l * value);
            }
        }
        for (k, &row) in self.changed.iter().enumerate() {
            work[row as usize] -= dot(self.subtracted.get(k), work);
        }
    }

    /// `y` by row, where `y` times the columns gives `costs`, by position.
    pub fn solve_transposed(&self, costs: &[f64]) -> Vec<f64> {
        let mut y = self.upper.solve_transposed(costs);
        for (k, &row) in self.changed.iter().enumerate().rev() {
            let value = y[row as usize];
            if value != 0.0 {
                let rows = self.subtracted.get(k).iter();
                rows.for_each(|&(i, times)| y[i as usize] -= times * value);
            }
        }
        let Lower { rows, lists } = &*self.lower;
        for (k, &row) in rows.iter().enumerate().rev() {
            y[row as usize] -= dot(lists.get(k), &y);
        }
        y
    }
}

impl Upper {
    fn new(pivots: Vec<(u32, u32)>, diagonal: Vec<f64>, columns: Lists) -> Upper {
        let mut at = vec![NONE; pivots.len()];
        for (k, &(_, position)) in pivots.iter().enumerate() {
            at[position as usize] = index(k);
        }
        let order = (0..index(pivots.len())).collect();
        Upper { pivots, diagonal, columns, order, at }
    }

    /// The value of a position's pivot.
    fn value_at(&self, position: usize) -> f64 {
        self.diagonal[self.at[position] as usize]
    }

    fn solve(&self, mut work: Vec<f64>) -> Vec<f64> {
        let mut x = vec![0.0; work.len()];
        for &k in self.order.iter().rev() {
            let (row, position) = self.pivots[k as usize];
            let value = work[row as usize];
            if value != 0.0 {
                let value = value / self.diagonal[k as usize];
                x[position as usize] = value;
                let entries = self.columns.get(k as usize).iter();
                entries.for_each(|&(i, u)| work[i as usize] -= u * value);
            }
        }
        x
    }

    fn solve_transposed(&self, costs: &[f64]) -> Vec<f64> {
        let cost = |k: u32| costs[self.pivots[k as usize].1 as usize];
        let first = self.order.iter().position(|&k| cost(k) != 0.0).unwrap_or(costs.len());
        let mut y = vec![0.0; costs.len()];
        for &k in &self.order[first..] {
            let known = dot(self.columns.get(k as usize), &y);
            y[self.pivots[k as usize].0 as usize] = (cost(k) - known) / self.diagonal[k as usize];
        }
        y
    }

    /// Puts a column at a position, last in the order, and eliminates what the
    /// position's row holds in the columns that stood after it: the row, the
    /// rows that were subtracted from it and how often, and the new pivot.
    fn replace(&mut self, position: usize, spike: &[f64]) -> (u32, Vec<Entry>, f64) {
        let own = self.at[position];
        let place = self.order.iter().position(|&k| k == own).expect("every pivot is in order");
        let row = self.pivots[own as usize].0;
        let mut times = vec![0.0; spike.len()];
        let mut subtracted = Vec::new();
        let mut value = spike[row as usize];
        for after in place + 1..self.order.len() {
            let k = self.order[after] as usize;
            let known = dot(self.columns.get(k), &times);
            let held = self.take(k, row) - known;
            if held.abs() > TINY {
                let of = self.pivots[k].0;
                times[of as usize] = held / self.diagonal[k];
                subtracted.push((of, times[of as usize]));
                value -= times[of as usize] * spike[of as usize];
            }
        }
        self.order.remove(place);
        self.order.push(own);
        self.diagonal[own as usize] = value;
        let from = index(self.columns.entries.len());
        let others = spike.iter().enumerate().filter(|&(i, a)| i != row as usize && a.abs() > TINY);
        self.columns.entries.extend(others.map(|(i, &a)| (index(i), a)));
        self.columns.span[own as usize] = (from, index(self.columns.entries.len()));
        (row, subtracted, value)
    }

    /// Takes a row's entry out of a column.
    fn take(&mut self, k: usize, row: u32) -> f64 {
        let (from, to) = self.columns.span[k];
        let entries = &mut self.columns.entries[from as usize..to as usize];
        let Some(place) = entries.iter().position(|&(i, _)| i == row) else { return 0.0 };
        entries.swap(place, entries.len() - 1);
        self.columns.span[k].1 -= 1;
        entries[entries.len() - 1].1
    }
}

fn dot(list: &[Entry], values: &[f64]) -> f64 {
    list.iter().map(|&(i, a)| values[i as usize] * a).sum()
}

fn index(i: usize) -> u32 {
    u32::try_from(i).expect("fewer than 2^32 rows and entries")
}

#[cfg(test)]
mod tests;
