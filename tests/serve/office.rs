//! The office's pages: each press does what the command does, and faults are shown.

use longpoint::book::{Book, Confirmation, Correction, Delivery, Found, RackQuery, Role};
use longpoint::morning::{WORK, plan};
use longpoint::solve::Limits;
use longpoint::web::Pace;

use super::counter::ready;
use super::http;
use super::served::{Served, Visitor};
use super::shops;

/// A shop whose book nobody planned from yet, and a copy of it for the commands.
pub(super) fn fresh() -> (Served, tempfile::TempDir, Book) {
    let dir = tempfile::tempdir().unwrap();
    let book = shops::begin(dir.path(), &shops::files());
    let beside = tempfile::tempdir().unwrap();
    let path = beside.path().join("other.book");
    book.backup(&path).unwrap();
    drop(book);
    (Served::of(dir, Pace::default()), beside, Book::open(&path).unwrap())
}

/// Presses a form of a page, and gives the page that follows.
pub(super) fn follow(visitor: &Visitor, path: &str, action: &str, more: &[(&str, &str)]) -> String {
    let form = visitor.form(&visitor.page(path), action);
    let reply = visitor.press(&form, more);
    assert_eq!(reply.status, 303, "{action}: {}", reply.body);
    visitor.page(reply.header("location"))
}

fn rack(book: &Book) -> Vec<longpoint::shop::Stick> {
    let all = book.rack(&RackQuery::default()).unwrap();
    all.into_iter().map(|on| on.stick).collect()
}

fn stamp() -> longpoint::book::Stamp {
    longpoint::book::Stamp { at: shops::TODAY.at(9, 0, 0, 0), ..shops::stamp() }
}

#[test]
fn a_stick_is_found_and_corrected_as_by_the_command() {
    let (served, _dir, mut other) = fresh();
    let office = served.device(Role::Office);
    let page = office.page("/rack?moulding=oak&least=100");
    assert!(page.contains("/s/S-4") && !page.contains("/s/S-5"), "{page}");
    let (_, page) = ready(&office, "/rack/clear?idle=3");
    let shop = served.book().shop().unwrap();
    let old = rack(&served.book()).into_iter().filter(|stick| stick.id == "S-3");
    let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
    let told = std::sync::Mutex::new(Vec::new());
    let tell = |done, all| told.lock().unwrap().push((done, all));
    let old: Vec<_> = old.collect();
    let makes = longpoint::fits::makes_telling(&shop, &old, (&limits, &tell)).unwrap();
    assert_eq!(told.into_inner().unwrap(), [(0, 1)], "how many mouldings are done, of how many");
    let sizes = makes.get("S-3").map(Vec::as_slice);
    let words = longpoint::report::fits_text::makes_words(sizes, false, &shop);
    assert!(page.contains(&words) && !page.contains("/s/S-1"), "{words}: {page}");
    let page = office.page("/rack?moulding=zebra&least=far&idle=x");
    for fault in ["moulding: ", "at least: ", "not moved for: "] {
        assert!(page.contains(fault), "{fault}: {page}");
    }
    let more = [
        ("length", "95 1/2"),
        ("place", "bay 9"),
        ("lot", ""),
        ("flaws", "10 .. 11"),
        ("moulding", "OAK"),
    ];
    let page = follow(&office, "/s/S-5", "/s/S-5/correct", &more);
    assert!(page.contains("S-5: 95 1/2 in left, 96 in in the book before."), "{page}");
    let flaws = longpoint::shop::read_flaws("10 .. 11", &other.shop().unwrap().settings).unwrap();
    let correction = Correction {
        length: Some(shops::inches("95 1/2")),
        place: Some("bay 9".to_owned()),
        flaws: Some(flaws),
        ..Correction::default()
    };
    other.correct("S-5", &correction, &stamp()).unwrap();
    assert_eq!(rack(&served.book()), rack(&other));
    let form = office.form(&office.page("/s/S-5"), "/s/S-5/correct");
    let wrong =
        [("length", "long"), ("place", "bay 9"), ("lot", ""), ("flaws", "x"), ("moulding", "OAK")];
    let reply = office.press(&form, &wrong);
    assert_eq!(reply.status, 409);
    assert!(reply.body.contains("length: ") && reply.body.contains("flaws: "), "{}", reply.body);
    follow(&office, "/s/S-6", "/s/S-6/scrap", &[]);
    other.scrap(&["S-6".to_owned()], &stamp()).unwrap();
    assert_eq!(rack(&served.book()), rack(&other));
    assert!(office.page("/s/S-6").contains("nothing left"));
}

