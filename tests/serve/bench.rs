//! The bench without scripts: forms alone, and the same book as by commands.

use longpoint::book::{
    Assembly, Book, CopyStand, Delivery, RackQuery, RailState, Role, Stamp, Which, words,
};

use longpoint::morning::plan_as_wished;
use longpoint::plan::{Warning, Wishes};
use longpoint::web::Pace;

use super::counter::ready;
use super::http;
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
pub fn follow(bench: &Visitor, page: &str, action: &str) -> (String, String) {
    let reply = bench.press(&bench.form(page, action), &[]);
    assert_eq!(reply.status, 303, "{}", reply.body);
    let to = reply.header("location").to_owned();
    (bench.page(&to), to)
}

/// Everything of the book but who and when.
pub fn stand(book: &Book) -> String {
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
    let shop = book.shop().unwrap();
    let copies: Vec<CopyStand> =
        shop.frames.iter().flat_map(|frame| book.copies_of(frame).unwrap()).collect();
    format!("{rails:#?}\n{rack:#?}\n{steps:#?}\n{copies:#?}\n{:?}", book.files().unwrap())
}

pub fn stamp() -> Stamp {
    Stamp { by: "the bench".to_owned(), at: shops::TODAY.at(9, 0, 0, 0), ..shops::stamp() }
}

/// Two books of the same morning.
pub fn two() -> (Served, tempfile::TempDir, Book) {
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
    // The joiner's: each frame joined and fitted, one made anew and cut again.
    let all: Vec<(String, u32)> = book.bench().unwrap()[0].copies.clone();
    for (frame, copy) in &all {
        for made in [Assembly::Joined, Assembly::Fitted] {
            let page = bench.page(&format!("/joiner/{frame}/{copy}"));
            let word = made.word();
            let own = http::forms(&page).into_iter().find(|form| {
                form.action == "/joiner/made"
                    && form.fields.contains(&("made".to_owned(), word.to_owned()))
            });
            assert_eq!(bench.press(&own.unwrap(), &[]).status, 303);
            book.make(frame, Some(*copy), made, &stamp()).unwrap();
            assert_eq!(stand(&served.book()), stand(&book), "{frame} {copy} {word}");
        }
    }
    let page = bench.page("/joiner/2/1");
    let rail = http::forms(&page).into_iter().find(|form| form.action == "/joiner/remake").unwrap();
    assert_eq!(bench.press(&rail, &[]).status, 303);
    let side = rail.fields.iter().find(|(name, _)| name == "side").unwrap().1.clone();
    let which = Which { copy: Some(1), layer: Some(1), side: Some(side) };
    book.spoil_frame("2", &which, &stamp()).unwrap();
    assert_eq!(stand(&served.book()), stand(&book));
    // The counter's: a job is taken, changed, cancelled.
    let counter = served.device(Role::Counter);
    let (_, page) = ready(&counter, "/counter?size=8x10&moulding=oak&due=2026-03-20");
    let form = counter.form(&page, "/counter/take");
    let reply = counter.press(&form, &[("ticket", "8"), ("note", "Halloran")]);
    let (at, _) = ready(&counter, reply.header("location"));
    assert!(at.starts_with("/ticket/8"), "{at}");
    let frame = served.book().shop().unwrap().frame("8").unwrap().clone();
    book.take_ticket(&frame, &stamp()).unwrap();
    assert_eq!(stand(&served.book()), stand(&book));
    let change = counter.form(&counter.page("/ticket/8"), "/ticket/8/change");
    assert_eq!(counter.press(&change, &[("size", "8x12"), ("due", "")]).status, 303);
    let size = (shops::inches("8"), shops::inches("12"));
    book.change_ticket("8", (Some(size), None), &stamp()).unwrap();
    assert_eq!(stand(&served.book()), stand(&book));
    let cancel = counter.form(&counter.page("/ticket/8"), "/ticket/8/cancel");
    assert_eq!(counter.press(&cancel, &[]).status, 303);
    book.cancel("8", None, &stamp()).unwrap();
    assert_eq!(stand(&served.book()), stand(&book));
    // What came is received, without an order here; with one in `office.rs`.
    let came = bench.form(&bench.page("/receive"), "/receive");
    let sticks =
        [("moulding", "ASH"), ("count", "2"), ("length", "108"), ("lot", "C"), ("place", "bay 3")];
    assert_eq!(bench.press(&came, &sticks).status, 303);
    let delivery = Delivery {
        moulding: "ASH".to_owned(),
        lengths: vec![shops::inches("108"); 2],
        lot: "C".to_owned(),
        place: "bay 3".to_owned(),
        flaws: Vec::new(),
        line: None,
    };
    book.receive(&delivery, &stamp()).unwrap();
    assert_eq!(stand(&served.book()), stand(&book));
    let page = bench.page("/bench/finish?plan=1");
    let reply = bench.press(&bench.form(&page, "/bench/finish"), &[("place", "bay 1")]);
    assert_eq!(reply.status, 303, "{}", reply.body);
    let finished = book.finish(Some(1), ("bay 1", false), &stamp()).unwrap();
    // What goes where is said as the command says it.
    let page = bench.page(reply.header("location"));
    for line in words::finish_words(&book.shop().unwrap(), &finished).lines() {
        assert!(page.contains(line.trim()), "{line}: {page}");
    }
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

/// What is left of the stick may serve the rail that is owed: one thing at a time.
#[test]
fn a_chip_at_the_last_cut_asks_one_thing() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    mind(&bench);
    let cuts = served.book().bench().unwrap()[0]
        .sticks
        .iter()
        .find(|stick| stick.lay.stick == "S-1")
        .map(|stick| stick.lay.rails.len())
        .unwrap();
    served.book().cut("S-1", Some(cuts - 1), &shops::stamp()).unwrap();
    let page = bench.page("/bench/stick/S-1/cut");
    let (page, _) = follow(&bench, &page, "/bench/chip");
    assert!(page.contains("is spoiled and owed"), "{page}");
    assert_eq!(page.matches("PLAN THE REST AGAIN").count(), 1, "{page}");
    for other in ["KEEP", "is scrap", "Next: fetch"] {
        assert!(!page.contains(other), "{other}: {page}");
    }
    // Whoever goes on without is told what to keep, and what is still owed.
    let page = bench.page("/bench/stick/S-1/cut?after=0");
    assert!(page.contains("KEEP") || page.contains("is scrap"), "{page}");
    assert!(page.contains("OWED in") && page.contains("PLAN THE REST AGAIN"), "{page}");
}

