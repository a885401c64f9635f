//! The best plan out of a list of columns: branch and bound on the linear
//! program over the list, with every bound proven in integers.
//!
//! Branches are on sums of columns that must be whole: units of a kind, those of
//! them that are cut for little, which the program mixes with full ones where
//! remainders are credited, single columns, pieces of a type from a kind (Vance
//! 1998, "Branch-and-price algorithms for the one-dimensional cutting stock
//! problem", Computational Optimization and Applications 9), and units with two
//! types together (Ryan and Foster 1981). Columns that can no longer pay are shut by their reduced
//! cost on the way down.

mod branching;

use crate::solve::columns::simplex::{Basis, End, Matrix};
use crate::solve::cutting_plan::{Column, CuttingPlan};
use crate::solve::residual::Residual;
use crate::solve::search::Search;

/// Bits of the fixed point of prices here, where sums have 128 bits.
const BITS: u32 = 70;
const MOST_PIVOTS: u32 = 5_000;
/// Prices further from nothing than this come of numbers that broke down. Any
/// prices prove a bound, and within this their sums stay within 128 bits.
const MOST_PRICE: i128 = 1 << 76;

/// Finds the best plan over the columns, if it beats the best so far and costs
/// less than `cutoff`. True if the search was complete within `most` steps.
pub(crate) fn select(
    search: &mut Search,
    rest: &Residual,
    columns: Vec<Column>,
    cutoff: i64,
    most: u64,
) -> bool {
    let mut selection = Selection::new(rest, columns, &limited(search));
    selection.left = most;
    selection.cutoff = cutoff;
    let Some(basis) = selection.first(search) else {
        return false;
    };
    selection.search(search, basis) && !search.is_stopped()
}

fn limited(search: &Search) -> Vec<bool> {
    search.instance.kinds.iter().map(|kind| kind.limited).collect()
}

/// How a row's slack may move.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sense {
    Equal,
    AtMost,
    AtLeast,
}

struct BranchRow {
    sense: Sense,
    rhs: i64,
}

struct Selection {
    columns: Vec<Column>,
    /// The most often that each column can be used.
    most_used: Vec<i64>,
    matrix: Matrix,
    rows: Vec<BranchRow>,
    /// The matrix column of each column.
    place: Vec<usize>,
    /// The column behind each matrix column.
    behind: Vec<Option<usize>>,
    /// Cost of each matrix column that is no column: artificial variables.
    artificial: i128,
    unit: f64,
    scale_bits: u32,
    paid: i64,
    demand_rows: Vec<Option<usize>>,
    left: u64,
    cutoff: i64,
}

impl Selection {
    fn new(rest: &Residual, columns: Vec<Column>, limited: &[bool]) -> Selection {
        let dearest = columns.iter().map(|c| c.cost.abs()).max().unwrap_or(1).max(1);
        let unit = dearest as f64;
        // Dear enough that no plan with a artificial variable costs less than one without.
        let pieces: i64 = rest.wanted.iter().map(|&count| i64::from(count)).sum();
        let artificial = i128::from(dearest) * i128::from(2 * pieces.clamp(1, 50_000));
        let bits = 128 - (artificial * 4).leading_zeros();
        let mut selection = Selection {
            most_used: Vec::new(),
            matrix: Matrix::default(),
            rows: Vec::new(),
            place: Vec::new(),
            behind: Vec::new(),
            artificial,
            unit,
            scale_bits: BITS.saturating_sub(bits),
            paid: rest.paid,
            demand_rows: vec![None; rest.wanted.len()],
            left: 0,
            cutoff: i64::MAX,
            columns: Vec::new(),
        };
        for (t, &count) in rest.wanted.iter().enumerate().filter(|&(_, &count)| count > 0) {
            selection.demand_rows[t] = Some(selection.rows.len());
            let rhs = i64::from(count);
            selection.rows.push(BranchRow { sense: Sense::Equal, rhs });
        }
        let mut supply_rows = vec![None; rest.supply.len()];
        for (k, &units) in rest.supply.iter().enumerate() {
            if limited[k] && columns.iter().any(|c| c.kind == k) {
                supply_rows[k] = Some(selection.rows.len());
                let rhs = i64::from(units);
                selection.rows.push(BranchRow { sense: Sense::AtMost, rhs });
            }
        }
        for r in 0..selection.rows.len() {
            let cost = match selection.rows[r].sense {
                Sense::Equal => artificial as f64 / unit,
                _ => 0.0,
            };
            selection.push(cost, vec![(index(r), 1.0)], None);
        }
        for (c, column) in columns.iter().enumerate() {
            let pieces = column.pieces.iter();
            let row = |t: usize| selection.demand_rows[t].expect("a listed column is wanted");
            let mut entries: Vec<(u32, f64)> =
                pieces.map(|&(t, count)| (index(row(t)), f64::from(count))).collect();
            entries.extend(supply_rows[column.kind].map(|r| (index(r), 1.0)));
            let often = column.pieces.iter().map(|&(t, count)| rest.wanted[t] / count);
            let often = often.fold(rest.supply[column.kind], u32::min);
            selection.most_used.push(i64::from(often));
            let place = selection.push(column.cost as f64 / unit, entries, Some(c));
            selection.place.push(place);
        }
        selection.columns = columns;
        selection
    }

    fn push(&mut self, cost: f64, entries: Vec<(u32, f64)>, behind: Option<usize>) -> usize {
        self.behind.push(behind);
        self.matrix.push(cost, entries)
    }