#[test]
fn what_is_at_the_bench_is_named_at_its_place_and_not_counted() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    let page = bench.page("/count?place=bay+1");
    let (_, from_here) = page.split_once("From here, and at the bench").unwrap();
    assert!(from_here.contains(">S-1</b>") && from_here.contains("at the bench, plan 1"), "{page}");
    assert!(!page.contains("name=\"is-S-1\""), "{page}");
}

#[test]
fn stock_is_taken_as_by_the_command() {
    let (served, _dir, mut other) = fresh();
    let bench = served.device(Role::Bench);
    let more = [
        ("is-S-3", "there"),
        ("is-S-4", "gone"),
        ("length-S-5", "90 1/4"),
        ("more", "S-6"),
        ("more", "S-1=100"),
        ("more", ""),
    ];
    let page = follow(&bench, "/count?place=bay+2", "/count", &more);
    assert!(page.contains("S-4: gone") && page.contains("1 stick written off"), "{page}");
    assert!(page.contains("To write off: 1 stick, 120 in.") && !page.contains("worth"), "{page}");
    let sticks = [("S-3", None), ("S-5", Some("90 1/4")), ("S-6", None), ("S-1", Some("100"))];
    let sticks = sticks.map(|(id, length)| (id.to_owned(), length.map(shops::inches)));
    let gone = ["S-4".to_owned()].into();
    let found = Found { sticks: sticks.into(), gone, ..Found::default() };
    other.count("bay 2", &found, (&stamp(), true)).unwrap();
    assert_eq!(rack(&served.book()), rack(&other));
    shops::balanced(&served.book());
    let form = bench.form(&bench.page("/count?place=bay+2"), "/count");
    let reply = bench.press(&form, &[("is-S-4", "gone"), ("length-S-3", "x")]);
    assert_eq!(reply.status, 409);
    assert!(reply.body.contains("S-3: "), "{}", reply.body);
    // What was said of all the others is not lost for one slip.
    let form = [("is-S-5", "there"), ("length-S-3", "x"), ("more", "S-99")];
    let reply = bench.press(&bench.form(&bench.page("/count?place=bay+2"), "/count"), &form);
    assert_eq!(reply.status, 409);
    for own in ["name=\"is-S-5\" value=\"there\" checked", "value=\"x\"", "value=\"S-99\""] {
        assert!(reply.body.contains(own), "{own}: {}", reply.body);
    }
    let reply = bench
        .press(&bench.form(&bench.page("/count?place=bay+2"), "/count"), &[("is-S-4", "gone")]);
    assert!(reply.body.contains("no S-4 there any more"), "{}", reply.body);
}

