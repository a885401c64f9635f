//! Orders: what is to come, what lacks and is ordered, what comes, what is billed.

mod answers;
mod basket;
mod fields;
mod invoice;
mod letters;
mod list;
mod place;
mod receive;

use std::sync::Arc;

use axum::Router;
use axum::routing::{get, post};

use super::site::Site;

pub(super) fn routes() -> Router<Arc<Site>> {
    Router::new()
        .route("/order", get(list::list))
        .route("/order/basket", get(basket::basket))
        .route("/order/place", post(place::placed))
        .route("/order/confirm", post(answers::confirmed))
        .route("/order/expect", post(answers::expected))
        .route("/order/drop", post(answers::dropped))
        .route("/order/letters/{order}", get(letters::list))
        .route("/order/letters/{order}/{name}", get(letters::one))
        .route("/receive", get(receive::asked).post(receive::received))
        .route("/invoice", get(invoice::asked).post(invoice::billed))
}
