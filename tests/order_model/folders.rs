//! Tiny shops that buy, made by seed: few sizes, figures at the limits, twins and
//! ties, steps just reached and minimums just missed.

use std::collections::BTreeMap;
use std::fmt::Write;

use super::numbers::Numbers;

/// The text of each file of a shop folder.
pub type Folder = BTreeMap<&'static str, String>;

/// The figures that a shop is made around.
struct Around {
    /// The usual length of a stick, in millimetres.
    stick: i64,
    /// What such a stick costs about, in minor units.
    price: i64,
}

pub fn folder(seed: u64) -> Folder {
    let mut numbers = Numbers(seed);
    let n = &mut numbers;
    let around =
        Around { stick: n.one_of(&[1000, 1200, 2000]), price: n.one_of(&[500, 1000, 1200]) };
    let mouldings = n.one_of(&[1, 1, 1, 2, 2, 3]);
    let suppliers = n.one_of(&[1, 2, 2, 3]);
    // Drawn beside the rest, which is as it was without.
    let calendar = &mut Numbers(seed ^ 0x0ca1_e4da);
    let mut files = BTreeMap::from([
        ("shop.toml", settings((n, calendar), &around) + &days(calendar)),
        ("mouldings.csv", moulding_rows((n, calendar), &around, mouldings)),
        ("frames.csv", frames(n, &around, mouldings)),
        ("rack.csv", rack(n, &around, mouldings)),
        ("suppliers.csv", terms(seed, &around, supplier_rows((n, calendar), &around, suppliers))),
        ("offers.csv", rules(seed, offers(n, &around, mouldings, suppliers))),
    ]);
    if seed % 4 == 3 {
        files.insert("worth.csv", worths(seed, &files));
    }
    files
}

/// What offcuts are worth, by a curve that is flat at first.
fn worths(seed: u64, files: &Folder) -> String {
    let mut n = Numbers(seed ^ 0x0f_fc07);
    let key = |key: &str| {
        let (_, after) = files["shop.toml"].split_once(&format!("{key} = \"")).expect("a key");
        after.split_once('"').expect("a value").0.to_owned()
    };
    let (keep, worth) = (key("keep").parse::<i64>().expect("a length"), key("worth"));
    let mut text = "moulding,length,worth\n".to_owned();
    for row in files["mouldings.csv"].lines().skip(1) {
        let cells: Vec<&str> = row.split(',').collect();
        let way = cells[3].parse::<i64>().expect("a length") - keep;
        let (near, far) = (keep + way / n.within(3, 5), keep + way * 2 / 3);
        let more = if worth == "1" { "1" } else { n.one_of(&["0.5", "0.75", "1"]) };
        let _ = writeln!(text, "{0},{near},{worth}\n{0},{far},{more}", cells[0]);
    }
    text
}

/// Adds columns to two of three files, by numbers of their own.
fn beside(
    seed: u64,
    columns: &str,
    text: String,
    row: impl Fn(&mut Numbers, usize) -> String,
) -> String {
    if seed % 3 == 0 {
        return text;
    }
    let mut n = Numbers(seed ^ 0x5e11_e125);
    let mut lines = text.lines().enumerate().map(|(at, line)| match at {
        0 => format!("{line},{columns}\n"),
        _ => format!("{line},{}\n", row(&mut n, at)),
    });
    std::iter::from_fn(|| lines.next()).collect()
}

/// Discounts, and what small orders cost more.
fn terms(seed: u64, around: &Around, text: String) -> String {
    beside(seed, "discount,small_below,small_charge", text, |n, _| {
        let discount = n.one_of(&["", "", "0.1", "0.125", "0.3333"]);
        let below = n.within(1, 4) * around.price + n.one_of(&[0, 1, -1]);
        let charge = n.one_of(&[50, 400, around.price]);
        let small = if n.one_in(2) {
            format!("{},{}", money(below), money(charge))
        } else {
            ",".to_owned()
        };
        format!("{discount},{small}")
    })
}

