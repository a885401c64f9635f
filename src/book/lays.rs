//! The sticks of a plan at the bench, as the book has them.

use std::collections::BTreeSet;

use rusqlite::{Connection, OptionalExtension, Row};

use super::error::{BookError, wrong};
use super::rack;
use crate::measure::{Length, Mitre};
use crate::rails::Side;
use crate::report::either::either;
use crate::shop::Match;

/// What became of a rail.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum RailState {
    /// It is still to be cut.
    ToCut,
    /// It is cut.
    Cut,
    /// It was cut and is of no use.
    Spoiled,
    /// It is not to be cut from here any more.
    Off,
}

impl RailState {
    /// The word that the book keeps.
    pub(super) fn word(self) -> &'static str {
        match self {
            RailState::ToCut => "to cut",
            RailState::Cut => "cut",
            RailState::Spoiled => "spoiled",
            RailState::Off => "off",
        }
    }

    fn named(word: Option<&str>) -> RailState {
        let all = [RailState::ToCut, RailState::Cut, RailState::Spoiled];
        all.into_iter().find(|state| Some(state.word()) == word).unwrap_or(RailState::Off)
    }
}

/// A stick and what is cut from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StickLayout {
    pub(super) id: i64,
    pub(super) stick_id: i64,
    /// The stick's label.
    pub stick: String,
    /// Its moulding.
    pub moulding: String,
    /// Its lot.
    pub lot: String,
    /// Where it lay.
    pub place: String,
    /// How long it was when it was laid out.
    pub length: Length,
    /// What comes off its marked end.
    pub trim: Length,
    /// What remains beyond the last rail.
    pub remains: Length,
    /// The label of what remains; empty if it is scrap.
    pub label: String,
    /// Its rails in cutting order.
    pub rails: Vec<BenchRail>,
}

/// A rail on its stick.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BenchRail {
    pub(super) id: i64,
    /// Its number among the stick's cuts, from 1.
    pub number: usize,
    /// The frame's ticket number.
    pub frame: String,
    /// Which copy.
    pub copy: u32,
    /// Which layer.
    pub layer: usize,
    /// Which side.
    pub side: Side,
    /// The frame's mitre.
    pub mitre: Mitre,
    /// Where it begins, from the marked end as it was.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
    /// What is lost beyond it.
    pub(super) joint: Length,
    /// How alike the rails of its layer are to be.
    pub alike: Match,
    /// Whether the stick is turned over for it.
    pub turned: bool,
    /// What became of it.
    pub state: RailState,
}

impl BenchRail {
    /// Its number in the book, of which there is one for each cut of each layout.
    pub fn id(&self) -> i64 {
        self.id
    }

    /// Whether another cut makes the same rail.
    fn is_as_long_and_for(&self, other: &BenchRail) -> bool {
        let of = |rail: &BenchRail| {
            (rail.frame.clone(), rail.copy, rail.layer, rail.side, rail.to - rail.from)
        };
        of(self) == of(other)
    }
}

impl StickLayout {
    /// Its rails, each with the stick.
    pub fn each(&self) -> impl Iterator<Item = (&StickLayout, &BenchRail)> {
        self.rails.iter().map(move |rail| (self, rail))
    }

    /// Whether nothing is left to cut.
    pub fn is_done(&self) -> bool {
        self.rails.iter().all(|rail| rail.state != RailState::ToCut)
    }

    /// How many cuts were made, whatever came of them.
    pub fn made(&self) -> usize {
        let is_made = |rail: &&BenchRail| matches!(rail.state, RailState::Cut | RailState::Spoiled);
        self.rails.iter().filter(is_made).count()
    }

    /// Whether anything was cut.
    pub fn is_begun(&self) -> bool {
        self.made() > 0
    }

    /// How much of it is gone once everything that was cut is off.
    pub(super) fn at(&self) -> Length {
        let cut =
            self.rails.iter().filter(|r| matches!(r.state, RailState::Cut | RailState::Spoiled));
        cut.map(|rail| rail.to + rail.joint).max().unwrap_or_default()
    }
}

/// The number of the one plan at the bench, or of the one that was asked for.
pub(super) fn job(db: &Connection, asked: Option<i64>) -> Result<i64, BookError> {
    let jobs = at_bench(db)?;
    match (asked, jobs.as_slice()) {
        (Some(job), _) if jobs.contains(&job) => Ok(job),
        (Some(job), _) => {
            let list = either("longpoint bench lists them", "look at the Bench");
            wrong(format!("plan {job} is not at the bench ({list})"))
        }
        (None, [only]) => Ok(*only),
        (None, []) => {
            let take = either("take one there with \"longpoint take\"", "PLAN THE MORNING");
            wrong(format!("no plan is at the bench ({take})"))
        }
        (None, several) => {
            let list = several.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
            let which = either("say which with --plan", "say which");
            wrong(format!("plans {list} are at the bench ({which})"))
        }
    }
}

