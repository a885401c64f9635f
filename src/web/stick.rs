//! One stick: what it is, what ever happened to it, and what is found to be otherwise.
//! A label's square code leads here, where the shop has given its page's address.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, State};
use axum::response::Response;
use axum::routing::{get, post};
use maud::{Markup, html};

use super::bench::end;
use super::form::{form, spelt};
use super::page::{self, Screen};
use super::press::{self, Press};
use super::rack::{lists, way};
use super::site::Site;
use super::sure;
use super::today::Today;
use super::visit::Visit;
use crate::book::{
    BenchStick, Book, BookError, Correction, Event, History, OnRack, RackQuery, words,
};
use crate::measure::{Length, parse_length};
use crate::shop::write::{exact, flaws};
use crate::shop::{Flaw, Settings, Shop, read_code, read_flaws, read_words, shown};

pub(super) fn routes() -> Router<Arc<Site>> {
    Router::new()
        .route("/s/{label}", get(stick))
        .route("/s/{label}/correct", post(corrected))
        .route("/s/{label}/flaw", post(flawed))
        .route("/s/{label}/scrap", post(scrapped))
}

async fn stick(State(site): State<Arc<Site>>, Path(label): Path<String>, visit: Visit) -> Response {
    page::show(site, visit, move |site, visit| {
        let today = site.today()?;
        let shop = &today.shop;
        let spare = site.look(|book| book.spare())?;
        if let Some((lay, rail)) = spare.iter().find(|(_, rail)| rail.spare_label().eq_ignore_ascii_case(&label)) {
            let label = rail.spare_label();
            let main = html! {
                p.where { b.label { (label) } span { "spare rail" } }
                p.words { (shop.settings.style().show_unit(rail.to - rail.from)) " of " (lay.moulding)
                    ", cut from " (lay.stick) ". The next plan that can use it takes it." }
                (write_off(visit, &label))
            };
            return Ok(Screen::new(label, main));
        }
        let history = site.look(|book| book.history(&label))?;
        let rack = site.look(|book| book.rack(&RackQuery::default()))?;
        let on = rack.into_iter().find(|on| on.stick.id == history.stick);
        let sticks = today.plans.iter().flat_map(|(at, _)| &at.sticks);
        let mut begun = sticks.filter(|stick| stick.is_cut);
        let end = end(begun.all(|stick| stick.lay.stick != history.stick));
        let main = html! {
            (is_now((shop, end), &history, on.as_ref()))
            @if let Some(on) = &on {
                (at_bench(visit, (&today, on)))
                @if visit.may_press(&way(&on.stick.id)) {
                    (otherwise(visit, (shop, end), on, laid(&today, on).is_some()))
                    (lists(&today))
                }
            }
            (family(shop, &history))
            (happened(shop, &history.events))
        };
        Ok(Screen::new(history.stick.clone(), main))
    })
    .await
}

fn is_now((shop, end): (&Shop, &str), history: &History, on: Option<&OnRack>) -> Markup {
    let style = shop.settings.style();
    let name = shop.mouldings.get(&history.moulding).map_or("", |moulding| moulding.name.as_str());
    html! {
        p.where { b.label { (history.stick) } span { @match on {
            Some(on) if on.job.is_none() => (on.stick.place),
            Some(_) => "at the bench",
            None => "nothing left",
        } } }
        @if history.left.is_positive() { p.aloud { (style.show_down_unit(history.left)) } }
        p.words { (history.moulding) " " (name)
            @if !history.lot.is_empty() { ", lot " (history.lot) } }
        @if let Some(on) = on {
            @if !on.stick.flaws.is_empty() { p { (words::flaws(shop, &on.stick)) @if end != "marked end" { ", the " (end) } } }
            @if let Some(since) = on.stick.since { p { "On the rack since " (since) } }
        }
    }
}

/// How it is laid out at the bench, if it is.
fn laid<'a>(today: &'a Today, on: &OnRack) -> Option<&'a BenchStick> {
    let mut all = today.plans.iter().flat_map(|(at, _)| &at.sticks);
    all.find(|own| own.lay.stick == on.stick.id)
}

