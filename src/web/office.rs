//! The office: the ways to its pages, the sheets to print, the figures.

use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum::routing::{get, post};
use maud::html;

use super::boards::{boards_of_jobs, lacking_of};
use super::form::{form, spelt};
use super::office_words::told;
use super::page::{self, Screen};
use super::plans::Planned;
use super::press::Press;
use super::promised;
use super::reply;
use super::site::Site;
use super::visit::Visit;
use crate::book::{AtBench, Book, BookError, OnRack, RackQuery, pages, words};
use crate::chop::of_bench;
use crate::plan::{CutStick, Plan};
use crate::report::html::Heading;
use crate::report::{self, job_html, sheets_html};
use crate::sheet_order::SheetsComing;

pub(super) fn routes() -> Router<Arc<Site>> {
    Router::new()
        .route("/office", get(office))
        .route("/figures", get(figures))
        .route("/print", get(print))
        .route("/print/chop", get(chop))
        .route("/print/frames", get(frames))
        .route("/print/labels", get(labels))
        .route("/print/jobs", get(jobs))
        .route("/print/sheets", get(boards))
        .route("/print/done", post(printed))
}

/// The pages of the office: where, what is done there, and what it is for.
const PAGES: [(&str, &str, &str); 9] = [
    ("/rack", "Rack", "find sticks and offcuts, their age and worth"),
    ("/count", "Stock-take", "walk past a place with a phone"),
    ("/order", "Orders", "what lacks, what is on order, what came"),
    ("/invoice", "Invoice", "a bill against its order"),
    ("/print", "Print", "chop sheets, labels, jobs, boards and glass, letters"),
    ("/files", "Files", "mouldings, frames, suppliers, prices"),
    ("/figures", "Figures", "yield, offcuts, what was paid"),
    ("/steps", "Steps", "who did what, and undo"),
    ("/devices", "Devices", "pair one, or take one off"),
];

async fn office(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::show(site, visit, |site, visit| {
        let main = html! {
            h1 { "Office" }
            (promised::not_kept(visit, &*site.today()?, true))
            ol.fetch { @for (way, name, what) in PAGES {
                li { a href=(way) { b.label { (name) } span.facts { (what) } span.place {} } }
            } }
        };
        Ok(Screen::new("Office", main))
    })
    .await
}

