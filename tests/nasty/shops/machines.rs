//! `shop.toml`: machines that take much, hold little and read anything.

use super::Flavour;
use crate::numbers::Numbers;

const NAMES: [&str; 4] = ["Quoin & Kerf", "Größe, <b>Rahmen</b>", "額縁屋", "a"];
const SHARES: [&str; 7] = ["0", "1", "0.5", "0.5", "0.000001", "0.999999", "0.9"];

pub fn toml(numbers: &mut Numbers, flavour: &Flavour) -> String {
    let unit = if flavour.speller.inches { "in" } else { "mm" };
    let mark = match flavour.speller.inches {
        true => numbers.one_of(&["1/64", "1/32", "1/32", "1/16", "1/4", "1"]),
        false => numbers.one_of(&["0.1", "0.5", "0.5", "1", "2.5", "10"]),
    };
    let currency = numbers.one_of(&["EUR", "USD", "JPY", "KWD", "XXX"]);
    let mut text = format!(
        "name = \"{}\"\nunit = \"{unit}\"\ncurrency = \"{currency}\"\ndefault_cutter = \"c0\"\n",
        numbers.one_of(&NAMES)
    );
    if !numbers.one_in(5) {
        text += &format!("mark = \"{mark}\"\n");
    }
    text += &line(numbers, flavour, "allowance", &[0, 0, 2, 3, 49]);
    text += "[offcuts]\n";
    let keep = flavour.speller.cell(numbers, flavour.keep * 1000);
    text += &format!("keep = \"{keep}\"\nworth = \"{}\"\n", numbers.one_of(&SHARES));
    if numbers.one_in(2) {
        text += "[buying]\n";
        let restock = numbers.one_of(&["when it pays", "always"]);
        text += &format!("spare = \"{}\"\nrestock = \"{restock}\"\n", numbers.one_of(&SHARES));
        text += &format!("waste = \"{}\"\n", numbers.one_of(&SHARES));
        if numbers.one_in(2) {
            text += &format!("spare_most = \"{}\"\n", numbers.one_of(&["0", "1", "120", "99999"]));
        }
        let (months, most) =
            (numbers.one_of(&["0", "0.5", "120"]), numbers.one_of(&["0", "3", "1000"]));
        text += &format!("cover_months = \"{months}\"\nbeyond_most = \"{most}\"\n");
    }
    if numbers.one_in(2) {
        let open = numbers.one_of(&["Mon .. Sun", "Mon .. Fri", "Wed"]);
        let bench_days = numbers.one_of(&["0", "1", "60"]);
        text += &format!("[days]\nopen = \"{open}\"\nbench_days = \"{bench_days}\"\n");
        if numbers.one_in(2) {
            text += "closed = \"2026-11-20 .. 2027-02-01; 2026-11-25\"\nframes_a_day = 3\n";
        }
    }
    for cutter in 0..flavour.cutters {
        text += &machine(numbers, flavour, cutter);
    }
    text
}

fn machine(numbers: &mut Numbers, flavour: &Flavour, cutter: usize) -> String {
    let mut text = format!("[cutter.c{cutter}]\n");
    let (passes, stop) = (numbers.within(1, 2), numbers.one_of(&["long", "rabbet", "sight"]));
    text += &format!("passes = {passes}\nstop = \"{stop}\"\n");
    for (key, few) in [
        ("kerf", &[0, 0, 3, 3, 5, 49][..]),
        ("nick", &[0, 0, 1, 10]),
        ("first_trim", &[0, 10, 25, 25, 300]),
        ("last_trim", &[0, 0, 10, 10, 200]),
        ("grip", &[0, 0, 0, 50, 300]),
        ("shortest", &[1, 1, 100, 100, 250]),
    ] {
        text += &line(numbers, flavour, key, few);
    }
    text
}

fn line(numbers: &mut Numbers, flavour: &Flavour, key: &str, few: &[i64]) -> String {
    let length = flavour.mm(numbers, few);
    format!("{key} = \"{}\"\n", flavour.speller.cell(numbers, length))
}
