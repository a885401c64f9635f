//! Small shops on which an order once was dearer than it had to be, kept a rule
//! badly, or never came. Every outcome is worked out on paper: a stick loses 1 in
//! at each end and 1/16 in at a joint, and what is left of it counts `w`.

use std::collections::BTreeSet;

use longpoint::measure::Length;
use longpoint::plan::Plan;

use super::shops::{Folder, lines, planned, to_pay};

const SETTINGS: &str = "name = \"Test\"\nunit = \"in\"\nallowance = \"1/8\"\ncurrency = \"USD\"\n\
     default_cutter = \"c\"\n[offcuts]\nkeep = \"12\"\nworth = \"0.5\"\n[cutter.c]\nkerf = \"0\"\n\
     passes = 1\nnick = \"1/16\"\nfirst_trim = \"1\"\nlast_trim = \"1\"\ngrip = \"0\"\n\
     shortest = \"5\"\nstop = \"long\"\n";

/// One moulding, BLK, 3/4 in wide with a rabbet of 1/4 in: a rail is 1 1/8 in
/// longer than its side of the package.
fn shop(moulding: &str, frames: &str, suppliers: &str, offers: &str) -> Folder {
    Folder {
        settings: SETTINGS.to_owned(),
        mouldings: format!(
            "monthly,moulding,width,rabbet,stick,price,per,match,keep_on_rack\n\
             1000,BLK,3/4,1/4,{moulding}\n"
        ),
        frames: format!("frame,moulding,width,height,copies,due\n{frames}\n"),
        suppliers: format!("{suppliers}\n"),
        offers: format!("supplier,moulding,form,lengths,price,per,steps\n{offers}\n"),
        ..Folder::new()
    }
}

/// What so many sixteenths of an inch count, of a moulding with a stick of 108 in
/// that costs so many minor units a foot today: half of its price times a share
/// that rises from a half at 12 in to the whole at 108 in; in thousandths.
fn w(sixteenths: i64, a_foot: i64) -> i64 {
    if sixteenths < 12 * 16 {
        return 0;
    }
    let (keep, full) = (12 * 16, 108 * 16);
    let share = (full - keep) + (sixteenths.min(full) - keep);
    // a_foot x 1000 / (12 x 16) a sixteenth, half of that, share / 2 (full - keep).
    sixteenths * a_foot * 1000 * share / (12 * 16 * 2 * 2 * (full - keep))
}

/// The order is proven, and comes to so much.
fn net(plan: &Plan) -> i64 {
    let account = plan.order.account.unwrap();
    assert!(account.whole);
    assert_eq!(account.bound, account.net);
    account.net.0
}

/// Four sticks for the rack, at 23.40 or at 11.70 each: each counts 11.70 less a
/// minor unit.
#[test]
fn the_rack_is_not_filled_from_the_dearer_offer() {
    let shop = shop(
        "108,2.60,ft,any,4",
        "",
        "supplier,lead_days\nAAA,2\nZZZ,2",
        "AAA,BLK,length,108,2.60,ft,\nZZZ,BLK,length,108,1.30,ft,",
    );
    let plan = planned(&shop.buying("restock = \"always\"").shop());
    assert_eq!((lines(&plan), to_pay(&plan)), (vec!["ZZZ length BLK 4".to_owned()], 4680));
    assert_eq!(net(&plan), 4 * 1000);
}

/// 23.40, or 11.70 and 6.50 for carriage: what is left counts the same of either.
/// The rails take 40 1/2 in and four joints, so 66 1/4 in are left.
#[test]
fn what_is_left_of_a_dear_stick_counts_no_more_than_of_a_cheap_one() {
    let shop = shop(
        "108,2.60,ft,any,",
        "1,BLK,8,10,1,",
        "supplier,lead_days,freight\nDEAR,2,\nCHEAP,2,6.50",
        "DEAR,BLK,length,108,2.60,ft,\nCHEAP,BLK,length,108,1.30,ft,",
    );
    let plan = planned(&shop.shop());
    assert_eq!((lines(&plan), to_pay(&plan)), (vec!["CHEAP length BLK 1".to_owned()], 1820));
    assert_eq!(net(&plan), 1_820_000 - w(66 * 16 + 4, 130));
}

