//! The rack: found by moulding, lot, place and length, with age and worth; and what does
//! not move.

use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;
use jiff::ToSpan;
use jiff::civil::Date;
use maud::{Markup, html};

use super::form::spelt;
use super::page::{self, Screen};
use super::plans::Planned;
use super::reply;
use super::site::Site;
use super::today::Today;
use super::visit::Visit;
use crate::book::{Book, OnRack, RackQuery, unsound, words};
use crate::fits::{UsualSizes, makes_telling};
use crate::measure::{Worth, parse_length};
use crate::morning::remake::worth;
use crate::report::either::pressed;
use crate::report::fits_text::makes_words;
use crate::shop::{Shop, Stick, shown};

pub(super) fn routes() -> Router<Arc<Site>> {
    Router::new()
        .route("/rack", get(rack))
        .route("/rack/clear", get(clear))
        .route("/s", get(scanned))
}

/// So many are shown at once.
const MOST: usize = 120;

/// A label that was scanned or typed, which may be an address that ends in it.
async fn scanned(visit: Visit) -> Response {
    let label = visit.query("q").trim().rsplit('/').next().unwrap_or_default();
    reply::go(&if label.is_empty() { "/rack".to_owned() } else { way(label) })
}

/// Where a stick's page is.
pub(super) fn way(label: &str) -> String {
    format!("/s/{}", spelt(label))
}

async fn rack(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::show(site, visit, |site, visit| {
        let today = site.today()?;
        let date = site.now()?.date();
        let mut faults = Vec::new();
        let query = wanted(visit, &today.shop, date, &mut faults);
        let rack =
            if faults.is_empty() { site.look(|book| book.rack(&query))? } else { Vec::new() };
        let main = html! {
            h1 { "Rack" }
            form.ask method="get" action="/s" {
                label { "Scan or type a label" input name="q" autocapitalize="characters"
                    spellcheck="false" autofocus; }
                button { "SHOW" }
            }
            @if !faults.is_empty() {
                div.framed role="alert" { @for fault in &faults { p { (fault) } } }
            }
            p.keys {
                a.big href="/order" { "WHAT CAME" }
                a.big href="/count" { "STOCK-TAKE" }
                a.big href="/print" { "PRINT" }
            }
            (asked(visit, &today))
            @if faults.is_empty() {
                @if query.since.is_some() && !rack.is_empty() {
                    p.keys { a.big href=(format!("/rack/clear?idle={}", spelt(visit.query("idle")))) { "WHAT THEY ARE GOOD FOR" } }
                }
                (listed(&today.shop, &rack, (date, visit.may_see("/figures"))))
            }
        };
        Ok(Screen::new("Rack", main))
    })
    .await
}

/// What has not moved for so long, and what each makes by itself.
async fn clear(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::aside(move || {
        let (today, date) = (site.today()?, site.now()?.date());
        let mut faults = Vec::new();
        let query = wanted(&visit, &today.shop, date, &mut faults);
        if !faults.is_empty() || query.since.is_none() {
            return Ok(reply::go("/rack"));
        }
        let idle = site.look(|book| book.rack(&query))?;
        if let Some(makes) = site.plans.answer::<UsualSizes>(visit.query("plan")) {
            let main = cleared(&today.shop, &idle, &makes);
            return page::whole(&site, &visit, Screen::new("To clear", main));
        }
        let version = site.look(Book::version)?;
        let key = format!("clear {version} {date} {}", visit.query("idle"));
        let to = format!("/rack/clear?idle={}&plan={}", spelt(visit.query("idle")), spelt(&key));
        let what = "What does not move, and what it is good for";
        Ok(reply::go(&site.plans.ask(&key, what, move |site, bounds| {
            let shop = &site.today()?.shop;
            let free = idle.into_iter().filter(|on| on.job.is_none());
            let sticks: Vec<Stick> = free.map(|on| on.stick).collect();
            let told = |done, all| bounds.tell(done, all);
            let found = bounds.plan(|limits| makes_telling(shop, &sticks, (&limits, &told)));
            let found = found.map_err(|faults| unsound(&faults))?;
            Ok(Planned::Answer { answer: Arc::new(found), to })
        })))
    })
    .await
}

