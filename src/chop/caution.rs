//! What to mind at the machine, typed, and the words for it.
//!
//! The distances for hands and the rules for holding down follow the guidance
//! for mitre saws (IEC 62841-3-9, as quoted in public manuals of such saws; a
//! national institute for health at work gives the same in its mitre-saw
//! sheet). Each machine's own manual goes further and comes first.

use crate::measure::{Length, LengthStyle};
use crate::shop::Cutter;

use super::steps::StickSteps;

/// What a machine cuts with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Blade {
    /// Knives that shear: no kerf.
    Knives,
    /// A saw blade, or two.
    Saw,
}

/// Something to mind before and while cutting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Caution {
    /// The guards stay on.
    Guards(Blade),
    /// How far hands stay away.
    HandsAway(Blade),
    /// Hold the moulding down, one piece at a time.
    HoldDown,
    /// Never reach across.
    NeverCross(Blade),
    /// When a piece may be taken away.
    Wait(Blade),
    /// What to wear.
    Wear(Blade),
    /// Before clearing or adjusting.
    LockOut(Blade),
    /// Measure before cutting.
    MeasureFirst,
    /// Some of the morning's rails are short.
    ShortRails {
        /// How many.
        count: u32,
        /// The shortest of them.
        least: Length,
        /// The shortest that the machine may cut at all.
        shortest: Length,
    },
    /// What the machine must still hold when the last rail is cut.
    Grip(Length),
    /// Some rails are cut with the stick turned over.
    TurnOver(Blade),
    /// The manual and the rules of the place come first.
    ManualFirst,
}

impl Blade {
    /// What a machine cuts with: without a kerf it has knives.
    pub fn of(cutter: &Cutter) -> Blade {
        if cutter.kerf.is_positive() { Blade::Saw } else { Blade::Knives }
    }

    const fn word(self) -> &'static str {
        match self {
            Blade::Knives => "knives",
            Blade::Saw => "blade",
        }
    }
}

/// The cautions for a machine and its work, the most pressing of the day first.
pub(super) fn for_bench(cutter: &Cutter, sticks: &[StickSteps]) -> Vec<Caution> {
    let blade = Blade::of(cutter);
    let cuts = || sticks.iter().flat_map(|stick| &stick.cuts);
    let short = || cuts().filter(|cut| cut.clamp).map(|cut| cut.rail.long_point);
    let mut cautions = Vec::new();
    if let Some(least) = short().min() {
        let count = u32::try_from(short().count()).expect("fewer rails than that in a morning");
        cautions.push(Caution::ShortRails { count, least, shortest: cutter.shortest });
    }
    if cuts().any(|cut| cut.turn) {
        cautions.push(Caution::TurnOver(blade));
    }
    if cutter.grip.is_positive() {
        cautions.push(Caution::Grip(cutter.grip));
    }
    cautions.extend([
        Caution::Guards(blade),
        Caution::HandsAway(blade),
        Caution::HoldDown,
        Caution::NeverCross(blade),
        Caution::Wait(blade),
        Caution::Wear(blade),
        Caution::LockOut(blade),
        Caution::MeasureFirst,
        Caution::ManualFirst,
    ]);
    cautions
}

impl Caution {
    /// The caution in one or two sentences.
    pub fn words(&self, style: &LengthStyle) -> String {
        match *self {
            Caution::ShortRails { count, least, shortest } => short_rails(count, least, shortest, style),
            Caution::Grip(grip) => format!(
                "Stop when less than {} of the stick is left to hold.",
                style.show_unit(grip)
            ),
            Caution::TurnOver(blade) => format!(
                "Some rails are cut head to tail: turn the stick over only while the {} stand{} still.",
                blade.word(),
                if blade == Blade::Saw { "s" } else { "" }
            ),
            Caution::Guards(blade) => {
                format!("Every guard in place and working before the {} move{}.", blade.word(), if blade == Blade::Saw { "s" } else { "" })
            }
            Caution::HandsAway(blade) => {
                format!("Keep hands at least 100 mm (4 in) away from the {}.", blade.word())
            }
            Caution::HoldDown => {
                "Clamp or hold the moulding down against the fence, one piece at a time, its far end supported.".to_owned()
            }
            Caution::NeverCross(blade) => {
                format!("Never cross your hands and never reach over or behind the {}.", blade.word())
            }
            Caution::Wait(Blade::Saw) => {
                "Wait until the blade stands still before you take a rail or an offcut away.".to_owned()
            }
            Caution::Wait(Blade::Knives) => {
                "Wait until the knives are back up and still before you take a rail away; foot off the treadle while you feed.".to_owned()
            }
            Caution::Wear(Blade::Saw) => "Wear eye and ear protection; no gloves, no loose sleeves.".to_owned(),
            Caution::Wear(Blade::Knives) => "Wear eye protection, and ear protection where others are sawing.".to_owned(),
            Caution::LockOut(Blade::Saw) => {
                "Unplug or lock out before you clear a jam, change the blade or reach in.".to_owned()
            }
            Caution::LockOut(Blade::Knives) => {
                "Lock the knives, and cut off air or power, before you clear a jam or change them.".to_owned()
            }
            Caution::MeasureFirst => {
                "Measure the stick in hand, and its face and rabbet, before the first cut: this sheet only knows what was written down.".to_owned()
            }
            Caution::ManualFirst => {
                "The machine's own manual and the rules of your place come before this sheet.".to_owned()
            }
        }
    }
}

fn short_rails(count: u32, least: Length, shortest: Length, style: &LengthStyle) -> String {
    let (rails, they) = if count == 1 { ("rail is", "it") } else { ("rails are", "them") };
    let limit = if shortest.is_positive() {
        format!("; this machine holds nothing under {}", style.show_unit(shortest))
    } else {
        String::new()
    };
    format!(
        "{count} short {rails} marked CLAMP (the least {}{limit}). Clamp {they}, never hold {they} by hand.",
        style.show_unit(least)
    )
}