#[test]
fn what_lacks_is_ordered_followed_and_received_as_by_the_commands() {
    let (served, _dir, mut other) = fresh();
    let office = served.device(Role::Office);
    let before = served.book().version().unwrap();
    let (_, basket) = ready(&office, "/order/basket");
    let form = office.form(&basket, "/order/place");
    let reply = office.press(&form, &[]);
    assert_eq!(reply.status, 303, "{}", reply.body);
    assert_eq!(office.press(&form, &[]).header("location"), reply.header("location"));
    assert_eq!(served.book().version().unwrap(), before + 1, "one step, once");
    let snapshot = other.snapshot().unwrap();
    let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
    let shop = snapshot.shop.clone().at(shops::TODAY, stamp().at.time());
    other.order(&snapshot, &plan(&shop, shops::TODAY, limits).unwrap(), &stamp()).unwrap();
    let lines = served.book().open_lines().unwrap();
    assert_eq!(lines, other.open_lines().unwrap());
    assert_eq!(served.book().order_pages(1).unwrap(), other.order_pages(1).unwrap());
    assert!(office.get("/order/letters/1/order.html").body.contains("OAK"));

    let more = [("on", "2026-03-16"), ("reference", "B-77")];
    follow(&office, "/order", "/order/confirm", &more);
    let on = Some(jiff::civil::date(2026, 3, 16));
    let said = Confirmation { order: 1, supplier: None, on, reference: Some("B-77".to_owned()) };
    other.confirm(&said, &stamp()).unwrap();
    assert_eq!(served.book().open_lines().unwrap(), other.open_lines().unwrap());

    let line = lines.iter().find(|line| line.moulding == "OAK").unwrap();
    let path = format!("/receive?line={}", line.line);
    let asked = office.page(&path);
    assert!(
        asked.contains("Lot; empty if all that comes of that order today is of one"),
        "{asked}"
    );
    assert!(office.page("/receive").contains("Lot; empty where nobody knows"));
    let came =
        [("count", "1"), ("length", "119 1/2"), ("lot", "Z"), ("place", "bay 7"), ("flaws", "")];
    let page = follow(&office, &path, "/receive", &came);
    assert!(page.contains("OAK, 119 1/2 in, lot Z, at bay 7"), "{page}");
    let delivery = Delivery {
        moulding: "OAK".to_owned(),
        lengths: vec![shops::inches("119 1/2")],
        lot: "Z".to_owned(),
        place: "bay 7".to_owned(),
        flaws: Vec::new(),
        line: Some(line.line),
    };
    other.receive(&delivery, &stamp()).unwrap();
    assert_eq!(rack(&served.book()), rack(&other));
    let form = office.form(&office.page("/receive"), "/receive");
    let odd = [("moulding", "zebra"), ("count", "x"), ("length", "y"), ("cost", "z")];
    let reply = office.press(&form, &odd);
    assert_eq!(reply.status, 409);
    for fault in ["moulding: ", "how many: ", "length: ", "cost: "] {
        assert!(reply.body.contains(fault), "{fault}: {}", reply.body);
    }
    // What was typed is there still.
    for (name, typed) in odd {
        let field = format!("name=\"{name}\"");
        let own = reply.body.split("<input").find(|input| input.contains(&field)).unwrap();
        assert!(own.contains(&format!("value=\"{typed}\"")), "{name}: {own}");
    }
    let bill = office.form(&office.page("/invoice?order=1"), "/invoice");
    let reply = office.press(&bill, &[("carriage", "5 odd"), ("number", "8812")]);
    assert_eq!(reply.status, 409);
    assert!(reply.body.contains("value=\"5 odd\"") && reply.body.contains("value=\"8812\""));

    // Of several suppliers' orders it is asked whose invoice it is, by ways to each.
    let whose = office.page("/invoice");
    assert!(whose.contains("/invoice?order=1&amp;supplier="), "{whose}");
    let bill = format!("line-{}", line.line);
    let more = [(bill.as_str(), "40.00"), ("carriage", "5"), ("number", "8812")];
    let page = follow(&office, "/invoice?order=1", "/invoice", &more);
    assert!(page.contains("40.00"), "{page}");
    assert_eq!(served.book().reckoning(1, None).unwrap().billed.goods.0, 4000);
    shops::balanced(&served.book());
}