/// What is kept while the line is down may be taken back in the same order.
#[test]
fn a_press_that_names_another_press_takes_back_its_step() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    mind(&bench);
    let page = bench.page("/bench/stick/S-1/cut");
    let cut = bench.form(&page, "/bench/cut");
    let kept = cut.fields.iter().find(|(name, _)| name == "token").unwrap().1.clone();
    let backs: Vec<_> =
        http::forms(&page).into_iter().filter(|form| form.action == "/undo").collect();
    let back = &backs[0];
    let fields: Vec<(&str, &str)> = back
        .fields
        .iter()
        .map(|(name, text)| (name.as_str(), if name == "press" { kept.as_str() } else { text }))
        .collect();
    // Before it came: there is nothing to take back.
    let none = bench.post("/undo", &fields);
    assert_eq!(none.status, 409);
    assert!(none.body.contains("there is nothing to take back"), "{}", none.body);
    assert_eq!(bench.press(&cut, &[]).status, 303);
    let before = served.book().version().unwrap();
    for _ in 0..2 {
        assert_eq!(bench.post("/undo", &fields).status, 303);
    }
    assert_eq!(served.book().version().unwrap(), before + 1, "once");
    let plans = served.book().bench().unwrap();
    let mut rails = plans[0].sticks.iter().flat_map(|stick| &stick.lay.rails);
    assert!(rails.all(|rail| rail.state != RailState::Cut));
    // Another device's press is none of its own.
    let other = served.device(Role::Office);
    let token = other.form(&other.page("/devices"), "/devices/new").fields.remove(0).1;
    let reply = other.post("/undo", &[("token", &token), ("press", &kept), ("back", "/bench")]);
    assert_eq!(reply.status, 409, "{}", reply.body);
}

/// The cut of a page that is in sight.
fn first(page: &str) -> &str {
    page.split("data-cut=").nth(1).unwrap()
}

#[test]
fn back_one_takes_back_a_cut_of_this_stick_and_nothing_else() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    mind(&bench);
    let path = "/bench/stick/S-1/cut";
    // Nothing is cut: back to its length, and the plan stays at the bench.
    let page = bench.page(path);
    assert!(page.contains("href=\"/bench/stick/S-1\">BACK ONE</a>"), "{page}");
    assert!(!first(&page).contains("action=\"/undo\""), "{page}");
    let before = stand(&served.book());
    assert_eq!(bench.press(&bench.form(&page, "/bench/cut"), &[]).status, 303);
    let page = bench.page(path);
    let says = "BACK ONE takes back cut 1 of S-1, ";
    assert!(page.contains(says), "{page}");
    // Somebody else cuts another stick: why it cannot be taken back is said.
    let other = served.book().bench().unwrap()[0]
        .sticks
        .iter()
        .map(|own| own.lay.stick.clone())
        .find(|stick| stick != "S-1")
        .unwrap();
    served.book().cut(&other, Some(1), &shops::stamp()).unwrap();
    let page = bench.page(path);
    assert!(page.contains("Last here was cut 1 of S-1, ") && page.contains("by Ana"), "{page}");
    assert!(!first(&page).contains("action=\"/undo\""), "{page}");
    served.book().undo(None, &shops::stamp()).unwrap();
    let undo = bench.form(&bench.page(path), "/undo");
    assert_eq!(bench.press(&undo, &[]).status, 303);
    let rails = |stand: &str| stand.split("\n[").next().unwrap().to_owned();
    assert_eq!(rails(&stand(&served.book())), rails(&before));
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
    served.start(Pace::default());
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
    // What is not shorter is not taken for it, whatever the form says.
    let longer = bench.page("/bench/stick/S-1/length?how=shorter&whole=99&part=");
    assert!(longer.contains("That is not shorter"), "{longer}");
    let mut form = bench.form(&longer, "/bench/stick/S-1/length");
    let refused = bench.press(&form, &[]);
    assert!(refused.status == 409 && refused.body.contains("is not shorter than"));
    // What is a quarter off is asked for once more.
    form.fields.retain(|(name, _)| name != "length");
    let refused = bench.press(&form, &[("length", "60")]);
    assert!(refused.status == 409 && refused.body.contains("more than a quarter of it"));
    let far = "/bench/stick/S-1/length?how=shorter&whole=60&part=";
    let page = bench.page(far);
    assert!(page.contains("sure=ask") && !page.contains("action=\"/bench/stick/S-1/length\""));
    let page = bench.page(&format!("{far}&sure=ask"));
    assert!(page.contains("28 1/2 in") && page.contains("measured twice?"), "{page}");
    assert_eq!(stand(&served.book()), stand(&book));
    // Its two ends are tapped in either order.
    let slots = bench.page("/bench/stick/S-1/flaw?from=4");
    let form = tapped(&slots, ("3", "5"));
    assert_eq!(bench.press(&form, &[]).status, 303);
    let flaw = longpoint::shop::Flaw { from: shops::inches("3"), to: shops::inches("5") };
    book.flaw("S-1", &[flaw], &stamp()).unwrap();
    assert_eq!(stand(&served.book()), stand(&book));
    let wrong = bench.page("/bench/stick/S-1/wrong");
    let reply = bench.press(&bench.form(&wrong, "/bench/stick/S-1/gone"), &[]);
    assert_eq!(reply.status, 303, "{}", reply.body);
    // What is owed for it is said as the command says it.
    let all = book.scrap(&["S-1".to_owned()], &stamp()).unwrap();
    let said = words::scrapped_words(book.path(), &book.shop().unwrap(), &all[0]);
    let page = bench.page(reply.header("location"));
    assert!(page.contains(&longpoint::report::either::pressed(&said)), "{said}: {page}");
    assert_eq!(stand(&served.book()), stand(&book));
    let list = bench.page("/bench");
    assert!(list.contains("OWED") && list.contains("PLAN THE REST AGAIN"), "{list}");
}

