//! The cautions of a machine, read once at the start of the day on each device.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use maud::{Markup, html};

use super::hand::InHand;
use crate::book::BookError;
use crate::chop::MachineSheet;
use crate::shop::Shop;
use crate::web::form::form;
use crate::web::page::{self, Screen};
use crate::web::press::Press;
use crate::web::reply;
use crate::web::site::Site;
use crate::web::visit::Visit;

/// The cautions of the machine, unless they were read on this device today.
pub(super) fn first(
    site: &Site,
    visit: &Visit,
    (shop, hand): (&Shop, &InHand),
) -> Result<Option<Screen>, BookError> {
    let (device, machine) = (visit.session.device.id, &hand.sheet.cutter);
    if !visit.may_press("/bench/mind") {
        // Who only looks cuts nothing.
        return Ok(None);
    }
    let day = site.now()?.date();
    if site.look(|book| book.is_minded(device, machine, day))? {
        return Ok(None);
    }
    Ok(Some(Screen::new("Cautions", cautions(visit, shop, hand.sheet))))
}

fn cautions(visit: &Visit, shop: &Shop, sheet: &MachineSheet) -> Markup {
    let style = shop.settings.style();
    html! {
        h1 { "Before the first cut on the " (sheet.cutter) }
        (form(visit, "/bench/mind", &html! {
            input type="hidden" name="machine" value=(sheet.cutter);
            input type="hidden" name="all" value=(sheet.cautions.len());
            input type="hidden" name="back" value=(visit.path);
            ul.cautions {
                @for caution in &sheet.cautions {
                    li { label {
                        input type="checkbox" name="minded" value="1" required;
                        span { (caution.words(&style)) }
                    } }
                }
            }
            button.go { "ALL MINDED: BEGIN" }
        }))
    }
}

/// Writes down that they were read. Nothing in the shop is otherwise by it, so that it is
/// no step.
pub(super) async fn minded(State(site): State<Arc<Site>>, press: Press) -> Response {
    page::aside(move || {
        let (all, ticked) = (press.number("all")?, press.all("minded").count());
        if usize::try_from(all) != Ok(ticked) {
            let words = "tick each caution once you have minded it".to_owned();
            return Err(BookError::Wrong(words));
        }
        let day = site.now()?.date();
        let device = press.visit.session.device.id;
        site.write(|book| book.mind(device, press.text("machine"), day))?;
        Ok(reply::go(press.text("back")))
    })
    .await
}
