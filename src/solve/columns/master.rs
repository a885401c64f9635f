//! The covering master: the linear program over the patterns found so far.
//!
//! One row a type (at least its demand) and one a kind whose supply is limited
//! (at most its supply), one a cut, and one that may keep it near some patterns.
//! Each demand can also be met at a artificial price, which keeps the program
//! feasible and boxes the prices in while they settle (du Merle and others 1999,
//! "Stabilized column generation", Discrete Mathematics 194; the box in
//! proportion to the length after da Silva and Schouery).

use std::collections::{BTreeMap, BTreeSet};

use super::simplex::{Basis, End, Matrix};
use crate::solve::cutting_plan::Column;
use crate::solve::instance::Instance;
use crate::solve::prices::Prices;
use crate::solve::residual::Residual;
use crate::solve::search::Search;
use crate::solve::subset_row::SubsetRow;

/// Bits that a price and a cost may use, so that sums stay within 64 bits.
const PRICE_BITS: u32 = 54;
/// A greater price, or a price mended by more, is an error of the numbers.
const GREATEST_PRICE: f64 = (1_u64 << PRICE_BITS) as f64;
/// The finest fixed point.
const FINEST: u32 = 40;
/// Pivots after which a linear program is given up.
const MOST_PIVOTS: u32 = 200_000;
/// Pivots between two looks at the limits of the search.
const SLICE: u32 = 200;
/// What a unit that is asked for and not used costs, in units of the dearest.
const DEAR_UNIT: f64 = 1e3;
/// Below this a value counts as nothing.
pub(crate) const VALUE_EPS: f64 = 1e-7;

/// Patterns of which so many must be used at least, all together.
#[derive(Debug, Clone)]
pub(crate) struct NearRow {
    pub columns: BTreeSet<Column>,
    pub least: u32,
}

/// The master problem.
#[derive(Clone)]
pub(crate) struct Master {
    matrix: Matrix,
    basis: Basis,
    /// The columns, of which the first is column `first` of the matrix.
    pub columns: Vec<Column>,
    first: usize,
    known: BTreeMap<Column, usize>,
    types: usize,
    /// The row of each kind with limited supply.
    supply_row: Vec<Option<usize>>,
    /// The row of each kind of which a least number of units is asked.
    least_row: Vec<Option<usize>>,
    /// The cuts, of which the first is row `first_cut`.
    cuts: Vec<SubsetRow>,
    first_cut: usize,
    /// What it is kept near to, and the row for that.
    near_row: Option<(NearRow, usize)>,
    /// The cost that counts as 1 in the linear program.
    unit: f64,
    /// Whether net costs count; without them artificial variables cost 1 and stock nothing.
    costs: bool,
}

impl Master {
    /// A master without patterns, where a piece's artificial variable costs
    /// `rate x length`. With `counted`, the units of every kind can be bounded
    /// from both sides.
    pub fn new(instance: &Instance, rest: &Residual, rate: f64, counted: bool) -> Master {
        Master::with(instance, rest, rate, counted, None)
    }

    /// A master without patterns that keeps near some, as far as it can.
    pub fn near_row(instance: &Instance, rest: &Residual, rate: f64, near_row: NearRow) -> Master {
        Master::with(instance, rest, rate, false, Some(near_row))
    }

