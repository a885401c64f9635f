//! A stick that measures otherwise, and one that is begun: how long it is, and what waits.

use longpoint::book::{Book, Correction, Role, words};
use longpoint::morning::WORK;
use longpoint::report::either;
use longpoint::solve::Limits;

use super::bench::{follow, mind, stamp, stand, two};
use super::counter::ready;
use super::http;
use super::served::Served;
use super::shops;

/// The length of S-1, shorter or longer by so little that all its cuts still fit.
fn keys(how: &str) -> String {
    let typed = if how == "shorter" { "whole=107&part=7%2F8" } else { "whole=108&part=1%2F8" };
    format!("/bench/stick/S-1/length?how={how}&{typed}")
}

fn labels(book: &Book, moulding: &str) -> Vec<String> {
    let at = book.bench().unwrap().remove(0);
    let own = at.sticks.into_iter().filter(|stick| stick.lay.moulding == moulding);
    own.map(|stick| stick.lay.stick).collect()
}

/// After SHORTER or LONGER what still fitted was cut before the rest was planned again.
#[test]
fn a_stick_that_measures_otherwise_is_planned_again_before_anything_is_cut() {
    for how in ["shorter", "longer"] {
        let (served, _other, mut book) = two();
        let bench = served.device(Role::Bench);
        mind(&bench);
        let early = bench.form(&bench.page("/bench/stick/S-1/cut"), "/bench/cut");
        let (page, _) = follow(&bench, &bench.page(&keys(how)), "/bench/stick/S-1/length");
        let length = shops::inches(if how == "shorter" { "107 7/8" } else { "108 1/8" });
        let correction = Correction { length: Some(length), ..Correction::default() };
        let corrected = book.correct("S-1", &correction, &stamp()).unwrap();
        assert!(corrected.off.is_empty(), "all of it still fits");
        let said = words::corrected_words((book.path(), "S-1"), &book.shop().unwrap(), &corrected);
        for line in either::pressed(&said).lines() {
            assert!(http::plain(&page).contains(line), "{line}: {page}");
        }
        let waits = |page: &str| {
            page.contains("S-1 measures otherwise: nothing more of ASH is cut before")
                && page.contains("action=\"/bench/again\"")
                && !page.contains("action=\"/bench/cut\"")
        };
        assert!(waits(&page), "{page}");
        assert!(page.contains("href=\"/bench/stick/S-1\">MEASURE S-1 AGAIN</a>"), "{page}");
        // Where a stick is measured it is said as well, and it is measured all the same.
        for stick in labels(&book, "ASH") {
            let page = bench.page(&format!("/bench/stick/{stick}"));
            assert!(waits(&page) && !page.contains(">AS SAID<"), "{stick}: {page}");
            assert!(page.contains("length?how=shorter"), "{stick}: {page}");
        }
        for stick in labels(&book, "ASH") {
            let page = bench.page(&format!("/bench/stick/{stick}/cut"));
            assert!(waits(&page), "{stick}: {page}");
            // The stick that measured otherwise, whichever is in hand.
            assert!(page.contains(">MEASURE S-1 AGAIN</a>"), "{stick}: {page}");
        }
        let oak = labels(&book, "OAK").remove(0);
        let page = bench.page(&format!("/bench/stick/{oak}/cut"));
        assert!(page.contains("action=\"/bench/cut\""), "another moulding goes on: {page}");
        let page = bench.page(&format!("/bench/stick/{oak}"));
        assert!(!page.contains("measures otherwise") && page.contains(">AS SAID<"), "{page}");
        let list = bench.page("/bench");
        let rows = list.split("<li>").filter(|row| row.contains("<b>WAITS</b>"));
        assert!(waits(&list) && rows.count() == labels(&book, "ASH").len(), "{list}");
        // Nor is a sheet printed as if all were well.
        let sheet = bench.page("/print/chop?plan=1");
        assert!(sheet.contains("S-1 measures otherwise"), "{sheet}");
        // Pressed all the same, on a screen that did not hear of it in time.
        let told = bench.press(&early, &[]);
        assert!(told.status == 409 && told.body.contains("PLAN THE REST AGAIN"), "{}", told.body);
        assert_eq!(stand(&served.book()), stand(&book));
        let page = bench.page("/bench");
        let reply = bench.press(&bench.form(&page, "/bench/again"), &[]);
        let (_, page) = ready(&bench, reply.header("location"));
        assert!(!page.contains("measures otherwise"), "{page}");
        // Its words: no worth at the bench, and no list of nothing.
        let (_, words) = page.split_once("what is cut stays").unwrap();
        let words = words.split_once("</section>").unwrap().0;
        for other in ["USD", "used up", "none", "Recut"] {
            assert!(!words.contains(other), "{other}: {words}");
        }
        let limits = Limits { work: WORK, ..shops::limits() };
        let draft = book.day(Some(1)).unwrap().draft(&limits).unwrap();
        book.replan(&draft, shops::TODAY, &stamp()).unwrap();
        assert_eq!(stand(&served.book()), stand(&book), "the same by commands");
        let first = labels(&book, "ASH").remove(0);
        let page = bench.page(&format!("/bench/stick/{first}/cut"));
        follow(&bench, &page, "/bench/cut");
        book.cut(&first, Some(1), &stamp()).unwrap();
        assert_eq!(stand(&served.book()), stand(&book));
        shops::balanced(&served.book());
    }
}

