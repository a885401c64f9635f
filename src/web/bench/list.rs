//! The sticks to fetch, in the order of the bench.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use maud::{Markup, html};

use super::again;
use super::hand::InHand;
use super::parts::way;
use crate::book::{BookError, words};
use crate::shop::Frame;
use crate::web::form::spelt;
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
            (spare(site, &today)?)
        };
        Ok(Screen::new("Bench", main))
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
            @let open: Vec<&InHand> = hands.iter().filter(|one| !one.stick.is_over()).collect();
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
                b { (steps.moulding) } " " (style.show_unit(hand.stick.left))
                @if !steps.lot.is_empty() { " lot " (steps.lot) }
                @if let Some(flaws) = hand.flaw_words(&style) { " " b { (flaws) } }
                @if hand.waits() { " " b { "WAITS" } }
            }
            span.place {
                @if hand.is_whole() { (steps.place) }
                @else if hand.stick.is_rest() { "in hand: " (words::rest(&today.shop, hand.stick.left, &hand.stick.lay.label)) }
                @else { "in hand: " (left) " of " (all) " to go" }
            }
        } }
    }
}

/// The spare rails that lie at the bench, each as it is labelled.
fn spare(site: &Site, today: &Today) -> Result<Markup, BookError> {
    let all = site.look(|book| book.spare())?;
    Ok(html! {
        @if !all.is_empty() {
            h2 { "Spare rails" }
            ul.choose { @for (lay, rail) in &all {
                li { a.big href=(format!("/s/{}", spelt(&rail.spare_label()))) { (words::spare_is(&today.shop, lay, rail)) } }
            } }
        }
    })
}

/// What is owed, and the way on.
fn owed(visit: &Visit, today: &Today) -> Markup {
    html! {
        @for (at, _) in &today.plans { (again::owed(visit, today, at)) }
    }
}

/// Leads to the stick whose label was scanned, or to the spare rail or the ticket.
pub(super) async fn find(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::aside(move || {
        let today = site.today()?;
        // A label's code may be an address that ends in the label, or in a ticket's copy.
        let asked = visit.query("label");
        if let Some((_, copy)) = asked.split_once("/joiner/") {
            return Ok(reply::go(&format!("/joiner/{copy}")));
        }
        let said = asked.rsplit('/').next().unwrap_or_default().trim();
        if said.is_empty() {
            let words = "no label was read: scan one, or tap a stick of the list";
            return page::wrong(&site, &visit, words);
        }
        match InHand::find(&today, said) {
            Ok(hand) => Ok(reply::go(&way(hand.label(), if hand.is_whole() { "" } else { "cut" }))),
            Err(why) => match elsewhere(&site, &today, said)? {
                Some(to) => Ok(reply::go(&to)),
                None => page::wrong(&site, &visit, &why.to_string()),
            },
        }
    })
    .await
}

/// Where what was scanned is shown, if it is no stick at the bench: a spare rail, or a ticket.
fn elsewhere(site: &Site, today: &Today, said: &str) -> Result<Option<String>, BookError> {
    let mut labels =
        site.look(|book| book.spare())?.into_iter().map(|(_, rail)| rail.spare_label());
    let spare = labels.find(|label| label.eq_ignore_ascii_case(said));
    let copy = |frame: &Frame| match frame.copies {
        1 => format!("/joiner/{}/1", spelt(&frame.id)),
        _ => "/joiner".to_owned(),
    };
    let spare = spare.map(|label| format!("/s/{}", spelt(&label)));
    Ok(spare.or_else(|| today.shop.frame(said).map(copy)))
}
