//! A sparse basis matrix taken apart into two triangles, and kept up to date by
//! one elementary column a pivot.
//!
//! Pivots are chosen after Markowitz (1957, "The elimination form of the
//! inverse", Management Science 3) with threshold pivoting, singletons first;
//! updates are the product form of Dantzig and Orchard-Hays (1954). Patterns
//! hold few pieces, so that the triangles hardly fill and a solve costs little
//! more than the entries of the basis.

use std::rc::Rc;

/// A pivot is at least this share of the largest entry of its column.
const THRESHOLD: f64 = 0.1;
/// Below this an entry is taken for a rounding error.
const TINY: f64 = 1e-14;
/// Below this a pivot means that the columns depend on one another.
const DEPENDENT: f64 = 1e-11;
/// Columns among which the next pivot is sought.
const CANDIDATES: usize = 4;
/// Updates after which the triangles are made anew.
const MOST_UPDATES: usize = 64;

/// One entry: a row and its value.
type Entry = (u32, f64);

/// No step, no row, no position.
const NONE: u32 = u32::MAX;

/// The triangles of a basis matrix whose columns stand at numbered positions.
#[derive(Debug, Clone)]
pub(super) struct Factors {
    triangles: Rc<Triangles>,
    updates: Vec<Update>,
    /// Entries of all updates.
    weight: usize,
}

#[derive(Debug)]
struct Triangles {
    /// Row and position of each pivot, in the order of elimination.
    pivots: Vec<(u32, u32)>,
    /// The value of each pivot.
    diagonal: Vec<f64>,
    /// For each pivot, entries of its column in rows eliminated before.
    upper: Vec<Vec<Entry>>,
    /// Pivots that had to be subtracted from other rows, and how often.
    lower: Vec<(u32, Vec<Entry>)>,
}

/// The column that took a position, in terms of the basis before.
#[derive(Debug, Clone)]
struct Update {
    position: u32,
    pivot: f64,
    others: Vec<Entry>,
}

/// Rows without a pivot and the positions whose columns could not give one.
#[derive(Debug)]
pub(super) struct Dependent {
    pub rows: Vec<u32>,
    pub positions: Vec<u32>,
}

impl Factors {
    /// Takes the square matrix with these columns apart.
    pub fn new(columns: &[&[Entry]]) -> Result<Factors, Dependent> {
        let triangles = Elimination::new(columns).run()?;
        Ok(Factors { triangles: Rc::new(triangles), updates: Vec::new(), weight: 0 })
    }

    /// Whether it is time to take the matrix apart anew.
    pub fn is_worn(&self) -> bool {
        let rows = self.triangles.pivots.len();
        self.updates.len() >= MOST_UPDATES || self.weight > 16 * rows + 1_000
    }

    /// Notes that a position has another column: the one that is `alpha` in
    /// terms of the basis so far.
    pub fn replace(&mut self, position: usize, alpha: &[f64]) {
        let others: Vec<Entry> = alpha
            .iter()
            .enumerate()
            .filter(|&(i, a)| i != position && a.abs() > TINY)
            .map(|(i, &a)| (index(i), a))
            .collect();
        self.weight += others.len() + 1;
        self.updates.push(Update { position: index(position), pivot: alpha[position], others });
    }

    /// `x` by position, where the columns times `x` give `work`, by row.
    pub fn solve(&self, mut work: Vec<f64>) -> Vec<f64> {
        let triangles = &*self.triangles;
        for (row, entries) in &triangles.lower {
            let value = work[*row as usize];
            if value != 0.0 {
                entries.iter().for_each(|&(i, l)| work[i as usize] -= l * value);
            }
        }
        let mut x = vec![0.0; work.len()];
        for (k, &(row, position)) in triangles.pivots.iter().enumerate().rev() {
            let value = work[row as usize];
            if value != 0.0 {
                let value = value / triangles.diagonal[k];
                x[position as usize] = value;
                triangles.upper[k].iter().for_each(|&(i, u)| work[i as usize] -= u * value);
            }
        }
        for update in &self.updates {
            let value = x[update.position as usize];
            if value != 0.0 {
                let value = value / update.pivot;
                x[update.position as usize] = value;
                update.others.iter().for_each(|&(i, a)| x[i as usize] -= a * value);
            }
        }
        x
    }

