//! Boards and glass that lack, on the order beside moulding.
//!
//! # Why they join an order that is made already
//!
//! Nobody chooses who sells a board: its row in `materials.csv` names its supplier. So the
//! order of moulding is worked out first, and what lacks of boards and glass is added to it;
//! the bill of a supplier is then that of both together. Carriage that both would share is not
//! looked for, and an order with sheets in it is never called proven.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use crate::buy::bill;
use crate::measure::{Length, Money, Worth};
use crate::plan::{OrderLine, Plan};
use crate::sheets::{LackingSheets, SheetFault, SheetPlan, plan_sheets};
use crate::shop::{SheetPiece, SheetStock, Shop};
use crate::ticket::{JobSheet, PieceSize, job_sheets};
use crate::verify::{Fault, Verified, sheets_added};

/// What a line of sheets is called among lengths, boxes and chops.
pub const SHEET: &str = "sheet";

/// How many sheets of a material and a size are on order.
pub type SheetsComing = BTreeMap<(String, (Length, Length)), u32>;

/// What is ordered of sheets, and what is not.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SheetOrder {
    /// The lines, with their suppliers.
    pub lines: Vec<OrderLine>,
    /// What lacks and is not ordered, and why; what is doubtful of what is.
    pub notes: Vec<String>,
}

/// Whether a shop has its boards and glass on the order: some supplier of one is known.
pub fn is_ordered(shop: &Shop) -> bool {
    shop.materials.values().any(|material| material.supplier.is_some())
}

/// Whether what lacks of boards and glass is said: some supplier of one is known, or what
/// stands there is counted.
pub fn is_counted(shop: &Shop) -> bool {
    is_ordered(shop) || !shop.sheets.is_empty()
}

/// What stands there, and of a material whose supplier is known and of which `sheets.csv` has
/// no size that is bought, the sizes that `materials.csv` gives, none of them there.
pub fn stock_and_sold(shop: &Shop) -> Vec<SheetStock> {
    let mut stock = shop.sheets.clone();
    for material in shop.materials.values() {
        let is_bought = shop.sheets.iter().any(|row| row.whole && row.material == material.id);
        if material.supplier.is_none() || is_bought || material.is_made_to_size() {
            continue;
        }
        stock.extend(material.sheets.iter().map(|size| SheetStock::none_of(&material.id, *size)));
    }
    stock
}

/// The same once what is on order has come. It is laid out before anything more is bought, and
/// its size can be had, whichever sizes came of the material so far.
fn once_it_came(shop: &Shop, mut stock: Vec<SheetStock>, coming: &SheetsComing) -> Vec<SheetStock> {
    for ((material, (width, height)), count) in coming.iter().filter(|of| *of.1 > 0) {
        let size = (*width, *height);
        let is_it = |row: &&mut SheetStock| {
            let own = (row.width, row.height);
            row.whole && row.material == *material && is_size(shop, material, own, size)
        };
        match stock.iter_mut().find(is_it) {
            Some(row) => row.count = row.count.saturating_add(*count),
            None => stock.push(SheetStock { count: *count, ..SheetStock::none_of(material, size) }),
        }
    }
    stock
}

/// Whether a sheet is of a size: either way where its material may be turned.
fn is_size(
    shop: &Shop,
    material: &str,
    sheet: (Length, Length),
    (width, height): (Length, Length),
) -> bool {
    sheet == (width, height) || (shop.may_turn(material) && sheet == (height, width))
}

/// What the jobs on the pile want of boards and glazing.
///
/// # Errors
/// What is wrong with a job's sheet: a mistake in this program.
pub fn of_jobs(shop: &Shop, today: Date) -> Result<Vec<SheetPiece>, Vec<String>> {
    let pile = shop.frames.iter().map(|frame| (frame, frame.left()));
    Ok(of_sheets(shop, &job_sheets(shop, pile, today)?))
}

/// What these jobs want of boards and glazing.
pub fn of_sheets(shop: &Shop, jobs: &[JobSheet]) -> Vec<SheetPiece> {
    let mut pieces = Vec::new();
    for (job, piece) in jobs.iter().flat_map(|job| job.from_sheets(shop).map(move |p| (job, p))) {
        let (Some(material), PieceSize::Sheet(width, height)) = (&piece.material, piece.size)
        else {
            continue;
        };
        pieces.push(SheetPiece {
            ticket: job.frame.id.clone(),
            material: material.clone(),
            what: piece.what.words(),
            width,
            height,
            count: piece.count * job.copies,
            cut: 0,
            turn: shop.may_turn(material),
            drop_out: None,
        });
    }
    pieces
}

/// How what is wanted, as far as it is not cut yet, is cut from what stands there once what is
/// on order came; and what is said of that which no sheet is known for.
///
/// # Errors
/// What is wrong with a layout: a mistake in this program.
pub fn laid_out(
    shop: &Shop,
    mut wanted: Vec<SheetPiece>,
    coming: &SheetsComing,
) -> Result<(Vec<SheetPlan>, Option<String>), Vec<SheetFault>> {
    let stock = once_it_came(shop, stock_and_sold(shop), coming);
    let left_out = left_out(shop, &mut wanted, &stock);
    let plans = plan_sheets((&stock, &shop.sheet_rules), &wanted, |_| String::new())?;
    Ok((plans, left_out))
}

