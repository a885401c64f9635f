//! The least that whole units of stock cost which have room for everything.
//!
//! A knapsack over the kinds alone: which pieces go together is left aside, but
//! units are whole, which the linear program does not see. Where costs are no
//! multiple of one another this is often the better bound. Dynamic programming
//! over undominated pairs of cost and room (Nemhauser and Ullmann 1969,
//! "Discrete dynamic programming and capital allocation", Management Science
//! 15), kinds in the order of what their room costs, pruned by what the rest of
//! the room must cost at the next kind's rate. Exact, for stock without credit,
//! as long as the pairs stay within the limit.

use crate::solve::instance::Instance;
use crate::solve::search::Search;
use crate::solve::watchman::Watchman;

/// Pairs that are kept at most.
const MOST_PAIRS: usize = 200_000;

/// Raises the bound to what units with room for everything cost.
pub(crate) fn raise(search: &mut Search) {
    let (instance, cutoff) = (&search.instance, search.cutoff());
    let (least, steps) = least(instance, cutoff, search.watchman());
    search.spend(steps);
    if let Some(least) = least {
        search.raise(i128::from(least));
    }
}

/// The least cost of units with room for all pieces, or `cutoff` if that is less;
/// nothing where costs depend on what is cut, the pairs are too many or it is
/// late. The second figure counts the steps.
fn least(instance: &Instance, cutoff: i64, watchman: Watchman) -> (Option<i64>, u64) {
    let mut steps = 0;
    let bare = instance.kinds.iter().all(|kind| kind.credit.is_none() && kind.cost > 0);
    let wanted = instance.length_of(&instance.demands());
    if !bare || cutoff == i64::MAX || instance.kinds.len() < 2 {
        return (None, steps);
    }
    let mut order: Vec<usize> = (0..instance.kinds.len()).collect();
    order.sort_by(|&a, &b| {
        let (a, b) = (&instance.kinds[a], &instance.kinds[b]);
        let left = i128::from(a.cost) * i128::from(b.room);
        left.cmp(&(i128::from(b.cost) * i128::from(a.room)))
    });
    let mut pairs = vec![CostAndRoom { cost: 0, room: 0 }];
    let mut best = cutoff;
    for &k in &order {
        let kind = &instance.kinds[k];
        // What room from here on costs at least.
        let (cost, room) = (i128::from(kind.cost), i128::from(kind.room));
        let needed = wanted / kind.room + 1;
        let mut left = i64::from(kind.supply).min(needed);
        let mut share = 1;
        let hopeful = |pair: &CostAndRoom, best: i64| {
            let lacking = i128::from(wanted - pair.room);
            i128::from(pair.cost) * room + lacking * cost <= i128::from(best - 1) * room
        };
        pairs.retain(|pair| hopeful(pair, best));
        while left > 0 {
            let units = share.min(left);
            left -= units;
            share *= 2;
            let (Some(cost), Some(room)) =
                (kind.cost.checked_mul(units), kind.room.checked_mul(units))
            else {
                return (None, steps);
            };
            let more: Vec<CostAndRoom> = pairs
                .iter()
                .filter_map(|pair| {
                    let cost = pair.cost.checked_add(cost).filter(|&cost| cost < best)?;
                    Some(CostAndRoom { cost, room: pair.room.saturating_add(room) })
                })
                .collect();
            pairs = undominated(&pairs, &more);
            steps += pairs.len() as u64 / 8 + 1;
            // One that has room for everything is followed no further.
            if let Some(end) = pairs.iter().position(|pair| pair.room >= wanted) {
                best = best.min(pairs[end].cost);
                pairs.truncate(end);
            }
            pairs.retain(|pair| hopeful(pair, best));
            if pairs.len() > MOST_PAIRS || watchman.is_late() {
                return (None, steps);
            }
        }
    }
    (Some(best), steps)
}

/// Units taken so far: what they cost and hold.
#[derive(Clone, Copy)]
struct CostAndRoom {
    cost: i64,
    room: i64,
}

/// Two lists with cost and room rising, as one.
fn undominated(one: &[CostAndRoom], other: &[CostAndRoom]) -> Vec<CostAndRoom> {
    let mut merged: Vec<CostAndRoom> = Vec::with_capacity(one.len() + other.len());
    let (mut a, mut b) = (one.iter().peekable(), other.iter().peekable());
    loop {
        let next = match (a.peek(), b.peek()) {
            (Some(x), Some(y)) if (x.cost, -x.room) <= (y.cost, -y.room) => a.next(),
            (Some(_), None) => a.next(),
            (_, Some(_)) => b.next(),
            (None, None) => return merged,
        };
        if let Some(&pair) = next {
            if merged.last().is_none_or(|last| last.room < pair.room) {
                merged.push(pair);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solve::problem::{Item, Problem, Run, Stock};

    fn instance(stock: &[(i64, i64, u32)], length: i64) -> Instance {
        let stock = stock.iter().map(|&(room, cost, supply)| {
            let run = Run::clear(room);
            Stock { runs: vec![run], cost, supply: Some(supply), credit: None, group: 0 }
        });
        let item = Item { parts: vec![1], demand: u32::try_from(length).unwrap(), group: None };
        Instance::new(&Problem { stock: stock.collect(), items: vec![item] })
    }

    // Computed by hand: of 27, two of 10 and one of 7 cost 20 + 20 + 15; three
    // of 10 cost 60, and there are no four of 7.
    #[test]
    fn units_are_whole() {
        let stock = [(10, 20, 5), (7, 15, 3)];
        assert_eq!(least(&instance(&stock, 27), 100, Watchman::default()).0, Some(55));
        assert_eq!(least(&instance(&stock, 27), 50, Watchman::default()).0, Some(50));
    }

    #[test]
    fn every_choice_of_units_agrees() {
        for length in 1..=60 {
            for (a, b, c) in [(13, 11, 7), (20, 19, 9), (12, 12, 5)] {
                let stock = [(9, a, 3), (8, b, 2), (5, c, 4)];
                let mut truth = 100;
                for (x, y, z) in (0..60).map(|n| (n % 4, n / 4 % 3, n / 12)) {
                    if 9 * x + 8 * y + 5 * z >= length {
                        truth = truth.min(a * x + b * y + c * z);
                    }
                }
                assert_eq!(
                    least(&instance(&stock, length), 100, Watchman::default()).0,
                    Some(truth),
                    "{length}"
                );
            }
        }
    }
}
