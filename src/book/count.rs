//! The stock-take: what was found at a place against what the book has there.

use std::collections::{BTreeMap, BTreeSet};

use rusqlite::OptionalExtension;

use super::error::{BookError, THIS_BOOK, wrong};
use super::field::Field;
use super::ledger::Book;
use super::stamp::Stamp;
use super::step::{MovementKind, Step};
use super::{rack, sheet_rack, sheet_steps, spelt};
use crate::measure::Length;
use crate::report::either::either;
use crate::shop::{SheetStock, Stick};

/// What a walk past one place came to.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Counted {
    /// How many sticks are as the book had them.
    pub as_written: usize,
    /// Everything else.
    pub differences: Vec<Difference>,
    /// The sticks that the book has at the place and that were not named: they
    /// stay as they are.
    pub not_named: Vec<Stick>,
    /// The boards and glass that were not, likewise.
    pub sheets_not_named: Vec<String>,
}

/// What was found at a place.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Found {
    /// The sticks by label, with their lengths where they were measured.
    pub sticks: BTreeMap<String, Option<Length>>,
    /// Boards and glass by label, with how many of a pile were found where they were counted.
    pub sheets: BTreeMap<String, Option<u32>>,
    /// Those that were looked for there and are gone, so that they are written off.
    pub gone: BTreeSet<String>,
    /// Whether nothing else is there, so that all others are written off.
    pub others_gone: bool,
}

/// One thing that is not as the book had it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Difference {
    /// It was not there any more.
    Missing(Stick),
    /// It is longer or shorter.
    Length {
        /// The stick.
        stick: String,
        /// How long it was in the book.
        was: Length,
        /// How long it is.
        is: Length,
    },
    /// It lay elsewhere in the book.
    Elsewhere {
        /// The stick.
        stick: String,
        /// The place in the book.
        was: String,
    },
    /// There are more or fewer of a board or glass.
    Sheets {
        /// Its label.
        sheet: String,
        /// How many there were in the book.
        was: u32,
        /// How many there are.
        is: u32,
    },
    /// The book had nothing left of it.
    FoundAgain {
        /// The stick.
        stick: String,
        /// Its moulding.
        moulding: String,
        /// How long it is.
        length: Length,
    },
}

impl Book {
    /// Takes stock of a place: corrects the sticks that are named and nothing
    /// else, unless all others are said to be gone. If it is not to be kept, it
    /// only says what would change.
    ///
    /// # Errors
    /// If a stick was never in the book, or is at the bench.
    pub fn count(
        &mut self,
        place: &str,
        found: &Found,
        (stamp, keep): (&Stamp, bool),
    ) -> Result<Counted, BookError> {
        let mut seen = Counted::default();
        let done = self.change("count", stamp, |step| {
            let place = &spelt::place(step.db(), place)?;
            let mut sticks = BTreeMap::new();
            for (name, length) in &found.sticks {
                sticks.insert(spelt::label(step.db(), name)?, *length);
            }
            let Found { gone, others_gone, .. } = found.clone();
            let of_sticks = Found { sticks, gone, others_gone, ..Found::default() };
            seen = count(step, place, &of_sticks)?;
            count_sheets(step, place, found, &mut seen)?;
            // A change that is not to be kept ends as one that went wrong.
            if keep { Ok(()) } else { Err(BookError::Moved) }
        });
        match done {
            Err(BookError::Moved) if !keep => Ok(seen),
            done => done.map(|()| seen),
        }
    }
}

fn count(step: &Step, place: &str, found: &Found) -> Result<Counted, BookError> {
    let mut counted = Counted::default();
    for (name, measured) in &found.sticks {
        let before = counted.differences.len();
        one(step, place, (name, *measured), &mut counted.differences)?;
        counted.as_written += usize::from(counted.differences.len() == before);
    }
    let is_named = |stick: &Stick| found.sticks.contains_key(&stick.id);
    let there: BTreeSet<String> = rack::all(step.db())?
        .into_iter()
        .filter(|on| on.job.is_none() && on.stick.place == place)
        .map(|on| on.stick.id)
        .collect();
    if let Some(gone) = found.gone.iter().find(|gone| !there.contains(*gone)) {
        return wrong(format!("the book has no {gone} there any more (look at the list again)"));
    }
    for on in rack::all(step.db())?.into_iter().filter(|on| on.job.is_none()) {
        if on.stick.place != place || is_named(&on.stick) {
            continue;
        }
        if found.others_gone || found.gone.contains(&on.stick.id) {
            step.moved(on.id, MovementKind::Counted, -on.stick.length, None)?;
            counted.differences.push(Difference::Missing(on.stick));
        } else {
            counted.not_named.push(on.stick);
        }
    }
    Ok(counted)
}

