//! What the reader of the shop folder accepts, and that nothing makes it fall over.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use longpoint::measure::{Length, Mitre, Money, Worth};
use longpoint::shop::{
    Carton, Faults, Flaw, Form, Freight, Kind, Lengths, LongParcel, Match, Per, PriceStep, Shop,
    read_files, read_folder,
};
use proptest::prelude::*;
use proptest::sample::Index;

type Files = BTreeMap<String, Vec<u8>>;

fn data(shop: &str) -> Files {
    let dir = format!("{}/data/{shop}", env!("CARGO_MANIFEST_DIR"));
    let entries = std::fs::read_dir(dir).unwrap().map(|entry| entry.unwrap().path());
    entries
        .map(|path| {
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            (name, std::fs::read(path).unwrap())
        })
        .collect()
}

/// The demo shop with one file's text changed.
fn with(name: &str, change: impl Fn(&str) -> String) -> Result<Shop, Faults> {
    let mut files = data("demo");
    let text = String::from_utf8(files[name].clone()).unwrap();
    let changed = change(&text);
    assert_ne!(changed, text, "the change does something");
    files.insert(name.to_owned(), changed.into_bytes());
    read_files(&files)
}

fn demo() -> Shop {
    read_files(&data("demo")).unwrap()
}

fn inches(sixteenths: i64) -> Length {
    Length::from_64ths(4 * sixteenths)
}

// What the demo shops hold.

/// The rows of a file, counted by hand: no comment, no header, no blank row.
fn rows(files: &Files, name: &str) -> Vec<String> {
    let text = String::from_utf8(files[name].clone()).unwrap();
    text.lines().filter(|line| !line.starts_with('#')).skip(1).map(str::to_owned).collect()
}

#[test]
fn every_row_of_the_demo_shops_is_there_once_read() {
    for name in ["demo", "metric"] {
        let files = data(name);
        let shop = read_files(&files).unwrap();
        let count = |file: &str| rows(&files, file).len();
        assert_eq!(shop.mouldings.len(), count("mouldings.csv"), "{name}");
        let layers = shop.frames.iter().flat_map(|frame| &frame.layers);
        // A fillet in a mat has no row there.
        let layers = layers.filter(|layer| layer.window.is_none()).count();
        assert_eq!(layers, count("frames.csv"), "{name}");
        assert_eq!(shop.jobs.len(), count("jobs.csv"), "{name}");
        assert_eq!(shop.materials.len(), count("materials.csv"), "{name}");
        assert_eq!(shop.rack.len(), count("rack.csv"), "{name}");
        assert_eq!(shop.suppliers.len(), count("suppliers.csv"), "{name}");
        assert_eq!(shop.offers.len(), count("offers.csv"), "{name}");
    }
}

#[test]
fn the_demo_shop_has_something_of_everything() {
    let shop = demo();
    assert!(shop.mouldings.len() >= 12 && shop.frames.len() >= 30 && shop.rack.len() >= 35);
    let kinds = |kind| shop.mouldings.values().filter(|moulding| moulding.kind == kind).count();
    assert!(kinds(Kind::Rebated) > 8 && kinds(Kind::Reversible) == 1 && kinds(Kind::Floater) == 1);
    for match_ in [Match::Any, Match::Lot, Match::Halves, Match::Stick, Match::Wrap] {
        let asked =
            |frame: &longpoint::shop::Frame| frame.layers.iter().any(|l| l.match_ == match_);
        assert!(shop.frames.iter().any(asked), "{match_:?}");
    }
    for sides in [4, 6, 8] {
        assert!(shop.frames.iter().any(|frame| frame.mitre.sides() == sides));
    }
    for layers in [1, 2, 3] {
        assert!(shop.frames.iter().any(|frame| frame.layers.len() == layers));
    }
}

