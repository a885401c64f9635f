//! A sparse matrix taken apart into two triangles.
//!
//! Pivots are chosen after Markowitz (1957, "The elimination form of the
//! inverse", Management Science 3) with threshold pivoting, singletons first.
//! Patterns hold few pieces, so that the triangles hardly fill.

use super::{Entry, NONE, TINY, index};

/// A pivot is at least this share of the largest entry of its column.
const THRESHOLD: f64 = 0.1;
/// Below this a pivot means that the columns depend on one another.
pub(super) const DEPENDENT: f64 = 1e-11;
/// Columns among which the next pivot is sought.
const CANDIDATES: usize = 4;

/// Lists of entries, one after the other.
#[derive(Debug, Clone, Default)]
pub(super) struct Lists {
    pub entries: Vec<Entry>,
    /// Where each list begins and ends.
    pub span: Vec<(u32, u32)>,
}

impl Lists {
    pub fn push(&mut self, list: impl Iterator<Item = Entry>) {
        let from = index(self.entries.len());
        self.entries.extend(list);
        self.span.push((from, index(self.entries.len())));
    }

    pub fn get(&self, list: usize) -> &[Entry] {
        let (from, to) = self.span[list];
        &self.entries[from as usize..to as usize]
    }
}

/// What comes out of an elimination.
#[derive(Debug, Default)]
pub(super) struct Triangles {
    /// Row and position of each pivot, in the order of elimination.
    pub pivots: Vec<(u32, u32)>,
    /// The value of each pivot.
    pub diagonal: Vec<f64>,
    /// For each pivot, entries of its column in rows eliminated before.
    pub upper: Lists,
    /// Rows that had to be subtracted from others ...
    pub lower_rows: Vec<u32>,
    /// ... and from which, how often.
    pub lower: Lists,
}

impl Triangles {
    fn pivot(
        &mut self,
        row: u32,
        position: u32,
        own: f64,
        upper: impl Iterator<Item = Entry>,
        lower: impl Iterator<Item = Entry>,
    ) {
        self.pivots.push((row, position));
        self.diagonal.push(own);
        self.upper.push(upper);
        let mut lower = lower.peekable();
        if lower.peek().is_some() {
            self.lower_rows.push(row);
            self.lower.push(lower);
        }
    }
}

/// Positions with an entry in each row, row after row.
struct Across {
    positions: Vec<u32>,
    start: Vec<u32>,
}

impl Across {
    fn new(columns: &[&[Entry]]) -> Across {
        let mut start = vec![0; columns.len() + 1];
        let rows = || columns.iter().copied().flatten().map(|&(row, _)| row as usize);
        rows().for_each(|row| start[row + 1] += 1);
        (1..start.len()).for_each(|row| start[row] += start[row - 1]);
        let mut next = start.clone();
        let mut positions = vec![0; rows().count()];
        for (position, column) in columns.iter().enumerate() {
            for &(row, _) in *column {
                positions[next[row as usize] as usize] = index(position);
                next[row as usize] += 1;
            }
        }
        Across { positions, start }
    }

    fn of(&self, row: usize) -> &[u32] {
        &self.positions[self.start[row] as usize..self.start[row + 1] as usize]
    }
}

/// Rows without a pivot and the positions whose columns could not give one.
#[derive(Debug)]
pub(in crate::solve::columns::simplex) struct Dependent {
    pub rows: Vec<u32>,
    pub positions: Vec<u32>,
}

/// Gaussian elimination under way.
pub(super) struct Elimination<'a> {
    columns: &'a [&'a [Entry]],
    /// The step at which each row was eliminated.
    step_of: Vec<u32>,
    done: Vec<bool>,
    triangles: Triangles,
}

impl<'a> Elimination<'a> {
    pub fn new(columns: &'a [&'a [Entry]]) -> Elimination<'a> {
        let rows = columns.len();
        let triangles = Triangles::default();
        Elimination { columns, step_of: vec![NONE; rows], done: vec![false; rows], triangles }
    }

    pub fn run(mut self) -> Result<Triangles, Dependent> {
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
        let across = Across::new(columns);
        let mut down: Vec<usize> = columns.iter().map(|column| column.len()).collect();
        let mut along: Vec<usize> = (0..size).map(|row| across.of(row).len()).collect();
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
                let open = across.of(row as usize).iter().find(|&&p| !self.done[p as usize]);
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
            let others = || column.iter().copied().filter(|&(r, _)| r != row);
            let step_of = std::mem::take(&mut self.step_of);
            let is_open = |r: u32| step_of[r as usize] == NONE;
            let upper = others().filter(|&(r, _)| !is_open(r));
            let lower = others().filter(|&(r, _)| is_open(r)).map(|(r, a)| (r, a / own));
            self.triangles.pivot(row, position, own, upper, lower);
            self.step_of = step_of;
            self.close(row, position);
            for &(r, _) in column.iter().filter(|&&(r, _)| self.is_open(r)) {
                along[r as usize] -= 1;
                if along[r as usize] == 1 {
                    lone_rows.push(r);
                }
            }
            for &p in across.of(row as usize).iter().filter(|&&p| !self.done[p as usize]) {
                down[p as usize] -= 1;
                if down[p as usize] == 1 {
                    lone_columns.push(p);
                }
            }
        }
    }

    fn close(&mut self, row: u32, position: u32) {
        self.step_of[row as usize] = index(self.triangles.pivots.len() - 1);
        self.done[position as usize] = true;
    }

    /// Eliminates what has no singletons, the pivot of least possible fill
    /// first.
    fn nucleus(&mut self) {
        let size = self.columns.len();
        let mut upper: Vec<Vec<Entry>> = vec![Vec::new(); size];
        let mut active: Vec<Vec<Entry>> = vec![Vec::new(); size];
        let mut left: Vec<u32> = (0..index(size)).filter(|&p| !self.done[p as usize]).collect();
        let mut across: Vec<Vec<u32>> = vec![Vec::new(); size];
        for &p in &left {
            for &(row, a) in self.columns[p as usize] {
                if self.is_open(row) {
                    active[p as usize].push((row, a));
                    across[row as usize].push(p);
                } else {
                    upper[p as usize].push((row, a));
                }
            }
        }
        while let Some((row, position)) = self.choose(&left, &active, &across) {
            left.retain(|&p| p != position);
            let column = std::mem::take(&mut active[position as usize]);
            let own = column.iter().find(|&&(r, _)| r == row).map_or(0.0, |&(_, a)| a);
            let others = column.iter().filter(|&&(r, _)| r != row);
            let lower: Vec<Entry> = others.map(|&(r, a)| (r, a / own)).collect();
            for &(r, _) in &lower {
                across[r as usize].retain(|&p| p != position);
            }
            for p in std::mem::take(&mut across[row as usize]) {
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
                                across[r as usize].retain(|&other| other != p);
                            }
                        }
                        None => {
                            target.push((r, -l * times));
                            across[r as usize].push(p);
                        }
                    }
                }
            }
            let above = std::mem::take(&mut upper[position as usize]).into_iter();
            self.triangles.pivot(row, position, own, above, lower.into_iter());
            self.close(row, position);
        }
    }

    /// The pivot that can cause least fill among the shortest columns.
    fn choose(
        &self,
        left: &[u32],
        active: &[Vec<Entry>],
        across: &[Vec<u32>],
    ) -> Option<(u32, u32)> {
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
                let fill = (length - 1) * (across[row as usize].len() - 1);
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
