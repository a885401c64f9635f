//! Lower bounds from lengths alone.
//!
//! The material bound prices every piece at `rate x length`; the best rate is
//! one at which some kind just pays. For equal stock without credit the bound
//! L2 of Martello and Toth (1990, "Lower bounds and reduction procedures for
//! the bin packing problem", Discrete Applied Mathematics 28) is taken too.

use crate::solve::instance::{Instance, StockKind};

/// Types beyond which L2 is left to the linear program.
const MOST_TYPES: usize = 5_000;

/// Types, and all the kinds that any of them can come from.
pub(crate) struct Scope {
    pub types: Vec<usize>,
    pub kinds: Vec<usize>,
}

impl Scope {
    fn wanted(&self, instance: &Instance) -> i128 {
        let types = self.types.iter().map(|&t| &instance.types[t]);
        types.map(|t| i128::from(t.length) * i128::from(t.demand)).sum()
    }
}

/// Everything, and the types of each group alone.
pub(crate) fn scopes(instance: &Instance) -> Vec<Scope> {
    let mut scopes = vec![Scope {
        types: (0..instance.types.len()).collect(),
        kinds: (0..instance.kinds.len()).collect(),
    }];
    scopes.extend(groups(instance).into_iter().map(|group| Scope {
        types:
            (0..instance.types.len()).filter(|&t| instance.types[t].group == Some(group)).collect(),
        kinds: (0..instance.kinds.len()).filter(|&k| instance.kinds[k].group == group).collect(),
    }));
    scopes
}

/// The groups that items ask for.
pub(crate) fn groups(instance: &Instance) -> Vec<u32> {
    let mut groups: Vec<u32> = instance.types.iter().filter_map(|t| t.group).collect();
    groups.sort_unstable();
    groups.dedup();
    groups
}

/// The best bound from lengths alone.
pub(crate) fn material(instance: &Instance) -> i128 {
    let mut scopes = scopes(instance).into_iter();
    let whole = scopes.next().map_or(0, |scope| priced(instance, &scope));
    let apart: i128 = scopes.map(|scope| priced(instance, &scope)).sum();
    // Stock that no scope counts can only cost less than nothing if it pays.
    let paid: i128 = instance.kinds.iter().map(paid_at_most).sum();
    whole.max(apart + paid).max(large(instance))
}

fn paid_at_most(kind: &StockKind) -> i128 {
    i128::from(kind.supply) * i128::from(kind.cost_at(0)).min(0)
}

/// The bound at the best rate for one scope.
fn priced(instance: &Instance, scope: &Scope) -> i128 {
    let wanted = scope.wanted(instance);
    let kinds: Vec<&StockKind> = scope.kinds.iter().map(|&k| &instance.kinds[k]).collect();
    let lengths = instance.types.iter().map(|t| t.length);
    let least = lengths.min().unwrap_or(1);
    let corners: Vec<Vec<(i64, i64)>> = kinds
        .iter()
        .map(|kind| {
            let corners = kind.corners(least.min(kind.room)).into_iter();
            corners.map(|t| (t, kind.cost_at(t))).collect()
        })
        .collect();
    let rates = corners.iter().flatten().filter(|&&(t, cost)| t > 0 && cost > 0);
    let mut rates: Vec<(i64, i64)> = rates.copied().chain([(1, 0)]).collect();
    rates.sort_unstable_by(|a, b| by_rate(*a, *b));
    rates.dedup_by(|a, b| by_rate(*a, *b).is_eq());
    let at = |place: usize| {
        let (per, cost) = rates[place];
        let gains = kinds
            .iter()
            .zip(&corners)
            .map(|(kind, corners)| i128::from(kind.supply) * most_gained(kind, corners, cost, per));
        (i128::from(cost) * wanted - gains.sum::<i128>(), i128::from(per))
    };
    // What is wanted is priced along a line and what is gained is convex in the rate, so
    // the bound rises up to its best and falls from there.
    let (mut low, mut high) = (0, rates.len() - 1);
    while low < high {
        let middle = low + (high - low) / 2;
        match is_less(at(middle), at(middle + 1)) {
            true => low = middle + 1,
            false => high = middle,
        }
    }
    let (over, under) = at(low);
    ceil_div(over, under)
}

/// Which of two rates, as lengths and what they cost, is the lower.
fn by_rate((per, cost): (i64, i64), (other, its): (i64, i64)) -> std::cmp::Ordering {
    (i128::from(cost) * i128::from(other)).cmp(&(i128::from(its) * i128::from(per)))
}

/// Whether one quotient is less than another; they are too large to be multiplied out.
fn is_less((a, under): (i128, i128), (b, other): (i128, i128)) -> bool {
    let (whole, its) = (a.div_euclid(under), b.div_euclid(other));
    whole < its || whole == its && a.rem_euclid(under) * other < b.rem_euclid(other) * under
}

