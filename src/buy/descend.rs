//! Every choice that could be cheaper, moulding by moulding, as long as they are
//! few.

/// What each way costs at given prices on the ties between mouldings.
pub(super) struct Descent {
    /// For each moulding its ways with what they cost.
    pub lists: Vec<Vec<(i128, usize)>>,
    /// What is added to every choice.
    pub fixed: i128,
    /// So many of these are one thousandth.
    pub whole: i128,
}

/// Shows each choice whose sum of prices is below `cost` to `met`, which may
/// lower `cost` and says whether it wants more. False if the steps ran out, or no
/// more were wanted, before all were seen.
///
/// The sum is a bound on what the choice costs, so a choice that is not shown
/// costs no less than `cost`.
pub(super) fn descend(
    mut descent: Descent,
    cost: &mut i64,
    steps: &mut u64,
    met: &mut dyn FnMut(&[usize], &mut i64) -> bool,
) -> bool {
    let count = descent.lists.len();
    descent.lists.iter_mut().for_each(|list| list.sort_unstable());
    // The least that the mouldings from each place on add.
    let mut rest = vec![0; count + 1];
    for place in (0..count).rev() {
        let Some((least, _)) = descent.lists[place].first() else { return true };
        rest[place] = rest[place + 1] + least;
    }
    let mut chosen = vec![0; count];
    // For each moulding that is gone through, the next of its ways to take.
    let mut next: Vec<usize> = vec![0];
    // The sum before each of them.
    let mut sums: Vec<i128> = vec![descent.fixed];
    loop {
        let place = next.len() - 1;
        if place == count {
            if !met(&chosen, cost) {
                return false;
            }
        } else if let Some(&(more, way)) = descent.lists[place].get(next[place]) {
            // A choice costs a whole number of thousandths.
            let most = (i128::from(*cost) - 1) * descent.whole;
            if sums[place] + more + rest[place + 1] <= most {
                if *steps == 0 {
                    return false;
                }
                *steps -= 1;
                chosen[place] = way;
                next[place] += 1;
                next.push(0);
                sums.push(sums[place] + more);
                continue;
            }
        }
        next.pop();
        sums.pop();
        if next.is_empty() {
            return true;
        }
    }
}
