//! The book's version: newer ones are refused, older ones backed up and then changed.

use std::path::{Path, PathBuf};

use rusqlite::{Connection, OpenFlags, Transaction, TransactionBehavior};

use super::error::BookError;

/// Marks a database as a book of Longpoint: "LPBK" as four bytes.
const MARK: i64 = 0x4C50_424B;

/// What leads from each version to the next; the first makes an empty book.
pub(super) const VERSIONS: &[&str] = &[
    include_str!("schema.sql"),
    include_str!("schema-2.sql"),
    include_str!("schema-3.sql"),
    include_str!("schema-4.sql"),
    include_str!("schema-5.sql"),
    include_str!("schema-6.sql"),
    include_str!("schema-7.sql"),
    include_str!("schema-8.sql"),
];

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
    let tx = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Another process may have been first.
    let now = pragma(&tx, "user_version")?;
    if now == known {
        return Ok(None);
    }
    // Who writes cannot copy, but whoever looks sees the book as it was.
    let beside = beside(path, now);
    let look = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    super::backup::copy(&look, &beside, super::backup::Journal::Delete)?;
    drop(look);
    run(&tx, now, versions)?;
    tx.commit()?;
    Ok(Some(beside))
}

/// A name for the backup that no file has yet.
fn beside(path: &Path, version: i64) -> PathBuf {
    let first = path.with_extension(format!("version-{version}.book"));
    let others = (2..).map(|n: u32| path.with_extension(format!("version-{version}-{n}.book")));
    std::iter::once(first).chain(others).find(|name| !name.exists()).expect("numbers do not end")
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
        let next = [VERSIONS, &["ALTER TABLE job ADD COLUMN machine TEXT;"]].concat();
        let beside = check(&mut db, &path, &next).unwrap().expect("a backup");
        assert_eq!(pragma(&db, "user_version").unwrap(), latest(VERSIONS) + 1);
        db.execute("INSERT INTO step VALUES (1, '', '', 'open', '', NULL, NULL)", []).unwrap();
        db.execute("INSERT INTO job VALUES (1, 1, '', NULL, 'saw')", []).unwrap();
        assert_eq!(check(&mut db, &path, &next).unwrap(), None, "nothing more to do");
        let old = Connection::open(beside).unwrap();
        assert_eq!(pragma(&old, "user_version").unwrap(), latest(VERSIONS));
        assert!(old.execute("INSERT INTO job VALUES (1, 1, '', NULL, 'saw')", []).is_err());
    }

    fn version_1(dir: &Path) -> (PathBuf, Connection) {
        let path = dir.join("shop.book");
        let db = Connection::open(&path).unwrap();
        db.execute_batch(VERSIONS[0]).unwrap();
        db.pragma_update(None, "user_version", 1).unwrap();
        db.pragma_update(None, "application_id", MARK).unwrap();
        (path, db)
    }

    #[test]
    fn of_many_at_once_one_leads_the_book_on() {
        let dir = tempfile::tempdir().unwrap();
        let (path, _) = version_1(dir.path());
        let done: Vec<Option<PathBuf>> = std::thread::scope(|scope| {
            let check = || {
                let mut db = Connection::open(&path).unwrap();
                check(&mut db, &path, VERSIONS).unwrap()
            };
            let all: Vec<_> = (0..6).map(|_| scope.spawn(check)).collect();
            all.into_iter().map(|one| one.join().unwrap()).collect()
        });
        assert_eq!(done.iter().flatten().count(), 1, "{done:?}");
    }

    #[test]
    fn a_backup_is_not_overwritten_by_a_later_one() {
        let dir = tempfile::tempdir().unwrap();
        let (path, mut db) = version_1(dir.path());
        std::fs::write(dir.path().join("shop.version-1.book"), "an earlier one").unwrap();
        let beside = check(&mut db, &path, VERSIONS).unwrap().expect("a backup");
        assert!(beside.ends_with("shop.version-1-2.book"), "{}", beside.display());
        let earlier = std::fs::read(dir.path().join("shop.version-1.book")).unwrap();
        assert_eq!(earlier, b"an earlier one");
    }

    /// Lines as version 1 wrote them: sticks, halves, a box, a chop.
    #[test]
    fn a_book_of_version_1_is_led_on() {
        let dir = tempfile::tempdir().unwrap();
        let (path, mut db) = version_1(dir.path());
        db.execute_batch(
            "INSERT INTO step VALUES (1, '', '', 'order', '', NULL);
             INSERT INTO purchase VALUES (1, 1, '');
             INSERT INTO line (purchase, supplier, moulding, form, length, count, pieces, needed)
               VALUES (1, '', '', 'length', 100000000, 3, 3, 0),
                      (1, '', '', 'length', 100000000, 3, 6, 0),
                      (1, '', '', 'box', 90000000, 1, 12, 0),
                      (1, '', '', 'chop', 70000000, 2, 0, 0);",
        )
        .unwrap();
        let beside = check(&mut db, &path, VERSIONS).unwrap().expect("a backup");
        assert!(beside.ends_with("shop.version-1.book"), "{}", beside.display());
        let mut query = db.prepare("SELECT piece FROM line ORDER BY id").unwrap();
        let rows = query.query_map([], |row| row.get::<_, i64>(0)).unwrap();
        let pieces: Vec<i64> = rows.map(Result::unwrap).collect();
        // Half of 100 mm, less 3 mm for the supplier's saw.
        assert_eq!(pieces, [100_000_000, 47_000_000, 90_000_000, 70_000_000]);
    }

    /// Lines as version 5 left them stand as they did.
    #[test]
    fn orders_of_version_5_are_led_on() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("shop.book");
        let mut db = Connection::open(&path).unwrap();
        for sql in &VERSIONS[..5] {
            db.execute_batch(sql).unwrap();
        }
        db.pragma_update(None, "user_version", 5).unwrap();
        db.pragma_update(None, "application_id", MARK).unwrap();
        db.execute_batch(
            "INSERT INTO step VALUES (1, '', '', 'order', '', NULL, NULL);
             INSERT INTO purchase VALUES (1, 1, '2026-03-09');
             INSERT INTO line (purchase, supplier, moulding, form, length, count, pieces, needed,
                 came, state)
               VALUES (1, 'S', 'M', 'length', 100000000, 3, 3, 0, 0, 'open'),
                      (1, 'S', 'M', 'length', 100000000, 3, 3, 0, 2, 'open'),
                      (1, 'S', 'M', 'length', 100000000, 3, 3, 0, 3, 'in'),
                      (1, 'S', 'M', 'length', 100000000, 3, 3, 0, 1, 'dropped'),
                      (1, 'S', 'M', 'length', 100000000, 3, 3, 0, 0, NULL);",
        )
        .unwrap();
        check(&mut db, &path, VERSIONS).unwrap().expect("a backup");
        let lines = super::super::on_order::lines(&db, "l.purchase = ?", 1).unwrap();
        let stand: Vec<_> = lines.iter().map(|line| (line.state.word(), line.to_come())).collect();
        assert_eq!(stand, [("sent", 3), ("part received", 1), ("done", 0), ("given up", 0)]);
    }

    /// What shop.toml says of a supplier's list goes by another name, also in what an undo
    /// puts back.
    #[test]
    fn a_book_of_version_7_has_its_lists_under_their_new_name() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("shop.book");
        let mut db = Connection::open(&path).unwrap();
        for sql in &VERSIONS[..7] {
            db.execute_batch(sql).unwrap();
        }
        db.pragma_update(None, "user_version", 7).unwrap();
        db.pragma_update(None, "application_id", MARK).unwrap();
        let old = "# [list.X]\n[list.\"BRIN\"]\nfile = \"[list.csv\"\n";
        db.execute("INSERT INTO paper (name, text) VALUES ('shop.toml', ?)", [old]).unwrap();
        db.execute_batch(
            "INSERT INTO step VALUES (1, '', '', 'open', '', NULL, NULL);
             INSERT INTO note (step, field, row, was, is_now) VALUES
               (1, 'paper.text', 1, NULL, '[list.A]'), (1, 'stick.lot', 1, '[list.A]', '');",
        )
        .unwrap();
        check(&mut db, &path, VERSIONS).unwrap().expect("a backup");
        let one = |sql: &str| -> String { db.query_row(sql, [], |row| row.get(0)).unwrap() };
        assert_eq!(one("SELECT text FROM paper"), old.replace("\n[list.", "\n[import."));
        assert_eq!(one("SELECT is_now FROM note WHERE field = 'paper.text'"), "[import.A]");
        assert_eq!(one("SELECT was FROM note WHERE field = 'stick.lot'"), "[list.A]");
        assert!(db.execute("UPDATE note SET was = ''", []).is_err(), "notes stay as they are");
    }

    #[test]
    fn a_book_of_before_the_page_has_no_devices_and_nothing_joined() {
        let dir = tempfile::tempdir().unwrap();
        let (path, mut db) = version_1(dir.path());
        for (version, sql) in VERSIONS.iter().enumerate().take(6).skip(1) {
            db.execute_batch(sql).unwrap();
            db.pragma_update(None, "user_version", version + 1).unwrap();
        }
        db.execute("INSERT INTO copy (frame, number, state) VALUES ('4101', 1, 'chopped')", [])
            .unwrap();
        assert!(check(&mut db, &path, VERSIONS).unwrap().is_some(), "a backup");
        let made: Option<String> = db
            .query_row("SELECT made FROM copy WHERE state = 'chopped'", [], |row| row.get(0))
            .unwrap();
        let devices: i64 =
            db.query_row("SELECT count(*) FROM device", [], |row| row.get(0)).unwrap();
        assert_eq!((made, devices), (None, 0));
        db.execute_batch(
            "INSERT INTO device (name, role, hash, since) VALUES ('a', 'bench', 'x', '');
             INSERT INTO minded VALUES (1, 'saw', '2026-03-09');
             PRAGMA foreign_keys = 1;
             DELETE FROM device WHERE id = 1;",
        )
        .unwrap();
        let minded: i64 =
            db.query_row("SELECT count(*) FROM minded", [], |row| row.get(0)).unwrap();
        assert_eq!(minded, 0, "what a device read goes with it");
    }

    #[test]
    fn a_change_of_version_that_fails_changes_nothing() {
        let dir = tempfile::tempdir().unwrap();
        let (path, mut db) = empty(dir.path());
        let broken = [VERSIONS, &["CREATE TABLE more (x TEXT) STRICT; no such words;"]].concat();
        assert!(check(&mut db, &path, &broken).is_err());
        assert_eq!(pragma(&db, "user_version").unwrap(), latest(VERSIONS));
        assert!(db.prepare("SELECT * FROM more").is_err());
    }

    #[test]
    fn a_newer_book_and_another_file_are_refused() {
        let dir = tempfile::tempdir().unwrap();
        let (path, mut db) = empty(dir.path());
        db.pragma_update(None, "user_version", 9).unwrap();
        let newer = check(&mut db, &path, VERSIONS).unwrap_err();
        let known = latest(VERSIONS);
        assert!(
            matches!(newer, BookError::Newer { found: 9, known: now, .. } if now == known),
            "{newer}"
        );
        let other = dir.path().join("other.db");
        let mut db = Connection::open(&other).unwrap();
        db.execute_batch("CREATE TABLE mine (x)").unwrap();
        assert!(matches!(check(&mut db, &other, VERSIONS), Err(BookError::NotABook(_))));
    }
}
