//! What hangs together: the components of a graph whose edges may join many.

use std::collections::BTreeSet;

/// Sets of places, each in order, such that items in different sets share no
/// name.
pub(crate) fn connected<N: Ord + Clone>(items: &[BTreeSet<N>]) -> Vec<Vec<usize>> {
    let mut sets: Vec<(BTreeSet<N>, Vec<usize>)> = Vec::new();
    for (place, names) in items.iter().enumerate() {
        let (tied, apart): (Vec<_>, Vec<_>) =
            sets.into_iter().partition(|(other, _)| !other.is_disjoint(names));
        let (mut names, mut places) = (names.clone(), Vec::new());
        for (other, before) in tied {
            names.extend(other);
            places.extend(before);
        }
        places.sort_unstable();
        places.push(place);
        sets = apart;
        sets.push((names, places));
    }
    sets.into_iter().map(|(_, places)| places).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_tied_to_one_of_a_set_is_tied_to_all() {
        let ties = |names: &str| names.chars().collect::<BTreeSet<char>>();
        assert_eq!(connected(&[ties("ab"), ties("cd"), ties("e")]), [vec![0], vec![1], vec![2]]);
        let joined = connected(&[ties("ab"), ties("e"), ties("cd"), ties("db")]);
        assert_eq!(joined, [vec![1], vec![0, 2, 3]]);
    }
}
