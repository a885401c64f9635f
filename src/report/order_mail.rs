//! The order to one supplier as plain text, for an e-mail.

use std::collections::BTreeSet;

use crate::plan::Plan;
use crate::shop::Shop;

use super::order_table::{OrderRow, Reference, SupplierTable, tables};
use super::order_words as words;
use super::text::Page;

/// How wide it is: what every mail program leaves as it is.
const COLUMNS: usize = 72;

/// A text for each supplier that something is ordered from, with the name of its file.
pub fn mails(reference: Reference, plan: &Plan, shop: &Shop) -> Vec<(String, String)> {
    let mails = tables(plan, shop);
    let mails = mails.iter().filter_map(|table| Some((table, table.supplier?)));
    mails
        .map(|(table, supplier)| {
            (file_name(&supplier.id, shop), mail(reference, table, plan, shop))
        })
        .collect()
}

/// The names of such files that suppliers would have that nothing is ordered from.
pub fn idle(plan: &Plan, shop: &Shop) -> Vec<String> {
    let is_idle = |id: &&String| plan.order.bills.iter().all(|bill| bill.supplier != **id);
    shop.suppliers.keys().filter(is_idle).map(|id| file_name(id, shop)).collect()
}

/// `order-BRIN.txt`: letters and digits as they are, anything else a stroke, and a number
/// after it where that is the name of another supplier's already, capitals aside.
fn file_name(of: &str, shop: &Shop) -> String {
    let mut taken = BTreeSet::new();
    for id in shop.suppliers.keys() {
        let plain = |c: char| if c.is_ascii_alphanumeric() || c == '_' { c } else { '-' };
        let plain: String = id.chars().map(plain).collect();
        let mut name = plain.clone();
        for number in 2.. {
            if taken.insert(name.to_lowercase()) {
                break;
            }
            name = format!("{plain}-{number}");
        }
        if id == of {
            return format!("order-{name}.txt");
        }
    }
    "order.txt".to_owned()
}

fn mail(reference: Reference, table: &SupplierTable, plan: &Plan, shop: &Shop) -> String {
    let mut page = Page::of(COLUMNS);
    let supplier = table.supplier.expect("a mail is to somebody");
    page.line("", &format!("{}, from {}", reference.heading(plan.date), plan.shop));
    let email = &supplier.contact.email;
    let email = if email.is_empty() { String::new() } else { format!(", {email}") };
    page.line("To: ", &format!("{}{email}", supplier.name));
    for line in &supplier.contact.address {
        page.line("    ", line);
    }
    if !supplier.account.is_empty() {
        page.line("", &format!("Our account with you: {}", supplier.account));
    }
    page.gap();
    for (number, row) in (1..).zip(&table.rows) {
        line(&mut page, number, row, shop);
    }
    page.gap();
    let widths = [COLUMNS - 15, 14];
    for (what, money) in &table.charges {
        page.row("", widths, [what, &words::money(*money, shop)]);
    }
    if let Some(bill) = table.bill {
        page.row("", widths, [table.together(), &words::money(bill.to_pay(shop), shop)]);
    }
    page.gap();
    for text in table.sentences(shop) {
        page.line("", &text);
    }
    page.gap();
    page.line("", &plan.shop);
    shop.settings.contact.lines().for_each(|line| page.line("", line));
    page.into_text()
}

fn line(page: &mut Page, number: u32, row: &OrderRow, shop: &Shop) {
    let cost = row.line.cost.map(|cost| words::money(cost, shop)).unwrap_or_default();
    let first = format!("{number:>3}. ");
    let code = if row.code.is_empty() { &row.line.moulding } else { row.code };
    let own = if row.code.is_empty() {
        row.name.to_owned()
    } else {
        format!("{}, {}", row.line.moulding, row.name)
    };
    let widths = [COLUMNS - 15 - first.len(), 14];
    page.row(&first, widths, [&format!("{code} ({own})"), &cost]);
    page.line("     ", &row.what);
    row.beside().for_each(|more| page.line("     ", more));
}
