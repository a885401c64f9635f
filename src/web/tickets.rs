//! Tickets: found by number or by what is noted on them, where each stands and why it
//! waits, cancelled, made anew.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, State};
use axum::response::Response;
use axum::routing::{get, post};
use jiff::civil::Date;
use maud::{Markup, html};

use super::counter::days;
use super::form::{form, spelt};
use super::joiner::{glue_holds, put_back};
use super::kept;
use super::page::{self, Screen};
use super::plans::Planned;
use super::press::{self, Press};
use super::reply;
use super::site::Site;
use super::stands::{left_over, stand_words};
use super::visit::Visit;
use crate::book::{Book, BookError, CopyStand, Which, unsound, words};
use crate::quote::another_size;
use crate::rails::Side;
use crate::report::words::size;
use crate::report::{name, why_text};
use crate::shop::{Frame, Shop, read_day};
use crate::why::why_telling;

pub(super) fn routes() -> Router<Arc<Site>> {
    Router::new()
        .route("/ticket", get(find))
        .route("/ticket/{id}", get(ticket))
        .route("/ticket/{id}/why", get(asked_why))
        .route("/ticket/{id}/change", post(changed))
        .route("/ticket/{id}/cancel", post(cancelled))
        .route("/ticket/{id}/remake", post(remade))
}

/// So many are shown at once.
const MOST: usize = 60;

fn way(id: &str) -> String {
    format!("/ticket/{}", spelt(id))
}

/// The tickets that are meant, those that are wanted first at the front.
async fn find(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::show(site, visit, |site, visit| {
        let today = site.today()?;
        let typed = visit.query("q").trim().to_lowercase();
        let is_meant = |frame: &&Frame| {
            frame.id.to_lowercase().contains(&typed) || frame.note.to_lowercase().contains(&typed)
        };
        let mut meant: Vec<&Frame> = today.shop.frames.iter().filter(is_meant).collect();
        meant.sort_by_key(|frame| {
            (frame.id.to_lowercase() != typed, frame.due.is_none(), frame.due)
        });
        let main = html! {
            h1 { "Tickets" }
            form.ask method="get" action="/ticket" {
                label { "Number, customer or anything noted"
                    input type="search" name="q" value=(visit.query("q")); }
                button.go { "FIND" }
            }
            @if meant.is_empty() { p.words { "No ticket has that in its number or note." } }
            ol.fetch { @for frame in meant.iter().take(MOST) { (row(&today.shop, frame)) } }
            @if meant.len() > MOST { p { "And " (meant.len() - MOST) " more: say more of it." } }
        };
        Ok(Screen::new("Tickets", main))
    })
    .await
}

fn row(shop: &Shop, frame: &Frame) -> Markup {
    html! {
        li { a href=(way(&frame.id)) {
            b.label { (frame.id) }
            span.facts { (frame.note) " " (described(shop, frame)) }
            span.place { (due(frame)) }
        } }
    }
}

fn due(frame: &Frame) -> String {
    match frame.due {
        Some(due) if frame.promised => format!("promised {}", due.strftime("%a %-d %b")),
        Some(due) => format!("due {}", due.strftime("%a %-d %b")),
        None => String::new(),
    }
}

/// `2 x BLK-20, 16 x 20 in`.
fn described(shop: &Shop, frame: &Frame) -> String {
    let layers: Vec<&str> = frame.layers.iter().map(|layer| layer.moulding.as_str()).collect();
    let copies = if frame.copies > 1 { format!("{} x ", frame.copies) } else { String::new() };
    let size = size(frame, &shop.settings.style());
    format!("{copies}{}, {size}", layers.join(" + "))
}

