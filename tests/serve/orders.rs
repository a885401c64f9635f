//! What of an order is given up or comes too early, at the office's pages.

use longpoint::book::{Book, Role, Stamp, words};
use longpoint::morning::{WORK, plan};
use longpoint::plan::pushed;
use longpoint::report::either;
use longpoint::shop::Shop;
use longpoint::solve::Limits;
use longpoint::web::Pace;

use super::counter::ready;
use super::http;
use super::office::{fresh, with_glass};
use super::served::Served;
use super::shops;

fn on(day: i8) -> Stamp {
    Stamp { at: jiff::civil::date(2026, 3, day).at(9, 0, 0, 0), ..shops::stamp() }
}

fn planned(shop: &Shop) -> longpoint::plan::Plan {
    let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
    plan(shop, shops::TODAY, limits).unwrap().into_inner()
}

/// A line is given up by a press: one step however often it is pressed, and who waits
/// without it is said in the words of the command. What is no count changes nothing.
#[test]
fn a_line_is_given_up_and_who_waits_without_it_is_said() {
    let (served, _dir, mut other) = fresh();
    let office = served.device(Role::Office);
    let (_, basket) = ready(&office, "/order/basket");
    let placed = office.press(&office.form(&basket, "/order/place"), &[]);
    assert_eq!(placed.status, 303, "{}", placed.body);
    let snapshot = other.snapshot().unwrap();
    let shop = snapshot.shop.clone().at(shops::TODAY, on(9).at.time());
    let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
    other.order(&snapshot, &plan(&shop, shops::TODAY, limits).unwrap(), &on(9)).unwrap();
    let lines = other.open_lines().unwrap();
    let line = lines.iter().find(|line| line.moulding == "OAK").unwrap().line;
    let drops = |page: &str| {
        let forms = http::forms(page).into_iter().filter(|form| form.text.contains("GIVE UP"));
        let own = ("line".to_owned(), line.to_string());
        forms.filter(|form| form.fields.contains(&own)).collect::<Vec<_>>()
    };
    let form = drops(&office.page("/order")).pop().expect("its line can be given up");
    let steps = served.book().version().unwrap();
    let odd = office.press(&form, &[("count", "some")]);
    assert!(odd.status == 409 && odd.body.contains("is not how many"), "{}", odd.body);
    assert_eq!(served.book().version().unwrap(), steps);

    let asked = office.press(&form, &[("count", "")]);
    assert_eq!(asked.status, 303, "{}", asked.body);
    let (at, page) = ready(&office, asked.header("location"));
    assert!(at.starts_with("/order?step="), "{at}");
    assert_eq!(served.book().version().unwrap(), steps + 1);
    let again = office.press(&form, &[("count", "")]);
    assert_eq!(again.header("location"), at, "one step, once");
    assert_eq!(served.book().version().unwrap(), steps + 1);
    assert!(drops(&office.page("/order")).is_empty(), "it is not open any more");

    let shop_of = |book: &Book| book.snapshot().unwrap().shop.at(shops::TODAY, on(9).at.time());
    let before = shop_of(&other);
    other.drop_lines(&[(line, None)], &on(9)).unwrap();
    assert_eq!(served.book().open_lines().unwrap(), other.open_lines().unwrap());
    let shop = shop_of(&other);
    let later = pushed((&before, &planned(&before)), (&shop, &planned(&shop)), "");
    let said = either::pressed(&words::given_up_words(&shop, &later));
    let page = http::plain(&page);
    for words in said.lines() {
        assert!(page.contains(words.trim()), "{words}: {page}");
    }
    shops::balanced(&served.book());
}

