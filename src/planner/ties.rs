//! Mouldings tied together, and which sets they form.

use std::collections::BTreeMap;

/// Sets of names that grow together; each is known by one of its names.
#[derive(Default)]
pub(crate) struct Ties<'m> {
    leaders: BTreeMap<&'m str, &'m str>,
}

impl<'m> Ties<'m> {
    /// Ties all these to one another.
    pub fn tie(&mut self, mut names: impl Iterator<Item = &'m str>) {
        let Some(first) = names.next() else { return };
        let first = self.leader(first);
        for name in names {
            let other = self.leader(name);
            self.leaders.insert(other, first);
        }
    }

    /// The name that stands for the set of a name.
    pub fn leader<'n>(&self, name: &'n str) -> &'n str
    where
        'm: 'n,
    {
        let mut at = name;
        while let Some(next) = self.leaders.get(at).filter(|next| **next != at) {
            at = next;
        }
        at
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_tied_to_one_of_a_set_is_tied_to_all() {
        let mut ties = Ties::default();
        ties.tie(["a", "b"].into_iter());
        ties.tie(["c", "d"].into_iter());
        assert_ne!(ties.leader("a"), ties.leader("d"));
        ties.tie(["d", "b"].into_iter());
        let leader = ties.leader("a");
        assert!(["b", "c", "d"].iter().all(|name| ties.leader(name) == leader));
        assert_eq!(ties.leader("e"), "e");
    }
}