/// The form of a page whose flaw lies between these pieces.
fn tapped(page: &str, (from, to): (&str, &str)) -> http::PageForm {
    let says = |form: &http::PageForm, name: &str, is: &str| {
        form.fields.contains(&(name.to_owned(), is.to_owned()))
    };
    let found = http::forms(page).into_iter().find(|form| {
        form.action.ends_with("/flaw") && says(form, "from", from) && says(form, "to", to)
    });
    found.unwrap_or_else(|| panic!("no flaw from {from} to {to} in {page}"))
}

/// A flaw was said only where the cut is that lies on it, and the command said that it lies
/// in no rail: it is said where the stick is fetched and measured, and what is to be done.
#[test]
fn a_flaw_is_said_where_its_stick_is_fetched_and_measured() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    mind(&bench);
    assert!(!bench.page("/bench").contains("A CUT LIES ON IT"));
    let command = || {
        let run = std::process::Command::new(env!("CARGO_BIN_EXE_longpoint"))
            .args(["bench".as_ref(), served.path().as_os_str()])
            .output()
            .unwrap();
        String::from_utf8(run.stdout).unwrap()
    };
    let page = bench.page("/bench/stick/S-1/flaw?from=3");
    assert_eq!(bench.press(&tapped(&page, ("3", "4")), &[]).status, 303);
    let own = |book: &Book| {
        let at = book.bench().unwrap().remove(0);
        at.sticks.into_iter().find(|own| own.lay.stick == "S-1").unwrap()
    };
    assert_eq!(own(&served.book()).on_flaw, [1]);
    for path in ["/bench", "/bench/stick/S-1"] {
        let page = bench.page(path);
        let said = "FLAW 3 to 4 in from the marked end; A CUT LIES ON IT";
        assert!(page.contains(said), "{path}: {page}");
    }
    let said = command();
    assert!(said.contains("flaw from 3 to 4: IN CUT 1, plan the rest again"), "{said}");
    assert!(!said.contains("flaw from 3 to 4: in no rail"), "{said}");
    assert_eq!(bench.page("/bench/stick/S-1/cut").matches("THIS CUT LIES ON A FLAW").count(), 1);
    // So it is, with the way on, as long as others are cut before.
    served.book().undo(None, &stamp()).unwrap();
    let second = own(&served.book()).lay.rails[1].clone();
    let zone = longpoint::shop::Flaw { from: second.from, to: second.to };
    served.book().flaw("S-1", &[zone], &stamp()).unwrap();
    let page = bench.page("/bench/stick/S-1/cut");
    let (shown, _) = page.split_once("class=\"reading\"").unwrap();
    assert!(
        shown.contains("A later cut lies on a flaw") && shown.contains("PLAN THE REST AGAIN"),
        "{page}"
    );
    // One that lies in what is left hurts no cut, and is said all the same.
    served.book().undo(None, &stamp()).unwrap();
    let length = own(&served.book()).left;
    let end = longpoint::shop::Flaw { from: length - shops::inches("1"), to: length };
    let mut book = served.book();
    assert_eq!(book.flaw("S-1", &[end], &stamp()).unwrap(), [end]);
    let said = command();
    assert!(said.contains("in no rail") && !said.contains("IN CUT"), "{said}");
    let page = bench.page("/bench");
    assert!(page.contains("FLAW ") && !page.contains("A CUT LIES ON IT"), "{page}");
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

/// Two press it at once: the second hears who planned it, not that there is nothing to cut.
#[test]
fn the_second_who_plans_the_morning_hears_who_planned_it() {
    let dir = tempfile::tempdir().unwrap();
    drop(shops::begin(dir.path(), &shops::files()));
    let served = Served::of(dir, Pace::default());
    let (bench, office) = (served.device(Role::Bench), served.device(Role::Office));
    let form = |visitor: &Visitor| visitor.form(&visitor.page("/bench"), "/bench/take");
    let (first, second) = (form(&bench), form(&office));
    let first = bench.press(&first, &[]);
    let second = office.press(&second, &[]);
    ready(&bench, first.header("location"));
    let planned = served.book().last_step().unwrap().unwrap().done;
    let told = (0..600).find_map(|_| {
        std::thread::sleep(std::time::Duration::from_millis(100));
        let reply = office.get(second.header("location"));
        (reply.status != 200).then_some(reply)
    });
    let told = told.unwrap();
    let words = format!("planned already, at 09:00 by the bench (step {})", planned.number);
    assert!(told.status == 409 && told.body.contains(&words), "{} {}", told.status, told.body);
    assert_eq!(served.book().version().unwrap(), planned.number, "nothing else was done");
}