/// Four sticks are 36 ft at 2.60: 93.60. Five are 45 ft at 1.90: 85.50, and the
/// fifth counts half of its 17.10.
#[test]
fn the_rack_is_filled_up_to_a_price_step() {
    let shop = shop(
        "108,2.60,ft,any,4",
        "",
        "supplier,lead_days\nA,2",
        "A,BLK,length,108,2.60,ft,1.90 from 45",
    );
    let plan = planned(&shop.buying("restock = \"always\"").shop());
    assert_eq!((lines(&plan), to_pay(&plan)), (vec!["A length BLK 5".to_owned()], 8550));
    assert_eq!(plan.order.lines[0].restock, 4);
    assert_eq!(net(&plan), 8_550_000 - 4 * (1_710_000 - 1000) - 855_000);
}

/// The rails take 92 1/2 in: a stick of 96 in at 20.80 is cut, of which nothing is
/// kept, and two of 108 in at 23.40 for the rack lift the order to 67.60, from
/// where carriage is free. Cut from a third of 108 in it would be 70.20.
#[test]
fn the_rack_is_filled_with_another_length_than_is_cut() {
    let shop = shop(
        "108,2.60,ft,any,2",
        "1,BLK,20,24,1,",
        "supplier,lead_days,freight\nA,3,18; 0 from 60",
        "A,BLK,length,96; 108,2.60,ft,",
    );
    let settings = shop.settings.replace("keep = \"12\"", "keep = \"24\"");
    let plan = planned(&Folder { settings, ..shop }.shop());
    assert_eq!(lines(&plan), ["A length BLK 1", "A length BLK 2"]);
    assert_eq!((to_pay(&plan), net(&plan)), (6760, 6_760_000 - 2 * (2_340_000 - 1000)));
}

/// Of the 144 1/2 in of rails two sticks are cut, and no order below 80.00 is
/// taken: four are bought. Cut from the rack's or from new ones, three whole ones
/// are left at half of 23.40 each; three rails fill one stick, and of that with the
/// fourth, 41 1/8 in long, 65 13/16 in are left.
#[test]
fn a_stick_of_the_rack_is_used_or_left_for_a_minimum() {
    let shop = shop(
        "108,2.60,ft,any,",
        "1,BLK,30,40,1,",
        "supplier,lead_days,minimum,below_minimum\nA,2,80,refused",
        "A,BLK,length,108,2.60,ft,",
    );
    let plan = planned(&shop.stick("R1,BLK,108,A").shop());
    assert_eq!((lines(&plan), to_pay(&plan)), (vec!["A length BLK 4".to_owned()], 9360));
    let left = w(65 * 16 + 13, 260);
    assert_eq!(net(&plan), 9_360_000 - 2 * 1_170_000 - left);
}

/// Two sticks of 120 in at 11.00 would do, but 50.00 is charged in any case: five
/// come to 55.00, and the fifth counts 5.50. Three whole ones are left; of the
/// others one is cut up as far as can be, and of the other 51 7/16 in are left.
#[test]
fn a_minimum_is_filled_up_as_long_as_that_pays() {
    let shop = shop(
        "108,1.00,ft,any,",
        "1,BLK,20,24,2,",
        "supplier,lead_days,minimum\nA,2,50",
        "A,BLK,length,120,1.10,ft,",
    );
    let plan = planned(&shop.shop());
    assert_eq!((lines(&plan), to_pay(&plan)), (vec!["A length BLK 5".to_owned()], 5500));
    assert_eq!(net(&plan), 5_500_000 - 3 * 550_000 - w(51 * 16 + 7, 110));
}

