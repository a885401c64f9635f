//! What is heavy, what is screwed behind, and what is said of both. Figures are computed
//! from the tables of `folder.rs`.

use longpoint::chop::schedule;
use longpoint::measure::Weight;
use longpoint::morning::plan;
use longpoint::report::{job_text, text};
use longpoint::shop::{Hang, Shop, ShopMaterial, read_files};
use longpoint::solve::Limits;
use longpoint::ticket::{Concern, JobSheet};

use crate::folder::{TODAY, files, of, sheet};
use crate::size::{inch, kg, mm};

const FRAME: &str = "1,,PINE,,,,,,\n";

/// A panel of 8 x 10.
fn panel(thick: &str, weight: &str, hang: &str, place: &str) -> String {
    format!("1,panel,8,10,{thick},{weight},,,,,,,,,,,,,,,{hang},{place},\n")
}

/// A shop with some words of a file otherwise.
fn with(jobs: &str, file: &str, (from, to): (&str, &str)) -> (Shop, JobSheet) {
    let mut files = files(FRAME, jobs);
    let text = String::from_utf8(files[file].clone()).unwrap();
    assert!(text.contains(from), "{from}");
    files.insert(file.to_owned(), text.replace(from, to).into_bytes());
    let shop = read_files(&files).unwrap_or_else(|faults| panic!("{faults}"));
    let sheet = of(&shop, "1");
    (shop, sheet)
}

fn names(sheet: &JobSheet) -> Vec<&'static str> {
    sheet.concerns.iter().map(Concern::name).collect()
}

/// The sheet as it is printed, without its line breaks.
fn said((shop, sheet): &(Shop, JobSheet)) -> String {
    job_text::job(sheet, true, shop).split_whitespace().collect::<Vec<_>>().join(" ")
}

fn part(sheet: &JobSheet, what: &str) -> Option<Weight> {
    sheet.heft.parts.iter().find(|part| part.what == what).unwrap().weight
}

/// A panel of 3/4 wants 1/4 more than PINE has: OUT-4, of 50 g a metre, round 9 1/8 x 17 1/8.
#[test]
fn what_is_built_out_and_what_it_hangs_by_are_weighed() {
    let panel = |thick: &str, weight: &str, hang: &str| {
        panel(thick, weight, hang, "").replace("8,10", "8,16")
    };
    let light = sheet(FRAME, &panel("3/4", "1 kg", "")).1;
    let strips = part(&light, "the build-out OUT-4").unwrap();
    assert_eq!(strips.ug(), 66_675_000);
    assert_eq!(part(&light, "two of RING"), Some(kg("10 g")));
    // So heavy that it is up to 9 kg without its rings, and over that with them.
    let rest = light.heft.total.unwrap().ug() - kg("1 kg").ug();
    let grams = |more: i64| format!("{} g", (kg("9 kg").ug() - rest) / 1_000_000 + more);
    let over = sheet(FRAME, &panel("3/4", &grams(5), "wire")).1;
    assert_eq!(over.hanging.way, Some(Hang::Straps));
    assert_eq!(part(&over, "two of STRAP"), Some(kg("40 g")));
    assert!(over.heft.total.unwrap() > kg("9 kg"));
    let under = sheet(FRAME, &panel("3/4", &grams(-12), "wire")).1;
    assert_eq!(under.hanging.way, Some(Hang::Wire));
    assert!(under.heft.total.unwrap() <= kg("9 kg"));
    // A cleat counts whole, and makes the load that it is chosen for.
    let cleat = sheet(FRAME, &panel("1/4", "25 kg", "")).1;
    assert_eq!(part(&cleat, "the cleat BAR"), Some(kg("600 g")));
    let needs = cleat.hanging.hooks.as_ref().unwrap().needs;
    assert_eq!(needs.ug(), cleat.heft.total.unwrap().ug() * 4);
}