/// A small shop with a job whose glass lacks, and whose supplier is known.
pub(super) fn with_glass() -> shops::Files {
    let mut files = shops::files();
    let rules = format!("{}[sheet.GLASS]\ncut = \"scored\"\nkeep = \"6\"\n", shops::SETTINGS);
    let texts = [
        ("shop.toml", rules.as_str()),
        (
            "frames.csv",
            "frame,moulding,width,height,copies,due\n1,ASH,8,10,1,2026-03-09\n8,ASH,,,3,2026-03-20\n",
        ),
        ("jobs.csv", "frame,art,art_width,art_height,show,glazing\n8,paper,30,40,edge,GLASS\n"),
        (
            "materials.csv",
            "material,kind,name,thick,sheets,price,per,supplier\n\
             GLASS,glass,Clear glass,2 mm,36x48,24.50,sheet,HAZEL\n",
        ),
        ("suppliers.csv", "supplier,name,lead_days,minimum,freight\nHAZEL,Hazel Glass,3,100,18\n"),
    ];
    files.extend(texts.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec())));
    files
}

/// One press ordered from everybody, also from who takes no order so small.
#[test]
fn who_refuses_an_order_is_asked_before_it_is_placed() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = with_glass();
    let suppliers = "supplier,name,lead_days,minimum,below_minimum,freight\n\
                     HAZEL,Hazel Glass,3,100,refused,18\n";
    files.insert("suppliers.csv".to_owned(), suppliers.as_bytes().to_vec());
    drop(shops::begin(dir.path(), &files));
    let served = Served::of(dir, Pace::default());
    let office = served.device(Role::Office);
    let press = |words: &str| {
        let (_, basket) = ready(&office, "/order/basket");
        assert!(basket.contains("below the minimum of 100.00 USD"), "{basket}");
        assert!(!basket.contains("ORDER ALL OF IT"), "{basket}");
        let form = http::forms(&basket).into_iter().find(|form| form.text.contains(words));
        assert_eq!(office.press(&form.unwrap(), &[]).status, 303);
        let lines = served.book().open_lines().unwrap();
        lines.iter().filter(|line| line.supplier == "HAZEL").count()
    };
    assert_eq!(press("ORDER ALL ELSE"), 0);
    assert_eq!(press("THEY WERE ASKED AND TAKE IT"), 1);
}

#[test]
fn the_glass_that_jobs_lack_is_in_the_basket_and_on_paper_as_by_the_commands() {
    let dir = tempfile::tempdir().unwrap();
    let beside = tempfile::tempdir().unwrap();
    let path = beside.path().join("other.book");
    shops::begin(dir.path(), &with_glass()).backup(&path).unwrap();
    let served = Served::of(dir, Pace::default());
    let office = served.device(Role::Office);
    let (_, basket) = ready(&office, "/order/basket");
    assert!(basket.contains("Hazel Glass") && basket.contains("GLASS"), "{basket}");
    // Computed: three sheets of 24.50, made up to 100, with carriage; it adds up on the screen.
    let bill = "goods 73.50 + made up to the minimum 26.50 + carriage 18.00 = 118.00 USD";
    assert!(basket.contains(bill), "{basket}");
    let all = http::forms(&basket).into_iter().find(|form| form.text.contains("ORDER ALL OF IT"));
    let reply = office.press(&all.unwrap(), &[]);
    assert_eq!(reply.status, 303, "{}", reply.body);
    let placed = "goods 73.50 + carriage 18.00 + what else is charged 26.50 = 118.00 USD";
    assert!(office.page("/order").contains(placed), "{}", office.page("/order"));
    let ordered = |path: &std::path::Path, more: &[&str]| {
        let done = std::process::Command::new(env!("CARGO_BIN_EXE_longpoint"))
            .arg("order")
            .arg(path)
            .args(["--at", "2026-03-09T09:00"])
            .args(more)
            .output()
            .unwrap();
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        Book::open(path).unwrap()
    };
    // Of one supplier: not what is bought from nobody in particular.
    let part = beside.path().join("part.book");
    Book::open(&path).unwrap().backup(&part).unwrap();
    let part = ordered(&part, &["--supplier", "HAZEL"]).open_lines().unwrap();
    assert_eq!(part.iter().map(|line| &*line.moulding).collect::<Vec<_>>(), ["GLASS"]);
    let (ours, theirs) = (served.book(), ordered(&path, &[]));
    let lines = ours.open_lines().unwrap();
    let glass = lines.iter().filter(|line| line.supplier == "HAZEL");
    let glass: Vec<(&str, &str, u32)> =
        glass.map(|line| (&*line.form, &*line.moulding, line.to_come())).collect();
    // One sheet for each of three panes of 30 x 40 in (computed: two do not fit 36 x 48 in).
    assert_eq!(glass, [("sheet", "GLASS", 3)]);
    assert_eq!(lines, theirs.open_lines().unwrap());
    assert_eq!(ours.order_pages(1).unwrap(), theirs.order_pages(1).unwrap());
    // What is to be cut of it, to be printed; what jobs cost is the office's.
    let (_, sheet) = ready(&office, "/print/sheets");
    assert!(sheet.contains("Boards and glass") && sheet.contains("GLASS"), "{sheet}");
    shops::take(&mut served.book());
    assert!(office.page("/print").contains("JOB TICKETS of plan 1"));
    assert!(office.page("/print/jobs?plan=1").contains("Jobs"));
    assert_eq!(served.device(Role::Bench).get("/print/jobs?plan=1").status, 403);
}

