//! Layers in layers: what lies in each rabbet of a frame, and how deep that is.
//!
//! # Why a stack is reckoned from the inside
//!
//! A liner lies in the frame's rabbet with its own height, and with as much more as the package
//! stands out behind it. So of a layer within another its lip counts, and behind that whatever is
//! more: its own rabbet with the strips behind it, or what lies in it.

use super::{Frame, Kind, Moulding, Shop};
use crate::job::thickness::build_out;
use crate::measure::{Length, Unit};

/// A rabbet of a frame with what lies in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FilledRabbet {
    /// Of which layer, counted from 1.
    pub layer: usize,
    /// How thick that is which lies in it, if all of it is measured; of further layers at the
    /// least, where the package is not.
    pub holds: Option<Length>,
    /// How deep it is, if measured, with what is built out behind.
    pub depth: Option<Length>,
}

impl FilledRabbet {
    /// How high a strip behind the frame must be so that it holds what lies in it.
    pub fn lacks(&self, unit: Unit) -> Option<Length> {
        build_out(self.holds?, self.depth?, unit)
    }
}

impl Shop {
    /// The rabbets of the layers that go round a package that is so thick, innermost first. A
    /// floater round other layers has none.
    pub fn rabbets(&self, frame: &Frame, package: Option<Length>) -> Vec<FilledRabbet> {
        let mut rabbets: Vec<FilledRabbet> = Vec::new();
        let mut within = Some(package.unwrap_or(Length::ZERO));
        for (at, layer) in frame.layers.iter().enumerate().filter(|(_, of)| self.goes_round(of)) {
            let moulding = self.moulding(&layer.moulding);
            let holds = if rabbets.is_empty() { package } else { within };
            if rabbets.is_empty() || moulding.kind.has_rabbet() {
                let depth = moulding.depth.map(|own| own + self.strips(frame, at, false));
                rabbets.push(FilledRabbet { layer: at + 1, holds, depth });
            }
            within = within.and_then(|within| {
                let (height, own) = (moulding.body.height?, moulding.depth?);
                Some(match moulding.kind {
                    Kind::Floater => height,
                    _ => height - own + within.max(own + self.strips(frame, at, true)),
                })
            });
        }
        rabbets
    }

    /// The layer whose rabbet lacks most for a package that is so thick, and how much. A floater
    /// is never built out.
    pub fn most_lacking(&self, frame: &Frame, package: Option<Length>) -> Option<(usize, Length)> {
        let kind = |layer: usize| self.moulding(&frame.layers[layer - 1].moulding).kind;
        let rabbets = self.rabbets(frame, package).into_iter().rev();
        let lacking = rabbets.filter(|of| kind(of.layer) != Kind::Floater);
        let lacking = lacking.filter_map(|of| Some((of.layer, of.lacks(self.settings.unit)?)));
        lacking.max_by_key(|(_, lacks)| *lacks)
    }

    /// The rabbet that leaves least room for the package itself, and how much, where that was
    /// measured: of a layer round others what is left behind their lips.
    pub fn room_of(&self, frame: &Frame) -> Option<(usize, Length)> {
        let mut lips = Some(Length::ZERO);
        let mut least: Option<(usize, Length)> = None;
        for (at, layer) in frame.layers.iter().enumerate().filter(|(_, of)| self.goes_round(of)) {
            let moulding = self.moulding(&layer.moulding);
            if at == 0 || moulding.kind.has_rabbet() {
                let own = moulding.depth.map(|own| own + self.strips(frame, at, false));
                let room = own.zip(lips).map(|(own, lips)| (at + 1, own - lips));
                least = least.into_iter().chain(room).min_by_key(|(_, room)| *room);
            }
            lips = lips.and_then(|lips| Some(lips + lip_of(moulding)?));
        }
        least
    }

    /// How high the strips behind a layer are: up to the next that goes round, or all of them.
    fn strips(&self, frame: &Frame, at: usize, is_own: bool) -> Length {
        let behind = frame.layers[at + 1..].iter();
        let behind = behind.take_while(|layer| !is_own || !self.goes_round(layer));
        let mouldings = behind.map(|layer| self.moulding(&layer.moulding));
        let strips = mouldings.filter(|moulding| moulding.kind == Kind::BuildOut);
        strips.filter_map(|strip| strip.body.height).sum()
    }
}

/// How thick a moulding's lip is, in front of its rabbet; of a floater that is not known.
fn lip_of(moulding: &Moulding) -> Option<Length> {
    let height = moulding.body.height.filter(|_| moulding.kind.has_rabbet())?;
    Some(height - moulding.depth?)
}
