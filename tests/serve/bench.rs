//! The bench without scripts: forms alone, and the same book as by commands.

use longpoint::book::{Book, RackQuery, RailState, Role, Stamp};

use super::served::{Served, Visitor};
use super::shops;

/// The machine's cautions are read, so that the bench begins.
pub fn mind(bench: &Visitor) {
    let page = bench.page("/bench/stick/S-1/cut");
    let form = bench.form(&page, "/bench/mind");
    let all: usize = form.fields.iter().find(|(name, _)| name == "all").unwrap().1.parse().unwrap();
    assert_eq!(bench.press(&form, &[("minded", "1")]).status, 409, "not all of them");
    let reply = bench.press(&form, &vec![("minded", "1"); all]);
    assert_eq!((reply.status, reply.header("location")), (303, "/bench/stick/S-1/cut"));
}

/// Presses a form, and gives the page that follows.
fn follow(bench: &Visitor, page: &str, action: &str) -> (String, String) {
    let reply = bench.press(&bench.form(page, action), &[]);
    assert_eq!(reply.status, 303, "{}", reply.body);
    let to = reply.header("location").to_owned();
    (bench.page(&to), to)
}

/// Everything of the book but who and when.
fn stand(book: &Book) -> String {
    let rails = book.bench().unwrap();
    let rails: Vec<String> = rails
        .iter()
        .flat_map(|at| &at.sticks)
        .flat_map(|stick| stick.lay.each())
        .map(|(lay, rail)| format!("{} {} {:?} {}", lay.stick, rail.number, rail.state, rail.frame))
        .collect();
    let rack: Vec<String> = book
        .rack(&RackQuery::default())
        .unwrap()
        .iter()
        .map(|on| format!("{} {:?} {}", on.stick.id, on.stick.length, on.stick.place))
        .collect();
    let steps: Vec<String> =
        book.steps(None, 1000).unwrap().iter().map(|step| step.done.what.clone()).collect();
    format!("{rails:#?}\n{rack:#?}\n{steps:#?}")
}

fn stamp() -> Stamp {
    Stamp { by: "the bench".to_owned(), at: shops::TODAY.at(9, 0, 0, 0), ..shops::stamp() }
}

/// Two books of the same morning.
fn two() -> (Served, tempfile::TempDir, Book) {
    let served = Served::new();
    let other = tempfile::tempdir().unwrap();
    let path = other.path().join("shop.book");
    served.book().backup(&path).unwrap();
    let book = Book::open(&path).unwrap();
    (served, other, book)
}

#[test]
fn a_day_by_pages_and_by_commands_is_the_same_book() {
    let (served, _other, mut book) = two();
    let bench = served.device(Role::Bench);
    mind(&bench);
    let sticks: Vec<String> =
        book.bench().unwrap()[0].sticks.iter().map(|stick| stick.lay.stick.clone()).collect();
    for stick in sticks {
        let path = format!("/bench/stick/{stick}/cut");
        let plan = book.bench().unwrap().remove(0);
        let own = plan.sticks.iter().find(|own| own.lay.stick == stick).unwrap();
        for number in 1..=own.lay.rails.len() {
            let page = bench.page(&path);
            let (_, to) = follow(&bench, &page, "/bench/cut");
            assert!(to.starts_with(&format!("{path}?after={number}&step=")), "{to}");
            book.cut(&stick, Some(number), &stamp()).unwrap();
            assert_eq!(stand(&served.book()), stand(&book), "{stick} {number}");
        }
    }
    let page = bench.page("/bench/finish?plan=1");
    let reply = bench.press(&bench.form(&page, "/bench/finish"), &[("place", "bay 1")]);
    assert_eq!(reply.status, 303, "{}", reply.body);
    book.finish(Some(1), ("bay 1", false), &stamp()).unwrap();
    assert_eq!(stand(&served.book()), stand(&book));
    shops::balanced(&served.book());
}

#[test]
fn a_chip_is_planned_again_as_the_command_does() {
    let (served, _other, mut book) = two();
    let bench = served.device(Role::Bench);
    mind(&bench);
    let page = bench.page("/bench/stick/S-1/cut");
    let (page, _) = follow(&bench, &page, "/bench/chip");
    assert!(page.contains("is spoiled and owed"), "{page}");
    book.spoil("S-1", 1, &stamp()).unwrap();
    assert_eq!(stand(&served.book()), stand(&book));
    let reply = bench.press(&bench.form(&page, "/bench/again"), &[]);
    let mut to = reply.header("location").to_owned();
    // The page that says how far it is leads on by itself.
    for _ in 0..600 {
        let reply = bench.get(&to);
        if reply.status == 303 {
            to = reply.header("location").to_owned();
            break;
        }
        assert!(reply.body.contains("http-equiv=\"refresh\""), "{}", reply.body);
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    let page = bench.page(&to);
    assert!(page.contains("what is cut stays"), "{page}");
    let draft = book
        .day(Some(1))
        .unwrap()
        .draft(&longpoint::solve::Limits { work: longpoint::morning::WORK, ..shops::limits() });
    book.replan(&draft.unwrap(), shops::TODAY, &stamp()).unwrap();
    assert_eq!(stand(&served.book()), stand(&book));
    // Pressed again, since the answer was lost: the same step.
    let before = served.book().version().unwrap();
    let again = bench.press(&bench.form(&page, "/undo"), &[]);
    assert_eq!(again.status, 303);
    assert_eq!(served.book().version().unwrap(), before + 1);
}

#[test]
fn the_same_press_twice_is_one_cut_and_one_answer() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    mind(&bench);
    let form = bench.form(&bench.page("/bench/stick/S-1/cut"), "/bench/cut");
    let (one, two) = (bench.press(&form, &[]), bench.press(&form, &[]));
    assert_eq!((one.status, one.header("location")), (two.status, two.header("location")));
    let plans = served.book().bench().unwrap();
    let cut = plans[0].sticks.iter().flat_map(|stick| &stick.lay.rails);
    assert_eq!(cut.filter(|rail| rail.state == RailState::Cut).count(), 1);
    // Another form at the same cut, of whoever did not see it in time.
    let other = served.device(Role::Office);
    let late = form.fields.iter().filter(|(name, _)| name != "token");
    let token = other.form(&other.page("/devices"), "/devices/new").fields.remove(0).1;
    let mut fields: Vec<(&str, &str)> =
        late.map(|(name, value)| (name.as_str(), value.as_str())).collect();
    fields.push(("token", &token));
    let told = other.post("/bench/cut", &fields);
    assert_eq!(told.status, 409);
    assert!(told.body.contains("ticked off already"), "{}", told.body);
}