#[test]
fn an_order_that_is_another_now_is_not_placed() {
    let (served, _dir, _) = fresh();
    let office = served.device(Role::Office);
    let (_, basket) = ready(&office, "/order/basket");
    let form = office.form(&basket, "/order/place");
    // A cut of nothing that it rests on: the same is ordered, after another look.
    let note = Correction { place: Some("bay 8".to_owned()), ..Correction::default() };
    served.book().correct("S-6", &note, &shops::stamp()).unwrap();
    let reply = office.press(&form, &[]);
    let (at, page) = ready(&office, reply.header("location"));
    assert!(at.starts_with("/order?step="), "{at}: {page}");
    // Another shop: nothing is ordered.
    let (served, _dir, _) = fresh();
    let office = served.device(Role::Office);
    let (_, basket) = ready(&office, "/order/basket");
    let form = office.form(&basket, "/order/place");
    let enough = Delivery {
        moulding: "OAK".to_owned(),
        lengths: vec![shops::inches("120"); 12],
        lot: "Y".to_owned(),
        place: "bay 1".to_owned(),
        flaws: Vec::new(),
        line: None,
    };
    served.book().receive(&enough, &shops::stamp()).unwrap();
    let reply = office.press(&form, &[]);
    let place = reply.header("location").to_owned();
    for _ in 0..600 {
        let reply = office.get(&place);
        if reply.status == 409 {
            assert!(reply.body.contains("nothing was ordered"), "{}", reply.body);
            assert!(served.book().open_lines().unwrap().is_empty());
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(100));
    }
    panic!("it was not refused");
}

