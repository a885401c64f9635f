//! The counter and its tickets: the words of the command, and one step of the book.

use std::time::Duration;

use jiff::civil::date;
use longpoint::book::{Role, Which, words};
use longpoint::measure::{Length, Mitre};
use longpoint::morning::WORK;
use longpoint::quote::{Wish, WishedLayer, quote};
use longpoint::report::{either, quote_text};
use longpoint::solve::Limits;
use longpoint::web::Pace;

use super::http;
use super::served::{Served, Visitor};
use super::shops;

/// The page that is asked for, once it is worked out; and where it is.
pub fn ready(visitor: &Visitor, path: &str) -> (String, String) {
    let mut path = path.to_owned();
    for _ in 0..1200 {
        let reply = visitor.get(&path);
        match reply.status {
            303 => path = reply.header("location").to_owned(),
            200 if path.starts_with("/plans/") => std::thread::sleep(Duration::from_millis(100)),
            200 => return (path, reply.body),
            status => panic!("{path}: {status} {}", reply.body),
        }
    }
    panic!("{path} is not worked out in two minutes");
}

const ASKED: &str = "/counter?size=8x10&moulding=oak&due=2026-03-20";

#[test]
fn the_counter_says_what_the_command_says() {
    let served = Served::new();
    let counter = served.device(Role::Counter);
    let (_, page) = ready(&counter, ASKED);
    let shop = served.book().snapshot().unwrap().shop;
    let layer = WishedLayer { moulding: "OAK".to_owned(), gap: Length::ZERO, match_: None };
    let wish = Wish {
        layers: vec![layer],
        width: shops::inches("8"),
        height: shops::inches("10"),
        mitre: Mitre::SQUARE,
        copies: 1,
        due: Some(date(2026, 3, 20)),
        job: None,
    };
    let limits = Limits { work: WORK / 4, deadline: None, stop: None, watch: None };
    let quote = quote(&shop, &wish, shops::TODAY, limits, false).unwrap();
    let said = quote_text::said(&quote, wish.due, shops::TODAY, &shop);
    assert!(said.starts_with("Yes, Friday 20 March"), "{said}");
    assert!(page.contains(&format!("<p class=\"aloud\">{said}</p>")), "{said}: {page}");
    for (_, words) in quote_text::facts(&quote, shops::TODAY, &shop) {
        // A file that the counter does not open is named in words.
        let words = words.replace("shop.toml", "the office's settings");
        assert!(page.contains(&words), "{words}: {page}");
    }
}

/// Of several mouldings each says why it is not sooner, and not its price alone.
#[test]
fn side_by_side_each_says_when_and_why() {
    let served = Served::new();
    let counter = served.device(Role::Counter);
    let asked = "/counter?size=16x20&moulding=ash&moulding=oak&due=2026-03-09";
    let (_, page) = ready(&counter, asked);
    assert_eq!(page.matches(">CHOOSE</a>").count(), 2, "{page}");
    let each = page.split("<li>").filter(|one| one.contains(">CHOOSE</a>"));
    for one in each {
        let why = one.contains("<p>Ready: ") || one.contains("<p>Not as asked: ");
        assert!(why, "{one}");
    }
}

#[test]
fn a_job_is_taken_once_with_its_promise_and_can_be_undone() {
    let served = Served::new();
    let counter = served.device(Role::Counter);
    let before = served.book().version().unwrap();
    let (_, page) = ready(&counter, ASKED);
    assert!(page.contains("name=\"ticket\" value=\"8\""), "the next number: {page}");
    let form = counter.form(&page, "/counter/take");
    let taken = [("ticket", "8"), ("note", "Halloran, \"map\"")];
    let reply = counter.press(&form, &taken);
    assert_eq!(reply.status, 303, "{}", reply.body);
    let again = counter.press(&form, &taken);
    assert_eq!(reply.header("location"), again.header("location"));
    assert_eq!(reply.header("location"), format!("/ticket/8?step={}", before + 1));
    let mut book = served.book();
    assert_eq!(book.version().unwrap(), before + 1, "one step, once");
    let shop = book.shop().unwrap();
    let frame = shop.frame("8").unwrap();
    assert_eq!((frame.due, frame.promised), (Some(date(2026, 3, 20)), true));
    assert_eq!(frame.note, "Halloran, \"map\"");
    let page = counter.page(reply.header("location"));
    assert!(page.contains("Done: <b>ticket</b>") && page.contains("on the pile"), "{page}");
    let listed = counter.page("/ticket?q=halloran");
    assert!(listed.contains("/ticket/8"), "{listed}");
    shops::balanced(&book);
    let step = Some(before + 1);
    book.undo(step, &shops::stamp()).unwrap();
    assert!(book.shop().unwrap().frame("8").is_none());
    assert_eq!(book.files().unwrap()["frames.csv"], shops::files()["frames.csv"], "as it was");
}

