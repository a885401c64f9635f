//! The day that is promised, against every day tried one after the other by code of its
//! own: when an order goes out, when it is delivered, when the bench has had its days.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;

use jiff::civil::{Date, Weekday, date};
use longpoint::measure::{Length, Mitre};
use longpoint::morning::WORK;
use longpoint::plan::WhenMade;
use longpoint::quote::{Quote, WaitsFor, Wish, WishedLayer, quote};
use longpoint::shop::{Shop, read_files};
use longpoint::solve::Limits;

use crate::numbers::Numbers;

const TODAY: Date = date(2026, 11, 25);

const NAMES: [(&str, Weekday); 7] = [
    ("Mon", Weekday::Monday),
    ("Tue", Weekday::Tuesday),
    ("Wed", Weekday::Wednesday),
    ("Thu", Weekday::Thursday),
    ("Fri", Weekday::Friday),
    ("Sat", Weekday::Saturday),
    ("Sun", Weekday::Sunday),
];

/// Days as this test understands them: of the week, but not these dates.
#[derive(Clone)]
struct Calendar {
    week: BTreeSet<usize>,
    closed: BTreeSet<Date>,
}

impl Calendar {
    fn draw(dice: &mut Numbers) -> Calendar {
        let every = dice.one_in(3);
        let mut week: BTreeSet<usize> = (0..7).filter(|_| every || dice.one_in(2)).collect();
        if week.is_empty() {
            week.insert(usize::try_from(dice.within(0, 6)).unwrap());
        }
        let first = dice.within(0, 9);
        let length = if dice.one_in(2) { dice.within(0, 6) } else { 0 };
        Calendar { week, closed: (first..first + length).map(after).collect() }
    }

    fn has(&self, day: Date) -> bool {
        let name = NAMES.iter().position(|(_, weekday)| *weekday == day.weekday()).unwrap();
        self.week.contains(&name) && !self.closed.contains(&day)
    }

    fn week(&self) -> String {
        self.week.iter().map(|day| NAMES[*day].0).collect::<Vec<_>>().join("; ")
    }

    fn closed(&self) -> String {
        self.closed.iter().map(Date::to_string).collect::<Vec<_>>().join("; ")
    }
}

fn after(days: i64) -> Date {
    TODAY.checked_add(jiff::Span::new().days(days)).unwrap()
}

/// A tiny shop in which one frame is asked for.
struct Tiny {
    shop: Shop,
    /// Whether the rack has its moulding.
    at_hand: bool,
    open: Calendar,
    bench_days: u32,
    frames_a_day: Option<u32>,
    /// For each supplier: lead days, order days, delivery days.
    suppliers: Vec<(i64, Calendar, Calendar)>,
    /// What else is on the pile, of another moulding that is at hand.
    due: Vec<Date>,
}