#[test]
fn the_metric_shop_reads_in_millimetres_and_euros() {
    let shop = read_files(&data("metric")).unwrap();
    assert_eq!(shop.settings.mark, Length::from_nm(500_000));
    assert_eq!(shop.settings.worth, 500_000);
    let cutter = &shop.cutters["double mitre saw"];
    assert_eq!((cutter.kerf, cutter.passes), (Length::from_nm(3_200_000), 1));
    let odd = &shop.frames[9];
    assert_eq!((odd.width, odd.height), (Length::from_mm(525), Length::from_mm(725)));
    assert_eq!(shop.frames[2].layers[0].match_, Match::Halves);
    let price = shop.moulding("OK30").price.unwrap();
    assert_eq!((price.amount, price.per), (Worth(980_000), Per::Metre));
}

#[test]
fn cells_become_exact_values() {
    let shop = demo();
    let stick = |id: &str| shop.rack.iter().find(|stick| stick.id == id).unwrap();
    assert_eq!(
        stick("S-198").flaws,
        [
            Flaw { from: inches(14 * 16 + 8), to: inches(16 * 16) },
            Flaw { from: inches(90 * 16), to: inches(91 * 16) },
        ]
    );
    assert_eq!(stick("O-071").length, inches(29 * 16 + 10));
    assert_eq!(stick("S-180").length, inches(96 * 16));
    assert_eq!(stick("O-060").since, Some(jiff::civil::date(2024, 11, 19)));
    let frame = |id: &str| shop.frames.iter().find(|frame| frame.id == id).unwrap();
    assert_eq!(frame("4106").width, inches(9 * 16 + 8));
    assert_eq!(frame("4142").width, Length::from_mm(500));
    assert_eq!(frame("4123").height, inches(16 * 16));
    assert_eq!(frame("4123").mitre, Mitre::new(8).unwrap());
    assert_eq!(frame("4112").layers[0].gap, inches(4));
    assert_eq!(frame("4146").layers[0].allowance, Some(inches(1)));
    assert_eq!(frame("4101").note, "Halloran, wedding photograph");
    let stack: Vec<_> = frame("4121").layers.iter().map(|l| l.moulding.as_str()).collect();
    assert_eq!(stack, ["FIL-6", "LNR-19", "SLV-30"]);
}

#[test]
fn what_a_row_leaves_out_comes_from_its_moulding_and_shop() {
    let shop = demo();
    let layer = |id: &str| &shop.frames.iter().find(|frame| frame.id == id).unwrap().layers[0];
    assert_eq!((layer("4116").match_, layer("4116").match_floor), (Match::Halves, Match::Halves));
    assert_eq!((layer("4118").match_, layer("4118").match_floor), (Match::Wrap, Match::Halves));
    assert_eq!(shop.moulding("ASH-20").cutter, "bench chopper");
    assert_eq!(shop.moulding("MPL-FLT").rabbet, Length::ZERO);
    assert_eq!(shop.moulding("NAV-25").price, None);
    let first = &shop.frames[0];
    assert_eq!((first.copies, first.mitre), (1, Mitre::SQUARE));
    assert_eq!(first.row, 4, "after two comments and the header");
}