/// The whole sheets that what is wanted, as far as it is not cut yet, lacks beside what stands
/// there today. None where the shop counts no sheets.
///
/// # Errors
/// As [`laid_out`].
pub fn lacking(
    shop: &Shop,
    wanted: Vec<SheetPiece>,
    coming: &SheetsComing,
) -> Result<Vec<LackingSheets>, Vec<SheetFault>> {
    if !is_counted(shop) {
        return Ok(Vec::new());
    }
    let (plans, _) = laid_out(shop, wanted, &SheetsComing::new())?;
    let mut lacking = Vec::new();
    for plan in &plans {
        for (size, count) in plan.to_buy() {
            let is_it = |of: &(String, (Length, Length))| {
                of.0 == plan.material && is_size(shop, &plan.material, of.1, size)
            };
            lacking.push(LackingSheets {
                material: plan.material.clone(),
                size,
                count: u32::try_from(count).unwrap_or(u32::MAX),
                coming: coming.iter().filter(|(of, _)| is_it(of)).map(|(_, count)| count).sum(),
            });
        }
    }
    Ok(lacking)
}

/// Leaves out the pieces whose material has no sheets, and is not made to size; what is said of
/// them.
pub fn left_out(shop: &Shop, pieces: &mut Vec<SheetPiece>, stock: &[SheetStock]) -> Option<String> {
    let has_sheets = |piece: &SheetPiece| {
        shop.is_made_to_size(&piece.material)
            || stock.iter().any(|sheet| sheet.material == piece.material)
    };
    let without = pieces.iter().filter(|piece| !has_sheets(piece));
    let names: BTreeSet<&str> = without.map(|piece| piece.material.as_str()).collect();
    let names: Vec<&str> = names.into_iter().collect();
    let words = (!names.is_empty()).then(|| {
        format!(
            "Not in sheets.csv, and left out: {} (see that it is there, or buy it; write the size that \
             is bought there, with its count, 0 if none stands there; or its supplier and sheets \
             into materials.csv).",
            names.join(", ")
        )
    });
    pieces.retain(has_sheets);
    words
}

/// What is to be ordered so that all of these plans can be cut, which were laid out on what
/// stands there once it came.
pub fn sheet_order(shop: &Shop, plans: &[SheetPlan]) -> SheetOrder {
    let mut order = SheetOrder::default();
    let style = shop.settings.style();
    for plan in plans {
        let material = &plan.material;
        for (size, lacks) in plan.to_buy() {
            let count = u32::try_from(lacks).unwrap_or(u32::MAX);
            let mut shown = format!("{} x {}", style.show(size.0), style.show_unit(size.1));
            if plan.rules.made_to_size {
                shown += " made to size, not to be cut";
            }
            let row = shop.materials.get(material);
            let Some(supplier) = row.and_then(|row| row.supplier.clone()) else {
                order.notes.push(format!(
                    "TO BUY: {count} of {material}, {shown}, for {}; not on the order, since \
                     materials.csv names no supplier of it.",
                    plan.tickets_to_buy(size).join(", ")
                ));
                continue;
            };
            let each = row.and_then(|row| row.price_of_sheet(size));
            if each.is_none() {
                order.notes.push(format!(
                    "{material}, {shown}, has no price in materials.csv for that size: it is on the \
                     order without one."
                ));
            }
            order.lines.push(OrderLine {
                supplier,
                form: SHEET.to_owned(),
                moulding: material.clone(),
                length: size.0,
                height: Some(size.1),
                count,
                cost: each.map(|each| Worth(each.0 * i64::from(count)).to_money()),
                offer: None,
                halved: false,
                pieces: count,
                cut: count,
                restock: 0,
                rails: Vec::new(),
                tickets: plan.tickets_to_buy(size),
            });
        }
        for number in &plan.without {
            let piece = &plan.pieces[*number];
            let why = match plan.narrow.get(number) {
                Some(_) => {
                    "would leave a strip narrower than the least_strip of shop.toml, and is not \
                     ordered"
                }
                None => "has no room on any sheet that is bought",
            };
            order.notes.push(format!("{} {} of {material} {why}.", piece.ticket, piece.what));
        }
    }
    order
}

/// A plan with these sheets on its order, checked. Those whose supplier takes no order on its
/// day are left out, which is said.
///
/// # Errors
/// If it does not stand up to its check: a mistake in this program.
pub fn with_sheets(
    before: &Verified<Plan>,
    shop: &Shop,
    sheets: SheetOrder,
) -> Result<(Verified<Plan>, Vec<String>), Vec<Fault>> {
    let SheetOrder { lines, mut notes } = sheets;
    let mut plan = Plan::clone(before);
    let mut by_supplier: BTreeMap<String, Vec<OrderLine>> = BTreeMap::new();
    for line in lines {
        by_supplier.entry(line.supplier.clone()).or_default().push(line);
    }
    for (id, lines) in by_supplier {
        let place = plan.order.bills.iter().position(|bill| bill.supplier == id);
        let before = place.map(|place| plan.order.bills[place].clone());
        let goods: Money = lines.iter().filter_map(|line| line.cost).sum();
        let all = before.as_ref().map_or(Money(0), |bill| bill.goods) + goods;
        let is_long = before.as_ref().is_some_and(|bill| bill.long.0 > 0);
        let Some(now) = bill(&shop.suppliers[&id], all, is_long, plan.date) else {
            notes.push(format!("{id} takes no order today: the boards and glass from there wait."));
            continue;
        };
        let more = now.to_pay(shop).0 - before.map_or(0, |bill| bill.to_pay(shop).0);
        match place {
            Some(place) => plan.order.bills[place] = now,
            None => plan.order.bills.push(now),
        }
        if let Some(account) = &mut plan.order.account {
            let more = Worth::from(Money(more));
            (account.net, account.bound) = (account.net + more, account.bound + more);
            account.whole = false;
        }
        plan.order.lines.extend(lines);
    }
    plan.order.bills.sort_by(|a, b| a.supplier.cmp(&b.supplier));
    Ok((sheets_added(shop, before, plan)?, notes))
}
