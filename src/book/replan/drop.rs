//! Where there is not enough for everybody: the least urgent frames go back to
//! the pile, and what begun frames lack is named.

use std::collections::BTreeSet;

use super::super::bench::OwedRail;
use super::super::lays::{self, RailState};
use super::groups::{LayerOf, groups};
use super::look::DayLook;
use super::settle::{ReplanChoice, settle};
use super::spares::PaidSpare;
use super::{Again, Draft, nothing_owed};
use crate::book::error::BookError;
use crate::plan::Told;
use crate::rails::Side;
use crate::solve::Limits;

/// What was decided about the frames of a day, as far as there is not enough.
#[derive(Clone, Default)]
struct Dropped {
    /// Copies that go back to the pile: nothing of them is cut.
    dropped: BTreeSet<(String, u32)>,
    /// Copies that are begun and for which there is nothing.
    short: BTreeSet<(String, u32)>,
    /// Layers that are cut anew as a whole.
    anew: BTreeSet<LayerOf>,
}

impl Dropped {
    fn choice(&self) -> ReplanChoice {
        let skip = self.dropped.union(&self.short).cloned().collect();
        ReplanChoice { skip, anew: self.anew.clone() }
    }

    /// The mouldings planned again as decided, or the one that lacks.
    fn plan(
        &self,
        look: &DayLook,
        limits: &Limits,
        told: Told,
    ) -> Result<Result<Vec<Again>, String>, BookError> {
        let choice = self.choice();
        let mut mouldings = Vec::new();
        let concerned = concerned(look, &self.dropped);
        let all = concerned.len();
        for (done, moulding) in concerned.into_iter().enumerate() {
            told(done, all);
            match settle(look, &moulding, &choice, limits)? {
                Some(again) => mouldings.push(again),
                None => return Ok(Err(moulding)),
            }
        }
        Ok(Ok(mouldings))
    }
}

/// Plans again whatever must be, with as many frames as there is moulding for.
pub(super) fn draft(
    look: DayLook,
    paid: Vec<PaidSpare>,
    limits: &Limits,
    told: Told,
) -> Result<Draft, BookError> {
    let mut decided = Dropped::default();
    if concerned(&look, &decided.dropped).is_empty() && paid.is_empty() {
        return nothing_owed();
    }
    let mouldings = loop {
        match decided.plan(&look, limits, told)? {
            Ok(again) => break again,
            Err(moulding) => give_way(&look, &moulding, &mut decided, limits)?,
        }
    };
    let (decided, mouldings) = take_back(&look, decided, mouldings, limits)?;
    let missing = mouldings.iter().flat_map(|m| missing(&look, &m.moulding, &decided.short));
    let missing: Vec<OwedRail> = missing.collect();
    let aside = mouldings.iter().flat_map(|again| &again.groups).flat_map(|g| &g.aside);
    Ok(Draft {
        job: look.job,
        version: look.version,
        set_aside: aside.cloned().collect(),
        short: missing,
        shop: look.shop,
        mouldings,
        dropped: decided.dropped,
        paid,
    })
}

/// Where a moulding lacks: a frame that is cut in part is cut anew as a whole if that
/// is enough; else the frame that is wanted last does without.
fn give_way(
    look: &DayLook,
    moulding: &str,
    decided: &mut Dropped,
    limits: &Limits,
) -> Result<(), BookError> {
    let anew = anew(look, moulding, &decided.choice(), limits)?;
    if !anew.is_empty() {
        decided.anew.extend(anew);
        return Ok(());
    }
    let (copy, is_begun) = least_urgent(look, moulding, &decided.choice().skip);
    let Some(copy) = copy else { return nothing_owed() };
    if is_begun {
        decided.short.insert(copy);
    } else {
        decided.dropped.insert(copy);
    }
    Ok(())
}

/// The layers that are cut in part, must be of one lot, and are best cut anew as a
/// whole, so that there is enough: one if that will do, else all; none if neither will.
fn anew(
    look: &DayLook,
    moulding: &str,
    choice: &ReplanChoice,
    limits: &Limits,
) -> Result<BTreeSet<LayerOf>, BookError> {
    let groups = groups(look, moulding, &[], &choice.anew);
    let open = groups.iter().filter(|group| {
        group.like.is_some() && !choice.skip.contains(&(group.frame.clone(), group.copy))
    });
    let open: BTreeSet<LayerOf> =
        open.map(|group| (group.frame.clone(), group.copy, group.layer)).collect();
    let with = |more: BTreeSet<LayerOf>| {
        let anew = choice.anew.union(&more).cloned().collect();
        let again = settle(look, moulding, &ReplanChoice { anew, ..choice.clone() }, limits)?;
        Ok(again.map(|again| (again.used_up, more)))
    };
    let one = open.iter().filter_map(|layer| with(BTreeSet::from([layer.clone()])).transpose());
    let one = one.collect::<Result<Vec<_>, BookError>>()?.into_iter().min();
    let best = if one.is_some() { one } else { with(open.clone())? };
    Ok(best.map_or(BTreeSet::new(), |(_, layers)| layers))
}