#[test]
fn suppliers_and_offers_keep_their_steps() {
    let shop = demo();
    let step = |from, charge| Freight { from: Money(from), charge: Money(charge) };
    let brin = &shop.suppliers["BRIN"];
    assert_eq!(brin.freight, [step(0, 1800), step(25_000, 900), step(50_000, 0)]);
    assert_eq!((brin.minimum, brin.lead_days), (Money(7500), 3));
    assert_eq!(shop.suppliers["CAST"].freight, [step(0, 1400), step(40_000, 0)]);
    let offer = |supplier: &str, moulding: &str, chop: bool| {
        let wanted = |o: &&longpoint::shop::Offer| {
            o.supplier == supplier
                && o.moulding == moulding
                && matches!(o.form, Form::Chop { .. }) == chop
        };
        shop.offers.iter().find(wanted).unwrap()
    };
    let ash = offer("BRIN", "ASH-20", false);
    assert_eq!(ash.lengths, Lengths::These(vec![inches(96 * 16), inches(120 * 16)]));
    assert_eq!(
        ash.steps,
        [
            PriceStep { from: 60, price: Worth(220_000) },
            PriceStep { from: 150, price: Worth(205_000) }
        ]
    );
    let walnut = offer("OTTER", "WAL-25", false);
    assert_eq!(walnut.lengths, Lengths::Between(inches(84 * 16), inches(120 * 16)));
    let chop = offer("CAST", "SLV-30", true);
    let fee = Money(150);
    assert_eq!(chop.form, Form::Chop { least: inches(48 * 16), fee });
    let boxes: Vec<_> = shop.offers.iter().filter(|o| matches!(o.form, Form::Box { .. })).collect();
    assert_eq!(boxes[0].form, Form::Box { holds: Carton::Sticks(12) });
    assert_eq!((boxes[0].per, boxes[1].per), (Per::Foot, Per::Box));
    let cast = &shop.suppliers["CAST"];
    let long = LongParcel { over: inches(96 * 16), charge: Money(2200) };
    assert_eq!((cast.long, cast.halves, cast.order_by), (Some(long), true, None));
    assert_eq!(shop.mouldings["BLK-32"].keep_on_rack, 2);
}

#[test]
fn the_mark_and_the_passes_of_knives_may_be_left_out_and_whole_numbers_need_no_quotes() {
    let shop = with("shop.toml", |text| {
        let text = text
            .replace("mark = \"1/32\"\n", "")
            .replace("kerf = \"0\"\npasses = 1\n", "kerf = 0\n");
        text.replace("keep = \"12\"", "keep = 12").replace("shortest = \"5\"", "shortest = 5")
    });
    assert_eq!(shop.unwrap(), demo());
    let mut files = data("metric");
    let text = String::from_utf8(files["shop.toml"].clone()).unwrap();
    files.insert("shop.toml".to_owned(), text.replace("mark = \"0.5\"\n", "").into_bytes());
    assert_eq!(read_files(&files).unwrap(), read_files(&data("metric")).unwrap());
}

// The many ways in which a file may be written.

#[test]
fn a_byte_order_mark_and_any_line_end_make_no_difference() {
    let mut files = data("demo");
    for end in ["\r\n", "\r", "\n\n"] {
        for bytes in files.values_mut() {
            let text = String::from_utf8(bytes.clone()).unwrap();
            // TOML knows no lone carriage return.
            let end = if text.contains("[offcuts]") && end == "\r" { "\r\n" } else { end };
            let text = text.replace("\r\n", "\n").replace('\r', "\n").replace('\n', end);
            *bytes = format!("\u{feff}{}", text.trim_start_matches('\u{feff}')).into_bytes();
        }
        let mut shop = read_files(&files).unwrap();
        let mut expected = demo();
        // Only the rows' numbers may differ, where blank rows were put in.
        shop.frames.iter_mut().chain(&mut expected.frames).for_each(|frame| frame.row = 0);
        shop.offers.iter_mut().chain(&mut expected.offers).for_each(|offer| offer.row = 0);
        assert_eq!(shop, expected, "{end:?}");
    }
}

#[test]
fn columns_may_stand_in_any_order_and_in_capitals() {
    let reversed = |text: &str| {
        let mut reader = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .has_headers(false)
            .from_reader(text.as_bytes());
        let mut writer = csv::Writer::from_writer(b"# one\n# two\n".to_vec());
        for (row, record) in reader.records().enumerate() {
            let record = record.unwrap();
            let capitals =
                |cell: &str| if row == 0 { cell.to_uppercase() } else { cell.to_owned() };
            writer.write_record(record.iter().rev().map(capitals)).unwrap();
        }
        String::from_utf8(writer.into_inner().unwrap()).unwrap()
    };
    for name in [
        "mouldings.csv",
        "materials.csv",
        "frames.csv",
        "jobs.csv",
        "rack.csv",
        "suppliers.csv",
        "offers.csv",
    ] {
        assert_eq!(with(name, reversed).unwrap(), demo(), "{name}");
    }
}