/// A stick of which nobody wrote down where it lies is fetched from nowhere in particular.
#[test]
fn a_stick_without_a_place_is_fetched_without_one() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = shops::files();
    let rack = String::from_utf8(files.remove("rack.csv").unwrap()).unwrap();
    let rack = ["bay 1", "bay 2", "bay 3"].iter().fold(rack, |rack, bay| rack.replace(bay, ""));
    files.insert("rack.csv".to_owned(), rack.into_bytes());
    let mut book = shops::begin(dir.path(), &files);
    shops::take(&mut book);
    let own = book.bench().unwrap().remove(0).sticks.remove(0).lay;
    let served = Served::of(dir, Pace::default());
    let bench = served.device(Role::Bench);
    let way = format!("/bench/stick/{}/cut", own.stick);
    let form = bench.form(&bench.page(&way), "/bench/mind");
    let all = form.fields.iter().find(|(name, _)| name == "all").unwrap().1.parse().unwrap();
    bench.press(&form, &vec![("minded", "1"); all]);
    served.book().cut(&own.stick, None, &shops::stamp()).unwrap();
    let page = bench.page(&format!("{way}?after={}", own.rails.len()));
    assert!(page.contains("Next: fetch <b>") && !page.contains(" from <"), "{page}");
}

#[test]
fn a_scanned_label_leads_to_its_stick_and_a_wrong_one_is_said() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    let found = bench.get("/bench/find?label=s-1");
    assert_eq!((found.status, found.header("location")), (303, "/bench/stick/S-1"));
    let address = bench.get("/bench/find?label=http%3A%2F%2Fshop.example%2Fs%2FS-1");
    assert_eq!(address.header("location"), "/bench/stick/S-1");
    for empty in ["", "+", "http%3A%2F%2Fshop.example%2F"] {
        let none = bench.get(&format!("/bench/find?label={empty}"));
        assert!(none.status == 409 && none.body.contains("no label was read"), "{}", none.body);
    }
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
    assert!(first.contains("\u{b0} AND STOP"), "the first of the day: {first}");
    assert!(first.contains("SET MITRE 45"), "nobody knows how it was left: {first}");
    assert!(first.contains("CUT AWAY 1 in"), "the trim: {first}");
    let (page, _) = follow(&bench, &page, "/bench/cut");
    let next = page.split("<section class=\"cut\"").nth(1).unwrap_or_default();
    let plans = served.book().bench().unwrap();
    let stick = plans[0].sticks.iter().find(|stick| stick.lay.stick == "S-1").unwrap();
    let rails = &stick.card.rails;
    let same = rails[0].long_point == rails[1].long_point;
    assert_eq!(next.contains("SET THE STOP"), !same, "{next}");
    assert!(!next.contains("SET MITRE"), "it stands so: {next}");
}

/// BACK ONE moves no machine: what was cut stays as it is set, or it was never set for it.
#[test]
fn where_the_last_cut_is_undone_stop_and_mitre_are_to_be_set() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    mind(&bench);
    let page = bench.page("/bench/stick/S-1/cut");
    let (page, _) = follow(&bench, &page, "/bench/cut");
    let (page, _) = follow(&bench, &page, "/bench/cut");
    let (page, _) = follow(&bench, &page, "/undo");
    let cut = |page: &str| page.split("<section class=\"cut\"").nth(1).unwrap().to_owned();
    assert!(cut(&page).contains("cut <b>2</b> of"), "{page}");
    assert!(cut(&page).contains("SET MITRE 45\u{b0} AND STOP"), "{page}");
    let (page, _) = follow(&bench, &page, "/bench/cut");
    assert!(!cut(&page).contains("SET MITRE"), "it is cut anew and stands so: {page}");
}

/// With a rail owed, everything was said to be cut.
#[test]
fn not_everything_is_cut_while_a_rail_is_owed() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    served.book().cut_all(None, &shops::stamp()).unwrap();
    assert!(bench.page("/bench").contains("Everything is cut."));
    let page = bench.page("/joiner/1/1");
    let rail = http::forms(&page).into_iter().find(|form| form.action == "/joiner/remake").unwrap();
    let reply = bench.press(&rail, &[]);
    let side = &rail.fields.iter().find(|(name, _)| name == "side").unwrap().1;
    // What is owed now, and whose turn it is, was not said.
    let said = format!("1 {side} is spoiled and owed. Plan the rest again.");
    let page = bench.page(reply.header("location"));
    assert!(page.contains(&said), "{said}: {page}");
    let page = bench.page("/bench");
    assert!(!page.contains("Everything is cut."), "{page}");
    assert!(page.contains("All that is laid out is cut; what is owed is not."), "{page}");
    let counter = served.device(Role::Counter);
    let remake = counter.form(&counter.page("/ticket/5"), "/ticket/5/remake");
    let reply = counter.press(&remake, &[("side", "left")]);
    let page = counter.page(reply.header("location"));
    assert!(page.contains("5 left is spoiled and owed. Plan the rest again."), "{page}");
}

