//! Build-outs: strips behind a moulding that make its rabbet deeper.
//!
//! # Why a build-out is a layer
//!
//! It is bought in sticks, kept on the rack and cut to length as moulding is, so it is packed
//! with everything else. What differs is its ends: they are cut square, and two strips lie
//! between the two others. The package passes between all four, so a build-out is laid round
//! the rabbet of the layer before it, and makes no frame larger.
//!
//! # Why one that a job adds is the last layer
//!
//! What is cut and ordered of a frame is known by the number of its layer. So what is added
//! stands behind all that was typed and behind a fillet, and no other layer's number changes.

use super::{Frame, Job, Kind, Layer, Moulding, Shop};
use crate::measure::{Length, Mitre};

/// Why a build-out cannot lie where it is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum BuildOutMisfit {
    /// Nothing is in front of it.
    #[error(
        "is a build-out, and lies behind another layer (write the frame's own moulding on a layer before it)"
    )]
    First,
    /// A floater has no rabbet.
    #[error("is a build-out, and a floater has no rabbet to make deeper (take it away)")]
    BehindFloater,
    /// Square ends meet at four corners only.
    #[error(
        "is a build-out, which is cut square, and only a frame of four sides has square corners (take it away)"
    )]
    NotFourSides,
    /// Suppliers cut mitres.
    #[error(
        "is offered of a build-out, which is cut square, and a chop is mitred (offer its sticks by length or box)"
    )]
    Chopped,
    /// It would be seen from the side.
    #[error(
        "is a build-out wider than what is behind the rabbet of the layer before it, so it would be seen (take a narrower one)"
    )]
    TooWide,
}

impl BuildOutMisfit {
    /// What keeps a moulding from lying behind the layer before it, if anything does.
    pub fn of(strip: &Moulding, before: Option<&Moulding>, mitre: Option<Mitre>) -> Option<Self> {
        if strip.kind != Kind::BuildOut {
            return None;
        }
        let Some(before) = before else { return Some(BuildOutMisfit::First) };
        if before.kind == Kind::Floater {
            return Some(BuildOutMisfit::BehindFloater);
        }
        if mitre.is_some_and(|mitre| mitre != Mitre::SQUARE) {
            return Some(BuildOutMisfit::NotFourSides);
        }
        (strip.width > before.width - before.rabbet).then_some(BuildOutMisfit::TooWide)
    }
}

impl Kind {
    /// Whether a package lies in its rabbet, with an allowance.
    pub const fn has_rabbet(self) -> bool {
        matches!(self, Kind::Rebated | Kind::Reversible)
    }

    /// At which mitre a moulding of this kind is cut for a frame.
    pub const fn mitre(self, frame: Mitre) -> Mitre {
        match self {
            Kind::BuildOut => Mitre::BUTT,
            Kind::Rebated | Kind::Reversible | Kind::Floater => frame,
        }
    }
}

impl Shop {
    /// At which mitre a layer of a frame is cut, counted from 1.
    ///
    /// # Panics
    /// If the frame has no such layer.
    pub fn mitre_of(&self, frame: &Frame, layer: usize) -> Mitre {
        self.moulding(&frame.layers[layer - 1].moulding).kind.mitre(frame.mitre)
    }

    /// Whether a layer goes round the package: no fillet in a mat, no build-out.
    pub fn goes_round(&self, layer: &Layer) -> bool {
        layer.window.is_none() && self.moulding(&layer.moulding).kind != Kind::BuildOut
    }

    /// How much deeper build-outs make a frame.
    pub fn built_out(&self, frame: &Frame) -> Length {
        let mouldings = frame.layers.iter().map(|layer| self.moulding(&layer.moulding));
        let strips = mouldings.filter(|moulding| moulding.kind == Kind::BuildOut);
        strips.filter_map(|strip| strip.body.height).sum()
    }

    /// How thick what lies in a frame is: as its ticket says, or as its job adds up where that
    /// is more. A canvas counts in a floater alone: behind a rabbet it stands out, held by clips.
    pub fn thickness_of(&self, frame: &Frame) -> Option<Length> {
        let Some(job) = self.jobs.get(&frame.id) else { return frame.thickness };
        if job.is_in_rabbet() {
            return frame.thickness.max(self.least_thickness(job));
        }
        let inner = self.moulding(&frame.layers[0].moulding);
        let bars = frame.thickness.max(job.thick).filter(|_| inner.kind == Kind::Floater);
        job.glazed(bars?, |code| self.materials.get(code))
    }

    /// The least that the layers of a job's package add up to.
    pub fn least_thickness(&self, job: &Job) -> Option<Length> {
        job.least_thickness(|code| self.materials.get(code), |code| self.mouldings.get(code))
    }

    /// The lowest of the shop's mouldings that builds a frame out by so much at the least, that
    /// is hidden behind it, and whose machine cuts it: square, and so short.
    pub fn lowest_build_out(&self, frame: &Frame, least: Length) -> Option<&Moulding> {
        let before = frame.layers.iter().rfind(|layer| self.goes_round(layer));
        let before = before.map(|layer| self.moulding(&layer.moulding));
        let fits = |strip: &&Moulding| {
            strip.kind == Kind::BuildOut
                && BuildOutMisfit::of(strip, before, Some(frame.mitre)).is_none()
                && self.cutters.get(&strip.cutter).is_some_and(|saw| {
                    // No strip is shorter than the package's side that it lies along.
                    saw.cuts(Mitre::BUTT) && frame.width.min(frame.height) >= saw.shortest
                })
        };
        let strips = self.mouldings.values().filter(fits);
        let high = strips.filter_map(|strip| Some((strip.body.height?, strip)));
        let high = high.filter(|(high, _)| *high >= least);
        high.min_by_key(|(high, strip)| (*high, &strip.id)).map(|(_, strip)| strip)
    }

    /// The build-out that a frame's job adds by itself, if `[job]` of `shop.toml` wants that:
    /// where what lies in a rabbet is too thick, and a strip of the shop's makes room for it.
    pub fn build_out_by_itself(&self, frame: &Frame, job: &Job) -> Option<Layer> {
        if !self.settings.job.build_out {
            return None;
        }
        let typed = frame.thickness.filter(|_| job.is_in_rabbet());
        let (_, least) = self.most_lacking(frame, typed.max(self.least_thickness(job)))?;
        let strip = self.lowest_build_out(frame, least)?;
        Some(Layer {
            moulding: strip.id.clone(),
            allowance: None,
            gap: Length::ZERO,
            window: None,
            match_: strip.match_,
            match_floor: strip.match_,
        })
    }

    /// Whether the last layer of a frame is one that its job added by itself.
    pub fn is_built_by_itself(&self, frame: &Frame) -> bool {
        let (Some(job), Some((last, before))) =
            (self.jobs.get(&frame.id), frame.layers.split_last())
        else {
            return false;
        };
        let typed = Frame { layers: before.to_vec(), ..frame.clone() };
        !before.is_empty() && self.build_out_by_itself(&typed, job).as_ref() == Some(last)
    }
}
