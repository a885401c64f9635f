//! `longpoint fits`: what the rack can make besides today's plan.

use std::io::Write;
use std::path::PathBuf;

use jiff::civil::Date;

use super::exit::{WrongInput, plan_stands};
use super::{clock, effort, shop, threads};
use crate::fits::{self, FitQuestion};
use crate::measure::Length;
use crate::report::fits_text;
use crate::shop::{Kind, Match, Shop};
use crate::solve::Limits;
use crate::verify::Fault;

/// What `longpoint fits` is told.
#[derive(Debug, clap::Args)]
pub struct Fits {
    /// The shop folder
    pub dir: PathBuf,
    /// The moulding's code
    #[arg(long, value_name = "M")]
    pub moulding: String,
    /// The package's size, such as 16x20; without it, the largest frames that
    /// each stick can make
    #[arg(long, value_name = "WxH")]
    pub size: Option<String>,
    /// How alike the rails must be: any, lot, halves, stick or wrap; without it,
    /// as the moulding asks
    #[arg(long = "match", value_name = "MATCH", value_parser = Match::read)]
    pub match_: Option<Match>,
    /// For a floater: the gap between canvas and wall on each side
    #[arg(long, value_name = "LENGTH")]
    pub gap: Option<String>,
    /// The morning to plan for; without it, today by this computer's clock
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = clock::date)]
    pub today: Option<Date>,
    #[command(flatten)]
    pub search: effort::SearchOptions,
}

/// Plans the morning, and says what else the rack can make.
///
/// # Errors
/// [`WrongInput`] with every fault in the folder or in what was asked; another
/// error if a plan does not stand up to the verifier.
pub fn run(args: &Fits, out: &mut dyn Write) -> anyhow::Result<()> {
    let shop = shop::open(&args.dir)?;
    let moulding = shop.find_moulding(&args.moulding);
    let moulding = moulding.map_err(|unknown| WrongInput(format!("--moulding: {unknown}")))?;
    let size = args.size.as_ref().map(|size| shop.settings.read_size(size)).transpose();
    let size = size.map_err(|fault| WrongInput(format!("--size: {fault}")))?;
    let gap = gap(args, &shop, moulding.kind)?;
    let match_ = args.match_.unwrap_or(moulding.match_);
    let question = FitQuestion { moulding, match_, gap };
    let date = clock::day(args.today)?;
    let search = args.search;
    let answer =
        threads::pool(None)?.install(|| answer(&shop, &question, size, date, &search.limits()));
    let answer = plan_stands(answer)?;
    out.write_all(answer.as_bytes())?;
    Ok(())
}

fn answer(
    shop: &Shop,
    question: &FitQuestion,
    size: Option<(Length, Length)>,
    date: Date,
    limits: &Limits,
) -> Result<String, Vec<Fault>> {
    let untouched = fits::untouched(shop, date, question.moulding, limits)?;
    Ok(match size {
        Some(size) => {
            let found = fits::fits(shop, question, size, &untouched, limits)?;
            fits_text::one(shop, question, size, &found, &untouched)
        }
        None => {
            let pieces = fits::pieces(shop, question, &untouched, limits)?;
            fits_text::each(shop, question, &pieces, &untouched)
        }
    })
}

fn gap(args: &Fits, shop: &Shop, kind: Kind) -> Result<Length, WrongInput> {
    if kind == Kind::BuildOut {
        let words = format!(
            "{} is a build-out, which makes no frame by itself (name a moulding)",
            args.moulding
        );
        return Err(WrongInput(words));
    }
    let wrong = |fault: String| Err(WrongInput(format!("--gap: {fault}")));
    match (&args.gap, kind) {
        (None, Kind::Floater) => wrong(format!(
            "{} is a floater (say how wide the gap is, such as --gap {})",
            args.moulding,
            shop.settings.example("1/4", "6")
        )),
        (Some(_), _) if kind != Kind::Floater => {
            wrong(format!("{} is not a floater (leave --gap out)", args.moulding))
        }
        (None, _) => Ok(Length::ZERO),
        (Some(text), _) => shop.settings.read_gap(text).or_else(wrong),
    }
}
