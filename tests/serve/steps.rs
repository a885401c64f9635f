//! The steps of the day, and undo.

use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use longpoint::book::Role;

use super::served::Served;
use super::shops;

#[test]
fn the_last_step_is_undone_once_however_often_it_is_pressed() {
    let served = Served::new();
    served.book().cut("S-1", Some(1), &shops::stamp()).unwrap();
    let before = served.book().version().unwrap();
    let office = served.device(Role::Office);
    let page = office.page("/steps?day=2026-03-09");
    assert!(page.contains("<b>cut</b>") && page.contains("by Ana"), "{page}");
    let undo = office.form(&page, "/undo");
    let first = office.press(&undo, &[]);
    let again = office.press(&undo, &[]);
    assert_eq!((first.status, first.header("location")), (303, again.header("location")));
    assert_eq!(first.header("location"), format!("/steps?step={}", before + 1));
    assert_eq!(served.book().version().unwrap(), before + 1, "one step, once");
    let page = office.page(first.header("location"));
    assert!(page.contains("Done: <b>undo</b>"), "{page}");
}

#[test]
fn who_undoes_what_is_not_the_last_is_told_what_came_since() {
    let served = Served::new();
    let office = served.device(Role::Office);
    served.book().cut("S-1", Some(1), &shops::stamp()).unwrap();
    let undo = office.form(&office.page("/steps?day=2026-03-09"), "/undo");
    served.book().cut("S-1", Some(2), &shops::stamp()).unwrap();
    let refused = office.press(&undo, &[]);
    assert_eq!(refused.status, 409);
    assert!(refused.body.contains("is not the last"), "{}", refused.body);
    assert!(refused.body.contains("href=\"/steps\""), "the way back: {}", refused.body);
}

/// A slip does not undo what a colleague did, and nobody takes the whole book away.
#[test]
fn another_persons_step_is_named_and_the_beginning_is_never_offered() {
    let served = Served::new();
    let office = served.device(Role::Office);
    served.book().cut("S-1", Some(1), &shops::stamp()).unwrap();
    let page = office.page("/steps?day=2026-03-09");
    assert!(page.contains("IT IS BY Ana: UNDO IT ALL THE SAME"), "{page}");
    let undo = office.form(&page, "/undo");
    assert!(undo.fields.contains(&("of".to_owned(), "Ana".to_owned())), "{undo:?}");
    let mut unnamed = undo.clone();
    unnamed.fields.retain(|(name, _)| name != "of");
    let refused = office.press(&unnamed, &[]);
    assert!(refused.status == 409 && refused.body.contains("somebody else did it"));
    assert_eq!(office.press(&undo, &[]).status, 303);
    // The plan too; then nothing is left but the beginning.
    let plan = office.form(&office.page("/steps?day=2026-03-09"), "/undo");
    assert_eq!(office.press(&plan, &[]).status, 303);
    let page = office.page("/steps?day=2026-03-09");
    assert!(page.contains("<b>open</b>") && !page.contains("action=\"/undo\""), "{page}");
    let mut beginning = office.form(&office.page("/count?place=bay+2"), "/count");
    beginning.fields.retain(|(name, _)| name == "token");
    beginning.action = "/undo".to_owned();
    let refused = office.press(&beginning, &[("step", "1"), ("of", "Ana")]);
    assert!(refused.status == 409 && refused.body.contains("beginning of the book"));
    assert!(served.book().shop().is_ok());
}

/// Whoever made it, by a command too: within a second.
#[test]
fn a_step_is_on_every_screen_within_a_second() {
    let served = Served::new();
    let office = served.device(Role::Office);
    let mut line = TcpStream::connect(served.address).unwrap();
    line.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    let ask = format!(
        "GET /live HTTP/1.1\r\nHost: {}\r\nCookie: {}\r\n\r\n",
        served.address, office.cookie
    );
    line.write_all(ask.as_bytes()).unwrap();
    let mut told = BufReader::new(line).lines().map_while(Result::ok);
    let mut next = || told.find(|line| line.starts_with("data: ") && line.len() > 6).unwrap();
    let before = served.book().version().unwrap();
    assert_eq!(next(), format!("data: {before}"));
    let begun = Instant::now();
    served.book().cut("S-1", Some(1), &shops::stamp()).unwrap();
    assert_eq!(next(), format!("data: {}", before + 1));
    assert!(begun.elapsed() < Duration::from_secs(1), "{:?}", begun.elapsed());
}
