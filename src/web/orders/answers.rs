//! What a supplier says of an order, and what is given up.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;

use super::fields::{day, said};
use crate::book::words::{FramesByLine, given_up_words, listing};
use crate::book::{Book, BookError, Confirmation, Stamp};
use crate::plan::{Wishes, pushed};
use crate::shop::shown;
use crate::web::page;
use crate::web::plans::{Bounds, Planned};
use crate::web::press::{self, Press};
use crate::web::reply;
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

/// Gives it up, and says whom that makes wait: it is planned with it and without it.
pub(super) async fn dropped(State(site): State<Arc<Site>>, press: Press) -> Response {
    page::aside(move || {
        let token = press.token().to_owned();
        if let Some(done) = site.look(|book| book.step_of(&token))? {
            return Ok(reply::go(&format!("/order?step={}", done.number)));
        }
        let count = said(&press, "count").map(|text| {
            let odd = || format!("\"{}\" is not how many (write 2)", shown(&text));
            text.parse::<u32>().map_err(|_| odd())
        });
        let line = press.number("line")?;
        let count = match count.transpose() {
            Ok(count) => count,
            Err(odd) => return press::refused(&site, &press, "/order", &odd),
        };
        match site.look(|book| book.may_drop(line, count)) {
            Ok(()) => {}
            Err(BookError::Wrong(odd)) => {
                return press::refused(&site, &press, "/order", &odd);
            }
            Err(error) => return Err(error),
        }
        let stamp = site.stamp(&press.visit.session.device.name, &token)?;
        let what = format!("Line {line} is given up: whom that makes wait is worked out");
        Ok(reply::go(
            &site.plans.ask(&token, &what, move |site, bounds| {
                give_up(site, bounds, (line, count), &stamp)
            }),
        ))
    })
    .await
}

fn give_up(
    site: &Site,
    bounds: &Bounds,
    line: (i64, Option<u32>),
    stamp: &Stamp,
) -> Result<Planned, BookError> {
    let planned = || {
        let shop = site.look(Book::snapshot)?.shop.at(stamp.at.date(), stamp.at.time());
        let plan = bounds.morning(&shop, stamp.at.date(), &Wishes::default())?;
        Ok::<_, BookError>((shop, plan))
    };
    let (earlier, before) = planned()?;
    match site.write(|book| book.drop_lines(&[line], stamp)) {
        Ok(()) => {
            let (shop, after) = planned()?;
            let later = pushed((&earlier, &*before), (&shop, &*after), "");
            press::keep(site, &stamp.token, given_up_words(&shop, &later))?;
        }
        Err(BookError::Repeated(_)) => {}
        Err(error) => return Err(error),
    }
    let step = site.look(|book| book.step_of(&stamp.token))?.map_or(0, |done| done.number);
    Ok(Planned::Made { words: String::new(), to: format!("/order?step={step}") })
}