/// Two plans at the bench had the same press twice to finish the day.
#[test]
fn of_two_plans_each_says_which_is_finished() {
    let mut files = shops::files();
    let frames = "frame,moulding,width,height,match\n1,ASH,8,10,any\n2,OAK,8,10,any\n";
    files.insert("frames.csv".to_owned(), frames.into());
    let dir = tempfile::tempdir().unwrap();
    let mut book = shops::begin(dir.path(), &files);
    for only in ["1", "2"] {
        let wishes = Wishes { only: Some([only.to_owned()].into()), ..Wishes::default() };
        let snapshot = book.snapshot().unwrap();
        let plan = plan_as_wished(&snapshot.shop, shops::TODAY, &wishes, shops::limits()).unwrap();
        book.take(&snapshot, &plan, &shops::stamp()).unwrap();
    }
    let served = Served::of(dir, Pace::default());
    let bench = served.device(Role::Bench);
    let page = http::plain(&bench.page("/bench"));
    for plan in ["1", "2"] {
        assert!(page.contains(&format!(">FINISH THE DAY: PLAN {plan}</a>")), "{page}");
        let asked = bench.page(&format!("/bench/finish?plan={plan}"));
        assert!(asked.contains(&format!("<h1>Finish the day: plan {plan}</h1>")), "{asked}");
    }
    book.put_back(Some(2), &shops::stamp()).unwrap();
    assert!(bench.page("/bench").contains(">FINISH THE DAY</a>"));
}

/// A saw that was left at 30 degrees by a plan that is finished cut the next frame so.
#[test]
fn what_a_finished_plan_left_the_machine_at_is_not_trusted() {
    let mut files = shops::files();
    let frames =
        "frame,layer,moulding,width,height,sides,match\n1,,ASH,8,10,,any\n2,,ASH,8,,6,any\n";
    files.insert("frames.csv".to_owned(), frames.into());
    let dir = tempfile::tempdir().unwrap();
    let mut book = shops::begin(dir.path(), &files);
    for only in ["1", "2"] {
        let wishes = Wishes { only: Some([only.to_owned()].into()), ..Wishes::default() };
        let snapshot = book.snapshot().unwrap();
        let plan = plan_as_wished(&snapshot.shop, shops::TODAY, &wishes, shops::limits()).unwrap();
        book.take(&snapshot, &plan, &shops::stamp()).unwrap();
    }
    let plans = book.bench().unwrap();
    let square = plans[0].sticks[0].lay.stick.clone();
    book.cut(&square, Some(1), &shops::stamp()).unwrap();
    let served = Served::of(dir, Pace::default());
    let bench = served.device(Role::Bench);
    let path = format!("/bench/stick/{square}/cut");
    let minded = bench.page(&path);
    let form = bench.form(&minded, "/bench/mind");
    let all: usize = form.fields.iter().find(|(name, _)| name == "all").unwrap().1.parse().unwrap();
    assert_eq!(bench.press(&form, &vec![("minded", "1"); all]).status, 303);
    let next = || {
        let page = bench.page(&path);
        page.split("<section class=\"cut\"").nth(1).unwrap_or_default().to_owned()
    };
    assert!(!next().contains("SET MITRE"), "it stands at 45: {}", next());
    book.cut_all(Some(plans[1].job), &shops::stamp()).unwrap();
    assert!(next().contains("SET MITRE 45"), "it stands at 30: {}", next());
    book.finish(Some(plans[1].job), ("bay 1", false), &shops::stamp()).unwrap();
    assert!(next().contains("SET MITRE 45"), "it still does: {}", next());
}

/// The demo's morning at the bench, with what its plan warned of.
pub fn demo() -> (Served, Vec<longpoint::plan::Warning>) {
    let dir = tempfile::tempdir().unwrap();
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo");
    let (shop, files) = longpoint::shop::read_folder_and_files(&demo).unwrap();
    let mut book =
        Book::begin(&dir.path().join("shop.book"), (&shop, &files), &shops::stamp()).unwrap();
    let snapshot = book.snapshot().unwrap();
    let morning = jiff::civil::date(2026, 11, 25);
    let plan = longpoint::morning::plan(&snapshot.shop, morning, shops::limits()).unwrap();
    let taken = book.take(&snapshot, &plan, &shops::stamp()).unwrap();
    drop(book);
    (Served::of(dir, Pace::default()), taken.plan.warnings.clone())
}

/// The page went straight to the bench, and the joiner was told the match that was asked.
#[test]
fn what_a_plan_warned_of_stands_at_the_bench_and_at_the_joiner() {
    let (served, warned) = demo();
    let at = served.book().bench().unwrap().remove(0);
    let is_at_bench = |warning: &longpoint::plan::Warning| {
        let frame = match warning {
            Warning::TooThick { frame, .. }
            | Warning::Late { frame, .. }
            | Warning::Relaxed { frame, .. } => frame,
        };
        at.copies.iter().any(|(id, _)| id == frame)
    };
    let said = |all: &[Warning]| {
        let all = all.iter().filter(|warning| is_at_bench(warning));
        all.map(|warning| format!("{warning:?}")).collect::<std::collections::BTreeSet<_>>()
    };
    assert!(!said(&warned).is_empty(), "{warned:?}");
    assert_eq!(said(&at.warnings), said(&warned));
    let words = "4118, layer 1: match wrap is impossible on every stick: planned as match halves.";
    let bench = served.device(Role::Bench);
    let page = bench.page("/bench");
    assert!(page.contains("LOOK AT FIRST") && page.contains(words), "{page}");
    let chop = served.device(Role::Office).page("/print/chop?plan=1");
    assert!(chop.contains("Look at first") && chop.contains(words), "{chop}");
    let page = bench.page("/joiner/4118/1");
    assert!(page.contains("Match <b>halves</b> (wrap was impossible)"), "{page}");
    let mut sticks =
        at.sticks.iter().filter(|stick| stick.lay.rails.iter().any(|rail| rail.frame == "4118"));
    let stick = sticks.next().unwrap().lay.stick.clone();
    let page = bench.page(&format!("/bench/stick/{stick}"));
    let form = bench.form(&page, "/bench/mind");
    let all: usize = form.fields.iter().find(|(name, _)| name == "all").unwrap().1.parse().unwrap();
    assert_eq!(bench.press(&form, &vec![("minded", "1"); all]).status, 303);
    let page = bench.page(&format!("/bench/stick/{stick}"));
    assert!(page.contains("It measures") && page.contains(words), "{page}");
    // What is cut is still said to be what it is.
    served.book().cut_all(None, &shops::stamp()).unwrap();
    let page = bench.page("/joiner/4118/1");
    assert!(page.contains("Match <b>halves</b> (wrap was impossible)"), "{page}");
}