fn cleared(shop: &Shop, idle: &[OnRack], makes: &UsualSizes) -> Markup {
    html! {
        h1 { "To clear" }
        p { "Offer what makes something for small or undated frames. The rest is of use beside other \
            sticks only: write it off if you need the room." }
        ol.fetch { @for on in idle {
            @let sizes = makes.get(&on.stick.id).map(Vec::as_slice);
            li { a href=(way(&on.stick.id)) {
                b.label { (on.stick.id) }
                span.facts { b { (on.stick.moulding) } " " (pressed(&makes_words(sizes, on.job.is_some(), shop))) }
                span.place { (on.stick.place) }
            } }
        } }
        p.keys { a.big href="/rack" { "RACK" } }
    }
}

fn wanted(visit: &Visit, shop: &Shop, today: Date, faults: &mut Vec<String>) -> RackQuery {
    let said =
        |name: &str| Some(visit.query(name).trim().to_owned()).filter(|text| !text.is_empty());
    let moulding = said("moulding").and_then(|typed| match shop.meant_moulding(&typed) {
        Ok(moulding) => Some(moulding.id.clone()),
        Err(fault) => {
            faults.push(format!("moulding: {fault}"));
            None
        }
    });
    let at_least = said("least").and_then(|typed| match parse_length(&typed, shop.settings.unit) {
        Ok(length) => Some(length),
        Err(fault) => {
            faults.push(format!("at least: \"{}\" {fault}", shown(&typed)));
            None
        }
    });
    let since = said("idle").and_then(|typed| {
        let months = typed.parse::<u16>().ok().filter(|months| (1..=600).contains(months));
        let day = months.and_then(|months| today.checked_sub(i64::from(months).months()).ok());
        if day.is_none() {
            faults.push(format!("not moved for: \"{}\" is no number of months", shown(&typed)));
        }
        day
    });
    RackQuery { moulding, lot: said("lot"), place: said("place"), at_least, since }
}

fn asked(visit: &Visit, today: &Today) -> Markup {
    let fields = ["moulding", "lot", "place", "least", "idle"];
    let is_asked = fields.iter().any(|name| !visit.query(name).is_empty());
    html! {
        details open[is_asked] {
            summary { "Find" }
            form.ask method="get" action="/rack" autocomplete="off" {
                div.fields {
                    label { "Moulding" input name="moulding" value=(visit.query("moulding")) list="mouldings"; }
                    label { "Lot" input name="lot" value=(visit.query("lot")); }
                    label { "Place" input name="place" value=(visit.query("place")) list="places"; }
                    label { "At least" input name="least" value=(visit.query("least")); }
                    label { "Not moved for months" input name="idle" inputmode="numeric" value=(visit.query("idle")); }
                }
                button.go { "FIND" }
            }
            (lists(today))
        }
    }
}

/// What fields of mouldings and of places propose.
pub(super) fn lists(today: &Today) -> Markup {
    html! {
        datalist #mouldings {
            @for moulding in today.shop.mouldings.values() { option value=(moulding.id) { (moulding.name) } }
        }
        datalist #places { @for place in &today.places { option value=(place) {} } }
    }
}

/// What is there; what it is worth is the office's to see.
fn listed(shop: &Shop, rack: &[OnRack], (today, with_worth): (Date, bool)) -> Markup {
    let settings = &shop.settings;
    let worths: Vec<Option<Worth>> = rack
        .iter()
        .map(|on| {
            let priced = with_worth && shop.moulding(&on.stick.moulding).price.is_some();
            priced.then(|| worth(shop, &on.stick.moulding, on.stick.length))
        })
        .collect();
    let total: Worth = worths.iter().flatten().copied().sum();
    html! {
        p.words { (words::count(rack.len(), "stick or offcut", "sticks and offcuts"))
            @if with_worth { ", worth " (settings.currency.show(total.to_money())) " " (settings.currency.code()) } }
        ol.fetch {
            @for (on, worth) in rack.iter().zip(&worths).take(MOST) {
                li { a href=(way(&on.stick.id)) {
                    b.label { (on.stick.id) }
                    span.facts {
                        b { (on.stick.moulding) " " (settings.style().show_down_unit(on.stick.length)) }
                        @if !on.stick.lot.is_empty() { " lot " (on.stick.lot) }
                        @if let Some(since) = on.stick.since { ", " (words::age(since, today)) }
                        @if let Some(worth) = worth { ", " (settings.currency.show(worth.to_money())) }
                        @if !on.stick.flaws.is_empty() { ", " (words::flaws(shop, &on.stick)) }
                    }
                    span.place { @match on.job { Some(job) => { "bench, plan " (job) }, None => (on.stick.place) } }
                } }
            }
        }
        @if rack.len() > MOST { p { "And " (rack.len() - MOST) " more: say more of what is wanted." } }
    }
}
