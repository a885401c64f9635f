//! The book's version: newer ones are refused, older ones backed up and then changed.

use std::path::{Path, PathBuf};

use rusqlite::{Connection, Transaction, TransactionBehavior};

use super::BookError;

/// Marks a database as a book of Longpoint: "LPBK" as four bytes.
const MARK: i64 = 0x4C50_424B;

/// What leads from each version to the next; the first makes an empty book.
pub(super) const VERSIONS: &[&str] = &[include_str!("schema.sql")];

fn pragma(db: &Connection, name: &str) -> Result<i64, BookError> {
    Ok(db.pragma_query_value(None, name, |row| row.get(0))?)
}

fn latest(versions: &[&str]) -> i64 {
    i64::try_from(versions.len()).expect("a handful of versions")
}

/// Makes an empty book, in the transaction that fills it.
pub(super) fn create(tx: &Transaction) -> Result<(), BookError> {
    run(tx, 0, VERSIONS)?;
    tx.pragma_update(None, "application_id", MARK)?;
    Ok(())
}

/// Sees to it that the book is of the latest of these versions.
///
/// # Errors
/// If it is no book, or a newer one, or cannot be backed up or changed.
pub(super) fn check(
    db: &mut Connection,
    path: &Path,
    versions: &[&str],
) -> Result<Option<PathBuf>, BookError> {
    let mark = pragma(db, "application_id")?;
    if mark != MARK {
        return Err(BookError::NotABook(path.to_owned()));
    }
    let (found, known) = (pragma(db, "user_version")?, latest(versions));
    if found > known {
        return Err(BookError::Newer { path: path.to_owned(), found, known });
    }
    if found == known {
        return Ok(None);
    }
    let beside = path.with_extension(format!("version-{found}.book"));
    super::backup::copy(db, &beside)?;
    let tx = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Another process may have been first.
    let now = tx.pragma_query_value(None, "user_version", |row| row.get(0))?;
    run(&tx, now, versions)?;
    tx.commit()?;
    Ok(Some(beside))
}

fn run(tx: &Transaction, from: i64, versions: &[&str]) -> Result<(), BookError> {
    for sql in &versions[usize::try_from(from).unwrap_or(0)..] {
        tx.execute_batch(sql)?;
    }
    tx.pragma_update(None, "user_version", latest(versions))?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn empty(dir: &Path) -> (PathBuf, Connection) {
        let path = dir.join("shop.book");
        let mut db = Connection::open(&path).unwrap();
        let tx = db.transaction().unwrap();
        create(&tx).unwrap();
        tx.commit().unwrap();
        (path, db)
    }

    #[test]
    fn an_older_book_is_backed_up_and_then_changed() {
        let dir = tempfile::tempdir().unwrap();
        let (path, mut db) = empty(dir.path());
        let next = [VERSIONS[0], "ALTER TABLE job ADD COLUMN machine TEXT;"];
        let beside = check(&mut db, &path, &next).unwrap().expect("a backup");
        assert_eq!(pragma(&db, "user_version").unwrap(), 2);
        db.execute("INSERT INTO step VALUES (1, '', '', 'open', '', NULL)", []).unwrap();
        db.execute("INSERT INTO job VALUES (1, 1, '', NULL, 'saw')", []).unwrap();
        assert_eq!(check(&mut db, &path, &next).unwrap(), None, "nothing more to do");
        let old = Connection::open(beside).unwrap();
        assert_eq!(pragma(&old, "user_version").unwrap(), 1);
        assert!(old.execute("INSERT INTO job VALUES (1, 1, '', NULL, 'saw')", []).is_err());
    }

    #[test]
    fn a_change_of_version_that_fails_changes_nothing() {
        let dir = tempfile::tempdir().unwrap();
        let (path, mut db) = empty(dir.path());
        let broken = [VERSIONS[0], "CREATE TABLE more (x TEXT) STRICT; no such words;"];
        assert!(check(&mut db, &path, &broken).is_err());
        assert_eq!(pragma(&db, "user_version").unwrap(), 1);
        assert!(db.prepare("SELECT * FROM more").is_err());
    }

    #[test]
    fn a_newer_book_and_another_file_are_refused() {
        let dir = tempfile::tempdir().unwrap();
        let (path, mut db) = empty(dir.path());
        db.pragma_update(None, "user_version", 9).unwrap();
        let newer = check(&mut db, &path, VERSIONS).unwrap_err();
        assert!(matches!(newer, BookError::Newer { found: 9, known: 1, .. }), "{newer}");
        let other = dir.path().join("other.db");
        let mut db = Connection::open(&other).unwrap();
        db.execute_batch("CREATE TABLE mine (x)").unwrap();
        assert!(matches!(check(&mut db, &other, VERSIONS), Err(BookError::NotABook(_))));
    }
}
