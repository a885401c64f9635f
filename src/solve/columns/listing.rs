//! Every pattern that a better plan could use.
//!
//! A pattern whose reduced cost at some proven prices exceeds the gap between
//! bound and best plan is in no better plan; all others can be listed when they
//! are few (Baldacci and others 2008, "An exact algorithm for the vehicle
//! routing problem based on the set partitioning formulation with additional
//! cuts", Mathematical Programming 115).

use super::enumeration::Enumeration;
use super::pricing::{Extent, choices, price};
use super::subproblems::Subproblem;
use super::table::{Grain, ValueTable};
use crate::solve::bounds::knapsack::LengthRange;
use crate::solve::cells::Cells;
use crate::solve::cutting_plan::Column;
use crate::solve::instance::Instance;
use crate::solve::prices::Prices;
use crate::solve::residual::Residual;

/// What came of listing.
pub(crate) enum Listed {
    /// All the columns that matter.
    All(Vec<Column>),
    /// Too many columns or steps.
    TooMany,
}

/// The prices with charges so high that no column gains at all.
pub(crate) fn proven(
    instance: &Instance,
    classes: &[Subproblem],
    prices: &Prices,
    rest: &Residual,
    grain: Grain,
    cells: &mut Cells,
) -> Prices {
    let extent = Extent::best(grain);
    let answer = price(instance, classes, prices, &rest.wanted, &rest.supply, extent, cells);
    Prices { charge: answer.gain.iter().map(|&gain| gain.max(0)).collect(), ..prices.clone() }
}

/// All columns that a plan of less than `cutoff` can use, unless they are more
/// than `most` or take more than `steps` to find. The prices must be [`proven`];
/// `stretches` are what the knapsack over whole units says at them, if anything.
#[allow(clippy::too_many_arguments)]
pub(crate) fn list(
    instance: &Instance,
    classes: &[Subproblem],
    prices: &Prices,
    rest: &Residual,
    cutoff: i64,
    stretches: &[Option<Vec<LengthRange>>],
    most: usize,
    steps: &mut u64,
    cells: &mut Cells,
) -> Listed {
    let mut worth = 0i128;
    for (&count, &piece) in rest.wanted.iter().zip(&prices.piece) {
        worth += i128::from(count) * i128::from(piece);
    }
    worth -= prices.cut_worth(instance, &rest.wanted);
    for (&supply, &charge) in rest.supply.iter().zip(&prices.charge) {
        worth -= i128::from(supply) * i128::from(charge);
    }
    // A column of gain -g adds g to the bound of any plan that uses it.
    let scale = i128::from(prices.scale);
    let floor = worth - scale * (i128::from(cutoff) - 1 - i128::from(rest.paid)) - 1;
    let floor = i64::try_from(floor).unwrap_or(if floor > 0 { i64::MAX } else { i64::MIN / 4 });
    let mut columns = Vec::new();
    for class in classes {
        let kinds: Vec<usize> =
            (0..class.kinds.len()).filter(|&c| rest.supply[class.kinds[c]] > 0).collect();
        let choices = choices(instance, class, prices, &rest.wanted, 0);
        let waste = rest.waste(instance, cutoff);
        let table = ValueTable::new(&choices, class.room(), waste, Grain::Fine, cells);
        let mut enumeration =
            Enumeration::new(instance, class, prices, &choices, &table, &kinds, floor, *steps);
        enumeration.watchman = cells.watchman;
        enumeration.every_kind = true;
        enumeration.keep_within(stretches);
        enumeration.shortest = waste.map_or(0, |waste| class.room() - waste);
        enumeration.most_found = most;
        let complete = enumeration.search(0, 0, 0) && !enumeration.doubt;
        *steps = enumeration.left;
        let found = std::mem::take(&mut enumeration.found);
        table.give_back(cells);
        if !complete || columns.len() + found.len() > most {
            return Listed::TooMany;
        }
        columns.extend(found.into_iter().map(|(_, column)| column));
    }
    Listed::All(columns)
}
