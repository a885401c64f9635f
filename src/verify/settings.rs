//! How often stops are set, and whether the plan's bound allows it.

use super::Fault;
use super::facts::Facts;
use crate::measure::{Length, Mitre};
use crate::plan::PlacedRail;
use crate::shop::{Cutter, Stop};

/// Sticks that are cut as they are laid, each with the machine set anew for it,
/// take as many settings as any order of them, so no true bound is above that.
pub(super) fn check(facts: &Facts, faults: &mut Vec<Fault>) {
    let mut most = 0;
    for stick in &facts.plan.today {
        let Some(moulding) = facts.shop.mouldings.get(&stick.moulding) else { continue };
        let cutter = facts.shop.cutter_of(moulding);
        let settings: Vec<_> = stick.rails.iter().map(|rail| setting(cutter, rail)).collect();
        let moved = settings.windows(2).filter(|pair| pair[0] != pair[1]).count();
        most += moved + usize::from(!settings.is_empty());
    }
    let least = facts.plan.least_settings;
    if usize::try_from(least).map_or(true, |least| least > most) {
        faults.push(Fault::SettingsBound { least, most });
    }
}

/// What the stop reads, and the mitre.
fn setting(cutter: &Cutter, rail: &PlacedRail) -> (Length, Mitre) {
    let reading = match cutter.stop {
        Stop::Long => rail.long_point,
        Stop::Rabbet => rail.rabbet,
        Stop::Sight => rail.sight,
    };
    (reading, rail.mitre)
}
