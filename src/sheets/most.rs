//! One sheet, any number of each size: the most that it holds, by dynamic programming over all
//! cuts from edge to edge.
//!
//! # Why it is exact, and where it is not
//!
//! Whatever is cut can be pushed down and to the left until every cut lies at a sum of widths
//! or heights of pieces (J. Beasley, "Algorithms for unconstrained two-dimensional guillotine
//! cutting", 1985), so only those places are tried. Kerf is dealt with by making pieces and
//! sheet wider and higher by one. Where narrow strips cannot be broken off, waste cannot be
//! pushed about at will, and what is found is good but not always the most; what there would
//! be without that rule ([`unbroken`](SheetRules::unbroken)) is then a bound.

use crate::measure::Length;
use crate::shop::SheetRules;

use super::breakdown::{BrokenSheet, SheetFrom};
use super::pane::{Divides, Pane, SheetCut};

/// Beyond so many looks at a cut it is not tried.
const MOST_LOOKS: usize = 400_000_000;
/// Nor beyond so many places.
const MOST_PLACES: usize = 2_000;

/// A size that may be cut any number of times.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WantedSize {
    /// How wide.
    pub width: Length,
    /// How high.
    pub height: Length,
    /// Whether it may be turned.
    pub turn: bool,
    /// What one counts.
    pub value: i128,
}

/// What becomes of a rectangle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Carved {
    Waste,
    /// A piece of this number, turned or not.
    Piece(usize, bool),
    /// Two parts: the places along the measure of the first and of what the second is used to.
    Divided(Divides, usize, usize),
}

/// The places of cuts along one measure, and for each two of them what is left behind.
struct Places {
    /// From nothing on, rising.
    at: Vec<i64>,
    kerf: i64,
    least_strip: i64,
}

impl Places {
    /// The sums of these lengths up to `whole`; `None` if they are too many.
    fn new(lengths: &[i64], whole: i64, rules: &SheetRules) -> Option<Places> {
        let mut at = vec![0];
        for length in lengths.iter().filter(|length| **length <= whole) {
            let mut next = 0;
            let mut found = at.clone();
            while next < found.len() {
                let sum = found[next] + length;
                if sum <= whole {
                    found.push(sum);
                }
                next += 1;
                if found.len() > 4 * MOST_PLACES {
                    return None;
                }
            }
            found.sort_unstable();
            found.dedup();
            at = found;
        }
        // The sheet itself, so that its rows may end in strips of different widths.
        if at.last() != Some(&whole) {
            at.push(whole);
        }
        let kerf = rules.kerf.nm();
        (at.len() <= MOST_PLACES).then_some(Places {
            at,
            kerf,
            least_strip: rules.least_strip.nm(),
        })
    }

    /// To which places so much can be used: exactly to one, and to all up to another with a
    /// strip taken off.
    fn used(&self, length: i64) -> (Option<usize>, Option<usize>) {
        // A strip that the saw turns to dust altogether needs no breaking.
        let strip = match self.kerf {
            0 => self.least_strip.max(1),
            kerf => self.least_strip + kerf,
        };
        let below = |most: i64| self.at.partition_point(|place| *place <= most).checked_sub(1);
        let dust = below(length).filter(|at| length - self.at[*at] <= self.kerf);
        (dust, below(length - strip))
    }
}

/// The values of all rectangles whose sides are places.
struct MostTable {
    across: Places,
    up: Places,
    value: Vec<i128>,
    made: Vec<Carved>,
    /// The best of all that are no wider, or no higher.
    narrower: Vec<usize>,
    lower: Vec<usize>,
}

/// A most valuable way to cut a sheet into these sizes; `None` if there are so many places
/// for cuts that it is not tried.
pub fn most(
    size: (Length, Length),
    sizes: &[WantedSize],
    rules: &SheetRules,
) -> Option<BrokenSheet> {
    let mut looks = MOST_LOOKS;
    most_within(size, sizes, rules, &mut looks)
}