#[test]
fn a_spreadsheet_may_fill_up_rows_with_commas_and_quote_comments() {
    let filled = |text: &str| {
        let row = |line: &str| match line.strip_prefix('#') {
            Some(comment) => format!("\"#{comment}\",,,\n"),
            None => format!("{line},,,\n"),
        };
        text.lines().map(row).chain([",,,,,,,,,\n".to_owned()]).collect()
    };
    assert_eq!(with("rack.csv", filled).unwrap(), demo());
}

#[test]
fn rows_may_end_early_and_comments_and_blank_rows_stand_anywhere() {
    let shop = with("rack.csv", |text| {
        let early = text.replace("O-112,SLV-30,79 1/4,L5,bay 4,,2026-06-30", "O-112,SLV-30,79 1/4");
        early.replace("S-198,", "\n  # counted again, \"all there\n,,\n \t\nS-198,")
    })
    .unwrap();
    assert_eq!(shop.rack.len(), demo().rack.len());
    let short = shop.rack.iter().find(|stick| stick.id == "O-112").unwrap();
    assert_eq!((short.lot.as_str(), short.place.as_str(), short.since), ("", "", None));
}

#[test]
fn quoted_cells_keep_commas_quotes_and_one_line() {
    let shop = with("frames.csv", |text| {
        text.replace("\"Ines Corvo, charcoal\"", "  \"Ines \"\"Ink\"\" Corvo,\r\ncharcoal\"  ")
    })
    .unwrap();
    assert_eq!(shop.frames[1].note, "Ines \"Ink\" Corvo,  charcoal");
    let rows: Vec<_> = shop.frames.iter().map(|frame| frame.row).collect();
    let expected: Vec<_> = demo().frames.iter().map(|frame| frame.row).collect();
    assert_eq!(rows, expected, "a line break inside a cell begins no row of a spreadsheet");
}

#[test]
fn inch_marks_need_no_quotes() {
    let shop = with("rack.csv", |text| text.replace("29 5/8,", "2' 5 5/8\",")).unwrap();
    assert_eq!(shop, demo());
}

#[test]
fn flaws_that_touch_are_one() {
    let shop = with("rack.csv", |text| {
        text.replace("14 1/2 .. 16; 90 .. 91", "90 .. 91; 15 1/2 .. 16; 14 1/2 .. 15 1/2; 15 .. 15")
    })
    .unwrap();
    assert_eq!(shop.rack, demo().rack);
}

#[test]
fn the_rows_of_a_stack_need_not_be_neighbours() {
    let shop = with("frames.csv", |text| {
        let upper = "4109,2,GLD-50,,,,,,,,,,,,\n";
        text.replace(upper, "") + "4109,2,GLD-50,16,20,4,1,2026-11-26,yes,,,,,1/4,\n"
    })
    .unwrap();
    let layers = |shop: &Shop| shop.frames.iter().map(|f| f.layers.clone()).collect::<Vec<_>>();
    assert_eq!(layers(&shop), layers(&demo()));
}

#[test]
fn suppliers_and_offers_may_be_absent() {
    let mut files = data("demo");
    files.remove("suppliers.csv");
    files.remove("offers.csv");
    let shop = read_files(&files).unwrap();
    assert!(shop.suppliers.is_empty() && shop.offers.is_empty());
    files.insert("offers.csv".to_owned(), data("demo")["offers.csv"].clone());
    let faults = read_files(&files).unwrap_err();
    assert_eq!((faults.count(), faults.iter().next().unwrap().file.as_str()), (1, "suppliers.csv"));
}

