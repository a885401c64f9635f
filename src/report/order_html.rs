//! The printable order: one page for each supplier.

use std::fmt::Write;

use crate::plan::{Bill, Plan};
use crate::shop::Shop;

use super::escape::{escape, prose};
use super::html::head;
use super::order_words as words;

/// A page for each supplier: what is ordered, in which lengths, at what price.
/// Self-contained, for A4 or Letter in black and white.
pub fn orders(plan: &Plan, shop: &Shop) -> String {
    let mut out = head("Order", plan);
    if plan.order.bills.is_empty() {
        out.push_str("<p class=\"sum\">Nothing to order from anyone.</p>\n");
    }
    for deadline in &plan.order.deadlines {
        let (supplier, words) = (&deadline.supplier, words::deadline(deadline, plan, shop));
        let _ = writeln!(out, "<p class=\"sum\">{}: {}</p>", escape(supplier), prose(&words));
    }
    for bill in &plan.order.bills {
        supplier(&mut out, bill, plan, shop);
    }
    out.push_str("</body>\n</html>\n");
    out
}

fn supplier(out: &mut String, bill: &Bill, plan: &Plan, shop: &Shop) {
    let known = shop.suppliers.get(&bill.supplier);
    let name = known.map_or(bill.supplier.as_str(), |supplier| &supplier.name);
    let _ = writeln!(
        out,
        "<section class=\"bench order\">\n<h2>{}</h2>\n<p class=\"stop\">Ordered {}, expected {}</p>",
        escape(name),
        plan.date,
        bill.arrives
    );
    out.push_str(
        "<table>\n<thead><tr><th></th><th>Moulding</th><th>What</th><th class=\"figure\">Price</th></tr></thead>\n<tbody>\n",
    );
    for line in plan.order.lines.iter().filter(|line| line.supplier == bill.supplier) {
        let what = words::line(line, shop);
        let remarks = words::requests(line, shop).join("; ");
        let remarks = if remarks.is_empty() {
            String::new()
        } else {
            format!("<small>{}</small>", prose(&remarks))
        };
        let cost = line.cost.map(|cost| shop.settings.currency.show(cost)).unwrap_or_default();
        let _ = writeln!(
            out,
            "<tr><td><span class=\"box\"></span></td><td><b>{}</b><small>{}</small></td><td>{}{remarks}</td><td class=\"figure\">{cost}</td></tr>",
            escape(&line.moulding),
            escape(&shop.moulding(&line.moulding).name),
            prose(&what),
        );
    }
    let _ = writeln!(
        out,
        "</tbody>\n</table>\n<p class=\"stop\">{}</p>\n</section>",
        prose(&words::bill(bill, shop))
    );
}
