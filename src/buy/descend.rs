//! Every choice that could be cheaper, lot by lot, as long as they are few.

/// What each way costs at given prices on the ties between lots.
pub(super) struct Descent {
    /// For each lot its ways with what they cost.
    pub lots: Vec<Vec<(i128, usize)>>,
    /// What is added to every choice.
    pub fixed: i128,
    /// So many of these are one thousandth.
    pub whole: i128,
}

/// Shows each choice whose sum of prices is below `cost` to `met`, which may
/// lower `cost`. False if the steps ran out before all were seen.
///
/// The sum is a bound on what the choice costs, so a choice that is not shown
/// costs no less than `cost`.
pub(super) fn descend(
    mut descent: Descent,
    cost: &mut i64,
    steps: &mut u64,
    met: &mut dyn FnMut(&[usize], &mut i64),
) -> bool {
    for lot in &mut descent.lots {
        lot.sort_unstable();
    }
    // The least that the lots from each place on add.
    let mut rest = vec![0; descent.lots.len() + 1];
    for place in (0..descent.lots.len()).rev() {
        let Some((least, _)) = descent.lots[place].first() else { return true };
        rest[place] = rest[place + 1] + least;
    }
    let mut chosen = vec![0; descent.lots.len()];
    let sum = descent.fixed;
    further(&descent, &rest, 0, sum, &mut chosen, &mut Search { cost, steps, met })
}

struct Search<'a> {
    cost: &'a mut i64,
    steps: &'a mut u64,
    met: &'a mut dyn FnMut(&[usize], &mut i64),
}

fn further(
    descent: &Descent,
    rest: &[i128],
    place: usize,
    sum: i128,
    chosen: &mut [usize],
    search: &mut Search,
) -> bool {
    if place == descent.lots.len() {
        (search.met)(chosen, search.cost);
        return true;
    }
    for &(more, way) in &descent.lots[place] {
        // A choice costs a whole number of thousandths.
        if sum + more + rest[place + 1] > (i128::from(*search.cost) - 1) * descent.whole {
            break;
        }
        if *search.steps == 0 {
            return false;
        }
        *search.steps -= 1;
        chosen[place] = way;
        if !further(descent, rest, place + 1, sum + more, chosen, search) {
            return false;
        }
    }
    true
}
