//! Joiner and fitter: whose rails are all there, what the frame is to be, and what becomes
//! of it.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, State};
use axum::response::Response;
use axum::routing::{get, post};
use maud::{Markup, html};

use super::form::{form, spelt};
use super::job::job;
use super::page::{self, Screen};
use super::press::{self, Press};
use super::site::Site;
use super::today::Today;
use super::visit::Visit;
use crate::book::{Assembly, BookError, CopyInWork, RailState, Which, words};
use crate::rails::{LayerRails, Side, frame_rails};
use crate::report::job_words::{show_fine, style};
use crate::report::name;
use crate::shop::{Frame, Kind, Match, Shop};
use crate::ticket::{glue_sets, glue_words};

pub(super) fn routes() -> Router<Arc<Site>> {
    Router::new()
        .route("/joiner", get(list))
        .route("/joiner/{frame}/{copy}", get(ticket))
        .route("/joiner/back", post(back))
        .route("/joiner/made", post(made))
        .route("/joiner/remake", post(remade))
}

/// The frame copies in work, those that are complete first, then by the day they are
/// wanted on.
fn in_work(site: &Site, shop: &Shop) -> Result<Vec<CopyInWork>, BookError> {
    let day = site.now()?.date();
    let mut all = site.look(|book| book.in_work(day))?;
    let due = |of: &CopyInWork| {
        let due = shop.frame(&of.frame).and_then(|frame| frame.due);
        (due.is_none(), due)
    };
    all.sort_by_key(|of| (of.made == Some(Assembly::Fitted), !of.is_complete(), due(of)));
    Ok(all)
}

async fn list(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::show(site, visit, |site, _| {
        let today = site.today()?;
        let shop = &today.shop;
        let all = in_work(site, shop)?;
        let main = html! {
            h1 { "Joiner and fitter" }
            @if all.is_empty() { p.words { "Nothing is cut that waits to be joined." } }
            ol.fetch {
                @for of in &all { (row(shop, of)) }
            }
        };
        Ok(Screen::new("Joiner", main))
    })
    .await
}

fn way(of: &CopyInWork) -> String {
    format!("/joiner/{}/{}", spelt(&of.frame), of.copy)
}

fn row(shop: &Shop, of: &CopyInWork) -> Markup {
    let frame = shop.frame(&of.frame);
    let due = frame.and_then(|frame| frame.due);
    html! {
        li { a href=(way(of)) {
            b.label { (words::ticket(shop, &of.frame, of.copy)) }
            span.facts {
                @if let Some(frame) = frame { (mouldings(frame)) " " (size(shop, frame)) }
                @if let Some(due) = due { ", due " (due.strftime("%a %-d %b")) }
            }
            span.place { (stands(of)) }
        } }
    }
}

/// How far it is, in words.
fn stands(of: &CopyInWork) -> String {
    match of.made {
        Some(made) => made.word().to_uppercase(),
        None if of.is_complete() => "COMPLETE".to_owned(),
        None => format!("{} of {} rails", of.rails.len(), of.all),
    }
}

fn mouldings(frame: &Frame) -> String {
    let all: Vec<&str> = frame.layers.iter().map(|layer| layer.moulding.as_str()).collect();
    all.join(" in ")
}

fn size(shop: &Shop, frame: &Frame) -> String {
    let style = shop.settings.style();
    format!("{} x {}", style.show(frame.width), style.show_unit(frame.height))
}

/// The ticket: what it is to be, layer by layer.
async fn ticket(
    State(site): State<Arc<Site>>,
    Path((id, copy)): Path<(String, u32)>,
    visit: Visit,
) -> Response {
    page::show(site, visit, move |site, visit| {
        let today = site.today()?;
        let shop = &today.shop;
        let all = in_work(site, shop)?;
        let of = all.into_iter().find(|of| of.frame == id && of.copy == copy);
        let no_ticket = || BookError::Wrong(format!("there is no ticket {id}"));
        let frame = shop.frame(&id).ok_or_else(no_ticket)?;
        let Some(of) = of else { return not_here(site, shop, frame, copy) };
        let layers = frame_rails(shop, frame);
        let main = html! {
            p.where { b.label { (words::ticket(shop, &id, copy)) } span { (stands(&of)) } }
            @if !frame.note.is_empty() { p { (frame.note) } }
            p.words { "Package " b { (size(shop, frame)) } (thickness(shop, frame)) }
            @if of.made.is_some() { (glue_holds(site, shop, (&id, copy))?) }
            (presses(visit, &of))
            @for layer in &layers { (layer_of(&today, frame, &of, layer)) }
            (job(shop, frame, site.now()?.date())?)
            (remake(visit, shop, &of, frame))
            @if of.rails.is_empty() { (put_back(visit, shop, &id, copy)) }
            div.presses.two { a.big href="/joiner" { "ALL TICKETS" } }
        };
        Ok(Screen::new(format!("Ticket {id}"), main))
    })
    .await
}