fn tiny(seed: u64) -> Tiny {
    let dice = &mut Numbers(seed);
    let open = Calendar::draw(dice);
    let bench_days = dice.count(0, 3);
    let frames_a_day = if dice.one_in(2) { Some(dice.count(1, 3)) } else { None };
    let mut settings = format!(
        "name = \"T\"\nunit = \"mm\"\nmark = \"1\"\nallowance = \"0\"\ncurrency = \"EUR\"\n\
         default_cutter = \"c\"\n[offcuts]\nkeep = \"900\"\nworth = \"0\"\n[cutter.c]\n\
         kerf = \"0\"\nnick = \"0\"\nfirst_trim = \"0\"\nlast_trim = \"0\"\ngrip = \"0\"\n\
         shortest = \"1\"\nstop = \"long\"\n[days]\nopen = \"{}\"\nclosed = \"{}\"\n\
         bench_days = {bench_days}\n",
        open.week(),
        open.closed()
    );
    if let Some(each) = frames_a_day {
        let _ = writeln!(settings, "frames_a_day = {each}");
    }
    let at_hand = dice.one_in(3);
    let due: Vec<Date> = (0..dice.count(0, 7)).map(|_| after(dice.within(0, 9))).collect();
    let mut frames = "frame,moulding,width,height,due\n".to_owned();
    let mut rack = "stick,moulding,length\n".to_owned();
    for (number, due) in due.iter().enumerate() {
        let _ = writeln!(frames, "{number},N,400,400,{due}");
        let _ = writeln!(rack, "N{number},N,2000");
    }
    if at_hand {
        rack += "M1,M,2000\n";
    }
    let mut suppliers = Vec::new();
    let mut rows = "supplier,lead_days,order_days,delivery_days,closed\n".to_owned();
    let mut offers = "supplier,moulding,form,lengths,price,per\n".to_owned();
    for number in 0..dice.count(1, 3) {
        let lead = dice.within(0, 6);
        let (orders, mut delivers) = (Calendar::draw(dice), Calendar::draw(dice));
        if delivers.week.is_disjoint(&open.week) {
            delivers.week.extend(&open.week);
        }
        // A supplier who is closed neither sends nor delivers.
        delivers.closed = orders.closed.clone();
        let _ = writeln!(
            rows,
            "S{number},{lead},{},{},{}",
            orders.week(),
            delivers.week(),
            orders.closed()
        );
        let _ = writeln!(offers, "S{number},M,length,2000,{}.00,stick", dice.within(5, 30));
        suppliers.push((lead, orders, delivers));
    }
    let files = [
        ("shop.toml", settings),
        (
            "mouldings.csv",
            "moulding,width,rabbet,stick,price,per\nM,20,10,2000,9.00,stick\nN,20,10,2000,9.00,stick\n"
                .to_owned(),
        ),
        ("frames.csv", frames),
        ("rack.csv", rack),
        ("suppliers.csv", rows),
        ("offers.csv", offers),
    ];
    let files: BTreeMap<String, Vec<u8>> =
        files.into_iter().map(|(name, text)| (name.to_owned(), text.into_bytes())).collect();
    let shop = read_files(&files).unwrap_or_else(|faults| panic!("seed {seed}: {faults}"));
    Tiny { shop, at_hand, open, bench_days, frames_a_day, suppliers, due }
}

impl Tiny {
    /// The day on which a supplier's goods are here, day by day.
    fn arrives(&self, (lead, orders, delivers): &(i64, Calendar, Calendar)) -> Date {
        let mut day = TODAY;
        while !orders.has(day) {
            day = day.tomorrow().unwrap();
        }
        day = day.checked_add(jiff::Span::new().days(*lead)).unwrap();
        while !delivers.has(day) || !self.open.has(day) {
            day = day.tomorrow().unwrap();
        }
        day
    }

    /// The first day on which everything is as it must be.
    fn first(&self) -> Date {
        let material = match self.at_hand {
            true => TODAY,
            false => self.suppliers.iter().map(|of| self.arrives(of)).min().unwrap(),
        };
        (0..).map(after).find(|day| self.is_ready(*day, material)).unwrap()
    }

    fn is_ready(&self, day: Date, material: Date) -> bool {
        // So many working days lie after the day of the moulding, up to this one.
        let mut bench = 0;
        let mut one = material;
        while one < day {
            one = one.tomorrow().unwrap();
            bench += u32::from(self.open.has(one));
        }
        day >= material && self.open.has(day) && bench >= self.bench_days && self.has_hands(day)
    }

    /// Whether everybody who is due on this day or later is made in time, and the new
    /// frame by this day, when each day's hands go to who is due first.
    fn has_hands(&self, day: Date) -> bool {
        let Some(each) = self.frames_a_day else { return true };
        let mut pile: Vec<(Date, bool)> = self.due.iter().map(|due| (*due, false)).collect();
        pile.push((day, true));
        pile.sort();
        let (mut today, mut made) = (TODAY, 0);
        pile.into_iter().all(|(due, is_new)| {
            while !self.open.has(today) || made == each {
                (today, made) = (today.tomorrow().unwrap(), 0);
            }
            made += 1;
            today <= due || (due < day && !is_new)
        })
    }
}

pub fn wish(due: Option<Date>) -> Wish {
    let layer = WishedLayer { moulding: "M".to_owned(), gap: Length::ZERO, match_: None };
    Wish {
        layers: vec![layer],
        width: Length::from_mm(400),
        height: Length::from_mm(400),
        mitre: Mitre::SQUARE,
        copies: 1,
        due,
        job: None,
    }
}

