//! Mouldings that might do as well as the one that is asked for.

use jiff::civil::Date;

use super::asked::{Wish, WishedLayer};
use super::related::by_itself;
use super::{NearMoulding, with_job};
use crate::measure::Length;
use crate::morning::plan;
use crate::plan::HoldReason;
use crate::price::{list_cost, price};
use crate::shop::{Frame, Shop};
use crate::solve::Limits;
use crate::ticket::frame_price;
use crate::verify::Fault;

/// So many mouldings near the one asked for are quoted beside it.
const NEAR: usize = 4;

/// A face that differs by no more than a quarter is nearly as wide. Common practice, no
/// source.
const NEARLY: i64 = 4;

/// Mouldings of the same kind whose face is nearly as wide and in which the frame can be
/// made, as far as is known; the nearest first; of a stack none.
///
/// # Errors
/// What the check finds wrong with one of the plans: a mistake of the program.
pub(super) fn near(
    shop: &Shop,
    wish: &Wish,
    date: Date,
    limits: Limits,
) -> Result<Vec<NearMoulding>, Vec<Fault>> {
    let [layer] = &wish.layers[..] else { return Ok(Vec::new()) };
    let own = shop.moulding(&layer.moulding);
    let apart = |width: Length| (width - own.width).nm().abs();
    let mut others: Vec<_> = shop
        .mouldings
        .values()
        .filter(|other| other.id != own.id && other.kind == own.kind)
        .filter(|other| apart(other.width) * NEARLY <= own.width.nm())
        .collect();
    others.sort_by_key(|other| (apart(other.width), &other.id));
    let mut near = Vec::new();
    for other in others {
        if near.len() == NEAR {
            break;
        }
        let layers = vec![WishedLayer { moulding: other.id.clone(), ..layer.clone() }];
        let wish = Wish { layers, ..wish.clone() };
        let frame = wish.frame(shop);
        if !can_be_made((shop, &wish), &frame, date, limits)? {
            continue;
        }
        let price = match &wish.job {
            None => price(shop, &frame),
            Some(_) => frame_price(&with_job(shop.clone(), &wish, &frame), &frame, date),
        };
        let price = price.map(|price| price.said);
        let list = list_cost(shop, &frame);
        near.push(NearMoulding { moulding: other.id.clone(), price, list });
    }
    Ok(near)
}

/// Whether one copy of a frame can be made where nobody else waits: it is not held, or only
/// until somebody sells its moulding again, or is asked for long enough sticks.
fn can_be_made(
    (shop, wish): (&Shop, &Wish),
    frame: &Frame,
    date: Date,
    limits: Limits,
) -> Result<bool, Vec<Fault>> {
    let alone = with_job(by_itself(shop, frame), wish, frame);
    let plan = plan(&alone, date, limits)?.into_inner();
    Ok(plan.held.iter().all(|held| {
        matches!(
            held.reason,
            HoldReason::RandomLengths { .. } | HoldReason::NotSold { from: Some(_), .. }
        )
    }))
}
