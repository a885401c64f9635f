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

/// Of all ways the one that so many are better than, or the last: best is the one that leaves
/// the largest remnant that is worth keeping, then the largest at all, then not turned, then the
/// one that divides the height first. `None` if the piece does not fit.
pub(super) fn way(
    pane: Pane,
    size: (Length, Length),
    turn: bool,
    rules: &SheetRules,
    better: usize,
) -> Option<PieceWay> {
    let mut all = [const { None }; 4];
    let mut count = 0;
    for turned in [false, true] {
        if turned && (!turn || size.0 == size.1) {
            continue;
        }
        let lies = if turned { (size.1, size.0) } else { size };
        for way in lying(pane, lies, turned, rules).into_iter().flatten() {
            all[count] = Some((way.merit(rules), way));
            count += 1;
        }
    }
    let all = &mut all[..count];
    // Few are asked for but the best.
    let best = |all: &[Option<((i128, i128), PieceWay)>]| {
        let merits = all.iter().enumerate().filter_map(|(at, way)| Some((at, way.as_ref()?.0)));
        merits.rev().max_by_key(|(_, merit)| *merit).map(|(at, _)| at)
    };
    for _ in 0..better.min(count.saturating_sub(1)) {
        let at = best(all)?;
        all[at] = None;
    }
    let at = best(all)?;
    all[at].take().map(|(_, way)| way)
}

/// Whether a piece can be taken out of a pane at all.
pub(super) fn fits(
    pane: Pane,
    (width, height): (Length, Length),
    turn: bool,
    rules: &SheetRules,
) -> bool {
    let lies = |width, height| match rules.made_to_size {
        true => (pane.width, pane.height) == (width, height),
        false => {
            rest(pane.width, width, rules).is_some() && rest(pane.height, height, rules).is_some()
        }
    };
    lies(width, height) || turn && lies(height, width)
}

/// The ways with the piece lying so; none if it does not fit.
fn lying(
    pane: Pane,
    (width, height): (Length, Length),
    turned: bool,
    rules: &SheetRules,
) -> [Option<PieceWay>; 2] {
    if rest(pane.width, width, rules).is_none() || rest(pane.height, height, rules).is_none() {
        return [None; 2];
    }
    let upright = (pane.width > width).then_some((Divides::Width, width));
    let across = (pane.height > height).then_some((Divides::Height, height));
    let first = match (across, upright) {
        (Some(_), Some(_)) => [across, upright],
        _ => [across.or(upright), None],
    };
    let second = (first[1].is_some()).then_some([upright, across]);
    [Some(first), second].map(|order| {
        let mut way = PieceWay { turned, piece: pane, cuts: [None; 2], left: [None; 2] };
        for (place, cut) in order?.into_iter().enumerate() {
            let Some((divides, at)) = cut else { continue };
            let cut = SheetCut { pane: way.piece, divides, at };
            (way.piece, way.left[place]) = cut.parts(rules.kerf);
            way.cuts[place] = Some(cut);
        }
        Some(way)
    })
}

impl PieceWay {
    /// How good it is by the habit: the larger, the better.
    fn merit(&self, rules: &SheetRules) -> (i128, i128) {
        let (mut kept, mut any) = (0, 0);
        for pane in self.left.iter().flatten() {
            let area = area(pane.width, pane.height);
            any = any.max(area);
            if rules.keeps(pane.width, pane.height) {
                kept = kept.max(area);
            }
        }
        (kept, any)
    }
}
