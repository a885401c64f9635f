//! Cuts ticked off as they happen: what comes off a stick, rail by rail.

use rusqlite::{Connection, params};

use super::error::{BookError, wrong};
use super::field::Field;
use super::lays::{self, BenchRail, RailState, StickLayout};
use super::ledger::Book;
use super::stamp::Stamp;
use super::step::{MovementKind, NewStick, Step};
use super::{measured, rack, rest, spelt};
use crate::measure::Length;
use crate::report::either::either;
use crate::shop::{Flaw, Shop};

/// What was ticked off on one stick.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TickedStick {
    /// The stick.
    pub stick: String,
    /// The rails that were cut.
    pub rails: Vec<BenchRail>,
    /// How many are still to be cut from it.
    pub to_cut: usize,
    /// The labels of the pieces that are in hand now, with their lengths.
    pub kept: Vec<(String, Length)>,
    /// What was thrown away.
    pub scrap: Length,
}

impl Book {
    /// Ticks off the cuts of a stick, all of them or those up to a number; the
    /// rails come off in their order.
    ///
    /// # Errors
    /// If the stick is not at the bench, the cuts are done already, or one lies
    /// on a flaw that was found since.
    pub fn cut(
        &mut self,
        stick: &str,
        up_to: Option<usize>,
        stamp: &Stamp,
    ) -> Result<TickedStick, BookError> {
        self.change("cut", stamp, |step| cut(step, stick, up_to))
    }

    /// Ticks off one cut as somebody saw it on a screen, where it was the next of its
    /// stick.
    ///
    /// # Errors
    /// As [`cut`](Self::cut), or if it is not the next any more.
    pub fn cut_next(&mut self, rail: i64, stamp: &Stamp) -> Result<TickedStick, BookError> {
        self.change("cut", stamp, |step| {
            let (stick, number) = lays::next(step.db(), rail)?;
            cut(step, &stick, Some(number))
        })
    }

    /// Ticks off all the cuts of several sticks, as one step.
    ///
    /// # Errors
    /// As [`cut`](Self::cut); then none of them is ticked off.
    pub fn cut_sticks(
        &mut self,
        sticks: &[String],
        stamp: &Stamp,
    ) -> Result<Vec<TickedStick>, BookError> {
        self.change("cut", stamp, |step| {
            sticks.iter().map(|stick| cut(step, stick, None)).collect()
        })
    }

    /// Ticks off everything that a plan still has to cut.
    ///
    /// # Errors
    /// As [`cut`](Self::cut).
    pub fn cut_all(
        &mut self,
        job: Option<i64>,
        stamp: &Stamp,
    ) -> Result<Vec<TickedStick>, BookError> {
        self.change("cut", stamp, |step| {
            let job = lays::job(step.db(), job)?;
            let open = lays::on(step.db(), job)?.into_iter().filter(|lay| !lay.is_done());
            let cuts =
                open.map(|lay| cut(step, &lay.stick, None)).collect::<Result<Vec<_>, _>>()?;
            if cuts.is_empty() { wrong("everything is cut already") } else { Ok(cuts) }
        })
    }
}

fn cut(step: &Step, stick: &str, up_to: Option<usize>) -> Result<TickedStick, BookError> {
    let stick = &spelt::label(step.db(), stick)?;
    let (job, lay) = lays::of_stick(step.db(), stick)?;
    if up_to.is_none() && rest::is_all(step, &lay)? {
        return rest::settle(step, job, &lay);
    }
    let last = up_to.unwrap_or(lay.rails.len());
    if last == 0 || last > lay.rails.len() {
        return wrong(no_such(&lay, last));
    }
    let due = lay.rails.iter().filter(|rail| rail.number <= last && rail.state == RailState::ToCut);
    let due: Vec<BenchRail> = due.cloned().collect();
    if due.is_empty() {
        return wrong(format!("what was asked of stick {stick} is cut already"));
    }
    measured::none_measured(step.db(), job, &lay.moulding)?;
    on_no_flaw(step.db(), &lay, &due)?;
    let mut done = TickedStick {
        stick: stick.to_owned(),
        to_cut: lay.rails.iter().filter(|r| r.state == RailState::ToCut).count() - due.len(),
        rails: due,
        kept: Vec::new(),
        scrap: Length::ZERO,
    };
    for rail in done.rails.clone() {
        take_off(step, (job, &lay), &rail, RailState::Cut, &mut done)?;
    }
    Ok(done)
}

/// No rail may be cut over a flaw: the plan was made without it.
pub(super) fn on_no_flaw(
    db: &Connection,
    lay: &StickLayout,
    due: &[BenchRail],
) -> Result<(), BookError> {
    match due.iter().find(|rail| hit(db, lay, rail).unwrap_or(true)) {
        None => Ok(()),
        Some(rail) => wrong(format!(
            "cut {} of stick {} lies on a flaw that was found since ({})",
            rail.number,
            lay.stick,
            either("plan the rest again with \"longpoint replan\"", "PLAN THE REST AGAIN")
        )),
    }
}

/// That a stick has no cut of this number.
pub(super) fn no_such(lay: &StickLayout, number: usize) -> String {
    match (&lay.stick, lay.rails.len()) {
        (stick, 0) => {
            format!("nothing is cut from stick {stick} any more (look at the stick again)")
        }
        (stick, cuts) => format!("stick {stick} has the cuts 1 to {cuts}, not {number}"),
    }
}

