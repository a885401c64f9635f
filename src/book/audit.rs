//! The proof that the book adds up: every nanometre that came in is accounted for.

use std::collections::BTreeMap;

use rusqlite::{Connection, params};

use super::error::BookError;
use super::field::Field;
use super::ledger::Book;
use super::sheet_audit::{self, SheetUse};
use crate::measure::Length;

/// What the movements of all sticks come to, and whatever does not add up.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Audit {
    /// How many sticks there ever were.
    pub sticks: u64,
    /// How many steps were checked.
    pub steps: u64,
    /// What came in: opened with, received, and corrected by count.
    pub came: Length,
    /// Rails that were cut well.
    pub rails: Length,
    /// Rails that were spoiled.
    pub spoiled: Length,
    /// What was lost between rails; rails cut head to tail give some back.
    pub joints: Length,
    /// What was cut away at marked ends.
    pub trims: Length,
    /// What was thrown away.
    pub scrap: Length,
    /// What is on the rack and at the bench.
    pub on_rack: Length,
    /// What became of boards and glass, by material.
    pub sheets: BTreeMap<String, SheetUse>,
    /// Everything that does not add up, in words.
    pub faults: Vec<String>,
}

impl Audit {
    /// Whether what came in is where it should be, to the nanometre.
    pub fn balances(&self) -> bool {
        let out = self.rails + self.spoiled + self.joints + self.trims + self.scrap;
        self.faults.is_empty() && self.came == out + self.on_rack
    }
}

const CHECKS: &[(&str, &str)] = &[
    (
        "stick {}: less than nothing is left of it",
        "SELECT s.name FROM stick s JOIN movement m ON m.stick = s.id
         GROUP BY s.id HAVING sum(m.nm) < 0",
    ),
    (
        "stick {}: what was taken off it for an offcut is not what the offcut got",
        "SELECT p.name FROM movement m JOIN stick p ON p.id = min(m.stick, m.other)
         WHERE m.kind = 'offcut'
         GROUP BY min(m.stick, m.other), max(m.stick, m.other), abs(m.nm) HAVING sum(m.nm) <> 0",
    ),
    (
        "stick {}: it got length from a stick that is not its parent",
        "SELECT c.name FROM movement m JOIN stick c ON c.id = m.stick
         WHERE m.kind = 'offcut' AND c.parent IS NOT m.other
         AND NOT EXISTS (SELECT 1 FROM stick k WHERE k.id = m.other AND k.parent = m.stick)",
    ),
    (
        "rail {}: what was taken off its stick is not its length",
        "SELECT r.id FROM rail r
         LEFT JOIN movement m ON m.rail = r.id AND m.kind IN ('rail', 'spoiled')
         GROUP BY r.id
         HAVING coalesce(sum(m.nm), 0) <>
           CASE WHEN r.state IN ('cut', 'spoiled') THEN r.start - r.stop ELSE 0 END
         OR coalesce(sum(CASE WHEN m.kind = 'spoiled' THEN m.nm END), 0) <>
           CASE WHEN r.state = 'spoiled' THEN r.start - r.stop ELSE 0 END",
    ),
    (
        "stick {}: what was cut off it is not what its plan says",
        "SELECT s.name FROM lay l JOIN stick s ON s.id = l.stick
         WHERE l.state IS NOT NULL AND EXISTS (SELECT 1 FROM rail r WHERE r.lay = l.id)
           AND -(SELECT coalesce(sum(m.nm), 0) FROM movement m
             JOIN rail r ON r.id = m.rail WHERE r.lay = l.id AND m.stick = l.stick) <>
           CASE WHEN EXISTS (SELECT 1 FROM rail r WHERE r.lay = l.id
               AND (r.state = 'to cut' OR (r.state = 'off' AND l.state = 'off')))
             THEN (SELECT coalesce(max(r.stop + r.joint), 0) FROM rail r
               WHERE r.lay = l.id AND r.state IN ('cut', 'spoiled'))
             ELSE l.length END",
    ),
    (
        "stick {}: it is at the bench, and no plan at the bench has it",
        "SELECT s.name FROM stick s JOIN job j ON j.id = s.job
         JOIN movement m ON m.stick = s.id
         WHERE j.state IS NOT 'bench' GROUP BY s.id HAVING sum(m.nm) > 0",
    ),
    (
        "line {}: more has come or was given up than was ordered, or it is open and all of it has come",
        "SELECT l.id FROM line l,
           (SELECT id, CASE form WHEN 'chop' THEN count ELSE pieces END AS whole FROM line) o
         WHERE o.id = l.id AND l.state IS NOT NULL
         AND (l.came + l.given_up * max(o.whole / max(l.count, 1), 1) > o.whole
           OR (l.state = 'open') <> (l.state <> 'dropped'
             AND l.came + l.given_up * max(o.whole / max(l.count, 1), 1) < o.whole))",
    ),
    (
        "line {}: what came of it is not what was received",
        "SELECT l.id FROM line l WHERE l.form NOT IN ('chop', 'sheet') AND l.state IS NOT NULL
         AND EXISTS (SELECT 1 FROM agreed a WHERE a.purchase = l.purchase)
         AND l.came <> (SELECT count(*) FROM stick s WHERE s.line = l.id
           AND (SELECT coalesce(sum(m.nm), 0) FROM movement m
             WHERE m.stick = s.id AND m.kind = 'received') > 0)",
    ),
    (
        "bill {}: what the mouldings have of it is not all of it",
        "SELECT b.id FROM bill b WHERE b.goods + b.carriage + b.other <>
           (SELECT coalesce(sum(d.share), 0) FROM billed d WHERE d.bill = b.id)",
    ),
    (
        "bill {}: it has a line of another order or supplier",
        "SELECT b.id FROM bill b JOIN billed d ON d.bill = b.id LEFT JOIN line l ON l.id = d.line
         WHERE b.purchase IS NOT l.purchase OR (l.id IS NOT NULL AND b.supplier <> l.supplier)",
    ),
    (
        "step {}: what it undid is not undone to the nanometre",
        "SELECT u.id FROM step u JOIN movement m ON m.step IN (u.id, u.undoes)
         WHERE u.undoes IS NOT NULL GROUP BY u.id, m.stick, m.kind, m.rail HAVING sum(m.nm) <> 0",
    ),
];