/// Only B sells whole sticks: two at 23.40 for the rack, whatever the frame is cut
/// from. Of the 96 in at 16.00, 18 1/4 in are left.
#[test]
fn the_rack_is_filled_up_though_frames_are_cut_from_shorter_sticks() {
    let shop = shop(
        "108,2.60,ft,any,2",
        "1,BLK,16,20,1,",
        "supplier,lead_days\nA,3\nB,3",
        "A,BLK,length,96,2.00,ft,\nB,BLK,length,108,2.60,ft,",
    );
    let plan = planned(&shop.buying("restock = \"always\"").shop());
    assert_eq!(lines(&plan), ["A length BLK 1", "B length BLK 2"]);
    assert_eq!(to_pay(&plan), 1600 + 4680);
    assert_eq!(net(&plan), 6_280_000 - 2 * (1_800_000 - 1000) - w(18 * 16 + 4, 200));
}

/// Halves of 144 in are longer than 60 in as well, so the parcel is long either
/// way, and whole sticks leave more.
#[test]
fn halves_that_are_still_too_long_are_charged_for() {
    let shop = shop(
        "108,2.60,ft,any,",
        "1,BLK,16,20,1,",
        "supplier,lead_days,long_over,long_charge,halves\nA,3,60,22,yes",
        "A,BLK,length,144,2.00,ft,",
    );
    let plan = planned(&shop.shop());
    assert_eq!((to_pay(&plan), plan.order.lines[0].halved), (4600, false));
    assert_eq!(net(&plan), 4_600_000 - w(66 * 16 + 4, 200));
}

/// The shorter of two lengths at one price by the foot serves, and is no long
/// parcel: 14.00, and not 18.00 for one that is halved.
#[test]
fn one_of_several_lengths_is_bought_alone() {
    let shop = shop(
        "84,1.85,ft,stick,",
        "1,BLK,8,10,1,",
        "supplier,lead_days,long_over,long_charge,halves\nS,14,96,15.00,yes",
        "S,BLK,length,84; 108,2.00,ft,",
    );
    let plan = planned(&shop.shop());
    assert_eq!((lines(&plan), to_pay(&plan)), (vec!["S length BLK 1".to_owned()], 1400));
    net(&plan);
}

/// 394 in of rails: five sticks of 120 in are 50 ft, from where a foot costs 1.90,
/// so 95.00. No fewer feet cost less: 49 ft at 2.60 are
/// more, and less than 36 ft do not do.
#[test]
fn a_price_step_is_reached_with_the_longer_sticks() {
    let shop = shop(
        "108,2.60,ft,any,",
        "1,BLK,20,24,3,\n2,BLK,24,32,1,",
        "supplier,lead_days\nA,2",
        "A,BLK,length,96; 120,2.60,ft,1.90 from 50",
    );
    let plan = planned(&shop.shop());
    assert_eq!((lines(&plan), to_pay(&plan)), (vec!["A length BLK 5".to_owned()], 9500));
    assert_eq!(plan.order.lines[0].length, Length::from_64ths(7680));
    net(&plan);
}

/// The first frame is urgent: a fast stick of 96 in at 24.00 has room for the
/// third as well, and three slow ones at 16.00 serve the others.
#[test]
fn the_rest_of_an_urgent_stick_serves_other_frames() {
    let shop = shop(
        "96,3.00,ft,any,",
        "1,BLK,8,10,1,2026-11-28\n2,BLK,20,24,3,\n3,BLK,8,10,1,",
        "supplier,lead_days\nFAST,2\nSLOW,8",
        "FAST,BLK,length,96,3.00,ft,\nSLOW,BLK,length,96,2.00,ft,",
    );
    let plan = planned(&shop.shop());
    assert_eq!(lines(&plan), ["FAST length BLK 1", "SLOW length BLK 3"]);
    assert_eq!(to_pay(&plan), 2400 + 4800);
    net(&plan);
}

