//! What leaves Longpoint: one small writer a format, each from the same plan.
//!
//! Writers put figures into words and places; they decide and reckon nothing.
//! What is not known is left empty, never written as nought.

pub mod calendar_ics;
pub mod csv;
pub mod fits_text;
pub mod folder;
pub mod html;
pub mod job_csv;
mod job_figures;
pub mod job_html;
pub mod job_json;
mod job_section;
mod job_svg;
pub mod job_text;
pub(crate) mod job_words;
mod jobs_today;
pub mod json;
pub mod labels;
pub mod order_html;
pub mod order_mail;
pub mod quote_html;
pub mod quote_json;
pub mod quote_table;
pub mod quote_text;
mod quote_why;
pub mod rails_json;
pub mod rails_text;
pub mod sheets_csv;
pub mod sheets_html;
pub mod sheets_json;
pub mod sheets_text;
pub(crate) mod sheets_words;
pub(crate) mod spares;
pub(crate) mod square;
pub mod text;
pub mod why_text;
pub mod workbook;
pub mod year_html;
pub mod year_json;
pub mod year_learnt;
pub mod year_orders;
pub mod year_text;
mod year_words;

pub mod either;
pub(crate) mod escape;
pub(crate) mod name;
mod order_json;
pub mod order_table;
mod order_total;
mod order_why;
mod order_words;
mod summary;
mod svg;
pub(crate) mod words;

pub use jobs_today::jobs_today;
pub(crate) use order_total::bills as order_bills;
pub(crate) use order_words::{
    basket_lines, bill as order_bill, deadline as order_deadline, refused as order_refused,
};

use crate::chop::Schedule;
use crate::plan::Plan;
use crate::sheets::LackingSheets;
use crate::shop::Shop;
use html::Heading;
use order_table::Reference;

/// The files of a plan's folder, each with its whole content.
pub fn files(plan: &Plan, shop: &Shop, schedule: &Schedule) -> Vec<(String, String)> {
    files_under((&Heading::default(), &[]), plan, shop, schedule)
}

/// The same with a heading for the chop sheet, and with what its jobs lack of whole sheets.
pub fn files_under(
    (heading, lacking): (&Heading, &[LackingSheets]),
    plan: &Plan,
    shop: &Shop,
    schedule: &Schedule,
) -> Vec<(String, String)> {
    let mut files = vec![
        ("plan.json".to_owned(), json::plan(plan, shop, schedule)),
        ("chop.csv".to_owned(), csv::chop(schedule, shop)),
        ("chop.html".to_owned(), html::chop_under(heading, plan, shop, schedule)),
        ("labels.html".to_owned(), labels::labels(plan, shop)),
    ];
    if !shop.jobs.is_empty() {
        let jobs = jobs_today(plan, shop).unwrap_or_default();
        files.push(("jobs.html".to_owned(), job_html::jobs(&jobs, lacking, plan.date, shop)));
        files.push(("jobs.csv".to_owned(), job_csv::jobs(&jobs, shop)));
        files.push(("pieces.csv".to_owned(), job_csv::pieces(&jobs, shop)));
    }
    files.extend(order_files(Reference::default(), plan, shop));
    files
}

/// The files of an order: all of it as a table, a letter to each supplier, and the same
/// as plain text for an e-mail.
pub fn order_files(reference: Reference, plan: &Plan, shop: &Shop) -> Vec<(String, String)> {
    let mut files = vec![
        ("order.csv".to_owned(), csv::order(reference, plan, shop)),
        ("order.html".to_owned(), order_html::orders(reference, plan, shop)),
    ];
    files.extend(order_mail::mails(reference, plan, shop));
    files
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
