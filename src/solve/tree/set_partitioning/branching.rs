//! The branches of choosing among listed columns, one after the other from a
//! list of what is still to be done.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::{BranchRow, MOST_PIVOTS, Selection, Sense, index, search_offer};
use crate::solve::columns::simplex::{Basis, End};
use crate::solve::cutting_plan::Column;
use crate::solve::search::Search;
use crate::solve::tree::candidates::{BranchCandidate, alone, cheap, kinds, pairs, pieces};

/// Below this a sum counts as whole.
const WHOLE_EPS: f64 = 1e-6;
/// Branches below one another at most: beyond, the search gives up. A basis is
/// kept for each.
const MOST_DEPTH: u32 = 400;
/// The same where the program is whole and misses its bound by rounding only.
const MOST_WHOLE_DEPTH: u32 = 200;

/// What is still to be done, the last first.
enum BranchTask {
    /// Go down a branch.
    Branch(Branch),
    /// Take back the row of a branch with these columns.
    TakeBack(Vec<usize>),
}

/// One side of a branch on a sum, below a solved basis.
struct Branch {
    basis: Rc<Basis>,
    sum: BranchCandidate,
    sense: Sense,
    rhs: i64,
    depth: u32,
}

/// Adds both sides of a branch, the first to be done first.
fn add_branches(
    tasks: &mut Vec<BranchTask>,
    basis: Basis,
    sum: BranchCandidate,
    [first, second]: [(Sense, i64); 2],
    depth: u32,
) {
    let basis = Rc::new(basis);
    for (sense, rhs) in [second, first] {
        let basis = Rc::clone(&basis);
        tasks.push(BranchTask::Branch(Branch { basis, sum, sense, rhs, depth }));
    }
}

impl Selection {
    /// Searches below a solved basis, depth first; false if the limits ended the
    /// search. What is still to be done is a list, not a call within a call: its
    /// length grows with the depth, which is bounded.
    pub(super) fn search(&mut self, search: &mut Search, root: Basis) -> bool {
        let mut tasks = Vec::new();
        if !self.node(search, root, 0, &mut tasks) {
            return false;
        }
        while let Some(task) = tasks.pop() {
            let going = match task {
                BranchTask::Branch(branch) => self.branch(search, &branch, &mut tasks),
                BranchTask::TakeBack(members) => {
                    self.take_back(&members);
                    true
                }
            };
            if !going {
                return false;
            }
        }
        true
    }

    /// Looks at a solved basis and adds what is to be done below it; false if the
    /// limits end the search.
    fn node(
        &mut self,
        search: &mut Search,
        mut basis: Basis,
        depth: u32,
        tasks: &mut Vec<BranchTask>,
    ) -> bool {
        let steps = 1 + self.rows.len() as u64 + self.columns.len() as u64 / 8;
        self.left = self.left.saturating_sub(steps);
        if self.left == 0 || !search.spend(steps) {
            return false;
        }
        if self.is_beaten(search, &mut basis) {
            return true;
        }
        if depth >= MOST_DEPTH {
            return false;
        }
        let Some((sum, value)) = self.fractional(&basis) else {
            return self.whole(search, basis, depth, tasks);
        };
        let (floor, part) = (value.floor() as i64, value.fract());
        let up = (Sense::AtLeast, floor + 1);
        let down = (Sense::AtMost, floor);
        let order = if part > 0.4 { [up, down] } else { [down, up] };
        add_branches(tasks, basis, sum, order, depth);
        true
    }

    /// A basis in whole numbers: a plan. If more may be gained, goes on to plans
    /// that use one of its columns less.
    fn whole(
        &mut self,
        search: &mut Search,
        mut basis: Basis,
        depth: u32,
        tasks: &mut Vec<BranchTask>,
    ) -> bool {
        let mut uses = Vec::new();
        for (m, value) in basis.basic() {
            let times = value.round();
            if let (Some(c), true) = (self.behind[m], times >= 1.0) {
                uses.push((c, times as i64));
            }
        }
        uses.sort_unstable();
        search_offer(self, search, &uses);
        if self.is_beaten(search, &mut basis) {
            return true;
        }
        // The bound misses the plan by a rounding error only.
        let open = uses.iter().find(|&&(c, _)| !basis.is_shut(self.place[c]));
        let Some(&(c, times)) = open.filter(|_| depth < MOST_WHOLE_DEPTH) else {
            return false;
        };
        let order = [(Sense::AtMost, times - 1), (Sense::AtLeast, times)];
        add_branches(tasks, basis, BranchCandidate::Column(c), order, depth);
        true
    }

