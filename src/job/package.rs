//! From an artwork to its package: what drops into the rabbet.

use super::window::{self, Borders, Weighting};
use crate::measure::Length;

/// Width and height.
pub type ArtSize = (Length, Length);

/// How an artwork is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Display {
    /// Behind a window that lies on it.
    Overlapped {
        /// By so much on each side.
        overlap: Length,
    },
    /// Behind a window round it, with some of its paper seen.
    Revealed {
        /// So much above and at both sides.
        sides: Length,
        /// So much below.
        bottom: Length,
    },
    /// On a board that is seen round it.
    Floated {
        /// So much on each side, to the sight edge.
        margin: Length,
    },
    /// To the edge of the frame, a canvas too.
    Whole,
}

/// The frame's innermost moulding, as the package meets it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lip {
    /// How far it covers the package; nothing for a floater.
    pub rabbet: Length,
    /// What is added to each dimension of the package so that it drops in.
    pub allowance: Length,
}

impl Lip {
    /// Whether it covers anything: a floater has no lip.
    pub fn covers(&self) -> bool {
        self.rabbet.is_positive()
    }

    /// How much of the package it hides on each side if that lies in the middle; up.
    pub fn hides(&self) -> Length {
        let doubled = self.rabbet * 2 - self.allowance;
        Length::from_nm(doubled.nm().div_euclid(2) + doubled.nm().rem_euclid(2))
    }

    /// What is seen of a package.
    pub fn sight(&self, package: Length) -> Length {
        package + self.allowance - self.rabbet * 2
    }

    /// The package of which so much is seen.
    fn behind(&self, sight: Length) -> Length {
        sight + self.rabbet * 2 - self.allowance
    }
}

/// What a package is worked out from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ArtIn {
    /// The artwork's own size.
    pub art: ArtSize,
    /// What is to be seen of it; the art itself unless less.
    pub image: ArtSize,
    /// How it is shown.
    pub display: Display,
    /// For each mat, innermost first, how much of it is seen beyond the one over it; the
    /// last stands for the outermost, whose reveal is none. Empty without a window.
    pub reveals: Vec<Length>,
    /// How much is seen of a fillet in the innermost mat.
    pub fillet: Option<Length>,
    /// The borders of the outermost mat, unless the package is given.
    pub borders: Borders,
    /// How much more stands below.
    pub weighting: Weighting,
    /// The package's size, where it is given: then the borders follow.
    pub given: Option<ArtSize>,
    /// The moulding round it.
    pub lip: Lip,
    /// Openings are cut to the nearest whole multiple of this.
    pub grain: Length,
}

/// A package, worked out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Package {
    /// Its size.
    pub size: ArtSize,
    /// What is seen of the art and its paper: the innermost opening, that of a fillet if
    /// there is one. Without a window, nothing.
    pub opening: Option<ArtSize>,
    /// The opening of each mat, innermost first.
    pub mats: Vec<ArtSize>,
    /// The borders of the outermost mat.
    pub borders: Option<Borders>,
    /// Of a float, the board that is seen: left and right, above and below; the lesser
    /// half where it does not halve.
    pub margin: Option<ArtSize>,
}

/// Why an artwork cannot be shown so.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Misfit {
    /// The window would have no opening.
    NoOpening,
    /// The paper is no larger than the opening.
    FallsThrough {
        /// The opening where it is too large.
        opening: Length,
    },
    /// The package given is no larger than the outermost opening.
    NoBorder {
        /// The opening where it is too large.
        opening: Length,
    },
    /// More of the package given would be seen than the float's board is wide: the art
    /// does not lie within the sight edge.
    Covered {
        /// What is seen where the art is larger.
        sight: Length,
    },
    /// The art is larger than the package, and is not bent or cut to fit.
    TooLarge {
        /// The package.
        package: ArtSize,
    },
    /// The art is no larger than what the frame leaves open: it falls through.
    ThroughFrame {
        /// What is seen of the package where the art is too small.
        sight: Length,
    },
}

