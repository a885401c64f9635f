//! One moulding planned again: the least worth, then the fewest changes.

use std::collections::{BTreeMap, BTreeSet};

use rusqlite::Connection;

use super::super::BookError;
use super::super::bench::AtBench;
use super::super::lays::{Lay, State};
use super::Again;
use super::groups::{Group, groups};
use crate::measure::{Length, Worth};
use crate::plan::remake::{Remade, remake, worth};
use crate::shop::Shop;
use crate::solve::Limits;

/// One look at a day that is to be planned again.
pub(super) struct Look {
    pub job: i64,
    pub version: i64,
    /// All frames, and the sticks that the day may use.
    pub shop: Shop,
    pub at: AtBench,
    /// Everything that was ever laid out for it.
    pub lays: Vec<Lay>,
    /// Those that are laid out now.
    pub on: BTreeSet<i64>,
    /// Those with a cut on a flaw.
    pub hit: BTreeSet<i64>,
    /// The pieces kept before flaws, by lay: where they begin and how long.
    pub pieces: BTreeMap<i64, Vec<(Length, Length)>>,
}

/// The pieces of a plan's lays.
pub(super) fn pieces(
    db: &Connection,
    job: i64,
) -> Result<BTreeMap<i64, Vec<(Length, Length)>>, BookError> {
    let mut query = db.prepare(
        "SELECT p.lay, p.start, p.length FROM piece p JOIN lay l ON l.id = p.lay WHERE l.job = ?",
    )?;
    let rows = query.query_map([job], |row| {
        Ok((row.get::<_, i64>(0)?, Length::from_nm(row.get(1)?), Length::from_nm(row.get(2)?)))
    })?;
    let mut pieces: BTreeMap<i64, Vec<(Length, Length)>> = BTreeMap::new();
    for row in rows {
        let (lay, start, length) = row?;
        pieces.entry(lay).or_default().push((start, length));
    }
    Ok(pieces)
}

/// The least that a choice of kept lays comes to, so that choices compare: worth
/// used up, then sticks.
type Key = (Worth, usize);

/// A way to go on.
struct Way {
    key: Key,
    groups: Vec<Group>,
    remade: Remade,
}

/// Plans a moulding again. `without` are frame copies that are not cut any more,
/// `short` those of which the rails that are missing are left out.
///
/// First everything is free to move. Then each stick in turn keeps its cuts, as
/// long as that costs nothing: so no stick changes that need not.
pub(super) fn settle(
    look: &Look,
    moulding: &str,
    skip: &BTreeSet<(String, u32)>,
    limits: &Limits,
) -> Option<Again> {
    let open = |lay: &&Lay| lay.rails.iter().any(|rail| rail.state == State::ToCut);
    let laid = look.lays.iter().filter(|lay| lay.moulding == moulding && look.on.contains(&lay.id));
    let laid: Vec<&Lay> = laid.filter(open).collect();
    let stays = |lay: &&&Lay| {
        let skipped = |rail: &super::LaidRail| {
            rail.state == State::ToCut && skip.contains(&(rail.frame.clone(), rail.copy))
        };
        !look.hit.contains(&lay.id) && !lay.rails.iter().any(skipped)
    };
    let movable: Vec<&Lay> = laid.iter().filter(stays).copied().collect();
    let mut fixed: Vec<i64> = Vec::new();
    let all: Vec<i64> = movable.iter().map(|lay| lay.id).collect();
    let mut best = way(look, moulding, (&fixed, skip), limits);
    // Where the solver gave up, or a frame is begun that could not be kept.
    if let Some(kept) = way(look, moulding, (&all, skip), limits)
        && best.as_ref().is_none_or(|best| kept.key <= best.key)
    {
        (best, fixed) = (Some(kept), all.clone());
    }
    let mut best = best?;
    for lay in
        movable.iter().filter(|lay| !all.is_empty() && !fixed.contains(&lay.id)).collect::<Vec<_>>()
    {
        let more: Vec<i64> = fixed.iter().copied().chain([lay.id]).collect();
        if let Some(kept) = way(look, moulding, (&more, skip), limits)
            && kept.key <= best.key
        {
            (best, fixed) = (kept, more);
        }
    }
    let kept = movable.iter().filter(|lay| fixed.contains(&lay.id));
    let off = laid.iter().filter(|lay| !fixed.contains(&lay.id));
    Some(Again {
        moulding: moulding.to_owned(),
        kept: kept.map(|lay| lay.stick.clone()).collect(),
        off: off.map(|lay| lay.id).collect(),
        sticks: best.remade.sticks,
        used_up: best.key.0,
        proven: best.remade.proven,
        groups: best.groups,
    })
}

/// The best way when these lays keep their cuts.
fn way(
    look: &Look,
    moulding: &str,
    (fixed, skip): (&[i64], &BTreeSet<(String, u32)>),
    limits: &Limits,
) -> Option<Way> {
    let mut groups = groups(look, moulding, fixed);
    groups.retain(|group| !skip.contains(&(group.frame.clone(), group.copy)));
    let lays: Vec<&Lay> = look.lays.iter().filter(|lay| fixed.contains(&lay.id)).collect();
    let mut shop = look.shop.clone();
    shop.rack.retain(|stick| lays.iter().all(|lay| lay.stick != stick.id));
    let owed: Vec<_> = groups.iter().map(Group::owed).collect();
    let remade = remake(&shop, moulding, &owed, limits)?;
    let kept: Worth = lays.iter().map(|lay| used_up(look, lay)).sum();
    // What is set aside was paid for.
    let aside = groups.iter().flat_map(|group| &group.aside);
    let aside: Worth =
        aside.map(|(_, rail)| worth(&look.shop, moulding, rail.to - rail.from)).sum();
    let key = (remade.used_up + kept + aside, remade.sticks.len() + lays.len());
    Some(Way { key, groups, remade })
}

/// What a lay uses up from here on.
fn used_up(look: &Look, lay: &Lay) -> Worth {
    let at = lay.at();
    let of = |length| worth(&look.shop, &lay.moulding, length);
    let left = if lay.label.is_empty() { Worth(0) } else { of(lay.remains) };
    let pieces = look.pieces.get(&lay.id).into_iter().flatten();
    let pieces: Worth =
        pieces.filter(|(start, _)| *start >= at).map(|(_, length)| of(*length)).sum();
    of(lay.length - at) - left - pieces
}
