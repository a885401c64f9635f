//! What hangs together: the components of a graph whose edges may join many.

use std::collections::{BTreeMap, BTreeSet};

/// Sets of places, each in order, such that items in different sets share no name; the
/// sets by their last places.
pub(crate) fn connected<N: Ord>(items: &[BTreeSet<N>]) -> Vec<Vec<usize>> {
    let mut tied_to: Vec<usize> = (0..items.len()).collect();
    let mut first: BTreeMap<&N, usize> = BTreeMap::new();
    for (place, names) in items.iter().enumerate() {
        for name in names {
            // The latest place of a set stands for it.
            let of = root(&mut tied_to, *first.entry(name).or_insert(place));
            tied_to[of] = place;
        }
    }
    let mut sets: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for place in 0..items.len() {
        sets.entry(root(&mut tied_to, place)).or_default().push(place);
    }
    sets.into_values().collect()
}

/// What stands for the set of a place.
fn root(tied_to: &mut [usize], mut place: usize) -> usize {
    while tied_to[place] != place {
        tied_to[place] = tied_to[tied_to[place]];
        place = tied_to[place];
    }
    place
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One after the other, each with all sets that it shares a name with.
    fn slowly(items: &[BTreeSet<u8>]) -> Vec<Vec<usize>> {
        let mut sets: Vec<(BTreeSet<u8>, Vec<usize>)> = Vec::new();
        for (place, names) in items.iter().enumerate() {
            let (tied, mut apart): (Vec<_>, Vec<_>) =
                sets.into_iter().partition(|(other, _)| !other.is_disjoint(names));
            let mut all: Vec<usize> = tied.iter().flat_map(|(_, of)| of).copied().collect();
            all.sort_unstable();
            all.push(place);
            let names = tied.into_iter().flat_map(|(of, _)| of).chain(names.clone()).collect();
            apart.push((names, all));
            sets = apart;
        }
        sets.into_iter().map(|(_, places)| places).collect()
    }

    proptest::proptest! {
        #[test]
        fn sets_are_those_of_one_item_after_the_other(
            items in proptest::collection::vec(
                proptest::collection::btree_set(0..12_u8, 0..4), 0..20)
        ) {
            proptest::prop_assert_eq!(connected(&items), slowly(&items));
        }
    }

    #[test]
    fn what_is_tied_to_one_of_a_set_is_tied_to_all() {
        let ties = |names: &str| names.chars().collect::<BTreeSet<char>>();
        assert_eq!(connected(&[ties("ab"), ties("cd"), ties("e")]), [vec![0], vec![1], vec![2]]);
        let joined = connected(&[ties("ab"), ties("e"), ties("cd"), ties("db")]);
        assert_eq!(joined, [vec![1], vec![0, 2, 3]]);
    }
}
