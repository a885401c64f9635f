//! Simulated years: ten days worked out on paper, and what holds of any year.

#[path = "../support/numbers.rs"]
mod numbers;
#[path = "../support/mod.rs"]
mod support;
mod waiting;

use std::path::Path;

use assert_cmd::Command;
use insta::assert_snapshot;
use jiff::civil::date;
use longpoint::measure::{Length, Worth};
use longpoint::report::{year_html, year_json, year_learnt, year_text};
use longpoint::shop::{Shop, read_files, read_folder};
use longpoint::year::{
    LotSpan, OffcutRule, Practice, SimulatedYears, YearFault, YearQuestion, YearTally, learn,
    simulated_years,
};

const QUESTION: YearQuestion = YearQuestion {
    from: date(2027, 1, 4),
    days: 10,
    frames: 1,
    notice: 1,
    patience: 1,
    lots: LotSpan::Month,
    seed: 1,
    years: 1,
    practice: None,
    setting: None,
};

/// Steps for each packing.
const WORK: u64 = 100_000;

fn years_of(shop: &Shop, question: YearQuestion) -> SimulatedYears {
    simulated_years(shop, &shop.frames, question, (WORK, &|_, _| {})).unwrap()
}

/// One ticket, so that every customer wants the same: 300 x 200 mm, rails of 320 and 220.
/// A joint is 1 mm, both trims 5 mm, a stick 3 m at 3.00.
fn paper() -> Shop {
    let file = |name: &str, text: &str| (name.to_owned(), text.as_bytes().to_vec());
    let files = [
        file(
            "shop.toml",
            "name = \"Paper\"\nunit = \"mm\"\nmark = \"1\"\nallowance = \"0\"\n\
             currency = \"EUR\"\ndefault_cutter = \"saw\"\n\
             [offcuts]\nkeep = \"300\"\nworth = \"0.999\"\n\
             [cutter.saw]\nkerf = \"0\"\nnick = \"1\"\nfirst_trim = \"5\"\nlast_trim = \"5\"\n\
             grip = \"0\"\nshortest = \"100\"\nstop = \"long\"\n",
        ),
        file("mouldings.csv", "moulding,width,rabbet,stick,price,per\nM,20,10,3000,1.00,m\n"),
        file("frames.csv", "frame,moulding,width,height\n1,M,300,200\n"),
        file("rack.csv", "stick,moulding,length\n"),
    ];
    read_files(&files.into_iter().collect()).unwrap()
}

fn tally(years: &SimulatedYears, practice: Practice) -> &YearTally {
    &years.practices.iter().find(|of| of.practice == practice).unwrap().years[0]
}

/// Two frames come off a stick and leave 822; the third finds no piece that gives it
/// whole. Worked out on paper.
fn two_from_a_stick(settings: u64) -> YearTally {
    YearTally {
        bought: Length::from_mm(15_000),
        rails: Length::from_mm(10_800),
        joints: Length::from_mm(40),
        trims: Length::from_mm(50),
        scrap: Length::ZERO,
        rack: (Length::ZERO, Length::from_mm(5 * 822)),
        spent: Worth(1_500_000),
        counted: (Worth(0), Worth(5 * 41_100)),
        offcuts: 5,
        offcut_days: 8 + 6 + 4 + 2,
        late: 0,
        not_cut: 0,
        settings,
        cut: 10,
        waited: 0,
        evenings: vec![1, 1, 2, 2, 3, 3, 4, 4, 5, 5],
    }
}

