//! What a supplier says of an order, and what is given up.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;

use super::fields::{day, said};
use crate::book::words::{FramesByLine, listing};
use crate::book::{BookError, Confirmation};
use crate::shop::shown;
use crate::web::press::{self, Press};
use crate::web::site::Site;

pub(super) async fn confirmed(State(site): State<Arc<Site>>, press: Press) -> Response {
    press::saying(site, press, "/order".to_owned(), |book, press, stamp| {
        let confirmation = Confirmation {
            order: press.number("order")?,
            supplier: said(press, "supplier"),
            on: day(press, "on")?,
            reference: said(press, "reference"),
        };
        let lines = book.confirm(&confirmation, stamp)?;
        Ok(listing(&book.shop()?, &lines, (stamp.at.date(), &FramesByLine::new())))
    })
    .await
}

pub(super) async fn expected(State(site): State<Arc<Site>>, press: Press) -> Response {
    press::saying(site, press, "/order".to_owned(), |book, press, stamp| {
        let lines = book.expect((&[press.number("line")?], day(press, "on")?), stamp)?;
        Ok(listing(&book.shop()?, &lines, (stamp.at.date(), &FramesByLine::new())))
    })
    .await
}

pub(super) async fn dropped(State(site): State<Arc<Site>>, press: Press) -> Response {
    press::step(site, press, "/order".to_owned(), |book, press, stamp| {
        let count = said(press, "count").map(|text| {
            let odd = || format!("\"{}\" is not how many (write 2)", shown(&text));
            text.parse::<u32>().map_err(|_| BookError::Wrong(odd()))
        });
        book.drop_lines(&[(press.number("line")?, count.transpose()?)], stamp)
    })
    .await
}
