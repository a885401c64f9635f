//! What a held frame is said to lack is what it lacks.

mod support;

use jiff::civil::date;
use longpoint::plan::{HoldReason, WaitReason};
use longpoint::shop::Match;
use support::{ask, frame, inches, layer, moulding, plan, shop, stick};

/// Two frames share a liner that is not on the rack at all, and only one long
/// stick can give either its outer moulding in one piece. The liner can be
/// bought; it is the long stick that the second frame is held for.
#[test]
fn a_frame_is_held_for_the_stick_that_is_taken_and_not_for_what_can_be_bought() {
    let mut shop = shop();
    moulding(&mut shop, "LINER", inches("1"), inches("1/4"), inches("96"));
    moulding(&mut shop, "OUTER", inches("1"), inches("1/4"), inches("48"));
    stick(&mut shop, "LONG", "OUTER", inches("90"));
    for (id, day) in [("first", 4), ("second", 5)] {
        let job = frame(&mut shop, id, "OUTER", inches("15"), inches("18"));
        ask(job, Match::Wrap);
        job.layers.insert(0, layer("LINER"));
        job.due = Some(date(2031, 3, day));
    }
    let plan = plan(&shop);
    assert_eq!(plan.waiting.len(), 1);
    let liner = vec!["LINER".to_owned()];
    assert_eq!(plan.waiting[0].reason, WaitReason::Moulding(liner));
    assert_eq!(plan.held.len(), 1);
    let outer = vec!["OUTER".to_owned()];
    assert_eq!(plan.held[0].reason, HoldReason::StickTaken { mouldings: outer });
}