/// As [`most`], within so many looks at a cut, of which it takes its own off.
pub(super) fn most_within(
    size: (Length, Length),
    sizes: &[WantedSize],
    rules: &SheetRules,
    looks: &mut usize,
) -> Option<BrokenSheet> {
    let kerf = rules.kerf;
    let (mut wide, mut high) = (Vec::new(), Vec::new());
    // Nothing narrower than a strip comes off.
    for one in sizes.iter().filter(|one| one.width.min(one.height) >= rules.least_strip) {
        let (width, height) = ((one.width + kerf).nm(), (one.height + kerf).nm());
        wide.extend([Some(width), one.turn.then_some(height)].into_iter().flatten());
        high.extend([Some(height), one.turn.then_some(width)].into_iter().flatten());
    }
    let across = Places::new(&wide, (size.0 + kerf).nm(), rules)?;
    let up = Places::new(&high, (size.1 + kerf).nm(), rules)?;
    let (wide, high) = (across.at.len(), up.at.len());
    *looks = looks.checked_sub(wide.checked_mul(high)?.checked_mul(wide + high)?)?;
    let table = MostTable::new(across, up, sizes, kerf);
    Some(table.sheet(size, kerf))
}

impl MostTable {
    fn new(across: Places, up: Places, sizes: &[WantedSize], kerf: Length) -> MostTable {
        let count = across.at.len() * up.at.len();
        let mut table = MostTable {
            across,
            up,
            value: vec![0; count],
            made: vec![Carved::Waste; count],
            narrower: (0..count).collect(),
            lower: (0..count).collect(),
        };
        let at =
            |places: &Places, length: Length| places.at.binary_search(&(length + kerf).nm()).ok();
        for (number, one) in sizes.iter().enumerate() {
            for turned in [false, true].into_iter().filter(|turned| one.turn || !turned) {
                let (width, height) = match turned {
                    true => (one.height, one.width),
                    false => (one.width, one.height),
                };
                let place = (at(&table.across, width), at(&table.up, height));
                let (Some(i), Some(j)) = place else { continue };
                let cell = table.cell(i, j);
                if one.value > table.value[cell] {
                    table.value[cell] = one.value;
                    table.made[cell] = Carved::Piece(number, turned);
                }
            }
        }
        table.fill();
        table
    }

    fn cell(&self, i: usize, j: usize) -> usize {
        i * self.up.at.len() + j
    }

    fn fill(&mut self) {
        let high = self.up.at.len();
        let beyond = |places: &Places| -> Vec<Vec<(Option<usize>, Option<usize>)>> {
            let of = |i: usize| (0..i).map(|k| places.used(places.at[i] - places.at[k])).collect();
            (0..places.at.len()).map(of).collect()
        };
        let (beyond_across, beyond_up) = (beyond(&self.across), beyond(&self.up));
        for (i, beyond_across) in beyond_across.iter().enumerate().skip(1) {
            for (j, beyond_up) in beyond_up.iter().enumerate().skip(1) {
                let cell = self.cell(i, j);
                for (k, (exact, wasted)) in beyond_across.iter().enumerate().skip(1) {
                    let exact = exact.map(|m| self.cell(m, j));
                    let wasted = wasted.map(|m| self.narrower[self.cell(m, j)]);
                    for second in exact.into_iter().chain(wasted) {
                        let value = self.value[self.cell(k, j)] + self.value[second];
                        if value > self.value[cell] {
                            self.value[cell] = value;
                            self.made[cell] = Carved::Divided(Divides::Width, k, second / high);
                        }
                    }
                }
                for (k, (exact, wasted)) in beyond_up.iter().enumerate().skip(1) {
                    let exact = exact.map(|m| self.cell(i, m));
                    let wasted = wasted.map(|m| self.lower[self.cell(i, m)]);
                    for second in exact.into_iter().chain(wasted) {
                        let value = self.value[self.cell(i, k)] + self.value[second];
                        if value > self.value[cell] {
                            self.value[cell] = value;
                            self.made[cell] = Carved::Divided(Divides::Height, k, second % high);
                        }
                    }
                }
                let best = |one: usize, other: usize, value: &[i128]| {
                    if value[one] > value[other] { one } else { other }
                };
                self.narrower[cell] = best(cell, self.narrower[cell - high], &self.value);
                self.lower[cell] = best(cell, self.lower[cell - 1], &self.value);
            }
        }
    }

