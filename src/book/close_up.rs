//! A stick at the bench of which some rails are cancelled: the others stay on it.
//!
//! # Why they are laid out anew
//!
//! Their stops and their order stay; where each begins and what is left do not. So the
//! stick gets a layout of its own from where it is cut to, as where the rest of a day is
//! planned again, and the old one comes back when the step is undone. Its end is a cut
//! already where it is begun, and is not trimmed once more.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::error::BookError;
use super::field::Field;
use super::laying::lay;
use super::lays::{BenchRail, RailState, StickLayout};
use super::step::Step;
use super::{card, cut, rack, source_files};
use crate::measure::Length;
use crate::morning::close_up::close_up;
use crate::plan::{CutStick, Owed, PlacedRail};
use crate::rails::Side;
use crate::shop::Match;
use crate::verify;

/// Closes up what is still to be cut of a stick. `None` if that cannot be, since a flaw
/// was found there: then nothing is changed.
pub(super) fn closed_up(
    step: &Step,
    job: i64,
    laid: &StickLayout,
) -> Result<Option<CutStick>, BookError> {
    let mut shop = source_files::typed(step.db())?;
    let stick = rack::named(step.db(), &laid.stick)?.stick;
    let gone = laid.length - stick.length;
    // What was closed up before has no trim any more either.
    let trim = if gone.is_positive() { Length::ZERO } else { laid.trim };
    let own = shop.moulding(&stick.moulding).cutter.clone();
    shop.cutters.entry(own).and_modify(|cutter| cutter.first_trim = trim);
    let is_open = |rail: &&BenchRail| rail.state == RailState::ToCut;
    let open: Vec<BenchRail> = laid.rails.iter().filter(is_open).cloned().collect();
    let placed = card::of_lay(step.db(), &shop, laid)?.rails.into_iter().zip(&laid.rails);
    let placed = placed.filter(|(_, rail)| is_open(rail)).map(|(placed, _)| PlacedRail {
        from: placed.from - gone,
        to: placed.to - gone,
        ..placed
    });
    let placed: Vec<PlacedRail> = placed.collect();
    let Some(mut closed) = close_up(&shop, &stick, &placed) else { return Ok(None) };
    shop.rack = vec![stick];
    let owed = owed(&open);
    let check = |closed: &CutStick| verify::remade(&shop, Date::ZERO, vec![closed.clone()], &owed);
    if check(&closed).is_err() {
        return Ok(None);
    }
    label(step, &mut closed, (laid, gone))?;
    for rail in &open {
        step.set(Field::RailState, rail.id, RailState::Off.word().to_owned())?;
    }
    step.set(Field::LayState, laid.id, "off".to_owned())?;
    let alike = |placed: &PlacedRail| {
        let own = open.iter().find(|rail| is_of(rail, placed));
        own.map_or(Match::Any, |rail| rail.alike)
    };
    lay(step, (&shop, job), &closed, &alike)?;
    Ok(Some(closed))
}

fn is_of(rail: &BenchRail, placed: &PlacedRail) -> bool {
    (&rail.frame, rail.copy, rail.layer, rail.side)
        == (&placed.frame, placed.copy, placed.layer, placed.side)
}

/// What is to be cut, layer by layer, as alike as the plan has it. Halves of which one
/// rail is cut are no pair any more; they are of their lot.
fn owed(open: &[BenchRail]) -> Vec<Owed> {
    let mut layers: BTreeMap<(&str, u32, usize), Vec<&BenchRail>> = BTreeMap::new();
    for rail in open {
        layers.entry((&rail.frame, rail.copy, rail.layer)).or_default().push(rail);
    }
    let one = |((frame, copy, layer), rails): ((&str, u32, usize), Vec<&BenchRail>)| {
        let all = Side::all(rails[0].mitre);
        let has = |side: &Side| rails.iter().any(|rail| rail.side == *side);
        let in_pairs = all.chunks(2).all(|pair| pair.iter().all(has) || !pair.iter().any(has));
        let match_ = match rails[0].alike {
            Match::Halves if !in_pairs => Match::Lot,
            alike => alike,
        };
        let sides = all.iter().copied().filter(has).collect();
        Owed { frame: frame.to_owned(), copy, layer, sides, match_, like: None }
    };
    layers.into_iter().map(one).collect()
}

/// What is kept has the label that it had, where something was kept there.
fn label(
    step: &Step,
    closed: &mut CutStick,
    (laid, gone): (&StickLayout, Length),
) -> Result<(), BookError> {
    let had = cut::pieces(step.db(), laid, (gone, laid.length))?;
    for left in closed.between.iter_mut().filter(|left| left.keep) {
        let end = left.from + left.length;
        let own = had.iter().find(|(_, from, length)| *from + *length - gone == end);
        left.label = own.map_or_else(|| step.label(), |(label, ..)| Ok(label.clone()))?;
    }
    if closed.left.keep {
        closed.left.label = match laid.label.as_str() {
            "" => step.label()?,
            label => label.to_owned(),
        };
    }
    Ok(())
}
