//! A quote that is kept: written into `frames.csv` as a ticket, its day as promised.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::QuoteArgs;
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
    dir: PathBuf,
    files: BTreeMap<String, Vec<u8>>,
}

/// Where the ticket goes that is asked for, if one is.
pub(super) fn place(args: &QuoteArgs, asked: &Shop) -> anyhow::Result<Option<NewTicket>> {
    let Some(id) = &args.ticket else { return Ok(None) };
    let dir = match &args.into {
        Some(dir) => dir.clone(),
        None if args.dir.is_dir() => args.dir.clone(),
        None => {
            let words = "--ticket: tickets are written in the shop folder, and taken over by the \
                         book with refresh (say which folder, such as --into shop)";
            return Err(WrongInput(words.to_owned()).into());
        }
    };
    let (shop, files) = shop::files(&dir)?;
    if asked.frame(id).or_else(|| shop.frame(id)).is_some() {
        let words = format!("--ticket: there is a ticket {id:?} already (write another number)");
        return Err(WrongInput(words).into());
    }
    let note = args.note.clone().unwrap_or_default();
    Ok(Some(NewTicket { id: id.clone(), note, dir, files }))
}

impl NewTicket {
    /// Adds the ticket to the file, once that reads back as just that; what was done.
    pub(super) fn write(mut self, quote: &Quote, shop: &Shop) -> anyhow::Result<String> {
        let frame = Frame {
            id: self.id.clone(),
            note: self.note.clone(),
            promised: quote.frame.due.is_some(),
            ..quote.frame.clone()
        };
        let wrong = |words: String| WrongInput(format!("{FILE} is as it was: {words}"));
        let files = std::mem::take(&mut self.files);
        let files =
            write::files_with_ticket(files, &frame, (shop, Keeper::Person)).map_err(wrong)?;
        let after = files.get(FILE).cloned().unwrap_or_default();
        let after = String::from_utf8(after).expect("what was read is UTF-8");
        write_file(&self.dir.join(FILE), &after)?;
        Ok(self.said(&frame))
    }

    fn said(&self, frame: &Frame) -> String {
        let day = frame.due.map(|due| format!(", promised for {due}")).unwrap_or_default();
        format!("Ticket {} is in {}{day}.", frame.id, Path::new(&self.dir).join(FILE).display())
    }
}