/// What is read from a screen is as large as on the other pages, and as dark; a chart stays
/// a sheet of paper, since its key speaks of black, grey and white.
const ON_SCREEN: &str = "<style>
@media screen {
  body { font-size: 6mm; max-width: 270mm; padding: 3mm; }
  .top { flex-wrap: wrap; }
  .top p, .sum, .chart p { font-size: 6mm; }
  .chart h2 { font-size: 7mm; }
  .bar { font-size: 6mm; background: #fff; color: #000; padding: 0 2mm; }
  .back { display: inline-flex; align-items: center; min-height: 15mm; padding: 0 5mm; border: 0.6mm solid;
    border-radius: 2mm; color: inherit; font-weight: bold; text-decoration: none; }
}
@media screen and (prefers-color-scheme: dark) {
  body { background: #111; color: #fff; }
  .top { border-color: #fff; }
}
@media print { .back { display: none; } }
</style>
";

/// The way back from a sheet that is looked at.
const BACK: &str = "<a class=\"back\" href=\"/office\">OFFICE</a>";

/// The same page with charts that the command writes.
async fn figures(State(site): State<Arc<Site>>) -> Response {
    page::aside(move || {
        let (figures, shop) = site.look(|book| Ok((book.figures()?, book.shop()?)))?;
        let page = pages::figures_html(&figures, &shop);
        let page = page.replacen("</head>", &format!("{ON_SCREEN}</head>"), 1);
        Ok(reply::sheet(page.replacen("<body>", &format!("<body>{BACK}"), 1)))
    })
    .await
}

/// The sticks and offcuts whose labels were never printed as they are now.
fn unprinted(book: &Book) -> Result<Vec<OnRack>, BookError> {
    let mut rack = book.rack(&RackQuery::default())?;
    rack.retain(|on| on.job.is_none());
    book.unprinted(&rack)
}

async fn print(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::show(site, visit, |site, visit| {
        let today = site.today()?;
        let (new, mut orders) = site.look(|book| Ok((unprinted(book)?, book.open_lines()?)))?;
        orders.dedup_by_key(|line| line.order);
        let ids: Vec<&str> = new.iter().map(|on| on.stick.id.as_str()).collect();
        let main = html! {
            h1 { "Print" }
            @for (at, _) in &today.plans {
                p.keys {
                    a.big href=(format!("/print/chop?plan={}", at.job)) target="_blank" { "CHOP SHEET of plan " (at.job) }
                    a.big href=(format!("/print/frames?plan={}", at.job)) target="_blank" { "LABELS of its frames and offcuts" }
                    @if !today.shop.jobs.is_empty() && visit.may_see("/print/jobs") {
                        a.big href=(format!("/print/jobs?plan={}", at.job)) target="_blank" { "JOB TICKETS of plan " (at.job) }
                    }
                }
            }
            @if !today.shop.jobs.is_empty() {
                p.keys { a.big href="/print/sheets" target="_blank" { "BOARDS AND GLASS of the pile's jobs" } }
            }
            h2 { "Labels for the rack" }
            @if new.is_empty() { p { "Every label is printed." } }
            @else {
                p { (words::count(new.len(), "label is", "labels are")) " new: " (ids.join(", ")) }
                p.keys { a.big.go href="/print/labels" target="_blank" { "SHOW THEM TO PRINT" } }
                (form(visit, "/print/done", &html! {
                    @for on in &new { input type="hidden" name="label" value=(on.stick.id); }
                    button { "THEY ARE PRINTED" }
                }))
            }
            @if visit.may_see("/order/letters") {
                h2 { "Letters" }
                @if orders.is_empty() { p { "Nothing is on order." } }
                p.keys { @for line in &orders {
                    a.big href=(format!("/order/letters/{}", line.order)) { "ORDER " (line.order) }
                } }
            }
            @if visit.may_see("/figures") { p.keys { a.big href="/figures" target="_blank" { "FIGURES" } } }
        };
        Ok(Screen::new("Print", main))
    })
    .await
}

/// The chop sheet of what is at the bench now.
async fn chop(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    cards(site, visit, "chop.html").await
}

/// The tickets of its jobs, with what they cost.
async fn jobs(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    cards(site, visit, "jobs.html").await
}

/// What the jobs on the pile want of boards and glass, cut from what stands there.
async fn boards(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::aside(move || {
        if let Some(text) = site.plans.answer::<String>(visit.query("plan")) {
            return Ok(reply::sheet(told(&visit, String::clone(&text))));
        }
        let (version, date) = (site.look(Book::version)?, site.now()?.date());
        let key = format!("sheets {version} {date}");
        let to = format!("/print/sheets?plan={}", spelt(&key));
        Ok(reply::go(&site.plans.ask(&key, "Boards and glass are laid out", move |site, _| {
            let shop = site.look(Book::snapshot)?.shop;
            let (plans, left_out) = boards_of_jobs(site, &shop, date, &SheetsComing::new())?;
            let page = sheets_html::page(&plans, left_out.as_deref(), &shop, date);
            Ok(Planned::Answer { answer: Arc::new(page), to })
        })))
    })
    .await
}

/// The labels of its offcuts and of its frames' rails.
async fn frames(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    cards(site, visit, "labels.html").await
}

async fn cards(site: Arc<Site>, visit: Visit, name: &'static str) -> Response {
    page::aside(move || {
        let today = site.today()?;
        let asked = visit.query("plan");
        let mut plans = today.plans.iter().map(|(at, _)| at);
        let Some(at) = plans.find(|at| at.job.to_string() == asked) else {
            return Err(BookError::Wrong("that plan is not at the bench any more".to_owned()));
        };
        let sheets = sheets(&site, &today.shop, at)?;
        let own = sheets.into_iter().find(|(own, _)| *own == name);
        Ok(reply::sheet(told(&visit, own.map(|(_, text)| text).unwrap_or_default())))
    })
    .await
}

fn sheets(
    site: &Site,
    shop: &crate::shop::Shop,
    at: &AtBench,
) -> Result<Vec<(&'static str, String)>, BookError> {
    let all: Vec<CutStick> = at.sticks.iter().map(|stick| stick.card.clone()).collect();
    let schedule = of_bench(&all, &at.planned, shop);
    let odd = || BookError::Damaged(format!("{:?} is no day", at.date));
    let date = at.date.parse().map_err(|_| odd())?;
    let title = format!("Chop sheet, plan {}", at.job);
    let heading = Heading { title, note: words::sheet_note(at) };
    let plan = Plan { warnings: at.warnings.clone(), ..Plan::of_sticks(shop, date, all) };
    let mut sheets = report::cards(&heading, &plan, shop, &schedule);
    if !shop.jobs.is_empty() {
        let jobs = report::jobs_today(&plan, shop);
        let jobs = jobs.map_err(|faults| BookError::Damaged(faults.join("; ")))?;
        let lacking = lacking_of(site, shop, &jobs)?;
        sheets.push(("jobs.html", job_html::jobs(&jobs, &lacking, plan.date, shop)));
    }
    Ok(sheets)
}

async fn labels(State(site): State<Arc<Site>>) -> Response {
    page::aside(move || {
        let new = site.look(unprinted)?;
        Ok(reply::sheet(pages::labels(&site.today()?.shop, (&new, &[]), None)))
    })
    .await
}

/// Those that were shown are printed: which, the form says.
async fn printed(State(site): State<Arc<Site>>, press: Press) -> Response {
    page::aside(move || {
        let shown: Vec<&str> = press.all("label").collect();
        site.write(|book| {
            let mut new = unprinted(book)?;
            new.retain(|on| shown.contains(&on.stick.id.as_str()));
            book.printed((&new, &[]))
        })?;
        Ok(reply::go("/print"))
    })
    .await
}
