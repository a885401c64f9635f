//! What becomes of a frame copy after the cutting: its rails are joined, the package is
//! fitted into them.

use jiff::Span;
use jiff::civil::{Date, DateTime};
use rusqlite::{Connection, OptionalExtension, params};

use super::error::{BookError, wrong};
use super::field::Field;
use super::journal::STANDS;
use super::lays::{self, BenchRail, StickLayout};
use super::ledger::Book;
use super::source_files;
use super::stamp::Stamp;
use super::ticket::CopyStand;
use crate::rails::Side;
use crate::report::either::either;
use crate::shop::Shop;

/// How far a copy is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Assembly {
    /// Its rails are joined.
    Joined,
    /// The package is in it.
    Fitted,
}

impl Assembly {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Assembly::Joined => "joined",
            Assembly::Fitted => "fitted",
        }
    }

    fn named(word: Option<&str>) -> Option<Assembly> {
        [Assembly::Joined, Assembly::Fitted].into_iter().find(|made| Some(made.word()) == word)
    }
}

/// A frame copy between the chopper and the customer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CopyInWork {
    /// The ticket.
    pub frame: String,
    /// Which copy.
    pub copy: u32,
    /// How far it is made.
    pub made: Option<Assembly>,
    /// Its good rails, each with the stick that it was cut from.
    pub rails: Vec<(StickLayout, BenchRail)>,
    /// How many rails it has that are cut here.
    pub all: usize,
}

impl CopyInWork {
    /// Whether all its rails are there.
    pub fn is_complete(&self) -> bool {
        self.rails.len() >= self.all
    }
}

/// For so many days after it was cut a copy is asked for that nobody said was fitted.
const DAYS: i64 = 21;

impl Book {
    /// The frame copies that are at the bench, cut in part, or cut lately and not fitted
    /// yet.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn in_work(&self, today: Date) -> Result<Vec<CopyInWork>, BookError> {
        let since = today.saturating_sub(Span::new().days(DAYS)).to_string();
        self.look(|db| {
            let shop = source_files::typed(db)?;
            let mut query = db.prepare_cached(
                "SELECT c.frame, c.number FROM copy c LEFT JOIN job j ON j.id = c.job
                 WHERE c.state IN ('bench', 'owed')
                 OR c.state = 'chopped' AND c.made IS NOT 'fitted' AND j.date >= ?
                 ORDER BY c.id",
            )?;
            let rows = query.query_map([since], |row| Ok((row.get(0)?, row.get(1)?)))?;
            let copies = rows.collect::<Result<Vec<(String, u32)>, _>>()?;
            let each = copies.into_iter().map(|(frame, copy)| one(db, &shop, &frame, copy));
            Ok(each.collect::<Result<Vec<_>, _>>()?.into_iter().flatten().collect())
        })
    }

    /// The shop whose frames have left what is still to be made of them: on the pile, at
    /// the bench, or cut and neither fitted nor past its day.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn unfinished(&self, today: Date) -> Result<Shop, BookError> {
        let mut shop = self.shop()?;
        for frame in &mut shop.frames {
            let is_past = frame.due.is_some_and(|due| due < today);
            let is_over = |of: &CopyStand| match of.state.as_str() {
                _ if of.made == Assembly::Fitted.word() => true,
                "chopped" | "bought" => is_past,
                state => state == "cancelled",
            };
            let over = self.copies_of(frame)?.into_iter().filter(is_over);
            frame.progress.gone = over.map(|of| of.copy).collect();
        }
        Ok(shop)
    }

    /// When it was written down that a frame copy is joined, unless a rail of it was made
    /// anew since, or nobody wrote that down.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn joined_at(&self, frame: &str, copy: u32) -> Result<Option<DateTime>, BookError> {
        self.look(|db| {
            let sql = format!(
                "SELECT CASE n.is_now WHEN 'joined' THEN s.at END
                 FROM note n JOIN step s ON s.id = n.step JOIN copy c ON c.id = n.row
                 WHERE n.field = ?1 AND n.is_now IS NOT 'fitted' AND c.frame = ?2
                 AND c.number = ?3 AND {STANDS} ORDER BY s.id DESC LIMIT 1"
            );
            let at: Option<Option<String>> = db
                .prepare_cached(&sql)?
                .query_row(params![Field::CopyMade.name(), frame, copy], |row| row.get(0))
                .optional()?;
            Ok(at.flatten().and_then(|at| at.parse().ok()))
        })
    }

    /// Writes down that a frame copy was joined, or fitted, which says that it was joined.
    ///
    /// # Errors
    /// If its rails are not all cut, or that was written down already.
    pub fn make(
        &mut self,
        frame: &str,
        copy: Option<u32>,
        made: Assembly,
        stamp: &Stamp,
    ) -> Result<(String, u32), BookError> {
        self.change(made.word(), stamp, |step| {
            let shop = source_files::typed(step.db())?;
            let copy = which(step.db(), (frame, copy), made)?;
            let Some(of) = one(step.db(), &shop, frame, copy)? else {
                let list = either("longpoint bench lists those", "look under Joiner");
                return wrong(format!("there is no ticket {frame} ({list})"));
            };
            if of.made >= Some(made) {
                let word = of.made.map_or("", Assembly::word);
                return wrong(format!("copy {copy} of {frame} is {word} already"));
            }
            if !of.is_complete() {
                return wrong(format!(
                    "{} of {} rails of copy {copy} of {frame} are cut (tick off the others first)",
                    of.rails.len(),
                    of.all
                ));
            }
            let row = step.copy(frame, copy)?;
            step.set(Field::CopyMade, row, made.word().to_owned())?;
            Ok((frame.to_owned(), copy))
        })
    }
}

