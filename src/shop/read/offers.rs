//! Reads `offers.csv` and the price lists beside it: which mouldings can be bought, in what
//! form and at what price.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::measure::{DecimalError, Length};
use crate::shop::{
    BuildOutMisfit, Carton, Form, Kind, Lengths, Moulding, Offer, OfferDates, Per, PriceList,
    PriceStep, Settings, Supplier,
};

use super::cells::{self, ReadingUnits};
use super::fault::FileFault;
use super::header::{ColumnRule, Header, needed, optional};
use super::list_mistake::ListMistake;
use super::listed::{FromList, Listings};
use super::lists;
use super::mistake::Mistake;
use super::register::Register;
use super::table::{FileTable, Row};

/// The file's name.
pub(super) const FILE: &str = "offers.csv";

const COLUMNS: &[ColumnRule] = &columns(true);

/// Where there are price lists, a row may take from them what it leaves out.
const BESIDE_LISTS: &[ColumnRule] = &columns(false);

const fn columns(is_all: bool) -> [ColumnRule; 16] {
    const fn own(name: &'static str, what: &'static str, is_all: bool) -> ColumnRule {
        if is_all { needed(name, what) } else { optional(name, what) }
    }
    [
        needed("supplier", "the supplier's short name").in_words(),
        needed("moulding", "the moulding's code").in_words(),
        optional("code", "the supplier's own code for it").in_words(),
        own("form", "length, box or chop", is_all).in_words(),
        own("lengths", "the lengths it comes in, such as 96, 96; 108 or 84 .. 120", is_all),
        own("price", "the price", is_all),
        own("per", "what the price is for: ft, m, stick or box", is_all).in_words(),
        optional("box", "how many sticks are in a carton, or how much length"),
        optional("steps", "lower prices for more, such as 4.10 from 50; 3.80 from 100"),
        optional("least", "the least length billed for a chop"),
        optional("fee", "what is charged for each chopped frame beside its length"),
        optional("least_count", "the least of it that they take in one line"),
        optional("from", "the first day on which it holds").in_words(),
        optional("until", "the last day on which it holds").in_words(),
        optional("out_until", "the day on which it is in stock again, or no").in_words(),
        optional("note", "anything else").in_words(),
    ]
}

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

/// What the reader of offers needs to know.
pub(super) struct Means<'a> {
    pub(super) figures: &'a ReadingUnits,
    pub(super) settings: Option<&'a Settings>,
    pub(super) suppliers: &'a Register<Supplier>,
    pub(super) mouldings: &'a Register<Moulding>,
}

/// An offer as it is told from others.
type OfferKey = (String, String, FormWord, String);

/// Where an offer stands, when it holds, and whether that is in `offers.csv`.
type Seen = BTreeMap<OfferKey, Vec<(u64, OfferDates, bool)>>;