/// A stick that is begun was said to be as long as it had been.
#[test]
fn a_stick_that_is_begun_is_said_to_be_as_long_as_it_is_now() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    mind(&bench);
    let style = served.book().shop().unwrap().settings.style();
    let own = |book: &Book| {
        let at = book.bench().unwrap().remove(0);
        at.sticks.into_iter().find(|stick| stick.lay.stick == "S-1").unwrap()
    };
    let was = style.show_unit(own(&served.book()).left);
    let row = || {
        let page = bench.page("/bench");
        let row = page.split("<li>").find(|row| row.contains(">S-1</b>")).unwrap();
        row.to_owned()
    };
    assert!(row().contains(&was), "{}", row());
    served.book().cut("S-1", Some(1), &stamp()).unwrap();
    let left = own(&served.book()).left;
    assert!(row().contains(&style.show_unit(left)) && !row().contains(&was), "{}", row());
    let page = bench.page("/bench/stick/S-1");
    let (_, reading) = page.split_once("class=\"reading\">").unwrap();
    let whole = style.show(left).split(' ').next().unwrap().to_owned();
    assert!(reading.starts_with(&whole), "{reading}");
    assert!(page.contains("from the end you cut last"), "{page}");
}

/// Measured back to what it was, it was still said to measure otherwise; what fell off it
/// meanwhile is owed, and nothing else waits for that.
#[test]
fn a_stick_that_is_measured_back_says_what_fell_off_it() {
    for falls in [false, true] {
        let (served, _other, mut book) = two();
        let bench = served.device(Role::Bench);
        mind(&bench);
        let own = |book: &Book| {
            let at = book.bench().unwrap().remove(0);
            at.sticks.into_iter().find(|stick| stick.lay.stick == "S-1").unwrap()
        };
        let (left, last) = (own(&book).left, own(&book).lay.rails.last().unwrap().clone());
        let short = if falls { last.from + shops::inches("1") } else { shops::inches("107 7/8") };
        let mut measured = |length| {
            let correction = Correction { length: Some(length), ..Correction::default() };
            served.book().correct("S-1", &correction, &stamp()).unwrap();
            let corrected = book.correct("S-1", &correction, &stamp()).unwrap();
            words::corrected_words((book.path(), "S-1"), &book.shop().unwrap(), &corrected)
        };
        assert!(measured(short).contains("nothing more of ASH") || falls);
        let said = measured(left);
        assert!(!said.contains("othing more of ASH is cut"), "{said}");
        let rail = words::rail(&served.book().shop().unwrap(), &last);
        let owed = format!("Not cut from it any more, and owed: {rail}. Plan the rest again");
        assert_eq!(said.contains(&owed), falls, "{said}");
        let list = bench.page("/bench");
        assert!(!list.contains("measures otherwise") && !list.contains("WAITS"), "{list}");
        assert_eq!(list.contains(&format!("OWED: <b>{rail}")), falls, "{list}");
        assert_eq!(list.contains("action=\"/bench/again\""), falls, "{list}");
        let page = bench.page("/bench/stick/S-1/cut");
        follow(&bench, &page, "/bench/cut");
        shops::balanced(&served.book());
    }
}

/// The answer to a press was lost, and it was sent again: a stick that is shorter now was said
/// to be no shorter than it is, and nothing to be done.
#[test]
fn a_measurement_that_is_sent_again_has_the_same_answer() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    mind(&bench);
    let form = bench.form(&bench.page(&keys("shorter")), "/bench/stick/S-1/length");
    let [one, two] = [0, 0].map(|_| bench.press(&form, &[]));
    assert_eq!(one.status, 303, "{}", one.body);
    assert_eq!((two.status, two.header("location")), (303, one.header("location")), "{}", two.body);
    let steps = served.book().steps(None, 1000).unwrap();
    assert_eq!(steps.iter().filter(|step| step.done.what == "correct").count(), 1);
}