#[test]
fn a_file_is_put_in_whole_or_its_faults_are_shown_at_their_cells() {
    let (served, _dir, _) = fresh();
    let office = served.device(Role::Office);
    let before = served.book().version().unwrap();
    let page = office.page("/files/mouldings.csv");
    let form = office.form(&page, "/files/mouldings%2Ecsv");
    let bad =
        "moulding,width,rabbet,stick,price,per\nASH,wide,1/4,108,2.10,ft\nOAK,1 1/2,1/4,120,x,ft\n";
    let reply = office.press(&form, &[("text", bad)]);
    assert_eq!(reply.status, 409);
    for fault in
        ["mouldings.csv, row 2, width", "mouldings.csv, row 3, price", "<td class=\"bad\">wide"]
    {
        assert!(reply.body.contains(fault), "{fault}: {}", reply.body);
    }
    assert_eq!(served.book().version().unwrap(), before, "nothing was put in");
    let good = bad.replace("wide", "1").replace(",x,", ",4.50,").replace('\n', "\r\n");
    let form = office.form(&reply.body, "/files/mouldings%2Ecsv");
    let put = office.press(&form, &[("text", &good)]);
    assert_eq!(put.status, 303, "{}", put.body);
    let page = office.page(put.header("location"));
    assert!(page.contains("Taken over: mouldings.csv."), "{page}");
    assert_eq!(served.book().version().unwrap(), before + 1);
    let kept = served.book().files().unwrap().remove("mouldings.csv").unwrap();
    assert_eq!(String::from_utf8(kept).unwrap(), good.replace("\r\n", "\n"));
    // Who opened the old one is told, and nothing is lost.
    let stale = office.press(&office.form(&page, "/files/mouldings%2Ecsv"), &[("text", bad)]);
    assert_eq!(stale.status, 409);
    let form = office.form(&office.page("/files/mouldings.csv"), "/files/mouldings%2Ecsv");
    let text = good.replace("4.50", "4.60");
    let theirs = text.replace("4.60", "4.70");
    served.book().refresh_files(&[("mouldings.csv", &theirs)], &stamp()).unwrap();
    let reply = office.press(&form, &[("text", &text)]);
    assert_eq!(reply.status, 409);
    assert!(reply.body.contains("Somebody changed this file"), "{}", reply.body);
    assert_eq!(office.get("/files/rack.csv").status, 200);
    let form = office.form(&office.page("/files/rack.csv"), "/files/rack%2Ecsv");
    assert_eq!(office.press(&form, &[("text", "stick\n")]).status, 409);
}

/// What is no file of a shop's is not there, and what is as it was makes no step.
#[test]
fn a_file_that_is_none_is_not_there_and_one_that_is_the_same_is_not_put_in() {
    let (served, _dir, _) = fresh();
    let office = served.device(Role::Office);
    for name in ["passwd", "shop.book", "..%2Fshop.csv", "shop.tom"] {
        assert_eq!(office.get(&format!("/files/{name}")).status, 404, "{name}");
    }
    let before = served.book().version().unwrap();
    for name in ["mouldings.csv", "shop.toml", "suppliers.csv"] {
        let page = office.page(&format!("/files/{name}"));
        let form = office.form(&page, &format!("/files/{}", name.replace('.', "%2E")));
        let kept = served.book().files().unwrap().remove(name).unwrap_or_default();
        let text = String::from_utf8(kept).unwrap().replace('\n', "\r\n");
        let reply = office.press(&form, &[("text", &text)]);
        assert_eq!(reply.status, 409, "{name}");
        assert!(reply.body.contains("the same as what the book has"), "{}", reply.body);
    }
    assert_eq!(served.book().version().unwrap(), before);
}