#[test]
fn what_is_built_out_and_not_weighed_leaves_no_weight() {
    for (from, to) in [
        ("OUT-4,build-out,,1/4,,0.05 kg", "OUT-4,build-out,,1/4,,"),
        ("OUT-4,build-out,,1/4,,0.05 kg", "OUT-4,build-out,,1/8,,0.05 kg"),
    ] {
        let thick = panel("3/4", "1 kg", "", "");
        let (_, sheet) = with(&thick, "materials.csv", (from, to));
        let is_higher = to.contains("1/8");
        assert_eq!(sheet.heft.total.is_none(), !is_higher, "{to}");
        assert_eq!(names(&sheet).contains(&"no weight"), !is_higher, "{to}");
        assert_eq!(sheet.hanging.hangers.is_none(), !is_higher, "{to}");
    }
    // None of the shop's is high enough.
    let (_, none) = sheet(FRAME, &panel("2", "1 kg", "", ""));
    assert_eq!((none.heft.total, none.hanging.hooks), (None, None));
    // Nor does anything hang on a cleat that was not weighed.
    let cleat = panel("1/4", "25 kg", "", "");
    let (_, cleat) = with(&cleat, "materials.csv", ("BAR,cleat,,,,600 g", "BAR,cleat,,,,"));
    assert!(names(&cleat).contains(&"no weight") && cleat.hanging.hooks.is_none());
    // What is known of it is heavy all the same.
    assert!(names(&cleat).contains(&"heavy"));
}

#[test]
fn over_twenty_kilograms_a_wire_becomes_a_cleat() {
    for (asked, kilograms, way) in [
        ("wire", "25 kg", Hang::Cleat),
        ("cord", "25 kg", Hang::Cleat),
        ("wire", "15 kg", Hang::Straps),
        ("straps", "25 kg", Hang::Straps),
        ("wire", "2 kg", Hang::Wire),
    ] {
        let (_, sheet) = sheet(FRAME, &panel("1/4", kilograms, asked, ""));
        assert_eq!(sheet.hanging.way, Some(way), "{asked} {kilograms}");
    }
    let weak = said(&sheet(FRAME, &panel("1/4", "120 kg", "", "")));
    assert!(weak.contains("none in materials.csv that holds it"), "{weak}");
    assert!(!weak.contains("hook of the shop's own"), "{weak}");
}

#[test]
fn heavy_things_over_people_are_pointed_at_whatever_they_are_made_of() {
    let canvas = |weight: &str, place: &str| {
        let job = format!("1,canvas,30,36,3/4,{weight},,,,,,,,,,,,,,,,{place},\n");
        names(&sheet(FRAME, &job).1)
    };
    assert!(canvas("72 kg", "bed").contains(&"over people"));
    assert!(canvas("72 kg", "seat; masonry").contains(&"over people"));
    assert!(!canvas("72 kg", "masonry").contains(&"over people"));
    assert!(!canvas("3 kg", "bed").contains(&"over people"));
}

#[test]
fn whatever_way_it_stands_or_hangs_its_weight_is_said() {
    for hang in ["wire", "cord", "straps", "cleat", "security", "strut", "none"] {
        let heavy = sheet(FRAME, &panel("1/4", "12 kg", hang, ""));
        assert!(names(&heavy.1).contains(&"heavy"), "{hang}");
        let told = said(&heavy);
        let told = told.split("TO TELL THE CUSTOMER").nth(1).unwrap();
        assert!(told.contains("It weighs about 12."), "{hang}: {told}");
        let light = sheet(FRAME, &panel("1/4", "1 kg", hang, ""));
        assert!(!names(&light.1).contains(&"heavy"), "{hang}");
    }
    let strut = said(&sheet(FRAME, &panel("1/4", "12 kg", "strut", "")));
    assert!(strut.contains("a strut is not to be trusted with it"), "{strut}");
}

/// PINE is 15/16 high; screws stay 1/8 off its face, and go through 1/4 of OUT-4 first.
#[test]
fn screws_go_through_what_is_built_out() {
    let plain = sheet(FRAME, &panel("1/4", "1 kg", "", ""));
    assert_eq!(plain.1.corners.longest_screw, Some(inch("13/16")));
    let built = sheet(FRAME, &panel("3/4", "1 kg", "", ""));
    assert_eq!(built.1.corners.longest_screw, Some(inch("1 1/16")));
    let said = said(&built);
    assert!(said.contains("no longer than 1 1/16 in, the build-out's own too"), "{said}");
    assert!(said.contains("through 1/4 in of build-out and hold in PINE"), "{said}");
}

