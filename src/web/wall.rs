//! The screen on the wall, which turns by itself: how far the cutting is, what comes next,
//! what waits, what is late. It is only looked at.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use jiff::civil::Date;
use maud::{Markup, html};

use super::page::{self, Screen};
use super::site::Site;
use super::today::Today;
use super::visit::Visit;
use crate::book::{Assembly, AtBench, BookError, CopyInWork, PlacedLine, RailState, words};
use crate::shop::{Frame, Shop};

/// How long each of its pages stays, in seconds.
const STAYS: u32 = 12;

/// More than so many lines nobody reads from afar.
const MOST: usize = 8;

pub(super) async fn wall(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::show(site, visit, |site, visit| {
        let today = site.today()?;
        let day = site.now()?.date();
        let copies = site.look(|book| book.in_work(day))?;
        let lines = site.look(|book| book.open_lines())?;
        let pile = site.look(pile)?;
        let late = late(&today.shop, &copies, &pile, day);
        let mut pages = vec![cut(&today)];
        pages.extend(next(&today));
        pages.extend(waiting(&today, &copies));
        pages.extend(coming(&lines, day));
        pages.extend(lateness(&late));
        pages.extend(promised(&today));
        let at: usize = visit.query("page").parse().unwrap_or(0);
        let (at, all) = (at % pages.len(), pages.len());
        let main = html! {
            p.where { b { (today.shop.settings.name) } span { (day.strftime("%A %-d %B")) } }
            (pages.swap_remove(at))
            @if !late.is_empty() { p.band { "LATE: " b { (late.len()) } } }
            @if !today.broken.is_empty() { p.band { "PROMISED, NOT KEPT: " b { (today.broken.len()) } } }
            p.next { (at + 1) " of " (all) }
        };
        let to = format!("/wall?page={}", (at + 1) % all);
        Ok(Screen::new("Wall", html! { div.wall { (main) } }).turning(STAYS, to))
    })
    .await
}

/// How much of today's is cut. What was cut was cut, however the rest was laid out since.
fn cut(today: &Today) -> Markup {
    html! {
        h1 { "Cut so far" }
        @if today.plans.is_empty() { p.words { "Nothing is at the bench." } }
        @for (at, _) in &today.plans {
            @for (cutter, (made, all)) in &far(&today.shop, at) {
                p.words { (cutter) ": " b { (made) " of " (all) } " cuts" }
                progress max=(all) value=(made) { (made) " of " (all) }
            }
            @if !at.owed.is_empty() { p.band { "OWED: " b { (words::count(at.owed.len(), "rail", "rails")) } } }
        }
    }
}

/// How many cuts of a plan are made on each machine, and how many there are in all.
fn far<'a>(shop: &'a Shop, at: &AtBench) -> BTreeMap<&'a str, (usize, usize)> {
    let mut far: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    let mut count = |moulding: &str, made: usize, open: usize| {
        let Some(moulding) = shop.mouldings.get(moulding) else { return };
        let own = far.entry(&moulding.cutter).or_default();
        *own = (own.0 + made, own.1 + made + open);
    };
    for (moulding, made) in &at.cut_before {
        count(moulding, *made, 0);
    }
    for lay in at.sticks.iter().map(|stick| &stick.lay) {
        let open = lay.rails.iter().filter(|rail| rail.state == RailState::ToCut).count();
        count(&lay.moulding, lay.made(), open);
    }
    // Of a machine at which a rest alone lies nothing is cut.
    far.retain(|_, (_, all)| *all > 0);
    far
}

/// The sticks that come next, machine by machine.
fn next(today: &Today) -> Option<Markup> {
    let open = today.steps().filter(|(at, _, steps)| {
        at.sticks.iter().any(|own| own.lay.stick == steps.stick && !own.lay.is_done())
    });
    let open: Vec<_> = open.take(MOST).collect();
    (!open.is_empty()).then(|| html! {
        h1 { "Next to fetch" }
        ul.lines { @for (_, sheet, steps) in &open {
            li { b.label { (steps.stick) } " " (steps.moulding) " " (steps.place) " (" (sheet.cutter) ")" }
        } }
    })
}