impl Book {
    /// Adds up the whole book.
    ///
    /// # Errors
    /// If the book cannot be read; what does not add up is no error but a fault
    /// of the answer.
    pub fn audit(&self) -> Result<Audit, BookError> {
        self.look(|db| {
            sound(db)?;
            let mut audit = sums(db)?;
            for (words, sql) in CHECKS {
                let mut query = db.prepare(sql)?;
                let rows = query.query_map([], |row| row.get::<_, rusqlite::types::Value>(0))?;
                for of in rows {
                    audit.faults.push(words.replace("{}", &sheet_audit::plain(of?)));
                }
            }
            for field in Field::ALL {
                let (table, column) = field.column();
                let sql = format!(
                    "SELECT t.id FROM {table} t JOIN note n ON n.id = (SELECT max(id) FROM note
                     WHERE field = '{name}' AND row = t.id) WHERE n.is_now IS NOT t.{column}",
                    name = field.name()
                );
                for row in db.prepare(&sql)?.query_map([], |row| row.get::<_, i64>(0))? {
                    let (row, name) = (row?, field.name());
                    audit.faults.push(format!("{name} {row}: is not what was last noted of it"));
                }
            }
            audit.sheets = sheet_audit::uses(db)?;
            audit.faults.extend(sheet_audit::faults(db, &audit.sheets)?);
            let out = audit.rails + audit.spoiled + audit.joints + audit.trims + audit.scrap;
            if audit.came != out + audit.on_rack {
                let off = audit.came - out - audit.on_rack;
                audit.faults.push(format!("{} nm came in and are nowhere", off.nm()));
            }
            Ok(audit)
        })
    }
}

fn sums(db: &Connection) -> Result<Audit, BookError> {
    let mut audit = Audit::default();
    let count = |table| db.query_row(&format!("SELECT count(*) FROM {table}"), [], |r| r.get(0));
    (audit.sticks, audit.steps) = (count("stick")?, count("step")?);
    let sum = |kinds: &str| -> Result<Length, BookError> {
        let sql = format!("SELECT coalesce(sum(nm), 0) FROM movement WHERE kind IN ({kinds})");
        Ok(db.query_row(&sql, [], |row| row.get(0))?)
    };
    audit.came = sum("'opened', 'received', 'counted'")?;
    audit.rails = -sum("'rail'")?;
    audit.spoiled = -sum("'spoiled'")?;
    audit.joints = -sum("'joint'")?;
    audit.trims = -sum("'trim'")?;
    audit.scrap = -sum("'scrap'")?;
    let left = "SELECT coalesce(sum(length), 0) FROM
        (SELECT sum(nm) AS length FROM movement GROUP BY stick HAVING length > 0)";
    audit.on_rack = db.query_row(left, params![], |row| row.get(0))?;
    Ok(audit)
}

/// Has the database check itself: pages, indexes, references.
pub(super) fn sound(db: &Connection) -> Result<(), BookError> {
    let said: String = db.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
    if said != "ok" {
        return Err(BookError::Damaged(said));
    }
    if db.prepare("PRAGMA foreign_key_check")?.exists([])? {
        return Err(BookError::Damaged("something refers to nothing".to_owned()));
    }
    Ok(())
}
