//! What all requests share: the book, the devices, what the screens show, and who listens.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::{Arc, Mutex};

use jiff::civil::DateTime;
use tokio::sync::watch;

use super::codes::Codes;
use super::devices::Devices;
use super::hosts::Hosts;
use super::pace::{Allowances, Pace};
use super::plans::Plans;
use super::shared::{hex, locked};
use super::today::Today;
use crate::book::{Book, BookError, Stamp};

/// Reads the day and the time on the shop's wall.
pub type Clock = Arc<dyn Fn() -> Result<DateTime, String> + Send + Sync>;

/// Fills bytes with what nobody can guess.
pub type Random = Arc<dyn Fn(&mut [u8]) + Send + Sync>;

/// How many look at the book at once, or write to it. As many connections are kept: to
/// open one and close it again for each look keeps the others waiting.
pub(super) const AT_ONCE: usize = 32;

/// What all requests share.
pub struct Site {
    /// Where the book lies.
    pub path: PathBuf,
    /// Under which names it is asked for.
    pub hosts: Hosts,
    /// Who may.
    pub devices: Devices,
    /// The codes with which devices are paired.
    pub codes: Codes,
    /// How fast one may ask.
    pub pace: Pace,
    /// What is planned.
    pub plans: Plans,
    /// What steps came to in words, by their numbers: of the last ones.
    pub(super) words: Mutex<BTreeMap<i64, String>>,
    pub(super) allowances: Allowances,
    pub(super) clock: Clock,
    pub(super) random: Random,
    /// Told whenever anybody wrote to the book.
    pub(super) live: watch::Sender<i64>,
    writer: Mutex<Book>,
    readers: Mutex<Vec<Book>>,
    seen: Mutex<Option<Arc<Today>>>,
}

impl Site {
    pub(super) fn new(
        book: Book,
        (hosts, pace): (Hosts, Pace),
        clock: Clock,
        random: Random,
    ) -> Result<Site, BookError> {
        Ok(Site {
            path: book.path().to_owned(),
            hosts,
            devices: Devices::new(book.devices()?),
            codes: Codes::default(),
            pace,
            plans: Plans::new(),
            words: Mutex::default(),
            allowances: Allowances::default(),
            clock,
            random,
            live: watch::Sender::new(book.version()?),
            writer: Mutex::new(book.for_page()),
            readers: Mutex::default(),
            seen: Mutex::default(),
        })
    }

    /// The day and the time on the shop's wall.
    pub fn now(&self) -> Result<DateTime, BookError> {
        (self.clock)().map_err(BookError::Wrong)
    }

    /// So many bytes that nobody can guess, as hexadecimal digits.
    pub fn secret(&self, bytes: usize) -> String {
        let mut secret = vec![0; bytes];
        (self.random)(&mut secret);
        hex(&secret)
    }

    /// One look at the book. Blocks: never on the thread that answers everybody.
    pub fn look<T>(
        &self,
        work: impl FnOnce(&Book) -> Result<T, BookError>,
    ) -> Result<T, BookError> {
        let idle = locked(&self.readers).pop();
        let book = idle.map_or_else(|| Book::open(&self.path).map(Book::for_page), Ok)?;
        let found = work(&book);
        locked(&self.readers).push(book);
        found
    }

    /// One change of the book. Blocks, as [`look`](Self::look).
    pub fn write<T>(
        &self,
        work: impl FnOnce(&mut Book) -> Result<T, BookError>,
    ) -> Result<T, BookError> {
        work(&mut locked(&self.writer))
    }

    /// What the screens show, read anew if the book has another step since. Blocks, as
    /// [`look`](Self::look).
    pub fn today(&self) -> Result<Arc<Today>, BookError> {
        // Whoever comes meanwhile waits, and all of them are given the same.
        let mut seen = locked(&self.seen);
        self.look(|book| {
            let version = book.version()?;
            match seen.as_ref().filter(|today| today.version == version) {
                Some(today) => Ok(Arc::clone(today)),
                None => {
                    let today = Arc::new(Today::of(book, version)?);
                    *seen = Some(Arc::clone(&today));
                    Ok(today)
                }
            }
        })
    }

    /// Who makes a step now, and with which token.
    pub fn stamp(&self, by: &str, token: &str) -> Result<Stamp, BookError> {
        let (by, token) = (by.to_owned(), token.to_owned());
        Ok(Stamp { at: self.now()?, by, why: String::new(), token })
    }
}
