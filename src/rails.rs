//! The mitre arithmetic: a frame and its mouldings in, its rails out.
//!
//! # Why rabbet and sight are not the nominal figure
//!
//! The rail that is cut has a long point on the bench mark. What its rabbet and sight
//! measure is what a framer will find on it, and what the stop must be set to.

use std::fmt;

use crate::measure::{Length, Mitre};
use crate::shop::{Frame, Kind, Layer, Moulding, Shop};

/// One mitred side of a frame, as it is to be cut.
///
/// The long point is rounded up to the bench mark; the other three are what a
/// rail of that long point measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rail {
    /// Which side of the frame.
    pub side: Side,
    /// Tip to tip along the back edge, on the bench mark.
    pub long_point: Length,
    /// Along the rabbet, where the package sits; for a floater, along the wall.
    pub rabbet: Length,
    /// Tip to tip along the sight edge: the visible opening on this side.
    pub sight: Length,
}

/// A side of a frame. The order is the one in which running grain is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// Of a four-sided frame.
    Left,
    /// Of a four-sided frame.
    Top,
    /// Of a four-sided frame.
    Right,
    /// Of a four-sided frame.
    Bottom,
    /// Of any other frame, counted from 1.
    Nth(u8),
}

impl Side {
    /// The sides of a frame in cutting order.
    pub fn all(mitre: Mitre) -> Vec<Side> {
        match mitre.sides() {
            4 => vec![Side::Left, Side::Top, Side::Right, Side::Bottom],
            n => (1..=n).map(Side::Nth).collect(),
        }
    }
}

impl fmt::Display for Side {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Side::Left => f.pad("left"),
            Side::Top => f.pad("top"),
            Side::Right => f.pad("right"),
            Side::Bottom => f.pad("bottom"),
            Side::Nth(n) => f.pad(&n.to_string()),
        }
    }
}

/// The rails of one layer of a frame.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LayerRails {
    /// Which layer, counted from 1, innermost first.
    pub layer: usize,
    /// At which mitre they are cut.
    pub mitre: Mitre,
    /// The rails in cutting order.
    pub rails: Vec<Rail>,
}

/// The rails of every layer of one copy of a frame, innermost layer first.
///
/// ```
/// use longpoint::measure::{Length, Mitre};
/// use longpoint::rails::long_point;
/// // A 16 x 20 in package, 1/8 in allowance, face 2 in, rabbet 1/4 in: the
/// // shorter rails are 19 5/8 in from long point to long point.
/// let in64 = Length::from_64ths;
/// let across = in64(16 * 64) + in64(8) + (in64(128) - in64(16)) * 2;
/// assert_eq!(long_point(across, Mitre::SQUARE, in64(2)), in64(19 * 64 + 40));
/// ```
pub fn frame_rails(shop: &Shop, frame: &Frame) -> Vec<LayerRails> {
    let mut size = (frame.width, frame.height);
    // Between the rabbets of the layer before, where the package passes.
    let mut behind = size;
    let mut layers = Vec::with_capacity(frame.layers.len());
    for (index, layer) in frame.layers.iter().enumerate() {
        let mitre = shop.mitre_of(frame, index + 1);
        let rails = match mitre {
            Mitre::BUTT => strips(shop, layer, behind),
            _ => layer_rails(shop, layer, mitre, size),
        };
        if shop.goes_round(layer) {
            size = outside(&rails, mitre);
            behind = (rails[rails.len().min(2) - 1].rabbet, rails[0].rabbet);
        }
        layers.push(LayerRails { layer: index + 1, mitre, rails });
    }
    layers
}

/// The rails of one copy of a frame that a stick is needed for: those of the layers
/// that nobody else chops, without the sides that are cut already.
pub fn rails_to_cut(shop: &Shop, frame: &Frame, copy: u32) -> Vec<LayerRails> {
    let to_cut = frame.to_cut(copy);
    let layers = frame_rails(shop, frame).into_iter();
    let open = |LayerRails { layer, mitre, rails }: LayerRails| {
        let is_cut = |side: usize| frame.cut(copy, layer).is_some_and(|cut| cut.contains(&side));
        let rails = rails.into_iter().enumerate().filter(|(side, _)| !is_cut(*side));
        LayerRails { layer, mitre, rails: rails.map(|(_, rail)| rail).collect() }
    };
    layers.filter(|rails| to_cut.contains(&rails.layer)).map(open).collect()
}