#[test]
fn ten_days_are_as_worked_out_on_paper() {
    let years = years_of(&paper(), QUESTION);
    // Left, top, right, bottom: the stop is set for each.
    assert_eq!(*tally(&years, Practice::FrameByFrame), two_from_a_stick(40));
    // An offcut is said to be worth nearly its price, so a new trim is not paid for it.
    assert_eq!(*tally(&years, Practice::Planned), two_from_a_stick(20));
    // Day by day 1911, 822, then 320 + 320 of it (scrap 175) and 220 + 220 of a new stick:
    // 2553, 1464, 375, then 320 of it (scrap 49) and the rest of a new one: 2232, 1143,
    // all of it (scrap 54), and a new one: 1911, 822. Two sticks are begun on two days.
    let by_hand = YearTally {
        bought: Length::from_mm(12_000),
        trims: Length::from_mm(60),
        scrap: Length::from_mm(175 + 49 + 54),
        rack: (Length::ZERO, Length::from_mm(822)),
        spent: Worth(1_200_000),
        counted: (Worth(0), Worth(41_100)),
        offcuts: 1,
        offcut_days: 0,
        evenings: vec![1, 1, 1, 1, 1, 1, 1, 0, 1, 1],
        ..two_from_a_stick(20)
    };
    assert_eq!(*tally(&years, Practice::ByHand), by_hand);
    // Every other day two frames. By hand: of a new stick, 827; of that 320 twice (scrap
    // 180) and the rest of a new one, 1469; of that 320 four times (scrap 180) and 220 four
    // times of a new one, 2111; of that all but one rail (scrap 159), which leaves 2774 of a
    // new one, and all of that: 601.
    let hand_waiting = YearTally {
        bought: Length::from_mm(12_000),
        trims: Length::from_mm(40),
        scrap: Length::from_mm(180 + 180 + 159),
        rack: (Length::ZERO, Length::from_mm(601)),
        spent: Worth(1_200_000),
        counted: (Worth(0), Worth(30_050)),
        offcuts: 1,
        offcut_days: 0,
        waited: 5,
        evenings: vec![0, 1, 1, 1, 1, 1, 1, 1, 1, 1],
        ..two_from_a_stick(10)
    };
    assert_eq!(*tally(&years, Practice::HandWaiting), hand_waiting);
    // The plan: each time from a new stick, which leaves 827.
    let waiting = YearTally {
        trims: Length::from_mm(25),
        rack: (Length::ZERO, Length::from_mm(5 * 827)),
        counted: (Worth(0), Worth(5 * 41_350)),
        waited: 5,
        evenings: vec![0, 1, 1, 2, 2, 3, 3, 4, 4, 5],
        ..two_from_a_stick(10)
    };
    assert_eq!(*tally(&years, Practice::Waiting), waiting);
    // 10,840 with joints at 2,991 a stick are four sticks. Half of what is cut (with four
    // first trims less a joint each) and half of what is begun is lost, less a thousandth
    // for each of 40 rails; but ends below 300 count nothing. Of all ways to cut 20 rails of
    // 321 and 20 of 221 from sticks of 2,991 the best comes to 11.4410 (computed, by a table
    // of every way).
    let bound = years.bound();
    assert_eq!((bound.bought, bound.proven), (Length::from_mm(12_000), (1, 1)));
    assert!(bound.money > Worth(50 * (10_840 + 16) + 50 * 12_000 - 40), "{:?}", bound.money);
    assert_eq!(bound.money, Worth(1_144_100));
    assert_eq!(tally(&years, Practice::ByHand).money(), Worth(1_158_900));
}

fn demo(name: &str) -> Shop {
    read_folder(&Path::new(env!("CARGO_MANIFEST_DIR")).join("data").join(name)).unwrap()
}