    fn first(&mut self, search: &mut Search) -> Option<Basis> {
        let rhs = self.rows.iter().map(|row| row.rhs as f64).collect();
        let units: Vec<usize> = (0..self.rows.len()).collect();
        let mut basis = Basis::new(&self.matrix, rhs, &units);
        let end = basis.primal(&self.matrix, MOST_PIVOTS);
        search.spend(basis.work * self.pivot_steps());
        (end == End::Optimal).then_some(basis)
    }

    /// Steps that a pivot counts for.
    fn pivot_steps(&self) -> u64 {
        1 + self.rows.len() as u64 / 16 + self.columns.len() as u64 / 256
    }

    /// Whether no plan below the basis beats the best, by its prices in fixed
    /// point; shuts columns that no better plan can use.
    fn is_beaten(&self, search: &mut Search, basis: &mut Basis) -> bool {
        let prices = self.prices(basis);
        let open: Vec<(usize, i128)> = (0..self.columns.len())
            .filter(|&c| !basis.is_shut(self.place[c]))
            .map(|c| (c, self.gap(self.place[c], &prices)))
            .collect();
        let worth: i128 =
            self.rows.iter().zip(&prices).map(|(row, price)| i128::from(row.rhs) * price).sum();
        let over: i128 =
            open.iter().map(|&(c, gap)| gap.min(0) * i128::from(self.most_used[c])).sum();
        let bound = worth + over;
        let scale = 1i128 << self.scale_bits;
        let whole = crate::solve::bounds::material::ceil_div(bound, scale) + i128::from(self.paid);
        let cutoff = i128::from(search.cutoff().min(self.cutoff));
        if search.round_up(whole) >= cutoff {
            return true;
        }
        let room = (cutoff - 1 - i128::from(self.paid)) * scale - bound;
        for (c, gap) in open {
            // The bound without the column's own share, were it used once.
            if gap > room && basis.value(self.place[c]) == 0.0 {
                basis.shut(self.place[c], true);
            }
        }
        false
    }

    /// Prices in fixed point, mended to the last step and with the right signs.
    fn prices(&self, basis: &Basis) -> Vec<i128> {
        let scale = (1u128 << self.scale_bits) as f64;
        let within = |price: i128| price.clamp(-MOST_PRICE, MOST_PRICE);
        let to_fixed = |y: &f64| within((y * self.unit * scale) as i128);
        let mut prices: Vec<i128> = basis.prices().iter().map(to_fixed).collect();
        for _ in 0..2 {
            let gaps: Vec<f64> = basis.basic().map(|(m, _)| self.gap(m, &prices) as f64).collect();
            let mended = basis.mend_prices(gaps);
            for (price, more) in prices.iter_mut().zip(mended) {
                *price = within(price.saturating_add(more.round() as i128));
            }
        }
        for (price, row) in prices.iter_mut().zip(&self.rows) {
            *price = match row.sense {
                Sense::Equal => *price,
                Sense::AtMost => (*price).min(0),
                Sense::AtLeast => (*price).max(0),
            };
        }
        prices
    }

    /// What a matrix column costs beyond its worth.
    fn gap(&self, m: usize, prices: &[i128]) -> i128 {
        let cost = match self.behind[m] {
            Some(c) => i128::from(self.columns[c].cost),
            None if self.matrix.cost[m] > 0.0 => self.artificial,
            None => 0,
        };
        let entries = self.matrix.column[m].iter();
        let worth: i128 = entries.map(|&(r, a)| prices[r as usize] * i128::from(a as i64)).sum();
        (cost << self.scale_bits) - worth
    }

    /// Whether the rows alone rule out every plan, whatever its cost.
    fn contradicts(&self, basis: &Basis) -> bool {
        let Some(ray) = basis.ray() else { return false };
        let within = |y: i128| y.clamp(-MOST_PRICE, MOST_PRICE);
        let fixed: Vec<i128> =
            ray.iter().map(|y| (y * (1u64 << 40) as f64).round() as i128).map(within).collect();
        let signed = fixed.iter().zip(&self.rows).map(|(&y, row)| match row.sense {
            Sense::Equal => y,
            Sense::AtMost => y.min(0),
            Sense::AtLeast => y.max(0),
        });
        let signed: Vec<i128> = signed.collect();
        let wanted: i128 =
            signed.iter().zip(&self.rows).map(|(y, row)| y * i128::from(row.rhs)).sum();
        let given: i128 = (0..self.columns.len())
            .filter(|&c| !basis.is_shut(self.place[c]))
            .map(|c| {
                let entries = self.matrix.column[self.place[c]].iter();
                let sum: i128 =
                    entries.map(|&(r, a)| signed[r as usize] * i128::from(a as i64)).sum();
                sum.max(0) * i128::from(self.most_used[c])
            })
            .sum();
        wanted > given
    }
}

fn search_offer(selection: &Selection, search: &mut Search, uses: &[(usize, i64)]) {
    let uses: Vec<(Column, u32)> = uses
        .iter()
        .map(|&(c, times)| (selection.columns[c].clone(), u32::try_from(times).unwrap_or(0)))
        .collect();
    let plan = CuttingPlan::new(uses);
    if plan.is_exact(&search.instance) {
        search.offer(plan);
    }
}

fn index(i: usize) -> u32 {
    u32::try_from(i).expect("fewer than 2^32 rows and columns")
}