/// The plans at the bench.
pub(super) fn at_bench(db: &Connection) -> Result<Vec<i64>, BookError> {
    let mut query = db.prepare_cached("SELECT id FROM job WHERE state = 'bench' ORDER BY id")?;
    let rows = query.query_map([], |row| row.get(0))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

const LAY: &str = "SELECT l.id, l.stick, s.name, s.moulding, s.lot, s.place, l.length, l.trim,
    l.remains, l.label FROM lay l JOIN stick s ON s.id = l.stick";

/// The sticks of a plan that are laid out now, in the order of the bench.
pub(super) fn on(db: &Connection, job: i64) -> Result<Vec<StickLayout>, BookError> {
    read(db, &format!("{LAY} WHERE l.job = ? AND l.state = 'on' ORDER BY l.id"), job)
}

/// All that was ever laid out for a plan and not undone.
pub(super) fn ever(db: &Connection, job: i64) -> Result<Vec<StickLayout>, BookError> {
    read(db, &format!("{LAY} WHERE l.job = ? AND l.state IS NOT NULL ORDER BY l.id"), job)
}

/// The rails that are cut and good of copies that are at this plan, but were cut for
/// another one: their day ended with something owed. Their lays, with nothing else.
pub(super) fn earlier(db: &Connection, job: i64) -> Result<Vec<StickLayout>, BookError> {
    let others = "l.job <> ?1 AND c.job = ?1 AND c.state = 'bench'";
    good(db, others, job)
}

/// The rails that are cut and good of copies at this plan, wherever they were cut.
pub(super) fn given(db: &Connection, job: i64) -> Result<Vec<StickLayout>, BookError> {
    good(db, "c.job = ?1 AND c.state = 'bench'", job)
}

/// The rails that are cut and good of copies whose day ended with something owed.
pub(super) fn of_owed(db: &Connection) -> Result<Vec<StickLayout>, BookError> {
    good(db, "c.state = 'owed' AND ?1 = 0", 0)
}

/// The rails that are cut and good of copies that were cancelled; of one that was joined
/// before, none is a rail any more.
pub(super) fn spare(db: &Connection) -> Result<Vec<StickLayout>, BookError> {
    good(db, "c.state = 'cancelled' AND c.made IS NULL AND ?1 = 0", 0)
}

/// The rails that are cut and good of one copy.
pub(super) fn of_copy(db: &Connection, copy: i64) -> Result<Vec<StickLayout>, BookError> {
    good(db, "c.id = ?1", copy)
}

/// Lays with the good rails of some copies, and nothing else.
fn good(db: &Connection, which: &str, of: i64) -> Result<Vec<StickLayout>, BookError> {
    let rails = format!(
        "SELECT r.id, r.lay FROM copy c JOIN rail r ON r.frame = c.frame AND r.copy = c.number
         JOIN lay l ON l.id = r.lay WHERE r.state = 'cut' AND {which}"
    );
    let mut query = db.prepare_cached(&rails)?;
    let ids = query.query_map([of], |row| row.get(0))?.collect::<Result<BTreeSet<i64>, _>>()?;
    if ids.is_empty() {
        return Ok(Vec::new());
    }
    let lays = format!("{LAY} WHERE l.id IN (SELECT lay FROM ({rails})) ORDER BY l.id");
    let mut lays = read(db, &lays, of)?;
    lays.iter_mut().for_each(|lay| lay.rails.retain(|rail| ids.contains(&rail.id)));
    Ok(lays)
}

/// How a stick at the bench is laid out, and for which plan.
pub(super) fn of_stick(db: &Connection, name: &str) -> Result<(i64, StickLayout), BookError> {
    let found = db
        .prepare_cached(
            "SELECT l.id, l.job FROM lay l JOIN stick s ON s.id = l.stick
             WHERE s.name = ? AND l.state = 'on'",
        )?
        .query_row([name], |row| Ok((row.get::<_, i64>(0)?, row.get::<_, i64>(1)?)))
        .optional()?;
    let Some((lay, job)) = found else {
        rack::named(db, name)?;
        let list = either("longpoint bench lists those", "look at the Bench");
        return wrong(format!("stick {name:?} is not at the bench ({list})"));
    };
    let lay = read(db, &format!("{LAY} WHERE l.id = ?"), lay)?.remove(0);
    Ok((job, lay))
}

/// The stick and the number of a cut that was seen as the next of its stick, if it
/// still is: also where the stick was laid out anew since and begins with the same rail.
pub(super) fn next(db: &Connection, rail: i64) -> Result<(String, usize), BookError> {
    let seen: Option<i64> = db
        .prepare_cached("SELECT lay FROM rail WHERE id = ?")?
        .query_row([rail], |row| row.get(0))
        .optional()?;
    let Some(seen) = seen else { return wrong("there is no such cut in the book") };
    let seen = read(db, &format!("{LAY} WHERE l.id = ?"), seen)?.remove(0);
    let name = seen.stick;
    let (_, lay) = of_stick(db, &name)?;
    let next = lay.rails.iter().find(|rail| rail.state == RailState::ToCut);
    let own = seen.rails.iter().find(|own| own.id == rail);
    let is_same = |next: &BenchRail| {
        own.is_some_and(|own| own.state == RailState::Off && own.is_as_long_and_for(next))
    };
    match (next, own) {
        (Some(next), _) if next.id == rail || is_same(next) => Ok((name, next.number)),
        (_, Some(own)) if own.state == RailState::Cut => wrong(format!(
            "cut {} of stick {name} is ticked off already (look at the stick again)",
            own.number
        )),
        _ => wrong(format!(
            "that is not the next cut of stick {name} any more: it was cut, undone or planned \
             again in the meantime (look at the stick again)"
        )),
    }
}

/// How a stick is laid out now, if it is.
pub(super) fn laid(db: &Connection, stick: i64) -> Result<Option<StickLayout>, BookError> {
    Ok(read(db, &format!("{LAY} WHERE l.stick = ? AND l.state = 'on'"), stick)?.pop())
}

fn read(db: &Connection, sql: &str, of: i64) -> Result<Vec<StickLayout>, BookError> {
    let mut query = db.prepare_cached(sql)?;
    let rows = query.query_map([of], read_lay)?;
    let mut lays = rows.collect::<Result<Vec<StickLayout>, _>>()?;
    let mut query = db.prepare_cached(
        "SELECT id, number, frame, copy, layer, side, sides, start, stop, joint, alike, state, turned
         FROM rail WHERE lay = ? ORDER BY number",
    )?;
    for lay in &mut lays {
        lay.rails = query.query_map([lay.id], read_rail)?.collect::<Result<_, _>>()?;
    }
    Ok(lays)
}

fn read_lay(row: &Row) -> Result<StickLayout, rusqlite::Error> {
    let length = |column| row.get::<_, Length>(column);
    Ok(StickLayout {
        id: row.get(0)?,
        stick_id: row.get(1)?,
        stick: row.get(2)?,
        moulding: row.get(3)?,
        lot: row.get(4)?,
        place: row.get(5)?,
        length: length(6)?,
        trim: length(7)?,
        remains: length(8)?,
        label: row.get(9)?,
        rails: Vec::new(),
    })
}

fn read_rail(row: &Row) -> Result<BenchRail, rusqlite::Error> {
    let length = |column| row.get::<_, Length>(column);
    let odd = || rusqlite::Error::InvalidQuery;
    let mitre = match row.get(6)? {
        BUTT => Mitre::BUTT,
        sides => Mitre::new(sides).ok_or_else(odd)?,
    };
    let side: usize = row.get(5)?;
    let (alike, state): (String, Option<String>) = (row.get(10)?, row.get(11)?);
    Ok(BenchRail {
        id: row.get(0)?,
        number: row.get(1)?,
        frame: row.get(2)?,
        copy: row.get(3)?,
        layer: row.get(4)?,
        side: *Side::all(mitre).get(side).ok_or_else(odd)?,
        mitre,
        from: length(7)?,
        to: length(8)?,
        joint: length(9)?,
        alike: Match::read(&alike).map_err(|_| odd())?,
        turned: row.get(12)?,
        state: RailState::named(state.as_deref()),
    })
}

/// Stands for the number of sides where a rail is cut square.
const BUTT: u8 = 0;

/// How a rail's mitre stands in the book: as the number of its frame's sides.
pub(super) fn sides_of(mitre: Mitre) -> u8 {
    if mitre == Mitre::BUTT { BUTT } else { mitre.sides() }
}

/// The place of a side in its frame's cutting order.
pub(super) fn place_of(side: Side, mitre: Mitre) -> usize {
    Side::all(mitre).iter().position(|other| *other == side).unwrap_or(0)
}
