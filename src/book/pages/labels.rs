//! Labels for sticks and offcuts: on sheets to cut apart, or one to a page.

use std::fmt::Write;

use super::head;
use crate::book::OnRack;
use crate::measure::Length;
use crate::report::escape::{escape, figure};
use crate::report::{square, words};
use crate::shop::{Flaw, SheetStock, Shop, Stick};

const SHEET: &str = "
.sheet { grid-template-columns: 1fr 1fr; }
.rack.label { display: grid; grid-template-columns: 1fr 26mm; column-gap: 3mm; align-items: start; }
.rack .big { font-size: 12mm; }
.rack svg { width: 26mm; height: 26mm; }
.rack .small { grid-column: 1 / 3; }
";

/// Labels one to a page; what is large on the usual label is as large a part of this one.
const SINGLE: &str = "
body { padding: 0; }
.top { display: none; }
.sheet { display: block; }
.rack.label { border: 0; padding: 0; break-after: page; column-gap: calc(3mm * var(--part));
  grid-template-columns: 1fr calc(26mm * var(--part)); }
.rack .big { font-size: calc(12mm * var(--part)); }
.rack .long { font-size: calc(7.4mm * var(--part)); }
.rack .what { font-size: calc(4.8mm * var(--part)); }
.rack .small { font-size: calc(3.5mm * var(--part)); }
.rack svg { width: calc(26mm * var(--part)); height: calc(26mm * var(--part)); }
";

/// The usual label of a label printer.
pub const USUAL_LABEL: (Length, Length) = (Length::from_mm(89), Length::from_mm(50));

/// A page of labels: id in large type, moulding, length along the back edge
/// rounded down, lot, place and date, and a code that a phone or a scanner
/// reads as the id; of boards and glass their material and size. Of a label printer's
/// labels each is a page of that width and height.
pub fn labels(
    shop: &Shop,
    (rack, sheets): (&[OnRack], &[SheetStock]),
    single: Option<(Length, Length)>,
) -> String {
    let single = single.map(one_to_a_page).unwrap_or_default();
    let style = format!("{SHEET}{single}");
    let mut out = head("Labels for the rack", &shop.settings.name, &style);
    out.push_str("<div class=\"sheet\">\n");
    for on in rack {
        label(&mut out, shop, on);
    }
    for stock in sheets {
        sheet(&mut out, shop, stock);
    }
    out.push_str("</div>\n</body>\n</html>\n");
    out
}

fn one_to_a_page((width, height): (Length, Length)) -> String {
    let thousandths = |own: Length, usual: Length| own.nm() * 1000 / usual.nm();
    let part = thousandths(width, USUAL_LABEL.0).min(thousandths(height, USUAL_LABEL.1));
    // To a micrometre.
    let mm =
        |length: Length| format!("{}.{:03}mm", length.nm() / 1_000_000, length.nm() / 1000 % 1000);
    let (within, inner) = (width - Length::from_mm(4), height - Length::from_mm(6));
    format!(
        "\n@page {{ size: {} {}; margin: 2mm; }}\n:root {{ --part: {}.{:03}; }}\n\
         body {{ max-width: {}; }}\n{SINGLE}.rack.label {{ min-height: {}; }}\n",
        mm(width),
        mm(height),
        part / 1000,
        part % 1000,
        mm(within),
        mm(inner)
    )
}

fn label(out: &mut String, shop: &Shop, on: &OnRack) {
    let stick = &on.stick;
    let style = shop.settings.style();
    let zone = |flaw: &Flaw| {
        let (from, to) = (figure(&style.show(flaw.from)), figure(&style.show(flaw.to)));
        format!("<div class=\"what flawed\">flaw {from} to {to} from this end</div>")
    };
    let flaws = stick.flaws.iter().filter(|flaw| words::shows(flaw, &style));
    let flaws: String = flaws.map(zone).collect();
    let _ = writeln!(
        out,
        "<div class=\"label rack\"><div><div class=\"big\">{}</div>\
         <div class=\"long\">{} {}</div><div class=\"what\"><b>{}</b> {}</div>{flaws}</div>{}\
         <div class=\"small\">{}along the back edge, rounded down</div></div>",
        escape(&stick.id),
        figure(&style.show_down(stick.length)),
        style.unit.symbol(),
        escape(&stick.moulding),
        escape(&shop.moulding(&stick.moulding).name),
        square::drawn(
            &square::of_stick(&shop.settings.contact.page, &stick.id)
                .unwrap_or_else(|| stick.id.clone())
        ),
        facts(stick, on.parent.as_deref()),
    );
}

fn sheet(out: &mut String, shop: &Shop, stock: &SheetStock) {
    let style = shop.settings.style();
    let place = if stock.place.is_empty() { String::new() } else { format!("{}, ", stock.place) };
    let _ = writeln!(
        out,
        "<div class=\"label rack\"><div><div class=\"big\">{}</div>\
         <div class=\"long\">{} &times; {} {}</div><div class=\"what\"><b>{}</b></div></div>{}\
         <div class=\"small\">{}width &times; height, rounded down</div></div>",
        escape(&stock.label),
        figure(&style.show_down(stock.width)),
        figure(&style.show_down(stock.height)),
        style.unit.symbol(),
        escape(&stock.material),
        square::drawn(&stock.label),
        escape(&place),
    );
}

fn facts(stick: &Stick, parent: Option<&str>) -> String {
    let mut facts = String::new();
    let mut add = |what: &str, of: &str| {
        if !of.is_empty() {
            facts.push_str(&format!("{what}{}, ", escape(of)));
        }
    };
    add("lot ", &stick.lot);
    add("", &stick.place);
    add("from ", parent.unwrap_or_default());
    add("racked ", &stick.since.map(|since| since.to_string()).unwrap_or_default());
    facts
}
