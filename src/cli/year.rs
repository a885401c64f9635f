//! `longpoint year`: what a year of this shop comes to, cut one way and another.

use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::bail;
use jiff::civil::Date;

use super::book::opened::{done, open_book};
use super::clock::date;
use super::effort::EffortLevel;
use super::exit::{WrongInput, plan_stands};
use super::progress::by_year;
use super::{clock, shop, threads};
use crate::report::folder::{may_hold_page, write_page};
use crate::report::{year_html, year_json, year_learnt, year_orders, year_text};
use crate::shop::{Frame, Shop};
use crate::year::{
    LotSpan, Practice, YearFault, YearQuestion, learn, ordered_years, simulated_years,
};

/// What `longpoint year` is told.
#[derive(Debug, clap::Args)]
pub struct YearArgs {
    /// The shop folder, or a book
    pub dir: PathBuf,
    /// The day on which it begins; without it, today by this computer's clock
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = date)]
    pub today: Option<Date>,
    /// How many open days it has
    #[arg(long, value_name = "N", allow_negative_numbers = true, default_value_t = 250, value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub days: u32,
    /// How many frames come in on each; without it, as shop.toml says, else 10
    #[arg(long, value_name = "N", allow_negative_numbers = true, value_parser = clap::value_parser!(u32).range(1..=500))]
    pub frames: Option<u32>,
    /// So many open days after it came in a frame is cut at the latest
    #[arg(long, value_name = "N", allow_negative_numbers = true, default_value_t = 5, value_parser = clap::value_parser!(u32).range(0..=60))]
    pub notice: u32,
    /// The most open days that a frame waits for others; without it, as long as it may
    #[arg(long, value_name = "N", allow_negative_numbers = true, value_parser = clap::value_parser!(u32).range(0..=60))]
    pub patience: Option<u32>,
    /// How long moulding that is bought is of one lot: day, month or year
    #[arg(long, value_name = "WORD", default_value = "month", value_parser = lots)]
    pub lots: LotSpan,
    /// Another number draws other customers
    #[arg(long, value_name = "N", allow_negative_numbers = true, default_value_t = 1)]
    pub seed: u64,
    /// How many years, each with customers of its own: the more, the surer
    #[arg(long, value_name = "N", allow_negative_numbers = true, default_value_t = 3, value_parser = clap::value_parser!(u32).range(1..=100))]
    pub years: u32,
    /// Simulate only one: frame, hand, hand-waiting, plan or plan-waiting
    #[arg(long, value_name = "WORD", value_parser = practice)]
    pub practice: Option<Practice>,
    /// Learn which keep and worth of [offcuts] and which worth.csv suit the shop, and propose
    /// them; nothing is written
    #[arg(long, conflicts_with_all = ["patience", "practice"])]
    pub learn: bool,
    /// Order moulding from the shop's suppliers, one way and another, and propose how many
    /// sticks to keep on the rack; nothing is written
    #[arg(long, conflicts_with_all = ["learn", "patience", "practice", "lots"])]
    pub orders: bool,
    /// How many seconds a setting of the stop takes: then minutes at the stop are said in place
    /// of settings
    #[arg(long, value_name = "SECONDS", conflicts_with_all = ["learn", "orders"], allow_negative_numbers = true, value_parser = clap::value_parser!(u32).range(1..=3600))]
    pub setting: Option<u32>,
    /// How hard to search: brisk, steady or patient; brisk without it
    #[arg(long, value_name = "WORD", value_enum, hide_possible_values = true)]
    pub effort: Option<EffortLevel>,
    /// Print it for other programs
    #[arg(long)]
    pub json: bool,
    /// Write a page with charts
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Simulate with N threads; without it, as many as this computer has cores
    #[arg(long, value_name = "N", allow_negative_numbers = true, value_parser = threads::parse)]
    pub threads: Option<usize>,
}

/// Simulates the years, and says what they came to.
///
/// # Errors
/// [`WrongInput`] with every fault in the folder, or where there is nothing to draw from;
/// another error if what is cut does not stand up to the check.
pub fn run(args: &YearArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    if let Some(Err(fault)) = args.out.as_deref().map(may_hold_page) {
        return Err(WrongInput(format!("--out: {fault}")).into());
    }
    let shop = shop::open(&args.dir)?;
    answer(args, &shop, &tickets(&args.dir, &shop)?, out)
}