#[test]
fn the_command_takes_the_same_job_in_the_same_words_of_the_book() {
    let served = Served::new();
    let counter = served.device(Role::Counter);
    let other = tempfile::tempdir().unwrap();
    let path = other.path().join("other.book");
    served.book().backup(&path).unwrap();
    let (_, page) = ready(&counter, ASKED);
    let form = counter.form(&page, "/counter/take");
    assert_eq!(counter.press(&form, &[("ticket", "8"), ("note", "a \"map\"")]).status, 303);
    let args = "--moulding oak --size 8x10 --due 2026-03-20 --today 2026-03-09 --ticket 8 --at 2026-03-09T09:00";
    let done = std::process::Command::new(env!("CARGO_BIN_EXE_longpoint"))
        .arg("quote")
        .arg(&path)
        .args(args.split(' '))
        .args(["--note", "a \"map\""])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&done.stdout).into_owned();
    assert!(done.status.success(), "{said}{}", String::from_utf8_lossy(&done.stderr));
    assert!(said.contains("Ticket 8 is in") && said.contains("promised for 2026-03-20"), "{said}");
    let other = longpoint::book::Book::open(&path).unwrap();
    assert_eq!(other.files().unwrap(), served.book().files().unwrap());
    let last = |book: &longpoint::book::Book| book.last_step().unwrap().unwrap().done.what;
    assert_eq!(last(&other), last(&served.book()));
}

#[test]
fn a_job_that_was_quoted_before_something_else_was_done_is_looked_at_again() {
    let served = Served::new();
    let counter = served.device(Role::Counter);
    let (_, page) = ready(&counter, ASKED);
    let form = counter.form(&page, "/counter/take");
    served.book().scrap(&["S-3".to_owned()], &shops::stamp()).unwrap();
    let reply = counter.press(&form, &[("ticket", "T-1"), ("note", "")]);
    assert!(reply.header("location").starts_with("/plans/"), "{}", reply.header("location"));
    let (at, page) = ready(&counter, reply.header("location"));
    assert!(at.starts_with("/ticket/T%2D1") || at.starts_with("/ticket/T-1"), "{at}: {page}");
    assert!(served.book().shop().unwrap().frame("T-1").unwrap().promised);
}

/// One stick for two frames: the job was taken in one press, and the other was late.
#[test]
fn a_job_that_makes_others_late_is_taken_with_a_second_press() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = shops::files();
    let frames = "frame,moulding,width,height,due\n1,ASH,8,10,2026-03-20\n";
    files.insert("frames.csv".to_owned(), frames.as_bytes().to_vec());
    let rack = "stick,moulding,length\nS-1,ASH,52\n";
    files.insert("rack.csv".to_owned(), rack.as_bytes().to_vec());
    drop(shops::begin(dir.path(), &files));
    let served = Served::of(dir, Pace::default());
    let counter = served.device(Role::Counter);
    let (_, page) = ready(&counter, "/counter?size=8x10&moulding=ash&due=2026-03-12");
    assert!(page.contains("but 1 will be late"), "{page}");
    let form = counter.form(&page, "/counter/take");
    let asked = counter.press(&form, &[("ticket", "8"), ("note", "Corvo")]);
    assert_eq!(asked.status, 409, "{}", asked.body);
    assert!(asked.body.contains("The job is not taken yet: it makes"), "{}", asked.body);
    assert!(served.book().shop().unwrap().frame("8").is_none());
    let form = counter.form(&asked.body, "/counter/take");
    let taken = counter.press(&form, &[]);
    assert_eq!(taken.status, 303, "{}", taken.body);
    let frame = served.book().shop().unwrap().frame("8").unwrap().clone();
    assert_eq!((frame.note.as_str(), frame.promised), ("Corvo", true));
}