fn at_bench(visit: &Visit, (today, on): (&Today, &OnRack)) -> Markup {
    let label = spelt(&on.stick.id);
    html! {
        p.keys {
            @if let Some(own) = laid(today, on).filter(|_| visit.may_press("/bench/cut")) {
                @if own.is_rest() { a.big.go href=(format!("/bench/stick/{label}/cut")) { "ITS REST" } }
                @else {
                    a.big.go href=(format!("/bench/stick/{label}")) { "CUT IT" }
                    a.big href=(format!("/bench/stick/{label}/flaw")) { "A FLAW SHOWS" }
                }
            }
            a.big href=(format!("/bench/label/{label}")) target="_blank" { "PRINT ITS LABEL" }
        }
    }
}

/// The forms that say what is otherwise; each field as it is now.
fn otherwise(visit: &Visit, (shop, end): (&Shop, &str), on: &OnRack, is_laid: bool) -> Markup {
    let (stick, settings) = (&on.stick, &shop.settings);
    let to = |what: &str| format!("{}/{what}", way(&stick.id));
    let (length, zones) = (exact(stick.length, settings), flaws(&stick.flaws, settings));
    let fields = [
        ("Length, tip to tip along the back edge", "length", length.as_str(), ""),
        ("Place", "place", &stick.place, "places"),
        ("Lot", "lot", &stick.lot, ""),
        (&format!("Flaws from the {end}"), "flaws", &zones, ""),
        ("Moulding", "moulding", &stick.moulding, "mouldings"),
    ];
    html! {
        details {
            summary { "It is otherwise" }
            (form(visit, &to("correct"), &html! {
                div.fields { @for (what, name, is, list) in fields {
                    input type="hidden" name=(format!("was-{name}")) value=(is);
                    label { (what) input name=(name) value=(is) list=[Some(list).filter(|list| !list.is_empty())]; }
                } }
                button.go { "CORRECT IT" }
            }))
        }
        // At the bench it is tapped.
        @if !is_laid {
            details {
                summary { "A flaw shows" }
                (form(visit, &to("flaw"), &html! {
                    label { "Where, from the " (end) input name="flaws" placeholder="14 1/2 .. 16" required; }
                    button.go { "WRITE IT DOWN" }
                }))
            }
        }
        (write_off(visit, &stick.id))
    }
}

fn write_off(visit: &Visit, label: &str) -> Markup {
    let to = format!("{}/scrap", way(label));
    html! {
        @if visit.may_press(&to) {
            details {
                summary { "It is gone, or of no use" }
                (form(visit, &to, &html! { button { "WRITE OFF " (label) } }))
            }
        }
    }
}

fn family(shop: &Shop, history: &History) -> Markup {
    let style = shop.settings.style();
    html! {
        @if !history.parents.is_empty() || !history.offcuts.is_empty() {
            h2 { "Family" }
            p.keys {
                @for parent in &history.parents { a.big href=(way(parent)) { "from " (parent) } }
                @for (label, left) in &history.offcuts {
                    a.big href=(way(label)) { "became " (label)
                        @if left.is_positive() { ", " (style.show_down_unit(*left)) } @else { ", nothing left" } }
                }
            }
        }
    }
}

fn happened(shop: &Shop, events: &[Event]) -> Markup {
    let style = shop.settings.style();
    let moved = |event: &Event| match event.length == Length::ZERO {
        true => event.what_for.clone(),
        false if event.length.is_positive() => format!("+{}", style.show_unit(event.length)),
        false => style.show_unit(event.length),
    };
    html! {
        h2 { "What happened" }
        ul.plain {
            @for event in events.iter().rev() {
                li { (event.at.get(..16).unwrap_or_default().replace('T', " ")) " " b { (event.what) } " "
                    (event.kind) " " (moved(event))
                    @if !event.who.is_empty() { " by " (event.who) }
                    @if !event.why.is_empty() { ": " (event.why) } }
            }
        }
    }
}

