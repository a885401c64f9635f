//! What today cuts is back on the rack in the evening, and the order cuts from it.

use std::collections::BTreeMap;

use longpoint::morning::{WORK, plan};
use longpoint::plan::Plan;
use longpoint::shop::{Shop, read_files};
use longpoint::solve::Limits;
use longpoint::verify::{Fault, verify};

use super::shops::TODAY;

/// Rails lose nothing: frame 1 takes 400 of the one stick of A and leaves 600, of
/// which frame 2 takes 560; it waits for B. The last 20 have a flaw.
fn shop() -> Shop {
    let settings = "name = \"Evening\"\nunit = \"mm\"\nmark = \"1\"\nallowance = \"0\"\n\
         currency = \"EUR\"\ndefault_cutter = \"c\"\n[offcuts]\nkeep = \"100\"\nworth = \"0.5\"\n\
         [cutter.c]\nkerf = \"0\"\nnick = \"0\"\nfirst_trim = \"0\"\nlast_trim = \"0\"\n\
         grip = \"0\"\nshortest = \"1\"\nstop = \"long\"\n";
    let files = [
        ("shop.toml", settings),
        (
            "mouldings.csv",
            "moulding,width,rabbet,stick,price,per,match\nA,20,10,1000,10.00,stick,lot\n\
             B,20,10,1000,10.00,stick,any\n",
        ),
        (
            "frames.csv",
            "frame,layer,moulding,width,height,due\n1,1,A,80,80,2026-11-25\n\
             2,1,A,120,120,2026-12-20\n2,2,B,,,\n",
        ),
        ("rack.csv", "stick,moulding,length,lot,place,flaws\nR1,A,1000,K,bay 1,980 .. 1000\n"),
        ("suppliers.csv", "supplier,lead_days\nS,3\n"),
        (
            "offers.csv",
            "supplier,moulding,form,lengths,price,per\nS,A,length,1000,10.00,stick\n\
             S,B,length,1000,10.00,stick\n",
        ),
    ];
    let files: BTreeMap<String, Vec<u8>> =
        files.into_iter().map(|(name, text)| (name.to_owned(), text.into())).collect();
    read_files(&files).unwrap_or_else(|faults| panic!("{faults}"))
}

fn planned(shop: &Shop) -> Plan {
    let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
    let plan = plan(shop, TODAY, limits).unwrap().into_inner();
    assert_eq!(verify(shop, &plan), Ok(()));
    plan
}

#[test]
fn the_order_cuts_from_the_offcut_that_today_leaves() {
    let plan = planned(&shop());
    assert_eq!(plan.today[0].left.label, "R1.1");
    let lines: Vec<&str> = plan.order.lines.iter().map(|line| line.moulding.as_str()).collect();
    assert_eq!(lines, ["B"], "nothing more of A is bought");
    let offcut = plan.order.sticks.iter().find(|stick| stick.stick == "R1.1").unwrap();
    assert_eq!((offcut.lot.as_str(), offcut.place.as_str()), ("K", "bay 1"));
    assert_eq!(offcut.flaws.len(), 1);
    assert_eq!(offcut.flaws[0].from.nm(), 580_000_000);
}

#[test]
fn an_offcut_is_neither_longer_than_it_is_nor_cut_before_it_is_there() {
    let shop = shop();
    let right = planned(&shop);
    let place = right.order.sticks.iter().position(|stick| stick.stick == "R1.1").unwrap();

    let mut plan = right.clone();
    plan.order.sticks[place].flaws.clear();
    let faults = verify(&shop, &plan).unwrap_err();
    assert!(faults.iter().any(|f| matches!(f, Fault::FalseStick { what: "flaws", .. })));

    let mut plan = right.clone();
    plan.order.sticks[place].stick = "R1.2".to_owned();
    let faults = verify(&shop, &plan).unwrap_err();
    assert!(faults.iter().any(|f| matches!(f, Fault::NoSuchStick { .. })));

    let mut plan = right;
    let offcut = plan.order.sticks.remove(place);
    plan.today.push(offcut);
    let faults = verify(&shop, &plan).unwrap_err();
    assert!(faults.iter().any(|f| matches!(f, Fault::NoSuchStick { .. })));
}
