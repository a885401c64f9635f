//! Orders: what is to come, what lacks and is ordered, what comes, what is billed.

mod answers;
mod basket;
mod invoice;
mod letters;
mod list;
mod place;
mod receive;

use std::sync::Arc;

use axum::Router;
use axum::routing::{get, post};

use super::press::Press;
use super::site::Site;
use crate::book::BookError;
use crate::shop::shown;
use jiff::civil::Date;

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

/// What a field says; nothing if it is empty.
fn said(press: &Press, name: &str) -> Option<String> {
    Some(press.text(name).trim().to_owned()).filter(|text| !text.is_empty())
}

/// A day in a field; nothing if it is empty.
fn day(press: &Press, name: &str) -> Result<Option<Date>, BookError> {
    let read = |text: String| {
        let odd =
            || format!("\"{}\" is not a day (write it as 2026-12-04, year first)", shown(&text));
        text.parse().map_err(|_| BookError::Wrong(odd()))
    };
    said(press, name).map(read).transpose()
}
