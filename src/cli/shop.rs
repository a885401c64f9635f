//! The shop that most commands begin with: a folder, or a book.

use std::collections::BTreeMap;
use std::path::Path;

use super::book::opened::{done, open_book};
use super::exit::WrongInput;
use crate::book::Debts;
use crate::shop::{Shop, read_folder_and_files};

/// Reads a shop folder, or the shop that a book has now.
///
/// # Errors
/// [`WrongInput`] with every fault in it and how many there are.
pub(super) fn open(dir: &Path) -> anyhow::Result<Shop> {
    open_with_debts(dir).map(|(shop, _)| shop)
}

/// As [`open`], with what a book cuts before anything else.
///
/// # Errors
/// As [`open`].
pub(super) fn open_with_debts(dir: &Path) -> anyhow::Result<(Shop, Debts)> {
    if dir.is_file() {
        let snapshot = done(open_book(dir)?.snapshot())?;
        return Ok((snapshot.shop, snapshot.debts));
    }
    files(dir).map(|(shop, _)| (shop, Debts::default()))
}

/// Reads a shop folder and its files as they were typed.
///
/// # Errors
/// As [`open`].
pub(super) fn files(dir: &Path) -> anyhow::Result<(Shop, BTreeMap<String, Vec<u8>>)> {
    read_folder_and_files(dir).map_err(|faults| {
        let count = faults.count();
        let plural = if count == 1 { "" } else { "s" };
        let words = format!("{faults}\n{count} fault{plural} to mend in {}", dir.display());
        WrongInput(words).into()
    })
}
