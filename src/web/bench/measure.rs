//! Does the stick measure as the book has it?

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::response::Response;
use maud::html;

use super::hand::{InHand, end};
use super::parts::{plate, reading, way};
use super::{again, cautions, drawing};
use crate::report::words::warning;
use crate::web::page::{self, Screen};
use crate::web::site::Site;
use crate::web::visit::Visit;

/// Asks it, before the first cut.
pub(super) async fn asked(
    State(site): State<Arc<Site>>,
    Path(label): Path<String>,
    visit: Visit,
) -> Response {
    page::show(site, visit, move |site, visit| {
        let today = site.today()?;
        let hand = InHand::find(&today, &label)?;
        if let Some(first) = cautions::first(site, visit, (&today.shop, &hand))? {
            return Ok(first);
        }
        let style = today.shop.settings.style();
        let label = hand.label();
        let main = html! {
            p.where { (plate(&hand)) span { (hand.steps.place) } }
            h1 { "It measures, tip to tip along the back edge"
                @if !hand.is_whole() { ", from the " (end(false)) } ":" }
            p.stop { (reading(&style.show(hand.stick.left)))
                span.unit { (style.unit.symbol()) } }
            @for relaxed in hand.relaxed() { p.band { (warning(relaxed, &style)) } }
            @if let Some(flaws) = hand.flaw_words(&style) { p.band { (flaws) } }
            @if hand.waits() {
                (again::why_it_waits(&hand))
                @if visit.may_press("/bench/again") { (again::press(visit, hand.at.job)) }
            }
            (drawing::drawn(&hand, None))
            @if visit.may_press("/bench/cut") {
                div.presses.three {
                    @if !hand.waits() { a.big.go href=(way(label, "cut")) { "AS SAID" } }
                    a.big href=(way(label, "length?how=shorter")) { "SHORTER" }
                    a.big href=(way(label, "length?how=longer")) { "LONGER" }
                    a.big href=(way(label, "wrong")) { "WRONG STICK" }
                    a.big href=(way(label, "flaw")) { "FLAW" }
                    a.big href="/bench" { "ANOTHER" }
                }
            } @else {
                div.presses.two {
                    a.big href=(way(label, "cut")) { "ITS CUTS" }
                    a.big href="/bench" { "ALL STICKS" }
                }
            }
        };
        Ok(Screen::new(format!("{label}: measure"), main))
    })
    .await
}
