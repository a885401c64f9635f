//! A damaged book is named as such, with what to do; a backup takes its place.

use std::io::{Seek, SeekFrom, Write};

use super::shop::{Shop, said};

#[test]
fn a_damaged_book_is_named_and_a_backup_takes_its_place() {
    let shop = Shop::new(3, 300);
    assert!(shop.run(&["backup", "shop.book", "safe.book"]).status.success());
    let refused = shop.run(&["backup", "shop.book", "safe.book"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(said(&refused).contains("is there already, and nothing is overwritten"));
    let length = std::fs::metadata(shop.path()).unwrap().len();
    let mut file = std::fs::OpenOptions::new().write(true).open(shop.path()).unwrap();
    for page in 2..length / 4096 {
        file.seek(SeekFrom::Start(page * 4096)).unwrap();
        file.write_all(&[0xA5; 2048]).unwrap();
    }
    drop(file);
    for args in [&["audit", "shop.book"][..], &["rack", "shop.book"], &["plan", "shop.book"]] {
        let output = shop.run(args);
        assert_eq!(output.status.code(), Some(2), "{args:?} {}", said(&output));
        assert!(said(&output).contains("the book is damaged"), "{args:?} {}", said(&output));
        assert!(said(&output).contains("take your last backup"), "{args:?} {}", said(&output));
    }
    let refused = shop.run(&["backup", "shop.book", "bad.book"]);
    assert_eq!(refused.status.code(), Some(2), "{}", said(&refused));
    assert!(!shop.dir.path().join("bad.book").exists(), "a damaged copy is no backup");
    std::fs::remove_file(shop.path()).unwrap();
    std::fs::rename(shop.dir.path().join("safe.book"), shop.path()).unwrap();
    assert_eq!(shop.state(), (300, 1));
}

#[test]
fn what_is_no_book_is_refused_by_name() {
    let shop = Shop::new(1, 1);
    std::fs::write(shop.dir.path().join("notes.txt"), "call the supplier ".repeat(500)).unwrap();
    std::fs::write(shop.dir.path().join("empty.book"), "").unwrap();
    for name in ["notes.txt", "empty.book"] {
        let output = shop.run(&["rack", name]);
        assert_eq!(output.status.code(), Some(2), "{}", said(&output));
        assert!(said(&output).contains("is not a book of Longpoint"), "{}", said(&output));
    }
    let output = shop.run(&["rack", "none.book"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(said(&output).contains("there is no such book"), "{}", said(&output));
}

/// A book of version 1 is kept as it was and led on, once; what it holds stays.
#[test]
fn an_older_book_is_kept_beside_the_one_that_is_led_on() {
    let shop = Shop::new(2, 3);
    let before = shop.state();
    let db = rusqlite::Connection::open(shop.path()).unwrap();
    db.execute_batch(
        "ALTER TABLE copy DROP COLUMN made; DROP TABLE minded; DROP TABLE device; DROP TABLE ticket;
         DROP TABLE sheet_printed; DROP TABLE sheet_piece; DROP TABLE sheet_movement;
         DROP TABLE sheet_cut; DROP TABLE sheet; DROP TABLE billed; DROP TABLE bill; DROP TABLE agreed; DROP INDEX stick_line;
         ALTER TABLE stick DROP COLUMN line; ALTER TABLE line DROP COLUMN answer;
         ALTER TABLE line DROP COLUMN reference; ALTER TABLE line DROP COLUMN given_up;
         ALTER TABLE line DROP COLUMN price; ALTER TABLE line DROP COLUMN per;
         ALTER TABLE line DROP COLUMN whole; ALTER TABLE line DROP COLUMN fee;
         ALTER TABLE line DROP COLUMN piece; DROP INDEX step_token; DROP INDEX rail_of; ALTER TABLE rail DROP COLUMN turned;
         ALTER TABLE step DROP COLUMN token; DROP TABLE printed; DROP TABLE without;
         DROP TABLE promise;
         DROP TABLE page; ALTER TABLE chop DROP COLUMN state; PRAGMA user_version = 1;",
    )
    .unwrap();
    drop(db);
    let first = shop.run(&["rack", "shop.book"]);
    assert!(first.status.success(), "{}", said(&first));
    assert!(said(&first).contains("kept in shop.version-1.book"), "{}", said(&first));
    let again = shop.run(&["rack", "shop.book"]);
    assert_eq!(String::from_utf8_lossy(&again.stderr), "");
    assert_eq!(shop.state(), before);
    assert!(shop.run(&["order", "shop.book", "--open"]).status.success());
    let old = rusqlite::Connection::open(shop.dir.path().join("shop.version-1.book")).unwrap();
    let version: i64 = old.pragma_query_value(None, "user_version", |row| row.get(0)).unwrap();
    assert_eq!(version, 1);
    let sticks: i64 = old.query_row("SELECT count(*) FROM stick", [], |row| row.get(0)).unwrap();
    assert_eq!(sticks, 3);
}

/// A file in which a beginning was broken off is filled; one that is something
/// else is left as it is.
#[test]
fn a_beginning_that_was_broken_off_is_begun_anew() {
    let shop = Shop::new(1, 1);
    let at = |name: &str| shop.dir.path().join(name);
    let unborn = rusqlite::Connection::open(at("unborn.book")).unwrap();
    unborn.execute_batch("PRAGMA journal_mode = WAL; CREATE TABLE x (y); DROP TABLE x;").unwrap();
    drop(unborn);
    let begun = shop.run(&["open", "unborn.book", "--from", "folder"]);
    assert!(begun.status.success(), "{}", said(&begun));
    assert!(shop.run(&["audit", "unborn.book"]).status.success());
    let other = rusqlite::Connection::open(at("other.db")).unwrap();
    other.execute_batch("CREATE TABLE mine (x); INSERT INTO mine VALUES (7)").unwrap();
    drop(other);
    let before = std::fs::read(at("other.db")).unwrap();
    let refused = shop.run(&["open", "other.db", "--from", "folder"]);
    assert_eq!(refused.status.code(), Some(2), "{}", said(&refused));
    assert_eq!(std::fs::read(at("other.db")).unwrap(), before);
}