/// The trade's rule of thumb for the moulding of each layer of a frame: its
/// perimeter and eight times the face width (2 n W tan theta for n sides). It
/// leaves out the rabbet, so it asks for eight rabbet widths more than the rails
/// take, less four allowances. Of a floater the perimeter is that of its gap: its rails
/// stand off the canvas. Common practice, no source.
pub fn frame_footage(shop: &Shop, frame: &Frame) -> Vec<Length> {
    let mut size = (frame.width, frame.height);
    let mut footage = Vec::with_capacity(frame.layers.len());
    for (layer, LayerRails { rails, mitre, .. }) in
        frame.layers.iter().zip(frame_rails(shop, frame))
    {
        let width = shop.moulding(&layer.moulding).width;
        let inside = (size.0 + layer.gap * 2, size.1 + layer.gap * 2);
        // Square ends waste nothing.
        if mitre == Mitre::BUTT {
            footage.push(rails.iter().map(|rail| rail.long_point).sum());
            continue;
        }
        if let Some(window) = layer.window {
            footage.push((window.width + window.height) * 2 + width * 8);
            continue;
        }
        footage.push(if frame.mitre == Mitre::SQUARE {
            (inside.0 + inside.1) * 2 + width * 8
        } else {
            frame.mitre.tan_up(inside.0 + width * 2) * i64::from(frame.mitre.sides())
        });
        size = outside(&rails, frame.mitre);
    }
    footage
}

/// A long point from the distance between opposite back edges: across x
/// tan(180/n), up to the bench mark.
pub fn long_point(across: Length, mitre: Mitre, mark: Length) -> Length {
    mitre.tan_up(across).round_up(mark)
}

/// What is added to each dimension of the size: the frame's own allowance,
/// else the moulding's, else the shop's; none for a floater, which has its gap.
fn allowance(shop: &Shop, layer: &Layer, moulding: &Moulding) -> Length {
    match moulding.kind {
        Kind::Floater => layer.gap * 2,
        Kind::Rebated | Kind::Reversible | Kind::BuildOut => {
            layer.allowance.or(moulding.allowance).unwrap_or(shop.settings.allowance)
        }
    }
}

fn layer_rails(shop: &Shop, layer: &Layer, mitre: Mitre, size: (Length, Length)) -> Vec<Rail> {
    let moulding = shop.moulding(&layer.moulding);
    // A fillet in a mat fits its window without allowance, and shows what stands in it.
    let (size, rabbet, allowance) = match layer.window {
        Some(window) => ((window.width, window.height), window.seen, Length::ZERO),
        None => (size, moulding.rabbet, allowance(shop, layer, moulding)),
    };
    let beyond_rabbet = (moulding.width - rabbet) * 2;
    let grown = allowance + beyond_rabbet;
    let rail = |side| {
        let dimension = match side {
            Side::Left | Side::Right => size.1,
            Side::Top | Side::Bottom | Side::Nth(_) => size.0,
        };
        let long_point = long_point(dimension + grown, mitre, shop.settings.mark);
        Rail {
            side,
            long_point,
            rabbet: long_point - mitre.tan_down(beyond_rabbet),
            sight: long_point - mitre.tan_down(moulding.width * 2),
        }
    };
    Side::all(mitre).into_iter().map(rail).collect()
}

/// The strips of a build-out, cut square: top and bottom over the whole of it, left and right
/// between them. Rounded up, so that the package passes.
fn strips(shop: &Shop, layer: &Layer, (wide, high): (Length, Length)) -> Vec<Rail> {
    let across = wide + shop.moulding(&layer.moulding).width * 2;
    let strip = |side| {
        let length = if matches!(side, Side::Left | Side::Right) { high } else { across };
        let length = length.round_up(shop.settings.mark);
        Rail { side, long_point: length, rabbet: length, sight: length }
    };
    Side::all(Mitre::BUTT).into_iter().map(strip).collect()
}

/// The outside of a layer, which is the size of the next: for four sides the
/// long points of top and left; for a polygon the distance across its flats.
fn outside(rails: &[Rail], mitre: Mitre) -> (Length, Length) {
    if mitre == Mitre::SQUARE {
        return (rails[1].long_point, rails[0].long_point);
    }
    let across = mitre.over_tan_up(rails[0].long_point);
    (across, across)
}
