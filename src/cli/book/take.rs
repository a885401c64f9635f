//! `longpoint take`: plans the morning and takes the plan to the bench.

use std::io::Write;
use std::path::PathBuf;

use jiff::civil::Date;

use super::opened::{done, on_snapshot, open_book, say};
use super::signed::{BOOK, Signed};
use crate::book::words::taken_words;
use crate::chop::{of_sticks, schedule};
use crate::cli::exit::{jobs_stand, tell};
use crate::cli::{clock, effort, interrupt, lacking, plan, wishes};
use crate::report::html::Heading;
use crate::report::{self, folder, text};
use crate::shop::SheetPiece;

/// What `longpoint take` is told.
#[derive(Debug, clap::Args)]
pub struct TakeArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// The morning to plan for; without it, the day of the step
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = clock::date)]
    pub today: Option<Date>,
    #[command(flatten)]
    wished: wishes::Wished,
    /// Also write the sheets of the plan here, with the labels of the book
    #[arg(long, value_name = "OUT")]
    pub out: Option<PathBuf>,
    #[command(flatten)]
    search: effort::SearchOptions,
    #[command(flatten)]
    signed: Signed,
}

/// Plans on a look at the book, and takes the plan if the book is still the same.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if there is nothing to cut; another
/// error if the plan does not stand, or the sheets cannot be written: then the
/// plan is at the bench all the same, and `bench` lists it.
pub fn run(args: &TakeArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let wishes = |snapshot: &crate::book::Snapshot| Ok(args.wished.of(&snapshot.shop)?);
    let stamp = args.signed.stamp()?;
    // A day that is asked for by itself is before every cut-off.
    let now = || (stamp.at.date(), Some(stamp.at.time()));
    let morning = args.today.map_or_else(now, |today| (today, None));
    let (shop, taken) =
        on_snapshot(&mut book, &wishes, (morning, args.search), |book, snapshot, plan| {
            let taken = book.take(snapshot, &plan, &stamp)?;
            Ok((snapshot.shop.clone(), taken))
        })?;
    let schedule = schedule(&taken.plan, &shop);
    if let Some(dir) = &args.out {
        let heading =
            Heading { title: format!("Chop sheet, plan {}", taken.job), ..Heading::default() };
        let all = plan::with_owed(&taken.plan, (&taken.owed, &taken.spares));
        // The plan is taken: its chop sheet is wanted whatever is wrong with a job.
        let lacking = jobs_stand(report::jobs_today(&all, &shop)).and_then(|jobs| {
            let mark = |wanted: &mut Vec<SheetPiece>| done(book.mark_cut(wanted));
            lacking::of_day(&shop, &jobs, &done(book.sheets_coming())?, mark)
        });
        let lacking = lacking.unwrap_or_else(|wrong| {
            tell(&wrong.to_string());
            Vec::new()
        });
        let under = (&heading, lacking.as_slice());
        let files = report::files_under(under, &all, &shop, &of_sticks(&all.today, &shop));
        let idle = report::order_mail::idle(&all, &shop);
        interrupt::whole(|| folder::write_in_place_of(dir, &files, &idle))?;
    }
    out.write_all(plan::owed_first(&shop, (&taken.owed, &taken.spares)).as_bytes())?;
    out.write_all(text::plan(&taken.plan, &shop, &schedule).as_bytes())?;
    say(out, &format!("\n{}", taken_words(&taken)))?;
    Ok(())
}
