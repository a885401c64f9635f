//! `longpoint plan`: the morning's plan, on the screen and in a folder.

use std::io::Write;
use std::path::PathBuf;

use jiff::civil::{Date, Time};

use super::book::opened::{done, open_book};
use super::exit::{jobs_stand, plan_stands};
use super::{clock, effort, interrupt, lacking, progress, shop, threads, wishes};
use crate::book::Debts;
use crate::chop::{of_sticks, schedule};
use crate::morning::plan_telling;
use crate::plan::{CutStick, Plan, SpareUse};
use crate::report::html::Heading;
use crate::report::{self, folder, json, spares, text};
use crate::shop::{SheetPiece, Shop};

/// What `longpoint plan` is told.
#[derive(Debug, clap::Args)]
pub struct PlanArgs {
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
    pub wished: wishes::Wished,
    #[command(flatten)]
    pub search: effort::SearchOptions,
    /// Plan with N threads; without it, as many as this computer has cores
    #[arg(long, value_name = "N", allow_negative_numbers = true, value_parser = threads::parse)]
    pub threads: Option<usize>,
    /// Write JSON to standard output instead of text
    #[arg(long)]
    pub json: bool,
    /// Say as well what the bills are made of and what the order comes to when all is counted
    #[arg(long)]
    pub why: bool,
    /// Also write plan.json, chop.csv, chop.html, labels.html, order.csv, order.html, a text to
    /// each supplier and, where tickets are jobs, jobs.html, jobs.csv and pieces.csv here
    #[arg(long, value_name = "OUT")]
    pub out: Option<PathBuf>,
}

/// Plans, checks the plan, and shows it.
///
/// # Errors
/// [`WrongInput`](super::exit::WrongInput) with every fault in the folder; another
/// error if the plan does not stand up to the verifier or cannot be written.
pub fn run(args: &PlanArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let (shop, debts) = shop::open_with_debts(&args.dir)?;
    let notes = answer(args, shop, &debts, out)?;
    if args.json {
        notes.iter().for_each(|note| super::exit::tell(note));
    }
    if interrupt::cut_short().is_some() {
        super::exit::tell("Stopped: this is the best plan that was found by then.");
    }
    Ok(())
}

/// Plans for this shop, checks the plan, and shows it; what is to be said of boards and glass,
/// which JSON has no place for.
///
/// # Errors
/// As [`run`].
pub(super) fn answer(
    args: &PlanArgs,
    shop: Shop,
    debts: &Debts,
    out: &mut dyn Write,
) -> anyhow::Result<Vec<String>> {
    let wishes = args.wished.of(&shop)?;
    let (shop, date) = clock::morning(shop, args.today, args.time)?;
    let pool = threads::pool(args.threads)?;
    let (text, files, notes) = interrupt::best_so_far(|| {
        let search = args.search;
        let plan = progress::by_moulding(|told| {
            pool.install(|| plan_telling(&shop, date, &wishes, search.limits(), told))
        });
        let plan = plan_stands(plan)?;
        let book = args.dir.is_file().then(|| open_book(&args.dir)).transpose()?;
        let coming = book.as_ref().map(|book| done(book.sheets_coming())).transpose()?;
        let of = (&shop, None);
        let coming = coming.unwrap_or_default();
        let mark = |wanted: &mut Vec<SheetPiece>| match &book {
            Some(book) => done(book.mark_cut(wanted)),
            None => Ok(()),
        };
        let (plan, notes) = lacking::ordered(&plan, of, &coming, mark)?;
        let schedule = schedule(&plan, &shop);
        let all = with_owed(&plan, (&debts.sticks, &debts.spares));
        let whole = of_sticks(&all.today, &shop);
        let jobs = jobs_stand(report::jobs_today(&all, &shop))?;
        let files = match args.out {
            Some(_) => {
                let lacking = lacking::of_day(&shop, &jobs, &coming, mark)?;
                let under = (&Heading::default(), lacking.as_slice());
                let files = report::files_under(under, &all, &shop, &whole);
                Some((files, report::order_mail::idle(&all, &shop)))
            }
            None => None,
        };
        let text = match args.json {
            true => json::plan(&all, &shop, &whole),
            false => {
                owed_first(&shop, (&debts.sticks, &debts.spares))
                    + &text::plan_with(&plan, &shop, &schedule, (&notes, args.why))
            }
        };
        anyhow::Ok((text, files, notes))
    })?;
    if let Some((folder, (files, idle))) = args.out.as_ref().zip(files) {
        interrupt::whole(|| folder::write_in_place_of(folder, &files, &idle))?;
    }
    out.write_all(text.as_bytes())?;
    Ok(notes)
}

/// A plan with the sticks that are cut before it, for the sheets of the day.
pub(super) fn with_owed(plan: &Plan, (owed, spares): (&[CutStick], &[SpareUse])) -> Plan {
    let (today, spares) = ([owed, &plan.today].concat(), [spares, &plan.spares].concat());
    Plan { today, spares, ..plan.clone() }
}

/// What is cut before the plan, since it is owed of earlier days; nothing if it is not.
pub(super) fn owed_first(shop: &Shop, (sticks, spares): (&[CutStick], &[SpareUse])) -> String {
    let words = |of| text::paged(&format!("Owed of earlier days: {}.", spares::words(of, shop)));
    let spares: String = spares.iter().map(words).collect();
    if sticks.is_empty() {
        return spares;
    }
    let schedule = of_sticks(sticks, shop);
    let cards = text::benches(&schedule, shop, &|_, _| Some(String::new()));
    let head = "Owed of earlier days, and cut first from what matches; its sticks are not in the plan \
                below.";
    format!("{spares}{}{cards}\n", text::paged(head))
}