/// The least of a line, and when an offer holds; the first holds whatever the day.
fn rules(seed: u64, text: String) -> String {
    beside(seed, "least_count,from,until,out_until", text.clone(), |n, row| {
        let is_chop = text.lines().nth(row).is_some_and(|line| line.contains(",chop,"));
        let least = if is_chop { "" } else { n.one_of(&["", "", "1", "2", "3", "5"]) };
        let some = |n: &mut Numbers, days: &[&'static str]| {
            if n.one_in(8) { n.one_of(days) } else { "" }
        };
        let from = some(n, &["2026-11-25", "2026-11-26"]);
        let until = some(n, &["2026-11-24", "2026-11-25", "2026-12-31"]);
        let out = some(n, &["2026-11-25", "2026-11-26", "no"]);
        let until = if until < from { "" } else { until };
        if row == 1 { format!("{least},,,") } else { format!("{least},{from},{until},{out}") }
    })
}

fn money(minor: i64) -> String {
    format!("{}.{:02}", minor / 100, minor % 100)
}

fn settings((n, calendar): (&mut Numbers, &mut Numbers), around: &Around) -> String {
    let keep = n.one_of(&[1, around.stick / 4, around.stick / 3, around.stick / 2 - 10]);
    let worth = n.one_of(&["0", "0.25", "0.5", "1"]);
    let kerf = n.one_of(&[0, 0, 0, 3]);
    let nick = n.one_of(&[0, 0, 2]);
    let trim = n.one_of(&[0, 0, 5]);
    let grip = n.one_of(&[0, 0, 0, 20]);
    let spare = n.one_of(&["0", "0.3", "0.5", "0.5", "1"]);
    let restock = n.one_of(&["when it pays", "always"]);
    let mut text = format!(
        "name = \"Judge\"\nunit = \"mm\"\nmark = \"1\"\nallowance = \"0\"\ncurrency = \"EUR\"\n\
         default_cutter = \"c\"\n\n[offcuts]\nkeep = \"{keep}\"\nworth = \"{worth}\"\n\n\
         [cutter.c]\nkerf = \"{kerf}\"\npasses = 1\nnick = \"{nick}\"\nfirst_trim = \"{trim}\"\n\
         last_trim = \"{trim}\"\ngrip = \"{grip}\"\nshortest = \"100\"\nstop = \"long\"\n\n\
         [buying]\nspare = \"{spare}\"\nrestock = \"{restock}\"\n"
    );
    if n.one_in(4) {
        let most = n.one_of(&[0, around.price - 1, around.price, 2 * around.price]);
        let _ = writeln!(text, "spare_most = \"{}\"", money(most));
    }
    let (months, most) =
        (calendar.one_of(&["0", "1", "1.5", "3"]), calendar.one_of(&[0, 1, 2, 3, 1000]));
    let _ = writeln!(text, "cover_months = \"{months}\"\nbeyond_most = {most}");
    text
}

/// When the shop is open, and how long it wants things before they are due.
fn days(n: &mut Numbers) -> String {
    let open = n.one_of(&["Mon .. Sun", "Mon .. Fri", "Tue .. Sat", "Fri"]);
    let closed = n.one_of(&["", "", "2026-11-27", "2026-11-26 .. 2026-11-30; 2026-12-04"]);
    let bench_days = n.within(0, 2);
    format!("\n[days]\nopen = \"{open}\"\nclosed = \"{closed}\"\nbench_days = {bench_days}\n")
}