/// Computed: 2850 G^2 D pounds for each inch of thread, of a screw of 0.138 in. Ash is printed
/// from 650 on; pine with 480 alone, of which a light stick has four fifths. Half an inch of it.
#[test]
fn screws_are_judged_by_a_light_stick_and_not_at_all_in_fibreboard() {
    for (wood, holds) in [("pine", "13.1 kg"), ("ash", "37.6 kg"), ("oak", "33.8 kg")] {
        let to = format!("PINE,3/4,1/4,9/16,108,1.20,ft,,15/16,,,{wood}");
        let from = "PINE,3/4,1/4,9/16,108,1.20,ft,,15/16,,,pine";
        let of = said(&with(&panel("1/4", "1 kg", "wire", ""), "mouldings.csv", (from, &to)));
        assert!(
            of.contains(&format!("its screw holds at most {holds} for each half inch")),
            "{of}"
        );
    }
    let to = "9/16,108,1.20,ft,,15/16,,,mdf";
    let from = "9/16,108,1.20,ft,,15/16,,,pine";
    for hang in ["wire", "security"] {
        let of = with(&panel("1/4", "1 kg", hang, ""), "mouldings.csv", (from, to));
        assert_eq!(of.1.corners.screw, None);
        let of = said(&of);
        assert!(!of.contains("its screw holds"), "{of}");
        assert!(of.contains("what they hold in mdf is not known"), "{of}");
    }
}

/// The bench and the customer read the same.
#[test]
fn straps_reach_up_for_the_customer_too() {
    let straps = said(&sheet(FRAME, &panel("1/4", "1 kg", "straps", "")));
    assert_eq!(straps.matches("less what the strap reaches up").count(), 2, "{straps}");
    let wire = said(&sheet(FRAME, &panel("1/4", "1 kg", "wire", "")));
    assert!(!wire.contains("strap reaches up"), "{wire}");
}

#[test]
fn from_a_picture_rail_two_lines_go_straight_up() {
    for hang in ["", "wire", "cord", "straps"] {
        let rail = sheet(FRAME, &panel("1/4", "1 kg", hang, "rail"));
        assert_eq!((rail.1.hanging.way, rail.1.hanging.inward), (Some(Hang::Straps), None));
        let said = said(&rail);
        assert!(said.contains("straight up from each"), "{said}");
        for not in ["below its top edge", "rises ", "one hook under each", "strap reaches up"] {
            assert!(!said.contains(not), "{hang}: {not}: {said}");
        }
    }
    let cleat = said(&sheet(FRAME, &panel("1/4", "25 kg", "", "rail")));
    assert!(!cleat.contains("From the picture rail"), "{cleat}");
}

/// A cleat hangs from no picture rail, and nothing over 20 kg does.
#[test]
fn what_is_too_heavy_for_a_picture_rail_goes_on_the_wall() {
    for (hang, way) in [
        ("", Hang::Cleat),
        ("wire", Hang::Cleat),
        ("straps", Hang::Straps),
        ("cleat", Hang::Cleat),
        ("security", Hang::Security),
    ] {
        let heavy = sheet(FRAME, &panel("1/4", "20 kg", hang, "rail"));
        assert_eq!((heavy.1.hanging.way, heavy.1.hanging.on_rail), (Some(way), false), "{hang}");
        assert!(names(&heavy.1).contains(&"picture rail"), "{hang}");
        let said = said(&heavy);
        assert!(said.contains("it is too heavy for a picture rail"), "{said}");
        assert!(!said.contains("on the picture rail"), "{said}");
        let wall = sheet(FRAME, &panel("1/4", "20 kg", hang, "masonry"));
        assert!(!names(&wall.1).contains(&"picture rail"), "{hang}");
    }
    for hang in ["", "straps", "strut"] {
        let light = sheet(FRAME, &panel("1/4", "15 kg", hang, "rail"));
        assert!(!names(&light.1).contains(&"picture rail"), "{hang}");
        assert_eq!(light.1.hanging.on_rail, hang != "strut");
    }
    for hang in ["cleat", "security"] {
        let light = said(&sheet(FRAME, &panel("1/4", "1 kg", hang, "rail")));
        assert!(light.contains("and not on a picture rail: write straps"), "{light}");
    }
    // Of a weight that is not known, what is known of it is too much.
    let (_, unknown) = with(
        &panel("3/4", "21 kg", "straps", "rail"),
        "materials.csv",
        ("OUT-4,build-out,,1/4,,0.05 kg", "OUT-4,build-out,,1/4,,"),
    );
    assert_eq!((unknown.heft.total, unknown.hanging.on_rail), (None, false));
    assert!(names(&unknown).contains(&"picture rail"));
}

