//! What is pointed at, each with a neighbour that it is not said of; and figures of whole
//! jobs, worked out on paper.

use longpoint::chop::schedule;
use longpoint::job::thickness;
use longpoint::measure::{Mitre, Unit, Weight};
use longpoint::morning::plan;
use longpoint::quote::{Wish, WishedLayer, quote};
use longpoint::rails::frame_rails;
use longpoint::report::{files, jobs_today};
use longpoint::shop::Hang;
use longpoint::solve::Limits;
use longpoint::ticket::{Concern, JobSheet, PieceOf, PieceSize, job_price, pieces_price};

use crate::folder::{TODAY, data, of, sheet};
use crate::size::{inch, inches, kg, mm};

fn names(sheet: &JobSheet) -> Vec<&'static str> {
    sheet.concerns.iter().map(Concern::name).collect()
}

/// A frame and a job that are fine, and one cell otherwise.
#[test]
fn each_concern_is_said_of_what_it_is_about_and_of_nothing_else() {
    // A window of 8 x 10 in PINE, mat, glass, mount, foam: 1/16 + 2 mm + .3 + 1/16 + 3/16.
    const FRAME: &str = "1,,PINE,,,,,,\n";
    let fine = "1,paper,8,10,,,,,,,,,,WHITE,,,,GLASS,,FOAM,,,hinge\n";
    let of = |frame: &str, job: &str| names(&sheet(frame, job).1);
    assert_eq!(of(FRAME, fine), Vec::<&str>::new());
    for (name, frame, job) in [
        ("thick", "1,,LOW,,,,,,\n", fine),
        ("touch", FRAME, "1,paper,18,24,,,,,edge,,,,,,,,,GLASS,,FOAM,straps,,\n"),
        ("falls through", FRAME, "1,paper,8,10,,,,,,1/16,,,,WHITE,,,,GLASS,,FOAM,,,\n"),
        ("strip shows", FRAME, "1,paper,8,10,,,,,edge,,,,,,,WIDE STRIP,,GLASS,,,,,\n"),
        ("glass large", FRAME, "1,paper,36,38,,,,,,,,,,WHITE,,,,GLASS,,FOAM,straps,,\n"),
        ("too big", FRAME, "1,paper,38,56,,,,,,,,,,WHITE,,,,SAFE,,FOAM,straps,,\n"),
        ("border thin", "1,,WIDE,,,,,,\n", fine),
        ("wire flat", FRAME, "1,paper,36,8,,,,,,,,,,WHITE,,,,GLASS,,FOAM,wire,,\n"),
        ("heavy", FRAME, "1,object,8,10,1/8,9 kg,,,,,,,,,,,,,,FOAM,,,\n"),
        ("no weight", FRAME, "1,panel,8,10,1/8,,,,,,,,,,,,,,,,,,\n"),
        ("over people", FRAME, "1,paper,8,10,,,,,,,,,,WHITE,,,,GLASS,,FOAM,,bed,\n"),
        ("quake", FRAME, "1,paper,26,30,,,,,,,,,,WHITE,,,,SAFE,,FOAM,,quake,\n"),
        ("glue", "1,,PINE,,,,2026-11-25,,\n", fine),
        ("stretcher", FRAME, "1,canvas,30,37,3/4,2 kg,,,,,,,,,,,,,,,straps,,\n"),
        ("nail too long", "1,,LOW,,,,,,\n", fine),
        ("not measured", FRAME, "1,panel,8,10,,1 kg,,,,,,,,,,,,,,,,,\n"),
        ("rail sags", FRAME, "1,mirror,36,24,1/4,,,,,,,,,,,,,,,,straps,,\n"),
        ("rail bows", FRAME, "1,panel,28,30,1/4,7.5 kg,,,,,,,,,,,,,,,wire,,\n"),
        ("weak", FRAME, "1,panel,18,24,1/4,60 kg,,,,,,,,,,,,,,,straps,,\n"),
        ("no rating", FRAME, "1,panel,18,24,1/4,60 kg,,,,,,,,,,,,,,,straps,,\n"),
    ] {
        let found = of(frame, job);
        assert!(found.contains(&name), "{name}: {found:?}");
    }
    for (name, frame, job) in [
        ("thick", "1,,DEEP,,,,,,\n", fine),
        ("touch", FRAME, "1,paper,18,24,,,,,edge,,,,,,,THIN,,GLASS,,FOAM,,,\n"),
        ("strip shows", FRAME, "1,paper,8,10,,,,,edge,,,,,,,THIN,,GLASS,,,,,\n"),
        ("glass large", FRAME, "1,paper,36,38,,,,,,,,,,WHITE,,,,SAFE,,FOAM,,,\n"),
        ("too big", FRAME, "1,paper,30,38,,,,,,,,,,WHITE,,,,SAFE,,FOAM,,,\n"),
        ("over people", FRAME, "1,paper,8,10,,,,,,,,,,WHITE,,,,SAFE,,FOAM,,bed,\n"),
        ("glue", "1,,PINE,,,,2026-11-26,,\n", fine),
        ("stretcher", FRAME, "1,canvas,30,36,3/4,2 kg,,,,,,,,,,,,,,,,,\n"),
        ("border thin", FRAME, "1,paper,8,10,,,,,,,,1 1/8,,WHITE,,,,GLASS,,FOAM,,,\n"),
    ] {
        let found = of(frame, job);
        assert!(!found.contains(&name), "{name}: {found:?}");
    }
}