#[test]
fn a_folder_on_the_disk_reads_as_its_files_do() {
    let dir = tempfile::tempdir().unwrap();
    for (name, bytes) in data("demo") {
        std::fs::write(dir.path().join(name), bytes).unwrap();
    }
    std::fs::write(dir.path().join("plan.json"), "{}").unwrap();
    std::fs::create_dir(dir.path().join("photographs")).unwrap();
    assert_eq!(read_folder(dir.path()).unwrap(), demo());
    std::fs::remove_file(dir.path().join("rack.csv")).unwrap();
    std::fs::create_dir(dir.path().join("rack.csv")).unwrap();
    let faults = read_folder(dir.path()).unwrap_err();
    assert_eq!(faults.count(), 1);
    assert!(faults.to_string().starts_with("rack.csv: cannot be read: "), "{faults}");
}

// Size.

/// Far more than it takes, far less than anything quadratic would.
const PATIENCE: Duration = Duration::from_secs(20);

#[test]
fn a_hundred_thousand_rows_are_read_in_one_go() {
    let mut files = data("demo");
    files.remove("jobs.csv");
    let mut frames = "frame,moulding,width,height,due,thickness,note\n".to_owned();
    let mut rack = "stick,moulding,length,lot,flaws\n".to_owned();
    for n in 0..100_000 {
        frames += &format!(
            "F{n},ASH-20,{} 1/4,{}.5,2026-12-01,3/8,\"number, {n}\"\n",
            n % 40 + 5,
            n % 30 + 6
        );
        rack += &format!("R{n},BLK-20,{},K4,10 .. 11 1/2; 40 .. 41\n", n % 50 + 58);
    }
    files.insert("frames.csv".to_owned(), frames.into_bytes());
    files.insert("rack.csv".to_owned(), rack.into_bytes());
    let begin = Instant::now();
    let shop = read_files(&files).unwrap();
    assert!(begin.elapsed() < PATIENCE);
    assert_eq!((shop.frames.len(), shop.rack.len()), (100_000, 100_000));
    assert_eq!(shop.frames[99_999].row, 100_001);
}

#[test]
fn a_hundred_thousand_wrong_rows_are_all_named() {
    let mut files = data("demo");
    files.remove("jobs.csv");
    let mouldings = (0..20_000).map(|n| format!("ASH-{n},1,1/4,96\n"));
    let mouldings: String =
        ["moulding,width,rabbet,stick\n".to_owned()].into_iter().chain(mouldings).collect();
    let rack = (0..100_000).map(|n| format!("R{},ASH_{n},\"9,5\"\n", n / 2));
    let rack: String = ["stick,moulding,length\n".to_owned()].into_iter().chain(rack).collect();
    files.insert("mouldings.csv".to_owned(), mouldings.into_bytes());
    files.insert("frames.csv".to_owned(), b"frame,moulding,width,height\n".to_vec());
    files.insert("rack.csv".to_owned(), rack.into_bytes());
    files.remove("offers.csv");
    let begin = Instant::now();
    let faults = read_files(&files).unwrap_err();
    assert!(begin.elapsed() < PATIENCE);
    assert_eq!(faults.count(), 250_000);
    let first = faults.iter().nth(1).unwrap().to_string();
    assert_eq!(
        first,
        "rack.csv, row 2, length: \"9,5\" is not a length (write 9.5 with a point, not a comma)"
    );
}

// Anything at all.

