//! Canvas on bars: how far it stands out of its rabbet, bare and glazed.

use longpoint::measure::{Length, Unit};
use longpoint::ticket::steps;

use crate::folder::sheet;
use crate::size::{inch, shows};

const FRAME: &str = "1,,PINE,,,,,,\n";

/// C6 with glazing before it, computed: bars of 1 1/2 in a rabbet of 9/16 stand out by 15/16;
/// with 2 mm of glass and a spacer of 1/4 by 1.2662.
#[test]
fn glass_and_spacer_push_the_bars_out() {
    let (_, bare) = sheet(FRAME, "1,canvas,18,24,1 1/2,1 kg,,,,,,,,,,,,,,,straps,,\n");
    assert_eq!(bare.depth.clips, Some(inch("15/16")));
    let (shop, glazed) =
        sheet(FRAME, "1,canvas,18,24,1 1/2,1 kg,,,,,,,,,,THIN,,GLASS,,,straps,,\n");
    assert_eq!(glazed.depth.clips, Some(inch("15/16") + inch("1/4") + Length::from_mm(2)));
    shows(glazed.depth.clips.unwrap(), "1.2662", Unit::Inch);
    let work = steps(&glazed, &shop).join("\n");
    let at = |words: &str| work.find(words).unwrap_or_else(|| panic!("{words} in {work}"));
    assert!(at("Cut the glazing") < at("Stack glazing, spacer and canvas"));
    assert!(at("Stack glazing, spacer and canvas") < at("Set the canvas in"));
    // A canvas that lies flush without its glass needs clips with it.
    let (_, flush) = sheet(FRAME, "1,canvas,18,24,1/2,1 kg,,,,,,,,,,,,,,,straps,,\n");
    assert_eq!(flush.depth.clips, None);
    let (_, out) = sheet(FRAME, "1,canvas,18,24,1/2,1 kg,,,,,,,,,,THIN,,GLASS,,,straps,,\n");
    assert!(out.depth.clips.is_some());
}
