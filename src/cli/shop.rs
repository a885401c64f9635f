//! The shop folder that most commands begin with.

use std::path::Path;

use super::WrongInput;
use crate::shop::{Shop, read_folder};

/// Reads a shop folder.
///
/// # Errors
/// [`WrongInput`] with every fault in it and how many there are.
pub(super) fn open(dir: &Path) -> anyhow::Result<Shop> {
    read_folder(dir).map_err(|faults| {
        let count = faults.count();
        let plural = if count == 1 { "" } else { "s" };
        let words = format!("{faults}\n{count} fault{plural} to mend in {}", dir.display());
        WrongInput(words).into()
    })
}
