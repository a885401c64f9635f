//! What the verifier catches where a frame holds what an earlier one lacks: a plan
//! that is right for some dates is held against others.

use std::collections::BTreeMap;

use longpoint::plan::Plan;
use longpoint::shop::Shop;
use longpoint::verify::{Fault, verify};

use super::shops::{Folder, planned, settings};

const SOON: &str = "2026-11-28";
const LATER: &str = "2026-12-20";

/// The faults of a plan that was made while the frames were wanted otherwise.
fn faults_of(plan: &Plan, shop: &Shop) -> Vec<Fault> {
    let mut plan = plan.clone();
    let due: BTreeMap<&str, _> = shop.frames.iter().map(|f| (f.id.as_str(), f.due)).collect();
    for waiting in &mut plan.waiting {
        waiting.due = due[waiting.frame.as_str()];
    }
    let mut faults = verify(shop, &plan).err().unwrap_or_default();
    // Until when an order can wait hangs on the dates themselves.
    faults.retain(|fault| !matches!(fault, Fault::FalseDeadline { .. }));
    faults
}

/// Two stacks' worth of trouble: of the liner there is one stick on the rack, and
/// who sells it is slow; the outer moulding comes soon.
fn liner(first: &str, second: &str) -> Shop {
    let folder = Folder { settings: settings("mm", "1", "0", "1999"), ..Folder::new() };
    folder
        .moulding("LNR", "2000,10.00,stick,any,")
        .moulding("OUT", "2000,10.00,stick,any,")
        .frame(&format!("1,1,LNR,380,380,1,{first},"))
        .frame("1,2,OUT,,,,,")
        .frame(&format!("2,1,LNR,480,480,1,{second},"))
        .stick("R1,LNR,2000,A")
        .supplier("FAST,,,2,,,,")
        .supplier("SLOW,,,8,,,,")
        .offer("FAST,OUT,length,2000,10.00,stick,,,,")
        .offer("SLOW,LNR,length,2000,10.00,stick,,,,")
        .shop()
}

#[test]
fn a_later_frame_is_cut_today_from_what_an_earlier_one_lacks() {
    let plan = planned(&liner(LATER, SOON));
    let rails = plan.today.iter().flat_map(|stick| &stick.rails);
    assert!(rails.clone().count() == 4 && rails.into_iter().all(|rail| rail.frame == "2"));
    let faults = faults_of(&plan, &liner(SOON, LATER));
    let late =
        |f: &Fault| matches!(f, Fault::Late { frame, stick, .. } if frame == "1" && stick == "R1");
    assert!(faults.iter().any(late), "{faults:?}");
    // Where both are wanted as early, the one is not put before the other.
    assert_eq!(faults_of(&plan, &liner(SOON, SOON)), []);
    // Nor where the first is in time all the same.
    assert_eq!(faults_of(&plan, &liner("2026-12-04", LATER)), []);
}

/// One stick on the rack, which does for either frame.
fn either(first: &str, second: &str) -> Shop {
    let folder = Folder { settings: settings("mm", "1", "0", "1999"), ..Folder::new() };
    folder
        .moulding("M", "2000,10.00,stick,any,")
        .frame(&format!("1,,M,380,380,1,{first},"))
        .frame(&format!("2,,M,480,480,1,{second},"))
        .stick("R1,M,2000,A")
        .supplier("S,,,8,,,,")
        .offer("S,M,length,2000,10.00,stick,,,,")
        .shop()
}

#[test]
fn a_later_frame_is_cut_today_in_the_place_of_an_earlier_one() {
    let plan = planned(&either(LATER, SOON));
    let faults = faults_of(&plan, &either(SOON, LATER));
    let not_today = |f: &Fault| matches!(f, Fault::NotToday { frame, stick, .. } if frame == "1" && stick == "R1");
    assert!(faults.iter().any(not_today), "{faults:?}");
    // Undated frames come last.
    let faults = faults_of(&plan, &either(SOON, ""));
    assert!(faults.iter().any(not_today), "{faults:?}");
    assert_eq!(faults_of(&plan, &either(SOON, SOON)), []);
}

/// Both are ordered for; a fast supplier's dear stick does for one of them.
fn dear_and_fast(first: &str, second: &str) -> Shop {
    let folder = Folder { settings: settings("mm", "1", "0", "1999"), ..Folder::new() };
    folder
        .moulding("M", "2000,10.00,stick,any,")
        .frame(&format!("1,,M,480,480,1,{first},"))
        .frame(&format!("2,,M,480,480,1,{second},"))
        .supplier("FAST,,,2,,,,")
        .supplier("SLOW,,,8,,,,")
        .offer("FAST,M,length,2000,30.00,stick,,,,")
        .offer("SLOW,M,length,2000,10.00,stick,,,,")
        .shop()
}

#[test]
fn a_later_frame_has_the_stick_that_comes_sooner() {
    let plan = planned(&dear_and_fast(LATER, SOON));
    let faults = faults_of(&plan, &dear_and_fast(SOON, LATER));
    let late = |f: &Fault| matches!(f, Fault::Late { frame, .. } if frame == "1");
    assert!(faults.iter().any(late), "{faults:?}");
}
