//! A flaw that shows on the stick in hand: tap one end of it, tap the other, on the drawing
//! or on the pieces below it.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::response::Response;
use maud::{Markup, html};

use super::drawing;
use super::hand::{InHand, end};
use super::parts::{plate, way};
use crate::book::BookError;
use crate::measure::{Length, LengthStyle};
use crate::shop::Flaw;
use crate::web::form::form;
use crate::web::page::{self, Screen};
use crate::web::press::{self, Press};
use crate::web::site::Site;
use crate::web::visit::Visit;

/// The stick from the end that is the marked one now, piece by piece.
pub(super) async fn asked(
    State(site): State<Arc<Site>>,
    Path(label): Path<String>,
    visit: Visit,
) -> Response {
    page::show(site, visit, move |site, visit| {
        let today = site.today()?;
        let hand = InHand::find(&today, &label)?;
        let settings = &today.shop.settings;
        let (left, style) = (hand.stick.left, settings.style());
        let slot = hand.slot();
        let count = left.nm().div_euclid(slot.nm()) + i64::from(left.nm() % slot.nm() > 0);
        let begun: Option<i64> = visit.query("from").parse().ok();
        // What was tapped before something was cut off is another place now.
        let of: Option<i64> = visit.query("of").parse().ok();
        let is_same = of.is_none_or(|of| of == left.nm());
        let begun = begun.filter(|from| is_same && (0..count).contains(from));
        let label = hand.label();
        let main = html! {
            p.where { (plate(&hand)) span { (style.show_unit(left)) " left" } }
            (drawing::drawn_left(&hand, begun.map(|at| Flaw { from: slot * at, to: (slot * (at + 1)).min(left) })))
            h1 { @if begun.is_some() { "Tap the flaw's other end" } @else { "Tap where the flaw is" }
                ", on the drawing or here, from the " (end(hand.is_whole())) }
            div.slots {
                @for at in 0..count { (piece(visit, &hand, (at, begun), slot, &style)) }
            }
            div.presses.two {
                a.big href=(way(label, if hand.is_whole() { "" } else { "cut" })) { "NO FLAW" }
            }
        };
        Ok(Screen::new(format!("{label}: flaw"), main))
    })
    .await
}

/// One piece of the stick: a way on, or the press.
fn piece(
    visit: &Visit,
    hand: &InHand,
    (at, begun): (i64, Option<i64>),
    slot: Length,
    style: &LengthStyle,
) -> Markup {
    let (named, label, of) = (style.show(slot * at), hand.label(), hand.stick.left.nm());
    html! {
        @match begun {
            None => a.big href=(way(label, &format!("flaw?from={at}&of={of}"))) { (named) },
            Some(from) => (form(visit, &way(label, "flaw"), &html! {
                input type="hidden" name="from" value=(from.min(at));
                input type="hidden" name="to" value=(from.max(at) + 1);
                input type="hidden" name="slot" value=(slot.nm());
                input type="hidden" name="of" value=(of);
                button.go[at == from] { (named) }
            })),
        }
    }
}

/// Writes it down.
pub(super) async fn found(
    State(site): State<Arc<Site>>,
    Path(label): Path<String>,
    press: Press,
) -> Response {
    let to = way(&label, "cut?after=0");
    press::step(site, press, to, move |book, press, stamp| {
        let (from, to, slot) = (press.number("from")?, press.number("to")?, press.number("slot")?);
        let odd = || BookError::Wrong("no such place on the stick (tap again)".to_owned());
        let along = |times: i64| slot.checked_mul(times).map(Length::from_nm).ok_or_else(odd);
        let left = left_of(book, &label)?;
        if press.number("of")? != left.nm() {
            return Err(BookError::Wrong(format!(
                "{label} was cut or measured since: its end is another now (look at the stick again, \
                 and tap)"
            )));
        }
        let (from, to) = (along(from)?, along(to)?.min(left));
        if from < Length::ZERO || to <= from {
            return Err(odd());
        }
        book.flaw(&label, &[Flaw { from, to }], stamp).map(drop)
    })
    .await
}

/// How much of a stick at the bench is left now.
fn left_of(book: &crate::book::Book, label: &str) -> Result<Length, BookError> {
    let plans = book.bench()?;
    let mut all = plans.iter().flat_map(|plan| &plan.sticks);
    let stick = all.find(|stick| stick.lay.stick == label);
    stick.map(|stick| stick.left).ok_or_else(|| {
        BookError::Wrong(format!("{label} is not at the bench any more (look at the list)"))
    })
}
