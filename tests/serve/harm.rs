//! Names and notes that would be more than words: none of them is, on any page.

use longpoint::book::Role;

use super::served::Served;
use super::shops;
use longpoint::web::Pace;

const NASTY: &str = "<script>alert(1)</script>";

/// Pages of the bench, the joiner, the wall, and what is said of them.
const PAGES: [&str; 29] = [
    "/bench",
    "/bench/stick/S-1",
    "/bench/stick/S-1/cut",
    "/bench/stick/S-1/flaw",
    "/bench/stick/S-1/wrong",
    "/bench/stick/S-1/length",
    "/bench/finish?plan=1",
    "/joiner",
    "/joiner/1/1",
    "/wall?page=0",
    "/wall?page=1",
    "/wall?page=2",
    "/steps?day=2026-03-09",
    "/devices",
    "/counter",
    "/counter?size=%3Cscript%3Ealert(1)%3C/script%3E&moulding=%3Cimg+src%3Dx%3E",
    "/ticket",
    "/ticket?q=%3Cscript%3E",
    "/ticket/1",
    "/rack",
    "/s/S-1",
    "/s/S-3",
    "/count",
    "/count?place=bay+%3Cscript%3Ealert(1)%3C/script%3E",
    "/order",
    "/receive",
    "/files/frames.csv",
    "/files/shop.toml",
    "/print",
];

#[test]
fn no_name_and_no_note_is_obeyed() {
    let mut files = shops::files();
    let text = |name: &str| String::from_utf8(files[name].clone()).unwrap();
    let toml = text("shop.toml").replace("Teasel Lane Framing", &format!("Teasel {NASTY}"));
    let frames = text("frames.csv").replace(",match\n", ",match,note\n");
    let noted = |line: &str| match line.starts_with("frame,") || line.is_empty() {
        true => line.to_owned(),
        false => format!("{line},{NASTY} & \"more\"")
            .replace("& \"more\"", "'><img src=x onerror=alert(2)>"),
    };
    let frames: Vec<String> = frames.lines().map(noted).collect();
    let rack =
        text("rack.csv").replace("bay 1", &format!("bay {NASTY}")).replace(",A,", ",<b>A</b>,");
    for (name, text) in [("shop.toml", toml), ("frames.csv", frames.join("\n")), ("rack.csv", rack)]
    {
        files.insert(name.to_owned(), text.into_bytes());
    }
    let dir = tempfile::tempdir().unwrap();
    let mut book = shops::begin(dir.path(), &files);
    shops::take(&mut book);
    let stamp =
        longpoint::book::Stamp { by: NASTY.to_owned(), why: NASTY.to_owned(), ..shops::stamp() };
    book.cut("S-1", Some(1), &stamp).unwrap();
    drop(book);
    let served = Served::of(dir, Pace::default());
    let office = served.device(Role::Office);
    let mut shown = 0;
    super::bench::mind(&office);
    for path in PAGES {
        let page = office.page(path);
        for tag in ["<script>", "<img", "<b>A</b>", "onerror=alert(2)>"] {
            assert!(!page.contains(tag), "{path} obeys {tag}: {page}");
        }
        shown += usize::from(page.contains("&lt;script&gt;") || page.contains("&lt;b&gt;A"));
    }
    assert!(shown >= 8, "the names are shown, and as they were typed: {shown}");
}
