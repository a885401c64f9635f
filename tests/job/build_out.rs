//! Build-outs that jobs add by themselves, where `[job]` of `shop.toml` wants that.

use longpoint::measure::Length;
use longpoint::rails::frame_rails;
use longpoint::report::{job_html, job_text};
use longpoint::shop::{Shop, read_files, write};
use longpoint::ticket::JobSheet;

use crate::folder::{Files, TODAY, files, of};
use crate::size::inch;

/// A panel of 8 x 16 so thick, of 1 kg.
fn panel(thick: &str) -> String {
    format!("1,panel,8,16,{thick},1 kg,,,,,,,,,,,,,,,,,\n")
}

/// Three heights of build-out, and a saw that cuts square.
fn with(frames: &str, jobs: &str, wanted: &str) -> Files {
    let mut files = files(frames, jobs);
    let mut more = |name: &str, from: &str, to: &str| {
        let text = String::from_utf8(files[name].clone()).unwrap();
        assert!(text.contains(from), "{from}");
        files.insert(name.to_owned(), text.replace(from, to).into_bytes());
    };
    let strips = "PINE,3/4,1/4,9/16,108,1.20,ft,,15/16,,,pine\n\
                  B4,3/8,,,96,0.40,ft,build-out,1/4,,,poplar\n\
                  B6,3/8,,,96,0.50,ft,build-out,3/8,,,poplar\n\
                  B12,5/8,,,96,0.60,ft,build-out,3/4,,,poplar\n";
    more("mouldings.csv", "PINE,3/4,1/4,9/16,108,1.20,ft,,15/16,,,pine\n", strips);
    more("shop.toml", "hardware = \"1 g\"", &format!("hardware = \"1 g\"\n{wanted}"));
    files
}

fn read(files: &Files) -> Shop {
    read_files(files).unwrap_or_else(|faults| panic!("{faults}"))
}

/// The codes of the layers of the only ticket.
fn layers(frames: &str, jobs: &str, wanted: &str) -> Vec<String> {
    let shop = read(&with(frames, jobs, wanted));
    shop.frames[0].layers.iter().map(|layer| layer.moulding.clone()).collect()
}

const YES: &str = "build_out = \"yes\"";

/// PINE takes 9/16, and 1/16 of that is for the points: 1/2 fits, 9/16 wants 1/16 more.
#[test]
fn the_lowest_strip_that_makes_room_is_a_layer() {
    let of = |thick: &str| layers("1,,PINE,,,,,,\n", &panel(thick), YES);
    assert_eq!(of("1/2"), ["PINE"]);
    assert_eq!(of("9/16"), ["PINE", "B4"]);
    assert_eq!(of("3/4"), ["PINE", "B4"]);
    assert_eq!(of("49/64"), ["PINE", "B6"]);
    // B12 would be seen behind PINE; of WIDE, which takes 3/4, it would not.
    assert_eq!(of("1"), ["PINE"]);
    assert_eq!(layers("1,,WIDE,,,,,,\n", &panel("1 7/16"), YES), ["WIDE", "B12"]);
}

#[test]
fn nothing_is_added_unless_it_is_wanted() {
    for wanted in ["", "build_out = \"no\""] {
        assert_eq!(layers("1,,PINE,,,,,,\n", &panel("3/4"), wanted), ["PINE"]);
    }
}

/// Its rabbet is deep enough with it; what was typed behind counts first.
#[test]
fn what_is_typed_counts_first() {
    let typed = "1,1,PINE,,,,,,\n1,2,B4,,,,,,\n";
    assert_eq!(layers(typed, &panel("3/4"), YES), ["PINE", "B4"]);
    assert_eq!(layers(typed, &panel("1"), YES), ["PINE", "B4", "B4"]);
    // A package that the ticket says is thicker than it is.
    assert_eq!(layers("1,,PINE,,,,,,3/4\n", &panel("1/4"), YES), ["PINE", "B4"]);
}

#[test]
fn nothing_is_built_out_behind_a_canvas_or_a_floater() {
    let canvas = panel("1 1/2").replace("panel", "canvas");
    assert_eq!(layers("1,,PINE,,,,,,\n", &canvas, YES), ["PINE"]);
    assert_eq!(layers("1,,FLOAT,,,,,1/4,\n", &panel("2"), YES), ["FLOAT"]);
}

