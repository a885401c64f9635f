//! What stands on a job's lists: what it takes, and nothing that it does not.

use longpoint::job::hanging::cleat_bar;
use longpoint::report::{job_csv, job_text};
use longpoint::ticket::{JobSheet, PieceOf, PieceSize, steps, tell};

use crate::folder::{faults, sheet};
use crate::size::{inch, mm};

const FRAME: &str = "1,,PINE,,,,,,\n";

fn pieces(sheet: &JobSheet) -> Vec<PieceOf> {
    sheet.pieces.iter().map(|piece| piece.what).collect()
}

/// An empty frame has no package: nothing to drive points into, to fill, or to cover, and
/// nothing that fades.
#[test]
fn an_empty_frame_takes_its_fixings_alone() {
    let (shop, empty) = sheet(FRAME, "1,none,8,10,,,,,,,,,,,,,,,,,wire,,\n");
    assert_eq!(pieces(&empty), [PieceOf::Hanger, PieceOf::Wire, PieceOf::Hook]);
    assert_eq!((empty.depth.filler, empty.depth.thickness), (None, None));
    assert!(empty.concerns.is_empty(), "{:?}", empty.concerns);
    let work = steps(&empty, &shop).join("\n");
    for word in ["package", "point", "dust cover", "rabbet"] {
        assert!(!work.contains(word), "{word}: {work}");
    }
    assert!(!tell(&empty, &shop).join("\n").contains("lux"));
    let text = job_text::job(&empty, false, &shop);
    assert!(!text.contains("thick") && text.contains("an empty frame for 8 x 10 in"), "{text}");
    // With a board in it there is something to hold.
    let (shop, backed) = sheet(FRAME, "1,none,8,10,,,,,,,,,,,,,,,,FOAM,wire,,\n");
    for what in [PieceOf::Point, PieceOf::DustCover] {
        assert!(pieces(&backed).contains(&what), "{what:?}");
    }
    assert!(steps(&backed, &shop).join("\n").contains("drive the points"));
}

/// Everything that the order of work fixes stands on the list of pieces as well.
#[test]
fn whatever_is_fixed_is_on_the_list() {
    let has = |job: &str, what: PieceOf, size: &str| {
        let (shop, sheet) = sheet(FRAME, job);
        assert!(pieces(&sheet).contains(&what), "{what:?}: {:?}", pieces(&sheet));
        assert!(job_csv::jobs(std::slice::from_ref(&sheet), &shop).contains(&what.words()));
        let text = job_text::job(&sheet, false, &shop);
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(text.contains(size), "{size}: {text}");
    };
    let mirror = "1,mirror,8,10,4 mm,,,,,,,,,,,,,,,FOAM";
    has(&format!("{mirror},security,public,\n"), PieceOf::SecuritySet, "security set");
    has(&format!("{mirror},strut,,\n"), PieceOf::Strut, "strut");
    let canvas = |bars: &str| format!("1,canvas,18,24,{bars},1 kg,,,,,,,,,,,,,,,straps,,\n");
    has(&canvas("1 1/2"), PieceOf::Clip, "4 x 15/16 in of offset, or the next one up");
    has(&canvas("1/2"), PieceOf::Plate, "plate or turn-button 4 x");
    has(&format!("{mirror},straps,masonry,\n"), PieceOf::Plug, "screwed into a plug");
    let (_, stud) = sheet(FRAME, &format!("{mirror},straps,stud,\n"));
    assert!(!pieces(&stud).contains(&PieceOf::Plug));
}

/// A cleat is called one, as long as the frame is wide less an inch at each side, 2 in below
/// its top: 20 + 1/8 + 2 x 1/2 is 21 1/8 outside, computed; the inch is our own figure.
#[test]
fn a_cleat_has_a_length_and_a_place() {
    let (shop, hung) = sheet(FRAME, "1,none,20,10,,,,,,,,,,,,,,,,,cleat,stud,\n");
    let bar = hung.pieces.iter().find(|piece| piece.what == PieceOf::Cleat).unwrap();
    assert_eq!(bar.size, PieceSize::Long(inch("19 1/8")));
    assert_eq!((hung.hanging.hooks_below, bar.count), (inch("2"), 1));
    assert!(!pieces(&hung).contains(&PieceOf::Hook));
    let text = job_text::job(&hung, false, &shop);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let said =
        "19 1/8 in long, the frame's width less 1 in at each side; its upper edge 2 in below";
    assert!(text.contains(said), "{text}");
    assert_eq!(cleat_bar(mm("600"), mm("25")), mm("550"));
    assert_eq!(cleat_bar(mm("80"), mm("25")), mm("40"), "a narrow frame has half of it");
}

/// A comma within a figure makes a cell too many: that is said, and where it may be, in place
/// of what the cells behind it are then read as.
#[test]
fn a_comma_within_a_figure_is_said() {
    let said = faults(FRAME, "1,panel,8,10,1/4,1,250 g,,,,,,,,,,,,,,,wire,,\n").to_string();
    assert!(said.contains("the row has 24 cells and the head 23"), "{said}");
    assert!(said.contains("a comma may stand too many in art_weight (1,250 g)"), "{said}");
    assert_eq!(said.lines().count(), 1, "{said}");
    // The last cell is filled, so that one stands beyond the head.
    let said = faults(FRAME, "1,panel,8,10,0,3,1 kg,,,,,,,,,,,,,,,wire,,trim\n").to_string();
    assert!(said.contains("the row has 24 cells and the head 23"), "{said}");
    assert!(said.contains("a comma may stand too many in art_thick (0,3)"), "{said}");
    assert_eq!(said.lines().count(), 1, "{said}");
    // In quotes it is one cell.
    let said = faults(FRAME, "1,panel,8,10,1/4,\"1,250 g\",,,,,,,,,,,,,,,wire,,\n").to_string();
    assert!(!said.contains("cells and the head"), "{said}");
}
