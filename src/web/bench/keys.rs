//! A length typed with large keys, each of them a way to the same page with one more
//! figure: without scripts too, and in inches with fractions as keys.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::response::Response;
use maud::{Markup, PreEscaped, html};

use super::hand::InHand;
use super::parts::{plate, way};
use crate::book::words::{corrected_words, is_far};
use crate::book::{BookError, Correction, RackQuery};
use crate::measure::{Length, LengthStyle, Unit, parse_length};
use crate::report::escape::figure;
use crate::shop::shown;
use crate::web::form::{form, spelt};
use crate::web::page::{self, Screen};
use crate::web::press::{self, Press};
use crate::web::site::Site;
use crate::web::visit::Visit;

/// The fractions that are keys; finer ones no rule at a bench is read to.
const FRACTIONS: [&str; 15] = [
    "1/16", "1/8", "3/16", "1/4", "5/16", "3/8", "7/16", "1/2", "9/16", "5/8", "11/16", "3/4",
    "13/16", "7/8", "15/16",
];

/// More figures than any length has.
const LONGEST: usize = 8;

/// What is said of no length at all.
const NOTHING: &str = "A stick is longer than nothing";

/// What was typed: whole units, with a point where there is one, and a fraction.
struct Typed {
    whole: String,
    part: String,
}

impl Typed {
    fn of(visit: &Visit) -> Typed {
        let plain = |c: &char| c.is_ascii_digit() || *c == '.';
        let whole = visit.query("whole").chars().filter(plain).take(LONGEST).collect();
        let part = visit.query("part");
        let part = FRACTIONS.iter().find(|own| **own == part).copied().unwrap_or_default();
        Typed { whole, part: part.to_owned() }
    }

    /// As it is shown and read.
    fn text(&self) -> String {
        [self.whole.as_str(), &self.part].join(" ").trim().to_owned()
    }

    fn query(&self, how: &str) -> String {
        format!("length?how={how}&whole={}&part={}", spelt(&self.whole), spelt(&self.part))
    }

    /// The same after one more key.
    fn and(&self, key: &str) -> Typed {
        let (mut whole, mut part) = (self.whole.clone(), self.part.clone());
        match key {
            "back" if !part.is_empty() => part.clear(),
            "back" => drop(whole.pop()),
            fraction if fraction.contains('/') => part = fraction.to_owned(),
            _ if whole.len() < LONGEST => whole.push_str(key),
            _ => {}
        }
        Typed { whole, part }
    }
}

/// The keys.
pub(super) async fn typed(
    State(site): State<Arc<Site>>,
    Path(label): Path<String>,
    visit: Visit,
) -> Response {
    page::show(site, visit, move |site, visit| {
        let today = site.today()?;
        let hand = InHand::find(&today, &label)?;
        let settings = &today.shop.settings;
        let how = if visit.query("how") == "longer" { "longer" } else { "shorter" };
        let typed = Typed::of(visit);
        let style = settings.style();
        let fits = parse_length(&typed.text(), settings.unit).ok();
        let left = left(&hand);
        let is_so = fits.is_some_and(|length| is_so(how, length, left));
        let label = hand.label();
        let main = html! {
            p.where { (plate(&hand)) span { "in the book " (style.show_unit(left)) } }
            h1 { "It is " (how) ". Its length, tip to tip along the back edge:" }
            p.typed aria-live="polite" { (PreEscaped(figure(&typed.text()))) " "
                span.unit { (style.unit.symbol()) } }
            @if fits.is_some() && !is_so { p.words { @if fits.is_some_and(Length::is_positive) { "That is not " (how) " than in the book." }
                @else { (NOTHING) "." } } }
            @let far = fits.filter(|length| is_so && is_far(*length, left));
            @match far.filter(|_| visit.query("sure") == "ask") {
                Some(length) => p.band.wide role="alert" { "That is " b { (apart(length, left, &style)) } " " (how)
                    " than in the book. Is it this stick, and measured twice?" },
                None => (keys(&typed, (label, how), settings.unit)),
            }
            div.presses.two {
                @if far.is_some() && visit.query("sure") != "ask" {
                    a.big.go href=(way(label, &format!("{}&sure=ask", typed.query(how)))) { "THAT IS ITS LENGTH" }
                } @else {
                    (form(visit, &way(label, "length"), &html! {
                        input type="hidden" name="length" value=(typed.text());
                        input type="hidden" name="how" value=(how);
                        @if far.is_some() { input type="hidden" name="sure" value="yes"; }
                        input type="hidden" name="back" value=(way(label, &typed.query(how)));
                        button.go disabled[!is_so] { @if far.is_some() { "YES, THAT IS ITS LENGTH" } @else { "THAT IS ITS LENGTH" } }
                    }))
                }
                a.big href=(way(label, if hand.is_whole() { "" } else { "cut" })) { "AS IT WAS" }
            }
        };
        Ok(Screen::new(format!("{label}: {how}"), main))
    })
    .await
}

