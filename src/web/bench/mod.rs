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
mod parts;
mod wrong;

pub(super) use hand::end;

use std::sync::Arc;

use axum::Router;
use axum::routing::{get, post};

use super::site::Site;

pub(super) fn routes() -> Router<Arc<Site>> {
    Router::new()
        .route("/bench", get(list::list))
        .route("/bench/find", get(list::find))
        .route("/bench/mind", post(cautions::minded))
        .route("/bench/cut", post(cut::cut))
        .route("/bench/chip", post(cut::chipped))
        .route("/bench/again", post(again::replanned))
        .route("/bench/take", post(again::taken))
        .route("/bench/back", post(again::put_back))
        .route("/bench/finish", get(again::finish).post(again::finished))
        .route("/bench/rest", post(after::kept))
        .route("/bench/label/{label}", get(after::label))
        .route("/bench/stick/{label}", get(measure::asked))
        .route("/bench/stick/{label}/length", get(keys::typed).post(keys::measured))
        .route("/bench/stick/{label}/cut", get(cut::asked))
        .route("/bench/stick/{label}/flaw", get(flaw::asked).post(flaw::found))
        .route("/bench/stick/{label}/wrong", get(wrong::asked))
        .route("/bench/stick/{label}/gone", post(wrong::gone))
        .route("/bench/stick/{label}/other", post(wrong::other_is))
}
