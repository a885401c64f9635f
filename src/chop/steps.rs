//! One stick at the bench: its trim, its cuts in order, and what remains of it.

use crate::measure::{Length, Mitre};
use crate::plan::{CutStick, Left, PlacedRail};
use crate::shop::{Cutter, Flaw, Shop};

/// One stick and everything that is done to it, from its marked end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StickSteps {
    /// Its place in the morning, counted from 1 through all machines.
    pub number: u32,
    /// The label on its marked end, where cutting starts.
    pub stick: String,
    /// Which moulding.
    pub moulding: String,
    /// The moulding's face width, sight edge to back edge.
    pub width: Length,
    /// Its whole length along the back edge.
    pub length: Length,
    /// Its lot; empty if not known.
    pub lot: String,
    /// Where it lies; empty if not known.
    pub place: String,
    /// What may not be in any rail.
    pub flaws: Vec<Flaw>,
    /// What is cut away at the marked end first.
    pub first_trim: Length,
    /// The rails in cutting order.
    pub cuts: Vec<Cut>,
    /// What remains beyond the last rail.
    pub left: Left,
}

/// One rail to cut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cut {
    /// Its place on the stick, counted from 1.
    pub number: u32,
    /// The rail and where it lies on the stick.
    pub rail: PlacedRail,
    /// What the machine's scale must read.
    pub stop: Length,
    /// Whether the stop stands elsewhere and must be moved to that reading.
    pub move_stop: bool,
    /// Whether the machine may stand at another mitre and must be set to the rail's.
    pub set_mitre: bool,
    /// Whether the stick must be turned over before this cut.
    pub turn: bool,
    /// Whether the rail is too short to be held by hand.
    pub clamp: bool,
    /// What must come off the stick before this rail, beside the joint.
    pub skip: Option<Skip>,
}

/// A part of the stick that no rail lies in, before a rail that lies beyond it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Skip {
    /// Where it begins, along the back edge from the marked end.
    pub from: Length,
    /// Where it ends: the first long point of the next rail.
    pub to: Length,
    /// What of it is kept; the rest is scrap.
    pub kept: Vec<Left>,
}

/// How a machine stands between two cuts.
pub(super) struct MachineState {
    /// What its scale reads, once it has been set.
    stop: Option<Length>,
    /// Its mitre, likewise.
    mitre: Option<Mitre>,
}

impl MachineState {
    /// As it is found in the morning: however it was left.
    pub(super) fn morning() -> MachineState {
        MachineState { stop: None, mitre: None }
    }
}

/// The steps of one stick. `standing` is how the machine stands before it, and
/// afterwards.
pub(super) fn of_stick(
    shop: &Shop,
    cutter: &Cutter,
    stick: &CutStick,
    number: u32,
    standing: &mut MachineState,
) -> StickSteps {
    let mut cuts = Vec::with_capacity(stick.rails.len());
    let mut before: Option<&PlacedRail> = None;
    for (rail, number) in stick.rails.iter().zip(1..) {
        let stop = cutter.stop.reading(rail.long_point, rail.rabbet, rail.sight);
        cuts.push(Cut {
            number,
            rail: rail.clone(),
            stop,
            move_stop: standing.stop.replace(stop) != Some(stop),
            set_mitre: standing.mitre.replace(rail.mitre) != Some(rail.mitre),
            turn: rail.turned != before.is_some_and(|before| before.turned),
            clamp: cutter.needs_clamp(rail.long_point),
            skip: skip(shop.settings.mark, cutter, stick, before, rail),
        });
        before = Some(rail);
    }
    StickSteps {
        number,
        stick: stick.stick.clone(),
        moulding: stick.moulding.clone(),
        width: shop.moulding(&stick.moulding).width,
        length: stick.length,
        lot: stick.lot.clone(),
        place: stick.place.clone(),
        flaws: stick.flaws.clone(),
        first_trim: stick.first_trim,
        cuts,
        left: stick.left.clone(),
    }
}

/// What lies between a rail and the one before it (or the first trim), if that
/// is more than a joint. Less than a bench mark more is the rounding of joints.
fn skip(
    mark: Length,
    cutter: &Cutter,
    stick: &CutStick,
    before: Option<&PlacedRail>,
    rail: &PlacedRail,
) -> Option<Skip> {
    let (from, joint) = match before {
        None => (stick.first_trim, Length::ZERO),
        Some(before) => {
            (before.to, cutter.joint_loss(before.mitre).max(cutter.joint_loss(rail.mitre)))
        }
    };
    if rail.from - from <= joint + mark {
        return None;
    }
    let lies_here = |left: &&Left| left.from >= from && left.from < rail.from;
    let kept = stick.between.iter().filter(|left| left.keep).filter(lies_here).cloned().collect();
    Some(Skip { from, to: rail.from, kept })
}
