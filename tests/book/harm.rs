//! Hostile names come out of the book harmless, on pages, in tables, in SQL.

use longpoint::book::{Delivery, RackQuery, pages};
use longpoint::measure::{Length, Money};

use super::shops::{balanced, begin, files, read, stamp};

const SCRIPT: &str = "<script>alert(1)</script>";
const FORMULA: &str = "=HYPERLINK(\"http://x\")";
const SQL: &str = "'); DROP TABLE stick; --";

fn hostile() -> super::shops::Files {
    let mut files = files();
    let text = String::from_utf8(files["shop.toml"].clone()).unwrap();
    let toml = text.replace("Teasel Lane Framing", SCRIPT);
    files.insert("shop.toml".to_owned(), toml.into_bytes());
    let quoted = |text: &str| format!("\"{}\"", text.replace('"', "\"\""));
    let mouldings = format!(
        "moulding,name,width,rabbet,stick,price,per\n{f},{s},1,1/4,108,2.10,ft\n",
        f = quoted(FORMULA),
        s = quoted(SCRIPT)
    );
    files.insert("mouldings.csv".to_owned(), mouldings.into_bytes());
    let frames = format!(
        "frame,moulding,width,height,note\n{q},{f},8,10,{s}\n",
        q = quoted(SQL),
        f = quoted(FORMULA),
        s = quoted(SCRIPT)
    );
    files.insert("frames.csv".to_owned(), frames.into_bytes());
    let rack = format!(
        "stick,moulding,length,lot,place\n{s},{f},108,{q},{s}\n",
        s = quoted(SCRIPT),
        f = quoted(FORMULA),
        q = quoted(SQL)
    );
    files.insert("rack.csv".to_owned(), rack.into_bytes());
    files
}

#[test]
fn hostile_names_do_no_harm() {
    let dir = tempfile::tempdir().unwrap();
    let files = hostile();
    let mut book = begin(dir.path(), &files);
    let mut stamp = stamp();
    (stamp.by, stamp.why) = (SQL.to_owned(), SCRIPT.to_owned());
    let delivery = Delivery {
        moulding: FORMULA.to_owned(),
        lengths: vec![Length::from_mm(2000)],
        lot: SQL.to_owned(),
        place: SCRIPT.to_owned(),
        flaws: Vec::new(),
        line: None,
    };
    book.receive(&delivery, &stamp).unwrap();
    book.buy(&delivery, (SCRIPT, Money(999)), &stamp).unwrap();
    let snapshot = book.snapshot().unwrap();
    let plan =
        longpoint::morning::plan(&snapshot.shop, super::shops::TODAY, super::shops::limits())
            .unwrap();
    book.take(&snapshot, &plan, &stamp).unwrap();
    book.cut_all(None, &stamp).unwrap();
    book.finish(None, (SCRIPT, false), &stamp).unwrap();
    balanced(&book);
    let shop = book.shop().unwrap();
    let rack = book.rack(&RackQuery::default()).unwrap();
    assert!(!rack.is_empty());
    let figures = book.figures().unwrap();
    for page in [
        pages::labels(&shop, (&rack, &[]), false),
        pages::labels(&shop, (&rack, &[]), true),
        pages::figures_html(&figures, &shop),
    ] {
        assert!(!page.contains("<script") && page.contains("&lt;script&gt;"), "{page}");
    }
    let table = pages::figures_csv(&figures, &shop);
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    let cells: Vec<String> = rows
        .records()
        .flat_map(|r| r.unwrap().iter().map(str::to_owned).collect::<Vec<_>>())
        .collect();
    assert!(cells.contains(&format!("'{FORMULA}")), "{cells:?}");
    assert!(cells.iter().all(|cell| !cell.starts_with(['=', '+', '-', '@'])), "{cells:?}");
    assert_eq!(read(&files).rack[0].id, SCRIPT);
    assert_eq!(book.history(SCRIPT).unwrap().lot, SQL);
}

/// The page is whole by itself, and its codes are drawn, not fetched.
#[test]
fn a_label_says_what_there_is_and_fetches_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let book = begin(dir.path(), &files());
    let rack = book.rack(&RackQuery::default()).unwrap();
    let page = pages::labels(&book.shop().unwrap(), (&rack, &[]), false);
    assert_eq!(page.matches("<svg").count(), rack.len());
    for on in &rack {
        assert!(page.contains(&format!("<div class=\"big\">{}</div>", on.stick.id)));
    }
    assert!(page.contains("lot A, bay 1, racked 2026-02-01"));
    assert!(page.contains("flaw 30 to 31 from this end"));
    for fetched in ["<?xml", "src=", "@import", "<link"] {
        assert!(!page.contains(fetched), "{fetched}");
    }
}
