//! One cut a screen: what the stop is to read, and what came of it.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::response::Response;
use maud::{Markup, html};

use super::hand::{Before, InHand, end};
use super::parts::{edge, plate, reading, way};
use super::{after, again, cautions, drawing};
use crate::book::{BenchRail, BookError, LastOnStick, words};
use crate::chop::Cut;
use crate::shop::Shop;
use crate::web::form::form;
use crate::web::page::{self, Screen};
use crate::web::press::{self, Press};
use crate::web::reply;
use crate::web::site::Site;
use crate::web::today::Today;
use crate::web::visit::Visit;

/// The next cut of a stick, or what is to be done after the last.
pub(super) async fn asked(
    State(site): State<Arc<Site>>,
    Path(label): Path<String>,
    visit: Visit,
) -> Response {
    page::aside(move || {
        let today = site.today()?;
        let Ok(hand) = InHand::find(&today, &label) else {
            // Nothing is cut from it any more: the list says what is.
            return Ok(reply::go(&format!("/bench?{}", visit.said())));
        };
        let page = match cautions::first(&site, &visit, (&today.shop, &hand))? {
            Some(first) => first,
            None => match after::asked(&visit, &today, &hand) {
                Some(page) => page,
                None => screens(&site, &visit, &today, &hand)?,
            },
        };
        page::whole(&site, &visit, page)
    })
    .await
}

/// The next cut, and hidden behind it those after it and what comes after the last: where
/// the line is down they are at hand all the same.
fn screens(site: &Site, visit: &Visit, today: &Today, hand: &InHand) -> Result<Screen, BookError> {
    let shop = &today.shop;
    let last = site.look(|book| book.last_on(hand.label()))?;
    let to_cut = hand.to_cut();
    let label = hand.label();
    let title = format!("{label}: cut");
    if let Some(waits) = again::measured(visit, hand) {
        let main = html! { p.where { (plate(hand)) } (waits) };
        return Ok(Screen::new(title, main));
    }
    let (back, of_back) = back_one(visit, (shop, hand), last.as_ref());
    let tie = |made: usize| {
        let cut: Vec<i64> = to_cut[..made].iter().map(|(_, rail)| rail.id()).collect();
        let last = to_cut[..made].last().map(|(_, rail)| *rail);
        let complete = last.filter(|rail| hand.completes(&rail.frame, rail.copy, &cut));
        html! { @if let Some(rail) = complete { (after::tie(shop, rail)) } }
    };
    let main = html! {
        (again::owed_of(visit, shop, hand))
        @for (at, (cut, rail)) in to_cut.iter().enumerate() {
            @let made = at.checked_sub(1).map(|before| to_cut[before].0);
            section.cut data-cut=(cut.number) hidden[at > 0] {
                (tie(at))
                @if hand.is_on_flaw(rail) {
                    p.band role="alert" { b { "THIS CUT LIES ON A FLAW" } " Plan the rest again." }
                    div.presses.two { (again::press(visit, hand.at.job)) (back) }
                    p.what { (of_back) }
                } @else {
                    (screen(shop, hand, (cut, rail), &hand.before(cut, made), to_cut.get(at + 1).map(|next| next.0)))
                    @match at {
                        0 => {
                            (presses(visit, label, rail, &back))
                            p.what { (of_back) }
                        },
                        _ => (presses(visit, label, rail, &back_kept(visit, label))),
                    }
                }
            }
        }
        section.cut data-cut="0" hidden {
            (tie(to_cut.len()))
            p.words { "All cuts of " (label) " are pressed here. What is kept is sent when the line is back; then the page goes on." }
            (after::rest(shop, hand))
            @if let Some(next) = hand.next_stick(today) { (after::fetch(&next)) }
            div.presses.two { (back_kept(visit, label)) }
        }
        section.cut data-cut="wait" hidden {
            p.words { "What you pressed is kept, and sent when the line is back; then the page goes on. Cut nothing of " (label) " until it says what comes next." }
        }
    };
    Ok(Screen::new(title, main))
}

fn screen(
    shop: &Shop,
    hand: &InHand,
    (cut, rail): (&Cut, &BenchRail),
    before: &Before,
    next: Option<&Cut>,
) -> Markup {
    let style = shop.settings.style();
    let (place, all) = hand.place(rail.number);
    html! {
        p.where { (plate(hand)) span { "cut " b { (place) } " of " (all) } }
        (bands(shop, (cut, end(hand.is_whole() && cut.number == 1)), before))
        p.stop {
            span.edge { (edge(hand.sheet)) ", " (style.unit.symbol()) }
            (reading(&style.show(cut.stop)))
        }
        p.rail { b { (words::rail(shop, rail)) } @if cut.clamp { " " b.clamp { "CLAMP" } } }
        p.next {
            @match next {
                Some(next) => { "then " (style.show(next.stop)) ", " (named(shop, next)) },
                None => { "then " (rest(shop, hand)) },
            }
        }
        (drawing::drawn(hand, Some(rail)))
    }
}

