//! What is pointed at, each with a neighbour that it is not said of; and figures of whole
//! jobs, worked out on paper.

use jiff::civil::date;
use longpoint::chop::schedule;
use longpoint::job::thickness;
use longpoint::measure::{Mitre, Unit, Weight};
use longpoint::morning::plan;
use longpoint::quote::{Quote, Wish, WishedLayer, quote};
use longpoint::rails::frame_rails;
use longpoint::report::{
    files as written, job_text, jobs_today, quote_json, quote_table, quote_text,
};
use longpoint::shop::{Hang, read_files, read_pieces};
use longpoint::solve::Limits;
use longpoint::ticket::{
    Concern, JobSheet, PieceOf, PieceSize, cautions, disagreements, job_price, pieces_price, steps,
};

use crate::folder::{TODAY, data, faults, files, of, sheet};
use crate::size::{inch, inches, kg, mm};

fn names(sheet: &JobSheet) -> Vec<&'static str> {
    sheet.concerns.iter().map(Concern::name).collect()
}

/// A frame and a job that are fine, and one cell otherwise.
#[test]
fn each_concern_is_said_of_what_it_is_about_and_of_nothing_else() {
    // A window of 8 x 10 in PINE, mat, glass, mount, foam: 1/16 + 2 mm + .3 + 1/16 + 3/16.
    const FRAME: &str = "1,,PINE,,,,,,\n";
    const PANEL: &str = "1,panel,8,10,1/4,1 kg,,,,,,,,,,,,,,,,,\n";
    let fine = "1,paper,8,10,,,,,,,,,,WHITE,,,,GLASS,,FOAM,,,hinge\n";
    let of = |frame: &str, job: &str| names(&sheet(frame, job).1);
    assert_eq!(of(FRAME, fine), Vec::<&str>::new());
    for (name, frame, job) in [
        ("thick", "1,,LOW,,,,,,\n", fine),
        ("touch", FRAME, "1,paper,18,24,,,,,edge,,,,,,,,,GLASS,,FOAM,straps,,\n"),
        ("falls through", FRAME, "1,paper,8,10,,,,,,1/16,,,,WHITE,,,,GLASS,,FOAM,,,\n"),
        ("strip shows", FRAME, "1,paper,8,10,,,,,edge,,,,,,,WIDE STRIP,,GLASS,,,,,\n"),
        ("strip shows", FRAME, "1,paper,8,10,,,,,,,,,,WHITE,,WIDE STRIP,,GLASS,,FOAM,,,\n"),
        (
            "strip shows",
            FRAME,
            "1,object,4,4,1/8,1 g,,,float,,1/2,,,WHITE,,WIDE STRIP,,GLASS,,,,,\n",
        ),
        ("glass large", FRAME, "1,paper,36,38,,,,,,,,,,WHITE,,,,GLASS,,FOAM,straps,,\n"),
        ("light too big", FRAME, "1,paper,38,56,,,,,,,,,,WHITE,,,,SAFE,,FOAM,straps,,\n"),
        ("board too big", FRAME, "1,paper,38,56,,,,,,,,,,WHITE,,,,SAFE,,FOAM,straps,,\n"),
        ("border thin", "1,,WIDE,,,,,,\n", fine),
        ("touch", FRAME, "1,object,8,10,1/2,1 kg,,,float,,,,,,,THIN,1/2,GLASS,,FOAM,,,\n"),
        ("falls through", "1,,PINE,8 1/4,10,,,,\n", PANEL),
        ("loose", "1,,PINE,8 1/8,10,,,,\n", PANEL),
        ("acrylic tight", FRAME, "1,paper,160,20,,,,,edge,,,,,,,THIN,,PLEX,,,,,\n"),
        ("narrow", "1,,SLIM,,,,,,\n", PANEL),
        ("narrow", "1,,FLOAT,,,,,1/4,\n", "1,canvas,8,10,3/4,1 kg,,,,,,,,,,,,,,,,,\n"),
        ("wire shows", FRAME, "1,panel,8,4,1/4,1 kg,,,,,,,,,,,,,,,wire,,\n"),
        ("glass large", FRAME, "1,mirror,36,44,2 mm,,,,,,,,,,,,,,,,straps,,\n"),
        ("over people", FRAME, "1,mirror,8,10,4 mm,,,,,,,,,,,,,,,,straps,child,\n"),
        ("quake", FRAME, "1,mirror,26,30,4 mm,,,,,,,,,,,,,,,,straps,quake,\n"),
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
        ("hook weak", FRAME, "1,panel,18,24,1/4,60 kg,,,,,,,,,,,,,,,straps,,\n"),
        ("hanger weak", FRAME, "1,panel,18,24,1/4,60 kg,,,,,,,,,,,,,,,straps,,\n"),
        ("wire weak", FRAME, "1,panel,18,24,1/4,2 kg,,,,,,,,,,,,,,,cord,,\n"),
        ("no rating", FRAME, "1,panel,18,24,1/4,60 kg,,,,,,,,,,,,,,,straps,,\n"),
    ] {
        let found = of(frame, job);
        assert!(found.contains(&name), "{name}: {found:?}");
    }
    for (name, frame, job) in [
        ("thick", "1,,DEEP,,,,,,\n", fine),
        ("touch", FRAME, "1,paper,18,24,,,,,edge,,,,,,,THIN,,GLASS,,FOAM,,,\n"),
        ("strip shows", FRAME, "1,paper,8,10,,,,,edge,,,,,,,THIN,,GLASS,,,,,\n"),
        ("strip shows", FRAME, "1,paper,8,10,,,,,,,,,,WHITE,,THIN,,GLASS,,FOAM,,,\n"),
        ("glass large", FRAME, "1,paper,36,38,,,,,,,,,,WHITE,,,,SAFE,,FOAM,,,\n"),
        ("light too big", FRAME, "1,paper,30,38,,,,,,,,,,WHITE,,,,SAFE,,FOAM,,,\n"),
        ("board too big", FRAME, "1,paper,30,38,,,,,,,,,,WHITE,,,,SAFE,,FOAM,,,\n"),
        ("touch", FRAME, "1,object,8,10,1/8,1 kg,,,float,,,,,,,THIN,1/2,GLASS,,FOAM,,,\n"),
        ("falls through", "1,,PINE,8 1/8,10,,,,\n", PANEL),
        ("falls through", "1,,FLOAT,9,11,,,1/4,\n", PANEL),
        ("loose", "1,,PINE,8,10,,,,\n", PANEL),
        ("acrylic tight", FRAME, "1,paper,96,20,,,,,edge,,,,,,,THIN,,PLEX,,,,,\n"),
        ("narrow", FRAME, PANEL),
        ("narrow", "1,,SLIM,,,,,,\n", "1,panel,8,10,1/4,1 kg,,,,,,,,,,,,,,,security,,\n"),
        ("wire shows", FRAME, "1,panel,8,4,1/4,1 kg,,,,,,,,,,,,,,,straps,,\n"),
        ("wire flat", FRAME, PANEL),
        ("hook weak", FRAME, PANEL),
        ("hanger weak", FRAME, PANEL),
        ("wire weak", FRAME, PANEL),
        ("over people", FRAME, "1,mirror,8,10,4 mm,,,,,,,,,,,,,,,,straps,masonry,\n"),
        ("glass large", FRAME, "1,mirror,36,44,4 mm,,,,,,,,,,,,,,,,straps,,\n"),
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
    assert_eq!((hanging.down, hanging.inset), (inch("7 7/8"), inch("7/8")));
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

/// A quarter of an inch smaller where nothing is said, as M10 of `package.rs` has it; full size
/// for a machine, as another framer's page says.
#[test]
fn an_undermat_is_as_much_smaller_as_the_shop_cuts_it() {
    let job = "1,paper,8,10,,,,,,,,2,,WHITE; BLACK MAT 1/4,,,,GLASS,MOUNT,FOAM,,,\n";
    for (wanted, less) in
        [("", "1/4"), ("undermat = \"0\"\n", "0"), ("undermat = \"3/16\"\n", "3/16")]
    {
        let mut files = files("1,,WIDE,,,,,,\n", job);
        let text = String::from_utf8(files["shop.toml"].clone()).unwrap();
        let text = text.replace("[job]\n", &format!("[job]\n{wanted}"));
        files.insert("shop.toml".to_owned(), text.into_bytes());
        let sheet = of(&read_files(&files).unwrap(), "1");
        let size = |at: usize| match sheet.pieces[at].size {
            PieceSize::Sheet(width, height) => (width, height),
            _ => panic!("{:?}", sheet.pieces[at]),
        };
        assert_eq!(sheet.pieces[1].what, PieceOf::Mat(2));
        assert_eq!((size(0).0 - size(1).0, size(0).1 - size(1).1), inches(less, less), "{wanted}");
    }
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
    let files = written(&plan, &shop, &schedule(&plan, &shop));
    for name in ["jobs.html", "jobs.csv", "pieces.csv"] {
        assert!(files.iter().any(|(file, _)| file == name), "{name}");
    }
}

/// A frame of 16 x 20 in, or all of a job, in a moulding.
fn wish(moulding: &str, job: Option<&str>) -> Wish {
    Wish {
        layers: vec![WishedLayer { moulding: moulding.to_owned(), gap: inch("0"), match_: None }],
        width: inch("16"),
        height: inch("20"),
        mitre: Mitre::SQUARE,
        copies: 1,
        due: None,
        job: job.map(str::to_owned),
    }
}

/// A job quoted in another moulding: its float follows the lip, and the price has all of it.
#[test]
fn a_job_is_quoted_in_other_mouldings() {
    let shop = data("demo");
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
    // What its job is to be looked at for is said: the gilded rabbet is too shallow for it.
    let names = |quote: &Quote| quote.concerns.iter().map(Concern::name).collect::<Vec<_>>();
    let black = quoted("BLK-32", Some("4102"));
    assert!(names(&gilded).contains(&"thick") && !names(&black).contains(&"thick"));
    let said = quote_text::quote(&gilded, None, TODAY, false, &shop);
    assert!(said.contains("Look at:     ") && said.contains("thick: The package wants"), "{said}");
    let json = quote_json::quotes(std::slice::from_ref(&gilded), None, TODAY, &shop);
    assert!(json.contains("look_at") && json.contains("\"thick\""));
    let table = quote_table::side_by_side(&[gilded, black], None, TODAY, &shop);
    assert!(table.contains("look at: ") && table.contains("thick"), "{table}");
}

/// Glue that sets for longer than the bench takes makes the promise of a job later, and of
/// a frame without a job not.
#[test]
fn glue_makes_a_promise_later() {
    let ready = |hours, job: Option<&str>| {
        let mut shop = data("demo");
        shop.settings.job.glue_hours = hours;
        let limits = Limits { work: 2_000, deadline: None, stop: None, watch: None };
        quote(&shop, &wish("BLK-32", job), TODAY, limits, false).unwrap().promise.unwrap().ready
    };
    let (usual, long) = (ready(24, Some("4102")), ready(240, Some("4102")));
    assert!(long > usual && long >= date(2026, 12, 5), "{usual} {long}");
    assert_eq!(ready(24, None), ready(240, None));
}

/// A shop that has not weighed its hardware is told no weight, and nothing is chosen.
#[test]
fn what_is_not_weighed_hangs_from_nothing() {
    let job = "1,panel,8,10,1/4,1 kg,,,,,,,,,,,,,,,wire,,\n";
    let mut files = files("1,,PINE,,,,,,\n", job);
    let with = read_files(&files).unwrap();
    assert!(of(&with, "1").hanging.wire.is_some());
    let text = String::from_utf8(files["shop.toml"].clone()).unwrap();
    let text = text.replace("[job]\nhardware = \"1 g\"\n", "");
    files.insert("shop.toml".to_owned(), text.into_bytes());
    let without = of(&read_files(&files).unwrap(), "1");
    assert_eq!((without.heft.total, &without.hanging.wire), (None, &None));
    let said = without.concerns.iter().map(|concern| concern.words(&with.settings.style()));
    assert!(said.collect::<String>().contains("hardware: write what screws"));
}

/// A mirror in a package that is larger weighs as much as the package holds, and one that
/// would fall out is refused.
#[test]
fn a_mirror_is_measured_again() {
    let job = "1,mirror,8,10,4 mm,,,,,,,,,,,,,,,,,,\n";
    let weight = |frame: &str| {
        let sheet = sheet(frame, job).1;
        sheet.heft.parts.iter().find(|part| part.what == "the art (mirror)").unwrap().weight
    };
    assert!(weight("1,,PINE,8 1/8,10 1/8,,,,\n") > weight("1,,PINE,,,,,,\n"));
    let said = faults("1,,PINE,8 3/8,10 3/8,,,,\n", job).to_string();
    assert!(said.contains("row 2, art_width: \"8\" is no more than is seen"), "{said}");
}

/// What a floater does not say is said: no bending, no screw into its wall; its diagonals
/// are as true as any frame's.
#[test]
fn a_floater_says_what_is_not_known_of_it() {
    let (shop, sheet) =
        sheet("1,,FLOAT,,,,,1/4,\n", "1,canvas,12,48,3/4,2 kg,,,,,,,,,,,,,,,wire,,\n");
    let text = job_text::job(&sheet, true, &shop);
    for words in ["bending       not estimated", "screws        as long as", "the floater's base"] {
        assert!(text.contains(words), "{words}: {text}");
    }
    assert!(sheet.corners.diagonals < inch("1/32") && sheet.corners.diagonals > inch("0"));
    assert!(text.contains("may differ by 1/64 in (0.7 mm)"), "{text}");
}

/// What is not measured takes what is usual of the depth, and says so; it is not weighed.
#[test]
fn a_usual_thickness_is_said_to_be_one() {
    let job = "1,paper,8,10,,,,,,,,,,WHITE,,,,GLASS,,FOAM,,,\n";
    let mut files = files("1,,PINE,,,,,,\n", job);
    let text = String::from_utf8(files["materials.csv"].clone()).unwrap();
    let text = text.replace("GLASS,glass,,2 mm", "GLASS,glass,,");
    files.insert("materials.csv".to_owned(), text.into_bytes());
    let shop = read_files(&files).unwrap();
    let sheet = of(&shop, "1");
    let measured = self::sheet("1,,PINE,,,,,,\n", job).1;
    assert_eq!(sheet.depth.thickness, measured.depth.thickness);
    assert!(sheet.heft.total.is_none() && measured.heft.total.is_some());
    let text = job_text::job(&sheet, true, &shop);
    assert!(text.contains("GLASS, as usual and not measured: 3/32 in (2 mm)"), "{text}");
}

/// What a job has not is no step of it, and where it hangs decides what is minded.
#[test]
fn steps_and_cautions_are_the_jobs_own() {
    let said = |frame: &str, job: &str| {
        let (shop, sheet) = sheet(frame, job);
        let all = [steps(&sheet, &shop), cautions(&sheet, &shop)].concat();
        all.join("\n")
    };
    const FRAME: &str = "1,,PINE,,,,,,\n";
    for (frame, job, has, has_not) in [
        (
            FRAME,
            "1,mirror,8,10,4 mm,,,,,,,,,,,,,,,FOAM,security,public,\n",
            "Fit the security set",
            "Fix the hangers",
        ),
        (
            FRAME,
            "1,mirror,8,10,4 mm,,,,,,,,,,,,,,,FOAM,,masonry,\n",
            "drilled and plugged",
            "mount the art",
        ),
        (
            FRAME,
            "1,mirror,8,10,4 mm,,,,,,,,,,,,,,,FOAM,,masonry,\n",
            "Glass cuts, and a mirror is glass: gloves",
            "Acrylic",
        ),
        (
            FRAME,
            "1,panel,8,10,4 mm,1 kg,,,,,,,,,,,,,,FOAM,,masonry,\n",
            "drilled and plugged",
            "Glass cuts",
        ),
        (
            FRAME,
            "1,mirror,8,10,4 mm,,,,,,,,,,,,,,,FOAM,straps,public,\n",
            "security set of three points",
            "Fit the security set",
        ),
        (
            FRAME,
            "1,none,8,10,,,,,,,,,,,,,,,,,cleat,stud,\n",
            "Fix the cleat's bar",
            "Look the art over",
        ),
        (
            FRAME,
            "1,panel,8,10,1/4,1 kg,,,,,,,,,,,,,,,strut,,\n",
            "Fix the strut",
            "Two points on the frame",
        ),
        (
            FRAME,
            "1,paper,8,10,,,,,,,,,,WHITE,,,,GLASS,MOUNT,FOAM,,rail,\n",
            "From the picture rail",
            "A stud or masonry",
        ),
        (
            FRAME,
            "1,paper,44,52,,,,,edge,,,,,,,THIN,,PLEX,MOUNT,,,,\n",
            "spaced well away",
            "Mat knives",
        ),
        (
            FRAME,
            "1,paper,37,38,,,,,edge,,,,,,,THIN,,SAFE,MOUNT,,,,\n",
            "Glass over three feet",
            "spaced well away",
        ),
        (
            "1,,FLOAT,,,,,1/4,\n",
            "1,canvas,8,10,3/4,1 kg,,,,,,,,,,,,,,,,,\n",
            "turn-buttons",
            "offset clips",
        ),
    ] {
        let all = said(frame, job);
        assert!(all.contains(has) && !all.contains(has_not), "{has}, {has_not}: {all}");
    }
}

/// A list of pieces is held against the jobs of its tickets.
#[test]
fn a_list_that_is_not_its_jobs_is_said() {
    let (shop, sheet) = sheet("1,,PINE,,,,,,\n", "1,paper,8,10,,,,,,,,,,WHITE,,,,GLASS,,FOAM,,,\n");
    let said = |list: &str| {
        let list = format!("ticket,material,what,width,height,count,turn\n{list}");
        let pieces = read_pieces(("list.csv", list.as_bytes()), &shop).unwrap();
        disagreements((&shop, std::slice::from_ref(&sheet)), &pieces, &shop.settings.style())
    };
    // 8 x 10 less an eighth all round, and two inches of border.
    let fine =
        "1,GLASS,glass,11 3/4,13 3/4,,\n1,FOAM,backing,13 3/4,11 3/4,,\n9,GLASS,glass,5,7,,\n";
    assert_eq!(said(fine), Vec::<String>::new());
    assert_eq!(said("1,GLASS,acrylic,11 3/4,13 3/4,,\n"), Vec::<String>::new());
    assert_eq!(
        said(
            "1,GLASS,glass,16,20,,\n1,SAFE,glass,11 3/4,13 3/4,,\n1,FOAM,backing,13 3/4,11 3/4,,no\n"
        ),
        [
            "1 glazing: 16 x 20 in of GLASS in the list, 11 3/4 x 13 3/4 in of GLASS by its job",
            "1 glazing: 11 3/4 x 13 3/4 in of SAFE in the list, 11 3/4 x 13 3/4 in of GLASS by its job",
            "1 backing: 13 3/4 x 11 3/4 in of FOAM in the list, 11 3/4 x 13 3/4 in of FOAM by its job",
        ]
    );
    assert_eq!(
        said("1,FOAM,mount,5,7,,\n1,GLASS,glass,11 3/4,13 3/4,2,\n"),
        [
            "1 mount: 5 x 7 in of FOAM in the list, none by its job",
            "1 glazing: 2 in the list, 1 by its job"
        ]
    );
}
