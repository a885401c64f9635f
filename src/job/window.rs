//! Windows in mats: the opening, the borders round it, and mats under mats.

use crate::measure::Length;

/// The width of the mat on each side of its opening.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Borders {
    /// On the left.
    pub left: Length,
    /// Above.
    pub top: Length,
    /// On the right.
    pub right: Length,
    /// Below.
    pub bottom: Length,
}

/// How an opening stands between top and bottom.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weighting {
    /// So much more below than above.
    Below(Length),
    /// By the side's border: a third of it and of the free height above.
    Optical,
}

impl Borders {
    /// The same on all sides.
    pub fn all(border: Length) -> Borders {
        Borders { left: border, top: border, right: border, bottom: border }
    }

    /// What they add to an opening's width and height.
    pub fn sums(&self) -> (Length, Length) {
        (self.left + self.right, self.top + self.bottom)
    }

    /// The narrowest.
    pub fn least(&self) -> Length {
        self.left.min(self.top).min(self.right).min(self.bottom)
    }

    /// Each as wide by so much more, or less.
    pub fn wider(&self, by: Length) -> Borders {
        let Borders { left, top, right, bottom } = *self;
        Borders { left: left + by, top: top + by, right: right + by, bottom: bottom + by }
    }
}

/// The opening of a window that lies on the art with its overlap on each side.
pub fn overlapping(art: Length, overlap: Length) -> Length {
    art - overlap * 2
}

/// The borders of an opening in a blank of a given size: left as right, top and bottom
/// as they are weighted. What does not halve or divide by three stands on the right and
/// below, to the nanometre.
pub fn around(blank: (Length, Length), opening: (Length, Length), weighting: Weighting) -> Borders {
    let (across, up) = (blank.0 - opening.0, blank.1 - opening.1);
    let left = part(across, 2);
    let top = match weighting {
        Weighting::Below(extra) => part(up - extra, 2),
        Weighting::Optical => part(left + up, 3),
    };
    Borders { left, top, right: across - left, bottom: up - top }
}

/// The borders that an opening is given, weighted below.
pub fn weighted(borders: Borders, weighting: Weighting) -> Borders {
    match weighting {
        Weighting::Below(extra) => Borders { bottom: borders.bottom + extra, ..borders },
        Weighting::Optical => {
            let free = borders.top + borders.bottom;
            let top = part(borders.left + free, 3);
            Borders { top, bottom: free - top, ..borders }
        }
    }
}

/// The openings of mats from the innermost out, each larger than the one under it by its
/// reveal on each side; the first is `innermost`.
pub fn steps(innermost: (Length, Length), reveals: &[Length]) -> Vec<(Length, Length)> {
    let mut openings = vec![innermost];
    let mut at = innermost;
    for reveal in reveals {
        at = (at.0 + *reveal * 2, at.1 + *reveal * 2);
        openings.push(at);
    }
    openings
}

/// The front edge of an opening: the bevel, at 45 degrees, opens it by the board's
/// thickness on each side. Openings are measured at the lower edge.
pub fn front(opening: (Length, Length), board: Length) -> (Length, Length) {
    (opening.0 + board * 2, opening.1 + board * 2)
}

/// A share of a length, down to the nanometre.
fn part(length: Length, of: i64) -> Length {
    Length::from_nm(length.nm().div_euclid(of))
}