    fn with(
        instance: &Instance,
        rest: &Residual,
        rate: f64,
        counted: bool,
        near_row: Option<NearRow>,
    ) -> Master {
        let types = rest.wanted.len();
        let unit = instance.kinds.iter().map(|k| k.cost_at(k.room).abs()).max().unwrap_or(1);
        let unit = unit.max(1) as f64;
        let mut matrix = Matrix::default();
        let mut units = Vec::new();
        for (t, of_type) in instance.types.iter().enumerate() {
            let cost = rate * of_type.length as f64 / unit;
            units.push(matrix.push(cost, vec![(row(t), 1.0)]));
        }
        let mut supply_row = vec![None; instance.kinds.len()];
        for (k, _) in instance.kinds.iter().enumerate().filter(|(_, kind)| kind.limited || counted)
        {
            let r = units.len();
            supply_row[k] = Some(r);
            units.push(matrix.push(0.0, vec![(row(r), 1.0)]));
        }
        let mut least_row = vec![None; instance.kinds.len()];
        if counted {
            for least_row in &mut least_row {
                let r = units.len();
                *least_row = Some(r);
                units.push(matrix.push(0.0, vec![(row(r), -1.0)]));
            }
        }
        let first_cut = units.len();
        for r in first_cut..first_cut + instance.cuts.len() {
            units.push(matrix.push(0.0, vec![(row(r), 1.0)]));
        }
        let near_row = near_row.map(|near_row| (near_row, units.len()));
        if let Some((_, r)) = &near_row {
            units.push(matrix.push(DEAR_UNIT, vec![(row(*r), 1.0)]));
        }
        for t in 0..types {
            matrix.push(0.0, vec![(row(t), -1.0)]);
        }
        for r in least_row.iter().flatten() {
            matrix.push(DEAR_UNIT, vec![(row(*r), 1.0)]);
        }
        if let Some((_, r)) = &near_row {
            matrix.push(0.0, vec![(row(*r), -1.0)]);
        }
        let first = matrix.len();
        let mut master = Master {
            basis: Basis::new(&matrix, vec![0.0; units.len()], &units),
            matrix,
            columns: Vec::new(),
            first,
            known: BTreeMap::new(),
            types,
            supply_row,
            least_row,
            cuts: instance.cuts.clone(),
            first_cut,
            near_row,
            unit,
            costs: true,
        };
        master.set_rhs(rest);
        master
    }

    fn set_rhs(&mut self, rest: &Residual) {
        let mut rhs: Vec<f64> = rest.wanted.iter().map(|&count| f64::from(count)).collect();
        let rows = [(&self.supply_row, &rest.supply), (&self.least_row, &rest.least)];
        for (rows, units) in rows {
            let bounded = rows.iter().zip(units).filter(|(row, _)| row.is_some());
            rhs.extend(bounded.map(|(_, &units)| f64::from(units)));
        }
        rhs.extend(self.cuts.iter().map(|cut| f64::from(cut.most(&rest.wanted))));
        rhs.extend(self.near_row.iter().map(|(near_row, _)| f64::from(near_row.least)));
        self.basis.set_rhs(&self.matrix, &rhs);
    }

    /// Adds a column unless it is there already.
    pub fn add(&mut self, column: Column) -> bool {
        if self.known.contains_key(&column) {
            return false;
        }
        let mut entries: Vec<(u32, f64)> =
            column.pieces.iter().map(|&(t, count)| (row(t), f64::from(count))).collect();
        entries.extend(self.supply_row[column.kind].map(|r| (row(r), 1.0)));
        entries.extend(self.least_row[column.kind].map(|r| (row(r), 1.0)));
        for (cut, r) in self.cuts.iter().zip(self.first_cut..) {
            let times = cut.times(&column.pieces);
            entries.extend((times > 0).then(|| (row(r), f64::from(times))));
        }
        let near_row =
            self.near_row.iter().filter(|(near_row, _)| near_row.columns.contains(&column));
        entries.extend(near_row.map(|(_, r)| (row(*r), 1.0)));
        let cost = if self.costs { column.cost as f64 / self.unit } else { 0.0 };
        self.matrix.push(cost, entries);
        self.basis.grow(&self.matrix);
        self.known.insert(column.clone(), self.columns.len());
        self.columns.push(column);
        true
    }

    /// Keeps near nothing any more, from the next [`Self::restrict`] on.
    pub fn let_go(&mut self) {
        self.near_row.iter_mut().for_each(|(near_row, _)| near_row.least = 0);
    }