    /// Goes one branch down, and takes it back when all below it is done; false
    /// if the limits end the search.
    fn branch(
        &mut self,
        search: &mut Search,
        branch: &Branch,
        tasks: &mut Vec<BranchTask>,
    ) -> bool {
        let Branch { sense, rhs, .. } = *branch;
        let mut basis = Basis::clone(&branch.basis);
        let members: Vec<(usize, i64)> = (0..self.columns.len())
            .map(|c| (c, branch.sum.counts(c, &self.columns[c])))
            .filter(|&(_, counts)| counts > 0)
            .collect();
        if sense == Sense::AtMost && rhs <= 0 {
            members.iter().for_each(|&(c, _)| basis.shut(self.place[c], true));
        } else {
            let r = index(self.rows.len());
            for &(c, counts) in &members {
                self.matrix.column[self.place[c]].push((r, counts as f64));
            }
            let sign = if sense == Sense::AtMost { 1.0 } else { -1.0 };
            let unit = self.push(0.0, vec![(r, sign)], None);
            self.rows.push(BranchRow { sense, rhs });
            basis.add_row(&self.matrix, rhs as f64, unit);
            tasks.push(BranchTask::TakeBack(members.into_iter().map(|(c, _)| c).collect()));
        }
        let before = basis.work;
        let end = basis.dual(&self.matrix, MOST_PIVOTS);
        let work = (basis.work - before) * self.pivot_steps();
        self.left = self.left.saturating_sub(work);
        search.spend(work);
        match end {
            End::Optimal => self.node(search, basis, branch.depth + 1, tasks),
            // The artificial variables keep every true row feasible, so only the branches
            // can contradict each other; the prices of the failing row prove it.
            End::Infeasible => self.contradicts(&basis),
            End::GaveUp | End::Limit => false,
        }
    }

    /// Takes the last branch's row out of the program again.
    fn take_back(&mut self, members: &[usize]) {
        for &c in members {
            self.matrix.column[self.place[c]].pop();
        }
        self.matrix.cost.pop();
        self.matrix.column.pop();
        self.behind.pop();
        self.rows.pop();
    }

    /// The sum to branch on: the kind of sum that comes first, the value
    /// nearest to a half.
    fn fractional(&self, basis: &Basis) -> Option<(BranchCandidate, f64)> {
        let used: Vec<(usize, f64)> = basis
            .basic()
            .filter_map(|(m, value)| Some((self.behind[m]?, value)))
            .filter(|&(_, value)| value > WHOLE_EPS / 10.0)
            .collect();
        let whole = |value: f64| (value - value.round()).abs() < WHOLE_EPS;
        if used.iter().all(|&(_, value)| whole(value)) {
            return None;
        }
        let ranks: [fn(usize, &Column) -> Vec<BranchCandidate>; 5] =
            [kinds, cheap, alone, pieces, pairs];
        ranks.iter().find_map(|rank| {
            let mut sums: BTreeMap<BranchCandidate, f64> = BTreeMap::new();
            for &(c, _) in &used {
                for sum in rank(c, &self.columns[c]) {
                    sums.entry(sum).or_insert_with(|| {
                        let counted = used
                            .iter()
                            .map(|&(c, value)| value * sum.counts(c, &self.columns[c]) as f64);
                        counted.sum()
                    });
                }
            }
            let open = sums.into_iter().filter(|&(_, value)| !whole(value));
            open.min_by(|a, b| {
                let off = |value: f64| (value.fract() - 0.5).abs();
                off(a.1).total_cmp(&off(b.1)).then(a.0.cmp(&b.0))
            })
        })
    }
}