/// Fifteen lines of what is late pushed the first stick to fetch out of sight: many are behind
/// one that says how many there are of what.
#[test]
fn many_lines_to_look_at_first_are_behind_one_that_counts_them() {
    let mut files = shops::files();
    let frames = String::from_utf8(files.remove("frames.csv").unwrap()).unwrap();
    let late = frames.replace("2026-03-", "2026-02-");
    files.insert("frames.csv".to_owned(), late.into_bytes());
    let dir = tempfile::tempdir().unwrap();
    let mut book = shops::begin(dir.path(), &files);
    shops::take(&mut book);
    let warnings = book.bench().unwrap().remove(0).warnings;
    let late = warnings.iter().filter(|of| matches!(of, Warning::Late { .. })).count();
    assert!(late > 2 && late == warnings.len(), "{warnings:?}");
    let page = Served::of(dir, Pace::default()).device(Role::Bench).page("/bench");
    let (_, folded) = page.split_once("<details class=\"framed first\"><summary>").unwrap();
    let (summary, folded) = folded.split_once("</summary>").unwrap();
    assert_eq!(summary, format!("LOOK AT FIRST: {late} late"));
    let lines = folded.split_once("</details>").unwrap().0;
    assert_eq!(lines.matches("<p>").count(), late, "{lines}");
}

#[test]
fn a_promise_that_the_morning_does_not_keep_is_said_where_it_is_planned() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = shops::begin(dir.path(), &shops::files());
    let frame = book.shop().unwrap().frame("1").unwrap().clone();
    let due = Some(shops::TODAY.yesterday().unwrap());
    let frame = longpoint::shop::Frame { id: "9".to_owned(), due, promised: true, ..frame };
    book.take_ticket(&frame, &shops::stamp()).unwrap();
    drop(book);
    let served = Served::of(dir, Pace::default());
    let bench = served.device(Role::Bench);
    let form = bench.form(&bench.page("/bench"), "/bench/take");
    let (_, page) = ready(&bench, bench.press(&form, &[]).header("location"));
    let words =
        "PROMISED for Sunday 8 March 2026, and not kept: 9: the day is over. Call the customer.";
    assert!(page.contains(words), "{page}");
    let page = bench.page("/bench");
    assert!(page.contains("9: was wanted on 2026-03-08."), "{page}");
    // It stands wherever it is looked at, for as long as it is so, and at the command too.
    let office = served.device(Role::Office);
    assert!(page.contains(words) && office.page("/office").contains(words));
    let wall = served.device(Role::Wall);
    let all: String = (0..8).map(|at| wall.page(&format!("/wall?page={at}"))).collect();
    assert!(all.contains("PROMISED, NOT KEPT: <b>1</b>"), "{all}");
    assert!(all.contains("not kept: 9: the day is over"), "{all}");
    let said = || {
        let mut program = std::process::Command::new(env!("CARGO_BIN_EXE_longpoint"));
        let said = program.arg("bench").arg(served.path()).output().unwrap();
        String::from_utf8_lossy(&said.stdout).into_owned()
    };
    let begin = "! PROMISED for Sunday 8 March 2026, and not kept: 9: the day is over.";
    assert!(said().starts_with(begin), "{}", said());
    let first = said().find("LOOK AT FIRST").unwrap();
    assert!(said()[first..].contains("! 9: was wanted on 2026-03-08."), "{}", said());
    let later = Some(shops::TODAY.tomorrow().unwrap());
    served.book().change_ticket("9", (None, later), &shops::stamp()).unwrap();
    assert!(!bench.page("/bench").contains("PROMISED") && !said().contains("PROMISED"));
}