/// A panel of 1/4 in a ticket that says 1/8; of 3/4 in one that says 1/2: PINE has 9/16.
#[test]
fn a_thickness_that_is_too_little_overrules_nothing() {
    let typed = |typed: &str, thick: &str| {
        sheet(&format!("1,,PINE,,,,,,{typed}\n"), &panel(thick, "1 kg", "", "")).1
    };
    let thin = typed("1/2", "3/4");
    assert!(names(&thin).contains(&"thickness") && names(&thin).contains(&"thick"));
    assert_eq!(thin.depth.thickness, Some(inch("3/4")));
    let more = typed("7/8", "3/4");
    assert!(!names(&more).contains(&"thickness"));
    assert_eq!(more.depth.thickness, Some(inch("7/8")));
    // The plan and the joiner's page look at the same.
    for (typed, thick, counts) in [("1/2", "3/4", "3/4"), ("7/8", "3/4", "7/8"), ("", "3/4", "3/4")]
    {
        let frame = format!("1,,PINE,,,,,,{typed}\n");
        let (shop, _) = sheet(&frame, &panel(thick, "1 kg", "", ""));
        assert_eq!(shop.thickness_of(&shop.frames[0]), Some(inch(counts)), "{typed}");
    }
}

/// FLOAT is 1 1/2 deep: what is deeper stands out of it in front, and no back is built out.
#[test]
fn what_is_deeper_than_its_floater_stands_out_of_it() {
    let of = |art: &str, thick: &str| {
        let job = panel(thick, "1 kg", "", "").replace("panel", art);
        sheet("1,,FLOAT,,,,,1/4,\n", &job)
    };
    for art in ["canvas", "panel"] {
        for thick in ["", "3/4", "1 1/2"] {
            assert!(!names(&of(art, thick).1).contains(&"proud"), "{art} {thick}");
        }
        for thick in ["3", "38.11 mm"] {
            let deep = of(art, thick);
            let names = names(&deep.1);
            assert!(names.contains(&"proud") && !names.contains(&"thick"), "{art}: {names:?}");
            assert_eq!((&deep.1.depth.build_out, deep.1.heft.total.is_some()), (&None, true));
            let said = said(&deep);
            assert!(!said.contains("build") && said.contains("take a deeper floater"), "{said}");
        }
        assert!(said(&of(art, "3")).contains("stands 1 1/2 in out of its floater"), "{art}");
    }
    // One of the shop's that is deep enough is named.
    let job = panel("3", "1 kg", "", "");
    let row = "FLOAT,3/8,,1 1/2,108,3.00,ft,floater,,,0.5 kg,\n";
    let more = format!("{row}DEEPER,1/2,,3,108,4.00,ft,floater,,,0.6 kg,\n");
    let mut files = files("1,,FLOAT,,,,,1/4,\n", &job);
    let text = String::from_utf8(files["mouldings.csv"].clone()).unwrap();
    files.insert("mouldings.csv".to_owned(), text.replace(row, &more).into_bytes());
    let shop = read_files(&files).unwrap();
    assert!(said(&(shop.clone(), crate::folder::of(&shop, "1"))).contains("take DEEPER, or agree"));
}

