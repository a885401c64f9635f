//! Small shops that are written down in the tests.

use std::collections::BTreeMap;
use std::path::Path;

use jiff::civil::{Date, date};
use longpoint::shop::{Faults, Shop, read_files, read_folder};
use longpoint::ticket::{JobSheet, job_sheet};

/// The day on which everything here is made.
pub const TODAY: Date = date(2026, 11, 25);

/// The files of a shop by name.
pub type Files = BTreeMap<String, Vec<u8>>;

const SHOP: &str = r#"
name = "Bench of tests"
unit = "in"
allowance = "1/8"
currency = "USD"
default_cutter = "saw"
[offcuts]
keep = "6"
worth = "0.5"
[job]
hardware = "1 g"
[cutter.saw]
kerf = "1/8"
passes = 1
nick = "0"
first_trim = "1"
last_trim = "1"
grip = "0"
shortest = "4"
stop = "long"
"#;

const MOULDINGS: &str = "\
moulding,width,rabbet,depth,stick,price,per,kind,height,seen,weight,wood
PINE,3/4,1/4,9/16,108,1.20,ft,,15/16,,,pine
WIDE,2,1/4,3/4,108,2.40,ft,,1 1/8,,,pine
DEEP,1,1/4,1 1/2,108,2.60,ft,,1 7/8,,,oak
LOW,3/4,1/4,1/8,108,0.90,ft,,1/4,,0.2 kg,
SLIM,5/8,1/4,9/16,108,1.00,ft,,15/16,,,pine
FLOAT,3/8,,1 1/2,108,3.00,ft,floater,,,0.5 kg,
BEAD,1/2,1/8,,96,0.80,ft,,5/16,3/16,0.04 kg,
";

const MATERIALS: &str = "\
material,kind,name,thick,strip,weight,sheets,price,per,load,breaks,screw,safety,expansion
WHITE,mat,,1/16,,0.95 kg,32x40; 40x60,8.00,sheet,,,,,
BLACK MAT,mat,,1/16,,0.95 kg,32x40,8.00,sheet,,,,,
MOUNT,board,,1/16,,0.95 kg,40x60,,,,,,,
FOAM,board,,3/16,,0.6 kg,40x60,6.00,sheet,,,,,
GLASS,glass,,2 mm,,,40x60,20.00,m2,,,,,
SAFE,glass,,3 mm,,,40x60,,,,,,laminated,
PLEX,acrylic,,1/8,,,48x96,,,,,,,
THIN,spacer,,1/4,3/16,0.02 kg,,0.50,ft,,,,,
WIDE STRIP,spacer,,1/4,3/8,0.02 kg,,0.50,ft,,,,,
OUT-4,build-out,,1/4,,0.05 kg,,0.40,ft,,,,,
OUT-6,build-out,,3/8,,0.05 kg,,0.50,ft,,,,,
RING,hanger,,,,5 g,,0.20,piece,60 lb,,0.138,,
STRAP,strap,,,,20 g,,1.00,piece,150 lb,,,,
BRAID,wire,,,,8 g,,0.10,ft,,68 lb,,,
STRONG,wire,,,,20 g,,0.20,ft,,170 lb,,,
HOOK,hook,,,,,,0.50,piece,50 lb,,,,
BIG HOOK,hook,,,,,,1.50,piece,150 lb,,,,
DRAWER,hook,,,,,,,,,,,,
BAR,cleat,,,,600 g,,9.00,piece,400 lb,,,,
";

/// The header of jobs.csv in these tests.
pub const HEADER: &str = "frame,art,art_width,art_height,art_thick,art_weight,image_width,\
                          image_height,show,overlap,reveal_art,border,bottom_extra,mats,mat_fillet,\
                          spacer,float_margin,glazing,mount,backing,hang,place,consent\n";

/// A shop with these frames and jobs, each without its header.
pub fn files(frames: &str, jobs: &str) -> Files {
    let frames = format!("frame,layer,moulding,width,height,copies,due,gap,thickness\n{frames}");
    let texts = [
        ("shop.toml", SHOP.to_owned()),
        ("mouldings.csv", MOULDINGS.to_owned()),
        ("materials.csv", MATERIALS.to_owned()),
        ("frames.csv", frames),
        ("jobs.csv", format!("{HEADER}{jobs}")),
        ("rack.csv", "stick,moulding,length\n".to_owned()),
    ];
    texts.into_iter().map(|(name, text)| (name.to_owned(), text.into_bytes())).collect()
}

/// What is wrong with such a shop.
pub fn faults(frames: &str, jobs: &str) -> Faults {
    read_files(&files(frames, jobs)).unwrap_err()
}

/// The sheet of the first job of such a shop.
pub fn sheet(frames: &str, jobs: &str) -> (Shop, JobSheet) {
    let shop = read_files(&files(frames, jobs)).unwrap_or_else(|faults| panic!("{faults}"));
    let sheet = of(&shop, &shop.frames[0].id.clone());
    (shop, sheet)
}

/// The sheet of a ticket.
pub fn of(shop: &Shop, ticket: &str) -> JobSheet {
    let frame = shop.find_frame(ticket).unwrap();
    job_sheet(shop, (frame, frame.copies), TODAY).unwrap().unwrap()
}

/// A shop that comes with the program.
pub fn data(name: &str) -> Shop {
    read_folder(&Path::new(env!("CARGO_MANIFEST_DIR")).join("data").join(name)).unwrap()
}