/// A computer whose day is wrong: what was ordered tomorrow has not come, and the page says
/// what to look at, where it named a flag of the command.
#[test]
fn the_page_takes_nothing_in_before_it_was_ordered() {
    let (served, _dir, _) = fresh();
    let mut book = served.book();
    let snapshot = book.snapshot().unwrap();
    let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
    let tomorrow = on(10);
    let of = plan(&snapshot.shop, tomorrow.at.date(), limits).unwrap();
    book.order(&snapshot, &of, &tomorrow).unwrap();
    let lines = book.open_lines().unwrap();
    let line = lines.iter().find(|line| line.moulding == "OAK").unwrap().line;
    let office = served.device(Role::Office);
    let form = office.form(&office.page(&format!("/receive?line={line}")), "/receive");
    let steps = book.version().unwrap();
    let came = [("count", "1"), ("length", "120"), ("lot", ""), ("place", ""), ("flaws", "")];
    let reply = office.press(&form, &came);
    let said = "was ordered on 2026-03-10, and cannot have come on 2026-03-09 (see that this \
                computer has the right day)";
    assert!(reply.status == 409 && reply.body.contains(said), "{}", reply.body);
    assert!(!reply.body.contains("--at"), "{}", reply.body);
    assert_eq!(book.version().unwrap(), steps, "nothing is written");
}

/// Sheets of a line came before they were ordered: the day was mistyped.
#[test]
fn sheets_do_not_come_before_they_are_ordered() {
    let dir = tempfile::tempdir().unwrap();
    drop(shops::begin(dir.path(), &with_glass()));
    let served = Served::of(dir, Pace::default());
    let run = |more: &[&str]| {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_longpoint"));
        let (step, more) = more.split_first().unwrap();
        command.arg(step).arg(served.path()).args(more).output().unwrap()
    };
    assert!(run(&["order", "--at", "2026-03-09T09:00"]).status.success());
    let mut book = served.book();
    let lines = book.open_lines().unwrap();
    let glass = lines.iter().find(|line| line.moulding == "GLASS").unwrap();
    let steps = book.version().unwrap();
    let line = glass.line.to_string();
    let early = run(&["receive", "--line", &line, "--count", "3", "--at", "2026-03-08T09:00"]);
    let said = String::from_utf8(early.stderr).unwrap();
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    let words = "was ordered on 2026-03-09, and cannot have come on 2026-03-08 (say when it came \
                 with --at)";
    assert!(early.status.code() == Some(2) && said.contains(words), "{said}");
    assert_eq!(book.version().unwrap(), steps, "nothing is written");
    assert!(book.sheets().unwrap().is_empty());
    // On the day itself it may: a shop round the corner.
    let (_, stocks, rest) = book.receive_sheet_line((glass.line, None), "bay 1", &on(9)).unwrap();
    assert_eq!((stocks.len(), rest), (1, 0));
}

/// The command said what is on order for nobody now; the page cancelled without a word of it.
#[test]
fn a_ticket_that_is_cancelled_on_the_page_says_what_is_on_order_for_nobody() {
    let (served, dir, _) = fresh();
    let (office, counter) = (served.device(Role::Office), served.device(Role::Counter));
    let (_, basket) = ready(&office, "/order/basket");
    let placed = office.press(&office.form(&basket, "/order/place"), &[]);
    assert_eq!(placed.status, 303, "{}", placed.body);
    let path = dir.path().join("ordered.book");
    served.book().backup(&path).unwrap();
    let form = counter.form(&counter.page("/ticket/7"), "/ticket/7/cancel");
    let asked = counter.press(&form, &[("copy", "")]);
    let again = counter.press(&form, &[("copy", "")]);
    assert_eq!((asked.status, asked.header("location")), (303, again.header("location")));
    let (to, page) = ready(&counter, asked.header("location"));
    assert!(to.starts_with("/ticket/7?step="), "{to}");
    let said = std::process::Command::new(env!("CARGO_BIN_EXE_longpoint"))
        .args(["cancel", path.to_str().unwrap(), "7", "--at", "2026-03-09T09:00"])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&said.stdout).into_owned();
    let idle = said.lines().find(|line| line.starts_with("On order for nobody now: ")).unwrap();
    let page = http::plain(&page);
    for words in ["Cancelled: 7 (1/2), 7 (2/2).", idle.split(", ").next().unwrap()] {
        assert!(page.contains(words), "{words}: {page}");
    }
    assert!(said.contains("USD") && !page.contains("USD"), "over the counter: {page}");
    let book = Book::open(&path).unwrap();
    assert_eq!(served.book().version().unwrap(), book.version().unwrap());
    // Where nothing of its moulding is on order there is nothing to work out.
    let served = Served::new();
    let counter = served.device(Role::Counter);
    let form = counter.form(&counter.page("/ticket/1"), "/ticket/1/cancel");
    let reply = counter.press(&form, &[]);
    assert!(reply.header("location").starts_with("/ticket/1?step="), "{:?}", reply.headers);
}