/// A saw that cuts no square ends, or nothing so short, cuts no strip: then it is said as
/// before, and the frame is not held for it.
#[test]
fn a_saw_that_cannot_cut_it_is_not_asked_to() {
    let job = panel("3/4");
    assert_eq!(layers("1,,PINE,,,,,,\n", &job, &format!("{YES}\n")), ["PINE", "B4"]);
    for saw in ["mitres = \"45\"", "shortest = \"9\""] {
        let mut files = with("1,,PINE,,,,,,\n", &job, YES);
        let text = String::from_utf8(files["shop.toml"].clone()).unwrap();
        let text = match saw.starts_with("shortest") {
            true => text.replace("shortest = \"4\"", saw),
            false => text + saw + "\n",
        };
        files.insert("shop.toml".to_owned(), text.into_bytes());
        let shop = read(&files);
        assert_eq!(shop.frames[0].layers.len(), 1, "{saw}");
        let said = job_text::job(&of(&shop, "1"), false, &shop);
        assert!(said.contains("! thick: "), "{said}");
    }
}

/// It is cut and shown as one that was typed would be, and where there is a fillet it lies
/// behind that. Computed: PINE's rabbet is 8 1/8 x 16 1/8 open.
#[test]
fn it_is_cut_as_one_that_was_typed() {
    let by_itself = read(&with("1,,PINE,,,,,,\n", &panel("3/4"), YES));
    let typed = read(&with("1,1,PINE,,,,,,\n1,2,B4,,,,,,\n", &panel("3/4"), ""));
    let lengths = |shop: &Shop| -> Vec<Vec<Length>> {
        let rails = frame_rails(shop, &shop.frames[0]);
        rails.iter().map(|of| of.rails.iter().map(|rail| rail.long_point).collect()).collect()
    };
    assert_eq!(lengths(&by_itself), lengths(&typed));
    let mut strips = lengths(&by_itself)[1].clone();
    strips.sort();
    assert_eq!(strips, ["8 7/8", "8 7/8", "16 1/8", "16 1/8"].map(inch));
    let sheet = of(&by_itself, "1");
    assert_eq!(sheet.depth.rabbet, Some(inch("13/16")));
    assert_eq!(sheet.heft.total, of(&typed, "1").heft.total);
    let said = job_text::job(&sheet, true, &by_itself);
    assert!(said.contains("B4 behind, 1/4 in high, added by itself"), "{said}");
    assert!(said.contains("Glue and screw the build-out"), "{said}");
    assert!(!said.contains("! thick"), "{said}");
    // A window with a fillet: glass, two boards and the bead are 2 mm + 1/16 + 3/16 + 5/16.
    let window = "1,paper,8,10,,,,,,,,,,WHITE,BEAD,,,GLASS,,FOAM,,,\n";
    assert_eq!(layers("1,,PINE,,,,,,\n", window, YES), ["PINE", "BEAD", "B4"]);
}

/// What was added is not written into a `frames.csv`, and follows again when that is read.
#[test]
fn what_follows_is_not_written_down() {
    let window = "1,paper,8,10,,,,,,,,,,WHITE,BEAD,,,GLASS,,FOAM,,,\n";
    for job in [panel("3/4"), window.to_owned()] {
        let mut files = with("1,,PINE,,,,,,\n", &job, YES);
        let shop = read(&files);
        let written = write::frames(&shop);
        assert_eq!(written.lines().count(), 2, "{written}");
        files.insert("frames.csv".to_owned(), written.into_bytes());
        assert_eq!(read(&files).frames[0].layers, shop.frames[0].layers);
    }
}

/// A liner of so much height, with a rabbet of 3/8, in a frame whose rabbet is 1/2 deep.
fn stack(height: &str, job: &str, wanted: &str) -> (Shop, JobSheet) {
    let mut files = with("1,1,LINER,,,,,,\n1,2,GILT,,,,,,\n", job, wanted);
    let mouldings = String::from_utf8(files["mouldings.csv"].clone()).unwrap();
    let more = format!(
        "LINER,3/4,1/4,3/8,96,1.95,ft,,{height},,,pine\n\
         GILT,2,3/8,1/2,108,6.75,ft,,1 1/4,,,pine\n\
         GILT-D,2,3/8,1 1/16,108,6.75,ft,,1 3/4,,,pine\n\
         GILT-S,2,3/8,1,108,6.75,ft,,1 3/4,,,pine\n\
         B16,3/8,,,96,0.60,ft,build-out,1,,,poplar\n"
    );
    files.insert("mouldings.csv".to_owned(), (mouldings + &more).into_bytes());
    let shop = read(&files);
    let sheet = of(&shop, "1");
    (shop, sheet)
}

