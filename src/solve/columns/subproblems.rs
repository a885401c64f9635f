//! Which kinds and types can meet in a pattern, and the least that a length
//! taken costs over all kinds: what pricing knows before prices are known.

use std::rc::Rc;

use crate::solve::bounds::material::groups;
use crate::solve::instance::Instance;

/// Cells that the room is divided into at least where credit is given.
const CELLS: i64 = 24;

/// A problem to price for: the whole one, or one with pieces joined and kept
/// apart.
pub(crate) struct Subproblems {
    pub instance: Rc<Instance>,
    pub classes: Vec<Subproblem>,
    /// Whether bounds hold for the whole problem.
    pub whole: bool,
}

impl Subproblems {
    pub fn new(instance: Rc<Instance>, whole: bool) -> Subproblems {
        Subproblems { classes: Subproblem::all(&instance), instance, whole }
    }
}

/// Types and kinds among which every pattern stays.
#[derive(Debug, Clone)]
pub(crate) struct Subproblem {
    pub types: Vec<usize>,
    pub kinds: Vec<usize>,
    /// The last length of each cell, rising. The first cell begins at 1.
    pub ends: Vec<i64>,
    /// Net cost of each kind at the first length of each cell, up to its room.
    pub costs: Vec<Vec<i64>>,
}

impl Subproblem {
    /// The classes of an instance: one for each group that items ask for, and
    /// one for the stock of no such group.
    pub fn all(instance: &Instance) -> Vec<Subproblem> {
        let groups = groups(instance);
        let mut keys: Vec<Option<u32>> = groups.iter().copied().map(Some).collect();
        keys.push(None);
        let classes = keys.into_iter().map(|key| {
            let of_class = |&k: &usize| {
                let group = instance.kinds[k].group;
                key.map_or(!groups.contains(&group), |g| g == group)
            };
            let kinds: Vec<usize> = (0..instance.kinds.len()).filter(of_class).collect();
            let meets = |&t: &usize| {
                let group = instance.types[t].group;
                group.is_none() || group == key
            };
            let types = (0..instance.types.len()).filter(meets).collect();
            Subproblem::new(instance, types, kinds)
        });
        classes.filter(|class| !class.kinds.is_empty()).collect()
    }

    fn new(instance: &Instance, types: Vec<usize>, kinds: Vec<usize>) -> Subproblem {
        let ends = ends(instance, &kinds);
        let costs = kinds
            .iter()
            .map(|&k| {
                let kind = &instance.kinds[k];
                let starts = std::iter::once(1).chain(ends.iter().map(|end| end + 1));
                starts
                    .take_while(|&start| start <= kind.room)
                    .map(|start| kind.cost_at(start))
                    .collect()
            })
            .collect();
        Subproblem { types, kinds, ends, costs }
    }

    /// The greatest room of all kinds.
    pub fn room(&self) -> i64 {
        *self.ends.last().expect("a class has a kind, and a kind has room")
    }

    /// The cell of a length.
    pub fn cell(&self, length: i64) -> usize {
        self.ends.partition_point(|&end| end < length)
    }
}

/// Cells end at every room and at every corner of a net cost.
fn ends(instance: &Instance, kinds: &[usize]) -> Vec<i64> {
    let mut ends: Vec<i64> = kinds.iter().map(|&k| instance.kinds[k].room).collect();
    let longest = ends.iter().copied().max().unwrap_or(0);
    if kinds.iter().any(|&k| instance.kinds[k].credit.is_some()) {
        ends.extend((1..CELLS).map(|c| longest / CELLS * c));
        for &k in kinds {
            ends.extend(instance.kinds[k].corners(1));
            ends.extend(instance.kinds[k].lengths.iter().flat_map(|l| l.iter()).map(|l| l.1));
        }
    }
    ends.retain(|&end| end > 0);
    ends.sort_unstable();
    ends.dedup();
    ends
}
