//! The steps of the day: who did what, and undo.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use maud::{Markup, html};

use super::page::{self, Screen};
use super::press::{self, Press};
use super::reply;
use super::said::{time, undo};
use super::site::Site;
use super::visit::Visit;
use crate::book::{Book, BookError, Done, LoggedStep, words};

/// So many are shown.
const MOST: u32 = 200;

/// The steps of a day, the last first: those that this device may undo, and its own.
pub(super) async fn list(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::show(site, visit, |site, visit| {
        let today = site.now()?.date().to_string();
        let day = match visit.query("day") {
            "" => today,
            day => day.to_owned(),
        };
        let mut steps = site.look(|book| book.steps(Some(&day), MOST))?;
        let last = steps.iter().find(|step| step.stands()).map(|step| step.done.clone());
        let all = steps.len();
        let device = visit.session.device.name.clone();
        steps.retain(|step| visit.may_undo(&step.done.what) || step.done.who == device);
        let others = all - steps.len();
        let main = html! {
            h1 { "Steps of " (day) }
            @if all == 0 { p { "Nothing was done yet." } }
            @if others > 0 {
                p { (words::count(others, "step", "steps")) " of others, which the office sees." }
            }
            @if let Some(last) = last.as_ref().filter(|last| !visit.may_undo(&last.what)) {
                p.words { "The last step, " (last.number) ", is not undone here: ask the office." }
            }
            @if last.as_ref().is_some_and(Done::is_beginning) {
                p.words { "Nothing stands but the beginning of the book, which is not undone here." }
            }
            ol.steps reversed {
                @for step in &steps { (row(visit, step, last.as_ref().map(|last| last.number))) }
            }
            form.scan method="get" {
                label for="day" { "Another day" }
                input #day type="date" name="day" value=(day);
                button { "SHOW" }
            }
        };
        Ok(Screen::new("Steps", main))
    })
    .await
}

/// A step, and where it is the last that stands, its undoing.
fn row(visit: &Visit, step: &LoggedStep, last: Option<i64>) -> Markup {
    let done = &step.done;
    let by = if done.who.is_empty() { String::new() } else { format!(" by {}", done.who) };
    html! {
        li value=(done.number) {
            b { (done.what) }
            @if let Some(undone) = step.undoes { " of step " (undone) }
            span { " " (time(&done.at)) (by) }
            @if !step.why.is_empty() { span { ": " (step.why) } }
            @if let Some(by) = step.undone_by { span { " undone by step " (by) } }
            @if last == Some(done.number) { (undo(visit, done, "/steps")) }
        }
    }
}

/// Undoes the step that the form names, if it is the last that stands, and one that this
/// device may make; another person's only if the form names the person.
pub(super) async fn undone(State(site): State<Arc<Site>>, press: Press) -> Response {
    let back = reply::within(press.text("back")).to_owned();
    press::step(site, press, back, |book, press, stamp| {
        let number = match press.text("press") {
            "" => press.number("step")?,
            kept => number_of(book, press, kept)?,
        };
        if let Some(LoggedStep { done, .. }) = book.step(number)? {
            let why = if !press.visit.may_undo(&done.what) {
                "since this device may not do it either (ask the office)"
            } else if done.is_beginning() {
                "since it is the beginning of the book, without which nothing is left in it"
            } else if done.who != stamp.by && done.who != press.text("of") {
                "since somebody else did it (if it is meant, undo it under Steps)"
            } else {
                ""
            };
            if !why.is_empty() {
                return Err(BookError::Wrong(format!("{done} is not undone here, {why}")));
            }
        }
        book.undo(Some(number), stamp).map(drop)
    })
    .await
}

/// The step that another press of this device made, by the token of that press.
fn number_of(book: &Book, press: &Press, kept: &str) -> Result<i64, BookError> {
    let token = press.visit.session.given(kept);
    let done = token.map(|token| book.step_of(token)).transpose()?.flatten();
    done.map(|done| done.number).ok_or_else(|| {
        BookError::Wrong(
            "what was to be taken back was not done: there is nothing to take back".to_owned(),
        )
    })
}