    /// `y` by row, where `y` times the columns gives `costs`, by position.
    pub fn solve_transposed(&self, mut costs: Vec<f64>) -> Vec<f64> {
        let triangles = &*self.triangles;
        for update in self.updates.iter().rev() {
            let others = update.others.iter();
            let known: f64 = others.map(|&(i, a)| costs[i as usize] * a).sum();
            let own = &mut costs[update.position as usize];
            *own = (*own - known) / update.pivot;
        }
        let mut y = vec![0.0; costs.len()];
        for (k, &(row, position)) in triangles.pivots.iter().enumerate() {
            let known: f64 = triangles.upper[k].iter().map(|&(i, u)| y[i as usize] * u).sum();
            y[row as usize] = (costs[position as usize] - known) / triangles.diagonal[k];
        }
        for (row, entries) in triangles.lower.iter().rev() {
            let known: f64 = entries.iter().map(|&(i, l)| y[i as usize] * l).sum();
            y[*row as usize] -= known;
        }
        y
    }
}

/// Gaussian elimination under way.
struct Elimination<'a> {
    columns: &'a [&'a [Entry]],
    /// Positions with an entry in each row; of the nucleus alone once it is
    /// begun.
    across: Vec<Vec<u32>>,
    /// The step at which each row was eliminated.
    step_of: Vec<u32>,
    done: Vec<bool>,
    triangles: Triangles,
}

