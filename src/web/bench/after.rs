//! What is to be done with the hands after a cut, as wide as the screen: a frame's rails
//! to be tied together, what is kept to be labelled, the next stick to be fetched.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::response::Response;
use maud::{Markup, html};

use super::again;
use super::hand::InHand;
use super::parts::{plate, way};
use crate::book::{BenchRail, BookError, RackQuery, RailState, pages, words};
use crate::shop::Shop;
use crate::web::form::{form, spelt};
use crate::web::page::{self, Screen};
use crate::web::press::{self, Press};
use crate::web::reply;
use crate::web::site::Site;
use crate::web::today::Today;
use crate::web::visit::Visit;

/// What the cut that was made just now asks for; nothing if it is the next cut.
pub(super) fn asked(visit: &Visit, today: &Today, hand: &InHand) -> Option<Screen> {
    let lay = &hand.stick.lay;
    let made = visit.query("after").parse::<usize>().ok();
    let made = made.and_then(|number| lay.rails.get(number.checked_sub(1)?));
    let made = made.filter(|rail| rail.state != RailState::ToCut);
    let shop = &today.shop;
    let complete = made.filter(|rail| rail.state == RailState::Cut);
    let complete = complete.filter(|rail| hand.completes(&rail.frame, rail.copy, &[]));
    let chipped = made.filter(|rail| rail.state == RailState::Spoiled);
    if !lay.is_done() && complete.is_none() && chipped.is_none() {
        return None;
    }
    let label = hand.label();
    let main = html! {
        p.where { (plate(hand)) }
        @if hand.stick.is_rest() { p.words { "Nothing more is cut from " (label) "." } }
        @if let Some(rail) = chipped { (again::chipped(visit, shop, hand, rail)) }
        @if let Some(rail) = complete { (tie(shop, rail)) }
        @if chipped.is_some() {}
        @else if lay.is_done() { (rest(shop, hand)) (again::owed_of(visit, shop, hand))
            @if hand.stick.is_rest() { (keep(visit, hand)) } @else { (next(today, hand)) } }
        @else {
            div.presses.two { a.big.go.huge href=(way(label, "cut")) { "TIED: GO ON" } }
        }
    };
    Some(Screen::new(format!("{label}: after the cut"), main))
}

pub(super) fn tie(shop: &Shop, rail: &BenchRail) -> Markup {
    let ticket = words::ticket(shop, &rail.frame, rail.copy);
    html! { p.band.wide { "This completes " b { (ticket) } ": tie its label on." } }
}

/// What remains of a stick that is done with.
pub(super) fn rest(shop: &Shop, hand: &InHand) -> Markup {
    let style = shop.settings.style();
    let lay = &hand.stick.lay;
    html! {
        @if lay.label.is_empty() { p.band.wide { "The rest of " (hand.label()) " is scrap." } }
        @else {
            p.band.wide { b { "KEEP " (style.show_down_unit(lay.remains)) } ", label it "
                b.label { (lay.label) } }
            p { a href=(format!("/bench/label/{}", spelt(&lay.label))) target="_blank" { "Print its label" }
                " or write it on the end just cut." }
        }
    }
}

/// The press that settles what remains of a stick from which nothing more is cut.
fn keep(visit: &Visit, hand: &InHand) -> Markup {
    let fields = html! {
        input type="hidden" name="stick" value=(hand.label());
        button.go.huge { @if hand.stick.lay.label.is_empty() { "SCRAP" } @else { "KEPT" } }
    };
    html! {
        div.presses.two {
            @if visit.may_press("/bench/rest") { (form(visit, "/bench/rest", &fields)) }
            a.big href="/bench" { "ALL STICKS" }
        }
    }
}

pub(super) async fn kept(State(site): State<Arc<Site>>, press: Press) -> Response {
    press::step(site, press, "/bench".to_owned(), |book, press, stamp| {
        book.keep_rest(press.text("stick"), stamp).map(drop)
    })
    .await
}

/// The stick that is fetched next.
pub(super) fn fetch(next: &InHand) -> Markup {
    html! {
        p.words { "Next: fetch " b { (next.label()) } ", " (next.steps.moulding)
            @if !next.steps.place.is_empty() { " from " (next.steps.place) } }
    }
}

fn next(today: &Today, hand: &InHand) -> Markup {
    html! {
        @match hand.next_stick(today) {
            Some(next) => {
                (fetch(&next))
                div.presses.two {
                    a.big.go.huge href=(way(next.label(), "")) { "GOT " (next.label()) }
                    a.big href="/bench" { "ALL STICKS" }
                }
            },
            None => {
                p.words { "That was the last stick of the " (hand.sheet.cutter) "." }
                div.presses.two { a.big.go.huge href="/bench" { "GO ON" } }
            },
        }
    }
}

/// The label of a stick or an offcut, to print by itself.
pub(super) async fn label(State(site): State<Arc<Site>>, Path(label): Path<String>) -> Response {
    page::aside(move || {
        let all = site.look(|book| book.rack(&RackQuery::default()))?;
        let own: Vec<_> = all.into_iter().filter(|on| on.stick.id == label).collect();
        if own.is_empty() {
            return Err(BookError::Wrong(format!("there is no {label} now")));
        }
        Ok(reply::sheet(pages::labels(&site.today()?.shop, (&own, &[]), Some(pages::USUAL_LABEL))))
    })
    .await
}