/// A copy of which nothing waits to be joined or fitted: where it is.
fn not_here(site: &Site, shop: &Shop, frame: &Frame, copy: u32) -> Result<Screen, BookError> {
    let all = site.look(|book| book.copies_of(frame))?;
    let Some(of) = all.iter().find(|of| of.copy == copy) else {
        let (id, copies) = (&frame.id, words::count(all.len(), "copy", "copies"));
        return Err(BookError::Wrong(format!("ticket {id} has {copies}, and no copy {copy}")));
    };
    let stands = match of.state.as_str() {
        "" => "Nothing of it is cut yet: it is on the pile.",
        "cancelled" => "It is cancelled.",
        "bought" => "It came chopped: there is nothing to be cut for it.",
        _ if of.made == Assembly::Fitted.word() => "It is fitted.",
        _ => "It was cut so long ago that it is not asked for here any more.",
    };
    let main = html! {
        p.where { b.label { (words::ticket(shop, &frame.id, copy)) } }
        p.words { (stands) }
        div.presses.two { a.big href="/joiner" { "ALL TICKETS" } }
    };
    Ok(Screen::new(format!("Ticket {}", frame.id), main))
}

/// What its glue asks until it holds, where it is joined and has a job.
pub(super) fn glue_holds(
    site: &Site,
    shop: &Shop,
    (frame, copy): (&str, u32),
) -> Result<Markup, BookError> {
    let joined = site.look(|book| book.joined_at(frame, copy))?;
    let now = site.now()?;
    let words = joined.and_then(|joined| glue_sets(shop, frame, (joined, now)));
    Ok(
        html! { @if let Some(words) = words { p.band { (words::ticket(shop, frame, copy)) ": " (words) } } },
    )
}

/// As its job says it below: never less than it is.
fn thickness(shop: &Shop, frame: &Frame) -> String {
    let thick = shop.thickness_of(frame);
    thick.map_or(String::new(), |thick| format!(", {} thick", show_fine(thick, &style(shop))))
}

/// One layer: its moulding, its rails, its rabbet against the package, its lot and match.
fn layer_of(today: &Today, frame: &Frame, of: &CopyInWork, rails: &LayerRails) -> Markup {
    let shop = &today.shop;
    let style = shop.settings.style();
    let layer = &frame.layers[rails.layer - 1];
    let moulding = shop.moulding(&layer.moulding);
    let rabbets = shop.rabbets(frame, shop.thickness_of(frame));
    let own = rabbets.iter().find(|of| of.layer == rails.layer);
    let both = own.and_then(|own| own.holds.zip(own.depth));
    let too_thick = both.filter(|(holds, depth)| holds > depth).map(|(_, depth)| depth);
    let cut: Vec<_> = of.rails.iter().filter(|(_, rail)| rail.layer == rails.layer).collect();
    html! {
        section.framed {
            h2 { @if frame.layers.len() > 1 { "Layer " (rails.layer) " of " (frame.layers.len()) ", from the inside: " }
                (layer.moulding) " " (moulding.name) }
            @if let Some(depth) = too_thick {
                p.band { @if moulding.kind == Kind::Floater {
                    b { "STANDS OUT" } " in front: the floater is " (style.show_down_unit(depth)) " deep inside, and nothing guards what is in it there. A floater is not built out: ask at the counter before you fit it."
                } @else {
                    b { "TOO THICK" } ": the rabbet takes " (style.show_down_unit(depth)) ". Build the back out, safely held."
                } }
            }
            table {
                thead { tr { th { "Rail" } th { "Long point" } th { "Sight" } th { "From" } } }
                tbody { @for rail in &rails.rails {
                    @let own = cut.iter().find(|(_, own)| own.side == rail.side);
                    tr {
                        td { (name::side(rail.side)) }
                        td.whole { (style.show(rail.long_point)) }
                        td.whole { (style.show(rail.sight)) }
                        td { @match own {
                            Some((stick, _)) => { (stick.stick) @if !stick.lot.is_empty() { " lot " (stick.lot) } },
                            None => "not cut yet",
                        } }
                    }
                } }
            }
            @if layer.match_ != Match::Any {
                @let given = given(today, of, rails.layer).unwrap_or(layer.match_).min(layer.match_);
                p { "Match " b { (given.word()) }
                    @if given != layer.match_ { " (" (layer.match_.word()) " was impossible)" }
                    (runs(given, &cut)) }
            }
        }
    }
}

/// How alike the rails of a layer were planned to be, as far as any is cut or to be cut.
fn given(today: &Today, of: &CopyInWork, layer: usize) -> Option<Match> {
    let at_bench = today.plans.iter().flat_map(|(at, _)| &at.sticks);
    let at_bench = at_bench.flat_map(|stick| &stick.lay.rails).filter(|rail| {
        (&rail.frame, rail.copy) == (&of.frame, of.copy) && rail.state == RailState::ToCut
    });
    let rails = of.rails.iter().map(|(_, rail)| rail).chain(at_bench);
    rails.filter(|rail| rail.layer == layer).map(|rail| rail.alike).max()
}