/// One ticket: what it is, where its copies are, and what can be done with it.
async fn ticket(State(site): State<Arc<Site>>, Path(id): Path<String>, visit: Visit) -> Response {
    page::show(site, visit, move |site, visit| {
        let today = site.today()?;
        let shop = &today.shop;
        let frame = shop.find_frame(&id)?;
        let (stands, date) = (site.look(|book| book.copies_of(frame))?, site.now()?.date());
        let work = site.look(|book| book.in_work(date))?;
        let is_on = |states: &[&str]| stands.iter().any(|of| states.contains(&of.state.as_str()));
        let main = html! {
            p.where { b.label { (frame.id) } span { (due(frame)) } }
            (kept::said(site, visit))
            @if !frame.note.is_empty() { p.words { (frame.note) } }
            p.words { (described(shop, frame)) }
            table { tbody { @for of in &stands { tr {
                td { (words::ticket(shop, &frame.id, of.copy)) }
                td { (stand_words(&today, &work, frame, of)) }
            } } } }
            @for of in stands.iter().filter(|of| of.is_made()) { (glue_holds(site, shop, (&frame.id, of.copy))?) }
            (left_over(site, shop, frame)?)
            @if is_on(&["", "owed"]) {
                p.keys {
                    a.big.go href=(format!("{}/why", way(&id))) { "WHY IT WAITS" }
                    @if visit.may_press("/bench/take") && today.plans.is_empty() {
                        (form(visit, "/bench/take", &html! {
                            input type="hidden" name="first" value=(frame.id);
                            button { "PLAN THE MORNING WITH IT FIRST" }
                        }))
                    }
                }
            }
            @if is_on(&["", "bench", "owed"]) { (otherwise(visit, shop, frame, date)) }
            @if is_on(&["bench", "owed", "chopped", "bought"]) { (remake(visit, shop, frame, &stands)) }
            @for of in stands.iter().filter(|of| of.state == "bench") {
                @let begun = work.iter().any(|one| (&one.frame, one.copy) == (&frame.id, of.copy) && !one.rails.is_empty());
                @if !begun { (put_back(visit, shop, &frame.id, of.copy)) }
            }
            @if is_on(&["", "bench", "owed"]) { (cancel(visit, shop, frame, &stands)) }
            p { a.big href="/ticket" { "ALL TICKETS" } }
        };
        Ok(Screen::new(format!("Ticket {id}"), main))
    })
    .await
}

fn copies(
    shop: &Shop,
    frame: &Frame,
    stands: &[CopyStand],
    states: &[&str],
    is_all: bool,
) -> Markup {
    // What is joined is not cancelled.
    let is_meant =
        |of: &&CopyStand| states.contains(&of.state.as_str()) && !(is_all && of.is_made());
    let own: Vec<u32> = stands.iter().filter(is_meant).map(|of| of.copy).collect();
    html! {
        @match own.as_slice() {
            [only] if frame.copies == 1 || !is_all => input type="hidden" name="copy" value=(only);
            _ => {
                label { "Which" select name="copy" {
                    @if is_all { option value="" { "all of " (frame.id) } }
                    @for copy in &own { option value=(copy) { (words::ticket(shop, &frame.id, *copy)) } }
                } }
            }
        }
    }
}

fn cancel(visit: &Visit, shop: &Shop, frame: &Frame, stands: &[CopyStand]) -> Markup {
    html! {
        details {
            summary { "Cancel" }
            @let made: Vec<String> = stands.iter().filter(|of| of.is_made())
                .map(|of| words::ticket(shop, &frame.id, of.copy)).collect();
            @if !made.is_empty() {
                p.words { "Joined, and not cancelled: " (made.join(", ")) ". Its rails are nobody else's: keep it as a made frame." }
            }
            @if stands.iter().any(|of| matches!(of.state.as_str(), "" | "bench" | "owed") && !of.is_made()) {
            p { "Nothing more is cut or ordered for it; what is cut is spare. What others have on the \
                sticks that it shares stays there and moves up." }
            (form(visit, &format!("{}/cancel", way(&frame.id)), &html! {
                (copies(shop, frame, stands, &["", "bench", "owed"], true))
                button { "CANCEL " (frame.id) }
            }))
            }
        }
    }
}

fn remake(visit: &Visit, shop: &Shop, frame: &Frame, stands: &[CopyStand]) -> Markup {
    html! {
        details {
            summary { "Remake" }
            p { "What is damaged goes to the top of the pile." }
            (form(visit, &format!("{}/remake", way(&frame.id)), &html! {
                (copies(shop, frame, stands, &["bench", "owed", "chopped", "bought"], false))
                @if frame.layers.len() > 1 {
                    label { "Layer" select name="layer" {
                        option value="" { "all" }
                        @for layer in 1..=frame.layers.len() { option value=(layer) { (layer) " " (frame.layers[layer - 1].moulding) } }
                    } }
                }
                label { "Rail" select name="side" {
                    option value="" { "the whole frame" }
                    @for side in Side::all(frame.mitre) { option value=(side) { (name::side(side)) } }
                } }
                button { "REMAKE" }
            }))
        }
    }
}

/// Another size or day; and the day made today, so that it is cut before all others.
fn otherwise(visit: &Visit, shop: &Shop, frame: &Frame, today: Date) -> Markup {
    let to = format!("{}/change", way(&frame.id));
    html! {
        details {
            summary { "Another size or day" }
            p { "Of another size, what is cut of it is spare and it goes back to the pile. Another day is \
                wanted, and not promised: ask at the counter what can be." }
            (form(visit, &to, &html! {
                div.fields {
                    label { "Size, where it is another" input name="size" placeholder=(size(frame, &shop.settings.style())); }
                    label { "Wanted, where it is another day" input name="due" list="days" placeholder="Thursday, or a date"; }
                }
                button.go { "CHANGE IT" }
            }))
            @if frame.due != Some(today) {
                (form(visit, &to, &html! {
                    input type="hidden" name="due" value="today";
                    button { "RUSH: WANTED TODAY" }
                }))
            }
            (days())
        }
    }
}

