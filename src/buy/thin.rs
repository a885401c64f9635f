//! Strikes out ways that another way of the same lot is never dearer than,
//! whatever the other lots buy.

use std::collections::BTreeSet;

use super::question::{FINE, Goods, Question, Terms, Way};

/// A way is compared with so many others at most; who is not struck out for that
/// does no harm but to the time.
const MOST_COMPARED: usize = 300;

/// For each lot the ways to keep, in their order.
pub(super) fn kept(question: &Question) -> Vec<Vec<usize>> {
    question.lots.iter().map(|lot| kept_of(question, lot)).collect()
}

/// Ways by rising cost, each kept unless one that is kept already beats it.
fn kept_of(question: &Question, lot: &[Way]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..lot.len()).collect();
    order.sort_by_key(|&way| (lot[way].cost() - lot[way].doubt, lot[way].cost(), way));
    let mut kept: Vec<usize> = Vec::new();
    // Of ways that buy the same the first is the cheapest.
    let mut seen: BTreeSet<Vec<(usize, i64, bool)>> = BTreeSet::new();
    for way in order {
        let same = |goods: &Goods| (goods.supplier, goods.cost, goods.long);
        let is_sure = lot[way].doubt == 0 && question.budget.is_none();
        if is_sure && !seen.insert(lot[way].goods.iter().map(same).collect()) {
            continue;
        }
        if !kept.iter().take(MOST_COMPARED).any(|&other| beats(question, &lot[other], &lot[way])) {
            kept.push(way);
        }
    }
    kept.sort_unstable();
    kept
}

/// Whether `one` costs no more than `other` even at its least, with whatever
/// goods the other lots buy.
fn beats(question: &Question, one: &Way, other: &Way) -> bool {
    if question.budget.is_some() && one.spare > other.spare {
        return false;
    }
    let mut lead = other.cost() - other.doubt - one.cost();
    if lead < 0 {
        return false;
    }
    for (supplier, terms) in question.suppliers.iter().enumerate() {
        lead -= most_more(terms, one.at(supplier), other.at(supplier)) * FINE;
        if lead < 0 {
            return false;
        }
    }
    true
}

/// How much more the supplier can add with `one` than with `other`, over all
/// goods that other lots may buy there. What is added is piecewise linear in
/// them, so it is enough to look at and just before each bend.
fn most_more(terms: &Terms, one: (i64, bool), other: (i64, bool)) -> i64 {
    if one == other {
        return 0;
    }
    let bends = terms.freight.iter().map(|(from, _)| *from).chain([terms.minimum, 1]);
    let mut at = vec![0, 1];
    for bend in bends {
        for goods in [one.0, other.0] {
            at.extend([bend - goods - 1, bend - goods, bend - goods + 1]);
        }
    }
    // Beyond the last bend both add the same for their goods.
    let last = at.iter().copied().max().unwrap_or(0).max(0);
    at.push(last + 1);
    let more = |rest: i64| {
        let with =
            |(goods, long): (i64, bool), others: bool| terms.beyond(rest + goods, long || others);
        // Others may buy something long themselves, if they buy anything.
        let alone = with(one, false) - with(other, false);
        let beside = if rest > 0 { with(one, true) - with(other, true) } else { alone };
        alone.max(beside)
    };
    at.into_iter().filter(|rest| *rest >= 0).map(more).max().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Against trying every amount of goods.
        #[test]
        fn the_bends_are_all_that_matters(
            minimum in 0_i64..30,
            steps in prop::collection::vec((1_i64..40, 0_i64..12), 0..3),
            one in 0_i64..30,
            other in 0_i64..30,
            long in any::<(bool, bool)>(),
        ) {
            let mut freight = vec![(0, 9)];
            freight.extend(steps);
            freight.sort_unstable();
            freight.dedup_by_key(|(from, _)| *from);
            let terms = Terms { minimum, freight, long: 7 };
            let (one, other) = ((one, long.0 && one > 0), (other, long.1 && other > 0));
            let each = (0..120).flat_map(|rest: i64| {
                let with = |(goods, long): (i64, bool), others: bool| {
                    terms.beyond(rest + goods, long || others)
                };
                let by = |others: bool| with(one, others) - with(other, others);
                [by(false), if rest > 0 { by(true) } else { by(false) }]
            });
            prop_assert_eq!(most_more(&terms, one, other), each.max().unwrap());
        }
    }
}