    /// The best for a sheet of this size, as it is cut.
    fn sheet(&self, size: (Length, Length), kerf: Length) -> BrokenSheet {
        let uses = |places: &Places, length: Length| {
            let (exact, wasted) = places.used((length + kerf).nm());
            let mut all: Vec<usize> = exact.into_iter().collect();
            all.extend(0..wasted.map_or(0, |wasted| wasted + 1));
            all
        };
        let (wide, high) = (uses(&self.across, size.0), uses(&self.up, size.1));
        let pairs = wide.iter().flat_map(|i| high.iter().map(move |j| (*i, *j)));
        let best =
            pairs.max_by_key(|&(i, j)| (self.value[self.cell(i, j)], std::cmp::Reverse((i, j))));
        let mut sheet = BrokenSheet {
            from: SheetFrom::Whole(0),
            size,
            cuts: Vec::new(),
            pieces: Vec::new(),
            left: Vec::new(),
        };
        let whole = Pane::whole(size.0, size.1);
        match best.filter(|&(i, j)| self.value[self.cell(i, j)] > 0) {
            Some(place) => self.carve(&mut sheet, whole, place, kerf),
            None => sheet.left.push(whole),
        }
        sheet
    }

    /// Takes off what a pane is larger than its places, and divides the rest.
    fn carve(&self, sheet: &mut BrokenSheet, pane: Pane, (i, j): (usize, usize), kerf: Length) {
        let mut pane = pane;
        let to = |places: &Places, at: usize| Length::from_nm(places.at[at]) - kerf;
        if self.value[self.cell(i, j)] == 0 {
            sheet.left.push(pane);
            return;
        }
        for (divides, at, has) in [
            (Divides::Width, to(&self.across, i), pane.width),
            (Divides::Height, to(&self.up, j), pane.height),
        ] {
            if at < has {
                pane = self.cut(sheet, SheetCut { pane, divides, at }, kerf, None);
            }
        }
        match self.made[self.cell(i, j)] {
            Carved::Waste => sheet.left.push(pane),
            Carved::Piece(number, turned) => sheet.pieces.push((number, pane, turned)),
            Carved::Divided(Divides::Width, k, m) => {
                let cut = SheetCut { pane, divides: Divides::Width, at: to(&self.across, k) };
                let first = self.cut(sheet, cut, kerf, Some((m, j)));
                self.carve(sheet, first, (k, j), kerf);
            }
            Carved::Divided(Divides::Height, k, m) => {
                let cut = SheetCut { pane, divides: Divides::Height, at: to(&self.up, k) };
                let first = self.cut(sheet, cut, kerf, Some((i, m)));
                self.carve(sheet, first, (i, k), kerf);
            }
        }
    }

    /// Makes a cut; what lies beyond it is carved in its turn, or left.
    fn cut(
        &self,
        sheet: &mut BrokenSheet,
        cut: SheetCut,
        kerf: Length,
        then: Option<(usize, usize)>,
    ) -> Pane {
        sheet.cuts.push(cut);
        let (first, beyond) = cut.parts(kerf);
        match (beyond, then) {
            (Some(beyond), Some(place)) => self.carve(sheet, beyond, place, kerf),
            (Some(beyond), None) => sheet.left.push(beyond),
            (None, _) => {}
        }
        first
    }
}
