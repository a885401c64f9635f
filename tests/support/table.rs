//! The least cost of a cutting-stock problem by dynamic programming over every
//! set of pieces and every way to cut a unit: no bound, no pruning, no float.

use longpoint::solve::Problem;

use super::general::Way;

/// No plan reaches this.
const NEVER: i64 = i64::MAX / 4;

/// How many states and steps the table takes at most.
pub struct Size {
    pub states: usize,
    pub steps: usize,
}

/// A way as a step from one state to another.
struct Step<'a> {
    counts: &'a [u32],
    to: usize,
    cost: i64,
}

/// The least cost of a plan of these ways, `Some(None)` if there is none;
/// `None` if the table would be larger than `most`.
#[allow(clippy::option_option, reason = "not known is not the same as none")]
pub fn least_cost(problem: &Problem, ways: &[Way], most: &Size) -> Option<Option<i64>> {
    let mut strides = vec![1usize];
    for item in &problem.items {
        let size = strides.last()? * (item.demand as usize + 1);
        strides.push(size);
        if size > most.states {
            return None;
        }
    }
    let states = strides.pop()?;
    let digits = |state: usize| -> Vec<u32> {
        let digit = |(item, stride): (&longpoint::solve::Item, &usize)| {
            u32::try_from(state / stride % (item.demand as usize + 1)).expect("at most a demand")
        };
        problem.items.iter().zip(&strides).map(digit).collect()
    };
    let open: Vec<Vec<u32>> = (0..states).map(|state| digits(states - 1 - state)).collect();
    let (mut least, mut taken) = (vec![NEVER; states], 0);
    least[0] = 0;
    for (stock, kind) in problem.stock.iter().enumerate() {
        let of_stock = ways.iter().filter(|way| way.stock == stock);
        let steps: Vec<Step> = of_stock
            .map(|way| {
                let to = way.counts.iter().zip(&strides).map(|(&count, s)| count as usize * s);
                Step { counts: &way.counts, to: to.sum(), cost: way.cost }
            })
            .collect();
        taken += steps.len() * states * kind.supply.map_or(1, |units| units as usize);
        if taken > most.steps {
            return None;
        }
        // Upwards a unit can follow another of its kind; downwards it cannot.
        match kind.supply {
            None => (0..states).for_each(|state| reach(&mut least, state, &open, &steps)),
            Some(units) => {
                for _ in 0..units {
                    (0..states).rev().for_each(|state| reach(&mut least, state, &open, &steps));
                }
            }
        }
    }
    Some(Some(least[states - 1]).filter(|&cost| cost < NEVER / 2))
}

/// One more unit from this state.
fn reach(least: &mut [i64], state: usize, open: &[Vec<u32>], steps: &[Step]) {
    if least[state] >= NEVER / 2 {
        return;
    }
    for step in steps {
        if step.counts.iter().zip(&open[state]).all(|(count, open)| count <= open) {
            let cost = least[state] + step.cost;
            least[state + step.to] = cost.min(least[state + step.to]);
        }
    }
}
