//! Reads `shop.toml`: the shop's name, units, bench mark and what is worth keeping.

use std::collections::{BTreeMap, BTreeSet};

use toml::de::DeTable;

use crate::measure::{Currency, Length, LengthStyle, Unit, parse_decimal};
use crate::shop::{Buying, Contact, Cutter, Days, Restock, Settings, SheetRules, ShopDays};

use super::calendar;
use super::cells::{self, ReadingUnits};
use super::cutters;
use super::fault::FileFault;
use super::job_rules;
use super::keys::{Lines, Section};
use super::listing::{self, ListRule};
use super::mistake::Mistake;
use super::price;
use super::quoted::cut;
use super::register::Register;
use super::sheets;

/// The file's name.
pub(super) const FILE: &str = "shop.toml";

/// What the TOML reader says is cut where it is longer.
const MOST_REASON: usize = 200;

const TOP: &[(&str, &str)] = &[
    ("name", "the shop's name, which is printed on the sheets"),
    ("address", "the shop's address, its lines parted by ;"),
    ("phone", "the shop's telephone number"),
    ("email", "the shop's address for e-mail"),
    ("page", "where the shop's page is on its network, such as \"http://192.168.1.20:8017\""),
    ("unit", "\"in\" or \"mm\""),
    ("mark", "the bench mark, such as \"1/32\" or \"0.5 mm\""),
    ("allowance", "what is added to each dimension of a size, such as \"1/8\""),
    ("currency", "a currency code such as \"USD\""),
    ("default_cutter", "the name of the cutter for mouldings that name none"),
    ("offcuts", "a section [offcuts] with keep and worth"),
    (
        "buying",
        "a section [buying] with spare, spare_most, restock, cover_months, beyond_most and waste",
    ),
    ("price", "a section [price] with the shop's rules for prices"),
    ("days", "a section [days] with open, closed, bench_days, frames_a_day, patience and later"),
    ("job", "a section [job] with the shop's rules for jobs"),
    ("tell", "a section [tell] with what is told to customers"),
    ("cutter", "a section such as [cutter.\"bench chopper\"]"),
    ("sheet", "a section such as [sheet.\"GLASS\"] with cut and keep"),
    ("import", "a section such as [import.\"BRIN\"] with file and the list's own columns"),
];

const OFFCUTS: &[(&str, &str)] = &[
    ("keep", "the shortest offcut worth racking, such as \"12\""),
    ("worth", "the share of its price that a just-kept offcut is worth, such as \"0.5\""),
];

const BUYING: &[(&str, &str)] = &[
    ("spare", "the share of its cost that a stick beyond need is worth, such as \"0.5\""),
    ("spare_most", "the most to spend on sticks beyond need, such as \"120\""),
    ("restock", "\"when it pays\" or \"always\""),
    ("cover_months", "for how many months' use sticks may be bought beyond need, such as \"1\""),
    ("beyond_most", "the most sticks of one moulding bought beyond need, such as \"3\""),
    ("waste", "the share that the rule of thumb adds for waste, such as \"0.1\""),
];

const DAYS: &[(&str, &str)] = &[
    ("open", "the days of the week on which the shop is open, such as \"Mon .. Fri\""),
    ("closed", "the dates on which it is not, such as \"2026-12-24 .. 2027-01-02\""),
    ("bench_days", "the working days wanted between a delivery and the due date, such as \"1\""),
    ("frames_a_day", "how many frames the shop makes in a day, such as \"12\""),
    ("patience", "how many open days a frame may wait to be cut with others, such as \"5\""),
    ("later", "what a length that is cut later is expected to use up, such as \"1.02\""),
];

const RESTOCKS: [(&str, Restock); 2] =
    [("when it pays", Restock::WhenItPays), ("always", Restock::Always)];

const UNITS: [(&str, Unit); 2] = [("in", Unit::Inch), ("mm", Unit::Millimetre)];

/// What the other files need of `shop.toml`, whether or not it is in order.
pub(super) struct Ground {
    pub(super) figures: ReadingUnits,
    pub(super) settings: Option<Settings>,
    pub(super) cutters: Register<Cutter>,
    /// How each material is cut.
    pub(super) sheet_rules: BTreeMap<String, SheetRules>,
    /// The price lists, in the order of the file.
    pub(super) lists: Vec<ListRule>,
}

impl Ground {
    /// What is assumed to read the other files on when `shop.toml` is no help.
    /// Every length in inches that this program can hold can be read as
    /// millimetres too, so this adds no faults of its own.
    fn unknown() -> Ground {
        let currency = Currency::new("XXX").expect("the code for no currency has three capitals");
        Ground {
            figures: ReadingUnits { unit: Unit::Millimetre, currency },
            settings: None,
            cutters: Register::new(cutters::LIST, false),
            sheet_rules: BTreeMap::new(),
            lists: Vec::new(),
        }
    }
}

