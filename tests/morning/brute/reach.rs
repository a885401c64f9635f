//! A moulding's rack tried in every way: a rack is a number of each kind of unit in all,
//! and every number that can be reached is kept with the least that it uses up.

use std::collections::BTreeMap;
use std::ops::Bound;

use super::bench::{Bench, Cost, Counts, Source, Unit};

/// As many kinds of unit as any of the tiny shops has.
const KINDS: usize = 64;

/// How many of each unit, a byte each with the first on top, the kinds that there are not
/// at 0: sums and comparisons are of whole words, and millions of them need no memory of
/// their own.
type Packed = [u64; KINDS / 8];

/// The top bit of every byte.
const OVER: u64 = 0x8080_8080_8080_8080;

/// A pattern's units, the same of all lots together, and what it uses up.
type Pattern = (Packed, Packed, i64);

/// How many of each unit are wanted at most; units that differ in their lot
/// alone are wanted once, from one lot or the other.
struct Most {
    each: Counts,
    /// The first of the units that differ from each unit in their lot alone.
    like: Vec<usize>,
    /// What lifts one too many to the top bit of its byte.
    lift: Packed,
}

impl Most {
    fn new(units: &[Unit], each: &Counts) -> Most {
        assert!(units.len() <= KINDS && each.iter().all(|most| *most < 128), "too many: {each:?}");
        let alike = |a: &Unit, b: &Unit| {
            let by_lot = a.lot.is_some() == b.lot.is_some();
            by_lot && (&a.blocks, a.mitre) == (&b.blocks, b.mitre)
        };
        let first = |unit| units.iter().position(|other| alike(unit, other)).unwrap();
        let like = units.iter().map(first).collect();
        let lift = packed(&each.iter().map(|most| 127 - most).collect());
        Most { each: each.clone(), like, lift }
    }

    /// So many of each unit, those of all lots together.
    fn together(&self, counts: &Packed) -> Packed {
        let mut together = vec![0; self.like.len()];
        for (like, count) in self.like.iter().zip(unpacked(counts)) {
            together[*like] += count;
        }
        packed(&together)
    }

    /// Whether so many and so many, of all lots together, are not too many.
    fn has_room(&self, some: &Packed, more: &Packed) -> bool {
        let words = some.iter().zip(more).zip(&self.lift);
        words.map(|((some, more), lift)| some + more + lift).fold(0, |all, sum| all | sum) & OVER
            == 0
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
        let mut reached = BTreeMap::from([(Packed::default(), (0, 0))]);
        for source in sources {
            let patterns = self.patterns(source, units, &most.each).into_iter();
            let pattern = |(counts, used_up): (Counts, i64)| {
                let pattern = packed(&counts);
                (pattern, most.together(&pattern), used_up)
            };
            let patterns: Vec<Pattern> = patterns.map(pattern).collect();
            if source.is_new {
                without_end(&mut reached, &patterns, most);
            } else {
                let before: Vec<_> = reached.iter().map(|(some, cost)| (*some, *cost)).collect();
                for (some, cost) in &before {
                    add(&mut reached, some, *cost, &patterns, most);
                }
            }
        }
        let unpacked = |some| unpacked(&some).take(units.len()).collect();
        reached.into_iter().map(|(some, cost)| (unpacked(some), cost)).collect()
    }
}

fn packed(counts: &Counts) -> Packed {
    let mut packed = Packed::default();
    for (kind, count) in counts.iter().enumerate() {
        packed[kind / 8] |= u64::from(*count) << (56 - kind % 8 * 8);
    }
    packed
}

fn unpacked(counts: &Packed) -> impl Iterator<Item = u8> {
    counts.iter().flat_map(|word| word.to_be_bytes())
}

/// Adds one stick of every pattern to one state.
fn add(
    reached: &mut BTreeMap<Packed, Cost>,
    some: &Packed,
    cost: Cost,
    patterns: &[Pattern],
    most: &Most,
) {
    let together = most.together(some);
    for (pattern, more, used_up) in patterns {
        if most.has_room(&together, more) {
            let sum = std::array::from_fn(|word| some[word] + pattern[word]);
            let cost = (cost.0 + used_up, cost.1 + 1);
            let known = reached.entry(sum).or_insert(cost);
            *known = cost.min(*known);
        }
    }
}

/// As many sticks as wanted: a state only leads to states that come after it.
fn without_end(reached: &mut BTreeMap<Packed, Cost>, patterns: &[Pattern], most: &Most) {
    let mut at = reached.first_key_value().map(|(some, cost)| (*some, *cost));
    while let Some((some, cost)) = at {
        add(reached, &some, cost, patterns, most);
        let after = (Bound::Excluded(some), Bound::Unbounded);
        at = reached.range(after).next().map(|(next, cost)| (*next, *cost));
    }
}
