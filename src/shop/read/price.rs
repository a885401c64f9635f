//! Reads `[price]` of `shop.toml`: how the shop makes a price.

use std::collections::BTreeMap;

use crate::measure::{DecimalError, Length, Money, Worth, parse_decimal};
use crate::shop::{Footage, Markup, PriceRules, price::MILLION};

use super::cells::{self, MOST_PRICE, ReadingUnits};
use super::keys::Section;
use super::lists;
use super::mistake::Mistake;
use super::settings::share;

const PRICE: &[(&str, &str)] = &[
    ("footage", "how much moulding is charged for: \"rule\" or \"rails\""),
    ("waste", "the share that is added to it for waste, such as \"0.1\""),
    ("footage_step", "what footage is rounded up to, such as \"1 ft\""),
    ("markup", "what list cost is multiplied by, such as \"3\" or \"3.5; 3 from 4.00\""),
    ("classes", "a section [price.classes] with the markup of each class of mouldings"),
    ("materials", "what the cost of boards, glazing and fixings is multiplied by, such as \"3\""),
    ("materials_waste", "the share that is added to it for waste, such as \"0.2\""),
    ("labour", "what is charged beside moulding, such as \"12; 18 from 40\""),
    ("minimum", "the least price of a frame, such as \"25\""),
    ("round", "what prices are rounded up to, such as \"0.50\""),
    ("tax", "the share of tax, such as \"0.2\""),
    ("tax_in", "whether the price that is said has tax in it: \"yes\" or \"no\""),
];

const FOOTAGES: [(&str, Footage); 2] = [("rule", Footage::Rule), ("rails", Footage::Rails)];

/// What stands under the name of a class.
const MULTIPLIED: &str = "what list cost is multiplied by, such as \"3\"";

/// Nobody multiplies by more.
const MOST_MARKUP: u64 = 1000 * MILLION;

/// The shop's rules for prices: `Some(None)` if it has none, `None` after a fault.
pub(super) fn read(top: &mut Section, figures: &ReadingUnits) -> Option<Option<PriceRules>> {
    if !top.has("price") {
        return Some(None);
    }
    let mut section = top.section("price", PRICE, "price")?;
    let footage = section.take("footage", cells::word(&FOOTAGES));
    let waste = section.take("waste", share);
    let footage_step = section.take("footage_step", figures.positive("the step of footage"));
    let markup = section.take("markup", |text| markup(text, figures));
    let materials = section.take("materials", factor);
    let materials_waste = section.take("materials_waste", share);
    let labour = section.take("labour", |text| labour(text, figures));
    let minimum = section.take("minimum", |text| amount(text, figures));
    let round = section.take("round", |text| positive(text, figures));
    let tax = section.take("tax", share);
    let tax_in = section.take("tax_in", cells::word(&cells::ANSWERS));
    if matches!((tax, tax_in), (Some(None), Some(Some(_)))) {
        section.fault("tax_in", Mistake::OutOfPlace { belongs: "shops that write a tax" });
    }
    let classes = classes(&mut section, figures);
    Some(Some(PriceRules {
        footage: footage?.unwrap_or(Footage::Rule),
        waste: waste?.unwrap_or(0),
        footage_step: footage_step?,
        markup: markup?.unwrap_or(Markup(Vec::new())),
        classes: classes?,
        materials: materials?.unwrap_or(MILLION),
        materials_waste: materials_waste?.unwrap_or(0),
        labour: labour?.unwrap_or_default(),
        minimum: minimum?.unwrap_or(Money(0)),
        round: round?.unwrap_or(Money(1)),
        tax: tax?.unwrap_or(0),
        tax_in: tax_in?.unwrap_or(false),
    }))
}

fn classes(section: &mut Section, figures: &ReadingUnits) -> Option<BTreeMap<String, Markup>> {
    if !section.has("classes") {
        return Some(BTreeMap::new());
    }
    let mut classes = section.section("classes", &[], "price.classes")?;
    let mut known = Some(BTreeMap::new());
    for name in classes.names() {
        let read = classes.take_named(&name, MULTIPLIED, |text| markup(text, figures));
        match (read, &mut known) {
            (Some(Some(markup)), Some(known)) => drop(known.insert(name, markup)),
            (Some(None), _) => {
                classes.fault(&name, Mistake::Missing { what: MULTIPLIED });
                known = None;
            }
            _ => known = None,
        }
    }
    known
}

/// `3` or `3.5; 3 from 4.00`: from a list price on of a foot or a metre.
fn markup(text: &str, figures: &ReadingUnits) -> Result<Markup, Mistake> {
    const EXAMPLE: &str = "3 or 3.5; 3 from 4.00";
    let steps = lists::steps(text, Some(Worth(0)), EXAMPLE, factor, |from| figures.price(from))?;
    Ok(Markup(steps))
}

/// What a price is multiplied by, in millionths.
fn factor(text: &str) -> Result<u64, Mistake> {
    let millionths = u64::try_from(parse_decimal(text, 6)?).unwrap_or(0);
    match millionths {
        0 => Err(Mistake::Zero { what: "a markup" }),
        many if many > MOST_MARKUP => Err(DecimalError::TooLarge.into()),
        factor => Ok(factor),
    }
}

/// `12; 18 from 40`: from a size on, width and height added up.
fn labour(text: &str, figures: &ReadingUnits) -> Result<Vec<(Length, Money)>, Mistake> {
    const EXAMPLE: &str = "12; 18 from 40";
    let charge = |text: &str| amount(text, figures);
    lists::steps(text, Some(Length::ZERO), EXAMPLE, charge, |from| figures.length(from))
}

/// No more than the highest price of anything.
fn amount(text: &str, figures: &ReadingUnits) -> Result<Money, Mistake> {
    let money = figures.money(text)?;
    match Worth::from(money) > MOST_PRICE {
        true => Err(DecimalError::TooLarge.into()),
        false => Ok(money),
    }
}

fn positive(text: &str, figures: &ReadingUnits) -> Result<Money, Mistake> {
    match amount(text, figures)? {
        Money(0) => Err(Mistake::Zero { what: "what prices are rounded to" }),
        money => Ok(money),
    }
}
