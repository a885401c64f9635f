//! What lies on the rack, in words.

use jiff::civil::Date;

use crate::shop::{Shop, Stick};

/// Where its flaws are.
pub fn flaws(shop: &Shop, stick: &Stick) -> String {
    let style = shop.settings.style();
    let each = stick.flaws.iter();
    let each: Vec<String> = each
        .map(|flaw| format!("{} to {}", style.show(flaw.from), style.show_unit(flaw.to)))
        .collect();
    format!("flaw {} from its marked end", each.join(", "))
}

/// How long ago, as a framer says it.
pub fn age(since: Date, today: Date) -> String {
    let days = (today - since).get_days();
    match days {
        ..0 => String::new(),
        0..=59 => format!("{days} d"),
        _ => format!("{} months", days / 30),
    }
}
