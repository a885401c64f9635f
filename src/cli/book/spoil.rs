//! `longpoint spoil`: a rail was spoiled.

use std::io::Write;
use std::path::PathBuf;

use super::{Signed, done, open_book, say, words};
use crate::book::{Book, LaidRail, Which};

/// What `longpoint spoil` is told.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The book
    pub book: PathBuf,
    /// The stick that it was cut from
    #[arg(value_parser = super::code, requires = "cut", required_unless_present = "frame")]
    pub stick: Option<String>,
    /// The number of the cut on the stick's sheet
    pub cut: Option<usize>,
    /// All the rails of this frame, whenever they were cut
    #[arg(long, value_name = "FRAME", value_parser = super::code, conflicts_with = "stick")]
    pub frame: Option<String>,
    /// Only those of this copy
    #[arg(long, value_name = "N", requires = "frame")]
    pub copy: Option<u32>,
    /// Only those of this layer, the innermost 1
    #[arg(long, value_name = "N", requires = "frame")]
    pub layer: Option<usize>,
    /// Only that on this side: left, top, right, bottom, or its number
    #[arg(long, value_name = "SIDE", requires = "frame")]
    pub side: Option<String>,
    #[command(flatten)]
    signed: Signed,
}

/// Writes it down.
///
/// # Errors
/// [`WrongInput`](crate::cli::WrongInput) if there is no such cut to spoil.
pub fn run(args: &Args, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let stamp = args.signed.stamp()?;
    let rails = match (&args.frame, &args.stick, args.cut) {
        (Some(frame), ..) => {
            let side = args.side.as_ref().map(|side| side.trim().to_lowercase());
            let which = Which { copy: args.copy, layer: args.layer, side };
            done(book.spoil_frame(frame, &which, &stamp))?
        }
        (None, stick, cut) => {
            let stick = stick.as_deref().unwrap_or_default();
            vec![done(book.spoil(stick, cut.unwrap_or(0), &stamp))?]
        }
    };
    let (names, on) = (spoiled(&book, &rails)?, way_on(&book, args, &rails[0])?);
    let are = if rails.len() == 1 { "is" } else { "are" };
    say(out, &format!("{names} {are} spoiled and owed. {on}"))
}

fn spoiled(book: &Book, rails: &[LaidRail]) -> anyhow::Result<String> {
    let shop = done(book.shop())?;
    let names: Vec<String> = rails.iter().map(|rail| words::rail(&shop, rail)).collect();
    Ok(names.join(", "))
}

/// Whose turn it is now: the plan at the bench, or the next one.
fn way_on(book: &Book, args: &Args, rail: &LaidRail) -> anyhow::Result<String> {
    let of = (rail.frame.clone(), rail.copy);
    let is_at_bench = done(book.bench())?.iter().any(|plan| plan.copies.contains(&of));
    Ok(match is_at_bench {
        true => {
            let book = args.book.display();
            format!("Plan the rest again with \"longpoint replan {book}\".")
        }
        false => "It is back on the pile; the next plan has it.".to_owned(),
    })
}
