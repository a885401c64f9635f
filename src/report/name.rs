//! What a rail is called: the same on the screen, the sheets and the labels.

use std::collections::BTreeMap;

use crate::chop::Cut;
use crate::measure::Mitre;
use crate::plan::PlacedRail;
use crate::rails::Side;
use crate::shop::{Frame, Shop};

/// Finds a ticket's frame, to leave out what goes without saying.
pub(super) struct Names<'a> {
    frames: BTreeMap<&'a str, &'a Frame>,
}

impl<'a> Names<'a> {
    pub(super) fn new(shop: &'a Shop) -> Names<'a> {
        Names { frames: shop.frames.iter().map(|frame| (frame.id.as_str(), frame)).collect() }
    }

    /// The frame of a ticket.
    pub(super) fn frame(&self, id: &str) -> Option<&'a Frame> {
        self.frames.get(id).copied()
    }

    /// The ticket, with the copy where there are several: `1042 (2/3)`.
    pub(super) fn ticket(&self, frame: &str, copy: u32) -> String {
        ticket(frame, copy, self.frame(frame).map_or(1, |frame| frame.copies))
    }

    /// A ticket, with how many of its copies where there are several: `1042 (2 of 3)`.
    pub(super) fn copies(&self, frame: &str, copies: usize) -> String {
        let Some(of) = self.frame(frame) else { return frame.to_owned() };
        let (all, left) = (of.copies, of.pending().count());
        match copies == left {
            _ if all == 1 => frame.to_owned(),
            true if copies == 1 && of.left() < all => format!("{frame} (the last of {all})"),
            true if of.left() < all => format!("{frame} (the last {copies} of {all})"),
            true => format!("{frame} (all {all})"),
            false => format!("{frame} ({copies} of {all})"),
        }
    }

    /// What is to be said of a rail beside its ticket: `top`, `side 3`,
    /// `left, layer 2`.
    pub(super) fn place(&self, rail: &PlacedRail) -> String {
        let side = side(rail.side);
        match self.frame(&rail.frame).map_or(1, |frame| frame.layers.len()) {
            0 | 1 => side,
            _ => format!("{side}, layer {}", rail.layer),
        }
    }
}

/// A frame copy as it is spoken of everywhere: `1042`, or `1042 (2/3)` where there
/// are several and it is one of them.
pub(crate) fn ticket(frame: &str, copy: u32, copies: u32) -> String {
    match copies {
        0 | 1 => frame.to_owned(),
        copies if copy > copies => frame.to_owned(),
        copies => format!("{frame} ({copy}/{copies})"),
    }
}

/// A side as it is spoken of: `top`, or `side 3` of a polygon.
pub(crate) fn side(side: Side) -> String {
    match side {
        Side::Nth(n) => format!("side {n}"),
        named => named.to_string(),
    }
}

/// What is to be said of a cut's mitre: `SET MITRE 30°` where the machine stands
/// at another, `mitre 30°` where it stands at one that is not the ordinary.
pub(super) fn mitre_of(cut: &Cut) -> Option<String> {
    let degrees = cut.rail.mitre.degrees();
    match mitre(cut.rail.mitre) {
        _ if cut.set_mitre => Some(format!("SET MITRE {degrees}°")),
        other => other.map(|mitre| format!("mitre {mitre}")),
    }
}

/// The mitre where it is not the ordinary one: `30°`.
pub(super) fn mitre(mitre: Mitre) -> Option<String> {
    (mitre != Mitre::SQUARE).then(|| format!("{}°", mitre.degrees()))
}
