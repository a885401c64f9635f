//! A copy of the book, whole even while others write to it.

use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::Connection;
use rusqlite::backup::Backup;

use super::error::{BookError, wrong};
use super::ledger::Book;

/// Pages copied at a time; others may write in between.
const PAGES: i32 = 4096;

impl Book {
    /// Copies the book into a new file, which is checked before it has its name.
    ///
    /// # Errors
    /// If the file is there already or cannot be written, or the book is damaged.
    pub fn backup(&self, target: &Path) -> Result<(), BookError> {
        if target.exists() {
            there_already(target)
        } else {
            copy(&self.db, target, Journal::Delete)
        }
    }
}

/// How a file keeps its changes until they are in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Journal {
    /// Beside it while it is written to: one file, easily carried away.
    Delete,
    /// In a log, so that others can read while one writes.
    Wal,
}

/// Copies a database into a file that is not there yet: whole, or not at all.
pub(super) fn copy(db: &Connection, target: &Path, journal: Journal) -> Result<(), BookError> {
    let part = part(target);
    let done = copy_whole(db, &part, journal).and_then(|()| put(&part, target));
    let _ = std::fs::remove_file(&part);
    done
}

/// Where a file is written before it has its name: one for each process, so that
/// two that write the same one are not in each other's way.
fn part(target: &Path) -> PathBuf {
    let mut name = target.as_os_str().to_owned();
    name.push(format!(".part-{}", std::process::id()));
    PathBuf::from(name)
}

fn copy_whole(db: &Connection, part: &Path, journal: Journal) -> Result<(), BookError> {
    let _ = std::fs::remove_file(part);
    let mut to = Connection::open(part)?;
    Backup::new(db, &mut to)?.run_to_completion(PAGES, Duration::ZERO, None)?;
    let mode = match journal {
        Journal::Delete => "DELETE",
        Journal::Wal => "WAL",
    };
    to.pragma_update_and_check(None, "journal_mode", mode, |_| Ok(()))?;
    super::audit::sound(&to)?;
    to.close().map_err(|(_, error)| BookError::from(error))
}

/// Gives a file its name, if no file has it.
fn put(part: &Path, target: &Path) -> Result<(), BookError> {
    match std::fs::hard_link(part, target) {
        Ok(()) => Ok(()),
        Err(error) if error.kind() == ErrorKind::AlreadyExists => there_already(target),
        // Some disks know no second name for a file.
        Err(_) if target.exists() => there_already(target),
        Err(_) => std::fs::rename(part, target).map_err(|_| BookError::ReadOnly),
    }
}

fn there_already<T>(target: &Path) -> Result<T, BookError> {
    wrong(format!(
        "{} is there already, and nothing is overwritten (name a new file)",
        target.display()
    ))
}