    /// Asks for other demands and supplies: columns that exceed them are shut,
    /// the others opened. Call with smaller ones than before, or after
    /// restoring a basis that was optimal for larger ones.
    pub fn restrict(&mut self, search: &mut Search, rest: &Residual) -> bool {
        for (c, column) in self.columns.iter().enumerate() {
            let proper = rest.supply[column.kind] > 0
                && column.pieces.iter().all(|&(t, count)| count <= rest.wanted[t]);
            self.basis.shut(self.first + c, !proper);
        }
        self.set_rhs(rest);
        self.make_feasible(search)
    }

    /// Dual pivots until every value is allowed; false if the limits of the
    /// search or the numbers ended them.
    fn make_feasible(&mut self, search: &mut Search) -> bool {
        // Beyond this the pivots only go round.
        let most = (2_000 + 40 * row(self.types)).min(MOST_PIVOTS);
        let end = self.basis.work + u64::from(most);
        loop {
            match self.basis.dual(&self.matrix, SLICE) {
                // What takes more than a slice is counted like any other work.
                End::Limit if self.basis.work < end => {
                    if !search.spend(u64::from(SLICE) * self.weight()) {
                        return false;
                    }
                }
                end => return end == End::Optimal,
            }
        }
    }

    /// Steps that a pivot counts for.
    fn weight(&self) -> u64 {
        1 + self.types as u64 / 16
    }

    /// Shuts the columns that leave more than `waste` of their unit.
    pub fn shut_wasteful(
        &mut self,
        search: &mut Search,
        instance: &Instance,
        waste: Option<i64>,
    ) -> bool {
        let Some(waste) = waste else { return true };
        for (c, column) in self.columns.iter().enumerate() {
            let room = instance.kinds[column.kind].room;
            if column.length(instance) < room - waste {
                self.basis.shut(self.first + c, true);
            }
        }
        self.make_feasible(search)
    }

    /// Solves to the optimum over the columns at hand; false if the limits of
    /// the search or the numbers ended it.
    pub fn solve(&mut self, search: &mut Search) -> bool {
        let weight = self.weight();
        // Beyond this the pivots only chase rounding errors; what they have
        // come to is as good as any optimum, since bounds are proven apart.
        let most = self.basis.work + 2_000 + 40 * self.types as u64;
        loop {
            let before = self.basis.work;
            let end = self.basis.primal(&self.matrix, SLICE);
            if !search.spend((self.basis.work - before) * weight + 1) {
                return false;
            }
            if end != End::Limit || self.basis.work > most {
                return end != End::GaveUp;
            }
        }
    }

    /// The basis, to come back to.
    pub fn basis(&self) -> Basis {
        self.basis.clone()
    }

    /// Comes back to a basis.
    pub fn restore(&mut self, basis: Basis) {
        self.basis = basis;
        self.basis.grow(&self.matrix);
    }

    /// Columns in use and how much.
    pub fn used(&self) -> Vec<(usize, f64)> {
        let basic = self.basis.basic().filter(|&(c, value)| c >= self.first && value > VALUE_EPS);
        let mut used: Vec<(usize, f64)> = basic.map(|(c, value)| (c - self.first, value)).collect();
        used.sort_by_key(|&(c, _)| c);
        used
    }

    /// How much the artificial variables still carry.
    pub fn missing(&self) -> f64 {
        let artificial = |c: usize| c < self.types || c < self.first && self.matrix.cost[c] > 0.0;
        let carried = self.basis.basic().filter(|&(c, _)| artificial(c));
        carried.map(|(_, value)| value.max(0.0)).sum()
    }

    /// The columns that the rest could use, those in use first, then by how
    /// little they lack.
    pub fn by_reduced_cost(&self, rest: &Residual) -> Vec<Column> {
        let proper = |column: &Column| column.pieces.iter().all(|&(t, n)| n <= rest.wanted[t]);
        let open = (0..self.columns.len()).filter(|&c| proper(&self.columns[c]));
        let mut lacking: Vec<(f64, usize)> = open
            .map(|c| {
                let m = self.first + c;
                let used = self.basis.value(m) > VALUE_EPS;
                (if used { -1.0 } else { self.basis.reduced(&self.matrix, m).max(0.0) }, c)
            })
            .collect();
        lacking.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        lacking.into_iter().map(|(_, c)| self.columns[c].clone()).collect()
    }

