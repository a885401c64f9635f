//! When orders arrive and until when they can wait, in a thousand tiny shops with
//! calendars of their own. Every day is tried, by code that knows the calendars as they
//! were drawn and shares nothing with the planner.

#[path = "support/numbers.rs"]
mod numbers;

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;

use jiff::ToSpan;
use jiff::civil::{Date, Time, date, time};
use longpoint::morning::plan_as_wished;
use longpoint::plan::Wishes;
use longpoint::shop::{Shop, read_files};
use longpoint::solve::Limits;
use longpoint::verify::verify;
use numbers::Numbers;

const TODAY: Date = date(2026, 11, 25);
const SHOPS: u64 = 1_200;
/// No calendar drawn here closes for longer, and nothing is due later.
const HORIZON: i64 = 90;
const NAMES: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];

/// Some days of the week, and closures.
#[derive(Debug, Clone)]
struct Drawn {
    week: BTreeSet<i8>,
    closed: Vec<(Date, Date)>,
}

impl Drawn {
    fn week(numbers: &mut Numbers) -> BTreeSet<i8> {
        match numbers.within(0, 3) {
            0 => (1..=7).collect(),
            1 => (1..=5).collect(),
            _ => (0..numbers.within(1, 3)).map(|_| numbers.within(1, 7) as i8).collect(),
        }
    }

    fn closed(numbers: &mut Numbers) -> Vec<(Date, Date)> {
        let closure = |numbers: &mut Numbers| {
            let first = TODAY + numbers.within(-2, 20).days();
            (first, first + numbers.one_of(&[0, 0, 1, 5, 12]).days())
        };
        (0..numbers.one_of(&[0, 0, 1, 2])).map(|_| closure(numbers)).collect()
    }

    fn has(&self, day: Date) -> bool {
        self.week.contains(&day.weekday().to_monday_one_offset())
            && self.closed.iter().all(|(first, last)| day < *first || *last < day)
    }

    fn names(&self) -> String {
        let names: Vec<&str> = self.week.iter().map(|day| NAMES[*day as usize - 1]).collect();
        names.join("; ")
    }

    fn closures(&self) -> String {
        let closures: Vec<String> =
            self.closed.iter().map(|(first, last)| format!("{first} .. {last}")).collect();
        closures.join("; ")
    }
}

#[derive(Debug)]
struct Seller {
    lead: i64,
    orders: Drawn,
    vans: Drawn,
    cut_off: Option<Time>,
    order_by: Option<Date>,
}

#[derive(Debug)]
struct Ticket {
    /// The sellers of its layers' mouldings.
    from: Vec<usize>,
    due: Option<Date>,
    rush: bool,
}

#[derive(Debug)]
struct Tiny {
    open: Drawn,
    bench_days: i64,
    sellers: Vec<Seller>,
    tickets: Vec<Ticket>,
    time: Option<Time>,
}

impl Tiny {
    fn drawn(seed: u64) -> Tiny {
        let numbers = &mut Numbers(seed.wrapping_mul(0x9e37_79b9) ^ 0xdead_11e5);
        let open = Drawn { week: Drawn::week(numbers), closed: Drawn::closed(numbers) };
        let sellers = (0..2).map(|_| {
            let closed = Drawn::closed(numbers);
            let orders = Drawn { week: Drawn::week(numbers), closed: closed.clone() };
            // On some day they deliver and the shop takes in.
            let mut week = Drawn::week(numbers);
            week.insert(*open.week.first().unwrap());
            Seller {
                lead: numbers.within(0, 6),
                orders,
                vans: Drawn { week, closed },
                cut_off: numbers.one_in(3).then(|| time(12, 0, 0, 0)),
                order_by: numbers.one_in(6).then(|| TODAY + numbers.within(40, 60).days()),
            }
        });
        let sellers = sellers.collect();
        let tickets = (0..numbers.within(1, 4)).map(|_| {
            let from = match numbers.within(0, 2) {
                2 => vec![0, 1],
                one => vec![one as usize],
            };
            let due = (!numbers.one_in(5)).then(|| TODAY + numbers.within(-1, 30).days());
            Ticket { from, due, rush: numbers.one_in(9) }
        });
        let tickets = tickets.collect();
        let time = numbers.one_of(&[None, Some(time(11, 59, 0, 0)), Some(time(12, 0, 0, 0))]);
        Tiny { open, bench_days: numbers.within(0, 2), sellers, tickets, time }
    }

