//! The proof that boards and glass add up: every area that came in is accounted for.

use std::collections::BTreeMap;

use rusqlite::Connection;

use super::error::BookError;
use crate::measure::Length;
use crate::sheets::area;

/// What the movements of all boards and glass come to, in square nanometres.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct SheetUse {
    /// What came in: opened with and received.
    pub came: i128,
    /// What a stock-take or a tape found too much, or, below zero, too little.
    pub counted: i128,
    /// What fell out of windows and was kept, beside the pieces, which count whole.
    pub fallen: i128,
    /// Pieces that were cut and are good.
    pub pieces: i128,
    /// Pieces that broke.
    pub spoiled: i128,
    /// What was cut away and not kept.
    pub waste: i128,
    /// What was written off.
    pub scrap: i128,
    /// What is there.
    pub there: i128,
}

impl SheetUse {
    /// Good pieces over all that was used up, in thousandths; nothing if none was.
    pub fn per_mille(&self) -> Option<i128> {
        let used = self.pieces + self.spoiled + self.waste + self.scrap;
        (used > 0).then(|| self.pieces * 1000 / used)
    }

    fn balances(&self) -> bool {
        let out = self.pieces + self.spoiled + self.waste + self.scrap;
        self.came + self.counted + self.fallen == out + self.there
    }
}

const CHECKS: &[(&str, &str)] = &[
    (
        "sheet {}: there are fewer than none of it, or a remnant is there twice",
        "SELECT s.name FROM sheet s JOIN sheet_movement m ON m.sheet = s.id
         GROUP BY s.id HAVING sum(m.count) < 0 OR (NOT s.whole AND sum(m.count) > 1)",
    ),
    (
        "sheet {}: what is there is not of its size",
        "SELECT DISTINCT s.name FROM sheet s JOIN sheet_movement m ON m.sheet = s.id
         WHERE (m.width, m.height) <> (s.width, s.height)
         GROUP BY s.id, m.width, m.height HAVING sum(m.count) <> 0",
    ),
    (
        "sheet {}: it is there, and its step is undone",
        "SELECT s.name FROM sheet s JOIN sheet_movement m ON m.sheet = s.id
         WHERE s.state IS NULL GROUP BY s.id HAVING sum(m.count) <> 0",
    ),
    (
        "sheet {}: what was cut of it is not what went",
        "SELECT s.name FROM sheet_cut c JOIN sheet s ON s.id = c.sheet
         LEFT JOIN sheet_movement m ON m.cut = c.id AND m.kind = 'cut' AND m.sheet = c.sheet
         GROUP BY c.id HAVING coalesce(sum(m.count), 0) <> CASE WHEN c.state = 'cut' THEN -1 ELSE 0 END",
    ),
    (
        "sheet {}: it came of a cut of another sheet than its own",
        "SELECT s.name FROM sheet_movement m JOIN sheet s ON s.id = m.sheet
         LEFT JOIN sheet_cut c ON c.id = m.cut
         WHERE m.kind = 'remnant' AND c.sheet IS NOT s.parent",
    ),
    (
        "line {}: more of its sheets came than were received of them",
        "SELECT min(l.id) FROM line l WHERE l.form = 'sheet' AND l.state IS NOT NULL
         GROUP BY l.moulding HAVING sum(l.came) > (SELECT coalesce(sum(m.count), 0)
           FROM sheet_movement m JOIN sheet s ON s.id = m.sheet
           WHERE s.material = l.moulding AND m.kind = 'received')",
    ),
    (
        "piece of {}: it is cut, and its sheet is not",
        "SELECT p.ticket FROM sheet_piece p JOIN sheet_cut c ON c.id = p.cut
         WHERE p.state IS NOT NULL AND c.state IS NULL",
    ),
    (
        "step {}: what it undid of boards and glass is not undone",
        "SELECT u.id FROM step u JOIN sheet_movement m ON m.step IN (u.id, u.undoes)
         WHERE u.undoes IS NOT NULL
         GROUP BY u.id, m.sheet, m.kind, m.width, m.height HAVING sum(m.count) <> 0",
    ),
];