/// By hand: the liner's lip of 1/4, the panel of 3/4 and the points' 1/16 are 1 1/16, and of
/// that the frame's rabbet holds 1/2: 9/16 are built out, and not the liner's own 7/16.
#[test]
fn a_stack_is_as_deep_as_its_layers_ask() {
    let (shop, sheet) = stack("5/8", &panel("3/4"), "");
    assert_eq!(sheet.depth.build_out.as_ref().unwrap().least, inch("9/16"));
    assert_eq!(sheet.depth.outer[0].holds, Some(inch("1")));
    let said = job_text::job(&sheet, true, &shop);
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    let thick = "What lies in GILT, the layers within it too, wants 1 1/16 in of depth with its \
                 points, and the rabbet has 1/2 in";
    assert!(said.contains(thick), "{said}");
    assert!(said.contains("Set LINER into GILT"), "{said}");
    // No deeper frame helps, as long as the liner's own rabbet is too shallow.
    assert_eq!(sheet.depth.would_do, Vec::<String>::new());
    let (_, fits) = stack("5/8", &panel("1/4"), "");
    assert_eq!(fits.depth.build_out.as_ref().unwrap().least, inch("3/16"));
    assert!(fits.depth.would_do.contains(&"GILT-D".to_owned()), "{:?}", fits.depth.would_do);
}

/// Computed: 2 of liner and 1/16 for the points in 1/2.
#[test]
fn a_liner_that_stands_out_behind_its_frame_is_said_of() {
    for job in [panel("1/8"), panel("1/8").replace("panel", "canvas"), panel("")] {
        let (shop, sheet) = stack("2", &job, "");
        assert_eq!(sheet.depth.build_out.as_ref().unwrap().least, inch("1 9/16"), "{job}");
        let said = job_text::job(&sheet, true, &shop);
        assert!(said.contains("! thick: What lies in GILT"), "{said}");
    }
}

/// What is added by itself makes room for all of the stack: B12 would be seen behind no GILT.
#[test]
fn a_stack_is_built_out_behind_its_outermost_layer() {
    let (shop, sheet) = stack("5/8", &panel("3/4"), YES);
    let codes = shop.frames[0].layers.iter().map(|layer| layer.moulding.as_str());
    assert_eq!(codes.collect::<Vec<_>>(), ["LINER", "GILT", "B12"]);
    assert!(sheet.depth.build_out.is_none());
    assert!(!job_text::job(&sheet, true, &shop).contains("! thick"));
    // 15/16 behind the lip of 1/4 in 1/2, and 1/16 for the points: 13/16 want B16.
    let (shop, _) = stack("5/8", &panel("1"), YES);
    assert_eq!(shop.frames[0].layers[2].moulding, "B16");
}

/// How high the shapes of a class are in the section of a job, on its page.
fn drawn(page: &str, class: &str) -> Vec<f64> {
    let section = page.rsplit("<svg class=\"jobdraw\"").next().unwrap();
    let section = section.split("</svg>").next().unwrap();
    let shapes = section.lines().filter(|line| line.contains(&format!("class=\"{class}\"")));
    let high = shapes.map(|line| match line.split("height=\"").nth(1) {
        Some(rect) => rect.split('"').next().unwrap(),
        // The last way down of an outline is its back.
        None => line.rsplit('V').next().unwrap().split('H').next().unwrap(),
    });
    high.map(|high| high.parse().unwrap()).collect()
}

/// Only the liner was drawn, without the frame that it lies in. Computed: GILT is twice as high
/// as the liner, and B12 three fifths of it.
#[test]
fn a_section_is_drawn_through_every_moulding_of_a_stack() {
    let (shop, sheet) = stack("5/8", &panel("3/4"), YES);
    let page = job_html::jobs(&[sheet], &[], TODAY, &shop);
    let (wood, out) = (drawn(&page, "wood"), drawn(&page, "out"));
    let ([gilt, liner], [strip]) = (&wood[..], &out[..]) else { panic!("{wood:?} {out:?}") };
    assert!((gilt / liner - 2.0).abs() < 0.01 && (strip / gilt - 0.6).abs() < 0.01, "{wood:?}");
    // A fillet lies in the package, and is cut from its own moulding.
    let job = "1,paper,8,10,,,,,,,,,,WHITE,BEAD,,,GLASS,MOUNT,FOAM,,,\n";
    let (shop, sheet) = stack("5/8", job, "");
    let page = job_html::jobs(&[sheet], &[], TODAY, &shop);
    let wood = drawn(&page, "wood");
    let [gilt, _, bead] = &wood[..] else { panic!("{wood:?}") };
    // BEAD is 5/16 high, a quarter of GILT.
    assert!((bead / gilt - 0.25).abs() < 0.01, "{wood:?}");
}

/// Bars stand out behind the frame by the liner's lip, too: 1/4 and 1 1/2, less 1/2.
#[test]
fn clips_reach_over_the_whole_of_a_stack() {
    let canvas = panel("1 1/2").replace("panel", "canvas");
    assert_eq!(stack("5/8", &canvas, "").1.depth.clips, Some(inch("1 1/4")));
}