/// The most that a unit of the kind can gain over its cost, times `per`, when
/// length is worth `cost / per`; never below zero.
fn most_gained(kind: &StockKind, corners: &[(i64, i64)], cost: i64, per: i64) -> i128 {
    // Between corners the gain is convex but for the rounding of the credit.
    let rounding = kind.credit.map_or(0, |credit| i128::from(credit.scale));
    let gain = |&(t, net): &(i64, i64)| {
        i128::from(cost) * i128::from(t) - i128::from(per) * (i128::from(net) - rounding)
    };
    corners.iter().map(gain).max().unwrap_or(0).max(0)
}

pub(crate) fn ceil_div(a: i128, b: i128) -> i128 {
    a.div_euclid(b) + i128::from(a.rem_euclid(b) != 0)
}

/// L2 where all stock is one kind without credit, else nothing.
fn large(instance: &Instance) -> i128 {
    let [kind] = instance.kinds.as_slice() else {
        return i128::MIN;
    };
    if !kind.is_plain() || kind.credit.is_some() || kind.cost < 0 {
        return i128::MIN;
    }
    // Takes time in proportion to their square.
    if instance.types.len() > MOST_TYPES {
        return i128::MIN;
    }
    let room = i128::from(kind.room);
    let lengths: Vec<(i128, i128)> =
        instance.types.iter().map(|t| (i128::from(t.length), i128::from(t.demand))).collect();
    let mut thresholds: Vec<i128> =
        lengths.iter().map(|&(l, _)| l).filter(|l| 2 * l <= room).collect();
    thresholds.push(0);
    let bins = thresholds.iter().map(|&k| bins_at(&lengths, room, k)).max();
    bins.unwrap_or(0) * i128::from(kind.cost)
}

/// The bins needed by the pieces of at least `threshold`: each above half needs
/// its own, and the rest must go beside those that leave room, or elsewhere.
fn bins_at(lengths: &[(i128, i128)], room: i128, threshold: i128) -> i128 {
    let (mut bins, mut free, mut rest) = (0, 0, 0);
    for &(length, demand) in lengths {
        if length > room - threshold {
            bins += demand;
        } else if 2 * length > room {
            bins += demand;
            free += demand * (room - length);
        } else if length >= threshold {
            rest += demand * length;
        }
    }
    bins + ceil_div((rest - free).max(0), room)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solve::problem::{Item, Problem, Run, Stock};

    fn single(room: i64, lengths: &[(i64, u32)]) -> Instance {
        let run = Run::clear(room);
        let stock = Stock { runs: vec![run], cost: 1, supply: None, credit: None, group: 0 };
        let items = lengths.iter().map(|&(length, demand)| Item {
            parts: vec![length],
            demand,
            group: None,
        });
        Instance::new(&Problem { stock: vec![stock], items: items.collect() })
    }

    fn bound(room: i64, lengths: &[(i64, u32)]) -> i128 {
        material(&single(room, lengths))
    }

    /// The best rate is found by halving: no other is better, over a thousand problems of
    /// dice with several kinds of stock.
    #[test]
    fn no_rate_gives_more_than_the_one_that_is_found() {
        let mut seed = 7_u64;
        let mut roll = |most: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            i64::try_from((seed >> 33) % most).unwrap() + 1
        };
        for _ in 0..1_000 {
            let stock = (0..roll(6)).map(|_| {
                let (room, supply) = (roll(300), u32::try_from(roll(4)).unwrap());
                let run = Run::clear(room);
                let supply = Some(supply).filter(|supply| *supply < 4);
                Stock { runs: vec![run], cost: roll(1_000), supply, credit: None, group: 0 }
            });
            let stock: Vec<Stock> = stock.collect();
            let items = (0..roll(5)).map(|_| Item {
                parts: vec![roll(200)],
                demand: u32::try_from(roll(9)).unwrap(),
                group: None,
            });
            let instance = Instance::new(&Problem { stock, items: items.collect() });
            let scope = scopes(&instance).remove(0);
            let wanted = scope.wanted(&instance);
            let at = |per: i64, cost: i64| {
                let gains = instance.kinds.iter().map(|kind| {
                    let corners = kind.corners(kind.room.min(1)).into_iter();
                    let corners: Vec<_> = corners.map(|t| (t, kind.cost_at(t))).collect();
                    i128::from(kind.supply) * most_gained(kind, &corners, cost, per)
                });
                ceil_div(i128::from(cost) * wanted - gains.sum::<i128>(), i128::from(per))
            };
            let found = priced(&instance, &scope);
            for kind in &instance.kinds {
                assert!(at(kind.room.max(1), kind.cost_at(kind.room)) <= found);
            }
        }
    }

    // Computed by hand: 150 of length against 100 a stick.
    #[test]
    fn length_alone_needs_two_sticks() {
        assert_eq!(bound(100, &[(50, 1), (40, 1), (30, 2)]), 2);
    }

    // Computed by hand: three pieces above half the stick cannot share one.
    #[test]
    fn pieces_above_half_need_a_stick_each() {
        assert_eq!(bound(100, &[(51, 3), (1, 1)]), 3);
    }

    // Computed by hand: the three of 60 leave 120, of which nothing serves 45.
    #[test]
    fn pieces_that_fit_beside_none_of_the_large_need_their_own() {
        assert_eq!(bound(100, &[(60, 3), (45, 2)]), 4);
    }
}
