//! Small orders of which the cheapest was worked out by hand: the model knows it,
//! so it can tell when a plan does not.

use longpoint::plan::Wishes;

use super::choice::Least;
use super::folders::Folder;
use super::judge::{MORNING, cheapest, planned, read};
use super::rules::Rules;

/// A shop that loses nothing at the bench, keeps 400 mm at half its price and
/// counts what is left at half: sticks of M are 2000 mm and usually 10.00.
fn shop(moulding: &str, frames: &str, rack: &str, suppliers: &str, offers: &str) -> Folder {
    let settings = "name = \"Judge\"\nunit = \"mm\"\nmark = \"1\"\nallowance = \"0\"\n\
        currency = \"EUR\"\ndefault_cutter = \"c\"\n[offcuts]\nkeep = \"400\"\n\
        worth = \"0.5\"\n[cutter.c]\nkerf = \"0\"\npasses = 1\nnick = \"0\"\nfirst_trim = \"0\"\n\
        last_trim = \"0\"\ngrip = \"0\"\nshortest = \"1\"\nstop = \"long\"\n[buying]\n\
        restock = \"always\"\n";
    let mouldings = "moulding,width,rabbet,stick,price,per,match,keep_on_rack\nM,20,10,2000,10.00,";
    let suppliers_are =
        "supplier,minimum,below_minimum,freight,lead_days,long_over,long_charge,halves\n";
    Folder::from([
        ("shop.toml", settings.to_owned()),
        ("mouldings.csv", format!("{mouldings}stick,{moulding}\n")),
        ("frames.csv", format!("frame,moulding,width,height,copies,due\n{frames}")),
        ("rack.csv", format!("stick,moulding,length,lot\n{rack}")),
        ("suppliers.csv", format!("{suppliers_are}{suppliers}")),
        ("offers.csv", format!("supplier,moulding,form,lengths,price,per,box,steps\n{offers}")),
    ])
}

#[track_caller]
fn is_cheapest(folder: &Folder, net: i64, what: &str) {
    let shop = read(folder);
    let plan = planned(&shop, &Wishes::default());
    let least = cheapest(&Rules { shop: &shop, date: MORNING, is_limited: false }, &plan);
    let what = vec![format!("{what} chops []")];
    assert_eq!(least, Some(Least { net, what }));
}

/// Four sticks for the rack cost 40.00 from the one and 80.00 from the other; each
/// counts 10.00 less a minor unit.
#[test]
fn the_rack_is_filled_from_the_cheaper_of_two() {
    let offers = "A,M,length,2000,20.00,stick,,\nB,M,length,2000,10.00,stick,,\n";
    let folder = shop("any,4", "", "", "A,,,,2,,,\nB,,,,2,,,\n", offers);
    is_cheapest(&folder, 4_000, "4 of row 3 2000 mm;");
}

/// 1900 mm from one stick: 20.00, of which nothing is left, and not 26.00 with 15.00
/// for a long parcel, less 700 mm at 10.00 x 700 / 1000 x 0.5 x 0.59375.
#[test]
fn of_two_lengths_the_one_that_serves() {
    let folder = shop(
        "stick,0",
        "1,M,455,455,1,\n",
        "",
        "S,,,,9,2400,15.00,yes\n",
        "S,M,length,2000; 2600,10.00,m,,\n",
    );
    is_cheapest(&folder, 2_000_000, "1 of row 2 2000 mm;");
}

/// The urgent frame takes 800 mm of a fast stick, and one that is not urgent the
/// next 800: 30.00 and three times 20.00, less 400 mm at 0.01 x 0.5 x 0.5.
#[test]
fn what_a_fast_stick_has_left_serves_the_others() {
    let folder = shop(
        "any,0",
        "1,M,180,180,1,2026-11-28\n2,M,480,480,3,\n3,M,180,180,1,\n",
        "",
        "FAST,,,,2,,,\nSLOW,,,,8,,,\n",
        "FAST,M,length,2000,30.00,stick,,\nSLOW,M,length,2000,20.00,stick,,\n",
    );
    is_cheapest(&folder, 8_900_000, "1 of row 2 2000 mm;3 of row 3 2000 mm;");
}

/// Two full sticks are cut and one is on the rack. An order of one is refused: two
/// are bought, and it comes to the same whether the rack's is left or one of them.
#[test]
fn an_order_that_would_be_refused_is_filled_up() {
    let folder = shop(
        "any,0",
        "1,M,980,980,1,\n",
        "R1,M,2000,A\n",
        "S,20.00,refused,,3,,,\n",
        "S,M,length,2000,10.00,stick,,\n",
    );
    is_cheapest(&folder, 2_000_000, "2 of row 2 2000 mm;");
}