/// What the shop pays stood on the bench's and the counter's screens.
#[test]
fn what_an_order_costs_is_seen_in_the_office_alone() {
    let (served, _dir, _) = fresh();
    let office = served.device(Role::Office);
    let (_, basket) = ready(&office, "/order/basket");
    assert_eq!(office.press(&office.form(&basket, "/order/place"), &[]).status, 303);
    let line = served.book().open_lines().unwrap().remove(0).line;
    let others = [Role::Bench, Role::Counter].map(|role| served.device(role));
    for path in ["/order".to_owned(), format!("/receive?line={line}")] {
        let what = format!("line {line}: ");
        let page = office.page(&path);
        assert!(page.contains(&what) && page.contains("USD"), "{page}");
        for other in &others {
            let page = other.page(&path);
            assert!(page.contains(&what) && !page.contains("USD"), "{path}: {page}");
        }
    }
}

/// Where the answer was lost and all of a line had come, the same press was told that no such
/// line is open.
#[test]
fn what_came_is_taken_in_once_and_said_as_often_as_it_is_pressed() {
    let (served, _dir, _) = fresh();
    let office = served.device(Role::Office);
    let (_, basket) = ready(&office, "/order/basket");
    assert_eq!(office.press(&office.form(&basket, "/order/place"), &[]).status, 303);
    let line = served.book().open_lines().unwrap().remove(0).line;
    let form = office.form(&office.page(&format!("/receive?line={line}")), "/receive");
    let came = [("count", "1"), ("length", "108")];
    let [one, two] = [0, 0].map(|_| office.press(&form, &came));
    assert_eq!(one.status, 303, "{}", one.body);
    assert_eq!((two.status, two.header("location")), (303, one.header("location")), "{}", two.body);
    let page = office.page(two.header("location"));
    assert!(page.contains("Label each on its marked end"), "{page}");
    shops::balanced(&served.book());
}

/// Sticks of random lengths were there to be taken in as if all were the shortest.
#[test]
fn what_comes_in_random_lengths_is_measured_before_it_is_taken_in() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = shops::files();
    let more = [
        ("frames.csv", "frame,moulding,width,height,due\n1,OAK,8,10,2026-03-20\n"),
        ("rack.csv", "stick,moulding,length\n"),
        ("suppliers.csv", "supplier,name,lead_days\nHAZEL,Hazel Hardwoods,3\n"),
        (
            "offers.csv",
            "supplier,moulding,form,lengths,price,per\nHAZEL,OAK,length,96 .. 120,4.20,ft\n",
        ),
    ];
    files.extend(more.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec())));
    drop(shops::begin(dir.path(), &files));
    let served = Served::of(dir, Pace::default());
    let office = served.device(Role::Office);
    let (_, basket) = ready(&office, "/order/basket");
    assert_eq!(office.press(&office.form(&basket, "/order/place"), &[]).status, 303);
    let page = office.page("/receive?line=1");
    assert!(page.contains("They come in random lengths: measure each."), "{page}");
    let form = office.form(&page, "/receive");
    assert!(page.contains("name=\"count\" inputmode=\"numeric\" value=\"1\""), "{page}");
    assert!(!page.contains("value=\"96\""), "{page}");
    let told = office.press(&form, &[("count", "1"), ("length", "")]);
    assert!(told.status == 409 && told.body.contains("is not a length"), "{}", told.body);
    assert_eq!(office.press(&form, &[("count", "1"), ("length", "113 1/2")]).status, 303);
    let rack = served.book().snapshot().unwrap().shop.rack;
    assert_eq!(rack[0].length, shops::inches("113 1/2"));
}