/// W4 of the rules as a job: its sum is computed there, here without mount and hardware.
/// The frame hangs by a wire whose pull and hooks follow.
#[test]
fn a_whole_job_on_paper() {
    let (shop, sheet) = sheet(
        "1,,WIDE,16,20,,,,\n",
        "1,paper,10 3/4,13 3/4,,,,,,,,,,WHITE,,,,GLASS,MOUNT,FOAM,,,\n",
    );
    assert_eq!(sheet.job.package.opening, Some(inches("10 1/2", "13 1/2")));
    assert_eq!(sheet.outside, inches("19 5/8", "23 5/8"));
    assert_eq!(sheet.sight, inches("15 5/8", "19 5/8"));
    let of = |what: &str| {
        let part = sheet.heft.parts.iter().find(|part| part.what == what).unwrap();
        (part.weight.unwrap().ug() + 500_000) / 1_000_000
    };
    assert_eq!([of("GLASS"), of("WHITE"), of("MOUNT"), of("FOAM")], [1032, 109, 196, 124]);
    // A third of 23 5/8 down is 7 7/8; two hooks at thirds; 60 degrees would rise more.
    let hanging = &sheet.hanging;
    assert_eq!(hanging.way, Some(Hang::Wire));
    assert_eq!((hanging.down, hanging.inset), (inch("7 7/8"), inch("1")));
    let leg = hanging.leg.unwrap();
    assert_eq!(leg.rise, inch("5 7/8"));
    assert!(leg.tenths_of_degree() > 450);
    assert_eq!(hanging.hooks.as_ref().unwrap().material, "HOOK");
    assert_eq!(hanging.wire.as_ref().unwrap().material, "BRAID");
    let cover = sheet.pieces.iter().find(|piece| piece.what == PieceOf::DustCover).unwrap();
    assert_eq!(cover.size, PieceSize::Sheet(inch("19 3/8"), inch("23 3/8")));
    assert_eq!(shop.materials["GLASS"].weighs(), Some(kg("5 kg")));
}

/// The rails of a fillet go round its opening, whatever the allowance; the frame's own go
/// round the package as if there were none.
#[test]
fn a_fillet_is_a_layer_of_the_rail_plan() {
    let job = "1,paper,8 1/4,10 1/4,,,,,,,,,,WHITE,BEAD,,,GLASS,,FOAM,,,\n";
    let (shop, fillet) = sheet("1,,PINE,14,16,,,,\n", job);
    let rails = frame_rails(&shop, &fillet.frame);
    assert_eq!(rails.len(), 2);
    assert_eq!(rails[0].rails[1].long_point, inch("15 1/8"));
    let bead = &rails[1].rails;
    assert_eq!((bead[1].long_point, bead[0].long_point), inches("9", "11"));
    assert_eq!((bead[1].sight, bead[0].sight), inches("8", "10"));
    assert_eq!(fillet.outside, inches("15 1/8", "17 1/8"));
}

/// P5: the demo's medal, 7/8 in a rabbet of 9/16.
#[test]
fn a_package_that_is_too_thick_says_what_would_do() {
    let medal = of(&data("demo"), "4129");
    let out = medal.depth.build_out.unwrap();
    assert_eq!((out.least, out.height), (inch("3/8"), Some(inch("3/8"))));
    assert_eq!(out.material.as_deref(), Some("BACK-10"));
    let wants = thickness::wanted(inch("7/8"), Unit::Inch);
    for id in &medal.depth.would_do {
        assert!(data("demo").moulding(id).depth.unwrap() >= wants, "{id}");
    }
}

