//! What a large book costs beside a folder with the same rack: open, plan a
//! normal morning, list the rack. See RESULTS.md for recorded figures.

mod shops;

use std::path::Path;
use std::time::Instant;

use jiff::civil::date;
use longpoint::book::{Book, RackQuery, Stamp};
use longpoint::morning::{WORK, plan};
use longpoint::shop::{Moulding, Shop, Stick, read_folder, read_folder_and_files};
use longpoint::solve::Limits;
use longpoint::verify::verify;

use shops::{Size, folder, shop};

/// Sticks on the rack, and movements in the book.
const STICKS: usize = 20_000;
const MOVEMENTS: usize = 200_000;
/// Mouldings that today's frames do not ask for.
const OTHERS: usize = 200;
/// Runs of each; the two take turns, so that a busy machine is hard on both.
const RUNS: usize = 9;

fn main() {
    let dir = tempfile::tempdir().expect("a folder to measure in");
    let folder = dir.path().join("folder");
    folder::write(&large(), &folder).expect("the folder is written");
    let path = dir.path().join("shop.book");
    fill(&path, &folder);
    let (mut from_folder, mut from_book) = (Vec::new(), Vec::new());
    for _ in 0..RUNS {
        from_folder.push(timed(|| morning(&read_folder(&folder).expect("a good folder"))));
        from_book.push(timed(|| {
            let book = Book::open(&path).expect("a good book");
            let looked = book.snapshot().expect("a good book");
            morning(&looked.shop) + book.rack(&RackQuery::default()).expect("a good book").len()
        }));
    }
    let begin = Instant::now();
    let audit = Book::open(&path).and_then(|book| book.audit()).expect("a good book");
    let audited = begin.elapsed().as_millis();
    assert!(audit.balances(), "{:?}", audit.faults);
    let (folder, book) = (median(from_folder), median(from_book));
    println!(
        "| sticks | movements | from the folder, ms | from the book, ms | more, ms | audit, ms |"
    );
    println!("|---|---|---|---|---|---|");
    println!(
        "| {STICKS} | {MOVEMENTS} | {folder} | {book} | {} | {audited} |",
        book as i64 - folder as i64
    );
}

/// A normal morning beside a large rack that today has no use for.
fn large() -> Shop {
    let mut shop = shop(7, Size { frames: 40, mouldings: 15, sticks: 80 });
    let model: Moulding = shop.mouldings.values().next().expect("some mouldings").clone();
    for other in 0..OTHERS {
        let id = format!("IDLE-{other}");
        shop.mouldings.insert(id.clone(), Moulding { id, ..model.clone() });
    }
    let more = STICKS - shop.rack.len();
    shop.rack.extend((0..more).map(|number| Stick {
        id: format!("X-{number}"),
        moulding: format!("IDLE-{}", number % OTHERS),
        length: model.stick,
        lot: String::new(),
        place: format!("bay {}", number % 40),
        flaws: Vec::new(),
        since: None,
    }));
    shop
}

/// Begins the book and gives it a long past: counts that come to nothing.
fn fill(path: &Path, folder: &Path) {
    let (shop, files) = read_folder_and_files(folder).expect("a good folder");
    let stamp = Stamp {
        at: date(2026, 11, 25).at(8, 0, 0, 0),
        by: String::new(),
        why: String::new(),
        token: String::new(),
    };
    drop(Book::begin(path, (&shop, &files), &stamp).expect("a new book"));
    let mut db = rusqlite::Connection::open(path).expect("a good book");
    let past = db.transaction().expect("nobody else");
    let mut left = MOVEMENTS - STICKS;
    for stick in (1..=STICKS).cycle() {
        if left == 0 {
            break;
        }
        past.execute(
            "INSERT INTO step (at, who, what, why) VALUES ('2026-01-02T08:00:00', '', 'count', '')",
            [],
        )
        .expect("room for a step");
        let step = past.last_insert_rowid();
        for nm in [5_000_000, -5_000_000] {
            let sql = "INSERT INTO movement (step, stick, kind, nm) VALUES (?, ?, 'counted', ?)";
            past.execute(sql, (step, i64::try_from(stick).expect("few"), nm)).expect("room");
        }
        left -= 2;
    }
    past.commit().expect("room for the past");
}

fn morning(shop: &Shop) -> usize {
    let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
    let plan = plan(shop, date(2026, 11, 25), limits).unwrap().into_inner();
    verify(shop, &plan).expect("every plan is re-checked");
    plan.today.len()
}

fn timed(work: impl FnOnce() -> usize) -> u128 {
    let begin = Instant::now();
    assert!(work() > 0, "there is something to cut");
    begin.elapsed().as_millis()
}

fn median(mut runs: Vec<u128>) -> u128 {
    runs.sort_unstable();
    runs[runs.len() / 2]
}
