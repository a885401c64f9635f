//! `longpoint export`: writes a book back as a shop folder.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use crate::cli::exit::WrongInput;
use crate::cli::interrupt;
use crate::report::folder;

/// What `longpoint export` is told.
#[derive(Debug, clap::Args)]
pub struct ExportArgs {
    /// The book
    pub book: PathBuf,
    /// The folder to write; nothing in it is overwritten
    pub dir: PathBuf,
}

/// Writes the folder.
///
/// # Errors
/// [`WrongInput`] if a file is there already, or a plan is at the bench.
pub fn run(args: &ExportArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let book = open_book(&args.book)?;
    let files = done(book.export())?;
    if let Some((name, _)) = files.iter().find(|(name, _)| args.dir.join(name).exists()) {
        let dir = args.dir.display();
        let words =
            format!("{dir} has {name} already, and nothing is overwritten (name a new folder)");
        return Err(WrongInput(words).into());
    }
    let files: Vec<(&str, String)> =
        files.iter().map(|(name, text)| (name.as_str(), text.clone())).collect();
    interrupt::whole(|| folder::write(&args.dir, &files))?;
    say(out, &format!("Wrote {} files to {}.", files.len(), args.dir.display()))?;
    let on_order = done(book.open_lines())?;
    if !on_order.is_empty() {
        let lines: Vec<String> = on_order.iter().map(|line| line.line.to_string()).collect();
        let lines = lines.join(", ");
        say(out, &format!("What is on order does not stand in a folder: open lines {lines}."))?;
    }
    Ok(())
}