/// The same where the slow ones have to be of one lot: what the urgent stick has left
/// still serves the third frame, which may be of any.
#[test]
fn the_rest_of_an_urgent_stick_serves_others_beside_frames_of_one_lot() {
    let before = shop(
        "96,3.00,ft,any,",
        "",
        "supplier,lead_days\nFAST,2\nSLOW,8",
        "FAST,BLK,length,96,3.00,ft,\nSLOW,BLK,length,96,2.00,ft,",
    );
    let frames = "frame,moulding,width,height,copies,due,match\n1,BLK,8,10,1,2026-11-28,\n\
                  2,BLK,20,24,3,,lot\n3,BLK,8,10,1,,\n";
    let plan = planned(&Folder { frames: frames.to_owned(), ..before }.shop());
    assert_eq!(lines(&plan), ["FAST length BLK 1", "SLOW length BLK 3"]);
    assert_eq!(to_pay(&plan), 2400 + 4800);
}

/// No order below 50.00 is taken: of three sticks at 18.00 two are beyond need,
/// for 36.00, though no more than 5.00 is to be spent on such. It gives way, and
/// that is seen.
#[test]
fn a_budget_that_cannot_be_kept_gives_way() {
    let shop = shop(
        "108,2.60,ft,any,",
        "1,BLK,16,20,1,",
        "supplier,lead_days,minimum,below_minimum\nA,3,50,refused",
        "A,BLK,length,108,2.00,ft,",
    );
    let plan = planned(&shop.buying("spare_most = \"5\"").shop());
    assert_eq!((lines(&plan), to_pay(&plan)), (vec!["A length BLK 3".to_owned()], 5400));
    assert_eq!(plan.order.account.unwrap().beyond_need.0, 3600);
    net(&plan);
}

/// A square that is urgent and a hexagon of stock that may be turned: no stick
/// that both are cut from is cut head to tail.
#[test]
fn mixed_mitres_on_two_dates_are_not_turned_on_one_stick() {
    let shop = Folder {
        settings: SETTINGS.to_owned(),
        mouldings: "moulding,width,rabbet,stick,price,per,match,kind\n\
                    POP,1.5,1/4,108,2.60,ft,any,reversible\n"
            .to_owned(),
        frames: "frame,moulding,width,height,sides,due\n1,POP,16,20,4,2026-11-27\n2,POP,12,,6,\n"
            .to_owned(),
        suppliers: "supplier,lead_days\nFAST,2\nSLOW,8\n".to_owned(),
        offers: "supplier,moulding,form,lengths,price,per\n\
                 FAST,POP,length,108,3.60,ft\nSLOW,POP,length,108,1.80,ft\n"
            .to_owned(),
        ..Folder::new()
    };
    let plan = planned(&shop.shop());
    assert_eq!(plan.waiting.len(), 2);
    for stick in &plan.order.sticks {
        let frames: BTreeSet<&str> = stick.rails.iter().map(|rail| &rail.frame[..]).collect();
        assert!(frames.len() == 1 || stick.rails.iter().all(|rail| !rail.turned), "{frames:?}");
    }
    net(&plan);
}