/// Reads the file, and the price lists of suppliers after it; `bytes` is nothing if there
/// is none.
pub(super) fn read<'f>(
    bytes: Option<&'f [u8]>,
    mut lists: Listings<'f>,
    means: &Means,
    faults: &mut Vec<FileFault>,
) -> (Vec<Option<Offer>>, Vec<PriceList>) {
    let columns = if lists.is_empty() { COLUMNS } else { BESIDE_LISTS };
    let table = bytes.and_then(|bytes| FileTable::open(FILE, columns, bytes, faults));
    let (mut offers, mut seen) = (Vec::new(), Seen::new());
    let mut last = 1;
    if let Some(mut table) = table {
        while let Some(mut row) = table.next_row(faults) {
            last = row.number;
            let supplier =
                row.need("supplier", |text| means.suppliers.resolve(text).map(|_| text.to_owned()));
            let moulding =
                row.need("moulding", |text| means.mouldings.resolve(text).map(|_| text.to_owned()));
            let taken = lists.fill(&mut row);
            if taken == FromList::Filled {
                let known = moulding.as_deref().and_then(|id| means.mouldings.resolve(id).ok());
                as_usual(&mut row, known.flatten());
            }
            let offer = match taken {
                FromList::Failed => None,
                _ => read_row(&mut row, (supplier, moulding), means, &mut seen, None),
            };
            offers.push(offer);
        }
    }
    let mut counts = Vec::new();
    for (rule, rows) in lists.others() {
        let mut count = lists.counted(&rule.supplier);
        let header = Header::of_file(&rule.file, BESIDE_LISTS);
        let mut found = Vec::new();
        for listed in rows {
            let own = listed.text("moulding");
            let id = if own.is_empty() { listed.text("code") } else { own };
            let moulding = match means.mouldings.resolve(id) {
                _ if id.is_empty() => {
                    count.nameless += 1;
                    continue;
                }
                Ok(Some(moulding)) => moulding,
                Ok(None) | Err(_) => {
                    count.aside += 1;
                    continue;
                }
            };
            last += 1;
            count.used += 1;
            let mut row = Row::empty(&header, listed.number, &mut found);
            for (key, cell) in &listed.cells {
                row.take_from((&rule.file, listed.number), key, cell.clone());
            }
            as_usual(&mut row, Some(moulding));
            let of = (Some(rule.supplier.clone()), Some(moulding.id.clone()));
            let place = Some((rule.file.as_str(), last));
            match read_row(&mut row, of, means, &mut seen, place) {
                // A row of offers.csv takes its place.
                Some(offer) if offer.row == 0 => {}
                offer => offers.push(offer),
            }
        }
        faults.extend(once(found));
        counts.push(count);
    }
    (offers, counts)
}

/// The faults of a list, each that all its rows may have said once.
fn once(faults: Vec<FileFault>) -> Vec<FileFault> {
    let mut kept: Vec<FileFault> = Vec::new();
    let mut known: BTreeMap<[String; 3], (usize, u64)> = BTreeMap::new();
    for fault in faults {
        let text = |text: &Option<String>| text.clone().unwrap_or_default();
        let key = [text(&fault.column), text(&fault.read), fault.problem.to_string()];
        match known.get_mut(&key) {
            Some((_, more)) => *more += 1,
            None => {
                known.insert(key, (kept.len(), 0));
                kept.push(fault);
            }
        }
    }
    for (place, more) in known.into_values().filter(|(_, more)| *more > 0) {
        let problem = Box::new(kept[place].problem.clone());
        kept[place].problem = Mistake::InMoreRows { problem, more };
    }
    kept
}

/// What a list does not say is as usual: whole sticks of the moulding's usual length.
fn as_usual(row: &mut Row, moulding: Option<&Moulding>) {
    row.fill("form", Cow::Borrowed("length"));
    if let Some(moulding) = moulding {
        let nm = moulding.stick.nm();
        let exactly = format!("{}.{:06} mm", nm / 1_000_000, nm % 1_000_000);
        row.fill("lengths", Cow::Owned(exactly));
    }
}

