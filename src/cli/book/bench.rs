//! `longpoint bench`: what is at the bench.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::BOOK;
use crate::book::words;
use crate::book::{AtBench, BenchStick, RailState};
use crate::chop::of_bench;
use crate::cli::exit::WrongInput;
use crate::cli::interrupt;
use crate::plan::{CutStick, Plan};
use crate::report::html::Heading;
use crate::report::{self, folder, text};
use crate::shop::Shop;

/// What `longpoint bench` is told.
#[derive(Debug, clap::Args)]
pub struct BenchArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// Also write chop.html and labels.html of what is at the bench here
    #[arg(long, value_name = "OUT")]
    pub out: Option<PathBuf>,
}

/// Lists the plans at the bench, stick by stick.
///
/// # Errors
/// If the book cannot be read.
pub fn run(args: &BenchArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let book = open_book(&args.book)?;
    let (plans, owed, spare) = (done(book.bench())?, done(book.owed())?, done(book.spare())?);
    let promised = text::promises(&done(book.broken_promises())?);
    if !promised.is_empty() {
        writeln!(out, "{promised}")?;
    }
    if plans.is_empty() {
        say(out, "Nothing is at the bench.")?;
    }
    if plans.is_empty() && owed.is_empty() && spare.is_empty() {
        return Ok(());
    }
    let shop = done(book.shop())?;
    for owed in &owed {
        say(out, &words::owed_on_pile(&shop, owed))?;
    }
    for (lay, rail) in &spare {
        say(out, &words::spare(&args.book, &shop, lay, rail))?;
    }
    for plan in &plans {
        out.write_all(plan_words(&shop, plan).as_bytes())?;
    }
    let Some(dir) = &args.out else { return Ok(()) };
    let [plan] = plans.as_slice() else {
        return Err(WrongInput("--out needs one plan at the bench, no more".to_owned()).into());
    };
    let title = format!("Chop sheet, plan {}", plan.job);
    let heading = Heading { title, note: words::sheet_note(plan) };
    let files = printed(&shop, plan, &plan.sticks.iter().collect::<Vec<_>>(), &heading)?;
    interrupt::whole(|| folder::write(dir, &files))?;
    Ok(())
}

fn plan_words(shop: &Shop, plan: &AtBench) -> String {
    let rails = || plan.sticks.iter().flat_map(|stick| &stick.lay.rails);
    let open = rails().filter(|rail| rail.state == RailState::ToCut).count();
    let mut text = format!(
        "Plan {} of {}: {} from {}, {} to cut.\n\n",
        plan.job,
        plan.date,
        words::count(plan.copies.len(), "frame", "frames"),
        words::count(plan.sticks.len(), "stick", "sticks"),
        words::count(open, "rail", "rails"),
    );
    text += &text::look_first(&plan.warnings, shop);
    text += &cards(shop, plan.sticks.iter().collect::<Vec<_>>().as_slice(), &plan.planned);
    for stick in plan.sticks.iter().filter(|stick| stick.is_rest()) {
        let (own, rest) = (&stick.lay.stick, words::rest(shop, stick.left, &stick.lay.label));
        text += &format!("{own}: nothing more is cut. {rest} (longpoint cut ... {own}).\n");
    }
    for given in &plan.given {
        text += &format!("{}\n", words::given(shop, given));
    }
    for one in &plan.measured {
        text += &format!("{} (longpoint replan)\n", words::measured_words(one));
    }
    for owed in &plan.owed {
        let of = (owed.frame.as_str(), owed.copy);
        text += &format!(
            "OWED {} in {} (longpoint replan)\n",
            words::side(shop, of, owed.layer, owed.side),
            owed.moulding
        );
    }
    text
}

/// Sticks as the morning's sheet has them, with what became of each cut.
pub(super) fn cards(shop: &Shop, sticks: &[&BenchStick], planned: &[CutStick]) -> String {
    let cut = sticks.iter().filter(|stick| !stick.is_rest());
    let all: Vec<CutStick> = cut.map(|stick| stick.card.clone()).collect();
    let mark = |name: &str, number: u32| {
        let of = sticks.iter().find(|stick| stick.lay.stick == name)?;
        let number = usize::try_from(number).ok()?;
        (!of.lay.is_done()).then(|| state(of, number).to_owned())
    };
    text::benches(&of_bench(&all, planned, shop), shop, &mark)
}

fn state(stick: &BenchStick, number: usize) -> &'static str {
    let rail = number.checked_sub(1).and_then(|at| stick.lay.rails.get(at));
    match rail.map_or(RailState::Off, |rail| rail.state) {
        RailState::ToCut if stick.on_flaw.contains(&number) => text::ON_FLAW,
        RailState::ToCut => "",
        RailState::Cut => "cut",
        RailState::Spoiled => "spoiled",
        RailState::Off => "not any more",
    }
}

/// The cards of some sticks to print, and the labels of what is kept of them.
pub(super) fn printed(
    shop: &Shop,
    plan: &AtBench,
    sticks: &[&BenchStick],
    heading: &Heading,
) -> anyhow::Result<Vec<(&'static str, String)>> {
    let all: Vec<CutStick> = sticks.iter().map(|stick| stick.card.clone()).collect();
    let schedule = of_bench(&all, &plan.planned, shop);
    let date = plan.date.parse()?;
    let whole = Plan { warnings: plan.warnings.clone(), ..Plan::of_sticks(shop, date, all) };
    Ok(report::cards(heading, &whole, shop, &schedule))
}