/// Both demo shops, whose racks have flaws and whose frames have stacks, floaters and
/// polygons among them, in every way of counting lots.
#[test]
fn all_practices_serve_the_same_customers_and_none_beats_the_bound() {
    let spans = [LotSpan::Day, LotSpan::Month, LotSpan::Year];
    for (seed, lots) in (1..).zip(spans) {
        for name in ["demo", "metric"] {
            let shop = demo(name);
            let (days, frames, notice, patience, years) = (6, 4, 3, 2, 2);
            let question =
                YearQuestion { days, frames, notice, patience, seed, lots, years, ..QUESTION };
            let years = years_of(&shop, question);
            let first = &years.practices[0];
            for of in &years.practices {
                for ((year, same), bound) in of.years.iter().zip(&first.years).zip(&years.bounds) {
                    let what = format!("{name}, seed {seed}: {}", of.practice.words());
                    assert_eq!((year.rails, year.cut), (same.rails, same.cut), "{what}");
                    assert_eq!((year.cut, year.late, year.not_cut), (24, 0, 0), "{what}");
                    let went = year.rails + year.joints + year.trims + year.scrap + year.rack.1;
                    assert_eq!(year.rack.0 + year.bought, went, "{what}");
                    assert!(year.bought >= bound.bought, "{what} bought less than the bound");
                    assert!(year.money() >= bound.money, "{what} came to less than the bound");
                    let may_wait = matches!(of.practice, Practice::Waiting | Practice::HandWaiting);
                    assert!(year.waited == 0 || may_wait, "{what}");
                }
            }
        }
    }
}

#[test]
fn the_same_seed_gives_the_same_bytes_on_any_number_of_threads() {
    let shop = demo("metric");
    let question = YearQuestion { days: 8, frames: 3, years: 3, ..QUESTION };
    let on = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| years_of(&shop, question))
    };
    let one = on(1);
    assert_eq!(on(2), one);
    assert_eq!(year_json::year(&on(5), &shop), year_json::year(&one, &shop));
    let other = years_of(&shop, YearQuestion { seed: 2, ..question });
    assert_ne!(other.practices[0].together().rails, one.practices[0].together().rails);
    let rails = |year: usize| one.practices[0].years[year].rails;
    assert_ne!(rails(0), rails(1), "each year has customers of its own");
}

/// One practice alone comes to what it does beside the others, and how far it is is told.
#[test]
fn one_practice_may_be_asked_for() {
    let shop = paper();
    let all = years_of(&shop, QUESTION);
    for practice in Practice::ALL {
        let told = std::sync::Mutex::new(Vec::new());
        let tell = |done, of| told.lock().unwrap().push((done, of));
        let asked = YearQuestion { practice: Some(practice), ..QUESTION };
        let one = simulated_years(&shop, &shop.frames, asked, (WORK, &tell)).unwrap();
        assert_eq!(tally(&one, practice), tally(&all, practice));
        assert_eq!((one.practices.len(), one.bounds.len()), (1, 0));
        assert_eq!(*told.lock().unwrap(), [(1, 1)]);
        let text = year_text::year(&one, &shop);
        assert!(text.contains(practice.words()) && !text.contains("obody can do better"), "{text}");
    }
}

#[test]
fn frames_wait_no_longer_than_they_may() {
    let shop = demo("metric");
    let with = |notice, patience| {
        let question = YearQuestion { days: 12, frames: 2, notice, patience, ..QUESTION };
        let years = years_of(&shop, question);
        let waiting = tally(&years, Practice::Waiting).clone();
        (waiting, tally(&years, Practice::Planned).clone())
    };
    let (none, planned) = with(0, 9);
    assert_eq!(none, planned, "without notice nobody waits");
    let (none, planned) = with(9, 0);
    assert_eq!(none, planned, "without patience nobody waits");
    let (some, _) = with(9, 3);
    assert!(some.waited > 0 && some.waited <= u64::from(some.cut) * 3);
    assert_eq!((some.late, some.not_cut), (0, 0));
}

