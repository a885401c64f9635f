//! The shop that most commands begin with: a folder, or a book.

use std::collections::BTreeMap;
use std::path::Path;

use super::{WrongInput, book};
use crate::shop::{Shop, read_folder_and_files};

/// Reads a shop folder, or the shop that a book has now.
///
/// # Errors
/// [`WrongInput`] with every fault in it and how many there are.
pub(super) fn open(dir: &Path) -> anyhow::Result<Shop> {
    if dir.is_file() {
        let snapshot = book::open_book(dir)?.snapshot();
        return Ok(book::done(snapshot)?.shop);
    }
    files(dir).map(|(shop, _)| shop)
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
