//! The stick in hand is not the one that is meant, or the one that is meant is not there.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::response::Response;
use maud::{Markup, html};

use super::hand::InHand;
use super::parts::{plate, way};
use crate::book::{Correction, words};
use crate::web::form::form;
use crate::web::page::{self, Screen};
use crate::web::press::{self, Press};
use crate::web::site::Site;
use crate::web::today::Today;
use crate::web::visit::Visit;

/// What is wrong with it.
pub(super) async fn asked(
    State(site): State<Arc<Site>>,
    Path(label): Path<String>,
    visit: Visit,
) -> Response {
    page::show(site, visit, move |site, visit| {
        let today = site.today()?;
        let hand = InHand::find(&today, &label)?;
        let label = hand.label();
        let back = way(label, if hand.is_whole() { "" } else { "cut" });
        let main = html! {
            p.where { (plate(&hand)) span { (hand.steps.place) } }
            h1 { "What is wrong?" }
            div.presses.one {
                a.big.go href="/bench" { "I TOOK ANOTHER: I PUT IT BACK" }
                (form(visit, &way(label, "gone"), &html! {
                    button { (label) " IS LOST OR BROKEN: WRITE IT OFF" }
                }))
            }
            h2 { (label) " is of another lot" }
            (lots(visit, &today, &hand))
            h2 { (label) " is of another moulding" }
            div.keys {
                @for moulding in today.shop.mouldings.keys().filter(|own| **own != hand.steps.moulding) {
                    (other(visit, label, "moulding", moulding))
                }
            }
            div.presses.two { a.big href=(back) { "NOTHING IS WRONG" } }
        };
        Ok(Screen::new(format!("{label}: wrong stick"), main))
    })
    .await
}

/// The lots of its moulding that are at the bench or on the rack.
fn lots(visit: &Visit, today: &Today, hand: &InHand) -> Markup {
    let lots = today.lots.iter().filter(|(moulding, lot)| {
        *moulding == hand.steps.moulding && *lot != hand.steps.lot && !lot.is_empty()
    });
    html! {
        div.keys {
            @for (_, lot) in lots { (other(visit, hand.label(), "lot", lot)) }
            (other(visit, hand.label(), "lot", ""))
        }
    }
}

fn other(visit: &Visit, label: &str, what: &str, value: &str) -> Markup {
    form(
        visit,
        &way(label, "other"),
        &html! {
            input type="hidden" name=(what) value=(value);
            input type="hidden" name="what" value=(what);
            button { @if value.is_empty() { "NOT KNOWN" } @else { (value) } }
        },
    )
}

/// It is written off: its rails are owed.
pub(super) async fn gone(
    State(site): State<Arc<Site>>,
    Path(label): Path<String>,
    press: Press,
) -> Response {
    press::saying(site, press, "/bench".to_owned(), move |book, _, stamp| {
        let all = book.scrap(std::slice::from_ref(&label), stamp)?;
        let shop = book.shop()?;
        let each = all.iter().map(|one| words::scrapped_words(book.path(), &shop, one));
        Ok(each.collect::<Vec<_>>().join("\n"))
    })
    .await
}

/// It is of another lot or moulding: its rails are owed.
pub(super) async fn other_is(
    State(site): State<Arc<Site>>,
    Path(label): Path<String>,
    press: Press,
) -> Response {
    press::saying(site, press, "/bench".to_owned(), move |book, press, stamp| {
        let value = Some(press.text(press.text("what")).to_owned());
        let correction = match press.text("what") {
            "moulding" => Correction { moulding: value, ..Correction::default() },
            _ => Correction { lot: value, ..Correction::default() },
        };
        let corrected = book.correct(&label, &correction, stamp)?;
        Ok(words::corrected_words((book.path(), &label), &book.shop()?, &corrected))
    })
    .await
}
