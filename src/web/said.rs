//! What was done last, and the form that undoes it.

use maud::{Markup, html};

use super::form::form;
use super::shared::locked;
use super::site::Site;
use super::visit::Visit;
use crate::book::{BookError, Done, LoggedStep};

/// What was done last on this device, where it was led on from a press.
pub(super) fn said(site: &Site, visit: &Visit) -> Result<Markup, BookError> {
    let Ok(number) = visit.query("step").parse::<i64>() else { return Ok(html! {}) };
    let step = site.look(|book| book.step(number))?;
    let is_own = |step: &LoggedStep| {
        step.done.who == visit.session.device.name || visit.may_undo(&step.done.what)
    };
    let Some(step) = step.filter(is_own) else { return Ok(html! {}) };
    let words = locked(&site.words).get(&number).cloned().unwrap_or_default();
    Ok(html! {
        p {
            "Done: " b { (step.done.what) } " at " (time(&step.done.at))
            " (step " (step.done.number) ")"
            @if step.undone_by.is_some() { ", undone since" }
            "."
        }
        @for line in words.lines() { p { (line) } }
        @if step.stands() { (undo(visit, &step.done, &visit.path)) }
    })
}

/// The form that undoes a step and leads back; nothing where this device may not.
pub fn undo(visit: &Visit, step: &Done, back: &str) -> Markup {
    let number = step.number;
    html! {
        @if visit.may_undo(&step.what) {
            (form(visit, "/undo", &html! {
                input type="hidden" name="step" value=(number);
                input type="hidden" name="back" value=(back);
                button { "UNDO step " (number) }
            }))
        }
    }
}

/// The time of day of a step.
pub(super) fn time(at: &str) -> &str {
    at.get(11..16).unwrap_or(at)
}
