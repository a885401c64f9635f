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

/// The form that undoes a step and leads back; nothing where this device may not. Another
/// person's is undone by a second press, which names the person.
pub fn undo(visit: &Visit, step: &Done, back: &str) -> Markup {
    let (number, who) = (step.number, step.who.as_str());
    let whose = if who.is_empty() { "somebody nobody named" } else { who };
    let inner = |press: Markup| {
        form(
            visit,
            "/undo",
            &html! {
                input type="hidden" name="step" value=(number);
                input type="hidden" name="back" value=(back);
                (press)
            },
        )
    };
    html! {
        @if !visit.may_undo(&step.what) || step.is_beginning() {}
        @else if who == visit.session.device.name { (inner(html! { button { "UNDO step " (number) } })) }
        @else {
            details.undo {
                summary { "UNDO step " (number) }
                (inner(html! {
                    input type="hidden" name="of" value=(who);
                    button { "IT IS BY " (whose) ": UNDO IT ALL THE SAME" }
                }))
            }
        }
    }
}

/// The time of day of a step.
pub fn time(at: &str) -> &str {
    at.get(11..16).unwrap_or(at)
}