/// Reads the file; `bytes` is nothing if it is missing.
pub(super) fn read(bytes: Option<&[u8]>, faults: &mut Vec<FileFault>) -> Ground {
    let Some(bytes) = bytes else { return Ground::unknown() };
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => {
            let before = bytes[..error.valid_up_to()].iter().filter(|&&b| b == b'\n').count();
            let row = u64::try_from(before).unwrap_or(u64::MAX).saturating_add(1);
            faults.push(FileFault { row: Some(row), ..FileFault::whole(FILE, Mistake::NotUtf8) });
            return Ground::unknown();
        }
    };
    let lines = Lines::of(text);
    let (table, errors) = DeTable::parse_recoverable(text);
    if errors.is_empty() {
        return top(table.get_ref(), &lines, faults);
    }
    let mut said = Vec::new();
    for error in errors {
        let start = error.span().map_or(0, |span| span.start);
        let reason = cut(&error.message().replace('\n', ", "), MOST_REASON);
        let fault = FileFault::whole(FILE, Mistake::Toml { reason });
        said.push(FileFault { row: Some(lines.at(start)), position: start, ..fault });
    }
    said.dedup();
    faults.append(&mut said);
    // What could be made of the rest tells the unit; its faults may be none.
    let rest = top(table.get_ref(), &lines, &mut Vec::new());
    Ground { figures: rest.figures, lists: rest.lists, ..Ground::unknown() }
}

/// The files of the price lists that it names, as far as it can be read.
pub(super) fn list_files(bytes: &[u8]) -> BTreeSet<String> {
    read(Some(bytes), &mut Vec::new()).lists.into_iter().map(|rule| rule.file).collect()
}

fn top(table: &DeTable, lines: &Lines, faults: &mut Vec<FileFault>) -> Ground {
    let mut top = Section::top(FILE, table, TOP, lines, faults);
    let name = top.need("name", cells::text);
    let contact = contact(&mut top);
    let unit = top.need("unit", cells::word(&UNITS));
    let currency = top.need("currency", |text| Currency::new(text).ok_or(Mistake::Currency));
    let unknown = Ground::unknown().figures;
    let figures = ReadingUnits {
        unit: unit.unwrap_or(unknown.unit),
        currency: currency.clone().unwrap_or(unknown.currency),
    };
    let mark = top.take("mark", |text| mark(text, unit, &figures));
    let mark = mark.map(|mark| mark.unwrap_or(default_mark(figures.unit)));
    let allowance = top.need("allowance", figures.small("allowance"));
    let (keep, worth) = offcuts(&mut top, &figures);
    let buying = buying(&mut top, &figures);
    let price = price::read(&mut top, &figures);
    let days = days(&mut top);
    let job = job_rules::read(&mut top, &figures);
    let cutters = cutters::read(&mut top, &figures);
    let sheet_rules = sheets::rules(&mut top, &figures);
    let lists = listing::rules(&mut top);
    let default_cutter =
        top.need("default_cutter", |text| cutters.resolve(text).map(|_| text.to_owned()));
    let settings = (|| {
        Some(Settings {
            name: name?,
            contact: contact?,
            unit: unit?,
            mark: mark?,
            allowance: allowance?,
            currency: currency?,
            default_cutter: default_cutter?,
            keep: keep?,
            worth: worth?,
            buying: buying?,
            price: price?,
            days: days?,
            job: job?,
        })
    })();
    Ground { figures, settings, cutters, sheet_rules, lists }
}

/// Where the shop is written to.
fn contact(top: &mut Section) -> Option<Contact> {
    let address = top.take("address", cells::lines);
    let phone = top.take("phone", cells::text);
    let email = top.take("email", cells::text);
    let page = top.take("page", page);
    Some(Contact {
        address: address?.unwrap_or_default(),
        phone: phone?.unwrap_or_default(),
        email: email?.unwrap_or_default(),
        page: page?.unwrap_or_default(),
    })
}

/// The address of the shop's page: short enough for a label's square code.
fn page(text: &str) -> Result<String, Mistake> {
    const MOST: usize = 60;
    let host = text.strip_prefix("https://").or_else(|| text.strip_prefix("http://"));
    let host =
        host.map(|host| host.strip_suffix('/').unwrap_or(host)).ok_or(Mistake::PageAddress)?;
    let is_plain = |byte: u8| byte.is_ascii_alphanumeric() || b".-:[]".contains(&byte);
    if host.is_empty() || !host.bytes().all(is_plain) {
        return Err(Mistake::PageAddress);
    }
    match text.len() > MOST {
        true => Err(Mistake::TooLong { most: MOST }),
        false => Ok(text.trim_end_matches('/').to_owned()),
    }
}

