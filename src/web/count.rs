//! Stock-take, place by place, with a phone in the hand: what should lie there, and for
//! each whether it does.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;
use maud::{Markup, html};

use super::form::form;
use super::page::{self, Screen};
use super::press::{self, Press};
use super::site::Site;
use super::sure;
use super::visit::Visit;
use crate::book::{Book, BookError, Found, OnRack, RackQuery, Stamp, words};
use crate::measure::{Length, parse_length};
use crate::shop::{Settings, shown};

pub(super) fn routes() -> Router<Arc<Site>> {
    Router::new().route("/count", get(count).post(counted))
}

/// So many more than the book has are named at once.
const MORE: usize = 6;

fn way(place: &str) -> String {
    let mut query = form_urlencoded::Serializer::new("/count?".to_owned());
    query.append_pair("place", place);
    query.finish().replace("/count?&", "/count?")
}

async fn count(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::show(site, visit, |site, visit| {
        let place = visit.queries("place").next().map(str::to_owned);
        let main = match place {
            None => {
                let mut rack = site.look(|book| book.rack(&RackQuery::default()))?;
                rack.retain(|on| on.job.is_none());
                places(&rack)
            }
            Some(place) => html! {
                h1 { "Stock-take: " @if place.is_empty() { "no place" } @else { (place) } }
                (one(site, visit, &place, None)?)
            },
        };
        Ok(Screen::new("Stock-take", main))
    })
    .await
}

fn places(rack: &[OnRack]) -> Markup {
    let mut places: BTreeMap<&str, usize> = BTreeMap::new();
    for on in rack {
        *places.entry(&on.stick.place).or_default() += 1;
    }
    html! {
        h1 { "Stock-take" }
        p { "Places to walk past, and how many sticks and offcuts the book has there:" }
        ol.fetch {
            @for (place, count) in places {
                li { a href=(way(place)) {
                    b.label { (count) }
                    span.facts { b { @if place.is_empty() { "no place" } @else { (place) } } }
                    span.place {}
                } }
            }
        }
    }
}

/// The list to walk with, as it was filled in where something was wrong with it: nobody walks
/// twice for one slip. What nothing is said of stays as it is.
fn one(
    site: &Site,
    visit: &Visit,
    place: &str,
    typed: Option<&Press>,
) -> Result<Markup, BookError> {
    let settings = &site.today()?.shop.settings;
    let mut rack = site.look(|book| book.rack(&RackQuery::default()))?;
    rack.retain(|on| on.stick.place == place);
    let (rack, at_bench): (Vec<&OnRack>, Vec<&OnRack>) =
        rack.iter().partition(|on| on.job.is_none());
    let said = |name: &str, nth: usize| -> String {
        let own = typed.and_then(|press| press.all(name).nth(nth).map(str::to_owned));
        own.unwrap_or_default()
    };
    Ok(html! {
        (form(visit, "/count", &html! {
            input type="hidden" name="place" value=(place);
            input type="hidden" name="back" value=(way(place));
            ol.walk {
                @for on in &rack {
                    @let id = &on.stick.id;
                    li {
                        p { b.label { (id) } " " (on.stick.moulding) " "
                            b { (settings.style().show_down_unit(on.stick.length)) }
                            @if !on.stick.lot.is_empty() { " lot " (on.stick.lot) } }
                        @let (is, length) = (format!("is-{id}"), format!("length-{id}"));
                        @for (value, words) in [("there", "THERE"), ("gone", "NOT THERE")] {
                            label.tick { input type="radio" name=(is) value=(value) checked[said(&is, 0) == value]; (words) }
                        }
                        label { "or its length is" input name=(length) inputmode="text" value=(said(&length, 0)); }
                    }
                }
            }
            @if rack.is_empty() { p { "The book has nothing here" @if !at_bench.is_empty() { " but what is at the bench" } "." } }
            @if !at_bench.is_empty() {
                h2 { "From here, and at the bench" }
                p { "They are cut now, and are not counted here." }
                ul.plain { @for on in &at_bench {
                    li { b.label { (on.stick.id) } " " (on.stick.moulding) " "
                        (settings.style().show_down_unit(on.stick.length)) ": at the bench"
                        @if let Some(job) = on.job { ", plan " (job) } }
                } }
            }
            h2 { "There is more" }
            p { "A label, and where it was measured its length: S-202=96 1/2" }
            @for nth in 0..MORE { label { span.unseen { "One more" } input name="more" autocapitalize="characters" spellcheck="false" value=(said("more", nth)); } }
            button.go { "THAT IS WHAT IS HERE" }
        }))
        p { a.big href="/count" { "ALL PLACES" } }
    })
}

