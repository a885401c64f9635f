//! A book whose file says what no book says: named as damaged, or read.

use std::path::Path;

use jiff::civil::datetime;
use longpoint::book::{BillSums, Book, BookError, Invoice, RackQuery, Stamp};
use longpoint::measure::Money;
use longpoint::morning::plan_as_wished;
use longpoint::plan::Wishes;
use longpoint::shop::read_files;
use longpoint::solve::Limits;
use longpoint::verify::verify;
use rusqlite::Connection;
use rusqlite::types::Value;

use crate::files::in_few_words;
use crate::numbers::Numbers;
use crate::ring::ring;
use crate::shops;

const WORK: u64 = 2_000;

fn stamp() -> Stamp {
    let (at, none) = (datetime(2026, 11, 25, 9, 0, 0, 0), String::new());
    Stamp { at, by: "Ana".to_owned(), why: none.clone(), token: none }
}

#[test]
fn a_book_that_says_what_no_book_says_is_named_as_damaged() {
    let dir = tempfile::tempdir().unwrap();
    let whole = dir.path().join("whole.book");
    write_book(&whole);
    ring("LONGPOINT_BOOKS", 150, |seed| {
        let path = dir.path().join(format!("{seed}.book"));
        std::fs::copy(&whole, &path).map_err(|error| error.to_string())?;
        let numbers = &mut Numbers(seed ^ 0x626f_6f6b);
        let what = if numbers.one_in(5) { bytes(numbers, &path) } else { cells(numbers, &path) };
        let done = everything(&path).map_err(|fault| format!("{what}: {fault}"));
        for end in ["", "-wal", "-shm", "-journal"] {
            let _ = std::fs::remove_file(dir.path().join(format!("{seed}.book{end}")));
        }
        done
    });
}

/// A book with a plan at the bench, an order, and some of everything.
fn write_book(path: &Path) {
    // Any shop with a few frames and sticks will do.
    let (files, shop) = (0..)
        .filter_map(|seed| {
            let files = shops::shop(seed);
            let shop = read_files(&files).ok()?;
            let few = (2..8).contains(&shop.frames.len()) && shop.rack.len() > 3;
            (few && shop.offers.is_empty()).then_some((files, shop))
        })
        .find(|(_, shop)| !planned(shop).today.is_empty() && !planned(shop).waiting.is_empty())
        .unwrap();
    let mut book = Book::begin(path, (&shop, &files), &stamp()).unwrap();
    let snapshot = book.snapshot().unwrap();
    let plan = planned(&snapshot.shop);
    book.order(&snapshot, &plan, &stamp()).ok();
    let sums = BillSums { goods: Money(9000), carriage: Money(900), other: Money(0) };
    book.invoice(&Invoice { order: 1, sums, ..Invoice::default() }, &stamp()).ok();
    let snapshot = book.snapshot().unwrap();
    let taken = book.take(&snapshot, &planned(&snapshot.shop), &stamp()).unwrap();
    let stick = taken.plan.today[0].stick.clone();
    book.cut(&stick, Some(1), &stamp()).ok();
}

fn planned(shop: &longpoint::shop::Shop) -> longpoint::verify::Verified<longpoint::plan::Plan> {
    let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
    plan_as_wished(shop, jiff::civil::date(2026, 11, 25), &Wishes::default(), limits).unwrap()
}