/// The tickets that wait for a rail, or for whoever joins or fits.
fn waiting(today: &Today, copies: &[CopyInWork]) -> Option<Markup> {
    let shop = &today.shop;
    let complete = copies.iter().filter(|of| of.is_complete());
    let names = |all: Vec<&CopyInWork>| {
        let first = all.iter().take(MOST).map(|of| words::ticket(shop, &of.frame, of.copy));
        let more = all.len().saturating_sub(MOST);
        let more = (more > 0).then(|| format!("and {more} more"));
        first.chain(more).collect::<Vec<String>>().join(", ")
    };
    let made = complete.filter(|of| !of.rails.is_empty() && of.made != Some(Assembly::Fitted));
    let (to_join, to_fit): (Vec<_>, Vec<_>) = made.partition(|of| of.made.is_none());
    let begun: Vec<_> =
        copies.iter().filter(|of| !of.is_complete() && !of.rails.is_empty()).collect();
    let any = !to_join.is_empty() || !to_fit.is_empty() || !begun.is_empty();
    any.then(|| {
        html! {
            h1 { "What waits" }
            @if !to_join.is_empty() { p.words { "For the joiner: " b { (names(to_join)) } } }
            @if !to_fit.is_empty() { p.words { "For the fitter: " b { (names(to_fit)) } } }
            @if !begun.is_empty() { p.words { "For a rail: " b { (names(begun)) } } }
        }
    })
}

/// What is to come from suppliers, what is overdue first.
fn coming(lines: &[PlacedLine], day: Date) -> Option<Markup> {
    let mut open: Vec<&PlacedLine> = lines.iter().filter(|line| line.to_come() > 0).collect();
    open.sort_by_key(|line| (line.arrives.is_none(), line.arrives.clone(), line.line));
    let today = day.to_string();
    (!open.is_empty()).then(|| {
        html! {
            h1 { "On order" }
            ul.lines { @for line in open.iter().take(MOST) {
                li {
                    (line.to_come()) " x " b { (line.moulding) } " from " (line.supplier) ", "
                    @match &line.arrives {
                        Some(arrives) if *arrives < today => b { "OVERDUE since " (arrives) },
                        Some(arrives) => (arrives),
                        None => "not known when",
                    }
                }
            } }
        }
    })
}

/// The tickets that should have been ready before today: on the pile, or in work.
fn late<'a>(shop: &'a Shop, copies: &[CopyInWork], pile: &[String], day: Date) -> Vec<&'a Frame> {
    let is_open = |frame: &&Frame| {
        let in_work = copies.iter().any(|of| of.frame == frame.id && of.made.is_none());
        in_work || pile.contains(&frame.id)
    };
    let mut late: Vec<&Frame> = shop.frames.iter().filter(is_open).collect();
    late.retain(|frame| frame.due.is_some_and(|due| due < day));
    late.sort_by_key(|frame| frame.due);
    late
}

fn lateness(late: &[&Frame]) -> Option<Markup> {
    (!late.is_empty()).then(|| html! {
        h1 { "Late" }
        ul.lines { @for frame in late.iter().take(MOST) {
            li { b.label { (frame.id) }
                @if let Some(due) = frame.due { " was wanted on " (due.strftime("%A %-d %B")) } }
        } }
        @if late.len() > MOST { p.words { "and " (late.len() - MOST) " more" } }
    })
}

/// The promises that the plan does not keep.
fn promised(today: &Today) -> Option<Markup> {
    (!today.broken.is_empty()).then(|| {
        html! {
            h1 { "Promised, not kept" }
            ul.lines { @for (_, words) in today.broken.iter().take(MOST) { li { (words) } } }
        }
    })
}

/// The tickets of which something is on the pile.
pub(super) fn pile(book: &crate::book::Book) -> Result<Vec<String>, BookError> {
    Ok(book.snapshot()?.shop.frames.into_iter().map(|frame| frame.id).collect())
}
