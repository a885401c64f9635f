//! What leaves Longpoint: one small writer a format, each from the same plan.
//!
//! Writers put figures into words and places; they decide and reckon nothing.
//! What is not known is left empty, never written as nought.

pub mod csv;
pub mod fits_text;
pub mod folder;
pub mod html;
pub mod json;
pub mod labels;
pub mod order_html;
pub mod quote_text;
pub mod rails_json;
pub mod rails_text;
pub(crate) mod spares;
pub mod text;
pub mod why_text;

pub(crate) mod escape;
pub(crate) mod name;
mod not_bought;
mod order_json;
mod order_words;
mod summary;
mod svg;
pub(crate) mod words;

pub(crate) use order_words::deadline as order_deadline;

use crate::chop::Schedule;
use crate::plan::Plan;
use crate::shop::Shop;
use html::Heading;

/// The files of a plan's folder, each with its whole content.
pub fn files(plan: &Plan, shop: &Shop, schedule: &Schedule) -> Vec<(&'static str, String)> {
    files_under(&Heading::default(), plan, shop, schedule)
}

/// The same with a heading for the chop sheet.
pub fn files_under(
    heading: &Heading,
    plan: &Plan,
    shop: &Shop,
    schedule: &Schedule,
) -> Vec<(&'static str, String)> {
    vec![
        ("plan.json", json::plan(plan, shop, schedule)),
        ("chop.csv", csv::chop(schedule, shop)),
        ("chop.html", html::chop_under(heading, plan, shop, schedule)),
        ("labels.html", labels::labels(plan, shop)),
        ("order.csv", csv::order(plan, shop)),
        ("order.html", order_html::orders(plan, shop)),
    ]
}

/// The cards and the labels of some sticks alone, as [`files`] writes them for a plan.
pub fn cards(
    heading: &Heading,
    plan: &Plan,
    shop: &Shop,
    schedule: &Schedule,
) -> Vec<(&'static str, String)> {
    vec![
        ("chop.html", html::chop_under(heading, plan, shop, schedule)),
        ("labels.html", labels::labels(plan, shop)),
    ]
}
