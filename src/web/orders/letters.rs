//! The letters of an order that was placed, as they were: to print, and as text to send.

use std::sync::Arc;

use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::{HeaderValue, header};
use axum::response::Response;
use maud::html;

use crate::book::BookError;
use crate::web::form::spelt;
use crate::web::page::{self, Screen};
use crate::web::reply;
use crate::web::site::Site;
use crate::web::visit::Visit;

pub(super) async fn list(
    State(site): State<Arc<Site>>,
    Path(order): Path<i64>,
    visit: Visit,
) -> Response {
    page::show(site, visit, move |site, _| {
        let pages = site.look(|book| book.order_pages(order))?;
        let way = |name: &str| format!("/order/letters/{order}/{}", spelt(name));
        let main = html! {
            h1 { "Letters of order " (order) }
            p.keys {
                @for (name, _) in &pages { a.big href=(way(name)) target="_blank" { (name) } }
            }
            @for (name, text) in pages.iter().filter(|(name, _)| name.ends_with(".txt")) {
                h2 { (name) }
                p { "To send by e-mail:" }
                textarea readonly rows="12" aria-label=(name) { (text) }
            }
            p.keys { a.big href="/order" { "WHAT IS ON ORDER" } }
        };
        Ok(Screen::new(format!("Letters of order {order}"), main))
    })
    .await
}

pub(super) async fn one(
    State(site): State<Arc<Site>>,
    Path((order, name)): Path<(i64, String)>,
) -> Response {
    page::aside(move || {
        let pages = site.look(|book| book.order_pages(order))?;
        let Some((name, text)) = pages.into_iter().find(|(own, _)| *own == name) else {
            return Err(BookError::Wrong(format!("order {order} has no such letter")));
        };
        if name.ends_with(".html") {
            return Ok(reply::sheet(text));
        }
        let kind = if name.ends_with(".csv") { "text/csv" } else { "text/plain" };
        let mut answer = Response::new(Body::from(text));
        let kind = HeaderValue::try_from(format!("{kind}; charset=utf-8"));
        let kind = kind.unwrap_or(HeaderValue::from_static("text/plain"));
        answer.headers_mut().insert(header::CONTENT_TYPE, kind);
        Ok(answer)
    })
    .await
}
