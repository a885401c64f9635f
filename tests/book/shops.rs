//! Small invented shops, and books begun from them.

use std::collections::BTreeMap;
use std::path::Path;

use jiff::civil::{Date, date};
use longpoint::book::{Book, BookError, Stamp};
use longpoint::measure::{Length, Unit, parse_length};
use longpoint::morning::plan_as_wished;
use longpoint::plan::Wishes;
use longpoint::shop::{Shop, read_files};
use longpoint::solve::Limits;

pub type Files = BTreeMap<String, Vec<u8>>;

pub const TODAY: Date = date(2026, 3, 9);

pub const SETTINGS: &str = r#"
name = "Teasel Lane Framing"
unit = "in"
allowance = "1/8"
currency = "USD"
default_cutter = "saw"
[offcuts]
keep = "8"
worth = "0.5"
[cutter.saw]
kerf = "1/8"
passes = 1
nick = "0"
first_trim = "1"
last_trim = "1"
grip = "0"
shortest = "5"
stop = "long"
"#;

/// A small pile: of any stick, of one lot, of one stick, several copies, a stack.
const FRAMES: &str = "frame,layer,moulding,width,height,copies,due,match
1,,ASH,8,10,1,2026-03-09,any
2,,ASH,11,14,1,2026-03-10,lot
3,,ASH,8,8,3,2026-03-11,any
4,,OAK,12,16,1,2026-03-10,stick
5,,OAK,10,10,1,2026-03-12,wrap
6,1,ASH,6,8,1,2026-03-12,any
6,2,OAK,,,,,halves
7,,OAK,16,20,2,,lot
";

const RACK: &str = "stick,moulding,length,lot,place,flaws,since
S-1,ASH,108,A,bay 1,,2026-02-01
S-2,ASH,96,A,bay 1,30 .. 31,2026-02-01
S-3,ASH,52 5/16,B,bay 2,,2025-11-20
S-4,OAK,120,Q,bay 2,,2026-02-01
S-5,OAK,96,,bay 2,,2026-02-01
S-6,OAK,61.237 in,Q,bay 3,,
";

pub fn files() -> Files {
    let mouldings =
        "moulding,width,rabbet,stick,price,per\nASH,1,1/4,108,2.10,ft\nOAK,1 1/2,1/4,120,4.20,ft\n";
    let all = [
        ("shop.toml", SETTINGS),
        ("mouldings.csv", mouldings),
        ("frames.csv", FRAMES),
        ("rack.csv", RACK),
    ];
    all.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec())).into()
}

pub fn read(files: &Files) -> Shop {
    read_files(files).unwrap_or_else(|faults| panic!("{faults}"))
}

pub fn stamp() -> Stamp {
    let (by, none) = ("Ana".to_owned(), String::new());
    Stamp { at: TODAY.at(8, 0, 0, 0), by, why: none.clone(), token: none }
}

pub fn begin(dir: &Path, files: &Files) -> Book {
    Book::begin(&dir.join("shop.book"), (&read(files), files), &stamp()).unwrap()
}

pub fn limits() -> Limits<'static> {
    Limits { work: 20_000, deadline: None, stop: None, watch: None }
}

/// The audit, which must balance.
pub fn balanced(book: &Book) {
    let audit = book.audit().unwrap();
    assert!(audit.balances(), "{:#?}", audit);
}

/// A length as it is typed.
pub fn inches(text: &str) -> Length {
    parse_length(text, Unit::Inch).unwrap()
}

/// Plans the morning and takes the plan to the bench.
pub fn take(book: &mut Book) -> longpoint::book::Taken {
    let snapshot = book.snapshot().unwrap();
    let plan = plan_as_wished(&snapshot.shop, TODAY, &Wishes::default(), limits()).unwrap();
    book.take(&snapshot, &plan, &stamp()).unwrap()
}

/// What the book says of wrong input.
pub fn wrong(error: BookError) -> String {
    assert!(error.is_wrong_input(), "{error}");
    error.to_string()
}