/// What the shop's types promise, whatever was read.
fn keeps_its_promises(shop: &Shop) -> Result<(), TestCaseError> {
    prop_assert!(shop.cutters.contains_key(&shop.settings.default_cutter));
    for (id, moulding) in &shop.mouldings {
        prop_assert_eq!(id, &moulding.id);
        prop_assert!(shop.cutters.contains_key(&moulding.cutter));
        prop_assert!(moulding.width.is_positive() && moulding.stick > shop.settings.keep);
        prop_assert!(moulding.kind == Kind::Floater || moulding.rabbet < moulding.width);
    }
    for frame in &shop.frames {
        prop_assert!(frame.width.is_positive() && frame.height.is_positive());
        prop_assert!(frame.mitre == Mitre::SQUARE || frame.width == frame.height);
        prop_assert!(!frame.layers.is_empty() && frame.copies > 0);
        let job = shop.jobs.get(&frame.id);
        prop_assert!(job.is_none_or(|job| job.package.size == (frame.width, frame.height)));
        for layer in &frame.layers {
            let floater = shop.mouldings[&layer.moulding].kind == Kind::Floater;
            prop_assert!(layer.match_floor <= layer.match_);
            prop_assert!(floater || layer.gap == Length::ZERO);
        }
    }
    for stick in &shop.rack {
        prop_assert!(shop.mouldings.contains_key(&stick.moulding) && stick.length.is_positive());
        prop_assert!(stick.flaws.iter().all(|f| f.from <= f.to && f.to <= stick.length));
        prop_assert!(stick.flaws.windows(2).all(|pair| pair[0].to < pair[1].from));
    }
    for offer in &shop.offers {
        prop_assert!(shop.suppliers.contains_key(&offer.supplier));
        prop_assert!(shop.mouldings.contains_key(&offer.moulding));
        prop_assert!(offer.steps.windows(2).all(|pair| pair[0].from < pair[1].from));
    }
    Ok(())
}

/// Reads without panic; what is good keeps its promises, and what is wrong is
/// named on one line that begins with its file and ends with its mend.
fn is_read_or_named(files: &Files) -> Result<(), TestCaseError> {
    match read_files(files) {
        Ok(shop) => keeps_its_promises(&shop),
        Err(faults) => {
            prop_assert!(faults.count() > 0);
            for fault in faults.iter() {
                let line = fault.to_string();
                prop_assert!(line.starts_with(&fault.file), "{}", line);
                prop_assert!(line.ends_with(')') && line.contains(" ("), "{}", line);
                prop_assert!(!line.contains(['\n', '\r', '\0', '\u{1b}', '\u{feff}']), "{}", line);
            }
            Ok(())
        }
    }
}

const NAMES: [&str; 8] = [
    "shop.toml",
    "mouldings.csv",
    "materials.csv",
    "frames.csv",
    "jobs.csv",
    "rack.csv",
    "suppliers.csv",
    "offers.csv",
];

/// Pieces that mean something to some part of the reader.
const PIECES: [&str; 24] = [
    ",",
    "\"",
    "\n",
    "\r",
    "#",
    ";",
    "..",
    "from",
    "0",
    "1/4",
    "-",
    "99999",
    "\u{feff}",
    "\0",
    "\u{7f}",
    "[",
    "]",
    "=",
    "'",
    "wrap",
    "floater",
    "2",
    "2026-02-30",
    "é",
];

proptest! {
    #[test]
    fn any_bytes_in_any_file_are_read_or_named(
        bytes in prop::collection::vec(any::<u8>(), 0..300),
        file in 0..NAMES.len(),
    ) {
        let mut files = data("demo");
        files.insert(NAMES[file].to_owned(), bytes);
        is_read_or_named(&files)?;
    }

    #[test]
    fn any_bytes_below_a_good_header_are_read_or_named(
        bytes in prop::collection::vec(prop_oneof![any::<u8>(), Just(b','), Just(b'\n'), Just(b'"')], 0..300),
        file in 1..NAMES.len(),
    ) {
        let mut files = data("metric");
        let text = files.get_mut(NAMES[file]).unwrap();
        text.extend(bytes);
        is_read_or_named(&files)?;
    }

    #[test]
    fn slips_in_good_files_are_read_or_named(
        slips in prop::collection::vec((0..NAMES.len(), any::<Index>(), 0..PIECES.len(), 0_usize..4), 1..6),
    ) {
        let mut files = data("demo");
        for (file, at, piece, gone) in slips {
            let bytes = files.get_mut(NAMES[file]).unwrap();
            let at = at.index(bytes.len() + 1);
            let end = (at + gone).min(bytes.len());
            bytes.splice(at..end, PIECES[piece].bytes());
        }
        is_read_or_named(&files)?;
        prop_assert_eq!(read_files(&files), read_files(&files));
    }
}
