//! A book begun from a shop folder, and later changes of its files taken over.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use rusqlite::{Connection, OpenFlags, Transaction};

use super::backup::{self, Journal};
use super::error::wrong;
use super::papers::{self, Files};
use super::step::{Kind, NewStick, Step};
use super::{Book, BookError, Stamp, connect, migrate, purchase, rack, write};
use crate::rails::frame_rails;
use crate::shop::{Frame, Shop};

/// What taking over a folder changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refreshed {
    /// The files that are not as they were.
    pub files: Vec<String>,
    /// For each frame of which some copies left the pile: all in the file, and
    /// those that are still to be cut.
    pub begun: Vec<(String, u32, u32)>,
}

impl Book {
    /// Begins a book in a new file, or fills one whose beginning was undone.
    /// `shop` is what `files` were read as.
    ///
    /// A new book has its name only once all of it is on the disk.
    ///
    /// # Errors
    /// If there is a book with something in it, or it cannot be written.
    pub fn begin(
        path: &Path,
        (shop, files): (&Shop, &Files),
        stamp: &Stamp,
    ) -> Result<Book, BookError> {
        if is_blank(path) {
            // What an older program was broken off in is as good as none.
            for end in ["-wal", "-shm", ""] {
                let mut name = path.as_os_str().to_owned();
                name.push(end);
                let _ = fs::remove_file(Path::new(&name));
            }
        }
        if !path.exists() {
            let mut new = Connection::open_in_memory()?;
            let tx = new.transaction()?;
            migrate::create(&tx)?;
            fill(&tx, (shop, files), stamp)?;
            tx.commit()?;
            backup::copy(&new, path, Journal::Wal)?;
            return Book::open(path);
        }
        let mut book = Book::open(path)?;
        let tx = write(&mut book.db)?;
        if !papers::files(&tx)?.is_empty() {
            return wrong(format!(
                "{} is a book already, and nothing is overwritten (take over changed files with \
                 \"longpoint refresh\", or name a new file)",
                path.display()
            ));
        }
        fill(&tx, (shop, files), stamp)?;
        tx.commit()?;
        Ok(book)
    }

    /// Takes over the files of a folder, all but its rack: the book knows better
    /// what is on the rack.
    ///
    /// # Errors
    /// If something in the book would hang in the air: a stick without its
    /// moulding, or a frame at the bench that is not the same any more.
    pub fn refresh(
        &mut self,
        (shop, files): (&Shop, &Files),
        stamp: &Stamp,
    ) -> Result<Refreshed, BookError> {
        self.change("refresh", stamp, |step| {
            let before = papers::files(step.db())?;
            hangs(step, shop)?;
            papers::keep(step, files)?;
            let after = papers::files(step.db())?;
            let names = before.keys().chain(after.keys());
            let mut changed: Vec<String> =
                names.filter(|name| before.get(*name) != after.get(*name)).cloned().collect();
            changed.sort();
            changed.dedup();
            if changed.is_empty() {
                return wrong("the folder has nothing that the book does not have already");
            }
            let pile = papers::snapshot(step.db())?.shop;
            let begun = |frame: &Frame| {
                let left = pile.frame(&frame.id).map_or(0, Frame::left);
                (left < frame.copies).then(|| (frame.id.clone(), frame.copies, left))
            };
            let begun = papers::typed(step.db())?.frames.iter().filter_map(begun).collect();
            Ok(Refreshed { files: changed, begun })
        })
    }
}

/// The first step of a book: the files as they were typed, and the rack.
fn fill(tx: &Transaction, (shop, files): (&Shop, &Files), stamp: &Stamp) -> Result<(), BookError> {
    let step = Step::begin(tx, "open", stamp, None)?;
    papers::keep(&step, files)?;
    for stick in &shop.rack {
        let new = NewStick {
            name: &stick.id,
            moulding: &stick.moulding,
            lot: &stick.lot,
            place: &stick.place,
            flaws: &rack::write_flaws(&stick.flaws),
            since: stick.since,
            ..NewStick::default()
        };
        step.moved(step.stick(&new)?, Kind::Opened, stick.length, None)?;
    }
    Ok(())
}

/// Whether there is a database with nothing in it at all.
fn is_blank(path: &Path) -> bool {
    let tables = "SELECT count(*) FROM sqlite_schema";
    let count = |db: Connection| db.query_row(tables, [], |row| row.get::<_, i64>(0));
    let reads = OpenFlags::SQLITE_OPEN_READ_WRITE;
    path.is_file() && connect(path, reads).is_ok_and(|db| matches!(count(db), Ok(0)))
}

/// Whether what is in the book still has what it refers to, all faults at once.
fn hangs(step: &Step, shop: &Shop) -> Result<(), BookError> {
    let mut faults = Vec::new();
    let mut orphans: BTreeMap<String, usize> = BTreeMap::new();
    for on in rack::all(step.db())? {
        if !shop.mouldings.contains_key(&on.stick.moulding) {
            *orphans.entry(on.stick.moulding).or_default() += 1;
        }
    }
    faults.extend(orphans.iter().map(|(moulding, count)| {
        format!("mouldings.csv: {moulding:?} is missing, and the book has {count} of its sticks (keep its row)")
    }));
    for line in purchase::all_open(step.db())? {
        if !shop.mouldings.contains_key(&line.moulding) {
            faults.push(format!(
                "mouldings.csv: {:?} is missing, and line {} of it is on order (keep its row, or give the line up)",
                line.moulding, line.line
            ));
        }
    }
    let old = papers::typed(step.db());
    let mut query = step.db().prepare("SELECT DISTINCT frame FROM copy WHERE state = 'bench'")?;
    let at_bench = query.query_map([], |row| row.get::<_, String>(0))?;
    for id in at_bench.collect::<Result<Vec<_>, _>>()? {
        let find = |shop: &Shop| shop.frame(&id).cloned();
        let was = old.as_ref().ok().and_then(find);
        let is = find(shop);
        let shape = |f: Frame| (f.layers, f.width, f.height, f.mitre);
        if was.map(shape) != is.map(shape) {
            faults.push(format!(
                "frames.csv: frame {id} is at the bench and is not the same any more (put it back first)"
            ));
        }
    }
    faults.extend(old.iter().flat_map(|old| old.frames.iter().filter_map(|f| unfit(old, shop, f))));
    if faults.is_empty() { Ok(()) } else { wrong(faults.join("\n")) }
}

/// What is to be said if the rails that a supplier chops for a frame would not
/// fit it any more. A frame that is gone altogether needs none.
fn unfit(old: &Shop, new: &Shop, frame: &Frame) -> Option<String> {
    let now = new.frame(&frame.id)?;
    let (was, is) = (frame_rails(old, frame), frame_rails(new, now));
    let changed = |layer: &usize| {
        let of = |frame: &Frame| frame.layers.get(layer - 1).map(|layer| layer.moulding.clone());
        was.get(layer - 1) != is.get(layer - 1) || of(frame) != of(now) || frame.mitre != now.mitre
    };
    let supplied = frame.progress.supplied.keys().map(|(_, layer)| *layer);
    let layer = supplied.collect::<BTreeSet<usize>>().into_iter().find(changed)?;
    Some(format!(
        "frames.csv: frame {}: layer {layer} is chopped by a supplier, and would not be the same any \
         more (give up its line with \"longpoint order BOOK --drop\" if it has not come, or write \
         the frame under a new number)",
        frame.id
    ))
}
