//! The labels to print: one for each offcut that is kept, one for each frame's rails.

use std::collections::BTreeMap;
use std::fmt::Write;

use crate::plan::{CutStick, Left, PlacedRail, Plan};
use crate::shop::{Flaw, Shop};

use super::escape::{escape, figure};
use super::html::head;
use super::name::{self, Names};
use super::square;
use super::summary::{flaws_of, kept};
use super::words;

/// How square codes stand on them.
const SQUARE: &str = "<style>
.label { position: relative; }
.label svg { position: absolute; top: 3mm; right: 4mm; width: 22mm; height: 22mm; }
.label .big, .label .long, .label .what { margin-right: 24mm; }
.label .big + .what { min-height: 13mm; }
.label .big + table { margin-top: 13mm; }
</style>
";

/// Labels two abreast, with lines to cut along. An offcut's length is rounded
/// down to what a ruler shows, so that it never promises too much. Each has a square code: it
/// opens what the label is about where the shop has given its page's address, and is the
/// label or the ticket itself elsewhere, for a scanner that types.
pub fn labels(plan: &Plan, shop: &Shop) -> String {
    let mut out = head("Labels", plan);
    out.push_str(SQUARE);
    if kept(plan).next().is_some() {
        out.push_str("<h2 class=\"part-head\">Offcuts for the rack: put the label on the end just cut</h2>\n<div class=\"sheet\">\n");
        for (stick, left) in kept(plan) {
            offcut(&mut out, plan, shop, stick, left);
        }
        out.push_str("</div>\n");
    }
    let bundles = bundles(plan);
    if !bundles.is_empty() {
        out.push_str("<h2 class=\"part-head\">Frames: tie one to each set of rails</h2>\n<div class=\"sheet\">\n");
        for ((frame, copy), rails) in bundles {
            bundle(&mut out, shop, frame, copy, &rails);
        }
        out.push_str("</div>\n");
    }
    out.push_str("</body>\n</html>\n");
    out
}

fn offcut(out: &mut String, plan: &Plan, shop: &Shop, stick: &CutStick, left: &Left) {
    let style = shop.settings.style();
    let lot =
        if stick.lot.is_empty() { String::new() } else { format!("lot {}, ", escape(&stick.lot)) };
    let zone = |flaw: &Flaw| {
        let (from, to) = (figure(&style.show(flaw.from)), figure(&style.show(flaw.to)));
        format!("<div class=\"what flawed\">flaw {from} to {to} from this end</div>")
    };
    let flaws = flaws_of(stick, left);
    let flaws: String = flaws.iter().filter(|flaw| words::shows(flaw, &style)).map(zone).collect();
    let _ = writeln!(
        out,
        "<div class=\"label\">{}<div class=\"big\">{}</div><div class=\"long\">{} {}</div>\
         <div class=\"what\"><b>{}</b> {}</div>\
         {flaws}<div class=\"small\">{lot}cut {} from {}<br>length along the back edge, rounded down</div></div>",
        square::drawn(
            &square::of_stick(&shop.settings.contact.page, &left.label)
                .unwrap_or_else(|| left.label.clone())
        ),
        escape(&left.label),
        figure(&style.show_down(left.length)),
        style.unit.symbol(),
        escape(&stick.moulding),
        escape(&shop.moulding(&stick.moulding).name),
        plan.date,
        escape(&stick.stick),
    );
}

/// Today's frame copies, each with its rails and the mouldings they are of.
fn bundles(plan: &Plan) -> BTreeMap<(&str, u32), Vec<(&CutStick, &PlacedRail)>> {
    let mut bundles: BTreeMap<_, Vec<_>> = BTreeMap::new();
    for stick in &plan.today {
        for rail in &stick.rails {
            bundles.entry((rail.frame.as_str(), rail.copy)).or_default().push((stick, rail));
        }
    }
    for rails in bundles.values_mut() {
        rails.sort_by_key(|(_, rail)| (rail.layer, rail.side));
    }
    bundles
}

fn bundle(
    out: &mut String,
    shop: &Shop,
    frame: &str,
    copy: u32,
    rails: &[(&CutStick, &PlacedRail)],
) {
    let names = Names::new(shop);
    let style = shop.settings.style();
    let ticket = escape(&names.ticket(frame, copy));
    let code = square::of_copy(&shop.settings.contact.page, frame, copy)
        .unwrap_or_else(|| frame.to_owned());
    let square = square::drawn(&code);
    let _ = write!(out, "<div class=\"label\">{square}<div class=\"big\">{ticket}</div>");
    if let Some(frame) = names.frame(frame) {
        let size = format!(
            "{} &times; {}",
            figure(&style.show(frame.width)),
            figure(&style.show(frame.height))
        );
        let due = frame
            .due
            .map(|due| format!(", <span class=\"nobreak\">due <b>{due}</b></span>"))
            .unwrap_or_default();
        let _ =
            write!(out, "<div class=\"what\">package {size} {}{due}</div>", style.unit.symbol());
    }
    out.push_str("<table>");
    for (count, (stick, rail), sides) in alike(rails) {
        let mitre = name::mitre(rail.mitre).unwrap_or_default();
        let _ = write!(
            out,
            "<tr><td><b>{count} &times; {}</b></td><td>{}</td><td>{} {mitre}</td></tr>",
            figure(&style.show(rail.long_point)),
            escape(&stick.moulding),
            escape(&sides),
        );
    }
    out.push_str("</table>");
    let note = names.frame(frame).map(|frame| frame.note.as_str()).unwrap_or_default();
    let note = if note.is_empty() { String::new() } else { format!("<br>{}", escape(note)) };
    let pieces = words::count(rails.len(), "piece", "pieces");
    let _ = writeln!(
        out,
        "<div class=\"small\">{pieces}, lengths from long point to long point{note}</div></div>"
    );
}

/// A bundle's rails with equal ones of a layer together.
fn alike<'a>(
    rails: &[(&'a CutStick, &'a PlacedRail)],
) -> Vec<(usize, (&'a CutStick, &'a PlacedRail), String)> {
    let mut groups: Vec<(usize, (&CutStick, &PlacedRail), Vec<String>)> = Vec::new();
    for &(stick, rail) in rails {
        let same = |(_, (_, first), _): &&mut (usize, (&CutStick, &PlacedRail), Vec<String>)| {
            first.layer == rail.layer && first.long_point == rail.long_point
        };
        match groups.iter_mut().find(same) {
            Some((count, _, sides)) => {
                *count += 1;
                sides.push(rail.side.to_string());
            }
            None => groups.push((1, (stick, rail), vec![rail.side.to_string()])),
        }
    }
    let sides = |sides: Vec<String>| if sides.len() > 4 { String::new() } else { sides.join(", ") };
    groups.into_iter().map(|(count, first, all)| (count, first, sides(all))).collect()
}
