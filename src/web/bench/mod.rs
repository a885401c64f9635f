//! At the chopper: which stick to fetch, whether it measures as the book has it, and then
//! one cut a screen.

mod after;
mod again;
mod cautions;
mod cut;
mod drawing;
mod flaw;
mod hand;
mod keys;
mod list;
mod measure;
mod wrong;

use std::sync::Arc;

use axum::Router;
use axum::routing::{get, post};
use maud::{Markup, html};

use super::form::spelt;
use super::site::Site;
use crate::chop::MachineSheet;
use crate::shop::Stop;
use hand::InHand;

pub(super) fn routes() -> Router<Arc<Site>> {
    Router::new()
        .route("/bench", get(list::list))
        .route("/bench/find", get(list::find))
        .route("/bench/mind", post(cautions::minded))
        .route("/bench/cut", post(cut::cut))
        .route("/bench/chip", post(cut::chipped))
        .route("/bench/again", post(again::replanned))
        .route("/bench/take", post(again::taken))
        .route("/bench/finish", get(again::finish).post(again::finished))
        .route("/bench/label/{label}", get(after::label))
        .route("/bench/stick/{label}", get(measure::asked))
        .route("/bench/stick/{label}/length", get(keys::typed).post(keys::measured))
        .route("/bench/stick/{label}/cut", get(cut::asked))
        .route("/bench/stick/{label}/flaw", get(flaw::asked).post(flaw::found))
        .route("/bench/stick/{label}/wrong", get(wrong::asked))
        .route("/bench/stick/{label}/gone", post(wrong::gone))
        .route("/bench/stick/{label}/other", post(wrong::other_is))
}

/// Where a stick's pages are.
fn way(label: &str, page: &str) -> String {
    let page = if page.is_empty() { String::new() } else { format!("/{page}") };
    format!("/bench/stick/{}{page}", spelt(label))
}

/// What the machine's scale reads, in large letters.
fn edge(sheet: &MachineSheet) -> &'static str {
    match sheet.stop {
        Stop::Long => "LONG POINT",
        Stop::Rabbet => "RABBET",
        Stop::Sight => "SIGHT EDGE",
    }
}

/// The stick's name plate: label, moulding, lot, place.
fn plate(hand: &InHand) -> Markup {
    let steps = hand.steps;
    html! {
        span.plate {
            b.label { (steps.stick) }
            " " (steps.moulding)
            @if !steps.lot.is_empty() { " lot " (steps.lot) }
        }
    }
}
