//! The plan on standard output: what a framer wants to know at seven in the morning.

mod bench;
mod order;
mod page;
mod rest;

use crate::chop::Schedule;
use crate::plan::{Plan, Warning};
use crate::shop::Shop;

use super::name::Names;
use super::summary::Summary;
use super::words;
pub use bench::{Mark, ON_FLAW};
pub(crate) use page::paged;
pub(super) use page::{COLUMNS, Page};

/// The whole plan in words and figures, at most eighty columns wide, without
/// colour: the morning in short, what to look at first, what waits and what to
/// buy, then each machine's sticks, and the proofs last.
pub fn plan(plan: &Plan, shop: &Shop, schedule: &Schedule) -> String {
    plan_with(plan, shop, schedule, (&[], false))
}

/// The same, with what is to be said of boards and glass that lack, and the arithmetic behind
/// the order if `is_why`.
pub fn plan_with(
    plan: &Plan,
    shop: &Shop,
    schedule: &Schedule,
    (notes, is_why): (&[String], bool),
) -> String {
    let names = Names::new(shop);
    let mut page = Page::new();
    head(&mut page, plan, shop, schedule, &names);
    rest::look_first(&mut page, (plan, notes), shop);
    rest::spare_rails(&mut page, plan, shop);
    rest::patient(&mut page, plan, shop);
    rest::waiting(&mut page, plan, shop, is_why);
    rest::held(&mut page, plan, shop, &names);
    for bench in &schedule.benches {
        bench::bench(&mut page, bench, shop, &names, &|_, _| Some(String::new()));
    }
    rest::offcuts(&mut page, plan, shop);
    rest::use_of_offcuts(&mut page, plan, shop);
    rest::proofs(&mut page, plan, shop);
    page.into_text()
}

/// The promises that a plan at the bench does not keep, by their tickets, in the words that
/// were said when it was taken there.
pub fn promises(broken: &[(String, String)]) -> String {
    let mut page = Page::new();
    for (frame, said) in broken {
        page.line("! ", &words::promise_mend(frame, said));
    }
    page.into_text()
}

/// What a plan at the bench has to be looked at for; nothing where there is nothing.
pub fn look_first(warnings: &[Warning], shop: &Shop) -> String {
    let mut page = Page::new();
    if !warnings.is_empty() {
        page.heading("LOOK AT FIRST");
        rest::warnings(&mut page, warnings, shop);
        page.gap();
    }
    page.into_text()
}

/// The sticks of a schedule alone, machine by machine, as [`plan`] has them. `mark` is
/// what is said beside each cut, such as that it is made already; a stick that it says
/// nothing of any more stands in a line.
pub fn benches(schedule: &Schedule, shop: &Shop, mark: Mark) -> String {
    let names = Names::new(shop);
    let mut page = Page::new();
    for bench in &schedule.benches {
        bench::bench(&mut page, bench, shop, &names, mark);
    }
    page.into_text()
}

fn head(page: &mut Page, plan: &Plan, shop: &Shop, schedule: &Schedule, names: &Names) {
    page.line_and_right(&plan.shop, &plan.date.strftime("%A %-d %B %Y").to_string());
    page.line("", &"=".repeat(page::COLUMNS));
    rest::promises(page, plan, shop);
    for wish in words::wishes(plan, shop) {
        page.line("", &wish);
    }
    let sum = Summary::new(plan, shop, schedule);
    if sum.frames == 0 {
        page.line("", "No frame can be cut today.");
        return;
    }
    page.line("", &format!("{}.", today(&sum)));
    for line in [&sum.priced, &sum.unpriced].into_iter().flatten() {
        let of = if line.priced { "" } else { ", of mouldings without a price" };
        let mut used_up = words::used_up(line, &shop.settings);
        used_up.replace_range(..1, "U");
        page.line("", &format!("{used_up}{of}."));
    }
    page.line("", &settings(&sum));
    page.line("Frames: ", &format!("{}.", rest::frames_today(plan, names).join(", ")));
}

/// `162 rails to cut, 81 settings of the stop.`
fn settings(sum: &Summary) -> String {
    let often = usize::try_from(sum.settings).unwrap_or(usize::MAX);
    let fewest = if sum.settings == sum.least_settings { ", proven fewest" } else { "" };
    let rails = words::count(sum.rails, "rail", "rails");
    format!("{rails} to cut, {} of the stop{fewest}.", words::count(often, "setting", "settings"))
}

/// `23 frames today from 17 sticks (5 of them offcuts)`
fn today(sum: &Summary) -> String {
    let offcuts = match (sum.offcuts, sum.sticks) {
        (0, _) => String::new(),
        (1, 1) => " (an offcut)".to_owned(),
        (all, sticks) if all == sticks => " (all of them offcuts)".to_owned(),
        (1, _) => " (1 of them an offcut)".to_owned(),
        (some, _) => format!(" ({some} of them offcuts)"),
    };
    format!(
        "{} today from {}{offcuts}",
        words::count(sum.frames, "frame", "frames"),
        words::count(sum.sticks, "stick", "sticks"),
    )
}
