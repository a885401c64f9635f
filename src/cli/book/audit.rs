//! `longpoint audit`: proves that the book adds up.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::BOOK;
use crate::cli::exit::WrongInput;
use crate::measure::{Length, LengthStyle, Unit};
use crate::report::sheets_words::shown_area;
use crate::shop::Settings;

/// What `longpoint audit` is told.
#[derive(Debug, clap::Args)]
pub struct AuditArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
}

/// Adds up every stick and says what it comes to.
///
/// # Errors
/// [`WrongInput`] with everything that does not add up, or if the file is
/// damaged.
pub fn run(args: &AuditArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let book = open_book(&args.book)?;
    let audit = done(book.audit())?;
    let settings = done(book.shop())?.settings;
    if !audit.balances() {
        let mend = "(the book is not as this program wrote it; go back to your last backup)";
        return Err(WrongInput(format!("{}\n{mend}", audit.faults.join("\n"))).into());
    }
    say(out, &format!("The book adds up: {} sticks, {} steps.", audit.sticks, audit.steps))?;
    let length = |length: Length| in_full(length, &settings);
    for (what, of) in [
        ("came in", audit.came),
        ("rails", audit.rails),
        ("spoiled", audit.spoiled),
        ("joints", audit.joints),
        ("trims", audit.trims),
        ("scrap", audit.scrap),
        ("on the rack and at the bench", audit.on_rack),
    ] {
        say(out, &format!("  {what:<30} {:>24}", length(of)))?;
    }
    let square = |area| shown_area(area, settings.unit);
    for (material, of) in &audit.sheets {
        let words = format!(
            "  {material}: came in {}{}{}; pieces {}, broken {}, waste {}, written off {}, there {}",
            square(of.came),
            match of.counted {
                0 => String::new(),
                more if more > 0 => format!(", found {} more", square(more)),
                fewer => format!(", missing {}", square(-fewer)),
            },
            match of.fallen {
                0 => String::new(),
                fallen => format!(", out of windows {}", square(fallen)),
            },
            square(of.pieces),
            square(of.spoiled),
            square(of.waste),
            square(of.scrap),
            square(of.there)
        );
        say(out, &words)?;
    }
    Ok(())
}

/// A length as exactly as the shop's unit has it: a mark, or a millionth of the unit.
fn in_full(length: Length, settings: &Settings) -> String {
    let sign = if length.nm() < 0 { "-" } else { "" };
    let size = if length.nm() < 0 { -length } else { length };
    let unit = settings.unit;
    let mark = match unit {
        Unit::Inch => Length::from_64ths(1),
        Unit::Millimetre => settings.mark,
    };
    if mark.is_positive() && size.nm() % mark.nm() == 0 {
        return format!("{sign}{}", LengthStyle { unit, mark }.show_unit(size));
    }
    let millionths = i128::from(size.nm()) * 1_000_000 + i128::from(unit.nm()) / 2;
    let millionths = millionths / i128::from(unit.nm());
    let (whole, rest) = (millionths / 1_000_000, millionths % 1_000_000);
    format!("{sign}{whole}.{rest:06} {}", unit.symbol())
}
