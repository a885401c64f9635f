//! The rack: what the movements of each stick add up to.
//!
//! # Why the rack is a sum
//!
//! A length that is stored can be wrong; a sum of movements that are only ever added
//! to says where it comes from. Columns that have a state (where a stick lies, what
//! became of a rail) note every change (`field`), so undoing any step is the same few
//! lines: movements with the other sign, columns as they were, last first.

use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension, Row};

use super::error::{BookError, wrong};
use super::ledger::Book;
use super::spelt::plain;
use crate::measure::Length;
use crate::report::either::either;
use crate::shop::{Flaw, Settings, Stick, nearest};

/// A stick that is there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OnRack {
    /// Its row.
    pub(super) id: i64,
    /// What it is, and how much is left of it.
    pub stick: Stick,
    /// The label of the stick that it was cut from.
    pub parent: Option<String>,
    /// The plan at the bench that it belongs to.
    pub job: Option<i64>,
}

/// Which sticks of the rack are wanted; whatever is `None` does not matter.
#[derive(Debug, Clone, Default)]
pub struct RackQuery {
    /// Of this moulding.
    pub moulding: Option<String>,
    /// Of this lot.
    pub lot: Option<String>,
    /// At this place.
    pub place: Option<String>,
    /// At least so long.
    pub at_least: Option<Length>,
    /// On the rack since this day or before.
    pub since: Option<Date>,
}

impl RackQuery {
    fn is(&self, stick: &Stick) -> bool {
        let alike = |wanted: &Option<String>, found: &str| {
            wanted.as_ref().is_none_or(|wanted| wanted == found)
        };
        alike(&self.moulding, &stick.moulding)
            && alike(&self.lot, &stick.lot)
            && self.place.as_ref().is_none_or(|place| plain(place) == plain(&stick.place))
            && self.at_least.is_none_or(|least| stick.length >= least)
            && self.since.is_none_or(|day| stick.since.is_some_and(|since| since <= day))
    }
}

impl Book {
    /// The sticks that are there, at the bench too, in the order in which they
    /// came.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn rack(&self, wanted: &RackQuery) -> Result<Vec<OnRack>, BookError> {
        let all = self.look(all)?;
        Ok(all.into_iter().filter(|on| wanted.is(&on.stick)).collect())
    }
}

const SELECT: &str = "SELECT s.id, s.name, s.moulding, s.lot, s.place, s.flaws, s.since, s.job,
    (SELECT name FROM stick p WHERE p.id = s.parent), sum(m.nm) AS length
    FROM stick s JOIN movement m ON m.stick = s.id";

/// Everything of which something is left.
pub(super) fn all(db: &Connection) -> Result<Vec<OnRack>, BookError> {
    let sql = format!("{SELECT} GROUP BY s.id HAVING length > 0 ORDER BY s.id");
    let mut query = db.prepare_cached(&sql)?;
    let rows = query.query_map([], read)?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// What a plan may be made from: the sticks that no plan at the bench has taken, and
/// the offcuts that lie at the bench already, of which none is to be cut there.
pub(super) fn free(db: &Connection) -> Result<Vec<Stick>, BookError> {
    let mut laid = db.prepare_cached(
        "SELECT 1 FROM lay l WHERE l.stick = ? AND (l.state = 'on' OR EXISTS
           (SELECT 1 FROM rail r WHERE r.lay = l.id AND r.state IN ('cut', 'spoiled')))",
    )?;
    let mut free = Vec::new();
    for on in all(db)? {
        let mut stick = on.stick;
        if on.job.is_some() {
            if on.parent.is_none() || laid.exists([on.id])? {
                continue;
            }
            stick.place = AT_BENCH.to_owned();
        }
        free.push(stick);
    }
    Ok(free)
}

/// Where an offcut lies until the day is finished.
pub(super) const AT_BENCH: &str = "the bench";

