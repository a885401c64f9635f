//! Boards and glass in words.

use super::count;
use crate::book::SheetDelivery;
use crate::shop::{SheetStock, Shop};

/// A board or glass: its label, of what it is, its size and place.
pub fn shown_sheet(shop: &Shop, stock: &SheetStock) -> String {
    let style = shop.settings.style();
    let size = format!("{} x {}", style.show(stock.width), style.show_unit(stock.height));
    let place =
        if stock.place.is_empty() { String::new() } else { format!(", at {}", stock.place) };
    format!("{}: {}, {size}{place}", stock.label, stock.material)
}

/// What came, with its labels.
pub fn sheets_came_words(shop: &Shop, came: &SheetDelivery, stocks: &[SheetStock]) -> String {
    let line = |stock: &SheetStock| match stock.whole {
        true => format!(
            "{}; {} there now.\n",
            shown_sheet(shop, stock),
            count(stock.count as usize, "whole sheet", "whole sheets")
        ),
        false => format!("{}; a remnant. Label it.\n", shown_sheet(shop, stock)),
    };
    let mut text: String = stocks.iter().map(line).collect();
    let rules = shop.sheet_rules.get(&came.material).copied().unwrap_or_default();
    if !rules.keeps(came.size.0, came.size.1) {
        text += "That is smaller than any remnant that is kept here (is that its unit? \"longpoint \
                 undo\" takes it back).\n";
    }
    text
}