#[test]
fn everything_that_is_wrong_is_said_at_once_and_a_number_is_not_given_twice() {
    let served = Served::new();
    let counter = served.device(Role::Counter);
    let page = counter.page("/counter?size=16&moulding=zebra&due=someday&copies=many");
    for fault in ["size: &quot;16&quot; is not a size", "moulding: ", "is not a day", "copies: "] {
        assert!(page.contains(fault), "{fault}: {page}");
    }
    // Of how many sides decides how a size is written: only what is known to be wrong is said.
    for (size, sides) in [("8x10", "five"), ("8", "5.5"), ("8x10", "2"), ("8", "300")] {
        let page = counter.page(&format!("/counter?size={size}&moulding=oak&sides={sides}"));
        let faults = page.split("role=\"alert\"").last().unwrap().split("</div>").next().unwrap();
        assert_eq!(faults.matches("<p>").count(), 1, "{size} {sides}: {faults}");
        assert!(faults.contains("sides: "), "{faults}");
    }
    let page = counter.page("/counter?size=nine&moulding=oak&sides=8");
    assert!(page.contains("size: ") && !page.contains("sides: "), "{page}");
    let (_, page) = ready(&counter, ASKED);
    let form = counter.form(&page, "/counter/take");
    let reply = counter.press(&form, &[("ticket", "1"), ("note", "")]);
    assert_eq!(reply.status, 409, "{}", reply.body);
    assert!(reply.body.contains("write another number, such as 8"), "{}", reply.body);
}

#[test]
fn what_was_taken_at_the_counter_stays_whatever_the_folder_says() {
    let served = Served::new();
    let counter = served.device(Role::Counter);
    let (_, page) = ready(&counter, ASKED);
    let form = counter.form(&page, "/counter/take");
    assert_eq!(counter.press(&form, &[("ticket", "8"), ("note", "Corvo")]).status, 303);
    let mut book = served.book();
    let mut files = shops::files();
    let add = |files: &mut shops::Files, row: &str| {
        files.get_mut("frames.csv").unwrap().extend_from_slice(row.as_bytes());
    };
    add(&mut files, "9,,ASH,5,7,1,2026-04-01,any\n");
    let refreshed = book.refresh((&shops::read(&files), &files), &shops::stamp()).unwrap();
    assert_eq!(refreshed.new, ["9"]);
    assert!(refreshed.kept[0].contains("has no 8"), "{:?}", refreshed.kept);
    assert_eq!(book.shop().unwrap().frame("8").unwrap().note, "Corvo");
    // Somebody wrote another ticket under that number into the folder.
    add(&mut files, "8,,ASH,4,6,1,,any\n");
    add(&mut files, "10,,ASH,4,6,1,,any\n");
    let refreshed = book.refresh((&shops::read(&files), &files), &shops::stamp()).unwrap();
    assert!(refreshed.kept[0].contains("for somebody else"), "{:?}", refreshed.kept);
    assert_eq!(book.shop().unwrap().frame("8").unwrap().note, "Corvo");
    // Once it is cancelled, the folder without it has its way.
    book.cancel("8", None, &shops::stamp()).unwrap();
    let files = shops::files();
    book.refresh((&shops::read(&files), &files), &shops::stamp()).unwrap();
    assert!(book.shop().unwrap().frame("8").is_none());
    shops::balanced(&book);
    // Its number is not given to another.
    assert_eq!(book.next_ticket().unwrap(), "9");
}

