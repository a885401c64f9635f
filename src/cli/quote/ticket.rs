//! A quote that is kept: written into `frames.csv` as a ticket, its day as promised.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::QuoteArgs;
use crate::book::Stamp;
use crate::cli::book::opened::{done, open_book};
use crate::cli::exit::WrongInput;
use crate::cli::shop;
use crate::quote::Quote;
use crate::report::folder::write_file;
use crate::shop::write::{self, Keeper};
use crate::shop::{Frame, Shop};

const FILE: &str = "frames.csv";

/// Where a ticket goes, and what stands there.
pub(super) struct NewTicket {
    id: String,
    note: String,
    /// The folder and its files; none where it is the book's own.
    folder: Option<(PathBuf, BTreeMap<String, Vec<u8>>)>,
}

/// Where the ticket goes that is asked for, if one is.
pub(super) fn place(args: &QuoteArgs, asked: &Shop) -> anyhow::Result<Option<NewTicket>> {
    let Some(id) = &args.ticket else { return Ok(None) };
    let dir = args.into.as_ref().or(Some(&args.dir).filter(|dir| dir.is_dir()));
    let folder = dir.map(|dir| shop::files(dir).map(|read| (dir, read))).transpose()?;
    if dir.is_some_and(|dir| !dir.join(FILE).is_file()) {
        let words = "--ticket: the tickets of this folder stand in a workbook (write it there)";
        return Err(WrongInput(words.to_owned()).into());
    }
    let there = folder.as_ref().and_then(|(_, (shop, _))| shop.frame(id));
    if asked.frame(id).or(there).is_some() {
        let words = format!("--ticket: there is a ticket {id:?} already (write another number)");
        return Err(WrongInput(words).into());
    }
    let note = args.note.clone().unwrap_or_default();
    let folder = folder.map(|(dir, (_, files))| (dir.clone(), files));
    Ok(Some(NewTicket { id: id.clone(), note, folder }))
}

impl NewTicket {
    /// Adds the ticket to the folder's file, or to the book, once that reads back as just
    /// that; what was done.
    pub(super) fn write(
        self,
        quote: &Quote,
        shop: &Shop,
        (book, stamp): (&Path, &Stamp),
    ) -> anyhow::Result<String> {
        let frame = Frame {
            id: self.id.clone(),
            note: self.note.clone(),
            promised: quote.frame.due.is_some(),
            ..quote.frame.clone()
        };
        let day = frame.due.map(|due| format!(", promised for {due}")).unwrap_or_default();
        let said = |place: &Path| format!("Ticket {} is in {}{day}.", frame.id, place.display());
        let Some((dir, files)) = self.folder else {
            done(open_book(book)?.take_ticket(&frame, stamp))?;
            return Ok(said(book));
        };
        let wrong = |words: String| WrongInput(format!("{FILE} is as it was: {words}"));
        let files =
            write::files_with_ticket(files, &frame, (shop, Keeper::Person)).map_err(wrong)?;
        let after = files.get(FILE).cloned().unwrap_or_default();
        let after = String::from_utf8(after).expect("what was read is UTF-8");
        write_file(&dir.join(FILE), &after)?;
        Ok(said(&dir.join(FILE)))
    }
}