/// What was found, as the form says it; all that is wrong at once.
fn found(press: &Press, settings: &Settings) -> Result<Found, BookError> {
    let (mut sticks, mut gone, mut faults) = (BTreeMap::new(), BTreeSet::new(), Vec::new());
    let mut measured = |id: &str, text: &str| -> Option<Length> {
        match parse_length(text, settings.unit) {
            Ok(length) if length.is_positive() => Some(length),
            Ok(_) => {
                faults.push(format!("{}: a stick is longer than nothing", shown(id)));
                None
            }
            Err(fault) => {
                faults.push(format!("{}: \"{}\" {fault}", shown(id), shown(text)));
                None
            }
        }
    };
    let mut twice = Vec::new();
    for (name, text) in press.named().filter(|(_, text)| !text.trim().is_empty()) {
        if let Some(id) = name.strip_prefix("is-") {
            match text {
                "gone" => drop(gone.insert(id.to_owned())),
                _ => drop(sticks.entry(id.to_owned()).or_insert(None)),
            }
        } else if let Some(id) = name.strip_prefix("length-") {
            let length = measured(id, text);
            sticks.insert(id.to_owned(), length);
        } else if name == "more" {
            let (id, length) = match text.rsplit_once('=') {
                Some((id, length)) => (id.trim(), measured(id, length)),
                None => (text.trim(), None),
            };
            // A label's code may be an address that ends in the label.
            let id = id.rsplit('/').next().unwrap_or_default();
            if sticks.insert(id.to_owned(), length).is_some() {
                twice.push(format!("{}: stands there twice (name it once)", shown(id)));
            }
        }
    }
    let both = gone.iter().filter(|id| sticks.contains_key(*id));
    twice.extend(both.map(|id| format!("{id}: is it not there, or how long is it?")));
    faults.extend(twice);
    if faults.is_empty() && sticks.is_empty() && gone.is_empty() {
        faults.push("nothing was said of any stick (tick what you found)".to_owned());
    }
    match faults.is_empty() {
        true => Ok(Found { sticks, gone, ..Found::default() }),
        false => Err(BookError::Wrong(faults.join("\n"))),
    }
}

/// Which lengths are far from what the book has; nothing where something is wrong with them.
fn doubts(book: &Book, press: &Press) -> Result<Vec<String>, BookError> {
    let shop = book.shop()?;
    let Ok(found) = found(press, &shop.settings) else { return Ok(Vec::new()) };
    let rack = book.rack(&RackQuery::default())?;
    let mut doubts = Vec::new();
    for (label, is) in found.sticks.iter().filter_map(|(label, is)| Some((label, (*is)?))) {
        let on = rack.iter().find(|on| on.stick.id.eq_ignore_ascii_case(label));
        doubts.extend(match on {
            Some(on) => words::too_far(&shop, &on.stick.id, (is, on.stick.length)),
            // Of one that is used up nothing is left to compare it with but its moulding.
            None => book.history(label).ok().and_then(|history| {
                let doubt = words::too_long(&shop, &history.moulding, (is, None))?;
                Some(format!("{}: {doubt}", history.stick))
            }),
        });
    }
    Ok(doubts)
}

async fn counted(State(site): State<Arc<Site>>, press: Press) -> Response {
    page::aside(move || {
        let (place, to) = (press.text("place"), way(press.text("place")));
        let doubts = site.look(|book| doubts(book, &press))?;
        let ask = (doubts.as_slice(), sure::MEASURED, "YES, SO LONG THEY ARE");
        if let Some(question) = sure::asked(&site, &press, ("/count", &to), ask)? {
            return Ok(question);
        }
        let mut said = String::new();
        let work = |book: &mut Book, press: &Press, stamp: &Stamp| {
            let shop = book.shop()?;
            let found = found(press, &shop.settings)?;
            let counted = book.count(place, &found, (stamp, true))?;
            said = words::count_words(&shop, &counted) + &words::count_corrected(&counted);
            Ok(())
        };
        let answer = press::or_else(&site, &press, &to, work, |words| {
            let again = one(&site, &press.visit, place, Some(&press))?;
            let main = html! { (press::faults(words)) (again) };
            press::not_done(&site, &press, Screen::new("Stock-take", main))
        })?;
        press::keep(&site, press.token(), said)?;
        Ok(answer)
    })
    .await
}