/// A ticket whose size follows its job stands in two files, of which neither reads without the
/// other: one press puts both in.
#[test]
fn a_ticket_with_a_job_comes_and_goes_by_one_press() {
    let dir = tempfile::tempdir().unwrap();
    drop(shops::begin(dir.path(), &with_glass()));
    let served = Served::of(dir, Pace::default());
    let office = served.device(Role::Office);
    let text = |name: &str| {
        let bytes = served.book().files().unwrap().remove(name).unwrap();
        String::from_utf8(bytes).unwrap()
    };
    let (frames, jobs) = (text("frames.csv"), text("jobs.csv"));
    let more = (format!("{frames}9,ASH,,,1,\n"), format!("{jobs}9,paper,10,12,edge,GLASS\n"));
    let (frames_way, jobs_way) = ("/files/frames%2Ecsv", "/files/jobs%2Ecsv");
    for (path, way, text) in
        [("/files/frames.csv", frames_way, &more.0), ("/files/jobs.csv", jobs_way, &more.1)]
    {
        let reply = office.press(&office.form(&office.page(path), way), &[("text", text)]);
        assert_eq!(reply.status, 409, "{path}: {}", reply.body);
        // The way on is there at once.
        assert!(reply.body.contains("by the same press"), "{path}: {}", reply.body);
    }
    let before = served.book().version().unwrap();
    let form = office.form(&office.page("/files/frames.csv"), frames_way);
    let both = [("text", more.0.as_str()), ("other", more.1.as_str())];
    let put = office.press(&form, &both);
    assert_eq!(put.status, 303, "{}", put.body);
    assert_eq!(served.book().version().unwrap(), before + 1, "one step");
    let stands = |id: &str| served.book().shop().unwrap().frame(id).is_some();
    assert!(stands("8") && stands("9"));
    // And out again, from the other side.
    let form = office.form(&office.page("/files/jobs.csv"), jobs_way);
    let out = office.press(&form, &[("text", &jobs), ("other", &frames)]);
    assert_eq!(out.status, 303, "{}", out.body);
    assert!(stands("8") && !stands("9"));
    // Somebody else's change of the other file is not lost.
    let form = office.form(&office.page("/files/jobs.csv"), jobs_way);
    served
        .book()
        .refresh_files(&[("frames.csv", &frames.replace("2026-03-20", "2026-03-21"))], &stamp())
        .unwrap();
    let stale = office.press(&form, &[("text", &more.1), ("other", &more.0)]);
    assert_eq!(stale.status, 409);
    assert!(stale.body.contains("Somebody changed"), "{}", stale.body);
    // What is cut for it already is named where it asks for another size.
    let path = served.path();
    let book = path.to_str().unwrap();
    let glass = ["receive", book, "--material", "GLASS", "--size", "36x48", "--count", "3"];
    for args in [&glass[..], &["sheets", book, "--jobs", "--cut"]] {
        let mut program = std::process::Command::new(env!("CARGO_BIN_EXE_longpoint"));
        let done = program.args(args).args(["--at", "2026-03-09T08:00"]).output().unwrap();
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    }
    let form = office.form(&office.page("/files/jobs.csv"), jobs_way);
    let put = office.press(&form, &[("text", &text("jobs.csv").replace("30,40", "20,24"))]);
    assert_eq!(put.status, 303, "{}", put.body);
    let page = office.page(put.header("location"));
    assert!(page.contains("Cut for 8 already, of boards and glass: "), "{page}");
}

#[test]
fn sheets_are_there_to_print_and_labels_are_asked_for_once() {
    let served = Served::new();
    let office = served.device(Role::Office);
    let line = Delivery {
        moulding: "OAK".to_owned(),
        lengths: vec![shops::inches("100")],
        lot: String::new(),
        place: "bay 1".to_owned(),
        flaws: Vec::new(),
        line: None,
    };
    let came = served.book().receive(&line, &stamp()).unwrap();
    let id = &came.sticks[0].id;
    let page = office.page("/print");
    assert!(page.contains("/print/chop?plan=1") && page.contains(id), "{page}");
    assert!(office.page("/print/chop?plan=1").contains("Chop sheet, plan 1"));
    assert!(office.page("/print/labels").contains(id));
    assert_eq!(office.press(&office.form(&page, "/print/done"), &[]).status, 303);
    assert!(office.page("/print").contains("Every label is printed"));
    assert!(office.page("/figures").contains("OAK"));
}

#[test]
fn the_counter_and_the_bench_do_not_press_what_is_the_offices() {
    let served = Served::new();
    let (counter, bench) = (served.device(Role::Counter), served.device(Role::Bench));
    for path in ["/files", "/figures", "/invoice?order=1", "/office"] {
        assert_eq!(counter.get(path).status, 403, "{path}");
        assert_eq!(bench.get(path).status, 403, "{path}");
    }
    for path in ["/order/place", "/order/drop", "/order/confirm", "/files/frames.csv", "/invoice"] {
        assert_eq!(counter.post(path, &[("token", "x")]).status, 403, "{path}");
    }
    assert_eq!(bench.post("/counter/take", &[]).status, 403);
    assert_eq!(bench.post("/ticket/1/cancel", &[]).status, 403);
    assert_eq!(counter.get("/").header("location"), "/counter");
}

