//! A simulated year of orders: ten days worked out on paper, and what holds of any year.

use std::collections::BTreeMap;
use std::path::Path;

use assert_cmd::Command;
use insta::assert_snapshot;
use jiff::civil::date;
use longpoint::measure::{Length, Money, Worth};
use longpoint::report::year_orders;
use longpoint::shop::{Shop, read_files, read_folder};
use longpoint::year::{
    LotSpan, OrderRule, OrderTally, OrderedYears, YearFault, YearQuestion, ordered_years,
};

const QUESTION: YearQuestion = YearQuestion {
    from: date(2027, 1, 4),
    days: 10,
    frames: 1,
    notice: 3,
    patience: 0,
    lots: LotSpan::Month,
    seed: 1,
    years: 1,
    practice: None,
    setting: None,
};

const WORK: u64 = 100_000;

/// One ticket, whose rails of 320 and 220 take one stick: 1080 and three joints of 1 mm of
/// 1100, less trims of 5 mm. A stick is 1.10, carriage 7.00, and an order takes two days.
fn paper() -> Shop {
    sold_by(
        "V,7,2\n",
        "supplier,moulding,form,lengths,price,per,until\nV,M,length,1100,1.00,m,2026-12-31\n",
    )
}

/// The same from these suppliers.
fn sold_by(suppliers: &str, offers: &str) -> Shop {
    let file = |name: &str, text: &str| (name.to_owned(), text.as_bytes().to_vec());
    let files = [
        file(
            "shop.toml",
            "name = \"Paper\"\nunit = \"mm\"\nmark = \"1\"\nallowance = \"0\"\n\
             currency = \"EUR\"\ndefault_cutter = \"saw\"\n\
             [offcuts]\nkeep = \"300\"\nworth = \"0.5\"\n\
             [cutter.saw]\nkerf = \"0\"\nnick = \"1\"\nfirst_trim = \"5\"\nlast_trim = \"5\"\n\
             grip = \"0\"\nshortest = \"100\"\nstop = \"long\"\n",
        ),
        file("mouldings.csv", "moulding,width,rabbet,stick,price,per\nM,20,10,1100,1.00,m\n"),
        file("frames.csv", "frame,moulding,width,height\n1,M,300,200\n"),
        file("rack.csv", "stick,moulding,length\n"),
        file("suppliers.csv", &format!("supplier,freight,lead_days\n{suppliers}")),
        file("offers.csv", offers),
    ];
    read_files(&files.into_iter().collect()).unwrap()
}

fn of(years: &OrderedYears, rule: OrderRule) -> &OrderTally {
    &years.rules.iter().find(|(of, _)| *of == rule).unwrap().1[0]
}

/// Orders, sticks, what is paid in cents, frames that lacked, days waited, sticks left.
type Came = (u32, i64, i64, u32, u64, i64);

fn came(of: &OrderTally) -> Came {
    let stick = Length::from_mm(1_100).nm();
    assert_eq!((of.year.cut, of.year.late, of.year.not_cut), (10, 0, 0));
    assert_eq!(of.year.rails, Length::from_mm(10_800));
    assert_eq!(of.charges, Money(i64::from(of.orders) * 700));
    let paid = of.year.spent.to_money().0;
    assert_eq!(of.year.spent, Worth::from(Money(paid)));
    let (bought, left) = (of.year.bought.nm() / stick, of.year.rack.1.nm() / stick);
    (of.orders, bought, paid, of.lacked, of.year.waited, left)
}

#[test]
fn ten_days_are_as_worked_out_on_paper() {
    let years = ordered_years(&paper(), &paper().frames, QUESTION, (WORK, &|_, _| {})).unwrap();
    // A stick a day, each two days on its way.
    assert_eq!(came(of(&years, OrderRule::EachDay)), (10, 10, 1_100 + 7_000, 10, 20, 0));
    // A frame is to be cut within three days: it is ordered for on the next, with that of
    // the next day, so that one waits three days and the other two.
    let late = of(&years, OrderRule::LatestDay);
    assert_eq!(came(late), (5, 10, 1_100 + 3_500, 10, 25, 0));
    // What is asked for in three days is 3,252 with joints, and a stick holds 1,090: three
    // sticks. The first two frames wait for the four sticks of the first day, one for two
    // days and one for one; a stick follows each day, and three are left.
    assert_eq!(years.levels, BTreeMap::from([("M".to_owned(), (3, 3))]));
    let kept = of(&years, OrderRule::KeptOnRack);
    assert_eq!(came(kept), (10, 13, 1_430 + 7_000, 2, 3, 3));
    assert_eq!(kept.year.money(), Worth::from(Money(1_100 + 7_000)));
    let difference = years.difference(OrderRule::LatestDay, OrderRule::EachDay).unwrap();
    assert_eq!((difference.mean, difference.half), (Worth::from(Money(-3_500)), None));
}