#[test]
fn a_flaw_of_a_stick_that_is_cut_in_part_is_counted_from_its_fresh_cut() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    let page = bench.page("/bench/stick/S-1/flaw");
    assert!(page.contains("or here, from the marked end"), "{page}");
    assert!(page.contains("class=\"open\""), "{page}");
    let before = bench.page("/bench/stick/S-1/flaw?from=3");
    served.book().cut("S-1", Some(2), &stamp()).unwrap();
    // What was tapped before the cut is another place after it.
    let told = bench.press(&tapped(&before, ("3", "4")), &[]);
    assert!(told.status == 409 && told.body.contains("was cut or measured since"), "{}", told.body);
    let page = bench.page("/bench/stick/S-1/flaw");
    assert!(page.contains("or here, from the end you cut last"), "{page}");
    assert!(!page.contains("class=\"off\""), "what is off is not drawn: {page}");
    let office = served.device(Role::Office);
    let page = office.page("/s/S-1");
    assert!(
        page.contains("href=\"/bench/stick/S%2D1/flaw\"")
            || page.contains("href=\"/bench/stick/S-1/flaw\""),
        "{page}"
    );
    assert!(!page.contains("Where, from"), "nothing is typed at the bench: {page}");
    assert!(page.contains("Flaws from the end you cut last"), "{page}");
    let dir = tempfile::tempdir().unwrap();
    drop(shops::begin(dir.path(), &shops::files()));
    let page = Served::of(dir, Pace::default()).device(Role::Office).page("/s/S-2");
    assert!(page.contains("Where, from the marked end"), "{page}");
    // A ticket that shares it is cancelled: what others have on it moves up, and it is in hand
    // as before, without another trim.
    let at = served.book().bench().unwrap().remove(0);
    let own = at.sticks.iter().find(|own| own.lay.stick == "S-1").unwrap();
    let frame = own.lay.rails.last().unwrap().frame.clone();
    served.book().cancel(&frame, None, &stamp()).unwrap();
    assert!(served.book().bench().unwrap()[0].owed.is_empty());
    assert!(bench.page("/bench").contains("in hand: "), "{}", bench.page("/bench"));
    let page = bench.page("/bench/stick/S-1/flaw");
    assert!(page.contains("or here, from the end you cut last"), "{page}");
    mind(&bench);
    let page = bench.page("/bench/stick/S-1/cut");
    assert!(page.contains("cut <b>1</b>") && !page.contains("CUT AWAY"), "{page}");
}

/// Planning says how many mouldings are done, and whoever looks elsewhere meanwhile may.
#[test]
fn planning_says_how_far_it_is_and_can_be_left() {
    let dir = tempfile::tempdir().unwrap();
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo");
    let (shop, files) = longpoint::shop::read_folder_and_files(&demo).unwrap();
    drop(Book::begin(&dir.path().join("shop.book"), (&shop, &files), &stamp()).unwrap());
    let served = Served::of(dir, Pace { requests: (9_000, 9_000), ..Pace::default() });
    let bench = served.device(Role::Bench);
    let reply = bench.press(&bench.form(&bench.page("/bench"), "/bench/take"), &[]);
    let (to, mut seen, mut elsewhere) = (reply.header("location").to_owned(), String::new(), 0);
    loop {
        let reply = bench.get(&to);
        if reply.status == 303 {
            break;
        }
        assert!(reply.body.contains("GO ON ELSEWHERE"), "{}", reply.body);
        elsewhere += usize::from(bench.get("/rack").status == 200);
        seen += &reply.body;
    }
    assert!(seen.contains("mouldings are done"), "{seen}");
    assert!(elsewhere > 0);
    assert_eq!(served.book().bench().unwrap().len(), 1);
}

/// A tablet is out of reach when a ticket is cancelled: what was cut meanwhile is what it is
/// of the others, and the first rail that is not the next any more is told.
#[test]
fn a_cut_that_was_seen_before_a_ticket_was_cancelled_is_the_same_cut() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    let at = served.book().bench().unwrap().remove(0);
    let shared = |own: &&longpoint::book::BenchStick| {
        let rails = &own.lay.rails;
        rails.iter().any(|rail| rail.frame != rails[0].frame)
    };
    let own = at.sticks.iter().find(shared).unwrap();
    let (stick, rails) = (own.lay.stick.clone(), own.lay.rails.clone());
    let other = rails.iter().find(|rail| rail.frame != rails[0].frame).unwrap().frame.clone();
    mind(&bench);
    let form = bench.form(&bench.page(&format!("/bench/stick/{stick}/cut")), "/bench/cut");
    served.book().cancel(&other, None, &stamp()).unwrap();
    let laid = |book: &Book| {
        let at = book.bench().unwrap().remove(0);
        at.sticks.into_iter().find(|own| own.lay.stick == stick).unwrap().lay.rails
    };
    assert_ne!(laid(&served.book())[0].id(), rails[0].id(), "it is laid out anew");
    let reply = bench.press(&form, &[]);
    assert_eq!(reply.status, 303, "{}", reply.body);
    let now = laid(&served.book());
    let cut: Vec<bool> = now.iter().map(|rail| rail.state == RailState::Cut).collect();
    assert!(cut[0] && !cut[1..].contains(&true), "{now:?}");
    assert_eq!((&now[0].frame, now[0].side), (&rails[0].frame, rails[0].side));
    // Of the ticket that is gone nothing is ticked off any more.
    let gone = rails.iter().find(|rail| rail.frame == other).unwrap().id();
    let refused = served.book().cut_next(gone, &stamp()).unwrap_err().to_string();
    assert!(refused.contains("not the next cut"), "{refused}");
    shops::balanced(&served.book());
}