/// Figures are proposed only where they are better on years that they were not learnt on.
#[test]
fn what_an_offcut_is_worth_is_learnt_on_some_years_and_judged_on_others() {
    let shop = Shop { rack: Vec::new(), ..demo("metric") };
    let question = YearQuestion { days: 15, frames: 3, years: 3, ..QUESTION };
    let learnt = learn(&shop, &shop.frames, question, (WORK, &|_, _| {})).unwrap();
    let own = OffcutRule {
        keep: shop.settings.keep,
        worth: shop.settings.worth,
        curve: None,
        later: None,
    };
    assert_eq!((learnt.own, learnt.tried[0].0), (own, own));
    let of = |rule: OffcutRule| learnt.tried.iter().find(|(other, _)| *other == rule).unwrap().1;
    assert!(learnt.tried.iter().all(|(_, money)| *money >= of(learnt.best)));
    // The shop's own come to what the plan of every day does in the same years.
    let years = years_of(&shop, question);
    let planned = years.practices.iter().find(|of| of.practice == Practice::Planned).unwrap();
    assert_eq!(of(own), planned.together().money());
    match learnt.judged {
        None => assert_eq!(learnt.best, own),
        Some(judged) => assert_eq!(learnt.proposed().is_some(), judged.is_less()),
    }
    assert_snapshot!("year_learnt_page", year_learnt::page(&learnt, &shop));
    let text = year_learnt::text(&learnt, &shop);
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    assert_eq!(text.contains("Proposed for"), learnt.proposed().is_some());
    // A worth of nearly all hoards, and is not the best where something else is tried.
    let mut hoards = shop.clone();
    hoards.settings.worth = 999_000;
    let learnt = learn(&hoards, &shop.frames, question, (WORK, &|_, _| {})).unwrap();
    assert_ne!(learnt.best, learnt.own);
}

#[test]
fn a_shop_without_tickets_has_no_customers_nor_a_year_beyond_the_calendar() {
    let mut shop = paper();
    shop.frames.clear();
    assert_eq!(
        simulated_years(&shop, &[], QUESTION, (WORK, &|_, _| {})),
        Err(YearFault::NoTickets)
    );
    let question = YearQuestion { from: date(9999, 12, 25), ..QUESTION };
    let ends = simulated_years(&paper(), &paper().frames, question, (WORK, &|_, _| {}));
    assert_eq!(ends, Err(YearFault::NoDays), "the calendar ends on the 31st");
    // Longer than any stick: left out, and nobody else is there.
    let long = &mut paper().frames[0];
    long.width = Length::from_mm(2_990);
    assert_eq!(
        simulated_years(&shop, std::slice::from_ref(long), QUESTION, (WORK, &|_, _| {})),
        Err(YearFault::NoTickets)
    );
}

/// Who says how long a setting takes is told the minutes at the stop, half a minute rounded up.
#[test]
fn the_minutes_at_the_stop_are_said_where_a_setting_has_its_seconds() {
    let shop = demo("metric");
    let question = YearQuestion { days: 6, frames: 3, years: 2, setting: Some(40), ..QUESTION };
    let years = years_of(&shop, question);
    let text = year_text::year(&years, &shop);
    assert!(text.contains(" minutes ") && !text.contains("settings"), "{text}");
    assert!(text.contains("where a setting takes 40"), "{text}");
    let all = tally(&years, Practice::FrameByFrame);
    let settings: u64 = years.practices[0].years.iter().map(|year| year.settings).sum();
    assert!(settings >= all.settings && settings > 0);
    let minutes = (settings * 40 + 60) / 120;
    let row = text.lines().find(|line| line.starts_with("frame by frame")).unwrap();
    assert_eq!(row.split_whitespace().rev().nth(2), Some(minutes.to_string().as_str()), "{row}");
    assert!(year_html::year(&years, &shop).contains("<th>minutes</th>"));
}

#[test]
fn a_year_is_said_and_drawn() {
    let shop = demo("metric");
    let question = YearQuestion { days: 20, frames: 4, notice: 5, patience: 5, ..QUESTION };
    let years = years_of(&shop, YearQuestion { years: 3, ..question });
    let text = year_text::year(&years, &shop);
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    assert_snapshot!("year", text);
    assert_snapshot!("year_page", year_html::year(&years, &shop));
}