/// What is left of the sticks of a plan at the bench.
pub(super) fn of_job(db: &Connection, job: i64) -> Result<Vec<OnRack>, BookError> {
    let sql = format!("{SELECT} WHERE s.job = ? GROUP BY s.id HAVING length > 0 ORDER BY s.id");
    let mut query = db.prepare_cached(&sql)?;
    let rows = query.query_map([job], read)?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// The stick with this label, of which something must be left.
pub(super) fn named(db: &Connection, name: &str) -> Result<OnRack, BookError> {
    let sql = format!("{SELECT} WHERE s.name = ? GROUP BY s.id HAVING length > 0");
    match db.prepare_cached(&sql)?.query_row([name], read).optional()? {
        Some(stick) => Ok(stick),
        None => wrong(missing(db, name)?),
    }
}

/// Why there is no such stick, or nothing left of it.
pub(super) fn missing(db: &Connection, name: &str) -> Result<String, BookError> {
    let ever = "SELECT 1 FROM stick WHERE name = ?";
    if db.prepare_cached(ever)?.exists([name])? {
        let see = either("see longpoint stick", "its page says what became of it");
        return Ok(format!("nothing is left of stick {name:?} ({see})"));
    }
    if let Some((label, stick)) = not_cut_yet(db, name)? {
        return Ok(format!(
            "{label} is not cut yet: it comes of {stick} (say it of {stick} until then)"
        ));
    }
    let mend = match near(db, name)? {
        Some(near) => format!("did you mean {near}?"),
        None => "write its label as the rack has it".to_owned(),
    };
    Ok(format!("there is no stick {name:?} in the book ({mend})"))
}

/// The offcut that a plan at the bench will leave under this label, and the stick that it
/// comes of.
fn not_cut_yet(db: &Connection, typed: &str) -> Result<Option<(String, String)>, BookError> {
    let mut query = db.prepare(
        "WITH own AS (SELECT l.id, l.label, s.name FROM lay l JOIN stick s ON s.id = l.stick
                      WHERE l.state = 'on')
         SELECT label, name FROM own UNION ALL
         SELECT p.label, o.name FROM own o JOIN piece p ON p.lay = o.id",
    )?;
    let rows = query.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
    let all = rows.collect::<Result<Vec<(String, String)>, _>>()?;
    let is_it = |(label, _): &(String, String)| plain(label) == plain(typed);
    Ok(all.into_iter().find(|own| !own.0.is_empty() && is_it(own)))
}

/// The label nearest to what was typed, if few letters differ.
fn near(db: &Connection, typed: &str) -> Result<Option<String>, BookError> {
    let mut query = db.prepare("SELECT name FROM stick ORDER BY id")?;
    let names = query.query_map([], |row| row.get(0))?.collect::<Result<Vec<String>, _>>()?;
    Ok(nearest(typed, names.iter().map(String::as_str)))
}

/// How much is left of a stick.
pub(super) fn length(db: &Connection, stick: i64) -> Result<Length, BookError> {
    let sql = "SELECT coalesce(sum(nm), 0) FROM movement WHERE stick = ?";
    Ok(db.prepare_cached(sql)?.query_row([stick], |row| row.get(0))?)
}

fn read(row: &Row) -> Result<OnRack, rusqlite::Error> {
    let since: Option<String> = row.get(6)?;
    let (id, name, flaws): (i64, String, String) = (row.get(0)?, row.get(1)?, row.get(5)?);
    Ok(OnRack {
        id,
        stick: Stick {
            id: name,
            moulding: row.get(2)?,
            length: row.get::<_, Length>(9)?,
            lot: row.get(3)?,
            place: row.get(4)?,
            flaws: read_flaws(&flaws).ok_or_else(|| odd(5))?,
            since: since.map(|day| day.parse().map_err(|_| odd(6))).transpose()?,
        },
        parent: row.get(8)?,
        job: row.get(7)?,
    })
}

/// The flaws of a stick, from the marked end that it has now.
pub(super) fn flaws_of(db: &Connection, stick: i64) -> Result<Vec<Flaw>, BookError> {
    let text: String = db
        .prepare_cached("SELECT flaws FROM stick WHERE id = ?")?
        .query_row([stick], |row| row.get(0))?;
    read_flaws(&text).ok_or_else(|| BookError::Damaged(format!("{text:?} are no flaws")))
}

/// A text in the book that we never wrote.
fn odd(column: usize) -> rusqlite::Error {
    let kind = rusqlite::types::Type::Text;
    rusqlite::Error::InvalidColumnType(column, "a value of the book".to_owned(), kind)
}

/// Flaws as the book keeps them: `from..to` in nanometres, with blanks between.
pub(super) fn write_flaws(flaws: &[Flaw]) -> String {
    let one = |flaw: &Flaw| format!("{}..{}", flaw.from.nm(), flaw.to.nm());
    flaws.iter().map(one).collect::<Vec<_>>().join(" ")
}

/// Flaws as a shop reads them; `none` where there are none any more.
pub(super) fn shown_flaws(text: &str, settings: &Settings) -> String {
    match read_flaws(text).unwrap_or_default().as_slice() {
        [] => "none".to_owned(),
        some => crate::shop::write::flaws(some, settings),
    }
}

fn read_flaws(text: &str) -> Option<Vec<Flaw>> {
    let one = |part: &str| {
        let (from, to) = part.split_once("..")?;
        let length = |text: &str| Some(Length::from_nm(text.parse().ok()?));
        Some(Flaw { from: length(from)?, to: length(to)? })
    };
    text.split_whitespace().map(one).collect()
}

/// The flaws of what remains when so much is cut off the marked end and the rest
/// is so long.
pub(super) fn flaws_beyond(flaws: &[Flaw], cut: Length, rest: Length) -> Vec<Flaw> {
    let moved = |flaw: &Flaw| Flaw {
        from: (flaw.from - cut).max(Length::ZERO),
        to: (flaw.to - cut).min(rest),
    };
    let stays = |flaw: &&Flaw| flaw.to > cut && flaw.from < cut + rest;
    flaws.iter().filter(stays).map(moved).collect()
}