    fn shop(&self) -> Shop {
        let settings = format!(
            "name = \"Tiny\"\nunit = \"mm\"\nmark = \"1\"\nallowance = \"0\"\ncurrency = \"EUR\"\n\
             default_cutter = \"c\"\n[offcuts]\nkeep = \"100\"\nworth = \"0.5\"\n[days]\n\
             open = \"{}\"\nclosed = \"{}\"\nbench_days = {}\n[cutter.c]\nkerf = \"0\"\n\
             nick = \"0\"\nfirst_trim = \"0\"\nlast_trim = \"0\"\ngrip = \"0\"\nshortest = \"1\"\n\
             stop = \"long\"\n",
            self.open.names(),
            self.open.closures(),
            self.bench_days
        );
        let mut suppliers =
            "supplier,lead_days,order_days,cut_off,delivery_days,closed,order_by\n".to_owned();
        for (place, seller) in self.sellers.iter().enumerate() {
            let _ = writeln!(
                suppliers,
                "S{place},{},{},{},{},{},{}",
                seller.lead,
                seller.orders.names(),
                if seller.cut_off.is_some() { "12:00" } else { "" },
                seller.vans.names(),
                seller.orders.closures(),
                seller.order_by.map(|day| day.to_string()).unwrap_or_default()
            );
        }
        let mut frames = "frame,layer,moulding,width,height,due\n".to_owned();
        for (number, ticket) in self.tickets.iter().enumerate() {
            for (layer, from) in ticket.from.iter().enumerate() {
                let (size, due) = match (layer, ticket.due) {
                    (0, Some(due)) => ("80", due.to_string()),
                    (0, None) => ("80", String::new()),
                    _ => ("", String::new()),
                };
                let _ = writeln!(frames, "F{number},{},M{from},{size},{size},{due}", layer + 1);
            }
        }
        let files = [
            ("shop.toml", settings),
            ("mouldings.csv", "moulding,width,rabbet,stick\nM0,20,10,1000\nM1,20,10,1000\n".into()),
            ("frames.csv", frames),
            ("rack.csv", "stick,moulding,length\n".into()),
            ("suppliers.csv", suppliers),
            (
                "offers.csv",
                "supplier,moulding,form,lengths,price,per\nS0,M0,length,1000,10.00,stick\n\
                 S1,M1,length,1000,10.00,stick\n"
                    .into(),
            ),
        ];
        let files: BTreeMap<String, Vec<u8>> =
            files.into_iter().map(|(name, text)| (name.to_owned(), text.into_bytes())).collect();
        let shop = read_files(&files).unwrap_or_else(|faults| panic!("{faults}\n{self:#?}"));
        match self.time {
            Some(time) => shop.at(TODAY, time),
            None => shop,
        }
    }

    /// The day on which an order of a day goes out, and the one on which it comes.
    fn way(&self, seller: usize, day: Date) -> (Date, Date) {
        let seller = &self.sellers[seller];
        let is_past = self.time.zip(seller.cut_off).is_some_and(|(now, until)| now >= until);
        let mut out = day;
        while !seller.orders.has(out) || out == TODAY && is_past {
            out = out.tomorrow().unwrap();
        }
        let mut there = out + seller.lead.days();
        while !(seller.vans.has(there) && self.open.has(there)) {
            there = there.tomorrow().unwrap();
        }
        (out, there)
    }

    fn comes(&self, seller: usize, day: Date) -> Date {
        self.way(seller, day).1
    }

    /// The day on which all of a ticket is there if all is ordered today.
    fn all_there(&self, ticket: &Ticket) -> Date {
        ticket.from.iter().map(|seller| self.comes(*seller, TODAY)).max().unwrap()
    }

    /// Whether a ticket is in time if its last moulding is there on a day.
    fn is_in_time(&self, ticket: &Ticket, there: Date) -> bool {
        if ticket.rush {
            return there <= TODAY;
        }
        let Some(due) = ticket.due else { return true };
        // Open days from the delivery's own on, up to the due day: on one of them it is
        // fetched, and the others are the bench's.
        let spare = (0..HORIZON).map(|n| there + n.days()).take_while(|day| *day <= due);
        let open = spare.filter(|day| self.open.has(*day)).count() as i64;
        open > self.bench_days
    }

    /// Whether a ticket lets an order from a seller wait until a day.
    fn lets_wait(&self, ticket: &Ticket, seller: usize, day: Date) -> bool {
        let today = self.all_there(ticket);
        let comes = self.comes(seller, day);
        let has_date = ticket.rush || ticket.due.is_some();
        !has_date || self.is_in_time(ticket, comes) || comes <= today
    }

    fn can_wait(&self, seller: usize, day: Date) -> bool {
        let ends = self.sellers[seller].order_by;
        let is_taken = ends.is_none_or(|last| self.way(seller, day).0 <= last);
        let own = self.tickets.iter().filter(|ticket| ticket.from.contains(&seller));
        is_taken && own.into_iter().all(|ticket| self.lets_wait(ticket, seller, day))
    }
}

