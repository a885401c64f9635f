//! The sticks to fetch, in the order of the bench.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use maud::{Markup, html};

use super::again;
use super::hand::InHand;
use super::parts::way;
use crate::book::words;
use crate::web::page::{self, Screen};
use crate::web::promised;
use crate::web::reply;
use crate::web::site::Site;
use crate::web::today::Today;
use crate::web::visit::Visit;

/// What there is to do at the bench.
pub(super) async fn list(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::show(site, visit, |site, visit| {
        let today = site.today()?;
        let main = html! {
            h1.unseen { "Bench" }
            (again::said(site, visit))
            (promised::not_kept(visit, &today, false))
            (owed(visit, &today))
            @if today.plans.is_empty() { (again::nothing_here(visit, &today)) }
            @else {
                (scan())
                @for (at, _) in &today.plans { (again::look_first(&today.shop, at)) }
                @for given in today.plans.iter().flat_map(|(at, _)| &at.given) {
                    p.words { (words::given(&today.shop, given)) }
                }
                (sticks(&today))
                (again::day_done(visit, &today))
            }
        };
        Ok(Screen::new("Bench", main).bright())
    })
    .await
}

/// A field for a scanner that types, and for who has no other way.
fn scan() -> Markup {
    html! {
        form.scan action="/bench/find" {
            label for="label" { "Scan the label, or tap a stick" }
            input #label name="label" autofocus autocapitalize="characters" spellcheck="false"
                enterkeyhint="go" inputmode="none";
            button { "FIND" }
        }
    }
}

fn sticks(today: &Today) -> Markup {
    let all: Vec<InHand> = InHand::all(today).collect();
    let machines = all.chunk_by(|a, b| a.sheet.cutter == b.sheet.cutter);
    html! {
        @for hands in machines {
            @let open: Vec<&InHand> = hands.iter().filter(|one| !one.stick.lay.is_done()).collect();
            @let cuts: usize = open.iter().map(|one| one.to_cut().len()).sum();
            h2 { (hands[0].sheet.cutter) ": "
                (words::count(open.len(), "stick", "sticks")) ", "
                (words::count(cuts, "cut", "cuts")) " to go" }
            ol.fetch {
                @for hand in &open { (fetch(today, hand)) }
            }
        }
    }
}

fn fetch(today: &Today, hand: &InHand) -> Markup {
    let steps = hand.steps;
    let style = today.shop.settings.style();
    let (left, all) = (hand.to_cut().len(), steps.cuts.len());
    html! {
        li { a href=(way(hand.label(), if hand.is_whole() { "" } else { "cut" })) {
            b.label { (steps.stick) }
            span.facts {
                b { (steps.moulding) } " " (style.show_unit(steps.length))
                @if !steps.lot.is_empty() { " lot " (steps.lot) }
            }
            span.place {
                @if hand.is_whole() { (steps.place) } @else { "in hand: " (left) " of " (all) " to go" }
            }
        } }
    }
}

/// What is owed, and the way on.
fn owed(visit: &Visit, today: &Today) -> Markup {
    html! {
        @for (at, _) in &today.plans { (again::owed(visit, today, at)) }
    }
}

/// Leads to the stick whose label was scanned.
pub(super) async fn find(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::aside(move || {
        let today = site.today()?;
        // A label's code may be an address that ends in the label.
        let said = visit.query("label").rsplit('/').next().unwrap_or_default();
        let hand = InHand::find(&today, said)?;
        Ok(reply::go(&way(hand.label(), if hand.is_whole() { "" } else { "cut" })))
    })
    .await
}