/// One cell of the file made something else.
fn cells(numbers: &mut Numbers, path: &Path) -> String {
    let db = Connection::open(path).unwrap();
    db.pragma_update(None, "foreign_keys", false).unwrap();
    db.pragma_update(None, "ignore_check_constraints", true).unwrap();
    let list = |sql: &str| -> Vec<String> {
        let mut query = db.prepare(sql).unwrap();
        query.query_map([], |row| row.get(0)).unwrap().map(Result::unwrap).collect()
    };
    for trigger in list("SELECT name FROM sqlite_master WHERE type = 'trigger'") {
        db.execute_batch(&format!("DROP TRIGGER \"{trigger}\"")).unwrap();
    }
    let any = |numbers: &mut Numbers, of: &[String]| -> String {
        of[usize::try_from(numbers.within(0, of.len() as i64 - 1)).unwrap()].clone()
    };
    let table = any(
        numbers,
        &list(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%' ORDER BY name",
        ),
    );
    let column = any(numbers, &list(&format!("SELECT name FROM pragma_table_info('{table}')")));
    let value = numbers.one_of(&[0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
    let value = match value {
        0 => Value::Null,
        1 => Value::Integer(i64::MAX),
        2 => Value::Integer(i64::MIN),
        3 => Value::Integer(-1),
        4 => Value::Integer(numbers.within(0, 70_000)),
        5 => Value::Real(1e300),
        6 => Value::Blob(vec![0xff, 0, 0xfe]),
        7 => Value::Text("9".repeat(5_000)),
        8 => Value::Text(String::new()),
        _ => Value::Text("2026-99-99".to_owned()),
    };
    let rows: i64 =
        db.query_row(&format!("SELECT count(*) FROM \"{table}\""), [], |row| row.get(0)).unwrap();
    let row = numbers.within(0, rows.max(1) - 1);
    let sql = match numbers.within(0, 9) {
        0 => format!(
            "DELETE FROM \"{table}\" WHERE rowid IN (SELECT rowid FROM \"{table}\" LIMIT 1 OFFSET {row})"
        ),
        1 => format!("PRAGMA user_version = {}", numbers.one_of(&[-1, 0, 1, 3, i32::MAX])),
        _ => format!(
            "UPDATE \"{table}\" SET \"{column}\" = ?1 \
             WHERE rowid IN (SELECT rowid FROM \"{table}\" LIMIT 1 OFFSET {row})"
        ),
    };
    // Where the database itself refuses, the book stays whole.
    let done = match sql.contains("?1") {
        true => db.execute(&sql, [&value]).map(|_| ()),
        false => db.execute_batch(&sql),
    };
    let mut shown = format!("{sql} {value:?} {done:?}");
    shown.truncate(300);
    shown
}

/// Some bytes of the file made something else.
fn bytes(numbers: &mut Numbers, path: &Path) -> String {
    let mut file = std::fs::read(path).unwrap();
    let at = usize::try_from(numbers.within(0, file.len() as i64 - 1)).unwrap();
    match numbers.within(0, 2) {
        0 => file.truncate(at),
        1 => file[at] = file[at].wrapping_add(1),
        _ => {
            let end = (at + 64).min(file.len());
            file[at..end].fill(0xa5);
        }
    }
    std::fs::write(path, file).unwrap();
    format!("bytes at {at}")
}

/// Everything that can be asked of a book, and a few changes of it.
fn everything(path: &Path) -> Result<(), String> {
    let mut book = match Book::open(path) {
        Ok(book) => book,
        Err(error) => return refused(&error),
    };
    let sticks = match book.rack(&RackQuery::default()) {
        Ok(rack) => rack.into_iter().map(|on| on.stick.id).collect(),
        Err(error) => {
            refused(&error)?;
            Vec::new()
        }
    };
    let said = [
        book.audit().err(),
        book.bench().err(),
        book.shop().err(),
        book.open_lines().err(),
        book.reckoning(1, None).err(),
        book.figures().err(),
        book.export().err(),
        book.history("S-1").err(),
        sticks.first().and_then(|stick: &String| book.history(stick).err()),
        book.scrap(&sticks, &stamp()).err(),
        book.cut_all(None, &stamp()).err(),
        book.undo(None, &stamp()).err(),
        book.undo(None, &stamp()).err(),
    ];
    for error in said.into_iter().flatten() {
        refused(&error)?;
    }
    match book.snapshot() {
        Err(error) => refused(&error)?,
        Ok(snapshot) => {
            let plan = planned(&snapshot.shop);
            verify(&snapshot.shop, &plan).map_err(|faults| format!("is wrong: {faults:?}"))?;
            let taken = book.take(&snapshot, &plan, &stamp()).err();
            taken.map_or(Ok(()), |error| refused(&error))?;
        }
    }
    Ok(())
}

/// What is refused is for the user to mend, and said in few words.
fn refused(error: &BookError) -> Result<(), String> {
    in_few_words(&error.to_string())?;
    match error.is_wrong_input() {
        true => Ok(()),
        false => Err(format!("no fault of the file's: {error}")),
    }
}