impl<'a> Elimination<'a> {
    fn new(columns: &'a [&'a [Entry]]) -> Elimination<'a> {
        let rows = columns.len();
        let mut across = vec![Vec::new(); rows];
        for (position, column) in columns.iter().enumerate() {
            column.iter().for_each(|&(row, _)| across[row as usize].push(index(position)));
        }
        Elimination {
            columns,
            across,
            step_of: vec![NONE; rows],
            done: vec![false; rows],
            triangles: Triangles {
                pivots: Vec::with_capacity(rows),
                diagonal: Vec::with_capacity(rows),
                upper: Vec::with_capacity(rows),
                lower: Vec::new(),
            },
        }
    }

    fn run(mut self) -> Result<Triangles, Dependent> {
        self.singletons();
        if self.triangles.pivots.len() < self.columns.len() {
            self.nucleus();
        }
        if self.triangles.pivots.len() == self.columns.len() {
            return Ok(self.triangles);
        }
        let open = |i: &u32| self.step_of[*i as usize] == NONE;
        let left = |i: &u32| !self.done[*i as usize];
        let all = || 0..index(self.columns.len());
        Err(Dependent {
            rows: all().filter(open).collect(),
            positions: all().filter(left).collect(),
        })
    }

    fn is_open(&self, row: u32) -> bool {
        self.step_of[row as usize] == NONE
    }

    /// Pivots on columns with one open row and rows with one open column, which
    /// change nothing else.
    fn singletons(&mut self) {
        let columns = self.columns;
        let size = columns.len();
        let mut down: Vec<usize> = columns.iter().map(|column| column.len()).collect();
        let mut along: Vec<usize> = self.across.iter().map(Vec::len).collect();
        let mut lone_columns: Vec<u32> =
            (0..index(size)).filter(|&p| down[p as usize] == 1).collect();
        let mut lone_rows: Vec<u32> =
            (0..index(size)).filter(|&r| along[r as usize] == 1).collect();
        loop {
            let (row, position) = if let Some(position) = lone_columns.pop() {
                let open = columns[position as usize].iter().find(|&&(row, _)| self.is_open(row));
                let Some(&(row, _)) = open.filter(|_| !self.done[position as usize]) else {
                    continue;
                };
                (row, position)
            } else if let Some(row) = lone_rows.pop() {
                let open = self.across[row as usize].iter().find(|&&p| !self.done[p as usize]);
                let Some(&position) = open.filter(|_| self.is_open(row)) else { continue };
                (row, position)
            } else {
                return;
            };
            let column = columns[position as usize];
            let own = column.iter().find(|&&(r, _)| r == row).map_or(0.0, |&(_, a)| a);
            if own.abs() < DEPENDENT {
                continue;
            }
            let (mut upper, mut lower) = (Vec::new(), Vec::new());
            for &(r, a) in column.iter().filter(|&&(r, _)| r != row) {
                if self.is_open(r) { lower.push((r, a / own)) } else { upper.push((r, a)) }
            }
            self.pivot(row, position, own, upper, lower);
            for &(r, _) in column.iter().filter(|&&(r, _)| self.is_open(r)) {
                along[r as usize] -= 1;
                if along[r as usize] == 1 {
                    lone_rows.push(r);
                }
            }
            for &p in self.across[row as usize].iter().filter(|&&p| !self.done[p as usize]) {
                down[p as usize] -= 1;
                if down[p as usize] == 1 {
                    lone_columns.push(p);
                }
            }
        }
    }

    fn pivot(&mut self, row: u32, position: u32, own: f64, upper: Vec<Entry>, lower: Vec<Entry>) {
        self.step_of[row as usize] = index(self.triangles.pivots.len());
        self.done[position as usize] = true;
        self.triangles.pivots.push((row, position));
        self.triangles.diagonal.push(own);
        self.triangles.upper.push(upper);
        if !lower.is_empty() {
            self.triangles.lower.push((row, lower));
        }
    }

    /// Eliminates what has no singletons, the pivot of least possible fill
    /// first.
    fn nucleus(&mut self) {
        let size = self.columns.len();
        let mut upper: Vec<Vec<Entry>> = vec![Vec::new(); size];
        let mut active: Vec<Vec<Entry>> = vec![Vec::new(); size];
        let mut left: Vec<u32> = (0..index(size)).filter(|&p| !self.done[p as usize]).collect();
        self.across.iter_mut().for_each(Vec::clear);
        for &p in &left {
            for &(row, a) in self.columns[p as usize] {
                if self.is_open(row) {
                    active[p as usize].push((row, a));
                    self.across[row as usize].push(p);
                } else {
                    upper[p as usize].push((row, a));
                }
            }
        }
        while let Some((row, position)) = self.choose(&left, &active) {
            left.retain(|&p| p != position);
            let column = std::mem::take(&mut active[position as usize]);
            let own = column.iter().find(|&&(r, _)| r == row).map_or(0.0, |&(_, a)| a);
            let others = column.iter().filter(|&&(r, _)| r != row);
            let lower: Vec<Entry> = others.map(|&(r, a)| (r, a / own)).collect();
            for &(r, _) in &lower {
                self.across[r as usize].retain(|&p| p != position);
            }
            for p in std::mem::take(&mut self.across[row as usize]) {
                if p == position {
                    continue;
                }
                let target = &mut active[p as usize];
                let Some(place) = target.iter().position(|&(r, _)| r == row) else { continue };
                let (_, times) = target.swap_remove(place);
                upper[p as usize].push((row, times));
                for &(r, l) in &lower {
                    match target.iter().position(|&(other, _)| other == r) {
                        Some(i) => {
                            target[i].1 -= l * times;
                            if target[i].1.abs() < TINY {
                                target.swap_remove(i);
                                self.across[r as usize].retain(|&other| other != p);
                            }
                        }
                        None => {
                            target.push((r, -l * times));
                            self.across[r as usize].push(p);
                        }
                    }
                }
            }
            let above = std::mem::take(&mut upper[position as usize]);
            self.pivot(row, position, own, above, lower);
        }
    }

    /// The pivot that can cause least fill among the shortest columns.
    fn choose(&self, left: &[u32], active: &[Vec<Entry>]) -> Option<(u32, u32)> {
        let mut short: Vec<(usize, u32)> = Vec::with_capacity(CANDIDATES + 1);
        for &p in left {
            let length = active[p as usize].len();
            if length == 0 || short.len() == CANDIDATES && short[CANDIDATES - 1].0 <= length {
                continue;
            }
            let place = short.partition_point(|&(other, _)| other <= length);
            short.insert(place, (length, p));
            short.truncate(CANDIDATES);
        }
        let mut best: Option<(usize, f64, u32, u32)> = None;
        for &(length, p) in &short {
            let column = &active[p as usize];
            let largest = column.iter().fold(0.0, |most: f64, &(_, a)| most.max(a.abs()));
            if largest < DEPENDENT {
                continue;
            }
            for &(row, a) in column.iter().filter(|&&(_, a)| a.abs() >= THRESHOLD * largest) {
                let fill = (length - 1) * (self.across[row as usize].len() - 1);
                let better = best.is_none_or(|(least, size, ..)| {
                    fill < least || fill == least && a.abs() > size
                });
                if better {
                    best = Some((fill, a.abs(), row, p));
                }
            }
        }
        best.map(|(_, _, row, p)| (row, p))
    }
}

fn index(i: usize) -> u32 {
    u32::try_from(i).expect("fewer than 2^32 rows")
}

#[cfg(test)]
#[path = "factors_tests.rs"]
mod tests;