/// All that is left of the stick in hand is cancelled: the bench says what to do with the
/// rest, and one press settles it. The rail that is spare lies there, named.
#[test]
fn the_rest_of_a_stick_whose_tickets_are_cancelled_is_kept_by_one_press() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    mind(&bench);
    served.book().cut("S-1", Some(1), &stamp()).unwrap();
    let own = |book: &Book| {
        let at = book.bench().unwrap().remove(0);
        at.sticks.into_iter().find(|own| own.lay.stick == "S-1").unwrap()
    };
    while let Some(frame) = {
        let rails = own(&served.book()).lay.rails;
        let mut open = rails.into_iter().filter(|rail| rail.state == RailState::ToCut);
        open.next().map(|rail| rail.frame)
    } {
        served.book().cancel(&frame, None, &stamp()).unwrap();
    }
    let rest = own(&served.book());
    assert!(rest.is_rest() && !rest.lay.label.is_empty(), "{rest:?}");
    let says = format!("write {} on it", rest.lay.label);
    let page = bench.page("/bench");
    assert!(page.contains("KEEP ") && page.contains(&says), "{page}");
    let spare = served.book().spare().unwrap()[0].1.spare_label();
    assert!(page.contains("Spare rails") && page.contains(&format!("/s/{spare}")), "{page}");
    let office = served.device(Role::Office);
    let page = office.page("/s/S-1");
    assert!(page.contains("ITS REST") && !page.contains("CUT IT"), "{page}");
    let page = bench.page("/bench/stick/S-1/cut");
    assert!(page.contains("Nothing more is cut from S-1"), "{page}");
    assert!(page.contains("KEEP ") && page.contains(&rest.lay.label), "{page}");
    let second = office.form(&office.page("/bench/stick/S-1/cut"), "/bench/mind");
    let all = second.fields.iter().find(|(name, _)| name == "all").unwrap().1.parse().unwrap();
    office.press(&second, &vec![("minded", "1"); all]);
    let mut second = office.form(&office.page("/bench/stick/S-1/cut"), "/bench/rest");
    let (page, to) = follow(&bench, &page, "/bench/rest");
    let told = office.press(&second, &[]);
    assert!(told.status == 409 && told.body.contains("off the bench already"), "{}", told.body);
    second.fields.retain(|(name, _)| name != "stick");
    let at = served.book().bench().unwrap().remove(0);
    let other = at.sticks.into_iter().find(|own| !own.lay.is_done()).unwrap().lay.stick;
    let told = office.press(&second, &[("stick", &other)]);
    assert!(told.status == 409 && told.body.contains("still cuts to make"), "{}", told.body);
    // Its label, the spare rail's and a ticket's lead to what they are on, scanned as they are.
    for (scanned, to) in [
        ("http://bench.example/joiner/2/1", "/joiner/2/1".to_owned()),
        ("2", "/joiner/2/1".to_owned()),
        (spare.to_lowercase().as_str(), format!("/s/{spare}")),
    ] {
        let reply = bench.get(&format!("/bench/find?label={scanned}"));
        assert_eq!((reply.status, reply.header("location")), (303, to.as_str()), "{scanned}");
    }
    assert_eq!(bench.get("/bench/find?label=nobody").status, 409);
    assert_eq!(to.split('?').next(), Some("/bench"));
    assert!(!page.contains(&says), "{page}");
    assert!(own(&served.book()).is_over());
    shops::balanced(&served.book());
}

/// A day on which nothing goes wrong, by whoever presses what is largest: at most two
/// presses a cut, finding sticks and measuring them counted in, and nothing to type.
#[test]
fn a_normal_day_is_two_presses_a_cut_at_the_most_and_nobody_types() {
    let dir = tempfile::tempdir().unwrap();
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo");
    let (shop, files) = longpoint::shop::read_folder_and_files(&demo).unwrap();
    let morning = jiff::civil::date(2026, 11, 25);
    let stamp = Stamp { at: morning.at(8, 0, 0, 0), ..shops::stamp() };
    let mut book = Book::begin(&dir.path().join("shop.book"), (&shop, &files), &stamp).unwrap();
    let snapshot = book.snapshot().unwrap();
    let plan = longpoint::morning::plan(&snapshot.shop, morning, shops::limits()).unwrap();
    book.take(&snapshot, &plan, &stamp).unwrap();
    let served = Served::of(dir, Pace { requests: (9_000, 9_000), ..Pace::default() });
    let bench = served.device(Role::Bench);
    let (mut page, mut presses, mut cuts) = (bench.page("/bench"), 0, 0);
    while !page.contains("FINISH THE DAY") || page.contains("class=\"fetch\"><li") {
        let main = page.split("id=\"main\"").nth(1).unwrap();
        // What is hidden is for when the line is down.
        let main = main.split(" hidden>").next().unwrap();
        let typed = main.split("<input ").skip(1).map(|rest| &rest[..rest.find('>').unwrap()]);
        let typed = typed.filter(|field| !field.contains("hidden") && !field.contains("checkbox"));
        assert_eq!(typed.filter(|field| !field.contains("id=\"label\"")).count(), 0, "{main}");
        let way = |from: &str| {
            let rest = main.split(from).nth(1)?;
            let rest = rest.split("href=\"").nth(1)?;
            Some(http::plain(&rest[..rest.find('"')?]))
        };
        let pressed = http::forms(main).into_iter().find(|form| form.text.contains("class=\"go"));
        let (is_minding, is_cut) = pressed.as_ref().map_or((false, false), |form| {
            (form.action == "/bench/mind", form.action == "/bench/cut")
        });
        let to = match (&pressed, way("class=\"big go")) {
            (Some(form), _) => {
                let boxes = form.text.matches("type=\"checkbox\"").count();
                let reply = bench.press(form, &vec![("minded", "1"); boxes]);
                assert_eq!(reply.status, 303, "{}", reply.body);
                reply.header("location").to_owned()
            }
            (None, Some(to)) => to,
            (None, None) => {
                way("class=\"fetch\"><li").unwrap_or_else(|| panic!("no way on: {page}"))
            }
        };
        // Cautions are read once a day on each device.
        presses += usize::from(!is_minding);
        cuts += usize::from(is_cut);
        let mut reply = bench.get(&to);
        while reply.status == 303 {
            reply = bench.get(reply.header("location"));
        }
        page = reply.body;
        assert!(presses < 2000, "no end of it: {page}");
    }
    let rails = plan.today.iter().map(|stick| stick.rails.len()).sum::<usize>();
    assert_eq!(cuts, rails, "all of it");
    assert!(presses <= 2 * cuts, "{presses} presses for {cuts} cuts");
}