/// All that is wrong with it at once.
async fn changed(State(site): State<Arc<Site>>, Path(id): Path<String>, press: Press) -> Response {
    page::aside(move || {
        let (shop, today, to) = (site.look(Book::shop)?, site.now()?.date(), way(&id));
        let frame = match shop.find_frame(&id) {
            Ok(frame) => frame,
            Err(unknown) => return press::refused(&site, &press, &to, &unknown.to_string()),
        };
        let mut wrong = Vec::new();
        let said = |name: &str| Some(press.text(name).trim()).filter(|text| !text.is_empty());
        let size = said("size").and_then(|text| {
            let read = another_size(text, frame, &shop);
            read.map_err(|fault| wrong.push(format!("size: {fault}"))).ok()
        });
        let due = said("due").and_then(|text| {
            let read = read_day(text, today);
            read.map_err(|fault| wrong.push(format!("wanted: {fault}"))).ok()
        });
        if !wrong.is_empty() {
            return press::refused(&site, &press, &to, &wrong.join("\n"));
        }
        kept::changed(&site, &press, (frame, to), |book, _, stamp| {
            let changed = book.change_ticket(&id, (size, due), stamp)?;
            let now = book.shop()?;
            let price = size.map(|_| words::price_words(&now, frame, today));
            Ok(words::ticket_words(&now, &id, &changed) + &price.unwrap_or_default())
        })
    })
    .await
}

async fn cancelled(
    State(site): State<Arc<Site>>,
    Path(id): Path<String>,
    press: Press,
) -> Response {
    page::aside(move || {
        kept::cancelled(&site, &press, (&id, way(&id)), |book, press, stamp| {
            let cancelled = book.cancel(&id, copy(press)?, stamp)?;
            Ok(words::cancelled_words((book.path(), &id), &book.shop()?, &cancelled))
        })
    })
    .await
}

async fn remade(State(site): State<Arc<Site>>, Path(id): Path<String>, press: Press) -> Response {
    press::saying(site, press, way(&id), move |book, press, stamp| {
        let layer = press.text("layer").parse().ok();
        let side = Some(press.text("side").to_owned()).filter(|side| !side.is_empty());
        let spoilt = book.spoil_frame(&id, &Which { copy: copy(press)?, layer, side }, stamp)?;
        words::spoiled_words(book, &spoilt)
    })
    .await
}

/// The copy that the form says; none if all are meant.
fn copy(press: &Press) -> Result<Option<u32>, BookError> {
    match press.text("copy") {
        "" => Ok(None),
        copy => copy.parse().map(Some).map_err(|_| {
            BookError::Wrong("there is no such copy (load the page again)".to_owned())
        }),
    }
}

/// Why it waits, and what would change that.
async fn asked_why(
    State(site): State<Arc<Site>>,
    Path(id): Path<String>,
    visit: Visit,
) -> Response {
    page::aside(move || {
        if let Some(lines) = site.plans.answer::<Vec<String>>(visit.query("plan")) {
            let main = html! {
                h1 { "Why " (id) " waits" }
                @for line in lines.iter() { p { (line) } }
                p.keys { a.big href=(way(&id)) { "TICKET " (id) } }
            };
            return page::whole(&site, &visit, Screen::new(format!("Why {id} waits"), main));
        }
        let (version, date) = (site.look(Book::version)?, site.now()?.date());
        let key = format!("why {version} {date} {id}");
        let to = format!("{}/why?plan={}", way(&id), spelt(&key));
        let what = format!("Why {id} waits, and what would change it");
        Ok(reply::go(&site.plans.ask(&key, &what, move |site, bounds| {
            let lines = told(site, bounds, &id, date)?;
            Ok(Planned::Answer { answer: Arc::new(lines), to })
        })))
    })
    .await
}

fn told(
    site: &Site,
    bounds: &super::plans::Bounds,
    id: &str,
    date: Date,
) -> Result<Vec<String>, BookError> {
    let now = site.now()?;
    let shop = site.look(Book::snapshot)?.shop.at(date, now.time());
    let Ok(frame) = shop.find_frame(id) else {
        let taken = site.look(Book::shop)?;
        let id = &taken.find_frame(id)?.id;
        return Ok(vec![format!("{id} does not wait: its ticket says where each copy is.")]);
    };
    let told = |done, all| bounds.tell(done, all);
    let answer = bounds.plan(|limits| why_telling(&shop, date, frame, (&limits, &told)));
    let answer = answer.map_err(|faults| unsound(&faults))?;
    Ok(why_text::why_lines(&answer, &shop))
}
