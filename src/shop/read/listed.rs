//! What offers take from price lists: a row of `offers.csv` what it leaves empty, and
//! mouldings that the shop has whole rows.

use std::collections::{BTreeMap, BTreeSet};

use super::cells::ReadingUnits;
use super::fault::FileFault;
use super::list_mistake::ListMistake;
use super::listing::{ListRule, ListTable, ListedRow};
use super::register::Register;
use super::suggest::Suggest;
use super::table::Row;
use crate::shop::{PriceList, Supplier};

/// The price lists of all suppliers.
#[derive(Default)]
pub(super) struct Listings<'f> {
    /// By supplier; nothing where the list could not be read.
    lists: BTreeMap<String, Option<Indexed<'f>>>,
}

/// A list whose rows can be found by their code.
struct Indexed<'f> {
    listing: ListTable<'f>,
    by_code: BTreeMap<String, Vec<usize>>,
    /// The rows that `offers.csv` refers to.
    used: BTreeSet<usize>,
}

/// What a row of `offers.csv` takes from a list.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum FromList {
    /// Nothing.
    Nothing,
    /// What it lacks, as far as the list has it.
    Filled,
    /// It could not be found, which has been said.
    Failed,
}

impl<'f> Listings<'f> {
    /// Reads the lists of these rules.
    pub(super) fn read(
        rules: &[ListRule],
        bytes: impl Fn(&str) -> Option<&'f [u8]>,
        (units, suppliers): (&ReadingUnits, &Register<Supplier>),
        faults: &mut Vec<FileFault>,
    ) -> Listings<'f> {
        let mut lists = BTreeMap::new();
        for rule in rules {
            if let Err(problem) = suppliers.resolve(&rule.supplier) {
                faults.push(rule.fault("", None, problem));
            }
            let listing = rule.read(bytes(&rule.file), units, faults);
            lists.insert(rule.supplier.clone(), listing.map(Indexed::new));
        }
        Listings { lists }
    }

    /// Whether there are none.
    pub(super) fn is_empty(&self) -> bool {
        self.lists.is_empty()
    }

    /// Fills what a row of `offers.csv` lacks; without a price of its own it must be there.
    pub(super) fn fill(&mut self, row: &mut Row<'_, 'f>) -> FromList {
        let supplier = row.text("supplier").unwrap_or_default();
        let Some(list) = self.lists.get_mut(&supplier) else { return FromList::Nothing };
        let Some(list) = list else {
            // That the list cannot be read has been said.
            return if row.is_empty("price") { FromList::Failed } else { FromList::Nothing };
        };
        let [code, moulding] = ["code", "moulding"].map(|key| row.text(key).unwrap_or_default());
        let code = if code.is_empty() { moulding } else { code };
        let places = list.by_code.get(&code).cloned().unwrap_or_default();
        let is_meant = |place: &&usize| {
            let other = &list.listing.rows[**place];
            let agrees = |key| {
                let own = row.text(key).unwrap_or_default();
                own.is_empty() || same(&own, other.text(key))
            };
            agrees("form") && agrees("lengths")
        };
        let mut meant: Vec<usize> = places.iter().filter(is_meant).copied().collect();
        // The only row of a code is meant, even if what the row says itself is otherwise.
        if meant.is_empty() && places.len() == 1 && row.is_empty("price") {
            meant.clone_from(&places);
        }
        // Its own row takes the place of the list's.
        list.used.extend(&meant);
        let file = || list.listing.rule.file.clone();
        let column = if row.is_empty("code") { "moulding" } else { "code" };
        match meant.as_slice() {
            [] | [_, _, ..] if !row.is_empty("price") => FromList::Nothing,
            [] if places.is_empty() => {
                let known = list.by_code.keys().map(String::as_str);
                let near = Suggest::new().near(&code, known);
                row.fault(column, ListMistake::NotListed { file: file(), near }.into());
                FromList::Failed
            }
            [place] => {
                let listed = &list.listing.rows[*place];
                for (key, cell) in listed.cells.iter().filter(|(key, _)| **key != "moulding") {
                    row.take_from((&file(), listed.number), key, cell.clone());
                }
                FromList::Filled
            }
            _ => {
                row.fault(column, ListMistake::ListedTwice { file: file() }.into());
                FromList::Failed
            }
        }
    }

    /// The rows of each list that nothing in `offers.csv` refers to, by supplier.
    pub(super) fn others(&self) -> impl Iterator<Item = (&ListRule, Vec<&ListedRow<'f>>)> {
        self.lists.values().flatten().map(|list| {
            let rows = list.listing.rows.iter().enumerate();
            let rows = rows.filter(|(place, _)| !list.used.contains(place));
            (&list.listing.rule, rows.map(|(_, row)| row).collect())
        })
    }

    /// What was read of a supplier's list, before anything of it is an offer.
    pub(super) fn counted(&self, supplier: &str) -> PriceList {
        let list = self.lists.get(supplier).and_then(Option::as_ref);
        let count = |count: usize| u64::try_from(count).unwrap_or(u64::MAX);
        PriceList {
            supplier: supplier.to_owned(),
            file: list.map_or(String::new(), |list| list.listing.rule.file.clone()),
            rows: list.map_or(0, |list| count(list.listing.rows.len())),
            used: list.map_or(0, |list| count(list.used.len())),
            ..PriceList::default()
        }
    }
}

impl<'f> Indexed<'f> {
    fn new(listing: ListTable<'f>) -> Indexed<'f> {
        let mut by_code: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (place, row) in listing.rows.iter().enumerate() {
            if !row.text("code").is_empty() {
                by_code.entry(row.text("code").to_owned()).or_default().push(place);
            }
        }
        Indexed { listing, by_code, used: BTreeSet::new() }
    }
}

/// Whether two cells say the same, blanks and capitals aside; a list without a column
/// for it says nothing else.
fn same(own: &str, listed: &str) -> bool {
    let plain = |text: &str| -> String {
        text.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect()
    };
    listed.is_empty() || plain(own) == plain(listed)
}
