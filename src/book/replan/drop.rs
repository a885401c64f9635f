//! Where there is not enough for everybody: the least urgent frames go back to
//! the pile, and what begun frames lack is named.

use std::collections::BTreeSet;

use super::super::BookError;
use super::super::bench::Owed;
use super::super::lays::{self, State};
use super::settle::{Look, settle};
use super::{Again, Draft, nothing_owed};
use crate::rails::Side;
use crate::solve::Limits;

/// Plans again whatever must be, with as many frames as there is moulding for.
pub(super) fn draft(look: Look, limits: &Limits) -> Result<Draft, BookError> {
    let mut dropped: BTreeSet<(String, u32)> = BTreeSet::new();
    let mut short: BTreeSet<(String, u32)> = BTreeSet::new();
    if concerned(&look, &dropped).is_empty() {
        return nothing_owed();
    }
    let mouldings = loop {
        let skip: BTreeSet<_> = dropped.union(&short).cloned().collect();
        match all(&look, &concerned(&look, &dropped), &skip, limits) {
            Ok(again) => break again,
            Err(moulding) => {
                let (copy, is_begun) = least_urgent(&look, &moulding, &skip);
                let Some(copy) = copy else { return nothing_owed() };
                if is_begun {
                    short.insert(copy)
                } else {
                    dropped.insert(copy)
                };
            }
        }
    };
    let missing = mouldings.iter().flat_map(|again| missing(&look, &again.moulding, &short));
    let missing: Vec<Owed> = missing.collect();
    let aside = mouldings.iter().flat_map(|again| &again.groups).flat_map(|g| &g.aside);
    Ok(Draft {
        job: look.job,
        version: look.version,
        set_aside: aside.cloned().collect(),
        short: missing,
        shop: look.shop,
        mouldings,
        dropped,
    })
}

/// What is not cut of a moulding for these copies, and is not laid out either.
fn missing(look: &Look, moulding: &str, short: &BTreeSet<(String, u32)>) -> Vec<Owed> {
    let rails = look.lays.iter().flat_map(|lay| &lay.rails).filter(|r| r.state == State::Cut);
    let cut: BTreeSet<(&str, u32, usize, Side)> =
        rails.map(|rail| (rail.frame.as_str(), rail.copy, rail.layer, rail.side)).collect();
    let mut missing = Vec::new();
    for (id, copy) in short {
        let Some(frame) = look.shop.frame(id) else { continue };
        let of_moulding = |layer: &usize| frame.layers[layer - 1].moulding == moulding;
        for layer in frame.to_cut(*copy).into_iter().filter(of_moulding) {
            let sides = Side::all(frame.mitre).into_iter();
            let open = sides.filter(|side| !cut.contains(&(id.as_str(), *copy, layer, *side)));
            missing.extend(open.map(|side| Owed {
                frame: id.clone(),
                copy: *copy,
                layer,
                side,
                moulding: moulding.to_owned(),
            }));
        }
    }
    missing
}

fn all(
    look: &Look,
    mouldings: &BTreeSet<String>,
    skip: &BTreeSet<(String, u32)>,
    limits: &Limits,
) -> Result<Vec<Again>, String> {
    let one =
        |moulding: &String| settle(look, moulding, skip, limits).ok_or_else(|| moulding.clone());
    mouldings.iter().map(one).collect()
}

/// The mouldings that are planned again: something is owed, lies on a flaw, or
/// is laid out for a frame that goes back.
fn concerned(look: &Look, dropped: &BTreeSet<(String, u32)>) -> BTreeSet<String> {
    let owed = look.at.owed.iter().map(|owed| owed.moulding.clone());
    let goes = |lay: &&lays::Lay| {
        look.hit.contains(&lay.id)
            || lay.rails.iter().any(|rail| {
                rail.state == State::ToCut && dropped.contains(&(rail.frame.clone(), rail.copy))
            })
    };
    let laid = look.lays.iter().filter(|lay| look.on.contains(&lay.id)).filter(goes);
    owed.chain(laid.map(|lay| lay.moulding.clone())).collect()
}

/// The frame copy that is wanted last among those that need this moulding, and
/// whether it is begun; those that are not begun go first.
fn least_urgent(
    look: &Look,
    moulding: &str,
    skip: &BTreeSet<(String, u32)>,
) -> (Option<(String, u32)>, bool) {
    let rails = || look.lays.iter().flat_map(|lay| &lay.rails);
    let is_begun = |(frame, copy): &(String, u32)| {
        rails().any(|r| r.state == State::Cut && r.frame == *frame && r.copy == *copy)
    };
    let needs = |(frame, copy): &&(String, u32)| {
        let owed = look
            .at
            .owed
            .iter()
            .any(|o| o.moulding == moulding && o.frame == *frame && o.copy == *copy);
        let on =
            look.lays.iter().filter(|lay| lay.moulding == moulding && look.on.contains(&lay.id));
        owed || on
            .flat_map(|lay| &lay.rails)
            .any(|rail| rail.state == State::ToCut && rail.frame == *frame && rail.copy == *copy)
    };
    let left = look.at.copies.iter().filter(|copy| !skip.contains(*copy)).filter(needs);
    let last = left.max_by_key(|copy| {
        let due = look.shop.frame(&copy.0).and_then(|frame| frame.due);
        (!is_begun(copy), due.is_none(), due, copy.1)
    });
    (last.cloned(), last.is_some_and(is_begun))
}
