//! What changed from one price list of a supplier to the next.

use std::collections::{BTreeMap, BTreeSet};

use super::fault::{Faults, FileFault};
use super::list_mistake::ListMistake;
use super::listing::ListedRow;
use super::offers::steps;
use super::settings;
use crate::measure::Worth;
use crate::shop::{PriceStep, Shop};

/// A price of a list, for a moulding that the shop has: one row has one for each of its steps,
/// and one for each chop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListedPrice {
    /// The shop's code for it.
    pub moulding: String,
    /// The list's code.
    pub code: String,
    /// From how many on, in which form, lengths and boxes, and what the price is for, as the
    /// list has it.
    pub terms: String,
    /// The price; `None` if it cannot be read.
    pub price: Option<Worth>,
}

/// What changed from one list to the next.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ListChanges {
    /// Prices that rose, each with what it was.
    pub dearer: Vec<(ListedPrice, Worth)>,
    /// Prices that fell.
    pub cheaper: Vec<(ListedPrice, Worth)>,
    /// What is not in the new list.
    pub gone: Vec<ListedPrice>,
    /// What is not in the old one.
    pub new: Vec<ListedPrice>,
    /// Prices that can be read in one of the two only.
    pub unread: Vec<ListedPrice>,
    /// How many are as they were.
    pub as_before: usize,
}

/// The prices of a supplier's list for mouldings that the shop has: of the list that is
/// in use, or of `other` read in the same way.
///
/// # Errors
/// If the shop has no list of theirs, or it cannot be read.
pub fn listed_prices(
    files: &BTreeMap<String, Vec<u8>>,
    shop: &Shop,
    supplier: &str,
    other: Option<(&str, &[u8])>,
) -> Result<Vec<ListedPrice>, Faults> {
    let mut faults = Vec::new();
    let ground = settings::read(files.get(settings::FILE).map(Vec::as_slice), &mut faults);
    let Some(rule) = ground.lists.iter().find(|rule| rule.supplier == supplier) else {
        let problem = ListMistake::NoList { supplier: supplier.to_owned() }.into();
        faults.push(FileFault::whole(settings::FILE, problem));
        return Err(Faults(faults));
    };
    let mut rule = rule.clone();
    let bytes = match other {
        None => files.get(&rule.file).map(Vec::as_slice),
        Some((name, bytes)) => {
            name.clone_into(&mut rule.file);
            Some(bytes)
        }
    };
    let read = rule.read(bytes, &ground.figures, &mut faults);
    let Some(listing) = read.filter(|_| faults.is_empty()) else { return Err(Faults(faults)) };
    let offers = shop.offers.iter().filter(|offer| offer.supplier == supplier);
    let own: BTreeMap<&str, &str> = offers
        .filter(|offer| !offer.code.is_empty())
        .map(|offer| (offer.code.as_str(), offer.moulding.as_str()))
        .collect();
    let prices = |row: &ListedRow| {
        let code = row.text("code");
        let typed = row.text("moulding");
        let known = |id: &str| shop.mouldings.get(id).map(|moulding| moulding.id.clone());
        let moulding = known(typed)
            .or_else(|| own.get(code).map(|id| (*id).to_owned()))
            .or_else(|| known(code).filter(|_| typed.is_empty()));
        let listed = moulding.map(|moulding| {
            let terms = ["form", "lengths", "box", "per"].map(|key| row.text(key));
            let of = |of_price: String, price| {
                let terms = std::iter::once(of_price.as_str()).chain(terms);
                let terms = terms.filter(|text| !text.is_empty()).collect::<Vec<_>>();
                let (moulding, code) = (moulding.clone(), code.to_owned());
                ListedPrice { moulding, code, terms: terms.join(", "), price }
            };
            let price = of(String::new(), ground.figures.price(row.text("price")).ok());
            let fee = Some(row.text("fee")).filter(|text| !text.is_empty());
            let fee = fee.map(|text| of("each chop".to_owned(), ground.figures.price(text).ok()));
            let more = match row.text("steps") {
                "" => Vec::new(),
                text => steps(text, &ground.figures).map_or_else(
                    |_| vec![of("for more".to_owned(), None)],
                    |steps| {
                        let step = |of_more: PriceStep| {
                            of(format!("from {}", of_more.from), Some(of_more.price))
                        };
                        steps.into_iter().map(step).collect()
                    },
                ),
            };
            [price].into_iter().chain(more).chain(fee)
        });
        listed.into_iter().flatten()
    };
    Ok(listing.rows.iter().flat_map(prices).collect())
}

/// What changed from the old list to the new.
pub fn list_changes(old: &[ListedPrice], new: &[ListedPrice]) -> ListChanges {
    let mut changes = ListChanges::default();
    let key = |of: &ListedPrice| (of.moulding.clone(), of.code.clone(), of.terms.clone());
    let was: BTreeMap<_, &ListedPrice> = old.iter().map(|of| (key(of), of)).collect();
    let is: BTreeMap<_, &ListedPrice> = new.iter().map(|of| (key(of), of)).collect();
    let keys: BTreeSet<_> = was.keys().chain(is.keys()).collect();
    for key in keys {
        match (was.get(key), is.get(key)) {
            (Some(was), None) => changes.gone.push((*was).clone()),
            (None, Some(is)) => changes.new.push((*is).clone()),
            (Some(was), Some(is)) => match (was.price, is.price) {
                (Some(old), Some(new)) if new > old => changes.dearer.push(((*is).clone(), old)),
                (Some(old), Some(new)) if new < old => changes.cheaper.push(((*is).clone(), old)),
                (old, new) if old == new => changes.as_before += 1,
                _ => changes.unread.push((*is).clone()),
            },
            (None, None) => {}
        }
    }
    changes
}