/// The package of an artwork, or why there is none. Openings are rounded first, to the
/// nearest multiple of the grain; all else follows from them exactly.
///
/// # Errors
/// If it would have no window, no border, or nothing to hold the art.
pub fn package(of: &ArtIn) -> Result<Package, Misfit> {
    match of.display {
        Display::Whole => whole(of),
        Display::Floated { margin } if of.reveals.is_empty() => floated(of, margin),
        Display::Overlapped { overlap } => {
            let opening = |image| window::overlapping(image, overlap);
            windowed(of, (opening(of.image.0), opening(of.image.1)), true)
        }
        Display::Revealed { sides, bottom } => {
            let opening = (of.image.0 + sides * 2, of.image.1 + sides + bottom);
            windowed(of, opening, true)
        }
        // In a window the board is seen instead of the paper.
        Display::Floated { margin } => {
            windowed(of, (of.art.0 + margin * 2, of.art.1 + margin * 2), false)
        }
    }
}

fn bare(size: ArtSize, margin: Option<ArtSize>) -> Package {
    Package { size, opening: None, mats: Vec::new(), borders: None, margin }
}

fn whole(of: &ArtIn) -> Result<Package, Misfit> {
    let size = of.given.unwrap_or(of.art);
    holds(of, size)?;
    for (package, art) in [(size.0, of.art.0), (size.1, of.art.1)] {
        let sight = of.lip.sight(package);
        if of.lip.covers() && art <= sight {
            return Err(Misfit::ThroughFrame { sight });
        }
    }
    Ok(bare(size, None))
}

/// Whether the art lies in a package with all of it, what a mat hides of it too.
fn holds(of: &ArtIn, package: ArtSize) -> Result<(), Misfit> {
    let fits = of.art.0 <= package.0 && of.art.1 <= package.1;
    if fits { Ok(()) } else { Err(Misfit::TooLarge { package }) }
}

fn floated(of: &ArtIn, margin: Length) -> Result<Package, Misfit> {
    let behind = |art: Length| of.lip.behind(art + margin * 2);
    let size = of.given.unwrap_or((behind(of.art.0), behind(of.art.1)));
    let seen = |size, art| {
        let sight = of.lip.sight(size);
        let spare = sight - art;
        if spare.nm() < 0 { Err(Misfit::Covered { sight }) } else { Ok(half(spare)) }
    };
    let margin = (seen(size.0, of.art.0)?, seen(size.1, of.art.1)?);
    Ok(bare(size, Some(margin)))
}

/// `is_held` says that the window must hold the art back.
fn windowed(of: &ArtIn, opening: ArtSize, is_held: bool) -> Result<Package, Misfit> {
    let opening = (opening.0.nearest(of.grain), opening.1.nearest(of.grain));
    if !opening.0.is_positive() || !opening.1.is_positive() {
        return Err(Misfit::NoOpening);
    }
    for (opening, art) in [(opening.0, of.art.0), (opening.1, of.art.1)] {
        if is_held && opening >= art {
            return Err(Misfit::FallsThrough { opening });
        }
    }
    let fillet = of.fillet.unwrap_or(Length::ZERO) * 2;
    let innermost = (opening.0 + fillet, opening.1 + fillet);
    let steps = of.reveals.split_last().map_or(&[][..], |(_, under)| under);
    let mats = window::steps(innermost, steps);
    let outermost = *mats.last().unwrap_or(&innermost);
    let borders = match of.given {
        None => window::weighted(of.borders, of.weighting),
        Some(given) => window::around(given, outermost, of.weighting),
    };
    for (border, opening) in [
        (borders.left.min(borders.right), outermost.0),
        (borders.top.min(borders.bottom), outermost.1),
    ] {
        if !border.is_positive() {
            return Err(Misfit::NoBorder { opening });
        }
    }
    let sums = borders.sums();
    let size = (outermost.0 + sums.0, outermost.1 + sums.1);
    holds(of, size)?;
    Ok(Package { size, opening: Some(opening), mats, borders: Some(borders), margin: None })
}

/// Half of a length, down to the nanometre.
fn half(length: Length) -> Length {
    Length::from_nm(length.nm().div_euclid(2))
}
