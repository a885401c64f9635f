//! The ways to take one piece out of a pane: the piece in its lower left corner, turned or
//! not, and which of the two cuts comes first.
//!
//! # Why the largest remnant decides
//!
//! Two cuts leave two remnants, and the first cut says which of them is the long one.
//! Framers asked how to take 16 x 20 from 32 x 40 answer "16 off the 40", since the largest
//! piece stays.

use crate::measure::Length;
use crate::shop::SheetRules;

use super::pane::{Divides, Pane, SheetCut, area, rest};

/// One way to take a piece out of a pane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct PieceWay {
    /// Whether the piece lies turned.
    pub turned: bool,
    /// Where it lies.
    pub piece: Pane,
    /// The cuts, in their order.
    pub cuts: [Option<SheetCut>; 2],
    /// What is left.
    pub left: [Option<Pane>; 2],
}

/// Every way, the best first: the one that leaves the largest remnant that is worth keeping,
/// then the largest at all, then not turned, then the one that divides the height first.
pub(super) fn ways(
    pane: Pane,
    (width, height): (Length, Length),
    turn: bool,
    rules: &SheetRules,
) -> Vec<PieceWay> {
    let mut all = Vec::with_capacity(4);
    for turned in [false, true] {
        if turned && (!turn || width == height) {
            continue;
        }
        let (width, height) = if turned { (height, width) } else { (width, height) };
        lying(&mut all, pane, (width, height), turned, rules);
    }
    all.sort_by_key(|way| std::cmp::Reverse(way.merit(rules)));
    all
}

/// Whether a piece can be taken out of a pane at all.
pub(super) fn fits(
    pane: Pane,
    (width, height): (Length, Length),
    turn: bool,
    rules: &SheetRules,
) -> bool {
    let lies = |width, height| {
        rest(pane.width, width, rules).is_some() && rest(pane.height, height, rules).is_some()
    };
    lies(width, height) || turn && lies(height, width)
}

fn lying(
    all: &mut Vec<PieceWay>,
    pane: Pane,
    (width, height): (Length, Length),
    turned: bool,
    rules: &SheetRules,
) {
    if rest(pane.width, width, rules).is_none() || rest(pane.height, height, rules).is_none() {
        return;
    }
    let upright = (pane.width > width).then_some((Divides::Width, width));
    let across = (pane.height > height).then_some((Divides::Height, height));
    let orders = match (across, upright) {
        (Some(_), Some(_)) => vec![[across, upright], [upright, across]],
        _ => vec![[across.or(upright), None]],
    };
    for order in orders {
        let mut way = PieceWay { turned, piece: pane, cuts: [None; 2], left: [None; 2] };
        for (place, cut) in order.into_iter().enumerate() {
            let Some((divides, at)) = cut else { continue };
            let cut = SheetCut { pane: way.piece, divides, at };
            (way.piece, way.left[place]) = cut.parts(rules.kerf);
            way.cuts[place] = Some(cut);
        }
        all.push(way);
    }
}

impl PieceWay {
    /// How good it is by the habit: the larger, the better.
    fn merit(&self, rules: &SheetRules) -> (i128, i128) {
        let largest = |of: &dyn Fn(&Pane) -> bool| {
            let left = self.left.iter().flatten().filter(|pane| of(pane));
            left.map(|pane| area(pane.width, pane.height)).max().unwrap_or(0)
        };
        (largest(&|pane| rules.keeps(pane.width, pane.height)), largest(&|_| true))
    }
}
