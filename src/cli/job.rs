//! `longpoint job`: one job, from its artwork to the wall.

use std::io::Write;
use std::path::PathBuf;

use jiff::civil::Date;

use super::book::opened::{done, open_book};
use super::exit::{WrongInput, jobs_stand};
use super::{clock, shop};
use crate::report::folder::{may_hold_page, write_page};
use crate::report::{job_html, job_json, job_text};
use crate::shop::Shop;
use crate::ticket::job_sheet;

/// What `longpoint job` is told.
#[derive(Debug, clap::Args)]
pub struct JobArgs {
    /// The shop folder, or a book
    pub dir: PathBuf,
    /// The ticket's number
    pub ticket: String,
    /// Say as well how the figures came
    #[arg(long)]
    pub why: bool,
    /// Print it for other programs
    #[arg(long)]
    pub json: bool,
    /// Write its page
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// The day on which it is joined at the earliest; without it, today by this computer's
    /// clock
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = clock::date)]
    pub today: Option<Date>,
}

/// Prints the job.
///
/// # Errors
/// [`WrongInput`] with every fault in the folder, or if there is no such ticket or it has
/// no job; another error if the job does not stand up to its check.
pub fn run(args: &JobArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    // A job is worked out wherever its copies are: in a book the whole pile counts.
    let shop = match args.dir.is_file() {
        true => done(open_book(&args.dir)?.shop())?,
        false => shop::open(&args.dir)?,
    };
    let frame = shop.find_frame(&args.ticket).map_err(|unknown| WrongInput(unknown.to_string()))?;
    if let Some(Err(fault)) = args.out.as_deref().map(may_hold_page) {
        return Err(WrongInput(format!("--out: {fault}")).into());
    }
    let today = clock::day(args.today)?;
    let sheet = jobs_stand(job_sheet(&shop, (frame, frame.copies), today))?;
    let Some(sheet) = sheet else { return Err(no_job(&shop, &frame.id).into()) };
    let text = match args.json {
        true => job_json::job(&sheet, &shop),
        false => job_text::job(&sheet, args.why, &shop),
    };
    out.write_all(text.as_bytes())?;
    if let Some(file) = &args.out {
        write_page(file, &job_html::jobs(&[sheet], &[], today, &shop))?;
        if !args.json {
            writeln!(out, "Wrote the job to {}.", file.display())?;
        }
    }
    Ok(())
}

fn no_job(shop: &Shop, ticket: &str) -> WrongInput {
    let known = match shop.jobs.is_empty() {
        true => "no ticket has one".to_owned(),
        false => format!("{} have one", shop.jobs.len()),
    };
    WrongInput(format!(
        "{ticket} has no job, since its ticket begins with a package ({known}; write a row for it \
         in jobs.csv)"
    ))
}
