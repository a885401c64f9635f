//! Boards and glass for other programs: `longpoint sheets --json`.

use serde_json::{Value, json};

use crate::measure::Length;
use crate::sheets::{Divides, NamedPiece, Pane, PlannedSheet, SheetFrom, SheetPlan};
use crate::shop::{SheetStock, Shop};

use super::json::{mm, pretty};

/// What stands there. Lengths are millimetres as exact decimals, areas square millimetres.
pub fn stock(stock: &[SheetStock], shop: &Shop) -> String {
    let one = |sheet: &SheetStock| {
        json!({
            "label": sheet.label,
            "material": sheet.material,
            "width": mm(sheet.width),
            "height": mm(sheet.height),
            "whole": sheet.whole,
            "count": sheet.count,
            "place": sheet.place,
            "note": sheet.note,
        })
    };
    let sheets: Vec<Value> = stock.iter().map(one).collect();
    pretty(&json!({ "shop": shop.settings.name, "sheets": sheets }))
}

/// What is cut from what, material by material. A pane is measured from its sheet's lower
/// left corner; a cut takes `at` off its pane, from the left or from below.
pub fn plans(plans: &[SheetPlan], shop: &Shop) -> String {
    let materials: Vec<Value> = plans.iter().map(of_material).collect();
    pretty(&json!({ "shop": shop.settings.name, "materials": materials }))
}

fn of_material(plan: &SheetPlan) -> Value {
    let to_buy = plan.to_buy().into_iter();
    let to_buy = to_buy.map(|((width, height), count)| {
        json!({ "width": mm(width), "height": mm(height), "count": count })
    });
    // What is made to size is on no layout.
    let sheets = |made: bool| {
        let own = plan.sheets.iter().filter(|_| plan.rules.made_to_size == made);
        own.map(|sheet| of_sheet(plan, sheet)).collect::<Vec<_>>()
    };
    let without = plan.without.iter().map(|number| piece(&plan.pieces[*number]));
    json!({
        "material": plan.material,
        "pieces": plan.pieces.len(),
        "opened": square(plan.cost.opened),
        "opened_at_least": square(plan.least_opened),
        "opened_one_by_one": square(plan.by_habit.opened),
        "proven": plan.is_proven(),
        "sheets": sheets(false),
        "made_to_size": sheets(true),
        "to_buy": to_buy.collect::<Vec<_>>(),
        "not_cut": without.collect::<Vec<_>>(),
    })
}

fn of_sheet(plan: &SheetPlan, sheet: &PlannedSheet) -> Value {
    let cuts = sheet.cut.cuts.iter().map(|cut| {
        let divides = match cut.divides {
            Divides::Width => "width",
            Divides::Height => "height",
        };
        json!({ "pane": pane(&cut.pane), "divides": divides, "at": mm(cut.at) })
    });
    let pieces = sheet.cut.pieces.iter().map(|(number, lies, turned)| {
        let mut value = piece(&plan.pieces[*number]);
        value["pane"] = pane(lies);
        value["turned"] = (*turned).into();
        value
    });
    let left = sheet.cut.left.iter().zip(&sheet.kept);
    let left = left
        .map(|(lies, kept)| json!({ "pane": pane(lies), "kept": kept.is_some(), "label": kept }));
    json!({
        "from": from(sheet.cut.from),
        "label": sheet.label,
        "place": sheet.place,
        "width": mm(sheet.cut.size.0),
        "height": mm(sheet.cut.size.1),
        "cuts": cuts.collect::<Vec<_>>(),
        "pieces": pieces.collect::<Vec<_>>(),
        "left": left.collect::<Vec<_>>(),
    })
}

/// Where a sheet comes from, in a word.
pub(super) fn from(from: SheetFrom) -> &'static str {
    match from {
        SheetFrom::Remnant(_) => "remnant",
        SheetFrom::Whole(_) => "whole",
        SheetFrom::ToBuy(_) => "to buy",
    }
}

fn piece(of: &NamedPiece) -> Value {
    let mut value = json!({
        "ticket": of.ticket,
        "what": of.what,
        "copy": of.copy.0,
        "copies": of.copy.1,
        "width": mm(of.size.0),
        "height": mm(of.size.1),
    });
    if let Some(((width, height), label)) = &of.drop_out {
        value["drop_out"] = json!({ "width": mm(*width), "height": mm(*height), "label": label });
    }
    value
}

fn pane(of: &Pane) -> Value {
    let [x, y, width, height] = [of.x, of.y, of.width, of.height].map(mm);
    json!({ "x": x, "y": y, "width": width, "height": height })
}

/// Square millimetres, to the nearest.
fn square(area: i128) -> Value {
    let one = i128::from(Length::from_mm(1).nm()).pow(2);
    Value::from(i64::try_from((area + one / 2) / one).unwrap_or(i64::MAX))
}
