//! Random shops with spare rails: whoever takes some of its rails of them matches them.

use std::collections::{BTreeMap, BTreeSet};

use longpoint::morning::plan_as_wished;
use longpoint::plan::{Plan, Wishes};
use longpoint::rails::frame_rails;
use longpoint::shop::{Match, Shop, Spare};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

use super::shops::{TODAY, files, limits, read};

const LOTS: [&str; 3] = ["A", "B", ""];

/// A stick: inches, and which lot.
type Stick = (u32, usize);
/// A frame: its size, how alike, how many days on it is due.
type Frame = (usize, usize, u8);
/// A spare rail: of which frame's size, which side, which lot.
type Cut = (usize, usize, usize);

fn random() -> impl Strategy<Value = (Vec<Stick>, Vec<Frame>, Vec<Cut>, bool)> {
    (
        prop::collection::vec((20_u32..75, 0_usize..3), 1..5),
        prop::collection::vec((0_usize..3, 0_usize..5, 1_u8..5), 1..5),
        prop::collection::vec((0_usize..3, 0_usize..4, 0_usize..3), 1..6),
        any::<bool>(),
    )
}

fn shop((sticks, frames, cut, buys): (Vec<Stick>, Vec<Frame>, Vec<Cut>, bool)) -> Shop {
    let sizes = ["8,10", "10,8", "11,13"];
    let alike = ["any", "lot", "lot", "stick", "halves"];
    let mut files = files();
    let mut rack = "stick,moulding,length,lot\n".to_owned();
    for (at, (length, lot)) in sticks.into_iter().enumerate() {
        rack += &format!("S-{at},ASH,{length},{}\n", LOTS[lot]);
    }
    let mut all = "frame,moulding,width,height,due,match\n".to_owned();
    for (at, (size, match_, day)) in frames.into_iter().enumerate() {
        all += &format!("{at},ASH,{},2026-03-{:02},{}\n", sizes[size], 9 + day, alike[match_]);
    }
    // What the spare rails are of is read as frames, and is none of them.
    let of = sizes.iter().enumerate();
    let of: Vec<String> = of.map(|(at, size)| format!("of-{at},ASH,{size},,any\n")).collect();
    files.insert("rack.csv".to_owned(), rack.into_bytes());
    files.insert("frames.csv".to_owned(), (all + &of.concat()).into_bytes());
    if buys {
        let suppliers = b"supplier,lead_days\nCORM,3\n".to_vec();
        let offers = b"supplier,moulding,form,lengths,price,per\nCORM,ASH,length,108,2.10,ft\n";
        files.insert("suppliers.csv".to_owned(), suppliers);
        files.insert("offers.csv".to_owned(), offers.to_vec());
    }
    let mut shop = read(&files);
    let spare = |(at, (size, side, lot)): (usize, &Cut)| {
        let frame = shop.frame(&format!("of-{size}")).unwrap();
        Spare {
            label: format!("R{at}"),
            moulding: "ASH".to_owned(),
            mitre: frame.mitre,
            long_point: frame_rails(&shop, frame)[0].rails[*side].long_point,
            lot: LOTS[*lot].to_owned(),
            stick: format!("gone-{at}"),
            of: (frame.id.clone(), 1, 1),
            side: *side,
            alike: Match::Any,
        }
    };
    shop.spare = cut.iter().enumerate().map(spare).collect();
    shop.frames.retain(|frame| !frame.id.starts_with("of-"));
    shop
}

/// How many frames that must be of one lot are of spare rails and of rails that are cut
/// today; all rails of each are of one lot that is known, by the shop's own words.
fn of_both(shop: &Shop, plan: &Plan) -> usize {
    let lot = |label: &str| shop.spare.iter().find(|s| s.label == label).unwrap().lot.clone();
    let mut lots: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for of in &plan.spares {
        lots.entry(&of.frame).or_default().insert(lot(&of.label));
    }
    let mut both = BTreeSet::new();
    for stick in plan.today.iter().chain(plan.order.all_sticks()) {
        for rail in stick
            .rails
            .iter()
            .filter(|rail| shop.frame(&rail.frame).unwrap().layers[0].match_ == Match::Lot)
        {
            let Some(known) = lots.get_mut(rail.frame.as_str()) else { continue };
            let on = shop.rack.iter().find(|on| on.id == stick.stick).expect("none is bought");
            known.insert(on.lot.clone());
            both.insert(rail.frame.as_str());
        }
    }
    for frame in &both {
        assert!(lots[frame].len() == 1 && !lots[frame].contains(""), "{frame}: {:?}", lots[frame]);
        let waits = plan.waiting.iter().any(|waits| waits.frame == **frame);
        assert!(!waits, "{frame} is bound to a lot and is not cut today");
    }
    both.len()
}

/// Every plan passes its check, whoever takes what, and quite a few frames do take some.
#[test]
fn frames_of_some_spare_rails_are_of_one_lot() {
    let mut runner = TestRunner::deterministic();
    let mut both = 0;
    for _ in 0..400 {
        let shop = shop(random().new_tree(&mut runner).unwrap().current());
        let plan = plan_as_wished(&shop, TODAY, &Wishes::default(), limits());
        both += of_both(&shop, &plan.unwrap_or_else(|faults| panic!("{faults:?}: {shop:#?}")));
    }
    assert!(both > 20, "only {both} were of both");
}
