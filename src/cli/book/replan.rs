//! `longpoint replan`: the rest of the day planned again.

use std::io::Write;
use std::path::PathBuf;

use super::bench;
use super::opened::{done, open_book, say, while_others_write};
use super::signed::{BOOK, Signed};
use crate::book::words::replan_words;
use crate::book::{BenchStick, Replanned};
use crate::cli::{effort, interrupt, progress, threads};
use crate::report::folder;
use crate::report::html::Heading;

/// What `longpoint replan` is told.
#[derive(Debug, clap::Args)]
pub struct ReplanArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// Which plan, where several are at the bench
    #[arg(long, value_name = "N")]
    pub plan: Option<i64>,
    /// Also write chop.html and labels.html of the sticks with new cuts here
    #[arg(long, value_name = "OUT")]
    pub out: Option<PathBuf>,
    #[command(flatten)]
    search: effort::SearchOptions,
    #[command(flatten)]
    signed: Signed,
}

/// Plans on a look at the book, and puts the plan in force if the book is still
/// the same.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if there is nothing to plan again.
pub fn run(args: &ReplanArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let stamp = args.signed.stamp()?;
    let search = args.search;
    let replanned = while_others_write(&mut book, |book| {
        let day = done(book.day(args.plan))?;
        let pool = threads::pool(None)?;
        let draft = progress::by_moulding(|told| {
            pool.install(|| day.draft_telling(&search.limits(), told))
        });
        Ok(book.replan(&done(draft)?, stamp.at.date(), &stamp))
    })?;
    let shop = done(book.shop())?;
    say(out, &replan_words(&shop, &replanned))?;
    let plans = done(book.bench())?;
    let ours = plans.iter().find(|plan| plan.job == replanned.job);
    let changed = |stick: &str| {
        let mut all = replanned.draft.mouldings.iter().flat_map(|again| again.sticks.iter());
        all.any(|cut| cut.stick == stick)
    };
    let Some(plan) = ours else { return Ok(()) };
    let new: Vec<&BenchStick> =
        plan.sticks.iter().filter(|stick| changed(&stick.lay.stick)).collect();
    if new.is_empty() {
        return Ok(());
    }
    out.write_all(format!("\n{}", bench::cards(&shop, &new, &plan.planned)).as_bytes())?;
    if let Some(dir) = &args.out {
        let heading =
            Heading { title: format!("New cards, plan {}", plan.job), note: replaces(&replanned) };
        let files = bench::printed(&shop, plan, &new, &heading)?;
        interrupt::whole(|| folder::write(dir, &files))?;
    }
    Ok(())
}

/// Which cards are of no use any more.
fn replaces(replanned: &Replanned) -> String {
    let all = replanned.draft.mouldings.iter().flat_map(|again| &again.replaced);
    let all: Vec<&str> = all.map(String::as_str).collect();
    match all.as_slice() {
        [] => "They are new; all other cards hold.".to_owned(),
        some => format!("Throw away the cards of {}; all others hold.", some.join(", ")),
    }
}
