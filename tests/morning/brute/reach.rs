//! A moulding's rack tried in every way: a rack is a number of each kind of unit in all,
//! and every number that can be reached is kept with the least that it uses up.

use std::collections::BTreeMap;
use std::ops::Bound;

use super::bench::{Bench, Cost, Counts, Source, Unit};

/// As many kinds of unit as any of the tiny shops has.
const KINDS: usize = 64;

/// How many of each unit, the kinds that there are not at 0: of millions of them none needs
/// memory of its own.
type Packed = [u8; KINDS];

/// How many of each unit are wanted at most; units that differ in their lot
/// alone are wanted once, from one lot or the other.
struct Most {
    each: Counts,
    /// The first of the units that differ from each unit in their lot alone.
    like: Vec<usize>,
}

impl Most {
    fn new(units: &[Unit], each: &Counts) -> Most {
        let alike = |a: &Unit, b: &Unit| {
            let by_lot = a.lot.is_some() == b.lot.is_some();
            by_lot && (&a.blocks, a.mitre) == (&b.blocks, b.mitre)
        };
        let first = |unit| units.iter().position(|other| alike(unit, other)).unwrap();
        Most { each: each.clone(), like: units.iter().map(first).collect() }
    }

    /// So many and so many together, if that is not too many.
    fn sum(&self, some: &Packed, more: &Packed) -> Option<Packed> {
        let (mut sum, mut together) = ([0; KINDS], [0; KINDS]);
        for (kind, like) in self.like.iter().enumerate() {
            sum[kind] = some[kind] + more[kind];
            together[*like] += sum[kind];
            if together[*like] > self.each[*like] {
                return None;
            }
        }
        Some(sum)
    }
}

impl Bench<'_> {
    /// The least cost of every number of units that can be cut at all, up to
    /// `most` of each.
    pub fn everything(
        &self,
        sources: &[Source],
        units: &[Unit],
        most: &Counts,
    ) -> BTreeMap<Counts, Cost> {
        let most = &Most::new(units, most);
        let mut reached = BTreeMap::from([([0; KINDS], (0, 0))]);
        for source in sources {
            let patterns = self.patterns(source, units, &most.each).into_iter();
            let patterns: Vec<(Packed, i64)> =
                patterns.map(|(counts, used_up)| (packed(&counts), used_up)).collect();
            if source.is_new {
                without_end(&mut reached, &patterns, most);
            } else {
                let before: Vec<_> = reached.iter().map(|(some, cost)| (*some, *cost)).collect();
                for (some, cost) in &before {
                    add(&mut reached, some, *cost, &patterns, most);
                }
            }
        }
        reached.into_iter().map(|(some, cost)| (some[..units.len()].to_vec(), cost)).collect()
    }
}

fn packed(counts: &Counts) -> Packed {
    let mut packed = [0; KINDS];
    packed[..counts.len()].copy_from_slice(counts);
    packed
}

/// Adds one stick of every pattern to one state.
fn add(
    reached: &mut BTreeMap<Packed, Cost>,
    some: &Packed,
    cost: Cost,
    patterns: &[(Packed, i64)],
    most: &Most,
) {
    for (pattern, used_up) in patterns {
        if let Some(sum) = most.sum(some, pattern) {
            let cost = (cost.0 + used_up, cost.1 + 1);
            let known = reached.entry(sum).or_insert(cost);
            *known = cost.min(*known);
        }
    }
}

/// As many sticks as wanted: a state only leads to states that come after it.
fn without_end(reached: &mut BTreeMap<Packed, Cost>, patterns: &[(Packed, i64)], most: &Most) {
    let mut at = reached.first_key_value().map(|(some, cost)| (*some, *cost));
    while let Some((some, cost)) = at {
        add(reached, &some, cost, patterns, most);
        let after = (Bound::Excluded(some), Bound::Unbounded);
        at = reached.range(after).next().map(|(next, cost)| (*next, *cost));
    }
}
