//! The printable order: a letter to each supplier, each beginning a page.

use std::fmt::Write;

use crate::plan::Plan;
use crate::shop::{Contact, Shop, Supplier};

use super::escape::{escape, prose};
use super::html;
use super::order_table::{OrderRow, Reference, SupplierTable, tables};
use super::order_total;
use super::order_words as words;

/// What a letter needs beside the sheets.
const LETTER: &str = include_str!("letter.css");

/// A letter for each supplier: what is ordered, by their codes and the shop's, at what
/// price. Its head stands again on each further page. Self-contained, for A4 or Letter
/// in black and white.
pub fn orders(reference: Reference, plan: &Plan, shop: &Shop) -> String {
    let mut out = html::open(&reference.title(), plan.date);
    let _ = writeln!(out, "<style>\n{LETTER}</style>");
    let tables = tables(plan, shop);
    if tables.is_empty() {
        out.push_str("<p class=\"sum\">Nothing to order from anyone.</p>\n");
    }
    if let Some(account) = plan.order.account.as_ref().filter(|_| !tables.is_empty()) {
        let total = escape(&order_total::total(account, plan, shop));
        let _ = writeln!(out, "<p class=\"sum screen\">{total}</p>");
    }
    for deadline in &plan.order.deadlines {
        let (supplier, words) = (&deadline.supplier, words::deadline(deadline, plan, shop));
        let _ =
            writeln!(out, "<p class=\"sum screen\">{}: {}</p>", escape(supplier), prose(&words));
    }
    for table in &tables {
        letter(&mut out, reference, table, plan, shop);
    }
    out.push_str("</body>\n</html>\n");
    out
}

fn letter(out: &mut String, reference: Reference, table: &SupplierTable, plan: &Plan, shop: &Shop) {
    let to = table.supplier.map_or_else(|| "whoever sells it".to_owned(), named);
    let account = table.supplier.map_or("", |supplier| &supplier.account);
    let account = if account.is_empty() { String::new() } else { format!(", account {account}") };
    out.push_str("<section class=\"bench order\">\n<div class=\"letter\">\n");
    let _ = writeln!(
        out,
        "<address><b>{}</b>{}</address>\n<address><small>To</small><b>{}</b>{}</address>\n</div>",
        escape(&plan.shop),
        contact(&shop.settings.contact),
        escape(&to),
        table.supplier.map(|supplier| contact(&supplier.contact)).unwrap_or_default(),
    );
    let _ = writeln!(
        out,
        "<table>\n<thead>\n<tr class=\"again\"><th colspan=\"6\">{}<br>{}{}, to {}</th></tr>\n\
         <tr><th></th><th>Your code</th><th>Ours</th><th>What</th><th>For</th><th class=\"figure\">Price</th></tr>\n</thead>\n<tbody>",
        escape(&plan.shop),
        reference.heading(plan.date),
        escape(&account),
        escape(&to),
    );
    table.rows.iter().for_each(|row| line(out, row, shop));
    let show = |money| shop.settings.currency.show(money);
    for (what, money) in &table.charges {
        charge(out, what, &show(*money));
    }
    if let Some(bill) = table.bill {
        charge(
            out,
            &words::capital(table.together()),
            &format!("<b>{}</b>", escape(&words::money(bill.to_pay(shop), shop))),
        );
    }
    out.push_str("</tbody>\n</table>\n");
    for text in table.sentences(shop) {
        let _ = writeln!(out, "<p class=\"stop\">{}</p>", prose(&text));
    }
    out.push_str("</section>\n");
}

/// A supplier by both names: `Brindlecombe Mouldings (BRIN)`.
fn named(supplier: &Supplier) -> String {
    match supplier.name == supplier.id {
        true => supplier.name.clone(),
        false => format!("{} ({})", supplier.name, supplier.id),
    }
}

fn contact(contact: &Contact) -> String {
    contact.lines().map(|line| format!("<br>{}", escape(line))).collect()
}

fn line(out: &mut String, row: &OrderRow, shop: &Shop) {
    let small = |text: &str| match text.is_empty() {
        true => String::new(),
        false => format!("<small>{}</small>", prose(text)),
    };
    let cost = row.line.cost.map(|cost| shop.settings.currency.show(cost)).unwrap_or_default();
    let _ = writeln!(
        out,
        "<tr><td><span class=\"box\"></span></td><td><b>{}</b></td><td><b>{}</b>{}</td><td>{}{}</td><td>{}</td><td class=\"figure\">{cost}</td></tr>",
        escape(row.code),
        escape(&row.line.moulding),
        small(row.name),
        prose(&row.what),
        row.beside().map(small).collect::<String>(),
        prose(&row.frames.join(", ")),
    );
}

fn charge(out: &mut String, what: &str, figure: &str) {
    let _ = writeln!(
        out,
        "<tr><td></td><td colspan=\"4\">{}</td><td class=\"figure\">{figure}</td></tr>",
        escape(what)
    );
}