/// More weight never gives a weaker wire, hook, hanger or strap, whatever the way changes
/// to; and nothing without a load is ever taken.
#[test]
fn heavier_jobs_never_hang_from_less() {
    let mut before: Option<(Weight, u32)> = None;
    for grams in (200..12_000).step_by(400) {
        let job = format!("1,panel,12,20,1/4,{grams} g,,,,,,,,,,,,,,,wire,,\n");
        let (shop, sheet) = sheet("1,,WIDE,,,,,,\n", &job);
        let hanging = &sheet.hanging;
        for fixing in [&hanging.hangers, &hanging.wire, &hanging.hooks].into_iter().flatten() {
            assert!(fixing.prints >= fixing.needs);
            let material = &shop.materials[&fixing.material];
            assert!(material.load.is_some() || material.breaks.is_some());
        }
        if let (Some(wire), Some(hooks)) = (&hanging.wire, &hanging.hooks) {
            let rank = u32::from(hooks.prints > kg("50 lb"));
            if let Some((breaks, hook)) = before {
                assert!(wire.prints >= breaks && rank >= hook, "{grams}");
            }
            before = Some((wire.prints, rank));
        }
        if sheet.heft.total.unwrap() > kg("9 kg") {
            assert_eq!(hanging.way, Some(Hang::Straps));
            assert!(hanging.wire.is_none());
        }
    }
    assert!(before.is_some());
}

/// Worked out on paper.
#[test]
fn a_job_has_a_price() {
    let shop = data("demo");
    let job = of(&shop, "4101");
    // 11 x 14 of a sheet of 36 x 48 at 14.00 is 1.24769; with a fifth of waste 1.49723, and
    // two and a half times that is 3.743075, to the nearest thousandth of a cent.
    let prices = pieces_price(&shop, &job);
    let glass = prices.iter().find(|piece| piece.material == "GLASS-2").unwrap();
    assert_eq!(glass.list.unwrap().0, 149_723);
    assert_eq!(glass.price.unwrap().0, 374_308);
    let whole = job_price(&shop, &job).unwrap();
    let sum: i64 = prices.iter().filter_map(|piece| piece.price).map(|price| price.0).sum();
    assert_eq!(whole.pieces.0, (sum + 500) / 1000);
    let bare = longpoint::price::price(&shop, shop.frame("4101").unwrap()).unwrap();
    assert!(whole.said > bare.said && bare.pieces.0 == 0);
}

/// The plan of a morning cuts a fillet's rails like any other, and stands up to the check of
/// plans, which works them out by itself.
#[test]
fn a_plan_cuts_fillets() {
    let shop = data("metric");
    let limits = Limits { work: 20_000, deadline: None, stop: None, watch: None };
    let plan = plan(&shop, TODAY, limits).unwrap().into_inner();
    let rails = plan.today.iter().filter(|stick| stick.moulding == "FL6");
    let rails: Vec<_> = rails.flat_map(|stick| &stick.rails).collect();
    assert_eq!(rails.len(), 4);
    // The plate with 5 mm of paper seen at the sides is 250 wide, the fillet 6.
    let widest = rails.iter().map(|rail| rail.long_point).max();
    assert_eq!(widest, Some(mm("262")));
    assert!(rails.iter().all(|rail| (rail.frame.as_str(), rail.layer) == ("111", 2)));
    let jobs = jobs_today(&plan, &shop).unwrap();
    assert!(jobs.iter().any(|job| job.frame.id == "111"));
    let files = files(&plan, &shop, &schedule(&plan, &shop));
    for name in ["jobs.html", "jobs.csv", "pieces.csv"] {
        assert!(files.iter().any(|(file, _)| file == name), "{name}");
    }
}

/// A job quoted in another moulding: its float follows the lip, and the price has all of it.
#[test]
fn a_job_is_quoted_in_other_mouldings() {
    let shop = data("demo");
    let wish = |moulding: &str, job: Option<&str>| Wish {
        layers: vec![WishedLayer { moulding: moulding.to_owned(), gap: inch("0"), match_: None }],
        width: inch("16"),
        height: inch("20"),
        mitre: Mitre::SQUARE,
        copies: 1,
        due: None,
        job: job.map(str::to_owned),
    };
    let limits = Limits { work: 2_000, deadline: None, stop: None, watch: None };
    let quoted = |moulding, job| quote(&shop, &wish(moulding, job), TODAY, limits, false).unwrap();
    let (bare, whole) = (quoted("BLK-32", None), quoted("BLK-32", Some("4102")));
    assert_eq!(bare.frame.width, whole.frame.width);
    let (bare, whole) = (bare.price.unwrap(), whole.price.unwrap());
    assert!(bare.pieces.0 == 0 && whole.pieces.0 > 0 && whole.said > bare.said);
    // Gilded, 3/8 of rabbet and 3/16 of allowance: 14 5/8 + 1 + 3/4 - 3/16.
    let gilded = quoted("GLD-50", Some("4102"));
    assert_eq!(gilded.frame.width, inch("16 3/16"));
    assert!(gilded.near.iter().all(|near| near.price.is_some()));
}