/// What the plan of a morning says of a ticket whose package is 3 in thick, without line breaks.
fn planned(frames: &str, job: &str) -> String {
    let mut files = files(frames, job);
    let rack = "stick,moulding,length\nS1,FLOAT,108\nS2,PINE,108\n";
    files.insert("rack.csv".to_owned(), rack.as_bytes().to_vec());
    let shop = read_files(&files).unwrap();
    let limits = Limits { work: 20_000, deadline: None, stop: None, watch: None };
    let plan = plan(&shop, TODAY, limits).unwrap().into_inner();
    let said = text::plan(&plan, &shop, &schedule(&plan, &shop));
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The plan told it of a panel in a floater, and of a canvas that clips hold behind a rabbet; and
/// said nothing of a canvas that is deeper than its floater.
#[test]
fn no_plan_tells_a_floater_or_a_canvas_to_be_built_out() {
    let stands = "1: what is in it is 3 in thick and the floater FLOAT is 1 1/2 in deep inside, so it \
                  stands out in front";
    for art in ["panel", "canvas"] {
        let job = panel("3", "1 kg", "", "").replace("panel", art);
        let said = planned("1,,FLOAT,,,,,1/4,\n", &job);
        assert!(said.contains(stands) && !said.contains("build the back"), "{art}: {said}");
    }
    let job = panel("1", "1 kg", "", "").replace("panel", "canvas");
    let said = planned("1,,FLOAT,,,,,1/4,3\n", &job);
    assert!(said.contains(stands), "what the ticket says counts where it is more: {said}");
    let job = panel("3", "1 kg", "", "");
    let said = planned("1,,PINE,,,,,,3\n", &job);
    assert!(said.contains("the rabbet of PINE takes 9/16 in. Plan to build the back"), "{said}");
    let said = planned("1,,PINE,,,,,,3\n", &job.replace("panel", "canvas"));
    assert!(said.contains("1 frame today") && !said.contains("build the back"), "{said}");
    // Nor a ticket without a job.
    let said = planned("1,,FLOAT,8,10,,,1/4,3\n", "");
    assert!(said.contains(stands) && !said.contains("build the back"), "{said}");
}

/// A panel in a floater was to be held by points, which it has no rabbet for; and a frame that
/// floats in a floater was to lie close to its lip.
#[test]
fn nothing_is_held_by_points_in_a_floater() {
    let floated = sheet("1,,FLOAT,,,,,1/4,\n", &panel("3/4", "1 kg", "", ""));
    let rabbet = sheet(FRAME, &panel("1/4", "1 kg", "", ""));
    let drives = |of: &(Shop, JobSheet)| said(of).contains("drive the points");
    assert!(drives(&rabbet) && !drives(&floated), "{}", said(&floated));
    assert!(said(&floated).contains("Set it into the floater with the same gap all round"));
    // What it stands lower than its wall was to be filled up behind it.
    assert!(
        said(&floated).contains("package 3/4 in (19.1 mm) thick; FLOAT is 1 1/2 in deep inside")
    );
    assert!(!said(&floated).contains("filler") && !said(&floated).contains("Fill the rabbet"));
    let stack = "1,1,PINE,,,,,,\n1,2,FLOAT,,,,,1/4,\n";
    let stack = said(&sheet(stack, &panel("1/4", "1 kg", "", "")));
    assert!(stack.contains("Set PINE into FLOAT, with the same gap all round"), "{stack}");
    assert!(stack.contains("drive the points") && !stack.contains("close to its lip"), "{stack}");
}

/// The lip of PINE hides 3/16 of each border.
#[test]
fn a_border_behind_the_lip_is_said_to_be_hidden() {
    let of = |border: &str| {
        let job = format!("1,paper,8,10,,,,,,,,{border},,WHITE,,,,GLASS,,FOAM,,,\n");
        sheet(FRAME, &job)
    };
    for (border, name) in
        [("1/8", "border hidden"), ("3/16", "border hidden"), ("1/4", "border thin")]
    {
        assert!(names(&of(border).1).contains(&name), "{border}");
    }
    let said = said(&of("1/8"));
    assert!(said.contains("The mat is not seen on one side at least"), "{said}");
}

/// A hundredth of a millimetre more than PINE has with its points: 9/16 in.
#[test]
fn what_is_wanted_is_never_shown_as_what_there_is() {
    let thick = said(&sheet(FRAME, &panel("12.71 mm", "1 kg", "", "")));
    assert!(thick.contains("has 9/16 in") && !thick.contains("wants 9/16 in"), "{thick}");
}

/// A saw that cuts a build-out's strips is told so with 0.
#[test]
fn a_saw_may_cut_square() {
    let job = panel("1/4", "1 kg", "", "");
    for mitres in ["0; 45", "0", "0 .. 45"] {
        let text = format!("stop = \"long\"\nmitres = \"{mitres}\"");
        let (shop, _) = with(&job, "shop.toml", ("stop = \"long\"", &text));
        let saw = shop.cutters.values().next().unwrap();
        assert!(saw.mitres.iter().any(|(from, _)| *from == 0), "{mitres}");
    }
    let mut files = files(FRAME, &job);
    let shop = String::from_utf8(files["shop.toml"].clone()).unwrap() + "mitres = \"90\"\n";
    files.insert("shop.toml".to_owned(), shop.into_bytes());
    assert!(read_files(&files).unwrap_err().to_string().contains("is not a mitre"));
}

/// W1: a standard for glass as a maker repeats it, 2.5 kg for a square metre and a millimetre.
/// W2: a maker's specific gravity of acrylic, computed. Neither is typed: it follows from the
/// thickness, until somebody weighs a sheet.
#[test]
fn glazing_weighs_what_its_thickness_says() {
    let (shop, _) = sheet(FRAME, &panel("1/4", "1 kg", "", ""));
    let weighs = |of: &str, thick: &str, typed: Option<&str>| {
        let weight = typed.map(kg);
        ShopMaterial { thick: Some(mm(thick)), weight, ..shop.materials[of].clone() }.weighs()
    };
    for (of, thick, weight) in [
        ("GLASS", "2", "5 kg"),
        ("GLASS", "2.5", "6.25 kg"),
        ("GLASS", "3", "7.5 kg"),
        ("PLEX", "3", "3.57 kg"),
        ("PLEX", "6", "7.14 kg"),
    ] {
        assert_eq!(weighs(of, thick, None), Some(kg(weight)), "{of} {thick}");
    }
    assert_eq!(weighs("GLASS", "4.4", Some("11 kg")), Some(kg("11 kg")));
}

/// L1: a maker of lamps prints that dose is light times hours: 50 lux for ten hours as 250 for
/// two.
#[test]
fn the_dose_of_light_is_told_as_it_is() {
    let told = said(&sheet(FRAME, &panel("1/4", "1 kg", "", "")));
    assert!(told.contains("250 lux for 2 hours fade as much as 50 lux for 10"), "{told}");
    assert_eq!(250 * 2, 50 * 10);
}

/// Hangers that nobody weighed are in no sum, and that is said; of those that somebody did,
/// nothing is.
#[test]
fn hangers_that_are_not_weighed_are_named() {
    let weighed = sheet(FRAME, &panel("1/4", "1 kg", "", ""));
    assert_eq!(weighed.1.heft.not_counted, [""; 0]);
    let to = ("RING,hanger,,,,5 g", "RING,hanger,,,,");
    let bare = with(&panel("1/4", "1 kg", "", ""), "materials.csv", to);
    assert_eq!(bare.1.heft.not_counted, ["two of RING"]);
    let less = weighed.1.heft.total.unwrap().ug() - bare.1.heft.total.unwrap().ug();
    assert_eq!(less, kg("10 g").ug());
    assert!(said(&bare).contains("not counted two of RING: write their weight"), "{}", said(&bare));
}

/// Paper is a sheet up to 1 mm; what is thicker is asked for its weight like a panel.
#[test]
fn thick_paper_is_weighed_like_a_panel() {
    let of = |thick: &str, weight: &str| {
        sheet(FRAME, &format!("1,paper,24,36,{thick},{weight},,,edge,,,,,,,THIN,,PLEX,,FOAM,,,\n"))
    };
    for thick in ["", "0.3 mm", "1 mm"] {
        let (_, thin) = of(thick, "");
        assert!(thin.heft.total.is_some(), "{thick}");
        assert!(!thin.heft.parts.iter().any(|part| part.what == "the art (paper)"), "{thick}");
    }
    for thick in ["1.001 mm", "1/2", "2"] {
        let board = of(thick, "");
        assert_eq!((board.1.heft.total, &board.1.hanging.hooks), (None, &None), "{thick}");
        let words = said(&board);
        assert!(words.contains("the art (paper): weigh it and write art_weight"), "{words}");
        let (_, weighed) = of(thick, "5 kg");
        assert_eq!(part(&weighed, "the art (paper)"), Some(kg("5 kg")), "{thick}");
    }
}

/// A packet's load is never said to be more than it prints, and of a wire both that it prints
/// are said: 30 pounds are 13.608 kg. Four times 16 pounds are less than the 68 it breaks at.
#[test]
fn what_is_to_be_looked_for_on_a_packet_is_said_as_it_prints_it() {
    let of = |from: &str, to: &str| {
        said(&with(&panel("1/4", "1 kg", "wire", ""), "materials.csv", (from, to)))
    };
    let ring = of("RING,hanger,,,,5 g,,0.20,piece,60 lb", "RING,hanger,,,,5 g,,0.20,piece,30 lb");
    assert!(ring.contains("wanted, 13.6 kg (30.0 lb) on its packet"), "{ring}");
    assert!(ring.contains("its packet says 30.8 kg (68.0 lb) take"), "{ring}");
    let wire = "BRAID,wire,,,,8 g,,0.10,ft,,68 lb";
    for (load, words) in [
        (
            "16 lb",
            "30.8 kg (68.0 lb), and a load of 7.2 kg (16.0 lb), of which no more than 4 times",
        ),
        ("17 lb", "30.8 kg (68.0 lb), and a load of 7.7 kg (17.0 lb) take"),
    ] {
        let wire = of(wire, &wire.replace("ft,,", &format!("ft,{load},")));
        assert!(wire.contains(words), "{words}: {wire}");
    }
}