/// What was changed in the form; all that is wrong with it at once.
fn correction(press: &Press, settings: &Settings) -> Result<Correction, BookError> {
    let mut faults = Vec::new();
    let changed = |name: &str| {
        let (was, is) = (press.text(&format!("was-{name}")).trim(), press.text(name).trim());
        (was != is).then(|| is.to_owned())
    };
    let length = changed("length").and_then(|text| match parse_length(&text, settings.unit) {
        Ok(length) => Some(length),
        Err(fault) => {
            faults.push(format!("length: \"{}\" {fault}", shown(&text)));
            None
        }
    });
    let zones = changed("flaws").and_then(|text| match text.as_str() {
        "" => Some(Vec::new()),
        some => {
            read_flaws(some, settings).map_err(|fault| faults.push(format!("flaws: {fault}"))).ok()
        }
    });
    let mut said = |name: &str, read: fn(&str) -> Result<String, crate::shop::Mistake>| {
        changed(name).and_then(|text| match text.as_str() {
            "" => Some(text),
            some => read(some).map_err(|fault| faults.push(format!("{name}: {fault}"))).ok(),
        })
    };
    let (lot, place) = (said("lot", read_code), said("place", read_words));
    let moulding = said("moulding", read_code);
    let correction = Correction { length, lot, place, flaws: zones, moulding };
    if faults.is_empty() && correction == Correction::default() {
        faults.push("nothing was said to be otherwise (change a field, then press)".to_owned());
    }
    if faults.is_empty() { Ok(correction) } else { Err(BookError::Wrong(faults.join("\n"))) }
}

/// Whether its length is far from what it was; nothing where something is wrong with it.
fn doubt(book: &Book, press: &Press, label: &str) -> Result<Vec<String>, BookError> {
    let shop = book.shop()?;
    let Ok(Correction { length: Some(is), .. }) = correction(press, &shop.settings) else {
        return Ok(Vec::new());
    };
    let rack = book.rack(&RackQuery::default())?;
    let on = rack.into_iter().find(|on| on.stick.id.eq_ignore_ascii_case(label));
    Ok(on
        .and_then(|on| words::too_far(&shop, &on.stick.id, (is, on.stick.length)))
        .into_iter()
        .collect())
}

async fn corrected(
    State(site): State<Arc<Site>>,
    Path(label): Path<String>,
    press: Press,
) -> Response {
    let (to, own) = (way(&label), label.clone());
    let ask = (format!("{to}/correct"), "YES, THAT IS ITS LENGTH");
    let doubts = move |book: &Book, press: &Press| doubt(book, press, &own);
    sure::saying(site, press, (to, ask), doubts, move |book, press, stamp| {
        let shop = book.shop()?;
        let corrected = book.correct(&label, &correction(press, &shop.settings)?, stamp)?;
        Ok(words::corrected_words((book.path(), &label), &shop, &corrected))
    })
    .await
}

async fn flawed(
    State(site): State<Arc<Site>>,
    Path(label): Path<String>,
    press: Press,
) -> Response {
    press::step(site, press, way(&label), move |book, press, stamp| {
        let typed = press.text("flaws");
        let found: Vec<Flaw> = read_flaws(typed, &book.shop()?.settings)
            .map_err(|fault| BookError::Wrong(format!("\"{}\" {fault}", shown(typed))))?;
        book.flaw(&label, &found, stamp).map(drop)
    })
    .await
}

async fn scrapped(
    State(site): State<Arc<Site>>,
    Path(label): Path<String>,
    press: Press,
) -> Response {
    press::saying(site, press, "/rack".to_owned(), move |book, _, stamp| {
        let shop = book.shop()?;
        let all = book.scrap(&[label], stamp)?;
        let each = all.iter().map(|one| words::scrapped_words(book.path(), &shop, one));
        Ok(each.collect::<Vec<_>>().join("\n"))
    })
    .await
}
