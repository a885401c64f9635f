//! What no way to cut it all can go below, in the area of whole sheets opened.
//!
//! # Dual feasible functions
//!
//! If widths that fit beside one another in a sheet still do so after a function has changed
//! them, and heights likewise, then the changed areas of what fits into a sheet are together
//! no more than the changed sheet (S. Fekete and J. Schepers, "A general framework for bounds
//! for higher-dimensional orthogonal packing problems", 2004). The functions here are theirs,
//! G. Lueker's and that of J. Carlier, F. Clautiaux and A. Moukrim (2007). All of them are
//! superadditive, so the same holds for every remnant that is no larger than the sheet. A
//! piece that may be turned counts the less of its two ways. Kerf is dealt with by making
//! pieces and sheets wider and higher by one. Where many pieces are of few sizes, the cheapest
//! mix of sheets (`mix`), which knows that cuts go from edge to edge, says more.

use crate::measure::Length;

use super::breakdown::SheetQuestion;
use super::pane::{Pane, area};
use super::ways::fits;

/// So many different sizes at the most make functions of each kind, and fewer where each of
/// them costs more looks.
const SIZES: usize = 24;
const LOOKS: usize = 20_000_000;
/// So many looks at a cut for the cheapest mix of sheets, where sizes are wanted often.
const MIX_LOOKS: usize = 200_000_000;
/// With more sizes of whole sheets than this only their ratios count.
const COMBINED: usize = 3;

/// A superadditive function of lengths up to `whole`.
#[derive(Debug, Clone, Copy)]
enum Scale {
    /// The length itself.
    Plain,
    /// Nothing below, all of the whole for what leaves less than this beside it.
    Beside(i64),
    /// So many equal parts, of which one is lost unless the length is so many whole ones.
    Parts(i64),
    /// How often a length goes into it, and, beyond the half, into what it leaves.
    Times(i64),
}

#[derive(Debug, Clone, Copy)]
struct Axis {
    scale: Scale,
    whole: i64,
}

impl Axis {
    fn of(self, x: i64) -> i128 {
        let whole = self.whole;
        i128::from(match self.scale {
            Scale::Plain => x,
            Scale::Beside(least) if x > whole - least => whole,
            Scale::Beside(least) => {
                if x < least {
                    0
                } else {
                    x
                }
            }
            Scale::Parts(parts) if (parts + 1) * x % whole == 0 => x * parts,
            Scale::Parts(parts) => (parts + 1) * x / whole * whole,
            Scale::Times(of) if 2 * x > whole => 2 * (whole / of - (whole - x) / of),
            Scale::Times(of) if 2 * x == whole => whole / of,
            Scale::Times(of) => 2 * (x / of),
        })
    }

    /// Every function that is tried along one measure of the sheet.
    fn all(whole: i64, sizes: &[i64]) -> Vec<Axis> {
        let plain = std::iter::once(Scale::Plain);
        let halves = sizes.iter().copied().filter(|size| 2 * size <= whole);
        let beside = halves.clone().map(Scale::Beside);
        let scales =
            plain.chain(beside).chain((1..=6).map(Scale::Parts)).chain(halves.map(Scale::Times));
        scales.map(|scale| Axis { scale, whole }).collect()
    }
}

impl SheetQuestion {
    /// The least area of whole sheets that must be opened for all pieces that can be cut at
    /// all.
    pub fn least_opened(&self) -> i128 {
        let sheet = self.wholes.iter().max_by_key(|(width, height, _)| area(*width, *height));
        let Some(&(width, height, _)) = sheet else { return 0 };
        let kerf = self.rules.kerf.nm();
        let mut sizes: Vec<i64> = self
            .pieces
            .iter()
            .flat_map(|(width, height, _)| [width.nm() + kerf, height.nm() + kerf])
            .collect();
        sizes.sort_unstable();
        sizes.dedup();
        let each = self.pieces.len().max(1) * (1 + self.remnants.len());
        let most = SIZES.min((LOOKS / each).isqrt() / 2).max(1);
        let step = sizes.len().div_ceil(most).max(1);
        let sizes: Vec<i64> = sizes.into_iter().step_by(step).collect();
        let ups = Axis::all(height.nm() + kerf, &sizes);
        let mut least = 0;
        for across in Axis::all(width.nm() + kerf, &sizes) {
            for up in &ups {
                least = least.max(self.bound((across, *up)));
            }
        }
        least.max(self.least_by_mix(MIX_LOOKS))
    }

