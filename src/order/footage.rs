//! What the trade's rule of thumb would order, beside what is ordered.

use super::finish::Detail;
use super::wants::Wants;
use crate::buy::{Way, sticks_in};
use crate::measure::Length;
use crate::plan::{CutStick, Yield};
use crate::planner::work::Work;
use crate::rails::frame_footage;
use crate::shop::Shop;

/// Millionths in a whole share.
const WHOLE: i128 = 1_000_000;

/// For each moulding that is cut from new sticks, `sticks` among them: how much
/// of what is bought becomes rails, and what the rule of thumb would have bought.
pub(super) fn yields(
    work: &Work,
    shop: &Shop,
    chosen: &[(&Wants, &Way, &Detail)],
    sticks: &[CutStick],
) -> Vec<Yield> {
    let mut yields = Vec::new();
    for (wants, _, detail) in chosen {
        let cut = detail.phases.iter().flat_map(|phase| &phase.layers);
        let (mut all, mut footage) = (Length::ZERO, Length::ZERO);
        for layer in cut {
            all += wants.perimeter(layer);
            let task = &work.tasks[layer.task];
            let frame = &shop.frames[task.frame];
            let class = &work.classes[task.class];
            let place = class
                .layers
                .iter()
                .position(|l| l.moulding == wants.moulding.id && l.ask == layer.ask);
            footage += frame_footage(shop, frame)[place.unwrap_or(0)];
        }
        let is_new = |stick: &&CutStick| stick.is_new && stick.moulding == wants.moulding.id;
        let new = sticks.iter().filter(is_new).flat_map(|stick| &stick.rails);
        let rails: Length = new.map(|rail| rail.long_point).sum();
        // Of frames that the rack helps with, the rule is asked in proportion.
        let share = i128::from(footage.nm()) * i128::from(rails.nm()) / i128::from(all.nm().max(1));
        let rule = Length::from_nm(i64::try_from(share).unwrap_or(0));
        let bought: Length = detail
            .bought
            .iter()
            .map(|line| {
                let offer = &shop.offers[wants.supplies[line.supply].offer];
                let sticks = line.count * sticks_in(offer, line.piece.stick).max(1);
                // What fills up the rack is not bought for these frames.
                line.piece.stick * i64::from(sticks - line.restock.min(sticks))
            })
            .sum();
        if !rails.is_positive() || !bought.is_positive() {
            continue;
        }
        let whole = i128::from(rule.nm()) * (WHOLE + i128::from(shop.settings.buying.waste));
        let with_waste = Length::from_nm(i64::try_from(whole / WHOLE).unwrap_or(i64::MAX));
        let moulding = wants.moulding.id.clone();
        yields.push(Yield { moulding, rails, bought, rule, with_waste });
    }
    yields
}
