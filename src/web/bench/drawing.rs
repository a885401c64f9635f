//! The stick in hand, drawn to scale: what is off, what comes next, where one is.

use std::fmt::Write;

use maud::{Markup, PreEscaped, html};

use super::hand::InHand;
use super::parts::way;
use crate::book::{BenchRail, RailState};
use crate::measure::Length;
use crate::shop::Flaw;

/// The drawing's width and height, in units of its own.
const WIDE: f64 = 1000.0;
const HIGH: f64 = 130.0;

/// Where the stick begins and ends, below the mark that says where one is.
const TOP: f64 = 40.0;
const BOTTOM: f64 = 125.0;

/// The stick with a mark at a cut; nothing in it is said by colour alone, and words are
/// beside it: they would grow and shrink with it. A tap on it is where a flaw begins.
pub fn drawn(hand: &InHand, here: Option<&BenchRail>) -> Markup {
    tapped(hand, Length::ZERO, drawn_from(hand, (here, None), Length::ZERO))
}

/// What is left of the stick, from the end that was cut last, with the piece where a flaw
/// begins, if that was tapped.
pub fn drawn_left(hand: &InHand, begun: Option<Flaw>) -> Markup {
    let begin = hand.stick.lay.length - hand.stick.left;
    let begun = begun.map(|flaw| Flaw { from: flaw.from + begin, to: flaw.to + begin });
    tapped(hand, begin, drawn_from(hand, (None, begun), begin))
}

/// A drawing from some place on, on which a tap is one on the piece of that place among
/// those that are counted from the end that was cut last. It is the same as FLAW for who
/// does not tap, and the script knows the place.
fn tapped(hand: &InHand, begin: Length, drawing: Markup) -> Markup {
    let (lay, left) = (&hand.stick.lay, hand.stick.left);
    let gone = lay.length - left - begin;
    html! {
        a.tap href=(way(hand.label(), "flaw")) tabindex="-1" aria-hidden="true"
            data-long=((lay.length - begin).nm()) data-gone=(gone.nm()) data-slot=(hand.slot().nm()) { (drawing) }
    }
}

fn drawn_from(
    hand: &InHand,
    (here, begun): (Option<&BenchRail>, Option<Flaw>),
    begin: Length,
) -> Markup {
    let length = (hand.stick.lay.length - begin).as_mm().max(1.0);
    let x = |along: Length| (along - begin).as_mm() * WIDE / length;
    let mut out = format!(
        "<svg class=\"stick\" viewBox=\"-6 0 1012 {HIGH}\" role=\"img\" aria-hidden=\"true\" \
         preserveAspectRatio=\"none\"><defs>{HATCHINGS}</defs>\
         <rect class=\"ground\" x=\"0\" y=\"{TOP}\" width=\"{WIDE}\" height=\"{}\"/>",
        BOTTOM - TOP
    );
    let slanted = |rail: &BenchRail| {
        let slant = rail.mitre.slope() * hand.steps.width.as_mm();
        (slant * WIDE / length).min((x(rail.to) - x(rail.from)) / 2.0)
    };
    let is_drawn = |rail: &&BenchRail| rail.state != RailState::Off && rail.to > begin;
    for rail in hand.stick.lay.rails.iter().filter(is_drawn) {
        let (long, short) = if rail.turned { (BOTTOM, TOP) } else { (TOP, BOTTOM) };
        let (from, to, slant) = (x(rail.from), x(rail.to), slanted(rail));
        let is_here = here.is_some_and(|here| here.id() == rail.id());
        let class = match rail.state {
            _ if is_here => "here",
            RailState::ToCut => "open",
            _ => "off",
        };
        let _ = write!(
            out,
            "<polygon class=\"{class}\" points=\"{from:.1},{long} {to:.1},{long} {:.1},{short} {:.1},{short}\"/>",
            to - slant,
            from + slant
        );
        if is_here {
            let middle = (from + to) / 2.0;
            let _ = write!(
                out,
                "<polygon class=\"mark\" points=\"{:.1},2 {:.1},2 {middle:.1},{}\"/>",
                middle - 22.0,
                middle + 22.0,
                TOP - 4.0
            );
        }
    }
    for flaw in hand.steps.flaws.iter().chain(&begun) {
        let _ = write!(
            out,
            "<rect class=\"flawed\" x=\"{:.1}\" y=\"{TOP}\" width=\"{:.1}\" height=\"{}\"/>",
            x(flaw.from),
            (x(flaw.to) - x(flaw.from)).max(4.0),
            BOTTOM - TOP
        );
    }
    out.push_str("</svg>");
    PreEscaped(out)
}

/// What is off is hatched one way, a flaw both ways.
const HATCHINGS: &str = "<pattern id=\"gone\" width=\"12\" height=\"12\" patternUnits=\"userSpaceOnUse\" \
     patternTransform=\"rotate(45)\"><path class=\"hatch\" d=\"M0 0V12\"/></pattern>\
     <pattern id=\"bad\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\" \
     patternTransform=\"rotate(45)\"><path class=\"hatch\" d=\"M0 0V8M0 0H8\"/></pattern>";