/// The copy that is meant: the one that is named, or the only one that can be.
fn which(
    db: &Connection,
    (frame, copy): (&str, Option<u32>),
    made: Assembly,
) -> Result<u32, BookError> {
    if let Some(copy) = copy {
        return Ok(copy);
    }
    let mut query = db.prepare_cached(
        "SELECT number FROM copy WHERE frame = ?1 AND state IN ('bench', 'chopped', 'bought')
         AND (made IS NULL OR made = 'joined' AND ?2 = 'fitted') ORDER BY number",
    )?;
    let rows = query.query_map(params![frame, made.word()], |row| row.get(0))?;
    let copies = rows.collect::<Result<Vec<u32>, _>>()?;
    match copies.as_slice() {
        [only] => Ok(*only),
        [] => wrong(format!("no copy of {frame} is cut and waits to be {}", made.word())),
        some => {
            let some: Vec<String> = some.iter().map(u32::to_string).collect();
            let which = either("say which with --copy", "say which");
            wrong(format!("copies {} of {frame} wait ({which})", some.join(", ")))
        }
    }
}

/// A frame copy as it stands; nothing if its ticket is gone.
fn one(
    db: &Connection,
    shop: &Shop,
    frame: &str,
    copy: u32,
) -> Result<Option<CopyInWork>, BookError> {
    let Some(ticket) = shop.frame(frame).filter(|ticket| copy <= ticket.copies) else {
        return Ok(None);
    };
    let mut query =
        db.prepare_cached("SELECT id, made FROM copy WHERE frame = ? AND number = ?")?;
    let mut rows = query.query(params![frame, copy])?;
    let Some(row) = rows.next()? else { return Ok(None) };
    let (id, made): (i64, Option<String>) = (row.get(0)?, row.get(1)?);
    let lays = lays::of_copy(db, id)?;
    let each = |lay: &StickLayout| {
        let stick = StickLayout { rails: Vec::new(), ..lay.clone() };
        let rails = lay.rails.iter().map(|rail| (stick.clone(), rail.clone()));
        rails.collect::<Vec<(StickLayout, BenchRail)>>()
    };
    Ok(Some(CopyInWork {
        frame: frame.to_owned(),
        copy,
        made: Assembly::named(made.as_deref()),
        rails: lays.iter().flat_map(each).collect(),
        all: ticket.to_cut(copy).len() * Side::all(ticket.mitre).len(),
    }))
}
