//! Which offers sticks of one moulding may come from together, at which steps,
//! and how what is cut is shared out over them.

use super::offered::Piece;
use super::packer::{Phase, Set, separate};
use super::wants::Wants;

/// More steps of a pair of offers together than this are not combined; then each
/// is taken at its dearest and its cheapest.
const MOST_STEPS: usize = 12;

/// The sets of one supply more than these, of different offers.
pub(super) fn wider(wants: &Wants, supplies: &[Vec<usize>]) -> Vec<Vec<usize>> {
    let with_one_more = |set: &Vec<usize>| -> Vec<Vec<usize>> {
        let next = set.last().map_or(0, |last| last + 1)..wants.supplies.len();
        let fits = next.filter(|other| set.iter().all(|one| go_together(wants, *one, *other)));
        fits.map(|other| [set.clone(), vec![other]].concat()).collect()
    };
    supplies.iter().flat_map(with_one_more).collect()
}

/// Whether sticks of a moulding may come from both of two supplies.
///
/// Where frames must come from one lot, all new sticks are of one supplier: at
/// whichever prices, sticks of the dearer lot could as well be of the cheaper.
fn go_together(wants: &Wants, one: usize, other: usize) -> bool {
    wants.supplies[one].offer != wants.supplies[other].offer
        && !half_and_half(wants, one, other)
        && (!separate(wants) || one_supplier(wants, one, other))
}

/// Whether of two supplies one is halved and the other long: then one of the two
/// answers to a surcharge is the better, and both are not mixed.
fn half_and_half(wants: &Wants, one: usize, other: usize) -> bool {
    let halved = |supply: usize| wants.supplies[supply].pieces.iter().any(|piece| piece.halved);
    let long = |supply: usize| wants.supplies[supply].pieces.iter().any(|piece| piece.long);
    halved(one) && long(other) || halved(other) && long(one)
}

/// Some supplies at every combination of their steps; not `whole` if there are
/// too many.
pub(super) fn steps(wants: &Wants, supplies: &[usize], whole: &mut bool) -> Vec<Set> {
    let count = |supply: &usize| wants.shop.offers[wants.supplies[*supply].offer].steps.len() + 1;
    let all: usize = supplies.iter().map(count).product();
    let mut sets: Vec<Set> = vec![Set::new()];
    for supply in supplies {
        let last = count(supply) - 1;
        let steps: Vec<usize> = if all <= MOST_STEPS || last == 0 {
            (0..=last).collect()
        } else {
            *whole &= last < 2;
            vec![0, last]
        };
        let extend = |set: &Set| -> Vec<Set> {
            steps.iter().map(|step| [set.clone(), vec![(*supply, *step)]].concat()).collect()
        };
        sets = sets.iter().flat_map(extend).collect();
    }
    sets
}

/// Where supplies give the same piece, every way to share the pieces out.
pub(super) fn shared_out(wants: &Wants, set: &Set, phase: Phase, whole: &mut bool) -> Vec<Phase> {
    let is_one_lot = |&(other, _): &(usize, usize)| one_supplier(wants, set[0].0, other);
    if set.len() < 2 || separate(wants) && !set.iter().all(is_one_lot) {
        return vec![phase];
    }
    let mut shares: Vec<Vec<(usize, Piece, u32)>> = vec![Vec::new()];
    for (_, piece, count) in &phase.pieces {
        let gives = |&(supply, _): &(usize, usize)| {
            let mut pieces = wants.supplies[supply].pieces.iter();
            pieces.find(|same| same.length == piece.length).map(|same| (supply, *same))
        };
        let givers: Vec<(usize, Piece)> = set.iter().filter_map(gives).collect();
        let parts = parts(*count, givers.len());
        let extend = |share: &Vec<(usize, Piece, u32)>| -> Vec<Vec<_>> {
            let with = |part: &Vec<u32>| {
                let given = givers.iter().zip(part).filter(|(_, count)| **count > 0);
                let given = given.map(|(&(supply, piece), &count)| (supply, piece, count));
                share.iter().copied().chain(given).collect()
            };
            parts.iter().map(with).collect()
        };
        shares = shares.iter().flat_map(extend).collect();
        *whole &= shares.len() <= MOST_SHARES;
        shares.truncate(MOST_SHARES);
    }
    let with = |pieces| Phase { pieces, ..phase.clone() };
    shares.into_iter().map(with).collect()
}

/// Every way to write a count as a sum of so many.
fn parts(count: u32, of: usize) -> Vec<Vec<u32>> {
    if of <= 1 {
        return vec![vec![count]];
    }
    let first = |first: u32| {
        let rest = parts(count - first, of - 1).into_iter();
        rest.map(move |rest| [vec![first], rest].concat())
    };
    (0..=count).rev().flat_map(first).collect()
}

/// More ways to share pieces out than this are not compared. Five offers share
/// six sticks of one length in 210 ways, six offers in 462.
const MOST_SHARES: usize = 500;

fn one_supplier(wants: &Wants, one: usize, other: usize) -> bool {
    let of = |supply: usize| &wants.shop.offers[wants.supplies[supply].offer].supplier;
    of(one) == of(other)
}
