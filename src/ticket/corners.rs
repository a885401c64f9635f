//! How a job's frame is joined, and how its rails bend.

use crate::job::joining::{diagonals_may_differ, gape, lean, nail};
use crate::job::stiffness::{RailSection, bow, holds, sag};
use crate::measure::{Length, Weight};
use crate::rails::LayerRails;
use crate::shop::{Frame, Kind, Moulding, Shop, Wood};

use super::depth::Depth;
use super::hang::Hanging;
use super::heft::Heft;

/// How the outermost moulding is joined.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Corners {
    /// Its code.
    pub moulding: String,
    /// How high it is, if measured.
    pub height: Option<Length>,
    /// The v-nail for it; nothing where it is not measured or none is low enough.
    pub nail: Option<Length>,
    /// How much the diagonals may differ so that the package drops in.
    pub diagonals: Length,
    /// How far the last corner gapes when each cut is off by a tenth of a degree.
    pub gape: Length,
    /// How many thousandths of a degree corners are out when opposite rails differ by the
    /// bench mark.
    pub lean: i64,
    /// How far the lower rail sags, own estimate; nothing where there is none.
    pub sag: Option<Length>,
    /// Why there is no estimate of what bends, where there is none.
    pub not_estimated: Option<&'static str>,
    /// The rail that sags.
    pub lower: Length,
    /// How far each side rail is bowed inwards by the wire, own estimate.
    pub bow: Option<Length>,
    /// What a hanger's screw holds straight out of the wood for each inch of thread; nothing
    /// of fibreboard.
    pub screw: Option<Weight>,
    /// The longest screw that does not come through, what is built out counted; nothing of a
    /// floater, whose base is not measured.
    pub longest_screw: Option<Length>,
    /// How much is built out behind it, through which its screws go.
    pub built_out: Length,
}

/// A screw stays this far from the face: 1/8 in. Common practice, no source.
const FROM_FACE: Length = Length::from_64ths(8);

/// `around` are the layers that go round the package; the last is the outermost.
pub(super) fn corners(
    shop: &Shop,
    frame: &Frame,
    around: &[(usize, &LayerRails)],
    (heft, hanging): (&Heft, &Hanging),
    depth: &Depth,
) -> Corners {
    let (at, rails) = around[around.len() - 1];
    let layer = &frame.layers[at];
    let moulding = shop.moulding(&layer.moulding);
    let opening = (rails.rails[1].rabbet, rails.rails[0].rabbet);
    let allowance = match moulding.kind {
        // The gap is there to be seen, even all round, and not to be used up.
        Kind::Floater => shop.settings.allowance.min(layer.gap * 2),
        Kind::Rebated | Kind::Reversible | Kind::BuildOut => {
            layer.allowance.or(moulding.allowance).unwrap_or(shop.settings.allowance)
        }
    };
    let section = section(moulding);
    let pull = hanging.inward;
    let wood = moulding.body.wood;
    let is_floater = moulding.kind == Kind::Floater;
    let strips = depth.build_out.as_ref().map(|out| out.height.unwrap_or(out.least));
    let built_out = shop.built_out(frame) + strips.unwrap_or(Length::ZERO);
    let through = |high: Length| high + built_out - FROM_FACE;
    let screw = hanging.hangers.as_ref().and_then(|fixing| shop.materials[&fixing.material].screw);
    Corners {
        moulding: moulding.id.clone(),
        height: moulding.body.height,
        nail: moulding.body.height.and_then(|height| nail(height, shop.settings.unit)),
        diagonals: diagonals_may_differ(opening, allowance),
        gape: gape(moulding.width),
        lean: lean(shop.settings.mark, opening.0.min(opening.1)),
        sag: section.zip(heft.package).map(|(section, weight)| sag(opening.0, weight, section)),
        not_estimated: match (section, heft.package) {
            _ if is_floater => Some("a floater's wall is not all that bends"),
            (None, _) => {
                Some("height or wood is not in mouldings.csv, or no stiffness is known of it")
            }
            (_, None) => Some("its weight is not known"),
            _ => None,
        },
        lower: opening.0,
        bow: section.zip(pull).map(|(section, pull)| bow(opening.1, pull, section)),
        screw: wood.and_then(Wood::light).zip(screw).map(|(light, screw)| holds(light, screw)),
        longest_screw: moulding.body.height.filter(|_| !is_floater).map(through),
        built_out,
    }
}

/// What bends of a moulding: nothing of a floater, whose wall is not its section.
fn section(moulding: &Moulding) -> Option<RailSection> {
    let body = moulding.body;
    let modulus = body.wood?.modulus()?;
    let is_solid = moulding.kind != Kind::Floater;
    is_solid.then_some(RailSection { width: moulding.width, height: body.height?, modulus })
}