/// In which order the rails of a wrap run, and where the figure does not run on.
fn runs(match_: Match, cut: &[&(crate::book::StickLayout, crate::book::BenchRail)]) -> String {
    if match_ != Match::Wrap || cut.is_empty() {
        return String::new();
    }
    let mut run: Vec<_> =
        cut.iter().map(|(stick, rail)| (&stick.stick, rail.from, rail.side)).collect();
    run.sort_unstable();
    let names: Vec<String> = run.iter().map(|(.., side)| name::side(*side)).collect();
    let ends = |side: Option<&String>| side.cloned().unwrap_or_default();
    format!(
        ": they run {}; the odd corner is {} to {}",
        names.join(", "),
        ends(names.last()),
        ends(names.first())
    )
}

/// What every form of a ticket carries.
fn fields(of: &CopyInWork) -> Markup {
    html! {
        input type="hidden" name="frame" value=(of.frame);
        input type="hidden" name="copy" value=(of.copy);
        input type="hidden" name="back" value=(way(of));
    }
}

fn presses(visit: &Visit, of: &CopyInWork) -> Markup {
    let press = |made: Assembly| {
        form(
            visit,
            "/joiner/made",
            &html! {
                (fields(of))
                input type="hidden" name="made" value=(made.word());
                button.go.huge { (made.word().to_uppercase()) }
            },
        )
    };
    html! {
        @if of.is_complete() {
            div.presses.two {
                @if of.made.is_none() { (press(Assembly::Joined)) }
                @if of.made != Some(Assembly::Fitted) { (press(Assembly::Fitted)) }
            }
        }
    }
}

fn remake(visit: &Visit, shop: &Shop, of: &CopyInWork, frame: &Frame) -> Markup {
    html! {
        @if !of.rails.is_empty() && visit.may_press("/joiner/remake") {
            h2 { "REMAKE: it goes to the top of the pile" }
            div.keys {
                @for (_, rail) in &of.rails {
                    (form(visit, "/joiner/remake", &html! {
                        (fields(of))
                        input type="hidden" name="layer" value=(rail.layer);
                        input type="hidden" name="side" value=(rail.side);
                        button { (side(frame, rail.layer, rail.side)) }
                    }))
                }
                (form(visit, "/joiner/remake", &html! {
                    (fields(of)) button { "ALL OF " (words::ticket(shop, &of.frame, of.copy)) }
                }))
            }
        }
    }
}

/// A copy of which nothing is cut goes back on the pile.
pub(super) fn put_back(visit: &Visit, shop: &Shop, frame: &str, copy: u32) -> Markup {
    form(
        visit,
        "/joiner/back",
        &html! {
            input type="hidden" name="frame" value=(frame);
            input type="hidden" name="copy" value=(copy);
            button { "NOT TODAY: " (words::ticket(shop, frame, copy)) " BACK ON THE PILE" }
        },
    )
}

async fn back(State(site): State<Arc<Site>>, press: Press) -> Response {
    press::saying(site, press, "/joiner".to_owned(), |book, press, stamp| {
        let frame = press.text("frame");
        let back = book.put_back_ticket(frame, Some(copy(press)?), stamp)?;
        Ok(words::put_back_words(frame, &book.shop()?, &back))
    })
    .await
}

fn side(frame: &Frame, layer: usize, side: Side) -> String {
    let side = name::side(side);
    if frame.layers.len() > 1 { format!("{side}, layer {layer}") } else { side }
}

async fn made(State(site): State<Arc<Site>>, press: Press) -> Response {
    let to = press.text("back").to_owned();
    press::saying(site, press, to, |book, press, stamp| {
        let made = if press.text("made") == "fitted" { Assembly::Fitted } else { Assembly::Joined };
        let (frame, copy) = book.make(press.text("frame"), Some(copy(press)?), made, stamp)?;
        let shop = book.shop()?;
        let fitted = (made == Assembly::Fitted).then_some(stamp.at);
        let joined = book.joined_at(&frame, copy)?;
        let more = glue_words(&shop, &frame, joined, fitted);
        Ok(words::made_words(&shop, (&frame, copy), made, more))
    })
    .await
}

async fn remade(State(site): State<Arc<Site>>, press: Press) -> Response {
    press::saying(site, press, "/joiner".to_owned(), |book, press, stamp| {
        let layer = press.text("layer").parse().ok();
        let side = Some(press.text("side").to_owned()).filter(|side| !side.is_empty());
        let which = Which { copy: Some(copy(press)?), layer, side };
        let spoilt = book.spoil_frame(press.text("frame"), &which, stamp)?;
        words::spoiled_words(book, &spoilt)
    })
    .await
}

fn copy(press: &Press) -> Result<u32, BookError> {
    let number = press.number("copy")?;
    u32::try_from(number).map_err(|_| BookError::Wrong("there is no such copy".to_owned()))
}
