//! Reads `mouldings.csv`: each profile as measured on the stick in hand.

use crate::measure::Length;
use crate::shop::{Kind, Match, Moulding, Per, Price};

use super::body;
use super::cells::{self, ReadingUnits};
use super::fault::FileFault;
use super::header::{ColumnRule, needed, optional};
use super::job_mistake::JobMistake;
use super::mistake::Mistake;
use super::register::Register;
use super::settings::Ground;
use super::suggest::Suggest;
use super::table::{FileTable, Row};

/// The file's name.
pub(super) const FILE: &str = "mouldings.csv";

const LIST: &str = "in mouldings.csv";

const COLUMNS: &[ColumnRule] = &[
    needed("moulding", "the moulding's code").in_words(),
    optional("name", "what it is called").in_words(),
    needed("width", "its face width"),
    optional("rabbet", "its rabbet width, measured on the stick"),
    optional("depth", "its rabbet depth"),
    needed("stick", "the length in which it is usually sold"),
    optional("price", "its price"),
    optional("per", "what the price is for: ft, m or stick").in_words(),
    optional("match", "any, lot, halves, stick or wrap").in_words(),
    optional("cutter", "the name of the cutter").in_words(),
    optional("kind", "rebated, reversible, floater or build-out").in_words(),
    optional("allowance", "its own allowance"),
    optional("keep_on_rack", "how many whole sticks are to be kept on the rack"),
    optional("monthly", "how many sticks of it the shop uses in a month, such as 2 or 0.5"),
    optional("class", "the class whose markup is its own").in_words(),
    optional("height", "how high it is, face to back"),
    optional("seen", "of a fillet, how much of it is seen in a mat"),
    optional("weight", "what a metre of it weighs, such as 0.4 kg"),
    optional("wood", "what it is made of, such as pine").in_words(),
];

/// The words for how alike rails must be.
pub(super) const MATCHES: [(&str, Match); 5] = [
    (Match::Any.word(), Match::Any),
    (Match::Lot.word(), Match::Lot),
    (Match::Halves.word(), Match::Halves),
    (Match::Stick.word(), Match::Stick),
    (Match::Wrap.word(), Match::Wrap),
];

const KINDS: [(&str, Kind); 4] = [
    (Kind::Rebated.word(), Kind::Rebated),
    (Kind::Reversible.word(), Kind::Reversible),
    (Kind::Floater.word(), Kind::Floater),
    (Kind::BuildOut.word(), Kind::BuildOut),
];

const PERS: [(&str, Per); 3] = [("ft", Per::Foot), ("m", Per::Metre), ("stick", Per::Stick)];

/// Reads the file; `bytes` is nothing if it is missing.
pub(super) fn read(
    bytes: Option<&[u8]>,
    ground: &Ground,
    faults: &mut Vec<FileFault>,
) -> Register<Moulding> {
    let table = bytes.and_then(|bytes| FileTable::open(FILE, COLUMNS, bytes, faults));
    let Some(table) = table else { return Register::new(LIST, false) };
    Register::of_rows((LIST, "moulding"), table, faults, |row, id| read_row(row, id, ground))
}