#[test]
fn a_server_that_is_started_anew_knows_its_devices_and_their_presses() {
    let mut served = Served::new();
    let bench = served.device(Role::Bench);
    mind(&bench);
    let form = bench.form(&bench.page("/bench/stick/S-1/cut"), "/bench/cut");
    let one = bench.press(&form, &[]);
    served.stop();
    served.start(longpoint::web::Pace::default());
    let two = bench.press(&form, &[]);
    assert_eq!((one.status, one.header("location")), (two.status, two.header("location")));
}

#[test]
fn a_stick_that_is_shorter_a_flaw_and_a_stick_that_is_lost_have_a_way_on() {
    let (served, _other, mut book) = two();
    let bench = served.device(Role::Bench);
    mind(&bench);
    // Keys, one after the other, are ways to the same page with one more figure.
    let keys = bench.page("/bench/stick/S-1/length?how=shorter&whole=8&part=");
    assert!(keys.contains("whole=88&amp;part=\""), "{keys}");
    assert!(keys.contains("part=1%2F2"), "{keys}");
    let keys = bench.page("/bench/stick/S-1/length?how=shorter&whole=88&part=1%2F2");
    follow(&bench, &keys, "/bench/stick/S-1/length");
    let correction = longpoint::book::Correction {
        length: Some(shops::inches("88 1/2")),
        ..longpoint::book::Correction::default()
    };
    book.correct("S-1", &correction, &stamp()).unwrap();
    assert_eq!(stand(&served.book()), stand(&book));
    // What is not shorter is not taken for it.
    let longer = bench.page("/bench/stick/S-1/length?how=shorter&whole=99&part=");
    assert!(longer.contains("That is not shorter"), "{longer}");
    let slots = bench.page("/bench/stick/S-1/flaw?from=3");
    let form = bench.form(&slots, "/bench/stick/S-1/flaw");
    assert_eq!(bench.press(&form, &[]).status, 303);
    let flaw = longpoint::shop::Flaw { from: shops::inches("3"), to: shops::inches("4") };
    book.flaw("S-1", &[flaw], &stamp()).unwrap();
    assert_eq!(stand(&served.book()), stand(&book));
    let wrong = bench.page("/bench/stick/S-1/wrong");
    let reply = bench.press(&bench.form(&wrong, "/bench/stick/S-1/gone"), &[]);
    assert_eq!(reply.status, 303, "{}", reply.body);
    book.scrap(&["S-1".to_owned()], &stamp()).unwrap();
    assert_eq!(stand(&served.book()), stand(&book));
    let list = bench.page("/bench");
    assert!(list.contains("OWED") && list.contains("PLAN THE REST AGAIN"), "{list}");
}

#[test]
fn a_plan_from_which_nothing_is_cut_is_put_back() {
    let (served, _other, mut book) = two();
    let bench = served.device(Role::Bench);
    let page = bench.page("/bench/finish?plan=1");
    follow(&bench, &page, "/bench/back");
    book.put_back(Some(1), &stamp()).unwrap();
    assert_eq!(stand(&served.book()), stand(&book));
    let undo = bench.form(&bench.page("/steps?day=2026-03-09"), "/undo");
    assert_eq!(bench.press(&undo, &[]).status, 303);
    served.book().cut("S-1", Some(1), &stamp()).unwrap();
    let page = bench.page("/bench/finish?plan=1");
    assert!(!page.contains("/bench/back"), "{page}");
}

#[test]
fn a_scanned_label_leads_to_its_stick_and_a_wrong_one_is_said() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    let found = bench.get("/bench/find?label=s-1");
    assert_eq!((found.status, found.header("location")), (303, "/bench/stick/S-1"));
    let address = bench.get("/bench/find?label=http%3A%2F%2Fshop.example%2Fs%2FS-1");
    assert_eq!(address.header("location"), "/bench/stick/S-1");
    let wrong = bench.get("/bench/find?label=S-99");
    assert!(wrong.body.contains("S-99 is not at the bench"), "{}", wrong.body);
}

#[test]
fn the_stop_is_said_to_move_unless_the_machine_stands_so() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    mind(&bench);
    let page = bench.page("/bench/stick/S-1/cut");
    let first = page.split("<section class=\"cut\"").nth(1).unwrap();
    assert!(first.contains("SET THE STOP"), "the first of the day: {first}");
    assert!(first.contains("CUT AWAY 1 in"), "the trim: {first}");
    let (page, _) = follow(&bench, &page, "/bench/cut");
    let next = page.split("<section class=\"cut\"").nth(1).unwrap_or_default();
    let plans = served.book().bench().unwrap();
    let stick = plans[0].sticks.iter().find(|stick| stick.lay.stick == "S-1").unwrap();
    let rails = &stick.card.rails;
    let same = rails[0].long_point == rails[1].long_point;
    assert_eq!(next.contains("SET THE STOP"), !same, "{next}");
}