pub fn asked(shop: &Shop, due: Option<Date>) -> Quote {
    let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
    quote(shop, &wish(due), TODAY, limits, false).unwrap()
}

#[test]
fn a_promise_is_the_first_day_that_can_be_kept() {
    let (mut moulding, mut hands, mut bench) = (0, 0, 0);
    for seed in 0..1000 {
        let tiny = tiny(seed);
        let first = tiny.first();
        let quote = asked(&tiny.shop, None);
        let promise = quote.promise.unwrap_or_else(|| panic!("seed {seed}: no promise"));
        assert_eq!(promise.ready, first, "seed {seed}");
        assert!(promise.stands, "seed {seed}");
        match promise.waits_for {
            WaitsFor::Moulding { .. } => moulding += 1,
            WaitsFor::Hands => hands += 1,
            WaitsFor::Bench => bench += 1,
        }
        // What is asked for that day or a later one is promised, a day sooner is not.
        let due = first.tomorrow().unwrap();
        let quote = asked(&tiny.shop, Some(due));
        assert!(
            quote.can_be_promised(Some(due)),
            "seed {seed} {:?} {:?}",
            quote.promise,
            quote.pushed
        );
        let sooner = first.yesterday().unwrap();
        let quote = asked(&tiny.shop, Some(sooner));
        assert!(
            !quote.can_be_promised(Some(sooner)),
            "seed {seed} {:?} {:?}",
            quote.promise,
            quote.pushed
        );
        assert_eq!(quote.promise.unwrap().ready, first, "seed {seed}");
    }
    assert!(moulding > 400 && hands > 60 && bench > 250, "{moulding} {hands} {bench}");
}

/// One stick, and a frame on the pile that is promised for the same day as the one that
/// is asked for, a day sooner: the stick goes to whoever is due first, and the promise
/// for the other is broken (computed).
#[test]
fn a_promise_that_breaks_another_is_none() {
    let shop = |promised: &str| {
        let settings = "name = \"T\"\nunit = \"mm\"\nmark = \"1\"\nallowance = \"0\"\n\
             currency = \"EUR\"\ndefault_cutter = \"c\"\n[offcuts]\nkeep = \"900\"\nworth = \"0\"\n\
             [cutter.c]\nkerf = \"0\"\nnick = \"0\"\nfirst_trim = \"0\"\nlast_trim = \"0\"\n\
             grip = \"0\"\nshortest = \"1\"\nstop = \"long\"\n";
        let frames = format!(
            "frame,moulding,width,height,due,promised\n7,M,400,400,2026-11-28,{promised}\n"
        );
        let files = [
            ("shop.toml", settings.to_owned()),
            (
                "mouldings.csv",
                "moulding,width,rabbet,stick,price,per\nM,20,10,2000,9.00,stick\n".to_owned(),
            ),
            ("frames.csv", frames),
            ("rack.csv", "stick,moulding,length\nM1,M,2000\n".to_owned()),
            ("suppliers.csv", "supplier,lead_days\nS,9\n".to_owned()),
            (
                "offers.csv",
                "supplier,moulding,form,lengths,price,per\nS,M,length,2000,9.00,stick\n".to_owned(),
            ),
        ];
        let files: BTreeMap<String, Vec<u8>> =
            files.into_iter().map(|(name, text)| (name.to_owned(), text.into_bytes())).collect();
        read_files(&files).unwrap_or_else(|faults| panic!("{faults}"))
    };
    let friday = date(2026, 11, 27);
    for (promised, can_be) in [("yes", false), ("", true)] {
        let quote = asked(&shop(promised), Some(friday));
        let [pushed] = &quote.pushed[..] else { panic!("{:?}", quote.pushed) };
        assert_eq!((pushed.frame.as_str(), pushed.before), ("7", WhenMade::Today));
        assert_eq!(pushed.after, WhenMade::Arrives(date(2026, 12, 4)));
        assert!(pushed.is_late);
        assert_eq!(quote.can_be_promised(Some(friday)), can_be);
    }
}
