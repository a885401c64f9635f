//! `suppliers.csv` and `offers.csv`: every rule that a bill can have.

use super::Flavour;
use super::profiles::Profile;
use super::table::Table;
use crate::numbers::Numbers;

/// The suppliers' file, and how many there are.
pub fn suppliers(numbers: &mut Numbers, flavour: &Flavour) -> (String, i64) {
    let mut table = Table::new(&[
        "supplier",
        "name",
        "minimum",
        "below_minimum",
        "freight",
        "lead_days",
        "long_over",
        "long_charge",
        "halves",
        "order_by",
        "order_days",
        "cut_off",
        "delivery_days",
        "closed",
        "note",
    ])
    .with(&["discount", "small_below", "small_charge", "account", "address"]);
    let count = numbers.within(1, 3);
    for supplier in 0..count {
        let long = numbers.one_in(2);
        let over = flavour.mm(numbers, &[900, 1_200, 2_000, 2_400]);
        table.row(vec![
            format!("V{supplier}"),
            numbers.one_of(&["", "Wick & \"Sons\""]).to_owned(),
            numbers.one_of(&["", "0", "50", "50", "150", "999999"]).to_owned(),
            numbers.one_of(&["", "charged", "refused"]).to_owned(),
            numbers.one_of(&["", "0", "18; 9 from 25; 0 from 50", "5; 20 from 30", "1"]).to_owned(),
            numbers.one_of(&["0", "1", "2", "9", "365"]).to_owned(),
            if long { flavour.speller.cell(numbers, over) } else { String::new() },
            if long { numbers.one_of(&["0", "7", "40"]).to_owned() } else { String::new() },
            if long { numbers.one_of(&["", "yes", "no"]).to_owned() } else { String::new() },
            numbers.one_of(&["", "", "", "2026-11-24", "2026-11-25"]).to_owned(),
            numbers.one_of(&["", "", "Mon; thu", "Sat .. Tue", "wednesday"]).to_owned(),
            numbers.one_of(&["", "12:00", "0:00"]).to_owned(),
            numbers.one_of(&["", "", "Wed", "Tue .. Fri"]).to_owned(),
            numbers
                .one_of(&["", "", "2026-11-25 .. 2030-01-01", "2026-11-26; 2026-11-28"])
                .to_owned(),
            String::new(),
        ]);
        let own = &mut beside(numbers);
        let small = own.one_in(3);
        table.add(&[
            own.one_of(&["", "", "0.1", "0.3333", "0.9999"]),
            if small { own.one_of(&["0", "1", "40", "99999"]) } else { "" },
            if small { own.one_of(&["0", "3", "777"]) } else { "" },
            own.one_of(&["", "=1+1"]),
            own.one_of(&["", "Lane 1; ; <b>Town"]),
        ]);
    }
    (table.write(numbers), count)
}

pub fn offers(
    numbers: &mut Numbers,
    flavour: &Flavour,
    mouldings: &[Profile],
    suppliers: i64,
) -> String {
    let mut table = Table::new(&[
        "supplier", "moulding", "form", "lengths", "price", "per", "box", "steps", "least", "fee",
    ])
    .with(&["code", "least_count", "from", "until", "out_until"]);
    for moulding in mouldings {
        for supplier in 0..suppliers {
            for form in ["length", "box", "chop"] {
                if numbers.one_in(2) {
                    let who = (format!("V{supplier}"), moulding);
                    table.row(offer(numbers, flavour, who, form));
                    let own = &mut beside(numbers);
                    let least = own.one_of(&["", "", "2", "25", "10000"]);
                    table.add(&[
                        own.one_of(&["", "A-1", "@x"]),
                        if form == "chop" { "" } else { least },
                        own.one_of(&["", "", "", "2026-11-25", "2026-11-26"]),
                        own.one_of(&["", "", "", "2026-11-26", "2100-01-01"]),
                        own.one_of(&["", "", "", "", "2026-11-25", "2027-01-01", "no"]),
                    ]);
                }
            }
        }
    }
    table.write(numbers)
}

/// Numbers for what was added later, so that all else is drawn as before.
fn beside(numbers: &Numbers) -> Numbers {
    Numbers(numbers.0 ^ 0x5e11_e125)
}

fn offer(
    numbers: &mut Numbers,
    flavour: &Flavour,
    (supplier, moulding): (String, &Profile),
    form: &str,
) -> Vec<String> {
    let speller = &flavour.speller;
    let per: &[&str] = match form {
        "length" => &["ft", "m", "stick"],
        "box" => &["ft", "m", "stick", "box"],
        _ => &["ft", "m"],
    };
    let shortest = flavour.keep * 1000 + 1_000;
    let (short, usual) = (moulding.stick / 2, moulding.stick);
    let chopped = usual.min(60_000);
    let lengths = match form {
        "chop" => format!("{} .. {}", speller.cell(numbers, chopped), speller.cell(numbers, usual)),
        _ => match numbers.within(0, 3) {
            0 => format!(
                "{} .. {}",
                speller.cell(numbers, short.max(shortest)),
                speller.cell(numbers, usual.max(shortest))
            ),
            1 => format!(
                "{};{}",
                speller.cell(numbers, usual.max(shortest)),
                speller.cell(numbers, short.max(shortest))
            ),
            _ => speller.cell(numbers, usual.max(shortest)),
        },
    };
    let (chop, boxed) = (form == "chop", form == "box");
    vec![
        supplier,
        moulding.id.clone(),
        form.to_owned(),
        lengths,
        numbers.one_of(&["1", "2", "2", "3", "40", "9999"]).to_owned(),
        numbers.one_of(per).to_owned(),
        if boxed { numbers.one_of(&["1", "2", "12", "500"]).to_owned() } else { String::new() },
        numbers.one_of(&["", "", "2 from 3; 1 from 10", "1 from 2", "50 from 9"]).to_owned(),
        if chop && numbers.one_in(2) { speller.cell(numbers, 600_000) } else { String::new() },
        if chop { numbers.one_of(&["", "0", "3", "99"]).to_owned() } else { String::new() },
    ]
}