/// A length with a figure too many is asked for twice, wherever it is typed, and nothing is
/// done until then. The limit is the bench's: more than a quarter off.
#[test]
fn a_length_that_cannot_be_is_asked_for_twice() {
    let (served, _dir, _) = fresh();
    let office = served.device(Role::Office);
    let long = |label: &str| {
        let rack = rack(&served.book());
        rack.into_iter().find(|stick| stick.id == label).map(|stick| stick.length)
    };
    let came = [("moulding", "ASH"), ("count", "1"), ("length", "950"), ("lot", ""), ("place", "")];
    let again =
        [("length", "960"), ("place", "bay 2"), ("lot", ""), ("flaws", ""), ("moulding", "OAK")];
    type Typed<'a> = &'a [(&'a str, &'a str)];
    let doubtful: [(&str, &str, Typed, &str); 3] = [
        ("/receive", "/receive", &came, "950 in is far longer than any ASH that is known"),
        ("/s/S-5", "/s/S-5/correct", &again, "S-5: 960 in is 864 in longer than"),
        ("/count?place=bay+2", "/count", &[("length-S-5", "9 5/8")], "S-5: "),
    ];
    for (path, action, typed, words) in doubtful {
        let (before, rack_before) = (served.book().version().unwrap(), rack(&served.book()));
        let form = office.form(&office.page(path), action);
        let asked = office.press(&form, typed);
        assert_eq!(asked.status, 409, "{path}: {}", asked.body);
        assert!(asked.body.contains(words), "{path}: {}", asked.body);
        assert_eq!(served.book().version().unwrap(), before, "{path}");
        assert_eq!(rack(&served.book()), rack_before);
        let sure = office.press(&office.form(&asked.body, action), &[]);
        assert_eq!(sure.status, 303, "{path}: {}", sure.body);
        assert_eq!(served.book().version().unwrap(), before + 1, "{path}");
        let page = office.page(sure.header("location"));
        assert!(page.contains("was it measured twice? UNDO takes it back"), "{page}");
    }
    assert_eq!(long("S-5"), Some(shops::inches("9 5/8")));
    assert!(rack(&served.book()).iter().any(|stick| stick.length == shops::inches("950")));
}

/// What cannot be is said at once, in the words that fit it.
#[test]
fn what_cannot_be_is_said_at_once() {
    let (served, _dir, _) = fresh();
    let (office, counter) = (served.device(Role::Office), served.device(Role::Counter));
    for visitor in [&office, &counter] {
        let reply = visitor.get("/no/such/page");
        assert_eq!(reply.status, 404, "{}", reply.body);
        assert!(reply.body.contains("There is no such page."), "{}", reply.body);
    }
    assert_eq!(counter.get("/devices").status, 403);
    let (_, basket) = ready(&office, "/order/basket");
    assert_eq!(office.press(&office.form(&basket, "/order/place"), &[]).status, 303);
    let before = served.book().version().unwrap();
    for count in ["0", "99"] {
        let form = office.form(&office.page("/order"), "/order/drop");
        let reply = office.press(&form, &[("count", count)]);
        assert_eq!(reply.status, 409, "{count}: {}", reply.body);
        assert!(reply.body.contains("cannot be given up"), "{count}: {}", reply.body);
    }
    assert_eq!(served.book().version().unwrap(), before);
    for label in ["s5", "S5", "s-5"] {
        assert!(
            office.page(&format!("/s/{label}")).contains("<b class=\"label\">S-5</b>"),
            "{label}"
        );
    }
}

/// A ticket that is at the bench does not wait, and is a ticket all the same.
#[test]
fn why_a_ticket_at_the_bench_waits_is_that_it_does_not() {
    let served = Served::new();
    let office = served.device(Role::Office);
    let shop = served.book().snapshot().unwrap().shop;
    let all = served.book().shop().unwrap();
    let gone = all.frames.iter().find(|frame| shop.frame(&frame.id).is_none()).unwrap();
    let (_, page) = ready(&office, &format!("/ticket/{}/why", gone.id));
    assert!(page.contains(&format!("{} does not wait", gone.id)), "{page}");
}
