//! `longpoint why`: where a frame stands, and what would change it.

use std::io::Write;
use std::path::PathBuf;

use jiff::civil::{Date, Time};

use super::exit::{WrongInput, plan_stands};
use super::progress::by_moulding;
use super::{clock, effort, shop, threads};
use crate::report::why_text;
use crate::why;

/// What `longpoint why` is told.
#[derive(Debug, clap::Args)]
pub struct Why {
    /// The frame's ticket number
    pub frame: String,
    /// The shop folder
    pub dir: PathBuf,
    /// The morning to plan for; without it, today by this computer's clock
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = clock::date)]
    pub today: Option<Date>,
    /// The time of day, for what a supplier takes until a cut-off; without it, now by this
    /// computer's clock, or with --today before all of them
    #[arg(long, value_name = "HH:MM", value_parser = clock::time)]
    pub time: Option<Time>,
    #[command(flatten)]
    pub search: effort::SearchOptions,
}

/// Plans the morning, and again with one thing or another changed, and says
/// what came of it.
///
/// # Errors
/// [`WrongInput`] with every fault in the folder, or if there is no such frame;
/// another error if a plan does not stand up to the verifier.
pub fn run(args: &Why, out: &mut dyn Write) -> anyhow::Result<()> {
    let shop = shop::open(&args.dir)?;
    let (shop, date) = clock::morning(shop, args.today, args.time)?;
    let frame = shop.find_frame(&args.frame).map_err(|unknown| WrongInput(unknown.to_string()))?;
    let search = args.search;
    let answer = by_moulding(|told| {
        let pool = threads::pool(None)?;
        let answer =
            pool.install(|| why::why_telling(&shop, date, frame, (&search.limits(), told)));
        anyhow::Ok(answer)
    })?;
    let answer = plan_stands(answer)?;
    out.write_all(why_text::why(&answer, &shop).as_bytes())?;
    Ok(())
}