/// Simulates the years of this shop with customers drawn from these tickets.
///
/// # Errors
/// As [`run`].
pub(super) fn answer(
    args: &YearArgs,
    shop: &Shop,
    tickets: &[Frame],
    out: &mut dyn Write,
) -> anyhow::Result<()> {
    let question = YearQuestion {
        from: clock::day(args.today)?,
        days: args.days,
        frames: args.frames.or(shop.settings.days.frames_a_day).unwrap_or(10),
        notice: args.notice,
        patience: args.patience.unwrap_or(args.notice),
        lots: args.lots,
        seed: args.seed,
        years: args.years,
        practice: args.practice,
        setting: args.setting,
    };
    let effort = args.effort.unwrap_or(EffortLevel::Brisk);
    let work = effort.work();
    let pool = threads::pool(args.threads)?;
    if args.learn
        && !tickets.is_empty()
        && tickets
            .iter()
            .flat_map(|frame| &frame.layers)
            .all(|layer| shop.moulding(&layer.moulding).price.is_none())
    {
        let words = "--learn: no moulding of the tickets has a price, so nothing says which figures are better (write prices into mouldings.csv)";
        return Err(WrongInput(words.to_owned()).into());
    }
    if args.orders && shop.offers.is_empty() {
        let words =
            "--orders: nobody is known to sell anything (write suppliers.csv and offers.csv)";
        return Err(WrongInput(words.to_owned()).into());
    }
    let is_drawn = args.out.is_some();
    let (text, page) = by_year(|told| {
        pool.install(|| match () {
            () if args.learn => {
                let learnt = learn(shop, tickets, question, (work, told))?;
                let words = if args.json { year_learnt::json } else { year_learnt::text };
                Ok((words(&learnt, shop), is_drawn.then(|| year_learnt::page(&learnt, shop))))
            }
            () if args.orders => {
                let years = ordered_years(shop, tickets, question, (work, told))?;
                let words = if args.json { year_orders::json } else { year_orders::text };
                Ok((words(&years, shop), is_drawn.then(|| year_orders::page(&years, shop))))
            }
            () => {
                let years = simulated_years(shop, tickets, question, (work, told))?;
                let words = if args.json { year_json::year } else { year_text::year };
                Ok((words(&years, shop), is_drawn.then(|| year_html::year(&years, shop))))
            }
        })
    })
    .or_else(faulty)?;
    out.write_all(text.as_bytes())?;
    if let (Some(file), Some(page)) = (&args.out, page) {
        write_page(file, &page)?;
        if !args.json {
            writeln!(out, "Wrote the page to {}.", file.display())?;
        }
    }
    Ok(())
}

/// The tickets that customers are drawn from: a folder's pile, or all that stand in a
/// book's files, cut or not.
fn tickets(dir: &Path, shop: &Shop) -> anyhow::Result<Vec<Frame>> {
    if dir.is_file() {
        return Ok(done(open_book(dir)?.shop())?.frames);
    }
    Ok(shop.frames.clone())
}

fn faulty<T>(fault: YearFault) -> anyhow::Result<T> {
    match fault {
        YearFault::NoTickets => Err(WrongInput(
            "frames.csv: there is no frame that a new stick makes, so no customers can be drawn \
             (write down some tickets such as the shop usually has)"
                .to_owned(),
        )
        .into()),
        YearFault::NoDays => Err(WrongInput(
            "--days: the calendar ends before so many open days are over (give fewer, or an \
             earlier --today)"
                .to_owned(),
        )
        .into()),
        YearFault::Cuts(faults) => plan_stands(Err(faults)),
        YearFault::Balance(date, length) => bail!(
            "on {date} of the simulated year {} nm of moulding are out of balance; this is a \
             mistake in Longpoint, please report it with the shop folder",
            length.nm()
        ),
    }
}

/// Reads which practice is simulated.
fn practice(read: &str) -> Result<Practice, String> {
    let found = Practice::ALL.into_iter().find(|of| of.word() == read);
    found.ok_or_else(|| {
        let words: Vec<&str> = Practice::ALL.into_iter().map(Practice::word).collect();
        format!("write one of {}", words.join(", "))
    })
}

/// Reads how long moulding is of one lot.
fn lots(read: &str) -> Result<LotSpan, String> {
    let all = [LotSpan::Day, LotSpan::Month, LotSpan::Year];
    let found = all.into_iter().find(|span| span.word() == read);
    found.ok_or_else(|| "write day, month or year".to_owned())
}