/// Whether a rail that is still to be cut lies on a flaw.
pub(super) fn hit(db: &Connection, lay: &StickLayout, rail: &BenchRail) -> Result<bool, BookError> {
    let now = rack::named(db, &lay.stick)?.stick;
    let gone = lay.length - now.length;
    let over = |flaw: &Flaw| flaw.to + gone > rail.from && flaw.from + gone < rail.to;
    Ok(now.flaws.iter().any(over))
}

/// Whether a rail has no room any more on a stick that is so long: the machine needs
/// what is beyond it.
pub(super) fn fits_no_more(
    shop: &Shop,
    lay: &StickLayout,
    rail: &BenchRail,
    length: Length,
) -> bool {
    let cutter = shop.cutter_of(shop.moulding(&lay.moulding));
    rail.to > length - cutter.last_trim.max(cutter.grip)
}

/// A stick at the bench, just before a rail is cut from it.
struct Off<'a> {
    job: i64,
    lay: &'a StickLayout,
    rail: &'a BenchRail,
    /// How much of it is gone already.
    at: Length,
    /// Its flaws, measured from there.
    flaws: Vec<Flaw>,
}

/// Takes one rail off its stick, with what lies before it and the joint beyond
/// it; after the last one, what remains is an offcut or scrap.
pub(super) fn take_off(
    step: &Step,
    (job, lay): (i64, &StickLayout),
    rail: &BenchRail,
    state: RailState,
    done: &mut TickedStick,
) -> Result<(), BookError> {
    let stick = lay.stick_id;
    let before = rack::length(step.db(), stick)?;
    let flaws = rack::flaws_of(step.db(), stick)?;
    let off = Off { job, lay, rail, at: lay.length - before, flaws };
    let moved = |kind, length: Length| step.moved(stick, kind, -length, Some(rail.id));
    up_to_rail(step, &off, done)?;
    moved(
        if state == RailState::Cut { MovementKind::Rail } else { MovementKind::Spoiled },
        rail.to - rail.from,
    )?;
    // A stick that was measured shorter ends within the joint at the earliest.
    let joint = rail.joint.min(rack::length(step.db(), stick)?);
    moved(MovementKind::Joint, joint)?;
    step.set(Field::RailState, rail.id, state.word().to_owned())?;
    if lay.rails[rail.number..].iter().all(|later| later.state == RailState::Off) {
        let left = rack::length(step.db(), stick)?;
        if lay.label.is_empty() {
            moved(MovementKind::Scrap, left)?;
            done.scrap += left;
        } else {
            keep(step, &off, (&lay.label, rail.to + joint, left), done)?;
        }
    }
    let rest = rack::length(step.db(), stick)?;
    let moved_on = rack::flaws_beyond(&off.flaws, before - rest, rest);
    step.set(Field::StickFlaws, stick, rack::write_flaws(&moved_on))
}

/// What lies before a rail: a trim at the marked end, else pieces before flaws.
fn up_to_rail(step: &Step, off: &Off, done: &mut TickedStick) -> Result<(), BookError> {
    let Off { lay, rail, at, .. } = off;
    let moved = |kind, length: Length| step.moved(lay.stick_id, kind, -length, Some(rail.id));
    let mut gap = rail.from - *at;
    if gap < Length::ZERO {
        // Cut head to tail: the two rails share a mitre.
        return moved(MovementKind::Joint, gap);
    }
    let trim = if *at == Length::ZERO { lay.trim.min(gap) } else { Length::ZERO };
    moved(MovementKind::Trim, trim)?;
    gap -= trim;
    for (label, from, length) in pieces(step.db(), lay, (*at, rail.from))? {
        keep(step, off, (&label, from, length), done)?;
        gap -= length;
    }
    done.scrap += gap;
    moved(MovementKind::Scrap, gap)
}

/// The pieces of a stick that are kept before flaws, from some place on to another: their
/// labels, where they begin and how long they are.
pub(super) fn pieces(
    db: &Connection,
    lay: &StickLayout,
    (from, to): (Length, Length),
) -> Result<Vec<(String, Length, Length)>, BookError> {
    let mut query = db.prepare_cached(
        "SELECT label, start, length FROM piece WHERE lay = ? AND start >= ? AND start < ?
         ORDER BY start",
    )?;
    let rows = query.query_map(params![lay.id, from.nm(), to.nm()], |row| {
        Ok((row.get(0)?, row.get::<_, Length>(1)?, row.get::<_, Length>(2)?))
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// A piece of a stick becomes a stick of its own, and stays at the bench until
/// the day is finished.
fn keep(
    step: &Step,
    off: &Off,
    (label, from, length): (&str, Length, Length),
    done: &mut TickedStick,
) -> Result<(), BookError> {
    let new = NewStick {
        name: label,
        moulding: &off.lay.moulding,
        lot: &off.lay.lot,
        parent: Some(off.lay.stick_id),
        flaws: &rack::write_flaws(&rack::flaws_beyond(&off.flaws, from - off.at, length)),
        job: Some(off.job),
        ..NewStick::default()
    };
    let child = step.stick(&new)?;
    step.parted((off.lay.stick_id, child), length, Some(off.rail.id))?;
    done.kept.push((label.to_owned(), length));
    Ok(())
}
