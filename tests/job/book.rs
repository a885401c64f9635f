//! Jobs in a book: they travel with the other files, and come out again with what is left.

use std::collections::BTreeMap;
use std::path::Path;

use longpoint::book::{Book, Stamp};
use longpoint::shop::{Shop, read_files, read_folder_and_files};

use crate::folder::{Files, TODAY, of};

fn stamp() -> Stamp {
    let none = String::new;
    Stamp { at: TODAY.at(8, 0, 0, 0), by: "Ana".to_owned(), why: none(), token: none() }
}

fn metric() -> (Shop, Files) {
    read_folder_and_files(&Path::new(env!("CARGO_MANIFEST_DIR")).join("data/metric")).unwrap()
}

fn exported(book: &Book) -> Shop {
    let files = book.export().unwrap();
    let files: BTreeMap<_, _> =
        files.into_iter().map(|(name, text)| (name, text.into_bytes())).collect();
    read_files(&files).unwrap_or_else(|faults| panic!("{faults}"))
}

#[test]
fn a_book_keeps_jobs_and_gives_them_back() {
    let dir = tempfile::tempdir().unwrap();
    let (shop, files) = metric();
    let mut book = Book::begin(&dir.path().join("shop.book"), (&shop, &files), &stamp()).unwrap();
    let now = book.snapshot().unwrap().shop;
    assert_eq!((&now.jobs, &now.materials), (&shop.jobs, &shop.materials));
    assert_eq!(of(&now, "111"), of(&shop, "111"));
    // One job is cancelled, of another a copy: what is written back is what is left.
    book.cancel("111", None, &stamp()).unwrap();
    book.cancel("102", Some(2), &stamp()).unwrap();
    let left = exported(&book);
    assert!(left.frame("111").is_none() && !left.jobs.contains_key("111"));
    assert_eq!(left.jobs.len(), shop.jobs.len() - 1);
    let frame = left.frame("102").unwrap();
    assert_eq!((frame.copies, frame.width), (3, shop.frame("102").unwrap().width));
    let float = (left.frame("112").unwrap(), shop.frame("112").unwrap());
    assert_eq!((float.0.width, float.0.thickness), (float.1.width, float.1.thickness));
}

/// A job that changes is a ticket that changes: its rails follow.
#[test]
fn a_job_that_changes_is_taken_over() {
    let dir = tempfile::tempdir().unwrap();
    let (shop, mut files) = metric();
    let mut book = Book::begin(&dir.path().join("shop.book"), (&shop, &files), &stamp()).unwrap();
    let jobs = String::from_utf8(files["jobs.csv"].clone()).unwrap();
    let wider = jobs.replace("5; 8,60,10", "5; 8,70,10");
    assert_ne!(wider, jobs);
    files.insert("jobs.csv".to_owned(), wider.into_bytes());
    let changed = read_files(&files).unwrap();
    let refreshed = book.refresh((&changed, &files), &stamp()).unwrap();
    assert_eq!(refreshed.files, ["jobs.csv"]);
    let now = book.snapshot().unwrap().shop;
    let (was, is) = (shop.frame("111").unwrap(), now.frame("111").unwrap());
    assert_eq!((is.width - was.width).nm(), 20_000_000);
    assert_eq!(is.layers, was.layers, "the fillet's window is what it was");
}