    /// The bound of one pair of functions.
    fn bound(&self, axes: (Axis, Axis)) -> i128 {
        let turns = self.pieces.iter().all(|piece| piece.2);
        let wholes: Option<Vec<(i128, i128)>> = self
            .wholes
            .iter()
            .map(|&(width, height, _)| {
                Some((self.room(axes, (width, height), turns)?, area(width, height)))
            })
            .collect();
        let (Some(wholes), mut needed) = (wholes, 0) else { return 0 };
        let mut in_remnants: Vec<i128> = vec![0; self.remnants.len()];
        for &(width, height, turn) in &self.pieces {
            let can = |size: (Length, Length)| {
                fits(Pane::whole(size.0, size.1), (width, height), turn, &self.rules)
            };
            if !self.wholes.iter().any(|whole| can((whole.0, whole.1))) {
                continue;
            }
            let value = self.value(axes, (width, height), turn);
            needed += value;
            for (sum, remnant) in in_remnants.iter_mut().zip(&self.remnants) {
                *sum += if can(*remnant) { value } else { 0 };
            }
        }
        for (sum, remnant) in in_remnants.into_iter().zip(&self.remnants) {
            needed -= self.room(axes, *remnant, turns).map_or(sum, |room| room.min(sum));
        }
        least_area(needed, &wholes)
    }

    /// What a piece counts: the less of its ways to lie.
    fn value(&self, axes: (Axis, Axis), size: (Length, Length), turn: bool) -> i128 {
        let as_asked = self.changed(axes, size);
        let turned = self.changed(axes, (size.1, size.0)).filter(|_| turn);
        match (as_asked, turned) {
            (Some(one), Some(other)) => one.min(other),
            (one, other) => one.or(other).unwrap_or(0),
        }
    }

    /// How much a sheet or remnant can hold; `None` if it is not known.
    fn room(&self, axes: (Axis, Axis), size: (Length, Length), turns: bool) -> Option<i128> {
        let as_it_is = self.changed(axes, size);
        // Turned with all that is in it, it holds the same, if all of that may be turned.
        let turned = self.changed(axes, (size.1, size.0)).filter(|_| turns);
        match (as_it_is, turned) {
            (Some(one), Some(other)) => Some(one.min(other)),
            (one, other) => one.or(other),
        }
    }

    /// The changed area; `None` of what does not lie in the largest sheet that way.
    fn changed(
        &self,
        (across, up): (Axis, Axis),
        (width, height): (Length, Length),
    ) -> Option<i128> {
        let kerf = self.rules.kerf;
        let (width, height) = ((width + kerf).nm(), (height + kerf).nm());
        (width <= across.whole && height <= up.whole).then(|| across.of(width) * up.of(height))
    }
}

/// The least area of sheets, each with its room and its area, whose room is enough.
pub(super) fn least_area(needed: i128, wholes: &[(i128, i128)]) -> i128 {
    if needed <= 0 {
        return 0;
    }
    let roomy: Vec<(i128, i128)> = wholes.iter().copied().filter(|whole| whole.0 > 0).collect();
    if roomy.len() > COMBINED {
        let ratio = |(room, area): (i128, i128)| (needed * (area / 1_000_000)) / room * 1_000_000;
        return roomy.into_iter().map(ratio).min().unwrap_or(0);
    }
    combined(needed, &roomy)
}

fn combined(needed: i128, wholes: &[(i128, i128)]) -> i128 {
    let Some(((room, area), others)) = wholes.split_first() else { return 0 };
    let all = ceiling(needed, *room);
    if others.is_empty() {
        return all * area;
    }
    (0..=all)
        .map(|count| match needed - count * room {
            rest if rest <= 0 => count * area,
            rest => count * area + combined(rest, others),
        })
        .min()
        .unwrap_or(0)
}

fn ceiling(of: i128, by: i128) -> i128 {
    (of + by - 1) / by
}