fn read_row(row: &mut Row, id: Option<String>, ground: &Ground) -> Option<Moulding> {
    let figures = &ground.figures;
    let name = row.take("name", cells::text);
    let kind = row.take("kind", cells::word(&KINDS)).map(|kind| kind.unwrap_or(Kind::Rebated));
    let width = row.need("width", figures.positive("the face width"));
    let rabbet = read_rabbet(row, kind, figures);
    if kind.is_some_and(Kind::has_rabbet) && width.zip(rabbet).is_some_and(|(w, r)| r >= w) {
        row.fault("rabbet", Mistake::RabbetTooWide);
    }
    let depth = row.take("depth", figures.positive("the rabbet depth"));
    let is_strip = kind == Some(Kind::BuildOut);
    if is_strip && depth.flatten().is_some() {
        row.fault("depth", Mistake::OutOfPlace { belongs: "mouldings with a rabbet" });
    }
    let stick = row.need("stick", figures.positive("the usual length"));
    if let (Some(settings), Some(stick)) = (&ground.settings, stick) {
        if stick <= settings.keep {
            let keep = settings.style().show_unit(settings.keep);
            row.fault("stick", Mistake::NotAboveKeep { keep });
        }
    }
    let price = read_price(row, figures);
    let match_ = row.take("match", cells::word(&MATCHES));
    let cutter = read_cutter(row, ground);
    let allowance = row.take("allowance", figures.small("allowance"));
    if kind == Some(Kind::Floater) && allowance.flatten().is_some_and(Length::is_positive) {
        row.fault("allowance", Mistake::FloaterAllowance);
    }
    if is_strip && allowance.flatten().is_some() {
        row.fault("allowance", Mistake::OutOfPlace { belongs: "mouldings with a rabbet" });
    }
    let keep_on_rack = row.take("keep_on_rack", cells::count(0, 1000));
    let monthly = row.take("monthly", cells::thousandths(1000));
    let class = row.take("class", |text| class(text, ground));
    let body = body::read(row, figures, width);
    let high = body.and_then(|body| body.height);
    if depth.flatten().zip(high).is_some_and(|(deep, high)| !is_strip && deep >= high) {
        row.fault("depth", JobMistake::TooDeep.into());
    }
    if is_strip && body.is_some_and(|body| body.height.is_none()) {
        row.fault("height", Mistake::Missing { what: "how high it is, so how much it builds out" });
    }
    let id = id?;
    Some(Moulding {
        name: name?.unwrap_or_else(|| id.clone()),
        id,
        width: width?,
        rabbet: rabbet?,
        depth: depth?,
        stick: stick?,
        price: price?,
        match_: match_?.unwrap_or(Match::Any),
        cutter: cutter?,
        kind: kind?,
        allowance: allowance?,
        keep_on_rack: keep_on_rack?.unwrap_or(0),
        worths: Vec::new(),
        monthly: monthly?,
        class: class?,
        body: body?,
    })
}

/// The rabbet width; floaters and build-outs have none, which is zero.
fn read_rabbet(row: &mut Row, kind: Option<Kind>, figures: &ReadingUnits) -> Option<Length> {
    if kind.is_some_and(Kind::has_rabbet) {
        return row.need("rabbet", |text| figures.length(text));
    }
    let rabbet = row.take("rabbet", |text| figures.length(text))?;
    if kind.is_some() && rabbet.is_some() {
        row.fault("rabbet", Mistake::OutOfPlace { belongs: "rebated and reversible mouldings" });
    }
    Some(Length::ZERO)
}

/// The price with what it is for: both or neither.
fn read_price(row: &mut Row, figures: &ReadingUnits) -> Option<Option<Price>> {
    let amount = row.take("price", |text| figures.price(text));
    let per = match amount {
        Some(None) => row.take("per", cells::word(&PERS)),
        _ => row.need("per", cells::word(&PERS)).map(Some),
    };
    if let (Some(None), Some(Some(_))) = (amount, per) {
        row.fault("per", Mistake::PerAlone);
    }
    Some(amount?.zip(per?).map(|(amount, per)| Price { amount, per }))
}

fn read_cutter(row: &mut Row, ground: &Ground) -> Option<String> {
    let named = row.take("cutter", |text| ground.cutters.resolve(text).map(|_| text.to_owned()));
    match named? {
        Some(cutter) => Some(cutter),
        None => ground.settings.as_ref().map(|settings| settings.default_cutter.clone()),
    }
}

/// A class that the shop has a markup for; a fault of `shop.toml` is no fault here.
fn class(text: &str, ground: &Ground) -> Result<String, Mistake> {
    let Some(settings) = &ground.settings else { return Ok(text.to_owned()) };
    let classes = settings.price.iter().flat_map(|price| price.classes.keys());
    let known: Vec<&str> = classes.map(String::as_str).collect();
    match known.contains(&text) {
        true => Ok(text.to_owned()),
        false => Err(Mistake::Unresolved {
            list: "in [price.classes] of shop.toml",
            near: Suggest::new().near(text, known),
        }),
    }
}