fn moulding_rows(
    (n, calendar): (&mut Numbers, &mut Numbers),
    around: &Around,
    count: i64,
) -> String {
    let mut text = "moulding,width,rabbet,stick,price,per,match,keep_on_rack,monthly\n".to_owned();
    for moulding in 0..count {
        let stick = n.one_of(&[around.stick, around.stick, around.stick, around.stick * 3 / 2]);
        let price = n.one_of(&[around.price, around.price / 2, around.price * 2]);
        let price = if n.one_in(6) { ",".to_owned() } else { format!("{},stick", money(price)) };
        let keep = n.one_of(&[0, 0, 0, 1, 2]);
        let match_ = n.one_of(&["any", "any", "lot", "stick"]);
        let monthly = calendar.one_of(&["", "0.5", "1", "2", "1000", "1000"]);
        let _ = writeln!(text, "M{moulding},20,10,{stick},{price},{match_},{keep},{monthly}");
    }
    text
}

/// Frames of few sizes, so that rails fill sticks or just do not.
fn frames(n: &mut Numbers, around: &Around, mouldings: i64) -> String {
    let mut text = "frame,layer,moulding,width,height,copies,due,match\n".to_owned();
    let mut left = n.one_of(&[0, 1, 2, 2, 3, 3, 4]);
    let sizes = [2, 3, 4, 5, 4, 3].map(|parts| around.stick / parts);
    let usual = (n.one_of(&sizes), n.one_of(&sizes));
    let mut frame = 0;
    while left > 0 {
        frame += 1;
        let other = (n.one_of(&sizes), n.one_of(&sizes));
        let (across, up) = n.one_of(&[usual, usual, (usual.0, usual.0), other]);
        let off = n.one_of(&[20, 20, 20, 21, 19, 40]);
        let (across, up) = ((across - off).max(40), (up - off).max(40));
        let copies = if left > 1 && n.one_in(3) { 2 } else { 1 };
        left -= copies;
        let due = n.one_of(&["", "2026-11-28", "2026-12-20", "2026-11-28", "2026-11-20", ""]);
        let match_ = n.one_of(&["", "", "any", "lot", "stick", "halves"]);
        let moulding = n.within(0, mouldings - 1);
        let _ = writeln!(text, "{frame},1,M{moulding},{across},{up},{copies},{due},{match_}");
        if mouldings > 1 && n.one_in(4) {
            let moulding = n.within(0, mouldings - 1);
            let _ = writeln!(text, "{frame},2,M{moulding},,,,,{match_}");
        }
    }
    text
}

fn rack(n: &mut Numbers, around: &Around, mouldings: i64) -> String {
    let mut text = "stick,moulding,length,lot\n".to_owned();
    for stick in 0..n.one_of(&[0, 0, 1, 1, 2, 3]) {
        let length = n.one_of(&[
            around.stick,
            around.stick / 2,
            around.stick / 3,
            around.stick / 4 + 5,
            around.stick - 1,
            around.stick * 3 / 2,
        ]);
        let lot = n.one_of(&["", "A", "B"]);
        let _ = writeln!(text, "R{stick},M{},{length},{lot}", n.within(0, mouldings - 1));
    }
    text
}

fn supplier_rows(
    (n, calendar): (&mut Numbers, &mut Numbers),
    around: &Around,
    count: i64,
) -> String {
    let mut text = "supplier,minimum,below_minimum,freight,lead_days,long_over,long_charge,\
                    halves,order_by,order_days,delivery_days,closed\n"
        .to_owned();
    for supplier in 0..count {
        let some = |n: &mut Numbers| {
            let sticks = n.within(1, 5);
            (sticks * around.price + n.one_of(&[0, 0, 1, -1, 250])).max(1)
        };
        let minimum = if n.one_in(2) { 0 } else { some(n) };
        let below = if n.one_in(3) { "refused" } else { "" };
        let charge = n.one_of(&[300, 900, around.price]);
        let freight = match n.within(0, 3) {
            0 => String::new(),
            1 => money(charge),
            2 => format!("{}; 0 from {}", money(charge), money(some(n))),
            _ => {
                let first = some(n);
                let second = first + n.one_of(&[1, 500, around.price]);
                let half = money(charge / 2);
                format!("{}; {half} from {}; 0 from {}", money(charge), money(first), money(second))
            }
        };
        let lead = n.one_of(&[2, 3, 4, 9]);
        let long = if n.one_in(3) {
            let over =
                n.one_of(&[around.stick - 1, around.stick, around.stick / 2, around.stick / 3]);
            format!("{over},{}", money(n.one_of(&[400, 1500])))
        } else {
            ",".to_owned()
        };
        let halves = if long != "," && n.one_in(2) { "yes" } else { "" };
        let by = if n.one_in(12) { "2026-11-20" } else { "" };
        let order = calendar.one_of(&["", "", "Wed", "Mon; Thu", "Tue"]);
        let van = calendar.one_of(&["", "", "Fri", "Tue .. Fri"]);
        let closed = calendar.one_of(&["", "", "2026-11-25", "2026-11-28 .. 2026-12-01"]);
        let _ = writeln!(
            text,
            "S{supplier},{},{below},{freight},{lead},{long},{halves},{by},{order},{van},{closed}",
            money(minimum)
        );
    }
    text
}

