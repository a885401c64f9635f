//! The least cost of a tiny problem by trying every way of placing each part,
//! and what a unit costs by the documented rules.

use longpoint::solve::{Credit, Problem, Stock, WHOLE};

/// The documented value of a remainder, computed in one fraction.
pub fn worth(credit: &Credit, length: i64) -> i64 {
    if length <= 0 || length < credit.keep {
        return 0;
    }
    let (length, keep, full) =
        (i128::from(length), i128::from(credit.keep), i128::from(credit.full));
    let (share, whole) = (i128::from(credit.share), i128::from(WHOLE));
    let (num, den) = if length >= full {
        (1, 1)
    } else {
        // The last knot up to the length, and the first beyond it.
        let (mut low, mut high) = ((keep, share), (full, whole));
        for (at, share) in credit.knots.iter().rev().filter(|(at, _)| *at > 0) {
            let knot = (i128::from(*at), i128::from(*share));
            if knot.0 > length {
                high = knot;
            } else if low.0 == keep {
                low = knot;
            }
        }
        let (span, gone) = (high.0 - low.0, length - low.0);
        (low.1 * (span - gone) + high.1 * gone, whole * span)
    };
    let value = length * i128::from(credit.rate) * num / (den * i128::from(credit.per));
    i64::try_from(value * i128::from(credit.scale)).unwrap()
}

/// The documented net cost of a unit of which something was cut.
pub fn net(stock: &Stock, taken: &[i64]) -> i64 {
    let Some(credit) = &stock.credit else {
        return stock.cost;
    };
    let mut last = 0;
    for (r, &length) in taken.iter().enumerate() {
        if length > 0 {
            last = r;
        }
    }
    let mut left = worth(credit, stock.runs[last].tail - taken[last]);
    for (run, &length) in stock.runs.iter().zip(taken).take(last) {
        left += worth(credit, if length == 0 { run.untouched } else { run.gap - length });
    }
    stock.cost - left
}

/// Every way of placing the parts, one after another.
struct Brute<'a> {
    problem: &'a Problem,
    /// Each piece by its item.
    pieces: Vec<usize>,
    /// Stock and lengths taken of each unit in use.
    units: Vec<(usize, Vec<i64>)>,
    best: Option<i64>,
}

impl Brute<'_> {
    fn piece(&mut self, p: usize) {
        if p == self.pieces.len() {
            let cost =
                self.units.iter().map(|(s, taken)| net(&self.problem.stock[*s], taken)).sum();
            self.best = Some(self.best.map_or(cost, |best: i64| best.min(cost)));
            return;
        }
        for unit in 0..self.units.len() {
            self.part(p, 0, unit);
        }
        for (s, stock) in self.problem.stock.iter().enumerate() {
            let used = self.units.iter().filter(|(other, _)| *other == s).count();
            if stock.supply.is_none_or(|supply| used < supply as usize) {
                self.units.push((s, vec![0; stock.runs.len()]));
                self.part(p, 0, self.units.len() - 1);
                self.units.pop();
            }
        }
    }

    fn part(&mut self, p: usize, part: usize, unit: usize) {
        let item = &self.problem.items[self.pieces[p]];
        let stock = &self.problem.stock[self.units[unit].0];
        if item.group.is_some_and(|g| g != stock.group) {
            return;
        }
        let Some(&length) = item.parts.get(part) else {
            return self.piece(p + 1);
        };
        for r in 0..stock.runs.len() {
            if self.units[unit].1[r] + length <= stock.runs[r].room {
                self.units[unit].1[r] += length;
                self.part(p, part + 1, unit);
                self.units[unit].1[r] -= length;
            }
        }
    }
}

/// The least cost of any plan, or `None` where there is no plan.
pub fn brute(problem: &Problem) -> Option<i64> {
    let pieces = problem.items.iter().enumerate();
    let pieces = pieces.flat_map(|(i, item)| vec![i; item.demand as usize]).collect();
    let mut brute = Brute { problem, pieces, units: Vec::new(), best: None };
    brute.piece(0);
    brute.best
}