/// What the README shows of a command, after the line that gives it.
fn shown(command: &str) -> String {
    let readme = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let readme = std::fs::read_to_string(readme).unwrap();
    let (_, after) = readme.split_once(command).expect("the README gives the command");
    let (_, text) = after.split_once("```text\n").unwrap();
    text.split_once("```").unwrap().0.to_owned()
}

#[test]
fn the_readme_shows_what_is_answered() {
    let command = "longpoint year data/metric --today 2026-11-25 --days 20 --frames 4 --years 3";
    let shown = shown(&format!("`{command}`"));
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("data").join("metric");
    let mut args: Vec<&str> = command.split(' ').skip(1).collect();
    args[1] = folder.to_str().unwrap();
    let (code, out, err) = longpoint(&args);
    assert_eq!((code, err.as_str()), (0, ""));
    assert_eq!(shown, out);
}

fn longpoint(args: &[&str]) -> (i32, String, String) {
    let output = Command::cargo_bin("longpoint").unwrap().args(args).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

#[test]
fn the_command_reads_folders_and_books_and_refuses_what_cannot_be() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("data").join("metric");
    let folder = folder.to_str().unwrap();
    let scratch = tempfile::tempdir().unwrap();
    let at = |name: &str| scratch.path().join(name).to_str().unwrap().to_owned();
    let short = ["--today", "2026-11-25", "--days", "5", "--frames", "2", "--years", "2"];
    let page = at("year.html");
    let of_folder = longpoint(&[&["year", folder, "--out", &page][..], &short].concat());
    assert_eq!((of_folder.0, of_folder.2.as_str()), (0, ""));
    assert!(of_folder.1.ends_with(&format!("Wrote the page to {page}.\n")), "{}", of_folder.1);
    assert!(std::fs::read_to_string(&page).unwrap().contains("<svg"));
    let book = at("shop.book");
    assert_eq!(longpoint(&["open", &book, "--from", folder]).0, 0);
    let json = |shop: &str| longpoint(&[&["year", shop, "--json"][..], &short].concat());
    assert_eq!(json(&book), json(folder), "a new book has the folder's rack and tickets");
    // What is cut is still what customers ask for.
    let (day, at_ten) = (["--today", "2026-11-25"], ["--at", "2026-11-25T10:00"]);
    assert_eq!(longpoint(&[&["take", &book][..], &day, &at_ten].concat()).0, 0);
    let tickets = |shop: &str| {
        let value: serde_json::Value = serde_json::from_str(&json(shop).1).unwrap();
        value["tickets"].as_u64().unwrap()
    };
    assert_eq!(tickets(&book), tickets(folder));
    let empty = at("empty");
    for file in ["shop.toml", "mouldings.csv", "rack.csv", "suppliers.csv", "offers.csv"] {
        std::fs::create_dir_all(&empty).unwrap();
        std::fs::copy(Path::new(folder).join(file), Path::new(&empty).join(file)).unwrap();
    }
    std::fs::write(Path::new(&empty).join("frames.csv"), "frame,moulding,width,height\n").unwrap();
    let (code, out, err) = longpoint(&["year", &empty]);
    assert_eq!((code, out.as_str()), (2, ""));
    assert!(err.contains("frames.csv: there is no frame"), "{err}");
    let (code, _, err) = longpoint(&["year", folder, "--days", "0"]);
    assert_eq!(code, 2, "{err}");
    for option in ["--days", "--frames", "--notice", "--patience", "--seed", "--years"] {
        let (code, _, err) = longpoint(&["year", folder, option, "-1"]);
        assert_eq!((code, err.contains(&format!("'-1' for '{option} <N>'"))), (2, true), "{err}");
    }
    let (code, _, err) = longpoint(&["year", folder, "--lots", "week"]);
    assert_eq!((code, err.contains("write day, month or year")), (2, true), "{err}");
}