/// Everything that does not add up, in words.
pub(super) fn faults(
    db: &Connection,
    uses: &BTreeMap<String, SheetUse>,
) -> Result<Vec<String>, BookError> {
    let mut faults = Vec::new();
    for (words, sql) in CHECKS {
        let mut query = db.prepare(sql)?;
        let mut rows = query.query([])?;
        while let Some(row) = rows.next()? {
            faults.push(words.replace("{}", &plain(row.get(0)?)));
        }
    }
    for (cut, waste) in wastes(db)? {
        if waste < 0 {
            faults.push(format!("cut {cut}: more came of a sheet than it had"));
        }
    }
    for (material, used) in uses {
        if !used.balances() {
            faults.push(format!("{material}: its areas do not add up"));
        }
    }
    Ok(faults)
}

/// What a fault is about, as text.
pub(super) fn plain(value: rusqlite::types::Value) -> String {
    match value {
        rusqlite::types::Value::Text(text) => text,
        rusqlite::types::Value::Integer(number) => number.to_string(),
        _ => String::new(),
    }
}

/// What each cut that stands took away beside pieces and remnants.
fn wastes(db: &Connection) -> Result<BTreeMap<i64, i128>, BookError> {
    let mut wastes: BTreeMap<i64, i128> = BTreeMap::new();
    let mut query = db.prepare(
        "SELECT cut, width, height, -count FROM sheet_movement
         WHERE cut IS NOT NULL AND kind <> 'counted'",
    )?;
    let mut rows = query.query([])?;
    while let Some(row) = rows.next()? {
        *wastes.entry(row.get(0)?).or_default() +=
            size(row, 1)? * i128::from(row.get::<_, i64>(3)?);
    }
    let mut query =
        db.prepare("SELECT cut, width, height FROM sheet_piece WHERE state IS NOT NULL")?;
    let mut rows = query.query([])?;
    while let Some(row) = rows.next()? {
        *wastes.entry(row.get(0)?).or_default() -= size(row, 1)?;
    }
    Ok(wastes)
}

fn size(row: &rusqlite::Row, at: usize) -> Result<i128, rusqlite::Error> {
    Ok(area(row.get::<_, Length>(at)?, row.get::<_, Length>(at + 1)?))
}

/// What became of each material.
pub(super) fn uses(db: &Connection) -> Result<BTreeMap<String, SheetUse>, BookError> {
    let mut uses: BTreeMap<String, SheetUse> = BTreeMap::new();
    let mut query = db.prepare(
        "SELECT s.material, CASE WHEN m.kind = 'counted' AND m.cut IS NOT NULL THEN 'fallen'
           ELSE m.kind END, m.width, m.height, m.count FROM sheet_movement m
         JOIN sheet s ON s.id = m.sheet",
    )?;
    let mut rows = query.query([])?;
    while let Some(row) = rows.next()? {
        let of = uses.entry(row.get(0)?).or_default();
        let moved = size(row, 2)? * i128::from(row.get::<_, i64>(4)?);
        match row.get::<_, String>(1)?.as_str() {
            "opened" | "received" => of.came += moved,
            "counted" => of.counted += moved,
            "fallen" => of.fallen += moved,
            "scrap" => of.scrap -= moved,
            // What is cut goes into pieces, remnants and waste.
            _ => of.waste -= moved,
        }
    }
    let mut query = db.prepare(
        "SELECT material, width, height, coalesce((SELECT sum(m.count) FROM sheet_movement m
           WHERE m.sheet = s.id), 0) FROM sheet s",
    )?;
    let mut rows = query.query([])?;
    while let Some(row) = rows.next()? {
        let there = size(row, 1)? * i128::from(row.get::<_, i64>(3)?);
        uses.entry(row.get(0)?).or_default().there += there;
    }
    let mut query = db.prepare(
        "SELECT s.material, p.state, p.width, p.height FROM sheet_piece p
         JOIN sheet_cut c ON c.id = p.cut JOIN sheet s ON s.id = c.sheet
         WHERE p.state IS NOT NULL",
    )?;
    let mut rows = query.query([])?;
    while let Some(row) = rows.next()? {
        let of = uses.entry(row.get(0)?).or_default();
        let piece = size(row, 2)?;
        of.waste -= piece;
        match row.get::<_, String>(1)?.as_str() {
            "spoiled" => of.spoiled += piece,
            _ => of.pieces += piece,
        }
    }
    Ok(uses)
}