/// Whoever gave way for nothing takes it back, the most urgent first: a frame goes
/// without only if that gets a more urgent one cut.
fn take_back(
    look: &DayLook,
    mut decided: Dropped,
    mut mouldings: Vec<Again>,
    limits: &Limits,
) -> Result<(Dropped, Vec<Again>), BookError> {
    let mut gave: Vec<(String, u32)> = decided.choice().skip.into_iter().collect();
    gave.sort_by_key(|copy| {
        let due = look.shop.frame(&copy.0).and_then(|frame| frame.due);
        (due.is_none(), due, copy.clone())
    });
    for copy in gave {
        let mut without = decided.clone();
        without.dropped.remove(&copy);
        without.short.remove(&copy);
        if let Ok(again) = without.plan(look, limits, &|_, _| {})? {
            (decided, mouldings) = (without, again);
        }
    }
    Ok((decided, mouldings))
}

/// What is not cut of a moulding for these copies, and is not laid out either.
fn missing(look: &DayLook, moulding: &str, short: &BTreeSet<(String, u32)>) -> Vec<OwedRail> {
    let rails = look.lays.iter().flat_map(|lay| &lay.rails).filter(|r| r.state == RailState::Cut);
    let cut: BTreeSet<(&str, u32, usize, Side)> =
        rails.map(|rail| (rail.frame.as_str(), rail.copy, rail.layer, rail.side)).collect();
    let mut missing = Vec::new();
    for (id, copy) in short {
        let Some(frame) = look.shop.frame(id) else { continue };
        let of_moulding = |layer: &usize| frame.layers[layer - 1].moulding == moulding;
        for layer in frame.to_cut(*copy).into_iter().filter(of_moulding) {
            let sides = Side::all(frame.mitre).into_iter();
            let open = sides.filter(|side| !cut.contains(&(id.as_str(), *copy, layer, *side)));
            missing.extend(open.map(|side| OwedRail {
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

/// The mouldings that are planned again: something is owed, lies on a flaw, is laid out for a
/// frame that goes back, or a stick measures otherwise.
fn concerned(look: &DayLook, dropped: &BTreeSet<(String, u32)>) -> BTreeSet<String> {
    let owed = look.at.owed.iter().map(|owed| owed.moulding.clone());
    let goes = |lay: &&lays::StickLayout| {
        look.hit.contains(&lay.id)
            || !lay.is_done() && look.at.measured.iter().any(|(own, _)| *own == lay.moulding)
            || lay.rails.iter().any(|rail| {
                rail.state == RailState::ToCut && dropped.contains(&(rail.frame.clone(), rail.copy))
            })
    };
    let laid = look.lays.iter().filter(|lay| look.on.contains(&lay.id)).filter(goes);
    owed.chain(laid.map(|lay| lay.moulding.clone())).collect()
}

/// The frame copy that is wanted last among those that need this moulding, and
/// whether it is begun; of one day those that are not begun go first.
fn least_urgent(
    look: &DayLook,
    moulding: &str,
    skip: &BTreeSet<(String, u32)>,
) -> (Option<(String, u32)>, bool) {
    let rails = || look.lays.iter().flat_map(|lay| &lay.rails);
    let is_begun = |(frame, copy): &(String, u32)| {
        rails().any(|r| r.state == RailState::Cut && r.frame == *frame && r.copy == *copy)
    };
    let needs = |(frame, copy): &&(String, u32)| {
        let owed = look
            .at
            .owed
            .iter()
            .any(|o| o.moulding == moulding && o.frame == *frame && o.copy == *copy);
        let on =
            look.lays.iter().filter(|lay| lay.moulding == moulding && look.on.contains(&lay.id));
        owed || on.flat_map(|lay| &lay.rails).any(|rail| {
            rail.state == RailState::ToCut && rail.frame == *frame && rail.copy == *copy
        })
    };
    let left = look.at.copies.iter().filter(|copy| !skip.contains(*copy)).filter(needs);
    let last = left.max_by_key(|copy| {
        let due = look.shop.frame(&copy.0).and_then(|frame| frame.due);
        (due.is_none(), due, !is_begun(copy), copy.1)
    });
    (last.cloned(), last.is_some_and(is_begun))
}
