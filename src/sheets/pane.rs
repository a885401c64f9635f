//! A rectangle of a sheet, and what a cut from edge to edge makes of it.

use crate::measure::Length;
use crate::shop::SheetRules;

/// A rectangle on a sheet, from the sheet's lower left corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Pane {
    /// How far it lies from the left edge.
    pub x: Length,
    /// How far from the lower edge.
    pub y: Length,
    /// How wide it is.
    pub width: Length,
    /// How high.
    pub height: Length,
}

/// Which measure a cut divides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Divides {
    /// The width: the cut runs upwards.
    Width,
    /// The height: it runs across.
    Height,
}

/// A cut from edge to edge of a pane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SheetCut {
    /// What is cut.
    pub pane: Pane,
    /// Which of its measures is divided.
    pub divides: Divides,
    /// How much of it comes first, from the left or from below.
    pub at: Length,
}

impl Pane {
    /// A whole sheet of this size.
    pub fn whole(width: Length, height: Length) -> Pane {
        Pane { x: Length::ZERO, y: Length::ZERO, width, height }
    }

    /// How large it is, in square nanometres.
    pub fn area(&self) -> i128 {
        area(self.width, self.height)
    }
}

/// An area in square nanometres: of a large sheet alone it fits in 64 bits no more.
pub fn area(width: Length, height: Length) -> i128 {
    i128::from(width.nm()) * i128::from(height.nm())
}

/// What is left of a measure behind a part of it: `None` if the part does not fit, or one of
/// the two cannot be taken off the other.
pub(super) fn rest(of: Length, part: Length, rules: &SheetRules) -> Option<Length> {
    let over = of - part;
    if over <= Length::ZERO {
        return (over == Length::ZERO).then_some(over);
    }
    let rest = (over - rules.kerf).max(Length::ZERO);
    // What a saw turns to dust altogether needs no breaking off.
    let comes_off = rest == Length::ZERO || rest >= rules.least_strip;
    (comes_off && part >= rules.least_strip).then_some(rest)
}

impl SheetCut {
    /// What it leaves: what comes first, and what lies beyond, if anything.
    pub fn parts(&self, kerf: Length) -> (Pane, Option<Pane>) {
        let Pane { x, y, width, height } = self.pane;
        let at = self.at;
        match self.divides {
            Divides::Width => {
                let beyond = (width - at - kerf).max(Length::ZERO);
                let second = Pane { x: x + width - beyond, y, width: beyond, height };
                (Pane { width: at, ..self.pane }, beyond.is_positive().then_some(second))
            }
            Divides::Height => {
                let beyond = (height - at - kerf).max(Length::ZERO);
                let second = Pane { x, y: y + height - beyond, width, height: beyond };
                (Pane { height: at, ..self.pane }, beyond.is_positive().then_some(second))
            }
        }
    }
}