#[test]
fn every_order_waits_as_long_as_it_can() {
    let (mut waits, mut today, mut late, mut wrong) = (0, 0, 0, Vec::new());
    for seed in 0..SHOPS {
        let tiny = Tiny::drawn(seed);
        let shop = tiny.shop();
        let rushed = tiny.tickets.iter().enumerate().filter(|(_, ticket)| ticket.rush);
        let rush = rushed.map(|(number, _)| format!("F{number}")).collect();
        let limits = Limits { work: 20_000, deadline: None, stop: None, watch: None };
        let wishes = Wishes { rush, ..Wishes::default() };
        let plan = plan_as_wished(&shop, TODAY, &wishes, limits).unwrap().into_inner();
        let mut faults: Vec<String> = Vec::new();
        for (number, ticket) in tiny.tickets.iter().enumerate() {
            let id = format!("F{number}");
            let awaited = plan.order.awaited.iter().find(|awaited| awaited.frame == id).unwrap();
            let right = tiny.all_there(ticket);
            late += u32::from(!tiny.is_in_time(ticket, right));
            if awaited.arrives != Some(right) {
                faults.push(format!("{id} arrives {:?}, right is {right}", awaited.arrives));
            }
        }
        for deadline in &plan.order.deadlines {
            let seller = usize::from(deadline.supplier == "S1");
            let is_day = |day: &Date| *day == TODAY || tiny.open.has(*day);
            let days = (0..HORIZON).map(|n| TODAY + n.days()).filter(is_day);
            let will_do: Vec<Date> = days.filter(|day| tiny.can_wait(seller, *day)).collect();
            let is_endless =
                will_do.last().is_some_and(|last| *last >= TODAY + (HORIZON - 8).days());
            let right = if is_endless { None } else { will_do.last().copied() };
            waits += u32::from(right.is_none_or(|day| day > TODAY));
            today += u32::from(right == Some(TODAY));
            let arrives = right.map(|day| tiny.comes(seller, day));
            if (deadline.last, deadline.arrives) != (right, arrives) {
                faults.push(format!("{deadline:?}, right is {right:?}, there {arrives:?}"));
            }
            // One of the frames that it names would be late on the next day.
            let next = right.map(|last| {
                let days = (1..HORIZON).map(|n| last + n.days());
                days.into_iter().find(|day| tiny.open.has(*day)).unwrap()
            });
            if let Some(((frame, _), next)) = deadline.frame.as_ref().zip(next) {
                let ticket = &tiny.tickets[frame[1..].parse::<usize>().unwrap()];
                if tiny.lets_wait(ticket, seller, next) {
                    faults.push(format!("{deadline:?}, but {frame} lets it wait until {next}"));
                }
            }
        }
        if !faults.is_empty() {
            println!("shop {seed}: {faults:#?}\n{tiny:#?}");
            wrong.push(seed);
        }
    }
    assert!(wrong.is_empty(), "{} shops: {wrong:?}", wrong.len());
    assert!(waits > 500 && today > 200 && late > 200, "{waits} wait, {today} today, {late} late");
}

/// A plan that lets an order wait too long, or too short, or for another frame, is seen.
#[test]
fn a_false_deadline_is_seen() {
    let tiny = (0..).map(Tiny::drawn).find(|tiny| {
        let from = |seller: usize| tiny.tickets.iter().all(|ticket| ticket.from == [seller]);
        tiny.tickets.len() == 1
            && from(0)
            && tiny.tickets[0].due.is_some()
            && !tiny.tickets[0].rush
            && tiny.sellers[0].order_by.is_none()
            && (TODAY + 1.day()..).contains(&tiny.tickets[0].due.unwrap())
            && tiny.can_wait(0, TODAY + 3.days())
            && tiny.open.week.len() == 7
    });
    let shop = tiny.unwrap().shop();
    let limits = Limits { work: 20_000, deadline: None, stop: None, watch: None };
    let right = plan_as_wished(&shop, TODAY, &Wishes::default(), limits).unwrap().into_inner();
    assert_eq!(verify(&shop, &right), Ok(()));
    let harms: [fn(&mut longpoint::plan::OrderDeadline); 6] = [
        |of| of.last = of.last.map(|day| day.tomorrow().unwrap()),
        |of| of.last = of.last.map(|day| day.yesterday().unwrap()),
        |of| of.last = None,
        |of| of.arrives = None,
        |of| of.frame = None,
        |of| of.supplier = "S1".to_owned(),
    ];
    for (place, harm) in harms.into_iter().enumerate() {
        let mut plan = right.clone();
        harm(&mut plan.order.deadlines[0]);
        assert!(verify(&shop, &plan).is_err(), "harm {place}");
    }
    let mut plan = right.clone();
    plan.order.deadlines.clear();
    assert!(verify(&shop, &plan).is_err());
}