fn offers(n: &mut Numbers, around: &Around, mouldings: i64, suppliers: i64) -> String {
    let mut text = "supplier,moulding,form,lengths,price,per,box,steps,least,fee\n".to_owned();
    for moulding in 0..mouldings {
        let mut sold = std::collections::BTreeSet::new();
        let count = n.one_of(&[1, 2, 2, 3]);
        for offer in 0..count {
            let supplier = n.within(0, suppliers - 1);
            let form = if offer == 0 {
                n.one_of(&["length", "length", "box"])
            } else {
                n.one_of(&["length", "length", "box", "chop"])
            };
            if sold.insert((supplier, form)) {
                let row = row(n, around, form);
                let _ = writeln!(text, "S{supplier},M{moulding},{form},{row}");
            }
        }
    }
    text
}

/// What an offer's row says from its lengths on.
fn row(n: &mut Numbers, around: &Around, form: &str) -> String {
    let stick = n.one_of(&[around.stick, around.stick, around.stick * 3 / 2, around.stick - 1]);
    // Dear and cheap twins beside figures that differ by little.
    let price = n.one_of(&[
        around.price,
        around.price,
        around.price * 2,
        around.price / 2,
        around.price * 9 / 10,
        around.price + 1,
    ]);
    let metre = price * 1000 / stick;
    let lower = |n: &mut Numbers, price: i64| {
        let share = n.one_of(&[50, 75, 90, 99]);
        (price * share / 100).max(1)
    };
    if form == "chop" {
        let longest = n.one_of(&[around.stick / 3, around.stick]);
        let metre = metre * n.one_of(&[1, 1, 2, 3]);
        let step = if n.one_in(4) {
            format!("{} from {}", money(lower(n, metre)), n.within(2, 4))
        } else {
            String::new()
        };
        let least = if n.one_in(2) { (around.stick * 2).to_string() } else { String::new() };
        let fee = n.one_of(&["", "0.50", "2.00"]);
        return format!("50 .. {longest},{},m,,{step},{least},{fee}", money(metre));
    }
    let lengths = match n.within(0, 7) {
        0 => format!("{} .. {}", stick - 100, stick + 100),
        1 | 2 if form == "length" => format!("{stick}; {}", stick + n.one_of(&[200, 500])),
        _ => stick.to_string(),
    };
    let per = n.one_of(if form == "box" { &["stick", "box", "m"] } else { &["stick", "m"] });
    let held = n.within(2, 4);
    let (price, from) = match per {
        "m" => (metre, n.within(2, 6)),
        "box" => (price * held, 2),
        _ => (price, n.within(2, 5)),
    };
    let step =
        if n.one_in(3) { format!("{} from {from}", money(lower(n, price))) } else { String::new() };
    let holds = if form == "box" { held.to_string() } else { String::new() };
    format!("{lengths},{},{per},{holds},{step},,", money(price))
}
