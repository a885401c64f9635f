//! `longpoint correct`: a stick as it really is.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::{Signed, code};
use super::words;
use crate::book::{Corrected, Correction, SheetCorrection};
use crate::cli::exit::WrongInput;
use crate::measure::{Length, parse_length};
use crate::shop::{Flaw, Shop, read_flaws, shown};

/// What `longpoint correct` is told.
#[derive(Debug, clap::Args)]
pub struct CorrectArgs {
    /// The book
    pub book: PathBuf,
    /// The stick or offcut, on the rack or at the bench; or a board or glass by its label
    #[arg(value_parser = code)]
    pub stick: String,
    /// How much is left of it, as it was measured
    #[arg(long, value_name = "LENGTH")]
    pub length: Option<String>,
    /// Of a board or glass: its size, such as 20x24
    #[arg(long, value_name = "WxH", conflicts_with_all = ["length", "lot", "flaws", "moulding"])]
    pub size: Option<String>,
    /// Of a pile of boards or glass: how many there are
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(0..=10_000),
          conflicts_with_all = ["length", "lot", "flaws", "moulding"])]
    pub count: Option<u32>,
    /// Its lot; "" if it is not known
    #[arg(long, value_name = "LOT", value_parser = super::signed::words)]
    pub lot: Option<String>,
    /// Where it lies
    #[arg(long, value_name = "PLACE", value_parser = super::signed::words)]
    pub place: Option<String>,
    /// All its flaws, from the end that is the marked one now: "14 1/2 .. 16"; "" if
    /// there is none
    #[arg(long, value_name = "FLAWS")]
    pub flaws: Option<String>,
    /// Its moulding's code
    #[arg(long, value_name = "M", value_parser = code)]
    pub moulding: Option<String>,
    #[command(flatten)]
    signed: Signed,
}

/// Corrects it, and says what follows.
///
/// # Errors
/// [`WrongInput`] with everything that is wrong with what was said.
pub fn run(args: &CorrectArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let shop = done(book.shop())?;
    if done(book.is_sheet(&args.stick))? {
        let correction = of_sheet(args, &shop)?;
        let stamp = args.signed.stamp()?;
        let (was, is) = done(book.correct_sheet(&args.stick, &correction, &stamp))?;
        return say(out, &super::sheets::corrected_words(&shop, &was, &is));
    }
    if args.size.is_some() || args.count.is_some() {
        let words = format!(
            "{:?} is no board and no glass, which alone have --size and --count (longpoint sheets \
             lists them)",
            args.stick
        );
        return Err(WrongInput(words).into());
    }
    let correction = correction(args, &shop)?;
    let corrected = done(book.correct(&args.stick, &correction, &args.signed.stamp()?))?;
    say(out, &corrected_words(args, &shop, &corrected))
}

fn correction(args: &CorrectArgs, shop: &Shop) -> Result<Correction, WrongInput> {
    let length = |text: &String| match parse_length(text, shop.settings.unit) {
        Ok(length) => Ok(length),
        Err(fault) => Err(WrongInput(format!("--length: {:?} {fault}", shown(text)))),
    };
    let flaws = |text: &String| -> Result<Vec<Flaw>, WrongInput> {
        match text.trim() {
            "" => Ok(Vec::new()),
            some => read_flaws(some, &shop.settings)
                .map_err(|fault| WrongInput(format!("--flaws: {fault}"))),
        }
    };
    let correction = Correction {
        length: args.length.as_ref().map(length).transpose()?,
        lot: args.lot.clone(),
        place: args.place.clone(),
        flaws: args.flaws.as_ref().map(flaws).transpose()?,
        moulding: args.moulding.clone(),
    };
    if correction == Correction::default() {
        let words = "say what is otherwise: --length, --lot, --place, --flaws or --moulding";
        return Err(WrongInput(words.to_owned()));
    }
    Ok(correction)
}

/// What a board or glass is found to be.
fn of_sheet(args: &CorrectArgs, shop: &Shop) -> Result<SheetCorrection, WrongInput> {
    let of_sticks = [&args.length, &args.lot, &args.flaws, &args.moulding];
    let size = args.size.as_ref().map(|text| super::sheets::size(text, shop)).transpose()?;
    let correction = SheetCorrection { size, count: args.count, place: args.place.clone() };
    if correction == SheetCorrection::default() || of_sticks.iter().any(|said| said.is_some()) {
        let words = "is a board or glass: say what is otherwise with --size, --count or --place";
        return Err(WrongInput(format!("{} {words}", args.stick)));
    }
    Ok(correction)
}

fn corrected_words(args: &CorrectArgs, shop: &Shop, corrected: &Corrected) -> String {
    let style = shop.settings.style();
    let show = |length: Length| style.show_unit(length);
    let mut text = format!("{}: corrected.", args.stick);
    if corrected.is != corrected.was {
        text = format!(
            "{}: {} left, {} in the book before.",
            args.stick,
            show(corrected.is),
            show(corrected.was)
        );
    }
    if let Some((left, label)) = &corrected.remains {
        let left = style.show_down_unit(*left);
        text += &match label.as_str() {
            "" => format!(" At the end scrap {left}."),
            label => format!(" At the end keep {left}, label it {label}."),
        };
    }
    text.push('\n');
    if !corrected.off.is_empty() {
        let rails: Vec<String> = corrected.off.iter().map(|rail| words::rail(shop, rail)).collect();
        text += &format!(
            "Not cut from it any more, and owed: {}. Plan the rest again with \"longpoint replan \
             {}\".\n",
            rails.join(", "),
            args.book.display()
        );
    }
    text
}
