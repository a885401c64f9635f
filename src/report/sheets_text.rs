//! Boards and glass on the screen: what stands there, and what is cut from what.

use crate::measure::LengthStyle;
use crate::sheets::{Pane, PlannedSheet, SheetFrom, SheetPlan, WantedSize};
use crate::shop::{SheetStock, Shop};

use super::sheets_words::{TOUGHENED, cautions, cuts, made, made_to_size, of_sheet, size, summary};
use super::text::Page;

/// Everything that stands there, material by material as it was written.
pub fn stock(stock: &[SheetStock], shop: &Shop) -> String {
    let style = shop.settings.style();
    let mut page = Page::new();
    if stock.is_empty() {
        page.line("", "No boards and no glass stand here (write them into sheets.csv).");
        return page.into_text();
    }
    let widths = [14, 14, 22, 16, 6];
    page.row("", widths, ["label", "material", "size", "place", "count"]);
    for sheet in stock {
        let shown =
            format!("{} {}", size((sheet.width, sheet.height), &style), style.unit.symbol());
        let count = if sheet.whole { sheet.count.to_string() } else { String::new() };
        page.row("", widths, [&sheet.label, &sheet.material, &shown, &sheet.place, &count]);
    }
    let remnants = stock.iter().filter(|sheet| !sheet.whole).count();
    let wholes: u64 = stock.iter().filter(|sheet| sheet.whole).map(|s| u64::from(s.count)).sum();
    let count = super::words::count;
    let wholes = usize::try_from(wholes).unwrap_or(usize::MAX);
    page.line(
        "",
        &format!(
            "{} and {}",
            count(wholes, "whole sheet", "whole sheets"),
            count(remnants, "remnant", "remnants")
        ),
    );
    page.into_text()
}

/// What is cut, sheet by sheet.
pub fn plans(plans: &[SheetPlan], shop: &Shop) -> String {
    let style = shop.settings.style();
    let mut page = Page::new();
    if plans.is_empty() {
        page.line("", "Nothing is to be cut.");
    }
    for plan in plans {
        page.heading(&plan.material);
        if plan.rules.made_to_size {
            for line in made_to_size(plan, &style) {
                page.line("", &line);
            }
            page.gap();
            page.line("! ", TOUGHENED);
            continue;
        }
        for line in summary(plan, &style) {
            page.line("", &line);
        }
        for (number, sheet) in plan.sheets.iter().enumerate() {
            page.gap();
            page.line(&format!("{:>3}. ", number + 1), &of_sheet(sheet, &style));
            for (at, step) in cuts(plan, sheet, &style).iter().enumerate() {
                page.line(&format!("  {:>5}. ", at + 1), &step.cut);
                for makes in &step.makes {
                    page.line("           ", makes);
                }
            }
            if sheet.cut.cuts.is_empty() {
                let whole = Pane::whole(sheet.cut.size.0, sheet.cut.size.1);
                page.line("         ", &format!("as it is: {}", made(plan, sheet, whole, &style)));
            }
        }
        page.gap();
        for line in cautions(plan) {
            page.line("! ", &line);
        }
    }
    page.into_text()
}

/// What stands in the book once these are cut.
pub fn written_down(plans: &[SheetPlan], style: &LengthStyle) -> String {
    let sheets = || plans.iter().flat_map(|plan| &plan.sheets);
    let is_here = |sheet: &&PlannedSheet| !matches!(sheet.cut.from, SheetFrom::ToBuy(_));
    let (here, all) = (sheets().filter(is_here).count(), sheets().count());
    let mut page = Page::new();
    page.gap();
    let shown = super::words::count(here, "sheet or remnant", "sheets and remnants");
    page.line("", &format!("Written down as cut: {shown}. Label what is kept."));
    if here < all {
        page.line("", "What is to be cut from sheets that are still to be bought stays wanted.");
    }
    let all = plans.iter().flat_map(|plan| plan.pieces.iter().map(move |of| (plan, of)));
    for (plan, piece) in all {
        let Some((fallen, label)) = piece.drop_out.as_ref().filter(|of| !of.1.is_empty()) else {
            continue;
        };
        let words = format!(
            "{label}: {} {} of {}, once its window is cut out of {} {}; trim its bevel off.",
            size(*fallen, style),
            style.unit.symbol(),
            plan.material,
            piece.ticket,
            piece.what
        );
        page.line("KEEP ", &words);
    }
    page.into_text()
}

/// How many of one size a sheet holds, and how many it could hold at most.
pub fn most(
    (sheet, wanted): (&SheetStock, &WantedSize),
    (found, bound): (usize, usize),
    style: &LengthStyle,
) -> String {
    let proof = match found == bound {
        true => "no way of cutting edge to edge gives more".to_owned(),
        false => format!("cut edge to edge; no way gives more than {bound}"),
    };
    let mut page = Page::new();
    page.line(
        "",
        &format!(
            "{found} of {} from {} {} {}: {proof}.",
            size((wanted.width, wanted.height), style),
            sheet.material,
            size((sheet.width, sheet.height), style),
            style.unit.symbol(),
        ),
    );
    page.into_text()
}
