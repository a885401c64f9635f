//! A label or a place as somebody typed it, and as the book has it.

use rusqlite::Connection;

use super::error::BookError;

/// What is the same but for capitals and blanks.
pub(super) fn plain(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect()
}

/// The label that is meant: as it was typed if a stick has it, else the only one that
/// is the same but for capitals and blanks, and else for hyphens too. What is neither
/// stays as it was typed, for whoever looks for it to refuse.
pub(super) fn label(db: &Connection, typed: &str) -> Result<String, BookError> {
    if db.prepare_cached("SELECT 1 FROM stick WHERE name = ?")?.exists([typed])? {
        return Ok(typed.to_owned());
    }
    let all = "SELECT name FROM stick";
    let found = meant(db, typed, all, plain)?;
    if found != typed {
        return Ok(found);
    }
    meant(db, typed, all, |text| plain(text).replace('-', ""))
}

/// The label of a board or of glass that is meant, likewise.
pub(super) fn sheet_label(db: &Connection, typed: &str) -> Result<String, BookError> {
    meant(db, typed, "SELECT name FROM sheet", plain)
}

/// The place that is meant, likewise.
pub(super) fn place(db: &Connection, typed: &str) -> Result<String, BookError> {
    meant(db, typed, "SELECT place FROM stick UNION SELECT place FROM sheet", plain)
}

fn meant(
    db: &Connection,
    typed: &str,
    all: &str,
    plain: fn(&str) -> String,
) -> Result<String, BookError> {
    let mut query = db.prepare_cached(all)?;
    let rows = query.query_map([], |row| row.get::<_, String>(0))?;
    let asked = plain(typed);
    let mut alike: Vec<String> = Vec::new();
    for name in rows {
        let name = name?;
        if name == typed {
            return Ok(name);
        }
        if plain(&name) == asked {
            alike.push(name);
        }
    }
    Ok(match <[String; 1]>::try_from(alike) {
        Ok([only]) => only,
        Err(_) => typed.to_owned(),
    })
}
