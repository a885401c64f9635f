//! Reads `offers.csv`: which mouldings can be bought, in what form and at what price.

use std::collections::BTreeMap;

use crate::measure::Length;
use crate::shop::{Carton, Form, Lengths, Moulding, Offer, Per, PriceStep, Settings, Supplier};

use super::cells::{self, ReadingUnits};
use super::fault::FileFault;
use super::header::{ColumnRule, needed, optional};
use super::lists;
use super::mistake::Mistake;
use super::register::Register;
use super::table::{FileTable, Row};

/// The file's name.
pub(super) const FILE: &str = "offers.csv";

const COLUMNS: &[ColumnRule] = &[
    needed("supplier", "the supplier's short name").in_words(),
    needed("moulding", "the moulding's code").in_words(),
    needed("form", "length, box or chop").in_words(),
    needed("lengths", "the lengths it comes in, such as 96, 96; 108 or 84 .. 120"),
    needed("price", "the price"),
    needed("per", "what the price is for: ft, m, stick or box").in_words(),
    optional("box", "how many sticks are in a carton, or how much length"),
    optional("steps", "lower prices for more, such as 4.10 from 50; 3.80 from 100"),
    optional("least", "the least length billed for a chop"),
    optional("fee", "what is charged for each chopped frame beside its length"),
    optional("note", "anything else").in_words(),
];

/// The words for the forms, before their own cells are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum FormWord {
    Length,
    Box,
    Chop,
}

const FORMS: [(&str, FormWord); 3] =
    [("length", FormWord::Length), ("box", FormWord::Box), ("chop", FormWord::Chop)];

const PERS: [(&str, Per); 4] =
    [("ft", Per::Foot), ("m", Per::Metre), ("stick", Per::Stick), ("box", Per::Box)];

const STEPS: &str = "the lower price and from how many it holds, as 4.10 from 50; 3.80 from 100";

/// Reads the file; `bytes` is nothing if there is none.
pub(super) fn read(
    bytes: Option<&[u8]>,
    (figures, settings): (&ReadingUnits, Option<&Settings>),
    suppliers: &Register<Supplier>,
    mouldings: &Register<Moulding>,
    faults: &mut Vec<FileFault>,
) -> Vec<Option<Offer>> {
    let table = bytes.and_then(|bytes| FileTable::open(FILE, COLUMNS, bytes, faults));
    let Some(mut table) = table else { return Vec::new() };
    let mut offers = Vec::new();
    let mut seen: BTreeMap<(String, String, FormWord, String), u64> = BTreeMap::new();
    while let Some(mut row) = table.next_row(faults) {
        let supplier =
            row.need("supplier", |text| suppliers.resolve(text).map(|_| text.to_owned()));
        let moulding =
            row.need("moulding", |text| mouldings.resolve(text).map(|_| text.to_owned()));
        offers.push(read_row(&mut row, (supplier, moulding), (figures, settings), &mut seen));
    }
    offers
}

fn read_row(
    row: &mut Row,
    (supplier, moulding): (Option<String>, Option<String>),
    (figures, settings): (&ReadingUnits, Option<&Settings>),
    seen: &mut BTreeMap<(String, String, FormWord, String), u64>,
) -> Option<Offer> {
    let sold = row.need("form", cells::word(&FORMS));
    let lengths = row.need("lengths", |text| lengths(text, sold, figures));
    if let (Some(FormWord::Length | FormWord::Box), Some(lengths), Some(settings)) =
        (sold, &lengths, settings)
        && lengths.ends().0 <= settings.keep
    {
        let keep = settings.style().show_unit(settings.keep);
        row.fault("lengths", Mistake::NotAboveKeep { keep });
    }
    let price = row.need("price", |text| figures.price(text));
    let per = row.need("per", |text| {
        let per = cells::word(&PERS)(text)?;
        check_per(sold, per).map(|()| per)
    });
    let holds = read_carton(row, sold, figures);
    if let (Some(Some(holds)), Some(lengths)) = (holds, &lengths)
        && holds.sticks(lengths.ends().1) == 0
    {
        row.fault("box", Mistake::Carton);
    }
    let steps = row.take("steps", |text| steps(text, figures));
    let least = row.take("least", figures.positive("the least length billed"));
    if least.flatten().is_some() && matches!(sold, Some(FormWord::Length | FormWord::Box)) {
        row.fault("least", Mistake::OutOfPlace { belongs: "chops" });
    }
    let fee = row.take("fee", |text| figures.money(text));
    if fee.flatten().is_some() && matches!(sold, Some(FormWord::Length | FormWord::Box)) {
        row.fault("fee", Mistake::OutOfPlace { belongs: "chops" });
    }
    let note = row.take("note", cells::text);
    let (supplier, moulding, sold, lengths) = (supplier?, moulding?, sold?, lengths?);
    let key = (supplier.clone(), moulding.clone(), sold, format!("{lengths:?}"));
    if let Some(&first) = seen.get(&key) {
        row.fault("lengths", Mistake::RepeatedOffer { first });
    }
    seen.entry(key).or_insert(row.number);
    Some(Offer {
        supplier,
        moulding,
        form: match sold {
            FormWord::Length => Form::Length,
            FormWord::Box => Form::Box { holds: holds?? },
            FormWord::Chop => {
                Form::Chop { least: least?.unwrap_or(Length::ZERO), fee: fee?.unwrap_or_default() }
            }
        },
        lengths,
        price: price?,
        per: per?,
        steps: steps?.unwrap_or_default(),
        note: note?.unwrap_or_default(),
        row: row.number,
    })
}

