//! The devices that may use the book's pages, each with a name and a role.

use jiff::civil::{Date, DateTime};
use rusqlite::{OptionalExtension, Row, params};

use super::error::{BookError, wrong};
use super::ledger::{Book, write};

/// What a device may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// The screen on the wall: it is looked at, and nothing is pressed on it.
    Wall,
    /// At the chopper, the underpinner and the fitting bench.
    Bench,
    /// At the counter.
    Counter,
    /// Everything.
    Office,
}

impl Role {
    /// All of them.
    pub const ALL: [Role; 4] = [Role::Wall, Role::Bench, Role::Counter, Role::Office];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Role::Wall => "wall",
            Role::Bench => "bench",
            Role::Counter => "counter",
            Role::Office => "office",
        }
    }

    /// The role of that name.
    pub fn named(word: &str) -> Option<Role> {
        Role::ALL.into_iter().find(|role| role.word() == word)
    }
}

/// A device that was paired.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Device {
    /// Its number.
    pub id: i64,
    /// What it is called; its steps stand in the book under that.
    pub name: String,
    /// What it may do.
    pub role: Role,
    /// The hash of what it is known by.
    pub hash: String,
    /// Since when.
    pub since: String,
}

const DEVICE: &str = "SELECT id, name, role, hash, since FROM device";

fn read(row: &Row) -> Result<Device, rusqlite::Error> {
    let role: String = row.get(2)?;
    let role = Role::named(&role).ok_or(rusqlite::Error::InvalidQuery)?;
    let (id, name) = (row.get(0)?, row.get(1)?);
    Ok(Device { id, name, role, hash: row.get(3)?, since: row.get(4)? })
}

impl Book {
    /// The devices, in the order in which they were paired.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn devices(&self) -> Result<Vec<Device>, BookError> {
        self.look(|db| {
            let mut query = db.prepare_cached(&format!("{DEVICE} ORDER BY id"))?;
            let rows = query.query_map([], read)?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// Lets a device in that is known by what has this hash.
    ///
    /// # Errors
    /// If another has its name.
    pub fn pair(
        &mut self,
        (name, role): (&str, Role),
        hash: &str,
        at: DateTime,
    ) -> Result<Device, BookError> {
        let tx = write(&mut self.db)?;
        let like = format!("{DEVICE} WHERE lower(name) = lower(?)");
        if tx.query_row(&like, [name], read).optional()?.is_some() {
            return wrong(format!(
                "another device is called {name:?} (give this one a name of its own, or take the \
                 other off first)"
            ));
        }
        let since = at.strftime("%Y-%m-%dT%H:%M:%S").to_string();
        tx.execute(
            "INSERT INTO device (name, role, hash, since) VALUES (?, ?, ?, ?)",
            params![name, role.word(), hash, since],
        )?;
        let id = tx.last_insert_rowid();
        tx.commit()?;
        Ok(Device { id, name: name.to_owned(), role, hash: hash.to_owned(), since })
    }

    /// Lets a device in no more. One that is gone already is no fault.
    ///
    /// # Errors
    /// If the book cannot be written.
    pub fn unpair(&mut self, device: i64) -> Result<(), BookError> {
        let tx = write(&mut self.db)?;
        tx.execute("DELETE FROM device WHERE id = ?", [device])?;
        Ok(tx.commit()?)
    }

    /// Writes down that a machine's cautions were read on a device on a day.
    ///
    /// # Errors
    /// If the book cannot be written.
    pub fn mind(&mut self, device: i64, machine: &str, day: Date) -> Result<(), BookError> {
        let tx = write(&mut self.db)?;
        tx.execute(
            "INSERT INTO minded (device, machine, day) VALUES (?1, ?2, ?3)
             ON CONFLICT (device, machine) DO UPDATE SET day = ?3",
            params![device, machine, day.to_string()],
        )?;
        Ok(tx.commit()?)
    }

    /// Whether that was done on that day.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn is_minded(&self, device: i64, machine: &str, day: Date) -> Result<bool, BookError> {
        self.look(|db| {
            let sql = "SELECT 1 FROM minded WHERE device = ? AND machine = ? AND day = ?";
            let mut query = db.prepare_cached(sql)?;
            Ok(query.exists(params![device, machine, day.to_string()])?)
        })
    }
}
