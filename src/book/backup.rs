//! A copy of the book, whole even while others write to it.

use std::path::Path;
use std::time::Duration;

use rusqlite::Connection;
use rusqlite::backup::Backup;

use super::error::wrong;
use super::{Book, BookError};

/// Pages copied at a time; others may write in between.
const PAGES: i32 = 4096;

impl Book {
    /// Copies the book into a new file, which is checked before it has its name.
    ///
    /// # Errors
    /// If the file is there already or cannot be written, or the book is damaged.
    pub fn backup(&self, target: &Path) -> Result<(), BookError> {
        if target.exists() {
            return wrong(format!(
                "{} is there already, and nothing is overwritten (name a new file)",
                target.display()
            ));
        }
        copy(&self.db, target)
    }
}

/// Copies a database, overwriting an unfinished copy but nothing whole.
pub(super) fn copy(db: &Connection, target: &Path) -> Result<(), BookError> {
    let mut name = target.as_os_str().to_owned();
    name.push(".part");
    let part = Path::new(&name);
    let _ = std::fs::remove_file(part);
    let done = copy_whole(db, part)
        .and_then(|()| std::fs::rename(part, target).map_err(|_| BookError::ReadOnly));
    if done.is_err() {
        let _ = std::fs::remove_file(part);
    }
    done
}

fn copy_whole(db: &Connection, part: &Path) -> Result<(), BookError> {
    let mut to = Connection::open(part)?;
    Backup::new(db, &mut to)?.run_to_completion(PAGES, Duration::ZERO, None)?;
    to.pragma_update(None, "journal_mode", "DELETE")?;
    super::audit::sound(&to)?;
    to.close().map_err(|(_, error)| error.into())
}
