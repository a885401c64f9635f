//! What a supplier changes of an offer: its price, or whether it can be had.
//!
//! # Why it is written into `offers.csv`
//!
//! Then there is one place where an offer stands, for the planner, for whoever exports
//! the book, and for whoever reads the file. An offer of a price list gets a row of its
//! own there, which takes the place of the list's.

use jiff::civil::Date;

use super::error::{BookError, wrong};
use super::ledger::Book;
use super::source_files::{files, keep, typed, without_rack};
use super::stamp::Stamp;
use crate::shop::{Form, Offer, PriceStep, Shop, shown, with_cells};

/// The file.
const FILE: &str = "offers.csv";

/// Which offers are meant.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct WhichOffers {
    /// Whose.
    pub supplier: String,
    /// Of which moulding.
    pub moulding: String,
    /// Only those in this form: `length`, `box` or `chop`.
    pub form: Option<String>,
    /// Only that in this row of `offers.csv`.
    pub row: Option<u64>,
}

/// What changes.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct OfferChange {
    /// The price, as it is typed.
    pub price: Option<String>,
    /// The prices for more, as they are typed; `none` where there are none any more.
    pub steps: Option<String>,
    /// Whether it can be had.
    pub stock: Option<StockChange>,
}

/// Whether an offer can be had.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StockChange {
    /// Not before this day.
    OutUntil(Date),
    /// Not until it is said again.
    Out,
    /// As usual.
    Back,
}

impl Book {
    /// Writes a supplier's change into `offers.csv`. Returns the offers as they were, and as
    /// they read now.
    ///
    /// # Errors
    /// If there is no such offer, or several where the price of one changes, or a price
    /// changes beside prices for more of which nothing is said, or the file would have a fault.
    pub fn change_offers(
        &mut self,
        which: &WhichOffers,
        change: &OfferChange,
        stamp: &Stamp,
    ) -> Result<Vec<(Offer, Offer)>, BookError> {
        self.change("offer", stamp, |step| {
            let shop = typed(step.db())?;
            let meant = meant(&shop, which, change)?;
            let is_priced = change.price.is_some() || change.steps.is_some();
            if let ([_, _, ..], true) = (meant.as_slice(), is_priced) {
                let places: Vec<String> = meant.iter().map(|offer| offer.place()).collect();
                return wrong(format!(
                    "{} offers {} several times: {} (name one with --form or --row)",
                    which.supplier,
                    which.moulding,
                    places.join("; ")
                ));
            }
            let mut files = files(step.db())?;
            let header = b"supplier,moulding,code,form,lengths,price,per\n".to_vec();
            let mut text = files.remove(FILE).unwrap_or(header);
            for offer in &meant {
                let mut cells = changed(change, &shop, offer);
                let row = match &offer.listed {
                    None => Some(offer.row),
                    Some(_) => {
                        cells.extend(named(&shop, offer));
                        None
                    }
                };
                text = with_cells(&text, row, &cells, &["price", "steps"]);
            }
            files.insert(FILE.to_owned(), text);
            let now = match without_rack(&files) {
                Ok(now) => now,
                Err(faults) => return wrong(faults.to_string()),
            };
            let own = now.offers.iter().filter(|now| now.listed.is_none());
            let both = |now: &Offer| {
                let is_it = |was: &&&Offer| match was.listed {
                    None => was.row == now.row,
                    Some(_) => {
                        (&was.supplier, &was.moulding, form(was), &was.lengths)
                            == (&now.supplier, &now.moulding, form(now), &now.lengths)
                    }
                };
                Some(((*meant.iter().find(is_it)?).clone(), now.clone()))
            };
            let both: Vec<(Offer, Offer)> = own.filter_map(both).collect();
            let is_stale = |(was, now): &&(Offer, Offer)| {
                change.steps.is_none() && was.price != now.price && !now.steps.is_empty()
            };
            if let Some((was, _)) = both.iter().find(is_stale) {
                return wrong(format!(
                    "{} has other prices for more of {}: {} (say what they are by now with --steps, \
                     or that there are none with --steps none)",
                    was.supplier,
                    was.moulding,
                    steps_typed(was, &shop)
                ));
            }
            keep(step, &files)?;
            Ok(both)
        })
    }
}

