//! `longpoint spoil`: a rail was spoiled.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::Signed;
use crate::book::words;
use crate::book::{Spoilt, Which};

/// What `longpoint spoil` is told.
#[derive(Debug, clap::Args)]
pub struct SpoilArgs {
    /// The book
    pub book: PathBuf,
    /// The stick that it was cut from
    #[arg(value_parser = super::signed::code, requires = "cut", required_unless_present = "frame")]
    pub stick: Option<String>,
    /// The number of the cut on the stick's sheet
    pub cut: Option<usize>,
    /// All the rails of this frame, whenever they were cut
    #[arg(long, value_name = "FRAME", value_parser = super::signed::code, conflicts_with = "stick")]
    pub frame: Option<String>,
    /// Only those of this copy
    #[arg(long, value_name = "N", requires = "frame")]
    pub copy: Option<u32>,
    /// Only those of this layer, the innermost 1
    #[arg(long, value_name = "N", requires = "frame")]
    pub layer: Option<usize>,
    /// Only that on this side: left, top, right, bottom, or its number; the strip of a build-out
    /// there only with --layer
    #[arg(long, value_name = "SIDE", requires = "frame")]
    pub side: Option<String>,
    /// In place of rails: what broke of boards or glass, as the list of pieces calls it
    #[arg(long, value_name = "WHAT", requires = "frame", value_parser = super::signed::code,
          conflicts_with_all = ["copy", "layer", "side"])]
    pub piece: Option<String>,
    #[command(flatten)]
    signed: Signed,
}

/// Writes it down.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if there is no such cut to spoil.
pub fn run(args: &SpoilArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let stamp = args.signed.stamp()?;
    if let (Some(what), Some(frame)) = (&args.piece, &args.frame) {
        let (material, size) = done(book.spoil_piece((frame, what), &stamp))?;
        let shop = done(book.shop())?;
        say(out, &super::sheets::broken_words(&shop, (frame, what), (&material, size)))?;
        let fell = format!("fell out of {frame} {what}");
        let fallen: Vec<&str> = shop
            .sheets
            .iter()
            .filter(|sheet| sheet.note == fell && sheet.count > 0)
            .map(|sheet| sheet.label.as_str())
            .collect();
        if fallen.is_empty() {
            return Ok(());
        }
        let words = format!(
            "On the rack stands what falls out of it: {} (scrap it if that window was never cut).",
            fallen.join(", ")
        );
        return say(out, &words);
    }
    let spoilt = match (&args.frame, &args.stick, args.cut) {
        (Some(frame), ..) => {
            let side = args.side.as_ref().map(|side| side.trim().to_lowercase());
            let which = Which { copy: args.copy, layer: args.layer, side };
            done(book.spoil_frame(frame, &which, &stamp))?
        }
        (None, stick, cut) => {
            let stick = stick.as_deref().unwrap_or_default();
            let rail = done(book.spoil(stick, cut.unwrap_or(0), &stamp))?;
            let copy = (rail.frame.clone(), rail.copy);
            Spoilt { copy, rails: vec![rail], chops: Vec::new() }
        }
    };
    say(out, &done(words::spoiled_words(&book, &spoilt))?)
}