/// Another chops a frame for 1.08 with carriage of 1.00, and sends it the next day: cheaper
/// than a stick of 1.10 with 7.00. Nothing is cut here, and no stick is bought.
#[test]
fn ten_days_of_chopped_frames_are_as_worked_out_on_paper() {
    let shop = sold_by(
        "V,7,2\nW,1,1\n",
        "supplier,moulding,form,lengths,price,per\nV,M,length,1100,1.00,m\n\
         W,M,chop,200 .. 400,1.00,m\n",
    );
    let years = ordered_years(&shop, &shop.frames, QUESTION, (WORK, &|_, _| {})).unwrap();
    let chopped = |rule| {
        let of = of(&years, rule);
        assert_eq!((of.year.cut, of.year.late, of.year.not_cut), (10, 0, 0));
        assert_eq!((of.year.bought, of.year.rails), (Length::ZERO, Length::ZERO));
        assert_eq!(of.chopped, (10, Length::from_mm(10_800)));
        assert_eq!(of.charges, Money(i64::from(of.orders) * 100));
        (of.orders, of.year.spent, of.lacked, of.year.waited)
    };
    // A frame a day, which comes on the next.
    let each = chopped(OrderRule::EachDay);
    assert_eq!(each, (10, Worth::from(Money(1_080 + 1_000)), 10, 10));
    // Ordered for two days after it came in, with those of the two days between: three
    // orders of three frames, which wait three days, two and one, and one of the last.
    let late = chopped(OrderRule::LatestDay);
    assert_eq!(late, (4, Worth::from(Money(1_080 + 400)), 10, 3 * 6 + 3));
    // Sticks on the rack are only for what is cut of sticks: as many as before.
    assert_eq!(years.levels, BTreeMap::from([("M".to_owned(), (3, 3))]));
    let page = year_orders::page(&years, &shop);
    assert!(page.contains("Layers that suppliers chopped, in all: 10 (each day, what waits)"));
}

fn metric() -> Shop {
    read_folder(&Path::new(env!("CARGO_MANIFEST_DIR")).join("data/metric")).unwrap()
}

#[test]
fn all_rules_serve_the_same_customers_and_nothing_comes_from_nowhere() {
    let shop = metric();
    let question = YearQuestion { days: 8, frames: 2, notice: 6, years: 2, ..QUESTION };
    let on = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| ordered_years(&shop, &shop.frames, question, (WORK, &|_, _| {})).unwrap())
    };
    let years = on(1);
    assert_eq!(years, on(3), "the same on any number of threads");
    for (rule, tallies) in &years.rules {
        for (tally, first) in tallies.iter().zip(&years.rules[0].1) {
            let year = &tally.year;
            let made = |of: &OrderTally| of.year.rails + of.chopped.1;
            assert_eq!((made(tally), year.cut, year.not_cut), (made(first), 16, 0), "{rule:?}");
            let went = year.rails + year.joints + year.trims + year.scrap + year.rack.1;
            assert_eq!(year.rack.0 + year.bought, went, "{rule:?}");
            assert_eq!(year.late, 0, "{rule:?}");
        }
    }
    let text = year_orders::text(&years, &shop);
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    assert_snapshot!("year_orders", text);
    assert_snapshot!("year_orders_page", year_orders::page(&years, &shop));
    let json: serde_json::Value = serde_json::from_str(&year_orders::json(&years, &shop)).unwrap();
    assert_eq!(json["rules"].as_array().unwrap().len(), 3);
}

#[test]
fn without_suppliers_nothing_is_ordered() {
    let mut shop = paper();
    shop.offers.clear();
    let none = ordered_years(&shop, &shop.frames, QUESTION, (WORK, &|_, _| {}));
    assert_eq!(none, Err(YearFault::NoTickets), "nobody sells what they are made of");
    let scratch = tempfile::tempdir().unwrap();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/metric");
    for file in
        ["shop.toml", "mouldings.csv", "rack.csv", "frames.csv", "materials.csv", "jobs.csv"]
    {
        std::fs::copy(folder.join(file), scratch.path().join(file)).unwrap();
    }
    let mut command = Command::cargo_bin("longpoint").unwrap();
    let output = command.arg("year").arg(scratch.path()).arg("--orders").output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    let err = String::from_utf8(output.stderr).unwrap();
    assert!(err.contains("nobody is known to sell anything"), "{err}");
}
