//! Which ids a file gives, so that references to them can be followed.

use std::collections::BTreeMap;

use super::cells;
use super::fault::FileFault;
use super::mistake::Mistake;
use super::suggest::Suggest;
use super::table::{FileTable, Row};

/// The ids of one list with what stands under them.
#[derive(Debug)]
pub(super) struct Register<T> {
    /// What an id is if it is given here, such as "in mouldings.csv".
    list: &'static str,
    /// Where each stands, and what it is; nothing if that had a fault.
    entries: BTreeMap<String, (u64, Option<T>)>,
    /// Whether every id of the list is known.
    complete: bool,
    suggest: Suggest,
}

impl<T> Register<T> {
    /// An empty register; `complete` says whether the list could be read.
    pub(super) fn new(list: &'static str, complete: bool) -> Register<T> {
        Register { list, entries: BTreeMap::new(), complete, suggest: Suggest::new() }
    }

    /// What the rows of a table give, each under its id in a column.
    pub(super) fn of_rows<'f>(
        (list, column): (&'static str, &'static str),
        mut table: FileTable<'f>,
        faults: &mut Vec<FileFault>,
        mut read: impl FnMut(&mut Row<'_, 'f>, Option<String>) -> Option<T>,
    ) -> Register<T> {
        let mut register = Register::new(list, table.has(column));
        while let Some(mut row) = table.next_row(faults) {
            let id = row.need(column, cells::id);
            let new = register.is_new(&mut row, column, id.as_ref());
            let item = read(&mut row, id.clone());
            register.add(id, row.number, item.filter(|_| new));
        }
        register
    }

    /// Whether the id is new; says so in the row if it is not.
    pub(super) fn is_new(&self, row: &mut Row, column: &'static str, id: Option<&String>) -> bool {
        let Some((first, _)) = id.and_then(|id| self.entries.get(id)) else { return true };
        row.fault(column, Mistake::Repeated { first: *first });
        false
    }

    /// Takes in what stands under an id, if it has a good one.
    pub(super) fn add(&mut self, id: Option<String>, row: u64, item: Option<T>) {
        if let Some(id) = id {
            self.entries.entry(id).or_insert((row, item));
        }
    }

    /// Whether the list has this id.
    pub(super) fn has(&self, id: &str) -> bool {
        self.entries.contains_key(id)
    }

    /// Follows a reference: what it names, or nothing if that had a fault.
    pub(super) fn resolve(&self, id: &str) -> Result<Option<&T>, Mistake> {
        match self.entries.get(id) {
            Some((_, item)) => Ok(item.as_ref()),
            None if cells::id(id).is_err() => cells::id(id).map(|_| None),
            None if !self.complete => Ok(None),
            None => {
                let near = self.suggest.near(id, self.entries.keys().map(String::as_str));
                Err(Mistake::Unresolved { list: self.list, near })
            }
        }
    }

    /// The entries that were read without a fault.
    pub(super) fn items(&self) -> impl Iterator<Item = &T> {
        self.entries.values().filter_map(|(_, item)| item.as_ref())
    }

    /// The entries by id, once no file has a fault.
    pub(super) fn into_items(self) -> BTreeMap<String, T> {
        let whole = |item: Option<T>| item.expect("a row without a fault is whole");
        self.entries.into_iter().map(|(id, (_, item))| (id, whole(item))).collect()
    }
}
