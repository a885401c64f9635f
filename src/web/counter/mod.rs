//! At the counter: what a frame costs and when it is ready, and the job taken.

mod answer;
mod ask;
mod question;
mod take;

use std::sync::Arc;

use axum::Router;
use axum::routing::{get, post};

pub(super) use ask::days;

use super::site::Site;

pub(super) fn routes() -> Router<Arc<Site>> {
    Router::new()
        .route("/counter", get(ask::counter))
        .route("/counter/customer", get(answer::customer))
        .route("/counter/take", post(take::taken))
}
