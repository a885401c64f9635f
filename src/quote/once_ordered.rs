//! The shop once the order that a promise takes is placed.
//!
//! # Why a promise is looked at twice
//!
//! The plan of a quote buys for the frame, and leaves the others what is on order. Once that is
//! on order too, it is nobody's: the next plan gives what comes first to those who are due
//! first. So who trusts in what they order for themselves may be left with what others waited
//! for, of which nobody knows when it comes.

use crate::plan::{OrderLine, Plan};
use crate::shop::{Coming, Shop, Stick, Supplied};

/// The shop as it stands once a plan's order is placed, and nothing of it has come; `None`
/// where nothing can be exchanged for it: no other sticks are on order, or none are bought.
pub(super) fn once_ordered(shop: &Shop, plan: &Plan) -> Option<Shop> {
    if plan.order.lines.is_empty() || shop.coming.iter().all(|coming| coming.at_bench) {
        return None;
    }
    let mut after = shop.clone();
    let arrives = |supplier: &str| {
        let bill = plan.order.bills.iter().find(|bill| bill.supplier == supplier);
        bill.map(|bill| bill.arrives)
    };
    let is_sticks = |line: &&OrderLine| line.form != "chop" && line.height.is_none();
    for (number, line) in plan.order.lines.iter().filter(is_sticks).enumerate() {
        for piece in 0..line.pieces {
            let mut id = format!("to-order-{}.{}", number + 1, piece + 1);
            while after.rack.iter().any(|stick| stick.id == id) {
                id.push('+');
            }
            let stick = Stick {
                id,
                moulding: line.moulding.clone(),
                length: line.piece(),
                lot: format!("this order from {}", line.supplier),
                place: String::new(),
                flaws: Vec::new(),
                since: None,
            };
            let (supplier, arrives) = (line.supplier.clone(), arrives(&line.supplier));
            after.coming.push(Coming { stick, supplier, arrives, at_bench: false });
        }
    }
    for chop in &plan.order.chops {
        let (supplier, arrives) = (chop.supplier.clone(), arrives(&chop.supplier));
        let own = after.frames.iter_mut().filter(|frame| frame.id == chop.frame);
        own.for_each(|frame| {
            let (supplier, at) = (supplier.clone(), (chop.copy, chop.layer));
            frame.progress.supplied.insert(at, Supplied::Coming { supplier, arrives });
        });
    }
    for frame in &mut after.frames {
        let is_held =
            |copy: &u32| plan.held.iter().any(|of| (&of.frame, of.copy) == (&frame.id, *copy));
        frame.progress.ordered = frame.pending().filter(|copy| !is_held(copy)).collect();
    }
    Some(after)
}