/// Reads a row of `offers.csv`, or of a price list: its file, and the number that the
/// offer has.
fn read_row(
    row: &mut Row,
    (supplier, moulding): (Option<String>, Option<String>),
    means: &Means,
    seen: &mut Seen,
    listed: Option<(&str, u64)>,
) -> Option<Offer> {
    let (figures, settings) = (means.figures, means.settings);
    let code = row.take("code", cells::text);
    let sold = row.need("form", cells::word(&FORMS));
    let known = moulding.as_ref().and_then(|id| means.mouldings.resolve(id).ok().flatten());
    let is_strip = known.is_some_and(|moulding| moulding.kind == Kind::BuildOut);
    if is_strip && sold == Some(FormWord::Chop) {
        row.fault("form", BuildOutMisfit::Chopped.into());
    }
    let lengths = row.need("lengths", |text| lengths(text, sold, figures));
    if let (Some(FormWord::Length | FormWord::Box), Some(lengths), Some(settings)) =
        (sold, &lengths, settings)
        && lengths.ends().0 <= settings.keep
    {
        let keep = settings.style().show_unit(settings.keep);
        row.fault("lengths", Mistake::NotAboveKeep { keep });
    }
    let price = match row.is_taken("price") {
        false => row.need("price", |text| figures.price(text)),
        true if row.is_empty("price") => {
            row.fault("price", ListMistake::NoPrice.into());
            None
        }
        true => row.need("price", |text| {
            figures.price(text).map_err(|problem| match problem {
                Mistake::Decimal(DecimalError::NotANumber) => ListMistake::NoPrice.into(),
                problem => problem,
            })
        }),
    };
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
    let is_chop = sold == Some(FormWord::Chop);
    let least = row.take("least", figures.positive("the least length billed"));
    let fee = row.take("fee", |text| figures.money(text));
    let least_count = row.take("least_count", cells::count(1, 10_000));
    for (column, is_there, belongs, is_right) in [
        ("least", least.flatten().is_some(), "chops", is_chop),
        ("fee", fee.flatten().is_some(), "chops", is_chop),
        ("least_count", least_count.flatten().is_some(), "sticks and boxes", !is_chop),
    ] {
        if is_there && !is_right && sold.is_some() {
            row.fault(column, Mistake::OutOfPlace { belongs });
        }
    }
    let dates = read_dates(row);
    let note = row.take("note", cells::text);
    let (supplier, moulding, sold, lengths) = (supplier?, moulding?, sold?, lengths?);
    let dates = dates?;
    let key = (supplier.clone(), moulding.clone(), sold, format!("{lengths:?}"));
    let known = seen.entry(key).or_default();
    let clashes = known.iter().find(|(_, other, _)| other.overlap(&dates));
    let is_replaced = listed.is_some() && clashes.is_some_and(|(.., is_own)| *is_own);
    if let Some((first, ..)) = clashes.filter(|_| !is_replaced) {
        match listed {
            None => row.fault("lengths", Mistake::RepeatedOffer { first: *first }),
            Some(_) => row.fault("code", ListMistake::ListedAgain { first: *first }.into()),
        }
    }
    known.push((row.number, dates, listed.is_none()));
    let discount = means.suppliers.resolve(&supplier).ok().flatten().map_or(0, |of| of.discount);
    Some(Offer {
        supplier,
        moulding,
        code: code?.unwrap_or_default(),
        form: match sold {
            FormWord::Length => Form::Length,
            FormWord::Box => Form::Box { holds: holds?? },
            FormWord::Chop => {
                Form::Chop { least: least?.unwrap_or(Length::ZERO), fee: fee?.unwrap_or_default() }
            }
        },
        lengths,
        price: price?,
        discount,
        per: per?,
        steps: steps?.unwrap_or_default(),
        least_count: least_count?.unwrap_or(1),
        dates,
        note: note?.unwrap_or_default(),
        row: match listed {
            None => row.number,
            Some(_) if is_replaced => 0,
            Some((_, number)) => number,
        },
        listed: listed.map(|(file, _)| (file.to_owned(), row.number)),
    })
}

/// When an offer can be had.
fn read_dates(row: &mut Row) -> Option<OfferDates> {
    let from = row.take("from", cells::date);
    let until = row.take("until", cells::date);
    let out_until = row.take("out_until", cells::back);
    if from.flatten().zip(until.flatten()).is_some_and(|(from, until)| until < from) {
        row.fault("until", Mistake::UntilBeforeFrom);
    }
    Some(OfferDates { from: from?, until: until?, out_until: out_until? })
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
pub(super) fn steps(text: &str, figures: &ReadingUnits) -> Result<Vec<PriceStep>, Mistake> {
    // What a price list has of them is none.
    if text.eq_ignore_ascii_case("none") {
        return Ok(Vec::new());
    }
    let one = |text: &str| figures.price(text);
    let steps = lists::steps(text, None, STEPS, one, cells::count(2, 1_000_000))?;
    Ok(steps.into_iter().map(|(from, price)| PriceStep { from, price }).collect())
}
