//! What a pattern takes and costs, derived a second time.

use super::SolverFault;
use crate::solve::{Credit, Pattern, Piece, Problem, WHOLE};

/// The sum of the lengths of some pieces that are known to exist.
pub(super) fn taken(problem: &Problem, pieces: &[Piece]) -> Result<i128, SolverFault> {
    let mut sum = 0_i128;
    for piece in pieces {
        let length = i128::from(problem.items[piece.item].parts[piece.part]);
        sum = length
            .checked_mul(i128::from(piece.count))
            .and_then(|more| sum.checked_add(more))
            .ok_or(SolverFault::TooBig)?;
    }
    Ok(sum)
}

/// The cost of one unit cut by `pattern`, less the worth of its remainders.
///
/// Walks the runs from the far end: until something has been cut, the runs
/// beyond belong to one remainder with the run before them (its `tail`); from
/// there on each run leaves its own (its `gap`, or what it is if left alone).
pub(super) fn net_cost(problem: &Problem, pattern: &Pattern) -> Result<i128, SolverFault> {
    let stock = &problem.stock[pattern.stock];
    let mut net = i128::from(stock.cost);
    let Some(credit) = &stock.credit else {
        return Ok(net);
    };
    if credit.per <= 0 {
        return Err(SolverFault::Credit { stock: pattern.stock, per: credit.per });
    }
    let mut reached = false;
    for (run, pieces) in stock.runs.iter().zip(&pattern.runs).rev() {
        if pieces.is_empty() && !reached {
            continue;
        }
        let whole = match (reached, pieces.is_empty()) {
            (false, _) => run.tail,
            (true, false) => run.gap,
            (true, true) => run.untouched,
        };
        reached = true;
        let left = i128::from(whole) - taken(problem, pieces)?;
        net -= worth(credit, left)?;
    }
    Ok(net)
}

/// The worth of a remainder: `length x rate / per`, times a share that the
/// lever rule finds between (`keep`, `share`) and (`full`, the whole), or between the two
/// knots that the length lies between.
pub(super) fn worth(credit: &Credit, length: i128) -> Result<i128, SolverFault> {
    let (keep, full) = (i128::from(credit.keep), i128::from(credit.full));
    if length <= 0 || length < keep {
        return Ok(0);
    }
    let (share, of) = if length >= full {
        (1, 1)
    } else {
        let mut knots = vec![(keep, credit.share)];
        let given = credit.knots.iter().filter(|(at, _)| *at != 0);
        knots.extend(given.map(|&(at, share)| (i128::from(at), share)));
        knots.push((full, WHOLE));
        let mut pairs = knots.windows(2);
        let pair = pairs.find(|pair| (pair[0].0..pair[1].0).contains(&length));
        let Some([(from, low), (to, high)]) = pair else { return Err(SolverFault::Knots) };
        let low = i128::from(*low) * (to - length);
        let high = i128::from(*high) * (length - from);
        (low + high, i128::from(WHOLE) * (to - from))
    };
    let value = length
        .checked_mul(i128::from(credit.rate))
        .and_then(|price| price.checked_mul(share))
        .ok_or(SolverFault::TooBig)?;
    let per = of.checked_mul(i128::from(credit.per));
    (value / per.ok_or(SolverFault::TooBig)?)
        .checked_mul(i128::from(credit.scale))
        .ok_or(SolverFault::TooBig)
}