fn keys(typed: &Typed, (label, how): (&str, &str), unit: Unit) -> Markup {
    let key = |key: &str| way(label, &typed.and(key).query(how));
    html! {
        div.keypad {
            div.figures {
                @for figure in ["7", "8", "9", "4", "5", "6", "1", "2", "3"] {
                    a.big href=(key(figure)) { (figure) }
                }
                @if unit == Unit::Millimetre { a.big href=(key(".")) { "." } }
                @else { span {} }
                a.big href=(key("0")) { "0" }
                a.big href=(key("back")) aria-label="take the last one away" { "\u{232b}" }
            }
            @if unit == Unit::Inch {
                div.fractions {
                    @for part in FRACTIONS { a.big href=(key(part)) { (part) } }
                }
            }
        }
    }
}

/// How much of the stick is left in the book.
fn left(hand: &InHand) -> Length {
    hand.stick.left
}

fn is_so(how: &str, length: Length, left: Length) -> bool {
    length.is_positive() && if how == "longer" { length > left } else { length < left }
}

fn apart(length: Length, left: Length, style: &LengthStyle) -> String {
    style.show_unit(length.max(left) - length.min(left))
}

/// Corrects the stick, where it is as the press says: what follows the book says.
pub(super) async fn measured(
    State(site): State<Arc<Site>>,
    Path(label): Path<String>,
    press: Press,
) -> Response {
    let to = way(&label, "cut?after=0");
    press::saying(site, press, to, move |book, press, stamp| {
        let shop = book.shop()?;
        let settings = &shop.settings;
        let text = press.text("length");
        let length = parse_length(text, settings.unit)
            .map_err(|fault| BookError::Wrong(format!("{:?} {fault}", shown(text))))?;
        let rack = book.rack(&RackQuery::default())?;
        let left = rack.iter().find(|on| on.stick.id.eq_ignore_ascii_case(&label)).map(|on| on.stick.length);
        if !length.is_positive() {
            return Err(BookError::Wrong(format!("{NOTHING} (measure again)")));
        }
        let (how, style) = (press.text("how"), settings.style());
        if let Some(left) = left.filter(|left| !is_so(how, length, *left)) {
            return Err(BookError::Wrong(format!(
                "{} is not {how} than the {} that the book has of {label} (measure again, or say that \
                 it is the other)",
                style.show_unit(length),
                style.show_unit(left)
            )));
        }
        if let Some(left) = left.filter(|left| is_far(length, *left) && press.text("sure") != "yes") {
            return Err(BookError::Wrong(format!(
                "{} is {} {how} than the book has of {label}: more than a quarter of it (look whether \
                 it is this stick, measure again, and say so twice)",
                style.show_unit(length),
                apart(length, left, &style)
            )));
        }
        let correction = Correction { length: Some(length), ..Correction::default() };
        let corrected = book.correct(&label, &correction, stamp)?;
        Ok(corrected_words((book.path(), &label), &shop, &corrected))
    })
    .await
}