    /// How many units of each kind are used.
    pub fn units(&self, kinds: usize) -> Vec<f64> {
        let mut units = vec![0.0; kinds];
        for (c, value) in self.used() {
            units[self.columns[c].kind] += value;
        }
        units
    }

    /// Makes the artificial variables dearer by a factor.
    pub fn raise_stand_ins(&mut self, factor: f64) {
        self.matrix.cost[..self.types].iter_mut().for_each(|cost| *cost *= factor);
        self.basis.set_prices(&self.matrix);
    }

    /// The cost of a artificial variable, at most, in units of the dearest stock.
    pub fn stand_in_cost(&self) -> f64 {
        self.matrix.cost[..self.types].iter().copied().fold(0.0, f64::max)
    }

    /// Lets only feasibility count: every artificial variable costs 1, all stock nothing.
    pub fn forget_costs(&mut self) {
        self.costs = false;
        self.unit = 1.0;
        self.matrix.cost.fill(0.0);
        self.matrix.cost[..self.types].fill(1.0);
        self.basis.set_prices(&self.matrix);
    }

    /// The objective in units of cost.
    pub fn objective(&self) -> f64 {
        self.basis.objective(&self.matrix) * self.unit
    }

    /// The prices in fixed point, mended until the basic columns just pay.
    pub fn prices(&self, instance: &Instance) -> Prices {
        let rough = self.basis.prices();
        let most = rough.iter().fold(1.0f64, |most, y| most.max(y.abs()));
        let bits = ((most * self.unit).log2().ceil() as u32).min(PRICE_BITS);
        let scale = 1i64 << (PRICE_BITS - bits).min(FINEST);
        let fixed = |y: &f64| {
            let price = y * self.unit * scale as f64;
            price.clamp(-GREATEST_PRICE, GREATEST_PRICE).round() as i64
        };
        let mut fixed: Vec<i64> = rough.iter().map(fixed).collect();
        // Two rounds bring the error of 53-bit arithmetic below one step.
        for _ in 0..2 {
            let gaps: Vec<f64> =
                self.basis.basic().map(|(c, _)| self.gap(c, scale, &fixed) as f64).collect();
            let mended = self.basis.mend_prices(gaps);
            // A basis too near to singular mends nothing; any prices will do for a
            // bound, these for a better one.
            if mended.iter().any(|more| more.is_nan() || more.abs() >= GREATEST_PRICE) {
                break;
            }
            fixed.iter_mut().zip(mended).for_each(|(price, more)| *price += more.round() as i64);
        }
        Prices {
            scale,
            piece: fixed[..self.types].iter().map(|&price| price.max(0)).collect(),
            charge: (0..instance.kinds.len())
                .map(|k| {
                    let supply = self.supply_row[k].map_or(0, |r| (-fixed[r]).max(0));
                    supply - self.least_row[k].map_or(0, |r| fixed[r].max(0))
                })
                .collect(),
            cut: (self.first_cut..).take(self.cuts.len()).map(|r| (-fixed[r]).max(0)).collect(),
            costs: self.costs,
        }
        .within_reach(instance)
    }

    /// What a column costs beyond its worth at the prices, exactly.
    fn gap(&self, column: usize, scale: i64, fixed: &[i64]) -> i128 {
        let cost = match column.checked_sub(self.first) {
            Some(c) if self.costs => i128::from(self.columns[c].cost) * i128::from(scale),
            Some(_) => 0,
            None => {
                i128::from((self.matrix.cost[column] * self.unit * scale as f64).round() as i64)
            }
        };
        let entries = self.matrix.column[column].iter();
        let worth = |&(r, a): &(u32, f64)| i128::from(fixed[r as usize]) * i128::from(a as i64);
        cost - entries.map(worth).sum::<i128>()
    }
}

fn row(r: usize) -> u32 {
    u32::try_from(r).expect("fewer than 2^32 rows")
}
