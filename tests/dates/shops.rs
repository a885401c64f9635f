//! Random tiny shops whose frames compete for days, the same on every machine.

use std::collections::BTreeMap;
use std::fmt::Write;

use jiff::ToSpan;
use jiff::civil::{Date, date};
use longpoint::shop::{Shop, read_files};

use super::numbers::Numbers;

/// The morning of every shop.
pub const TODAY: Date = date(2026, 11, 25);

/// The mouldings.
pub const IDS: [&str; 3] = ["A", "B", "C"];

/// One frame: four rails alike in each layer.
#[derive(Debug, Clone)]
pub struct Ticket {
    pub id: String,
    /// The place of each layer's moulding, the length of its rails, and whether
    /// all four come from one stick.
    pub layers: Vec<(usize, i64, bool)>,
    pub due: Option<Date>,
    pub rush: bool,
}

/// A shop and what it was made from.
#[derive(Debug)]
pub struct Made {
    pub shop: Shop,
    pub tickets: Vec<Ticket>,
    /// The sticks of each moulding on the rack.
    pub rack: [Vec<i64>; 3],
    /// For each moulding the days on which somebody brings sticks.
    pub brought: [Vec<Date>; 3],
    pub trim: i64,
    pub keep: i64,
    pub calendar: Calendar,
}

/// The days of the shop and of those who deliver, one by one.
#[derive(Debug)]
pub struct Calendar {
    /// On how many days from Monday on the shop is open.
    open: i8,
    /// A day on which it is closed.
    closed: Date,
    /// How many open days are wanted before the due date.
    bench_days: i64,
}

impl Calendar {
    fn drawn(numbers: &mut Numbers) -> Calendar {
        let open = numbers.one_of(&[7, 7, 5, 6, 2]);
        let closed = TODAY + numbers.within(0, 9).days();
        Calendar { open, closed, bench_days: numbers.within(0, 2) }
    }

    fn is_open(&self, day: Date) -> bool {
        day.weekday().to_monday_one_offset() <= self.open && day != self.closed
    }

    /// The first day from one on that is open and will do.
    fn first(&self, mut day: Date, will_do: impl Fn(Date) -> bool) -> Date {
        while !(self.is_open(day) && will_do(day)) {
            day = day.tomorrow().unwrap();
        }
        day
    }

    /// The last day that is in time for a due date.
    pub fn needed_by(&self, due: Date) -> Date {
        let (mut day, mut left) = (due, self.bench_days);
        // Nobody fetches a frame on a closed day.
        while left > 0 || !self.is_open(day) {
            left -= i64::from(self.is_open(day));
            day = day.yesterday().unwrap();
        }
        day
    }

    fn words(&self) -> String {
        let names = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
        let last = names[usize::try_from(self.open - 1).unwrap()];
        format!(
            "[days]\nopen = \"Mon .. {last}\"\nclosed = \"{}\"\nbench_days = {}\n",
            self.closed, self.bench_days
        )
    }
}

/// Who brings, and when.
struct Seller {
    id: String,
    lead: i64,
    /// The only day of the week on which an order goes out.
    order: Option<i8>,
    /// The only day of the week on which the van comes.
    van: Option<i8>,
}

impl Seller {
    fn drawn(numbers: &mut Numbers, place: i64, calendar: &Calendar) -> Seller {
        let mut day = |most: i8| numbers.one_in(4).then(|| numbers.within(1, most.into()) as i8);
        let (order, van) = (day(7), day(calendar.open));
        Seller { id: format!("S{place}"), lead: numbers.within(0, 9), order, van }
    }

    fn brings(&self, calendar: &Calendar) -> Date {
        let is_on = |only: Option<i8>, day: Date| {
            only.is_none_or(|only| day.weekday().to_monday_one_offset() == only)
        };
        let mut sent = TODAY;
        while !is_on(self.order, sent) {
            sent = sent.tomorrow().unwrap();
        }
        calendar.first(sent + self.lead.days(), |day| is_on(self.van, day))
    }

    fn row(&self) -> String {
        let name = |day: Option<i8>| {
            let names = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
            day.map_or("", |day| names[usize::try_from(day - 1).unwrap()])
        };
        format!("{},{},{},{}", self.id, self.lead, name(self.order), name(self.van))
    }
}

/// The length of a stick that is bought.
pub const STICK: i64 = 1000;