#[test]
fn a_ticket_is_cancelled_and_made_anew_as_by_commands() {
    let served = Served::new();
    let counter = served.device(Role::Counter);
    let mut book = served.book();
    book.cut("S-1", None, &shops::stamp()).unwrap();
    let shop = book.shop().unwrap();
    let cut = book.bench().unwrap();
    let cut = cut.iter().flat_map(|at| &at.sticks).find(|stick| stick.lay.stick == "S-1").unwrap();
    let (id, copy) = (cut.lay.rails[0].frame.clone(), cut.lay.rails[0].copy);
    let other = tempfile::tempdir().unwrap();
    let path = other.path().join("other.book");
    book.backup(&path).unwrap();
    let mut other = longpoint::book::Book::open(&path).unwrap();
    let page = counter.page(&format!("/ticket/{id}"));
    let form = counter.form(&page, &format!("/ticket/{id}/remake"));
    let reply = counter.press(&form, &[("copy", &copy.to_string()), ("side", "")]);
    assert_eq!(reply.status, 303, "{}", reply.body);
    let which = Which { copy: Some(copy), ..Which::default() };
    other.spoil_frame(&id, &which, &shops::stamp()).unwrap();
    assert_eq!(book.bench().unwrap(), other.bench().unwrap());
    let page = counter.page(&format!("/ticket/{id}"));
    let form = counter.form(&page, &format!("/ticket/{id}/cancel"));
    let reply = counter.press(&form, &[]);
    assert_eq!(reply.status, 303);
    let cancelled = other.cancel(&id, None, &shops::stamp()).unwrap();
    // What it unsettled is said as the command says it, but for what to do about it.
    let page = http::plain(&counter.page(reply.header("location")));
    let said = words::cancelled_words((&served.path(), &id), &shop, &cancelled);
    let typed = either::typed(&said);
    assert!(typed.contains("the other cuts stay, with their stops"), "another's rails: {typed}");
    for line in either::pressed(&said).lines() {
        assert!(page.contains(line), "{line}: {page}");
    }
    let frame = shop.frame(&id).unwrap();
    assert_eq!(book.copies_of(frame).unwrap(), other.copies_of(frame).unwrap());
    assert_eq!(book.spare().unwrap(), other.spare().unwrap());
    shops::balanced(&book);
}

#[test]
fn a_ticket_has_another_size_and_is_rushed_as_by_the_command() {
    let served = Served::new();
    let counter = served.device(Role::Counter);
    let other = tempfile::tempdir().unwrap();
    let path = other.path().join("other.book");
    served.book().backup(&path).unwrap();
    let mut other = longpoint::book::Book::open(&path).unwrap();
    let form = counter.form(&counter.page("/ticket/1"), "/ticket/1/change");
    let wrong = counter.press(&form, &[("size", "large"), ("due", "someday")]);
    assert_eq!(wrong.status, 409);
    assert!(wrong.body.contains("size: ") && wrong.body.contains("wanted: "), "{}", wrong.body);
    let form = counter.form(&counter.page("/ticket/1"), "/ticket/1/change");
    let asked = [("size", "9x11"), ("due", "2026-03-11")];
    let [one, two] = [0, 0].map(|_| counter.press(&form, &asked));
    assert_eq!((one.status, one.header("location")), (303, two.header("location")), "{}", one.body);
    let size = (shops::inches("9"), shops::inches("11"));
    let due = Some(date(2026, 3, 11));
    let changed = other.change_ticket("1", (Some(size), due), &shops::stamp()).unwrap();
    assert_eq!(other.files().unwrap(), served.book().files().unwrap());
    assert_eq!(other.bench().unwrap(), served.book().bench().unwrap());
    let page = http::plain(&counter.page(one.header("location")));
    let said = words::ticket_words(&other.shop().unwrap(), "1", &changed);
    for line in either::pressed(&said).lines() {
        assert!(page.contains(line), "{line}: {page}");
    }
    // Rushed: wanted today, so that it is cut before all others.
    let page = counter.page("/ticket/7");
    let rush = http::forms(&page).into_iter().find(|form| form.text.contains("RUSH")).unwrap();
    assert_eq!(counter.press(&rush, &[]).status, 303);
    assert_eq!(served.book().shop().unwrap().frame("7").unwrap().due, Some(shops::TODAY));
    let said = std::process::Command::new(env!("CARGO_BIN_EXE_longpoint"))
        .args(["ticket", path.to_str().unwrap(), "7", "--due", "today", "--at", "2026-03-09T09:00"])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&said.stdout).into_owned();
    assert!(said.starts_with("Ticket 7: 16 x 20 in, wanted on 2026-03-09."), "{said}");
    assert_eq!(other.files().unwrap(), served.book().files().unwrap());
}

