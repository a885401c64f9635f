//! A ticket that is cancelled, wherever its copies are: on the pile or at the bench.
//!
//! What is cut of it stays in the book as spare rails: good, and nobody's. What is joined
//! is no rail any more: a copy that is made stays what it is.

use std::collections::BTreeSet;

use rusqlite::{OptionalExtension, params};

use super::error::{BookError, wrong};
use super::field::Field;
use super::lays::{self, BenchRail, RailState, StickLayout};
use super::ledger::Book;
use super::replan::release;
use super::stamp::Stamp;
use super::step::Step;
use super::{back, close_up, rest, sheet_cut, source_files, supplied};
use crate::measure::Length;
use crate::plan::CutStick;
use crate::shop::SheetPiece;

/// What a cancelled ticket leaves behind.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cancelled {
    /// The copies that are not made any more.
    pub copies: Vec<u32>,
    /// Those that are chopped, or came chopped, and stay what they are.
    pub done: Vec<u32>,
    /// Those whose rails are joined at the bench, and that stay what they are.
    pub made: Vec<u32>,
    /// The rails that are cut, with the sticks that they were cut from.
    pub spare: Vec<(String, BenchRail)>,
    /// The sticks on which the rails of others stay and move up to where these were, as
    /// they are cut now.
    pub closed: Vec<CutStick>,
    /// The sticks in hand from which nothing more is cut, with how much is left of them and
    /// the label that it is kept under; an empty one if it is scrap.
    pub rests: Vec<(String, Length, String)>,
    /// The sticks that are whole and free again, with their places.
    pub freed: Vec<(String, String)>,
    /// The sticks with a flaw where the rails of others would lie: those are owed, and
    /// the rest is planned again.
    pub replaced: Vec<String>,
    /// The lines that are still to come of layers that a supplier chops for it.
    pub lines: Vec<i64>,
    /// What was cut for the ticket of boards and glass.
    pub pieces: Vec<SheetPiece>,
}

impl Book {
    /// Cancels a ticket, or one copy of it. Nothing more is cut, planned or ordered
    /// for it; sticks that were laid out for it alone are free again.
    ///
    /// # Errors
    /// If there is no such ticket or copy, or nothing of it is left to cancel: it is done,
    /// or joined.
    pub fn cancel(
        &mut self,
        frame: &str,
        copy: Option<u32>,
        stamp: &Stamp,
    ) -> Result<Cancelled, BookError> {
        self.change("cancel", stamp, |step| {
            let shop = source_files::typed(step.db())?;
            let ticket = shop.find_frame(frame)?;
            if let Some(copy) = copy.filter(|copy| !(1..=ticket.copies).contains(copy)) {
                return wrong(format!(
                    "frame {frame} has the copies 1 to {}, not {copy}",
                    ticket.copies
                ));
            }
            let mut cancelled = Cancelled::default();
            let asked =
                (1..=ticket.copies).filter(|number| copy.is_none_or(|copy| copy == *number));
            for number in asked {
                one(step, (frame, number), &mut cancelled)?;
            }
            if cancelled.copies.is_empty() {
                return wrong(nothing_left(frame, &cancelled));
            }
            cancelled.pieces = sheet_cut::cut_for(step.db(), frame)?;
            cancelled.lines = supplied::lines(step.db(), frame, &cancelled.copies)?;
            Ok(cancelled)
        })
    }
}

fn nothing_left(frame: &str, all: &Cancelled) -> String {
    let mut why = format!("nothing of frame {frame} is left to cancel");
    if let [some @ .., last] = all.made.as_slice() {
        let some: String = some.iter().map(|copy| format!("{copy}, ")).collect();
        why += &format!(
            ": copy {some}{last} is joined, and its rails are nobody else's (keep it as a made frame; if \
             it was never joined, undo that first)"
        );
    }
    why
}

fn one(step: &Step, (frame, number): (&str, u32), all: &mut Cancelled) -> Result<(), BookError> {
    if !withdraw(step, (frame, number), all)? {
        return Ok(());
    }
    let copy = step.copy(frame, number)?;
    step.set(Field::CopyState, copy, "cancelled".to_owned())?;
    for lay in lays::of_copy(step.db(), copy)? {
        let stick = &lay.stick;
        all.spare.extend(lay.rails.iter().map(|rail| (stick.clone(), rail.clone())));
    }
    all.copies.push(number);
    Ok(())
}

/// Takes a copy off the bench, if it is there; false if it is done, joined, or cancelled,
/// and stays what it is.
pub(super) fn withdraw(
    step: &Step,
    (frame, number): (&str, u32),
    all: &mut Cancelled,
) -> Result<bool, BookError> {
    let known = "SELECT state, job, made IS NOT NULL FROM copy WHERE frame = ? AND number = ?";
    let read = |row: &rusqlite::Row| Ok((row.get(0)?, row.get(1)?, row.get(2)?));
    let found: Option<(Option<String>, Option<i64>, bool)> =
        step.db().query_row(known, params![frame, number], read).optional()?;
    let (state, job, is_made) = found.unwrap_or_default();
    match state.as_deref() {
        Some("chopped" | "bought") => {
            all.done.push(number);
            return Ok(false);
        }
        Some("cancelled") => return Ok(false),
        _ if is_made => {
            all.made.push(number);
            return Ok(false);
        }
        _ => {}
    }
    if let Some(job) = job {
        let of = BTreeSet::from([(frame.to_owned(), number)]);
        let laid = lays::ever(step.db(), job)?;
        let is_own = |rail: &BenchRail| (rail.frame.as_str(), rail.copy) == (frame, number);
        let has =
            |lay: &StickLayout, state| lay.rails.iter().any(|r| r.state == state && is_own(r));
        if !laid.iter().any(|lay| has(lay, RailState::Cut)) {
            back::restore(step, job, &of)?;
        }
        let touched: BTreeSet<i64> =
            laid.iter().filter(|lay| has(lay, RailState::ToCut)).map(|lay| lay.id).collect();
        let own = laid.iter().filter(|lay| touched.contains(&lay.id));
        let sticks: BTreeSet<&str> = own.map(|lay| lay.stick.as_str()).collect();
        all.closed.retain(|closed| !sticks.contains(closed.stick.as_str()));
        back::leave(step, &laid, &of)?;
        stay(step, job, &touched, all)?;
        for lay in laid.iter().filter(|lay| touched.contains(&lay.id)) {
            all.rests.extend(rest::left_of(step, job, lay, &laid)?);
        }
        all.freed.extend(release(step, job)?);
    }
    Ok(true)
}

/// What others have on these sticks stays there, moved up; where it cannot, it is owed.
fn stay(
    step: &Step,
    job: i64,
    touched: &BTreeSet<i64>,
    all: &mut Cancelled,
) -> Result<(), BookError> {
    for lay in lays::on(step.db(), job)? {
        if !touched.contains(&lay.id) || lay.is_done() {
            continue;
        }
        if let Some(closed) = close_up::closed_up(step, job, &lay)? {
            all.closed.push(closed);
            continue;
        }
        for rail in lay.rails.iter().filter(|rail| rail.state == RailState::ToCut) {
            step.set(Field::RailState, rail.id, RailState::Off.word().to_owned())?;
        }
        step.set(Field::LayState, lay.id, "off".to_owned())?;
        all.replaced.push(lay.stick);
    }
    Ok(())
}