/// The tiny shop of this number. Rails and sticks stand on a coarse grid, so that
/// rails often fill what is left exactly.
pub fn made(seed: u64) -> Made {
    let numbers = &mut Numbers(seed.wrapping_mul(0x5851_f42d_4c95_7f2d) ^ 0x000d_a7e5);
    let trim = numbers.one_of(&[0, 0, 20]);
    let keep = numbers.one_of(&[20, 100, 300]);
    let mouldings = usize::try_from(numbers.within(1, 3)).unwrap();
    let tickets = tickets(numbers, mouldings);
    let mut rack: [Vec<i64>; 3] = Default::default();
    for _ in 0..numbers.within(1, 5) {
        let of = usize::try_from(numbers.within(0, mouldings as i64 - 1)).unwrap();
        if rack[of].len() < 3 {
            rack[of].push(numbers.one_of(&[200, 300, 400, 480, 500, 600, 720, 800, 960, 1000]));
        }
    }
    let calendar = Calendar::drawn(numbers);
    let suppliers: Vec<Seller> =
        (0..numbers.within(1, 3)).map(|place| Seller::drawn(numbers, place, &calendar)).collect();
    let mut offers = "supplier,moulding,form,lengths,price,per\n".to_owned();
    let mut brought: [Vec<Date>; 3] = Default::default();
    for seller in &suppliers {
        for of in 0..mouldings {
            if numbers.one_in(2) {
                let price = numbers.one_of(&[8, 10, 10, 15]);
                let _ =
                    writeln!(offers, "{},{},length,{STICK},{price}.00,stick", seller.id, IDS[of]);
                brought[of].push(seller.brings(&calendar));
            }
        }
    }
    if offers.lines().count() == 1 {
        let _ = writeln!(offers, "{},A,length,{STICK},10.00,stick", suppliers[0].id);
        brought[0].push(suppliers[0].brings(&calendar));
    }
    let shop = shop(&tickets, &rack, (&suppliers, &calendar), offers, (trim, keep));
    Made { shop, tickets, rack, brought, trim, keep, calendar }
}

fn tickets(numbers: &mut Numbers, mouldings: usize) -> Vec<Ticket> {
    let mut days: Vec<i64> = (-1..=11).collect();
    let mut tickets: Vec<Ticket> = Vec::new();
    for index in 0..numbers.within(2, 4) {
        let side = numbers.one_of(&[80, 100, 120, 160, 200, 220]);
        let of = |numbers: &mut Numbers| {
            usize::try_from(numbers.within(0, mouldings as i64 - 1)).unwrap()
        };
        let mut layers = vec![(of(numbers), side + 20, numbers.one_in(4))];
        if numbers.one_in(3) || mouldings > 1 && !numbers.one_in(3) {
            layers.push((of(numbers), side + 40, numbers.one_in(4)));
        }
        let has_undated = tickets.iter().any(|ticket| ticket.due.is_none());
        let due = (has_undated || !numbers.one_in(5)).then(|| {
            let place = usize::try_from(numbers.within(0, days.len() as i64 - 1)).unwrap();
            TODAY.checked_add(days.remove(place).days()).unwrap()
        });
        tickets.push(Ticket { id: format!("F{index}"), layers, due, rush: false });
    }
    if numbers.one_in(6) {
        let place = usize::try_from(numbers.within(0, tickets.len() as i64 - 1)).unwrap();
        tickets[place].rush = true;
    }
    tickets
}

fn shop(
    tickets: &[Ticket],
    rack: &[Vec<i64>; 3],
    (suppliers, calendar): (&[Seller], &Calendar),
    offers: String,
    (trim, keep): (i64, i64),
) -> Shop {
    let settings = format!(
        "name = \"Tiny\"\nunit = \"mm\"\nmark = \"1\"\nallowance = \"0\"\ncurrency = \"EUR\"\n\
         default_cutter = \"c\"\n[offcuts]\nkeep = \"{keep}\"\nworth = \"0.5\"\n[cutter.c]\n\
         kerf = \"0\"\nnick = \"0\"\nfirst_trim = \"{trim}\"\nlast_trim = \"0\"\ngrip = \"0\"\n\
         shortest = \"1\"\nstop = \"long\"\n{}",
        calendar.words()
    );
    let mut mouldings = "moulding,width,rabbet,stick,price,per,match\n".to_owned();
    for id in IDS {
        let _ = writeln!(mouldings, "{id},20,10,{STICK},10.00,stick,any");
    }
    let mut frames = "frame,layer,moulding,width,height,due,match\n".to_owned();
    for ticket in tickets {
        for (place, (of, rail, together)) in ticket.layers.iter().enumerate() {
            let match_ = if *together { "stick" } else { "any" };
            let (size, due) = match place {
                0 => ((rail - 20).to_string(), ticket.due.map(|day| day.to_string())),
                _ => (String::new(), None),
            };
            let (id, due) = (&ticket.id, due.unwrap_or_default());
            let _ =
                writeln!(frames, "{id},{},{},{size},{size},{due},{match_}", place + 1, IDS[*of]);
        }
    }
    let mut sticks = "stick,moulding,length\n".to_owned();
    for (of, lengths) in rack.iter().enumerate() {
        for (place, length) in lengths.iter().enumerate() {
            let _ = writeln!(sticks, "R{}{place},{},{length}", IDS[of], IDS[of]);
        }
    }
    let mut of_suppliers = "supplier,lead_days,order_days,delivery_days\n".to_owned();
    for seller in suppliers {
        let _ = writeln!(of_suppliers, "{}", seller.row());
    }
    let files = [
        ("shop.toml", settings),
        ("mouldings.csv", mouldings),
        ("frames.csv", frames),
        ("rack.csv", sticks),
        ("suppliers.csv", of_suppliers),
        ("offers.csv", offers),
    ];
    let files: BTreeMap<String, Vec<u8>> =
        files.into_iter().map(|(name, text)| (name.to_owned(), text.into_bytes())).collect();
    read_files(&files).unwrap_or_else(|faults| panic!("{faults}"))
}