/// The offers that are meant, one at least, or all that is wrong with what was said.
fn meant<'a>(
    shop: &'a Shop,
    which: &WhichOffers,
    change: &OfferChange,
) -> Result<Vec<&'a Offer>, BookError> {
    let mut faults = Vec::new();
    if !shop.suppliers.contains_key(&which.supplier) {
        faults.push(format!("there is no supplier {:?} in suppliers.csv", which.supplier));
    }
    if !shop.mouldings.contains_key(&which.moulding) {
        faults.push(format!("there is no moulding {:?} in mouldings.csv", which.moulding));
    }
    if !faults.is_empty() {
        // What can be read only with the offer is read all the same, as far as it goes.
        let price = change.price.as_ref();
        let odd =
            price.and_then(|text| Some((text, shop.settings.currency.parse_fine(text).err()?)));
        faults.extend(odd.map(|(text, fault)| format!("price: {:?} {fault}", shown(text))));
        return wrong(faults.join("\n"));
    }
    let is_meant = |offer: &&Offer| {
        offer.supplier == which.supplier
            && offer.moulding == which.moulding
            && which.form.as_deref().is_none_or(|word| word.eq_ignore_ascii_case(form(offer)))
            && which.row.is_none_or(|row| offer.listed.is_none() && offer.row == row)
    };
    let meant: Vec<&Offer> = shop.offers.iter().filter(is_meant).collect();
    if meant.is_empty() {
        let by = which.form.as_ref().map(|form| format!(" by the {form}")).unwrap_or_default();
        return wrong(format!(
            "{} does not offer {}{by} (write the offer into offers.csv and take it over with \
             \"longpoint refresh\")",
            which.supplier, which.moulding
        ));
    }
    Ok(meant)
}

/// An offer's prices for more, as they are typed into `offers.csv`.
pub fn steps_typed(offer: &Offer, shop: &Shop) -> String {
    let step = |step: &PriceStep| {
        format!("{} from {}", shop.settings.currency.show_price(step.price), step.from)
    };
    offer.steps.iter().map(step).collect::<Vec<_>>().join("; ")
}

fn changed(change: &OfferChange, shop: &Shop, offer: &Offer) -> Vec<(&'static str, String)> {
    let price = change.price.iter().map(|price| ("price", price.clone()));
    let has_list = shop.lists.iter().any(|list| list.supplier == offer.supplier);
    let steps = change.steps.iter().map(|steps| match steps.trim() {
        // Where a list has some, an empty cell would take those.
        none if none.eq_ignore_ascii_case("none") && !has_list => ("steps", String::new()),
        steps => ("steps", steps.to_owned()),
    });
    let stock = change.stock.map(|stock| {
        let text = match stock {
            StockChange::OutUntil(day) => day.to_string(),
            StockChange::Out => "no".to_owned(),
            StockChange::Back => String::new(),
        };
        ("out_until", text)
    });
    price.chain(steps).chain(stock).collect()
}

/// What tells the row of an offer of a price list from others of that list.
fn named(shop: &Shop, offer: &Offer) -> Vec<(&'static str, String)> {
    let mut cells = vec![
        ("supplier", offer.supplier.clone()),
        ("moulding", offer.moulding.clone()),
        ("code", offer.code.clone()),
    ];
    let same = |other: &&Offer| {
        other.listed.is_some() && (&other.supplier, &other.code) == (&offer.supplier, &offer.code)
    };
    if shop.offers.iter().filter(same).count() > 1 {
        cells.push(("form", form(offer).to_owned()));
    }
    cells
}

/// The word for an offer's form.
fn form(offer: &Offer) -> &'static str {
    match offer.form {
        Form::Length => "length",
        Form::Box { .. } => "box",
        Form::Chop { .. } => "chop",
    }
}