/// Sticks for the rack that may cost little beyond need, and a packing over two
/// dates that a closer look makes better after the order was chosen: the account
/// is of the packing that is written down.
#[test]
fn an_account_is_of_the_packing_that_was_chosen() {
    let shop = Folder {
        settings: "name = \"Test\"\nunit = \"mm\"\nallowance = \"32\"\ncurrency = \"EUR\"\n\
             default_cutter = \"c\"\n[offcuts]\nkeep = \"1\"\nworth = \"0.5\"\n[buying]\n\
             spare = \"0.5\"\nrestock = \"always\"\nspare_most = \"120\"\n[cutter.c]\nkerf = \"1\"\n\
             passes = 1\nnick = \"0\"\nfirst_trim = \"128\"\nlast_trim = \"182.9\"\ngrip = \"0\"\n\
             shortest = \"100\"\nstop = \"sight\"\n"
            .to_owned(),
        mouldings: "moulding,width,rabbet,stick,price,per,match,keep_on_rack\n\
             BLK,15,0,2776,,,any,0\nASH,16,5.333,1919,9999,stick,any,3\n\
             OAK,70.91,5,2517,9999,stick,any,40\n"
            .to_owned(),
        frames: "frame,moulding,width,height,match,allowance,due\n\
             1,BLK,123,245.4,any,1.5,2026-11-25\n2,BLK,539,100,lot,,2026-12-04\n"
            .to_owned(),
        suppliers: "supplier,lead_days,minimum,below_minimum,freight,long_over,long_charge\n\
             AAA,2,0,charged,5; 20 from 30,2400,40\nBBB,1,999999,,5; 20 from 30,2130.555,0\n\
             CCC,365,150,,5; 20 from 30,,\n"
            .to_owned(),
        offers: "supplier,moulding,form,lengths,price,per,box,steps\n\
             AAA,BLK,length,2776,3,m,,\nBBB,BLK,length,2776,40,m,,\n\
             CCC,BLK,box,1388 .. 2776,2,stick,1,2 from 3; 1 from 10\n\
             AAA,ASH,box,959.5 .. 1919,9999,stick,2,\n\
             CCC,ASH,box,959.5 .. 1919,40,stick,1,1 from 2\nAAA,OAK,length,2517,3,stick,,\n"
            .to_owned(),
        ..Folder::new()
    };
    let plan = planned(&shop.shop());
    assert_eq!(plan.waiting.len(), 2);
}

/// Forty frames of a stick each and forty sticks for the rack, of an offer of two
/// lengths whose counts together are more than can be listed; and five hundred
/// frames of a stick each.
#[test]
fn as_much_as_is_needed_can_be_bought_however_much_that_is() {
    let of_two = shop(
        "108,2.60,ft,any,40",
        "1,BLK,24,20,40,",
        "supplier,lead_days\nAAA,2",
        "AAA,BLK,length,108;60,2.60,ft,",
    );
    let of_two = planned(&of_two.shop());
    assert_eq!((of_two.waiting.len(), of_two.held.len()), (40, 0));
    let many = shop(
        "108,2.60,ft,stick,0",
        "1,BLK,24,20,500,",
        "supplier,lead_days\nAAA,2",
        "AAA,BLK,length,108,2.60,ft,",
    );
    let many = planned(&many.shop());
    assert_eq!((many.waiting.len(), many.held.len()), (500, 0));
    assert_eq!(lines(&many), ["AAA length BLK 500"]);
}

/// An urgent square beside a flaw narrower than a joint, and a triangle that waits
/// for a slow supplier: packed one after the other, and both lose the triangle's
/// joint at the flaw.
#[test]
fn what_is_packed_one_after_the_other_loses_the_same_joint_at_a_flaw() {
    let shop = Folder {
        settings: SETTINGS.replace("nick = \"1/16\"", "nick = \"0\""),
        mouldings: "moulding,width,rabbet,stick,price,per,match,keep_on_rack\n\
             BLK,1,0,108,2.60,ft,lot,0\nOAK,1,0,108,2.60,ft,any,0\n"
            .to_owned(),
        frames: "frame,layer,moulding,width,height,sides,due\n\
             1,1,BLK,12,12,4,2026-11-28\n1,2,OAK,,,,\n2,1,BLK,20,,3,\n"
            .to_owned(),
        rack: "stick,moulding,length,lot,flaws\nR,BLK,66.6,A,31.40 .. 31.41\n".to_owned(),
        suppliers: "supplier,lead_days\nFAST,2\nSLOW,20\n".to_owned(),
        offers: "supplier,moulding,form,lengths,price,per\n\
             FAST,OAK,length,108,2.60,ft\nSLOW,BLK,length,108,2.60,ft\n"
            .to_owned(),
    };
    let plan = planned(&shop.shop());
    let of_rack = plan.order.sticks.iter().find(|stick| stick.stick == "R").unwrap();
    assert!(of_rack.rails.iter().all(|rail| rail.frame == "1"));
    assert_eq!(of_rack.rails.len(), 4);
}