#[test]
fn why_a_ticket_waits_is_said_in_the_words_of_the_command() {
    let dir = tempfile::tempdir().unwrap();
    drop(shops::begin(dir.path(), &shops::files()));
    let served = Served::of(dir, longpoint::web::Pace::default());
    let counter = served.device(Role::Counter);
    let (_, page) = ready(&counter, "/ticket/7/why");
    let shop = served.book().snapshot().unwrap().shop;
    let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
    let told = std::sync::Mutex::new(Vec::new());
    let tell = |done: usize, all: usize| told.lock().unwrap().push((done, all));
    let (frame, search) = (shop.frame("7").unwrap(), (&limits, &tell as longpoint::plan::Told));
    let answer = longpoint::why::why_telling(&shop, shops::TODAY, frame, search).unwrap();
    let told = told.into_inner().unwrap();
    let is_true = |(done, all): &(usize, usize)| done <= all && *all > 0;
    assert!(!told.is_empty() && told.iter().all(is_true), "{told:?}");
    let lines = longpoint::report::why_text::why_lines(&answer, &shop);
    assert!(!lines.is_empty());
    for line in lines {
        assert!(
            page.contains(&format!("<p>{}</p>", line.replace('"', "&quot;"))),
            "{line}: {page}"
        );
    }
}

/// Back after the job was taken, another number typed and pressed again: it is said under which
/// number it is taken, and nothing more is.
#[test]
fn a_job_is_not_taken_again_under_another_number() {
    let served = Served::new();
    let counter = served.device(Role::Counter);
    let (_, page) = ready(&counter, ASKED);
    let form = counter.form(&page, "/counter/take");
    let first = counter.press(&form, &[("ticket", "8"), ("note", "")]);
    assert_eq!(first.status, 303, "{}", first.body);
    let before = served.book().version().unwrap();
    let again = counter.press(&form, &[("ticket", "9"), ("note", "")]);
    assert_eq!(again.status, 409, "{}", again.body);
    assert!(again.body.contains("The job is taken already, as 8."), "{}", again.body);
    assert!(again.body.contains("OPEN 8"), "{}", again.body);
    assert_eq!(served.book().version().unwrap(), before);
    // Under the same number the answer is the same.
    let same = counter.press(&form, &[("ticket", "8"), ("note", "")]);
    assert_eq!(same.header("location"), first.header("location"));
}

/// The ticket's page said the price of another size, and not whether what was promised holds.
#[test]
fn another_size_of_a_promised_ticket_says_whether_the_promise_holds() {
    let served = Served::new();
    let counter = served.device(Role::Counter);
    let (_, page) = ready(&counter, ASKED);
    let form = counter.form(&page, "/counter/take");
    assert_eq!(counter.press(&form, &[("ticket", "8"), ("note", "Corvo")]).status, 303);
    let other = tempfile::tempdir().unwrap();
    let path = other.path().join("other.book");
    served.book().backup(&path).unwrap();
    let form = counter.form(&counter.page("/ticket/8"), "/ticket/8/change");
    let asked = [("size", "40x60"), ("due", "")];
    let [one, two] = [0, 0].map(|_| counter.press(&form, &asked));
    assert_eq!((one.status, one.header("location")), (303, two.header("location")), "{}", one.body);
    let at = "2026-03-09T09:00";
    let said = std::process::Command::new(env!("CARGO_BIN_EXE_longpoint"))
        .args(["ticket", path.to_str().unwrap(), "8", "--size", "40x60", "--at", at])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&said.stdout).into_owned();
    // It is one step, made before anything is planned.
    let book = longpoint::book::Book::open(&path).unwrap();
    assert_eq!(book.version().unwrap(), served.book().version().unwrap());
    assert_eq!(book.files().unwrap(), served.book().files().unwrap());
    let (to, page) = ready(&counter, one.header("location"));
    assert!(to.starts_with("/ticket/8?step="), "{to}");
    let promise = said.find("PROMISED").or(said.find("What was promised"));
    let promise = &said[promise.unwrap_or_else(|| panic!("{said}"))..];
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let page = words(&http::plain(&page));
    let first = promise.lines().next().unwrap();
    assert!(page.contains(&words(first)), "{first}: {page}");
    // One that was not promised is changed at once.
    let form = counter.form(&counter.page("/ticket/1"), "/ticket/1/change");
    let reply = counter.press(&form, &[("size", "9x11"), ("due", "")]);
    assert!(reply.header("location").starts_with("/ticket/1?step="), "{:?}", reply.headers);
}