/// What is done to machine and stick before the cut, each as wide as the screen.
fn bands(shop: &Shop, (cut, end): (&Cut, &str), before: &Before) -> Markup {
    let style = shop.settings.style();
    html! {
        @if let Some((from, to)) = before.away {
            p.band { b { "CUT AWAY " (style.show_unit(to - from)) } " from the " (end)
                @for left in &before.kept {
                    @if left.keep { ": of it " b { "KEEP " (style.show_down_unit(left.length)) ", label it " (left.label) } }
                }
            }
        }
        @if before.mitre {
            p.band { b { "SET MITRE " (cut.rail.mitre.degrees()) "\u{b0}" @if before.stop { " AND STOP" } } }
        } @else if before.stop {
            p.band { b { "SET THE STOP" } }
        }
        @if cut.turn { p.band { b { "TURN THE STICK OVER" } ", the blade at rest" } }
    }
}

fn named(shop: &Shop, cut: &Cut) -> String {
    let rail = &cut.rail;
    words::side(shop, (&rail.frame, rail.copy), rail.layer, rail.side)
}

/// What remains of the stick in the end.
fn rest(shop: &Shop, hand: &InHand) -> String {
    let style = shop.settings.style();
    let lay = &hand.stick.lay;
    match lay.label.as_str() {
        "" => format!("scrap {}", style.show_unit(lay.remains)),
        label => format!("keep {}, label {label}", style.show_down_unit(lay.remains)),
    }
}

fn presses(visit: &Visit, label: &str, rail: &BenchRail, back: &Markup) -> Markup {
    let fields = html! {
        input type="hidden" name="rail" value=(rail.id());
        input type="hidden" name="number" value=(rail.number);
        input type="hidden" name="stick" value=(label);
        input type="hidden" name="back" value=(way(label, "cut"));
    };
    html! {
        @if visit.may_press("/bench/cut") {
            div.presses.cuts {
                (form(visit, "/bench/cut", &html! { (fields) button.go.huge { "CUT" } }))
                (form(visit, "/bench/chip", &html! { (fields) button { "CHIPPED" } }))
                a.big href=(way(label, "flaw")) { "FLAW" }
                a.big href=(way(label, "wrong")) { "WRONG STICK" }
                (back)
            }
        } @else {
            div.presses.two { a.big href="/bench" { "ALL STICKS" } }
        }
    }
}

/// A press that is kept while the line is down taken back: the script says which, and goes
/// back to its cut, which may then be pressed anew under a token of its own.
fn back_kept(visit: &Visit, label: &str) -> Markup {
    form(
        visit,
        "/undo",
        &html! {
            input type="hidden" name="press";
            input type="hidden" name="back" value=(way(label, "cut"));
            input.again type="hidden" value=(visit.token());
            button { "BACK ONE" }
        },
    )
}

/// What was done last to this stick taken back, where it was made on this device and
/// nothing came since; else why that cannot be. Where nothing was done to it, the way back
/// to its length. And what it is of, in words.
fn back_one(
    visit: &Visit,
    (shop, hand): (&Shop, &InHand),
    last: Option<&LastOnStick>,
) -> (Markup, String) {
    let Some(last) = last else {
        return (html! { a.big href=(way(hand.label(), "")) { "BACK ONE" } }, String::new());
    };
    let what = done_last(shop, hand, last);
    let own = &last.step.done;
    let why = match &last.since {
        Some(since) => Some(format!("after it came {}", since.done)),
        None if !last.alone => Some("other sticks were cut in the same step".to_owned()),
        None if own.who != visit.session.device.name => Some(format!("it was {own}")),
        None => None,
    };
    match why {
        None => {
            let press = html! {
                input type="hidden" name="step" value=(own.number);
                input type="hidden" name="back" value=(visit.path);
                button { "BACK ONE" }
            };
            (form(visit, "/undo", &press), format!("BACK ONE takes back {what}."))
        }
        Some(why) => (
            html! { a.big href="/steps" { "STEPS" } },
            format!("Last here was {what}, which is not taken back here: {why}."),
        ),
    }
}

/// What was done last to the stick in hand: `cut 2 of S-204, 4108 top`.
fn done_last(shop: &Shop, hand: &InHand, last: &LastOnStick) -> String {
    let rails = &hand.stick.lay.rails;
    let chip = if last.step.done.what == "spoil" { "the chip at " } else { "" };
    let each = last.cuts.iter().filter_map(|number| {
        let rail = rails.get(number.checked_sub(1)?)?;
        let (place, _) = hand.place(*number);
        Some(format!("{chip}cut {place} of {}, {}", hand.label(), words::rail(shop, rail)))
    });
    let each: Vec<String> = each.collect();
    match each.as_slice() {
        [] if last.step.done.what == "flaw" => format!("the flaw of {}", hand.label()),
        [] => format!("the {} of {}", last.step.done.what, hand.label()),
        some => some.join("; "),
    }
}

/// Where a press on a cut leads: to what is to be done after it.
fn on(press: &Press) -> String {
    let number: u32 = press.text("number").parse().unwrap_or(0);
    way(press.text("stick"), &format!("cut?after={number}"))
}

pub(super) async fn cut(State(site): State<Arc<Site>>, press: Press) -> Response {
    let to = on(&press);
    press::step(site, press, to, |book, press, stamp| {
        book.cut_next(press.number("rail")?, stamp).map(drop)
    })
    .await
}

pub(super) async fn chipped(State(site): State<Arc<Site>>, press: Press) -> Response {
    let to = on(&press);
    press::step(site, press, to, |book, press, stamp| {
        book.spoil_next(press.number("rail")?, stamp).map(drop)
    })
    .await
}
