//! Boards and glass on an order, checked against the order without them.

use super::facts::Facts;
use super::{Fault, Verified, bills, left};
use crate::measure::{Money, Worth};
use crate::plan::{OrderLine, Plan};
use crate::shop::{MaterialPer, SafetyClass, Shop};

/// What a line of sheets is called.
const SHEET: &str = "sheet";

/// Checks a plan to which lines of boards and glass were added: nothing else of it is
/// otherwise, each costs what `materials.csv` says, of a size that is bought, from who sells
/// it, and each supplier's bill is that of all of it.
///
/// # Errors
/// Everything that is wrong with it.
pub fn sheets_added(
    shop: &Shop,
    before: &Verified<Plan>,
    after: Plan,
) -> Result<Verified<Plan>, Vec<Fault>> {
    let mut faults = Vec::new();
    let mut rest = after.clone();
    rest.order.lines.retain(|line| line.form != SHEET);
    rest.order.bills.clone_from(&before.order.bills);
    rest.order.account = before.order.account;
    if rest != **before {
        faults.push(Fault::FalseAccount { what: "order beside its boards and glass" });
    }
    let offcuts = left::racked(&after);
    let facts = Facts::new(shop, &after, &offcuts);
    let mut goods = bills::goods(&facts, &mut faults);
    let sheets = after.order.lines.iter().filter(|line| line.form == SHEET);
    for line in sheets.clone() {
        let right = cost(shop, line);
        if right.is_none() || right != Some(line.cost) {
            faults.push(Fault::FalseCost { moulding: line.moulding.clone() });
        }
        *goods.entry(&line.supplier).or_default() += line.cost.map_or(0, |cost| cost.0);
    }
    let is_free = |supplier: &str| {
        let own = sheets.clone().filter(|line| line.supplier == supplier);
        own.clone().next().is_some() && own.into_iter().all(|line| line.cost.is_none())
    };
    bills::charged(&facts, &goods, &is_free, &mut faults);
    let total =
        |plan: &Plan| plan.order.bills.iter().map(|bill| bills::paid(shop, bill)).sum::<i64>();
    let more = Worth((total(&after) - total(before)) * 1000);
    let moved = |was: Worth, is: Worth| is == Worth(was.0 + more.0);
    let is_right = match (before.order.account, after.order.account) {
        (None, None) => true,
        (Some(was), Some(is)) => {
            let unproven = !is.whole || sheets.clone().next().is_none();
            moved(was.net, is.net) && moved(was.bound, is.bound) && unproven
        }
        _ => false,
    };
    if !is_right {
        faults.push(Fault::FalseAccount { what: "sum with boards and glass" });
    }
    if faults.is_empty() { Ok(Verified::new(after)) } else { Err(faults) }
}

/// What a line of sheets costs, where that is known; `None` if it cannot be bought so.
fn cost(shop: &Shop, line: &OrderLine) -> Option<Option<Money>> {
    let material = shop.materials.get(&line.moulding)?;
    let (width, height) = (line.length, line.height?);
    let sold = shop.sheets.iter().filter(|sheet| sheet.whole && sheet.material == material.id);
    let mut sold = sold.map(|sheet| (sheet.width, sheet.height));
    // What sheets.csv says nothing of, or not of that size, comes in those of materials.csv, and
    // toughened glass in any.
    let is_sold = sold.any(|size| size == (width, height))
        || material.sheets.contains(&(width, height))
        || material.safety == Some(SafetyClass::Toughened);
    if material.supplier.as_ref() != Some(&line.supplier) || !is_sold || line.count == 0 {
        return None;
    }
    let Some(price) = material.price else { return Some(None) };
    let area = |a: i64, b: i64| i128::from(a) * i128::from(b);
    let of = area(width.nm(), height.nm());
    let per = match price.per {
        MaterialPer::SquareMetre => area(1_000_000_000, 1_000_000_000),
        MaterialPer::SquareFoot => area(12 * 25_400_000, 12 * 25_400_000),
        _ => {
            let first = material.sheets.first()?;
            let sides = |(a, b): (i64, i64)| (a.min(b), a.max(b));
            let is_it = sides((first.0.nm(), first.1.nm())) == sides((width.nm(), height.nm()));
            if !is_it {
                return Some(None);
            }
            of
        }
    };
    // Each to the nearest thousandth of a minor unit, all of them to the nearest minor unit.
    let each = (2 * of * i128::from(price.amount.0) + per).div_euclid(2 * per);
    let all = each * i128::from(line.count);
    Some(i64::try_from((all + 500).div_euclid(1000)).ok().map(Money))
}
