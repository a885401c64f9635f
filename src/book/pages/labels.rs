//! Labels for sticks and offcuts: on sheets to cut apart, or one to a page.

use std::fmt::Write;

use qrcode::render::svg;
use qrcode::{EcLevel, QrCode};

use super::head;
use crate::book::OnRack;
use crate::report::escape::{escape, figure};
use crate::report::words;
use crate::shop::{Flaw, SheetStock, Shop, Stick};

const SHEET: &str = "
.sheet { grid-template-columns: 1fr 1fr; }
.rack.label { display: grid; grid-template-columns: 1fr 26mm; column-gap: 3mm; align-items: start; }
.rack .big { font-size: 12mm; }
.rack svg { width: 26mm; height: 26mm; }
.rack .small { grid-column: 1 / 3; }
";

const SINGLE: &str = "
@page { size: 89mm 50mm; margin: 2mm; }
body { max-width: 85mm; padding: 0; }
.top { display: none; }
.sheet { display: block; }
.rack.label { border: 0; min-height: 44mm; padding: 0; break-after: page; }
";

/// A page of labels: id in large type, moulding, length along the back edge
/// rounded down, lot, place and date, and a code that a phone or a scanner
/// reads as the id; of boards and glass their material and size.
pub fn labels(shop: &Shop, (rack, sheets): (&[OnRack], &[SheetStock]), single: bool) -> String {
    let style = format!("{SHEET}{}", if single { SINGLE } else { "" });
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
        code(&stick.id),
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
        code(&stock.label),
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

/// The id as a QR code; nothing where it is too long for one.
fn code(id: &str) -> String {
    let code = QrCode::with_error_correction_level(id.as_bytes(), EcLevel::M);
    let drawn = code
        .map(|code| code.render::<svg::Color>().min_dimensions(100, 100).quiet_zone(true).build());
    // The page is no file of its own: what announces one is left out.
    drawn.map(|svg| svg[svg.find("<svg").unwrap_or(0)..].to_owned()).unwrap_or_default()
}