fn offcuts(top: &mut Section, figures: &ReadingUnits) -> (Option<Length>, Option<u32>) {
    if !top.has("offcuts") {
        top.missing("offcuts");
    }
    let Some(mut section) = top.section("offcuts", OFFCUTS, "offcuts") else {
        return (None, None);
    };
    (section.need("keep", |text| figures.length(text)), section.need("worth", share))
}

/// The shop's rules for buying, each as usual where it is left out.
fn buying(top: &mut Section, figures: &ReadingUnits) -> Option<Buying> {
    let usual = Buying::default();
    if !top.has("buying") {
        return Some(usual);
    }
    let mut section = top.section("buying", BUYING, "buying")?;
    let spare = section.take("spare", share);
    let spare_most = section.take("spare_most", |text| figures.money(text));
    let restock = section.take("restock", cells::word(&RESTOCKS));
    let cover_months = section.take("cover_months", cells::thousandths(120));
    let beyond_most = section.take("beyond_most", cells::count(0, 1000));
    let waste = section.take("waste", share);
    Some(Buying {
        spare: spare?.unwrap_or(usual.spare),
        spare_most: spare_most?,
        restock: restock?.unwrap_or(usual.restock),
        cover_months: cover_months?.unwrap_or(usual.cover_months),
        beyond_most: beyond_most?.unwrap_or(usual.beyond_most),
        waste: waste?.unwrap_or(usual.waste),
    })
}

/// When the shop works, each as usual where it is left out.
fn days(top: &mut Section) -> Option<ShopDays> {
    let usual = ShopDays::default();
    if !top.has("days") {
        return Some(usual);
    }
    let mut section = top.section("days", DAYS, "days")?;
    let week = section.take("open", calendar::week);
    let closed = section.take("closed", calendar::dates);
    let bench_days = section.take("bench_days", cells::count(0, 60));
    let frames_a_day = section.take("frames_a_day", cells::count(1, 10_000));
    let patience = section.take("patience", cells::count(1, 250));
    let has_patience = section.has("patience");
    let later = section.take("later", |text| match cells::thousandths(10)(text)? {
        _ if !has_patience => Err(Mistake::ChargeAlone { with: "patience" }),
        later => Ok(later),
    });
    let open = match week? {
        Some(week) => Days::of_week(week),
        None => usual.open,
    };
    let open = open.but(closed?.unwrap_or_default());
    if calendar::are_none(&open) {
        section.fault("closed", Mistake::NoDays { what: "the shop is open" });
        return None;
    }
    Some(ShopDays {
        open,
        bench_days: bench_days?.unwrap_or(usual.bench_days),
        frames_a_day: frames_a_day?,
        patience: patience?,
        later: later?,
    })
}

/// How lengths are shown in faults, whatever became of the settings.
pub(super) fn style(figures: &ReadingUnits, settings: Option<&Settings>) -> LengthStyle {
    settings.map_or(
        LengthStyle { unit: figures.unit, mark: default_mark(figures.unit) },
        Settings::style,
    )
}

/// A share of the whole, in millionths.
pub(super) fn share(text: &str) -> Result<u32, Mistake> {
    let millionths = parse_decimal(text, 6)?;
    u32::try_from(millionths).ok().filter(|&share| share <= 1_000_000).ok_or(Mistake::AboveOne)
}

/// 1/32 in, or half a millimetre.
fn default_mark(unit: Unit) -> Length {
    match unit {
        Unit::Inch => Length::from_64ths(2),
        Unit::Millimetre => Length::from_nm(500_000),
    }
}

/// A bench mark that a ruler in the shop's unit can show.
fn mark(text: &str, unit: Option<Unit>, figures: &ReadingUnits) -> Result<Length, Mistake> {
    let mark = figures.positive("the bench mark")(text)?;
    let (fits, why) = match unit {
        None => (true, ""),
        Some(Unit::Inch) => (
            Unit::Inch.nm() % mark.nm() == 0,
            "an inch is no whole number of it (write 1/16, 1/32 or 1/64)",
        ),
        Some(Unit::Millimetre) => (
            mark.nm() % (Unit::Millimetre.nm() / 10) == 0 && mark <= Length::from_mm(10),
            "it is no whole number of tenths of a millimetre up to 10 mm (write 0.1, 0.5 or 1)",
        ),
    };
    if fits { Ok(mark) } else { Err(Mistake::Mark { why }) }
}