/// The boards and glass of a place.
fn count_sheets(
    step: &Step,
    place: &str,
    found: &Found,
    counted: &mut Counted,
) -> Result<(), BookError> {
    let mut named = BTreeSet::new();
    for (name, number) in &found.sheets {
        let Some(row) = sheet_rack::found(step.db(), name)? else {
            return wrong(format!("there is no board and no glass {name:?} in the book"));
        };
        let was = row.stock;
        let is = SheetStock { count: number.unwrap_or(was.count.max(1)), ..was.clone() };
        if !was.whole && is.count > 1 {
            return wrong(format!("{} is a remnant, which is one", was.label));
        }
        named.insert(row.id);
        let before = counted.differences.len();
        if is.count != was.count {
            sheet_steps::counted(step, row.id, &was, &is)?;
            let (sheet, was, is) = (was.label.clone(), was.count, is.count);
            counted.differences.push(Difference::Sheets { sheet, was, is });
        }
        if was.place != place {
            step.set(Field::SheetPlace, row.id, place.to_owned())?;
            counted.differences.push(Difference::Elsewhere { stick: was.label, was: was.place });
        }
        counted.as_written += usize::from(counted.differences.len() == before);
    }
    for row in sheet_rack::all(step.db())?.into_iter().filter(|row| !named.contains(&row.id)) {
        let was = row.stock;
        if was.place != place || was.count == 0 {
            continue;
        }
        if found.others_gone {
            sheet_steps::counted(step, row.id, &was, &SheetStock { count: 0, ..was.clone() })?;
            let (sheet, was, is) = (was.label, was.count, 0);
            counted.differences.push(Difference::Sheets { sheet, was, is });
        } else {
            counted.sheets_not_named.push(was.label);
        }
    }
    Ok(())
}

fn one(
    step: &Step,
    place: &str,
    (name, measured): (&str, Option<Length>),
    differences: &mut Vec<Difference>,
) -> Result<(), BookError> {
    let known = "SELECT id, moulding FROM stick WHERE name = ?";
    let read = |row: &rusqlite::Row| Ok((row.get(0)?, row.get(1)?));
    let known: Option<(i64, String)> = step.db().query_row(known, [name], read).optional()?;
    let stick = name.to_owned();
    let is_gone = |of: &(i64, String)| matches!(rack::length(step.db(), of.0), Ok(Length::ZERO));
    if let Some((id, moulding)) = known.filter(is_gone) {
        let Some(length) = measured else {
            return wrong(format!(
                "nothing is left of stick {name} in the book (say how long it is: {name}=LENGTH)"
            ));
        };
        step.moved(id, MovementKind::Counted, length, None)?;
        step.set(Field::StickPlace, id, place.to_owned())?;
        step.set(Field::StickJob, id, None::<i64>)?;
        step.set(Field::StickFlaws, id, String::new())?;
        differences.push(Difference::FoundAgain { stick, moulding, length });
        return Ok(());
    }
    let on = rack::named(step.db(), name)?;
    if on.job.is_some() {
        let length = format!("longpoint correct {THIS_BOOK} {name} --length LENGTH");
        return wrong(format!(
            "stick {name} is at the bench in the book (if it measures otherwise: {}; else leave it \
             out here)",
            either(&length, &format!("open {name} under Rack, and CORRECT IT"))
        ));
    }
    if let Some(is) = measured.filter(|is| *is != on.stick.length) {
        let was = on.stick.length;
        step.moved(on.id, MovementKind::Counted, is - was, None)?;
        let flaws = rack::flaws_beyond(&on.stick.flaws, Length::ZERO, is);
        step.set(Field::StickFlaws, on.id, rack::write_flaws(&flaws))?;
        differences.push(Difference::Length { stick: stick.clone(), was, is });
    }
    if on.stick.place != place {
        step.set(Field::StickPlace, on.id, place.to_owned())?;
        differences.push(Difference::Elsewhere { stick, was: on.stick.place });
    }
    Ok(())
}