/// What is in a carton, which boxes must say and nothing else may.
fn read_carton(
    row: &mut Row,
    sold: Option<FormWord>,
    figures: &ReadingUnits,
) -> Option<Option<Carton>> {
    if sold == Some(FormWord::Box) {
        return row.need("box", |text| carton(text, figures)).map(Some);
    }
    let carton = row.take("box", |text| carton(text, figures))?;
    if sold.is_some() && carton.is_some() {
        row.fault("box", Mistake::OutOfPlace { belongs: "boxes" });
    }
    Some(None)
}

/// `12` sticks, or `100 ft` of them. A length needs its unit here.
fn carton(text: &str, figures: &ReadingUnits) -> Result<Carton, Mistake> {
    if text.bytes().all(|b| b.is_ascii_digit()) {
        return cells::count(1, 10_000)(text).map(Carton::Sticks);
    }
    if !text.ends_with(|c: char| c.is_alphabetic() || matches!(c, '\'' | '"')) {
        return Err(Mistake::Carton);
    }
    let length = figures.length(text).map_err(|_| Mistake::Carton)?;
    if length.is_positive() { Ok(Carton::Length(length)) } else { Err(Mistake::Carton) }
}

/// A carton has a price of its own; rails cut to size are sold by length.
fn check_per(sold: Option<FormWord>, per: Per) -> Result<(), Mistake> {
    match (sold, per) {
        (Some(FormWord::Length), Per::Box) => {
            Err(Mistake::WrongPer { what: "whole sticks", allowed: "ft, m or stick" })
        }
        (Some(FormWord::Chop), Per::Stick | Per::Box) => {
            Err(Mistake::WrongPer { what: "chops", allowed: "ft or m" })
        }
        _ => Ok(()),
    }
}

/// `96`, `96; 108` or `84 .. 120`; for chops a range.
fn lengths(text: &str, sold: Option<FormWord>, figures: &ReadingUnits) -> Result<Lengths, Mistake> {
    let what = "a length";
    if text.contains("..") {
        let (from, to) = lists::range(text, figures)?;
        return if from.is_positive() {
            Ok(Lengths::Between(from, to))
        } else {
            Err(Mistake::Zero { what })
        };
    }
    if sold == Some(FormWord::Chop) {
        return Err(Mistake::ChopRange);
    }
    let lengths = text.split(';').map(figures.positive(what));
    let mut lengths = lengths.collect::<Result<Vec<Length>, _>>()?;
    lengths.sort_unstable();
    lengths.dedup();
    Ok(Lengths::These(lengths))
}

/// Prices that change as the count rises. They should fall; one that does not is
/// taken as it stands and pointed out.
fn steps(text: &str, figures: &ReadingUnits) -> Result<Vec<PriceStep>, Mistake> {
    let one = |text: &str| figures.price(text);
    let steps = lists::steps(text, None, STEPS, one, cells::count(2, 1_000_000))?;
    Ok(steps.into_iter().map(|(from, price)| PriceStep { from, price }).collect())
}
