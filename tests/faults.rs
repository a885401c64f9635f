//! What is said about a shop folder that is wrong: every message in full.

use std::collections::BTreeMap;

use insta::assert_snapshot;
use longpoint::measure::{Unit, parse_length};
use longpoint::shop::{Restock, read_files, written_otherwise};

const SHOP: &str = r#"name = "Test Bench"
unit = "in"
mark = "1/32"
allowance = "1/8"
currency = "USD"
default_cutter = "chopper"

[offcuts]
keep = "12"
worth = "0.5"

[cutter.chopper]
kerf = "0"
nick = "1/16"
first_trim = "1"
last_trim = "1"
grip = "0"
shortest = "5"
stop = "rabbet"
"#;

const MOULDINGS: &str = "\
moulding,name,width,rabbet,depth,stick,price,per,match,cutter,kind,allowance
ASH-20,Ash,3/4,1/4,1/2,120,2.35,ft,lot,,,
BLK-20,Black,3/4,1/4,1/2,108,1.85,ft,,chopper,rebated,
FLT-9,Floater,3/8,,1,108,,,,,floater,
";

const FRAME_HEADER: &str = "frame,layer,moulding,width,height,sides,copies,due,match,match_floor,allowance,gap,thickness,note\n";
const MOULDING_HEADER: &str =
    "moulding,name,width,rabbet,depth,stick,price,per,match,cutter,kind,allowance\n";
const RACK_HEADER: &str = "stick,moulding,length,lot,place,flaws,since\n";
const SUPPLIER_HEADER: &str = "supplier,name,minimum,freight,lead_days,note\n";
const OFFER_HEADER: &str = "supplier,moulding,form,lengths,price,per,box,steps,least,note\n";

/// A good folder with some files put in its place.
fn folder(changed: &[(&str, &[u8])]) -> BTreeMap<String, Vec<u8>> {
    let good = [
        ("shop.toml", SHOP.to_owned()),
        ("mouldings.csv", MOULDINGS.to_owned()),
        ("frames.csv", format!("{FRAME_HEADER}1,,ASH-20,8,10,,,,,,,,,\n")),
        ("rack.csv", format!("{RACK_HEADER}S1,ASH-20,96,,,,\n")),
        ("suppliers.csv", format!("{SUPPLIER_HEADER}HAZEL,Hazel Mouldings,,,3,\n")),
        ("offers.csv", format!("{OFFER_HEADER}HAZEL,ASH-20,length,120,2.35,ft,,,,\n")),
    ];
    let mut files: BTreeMap<String, Vec<u8>> =
        good.into_iter().map(|(name, text)| (name.to_owned(), text.into_bytes())).collect();
    for (name, bytes) in changed {
        files.insert((*name).to_owned(), bytes.to_vec());
    }
    files
}

/// What is said when one file of a good folder is changed.
fn faults(name: &str, text: &str) -> String {
    faults_of(folder(&[(name, text.as_bytes())]))
}

fn faults_of(files: BTreeMap<String, Vec<u8>>) -> String {
    let faults = read_files(&files).expect_err("something is wrong");
    assert_eq!(faults.count(), faults.iter().count());
    faults.to_string()
}

fn shop(from: &str, to: &str) -> String {
    assert!(SHOP.contains(from), "{from:?} is in the settings");
    faults("shop.toml", &SHOP.replace(from, to))
}

fn mouldings(row: &str) -> String {
    faults("mouldings.csv", &format!("{MOULDINGS}{row}\n"))
}

fn frames(rows: &str) -> String {
    faults("frames.csv", &format!("{FRAME_HEADER}{rows}\n"))
}

fn rack(rows: &str) -> String {
    faults("rack.csv", &format!("{RACK_HEADER}{rows}\n"))
}

fn suppliers(row: &str) -> String {
    faults("suppliers.csv", &format!("{SUPPLIER_HEADER}HAZEL,,,,3,\n{row}\n"))
}

fn offers(rows: &str) -> String {
    faults("offers.csv", &format!("{OFFER_HEADER}{rows}\n"))
}

#[test]
fn the_folder_they_start_from_is_good() {
    let shop = read_files(&folder(&[])).unwrap();
    assert_eq!((shop.frames.len(), shop.rack.len(), shop.offers.len()), (1, 1, 1));
}

// The files.

#[test]
fn missing_files() {
    let mut files = folder(&[]);
    for name in ["frames.csv", "rack.csv", "suppliers.csv", "offers.csv"] {
        files.remove(name);
    }
    assert_snapshot!(faults_of(files), @r#"
    frames.csv: is missing (write it; "longpoint demo DIR" writes an example of each file)
    rack.csv: is missing (write it; "longpoint demo DIR" writes an example of each file)
    "#);
}

/// Offers need to know their suppliers: it is the file that is missing, not each.
#[test]
fn offers_without_suppliers() {
    let mut files = folder(&[]);
    files.remove("suppliers.csv");
    assert_snapshot!(faults_of(files.clone()), @r#"suppliers.csv: is missing (write it; "longpoint demo DIR" writes an example of each file)"#);
    files.insert("offers.csv".to_owned(), OFFER_HEADER.as_bytes().to_vec());
    assert!(read_files(&files).is_ok(), "without offers nobody need be known");
}

#[test]
fn a_file_under_nearly_its_name() {
    let mut files = folder(&[]);
    let bytes = files.remove("suppliers.csv").unwrap();
    files.insert("supplier.csv".to_owned(), bytes);
    files.insert("photographs.zip".to_owned(), Vec::new());
    files.insert("offers2.csv".to_owned(), Vec::new());
    files.remove("offers.csv");
    assert_snapshot!(faults_of(files), @r#"
    offers2.csv: is not a file that is read here (did you mean offers.csv?)
    supplier.csv: is not a file that is read here (did you mean suppliers.csv?)
    "#);
}

#[test]
fn an_empty_file_and_one_of_comments() {
    let files = folder(&[("rack.csv", b""), ("mouldings.csv", b"# nothing yet\n\n")]);
    assert_snapshot!(faults_of(files), @r"
    mouldings.csv: has no header row (the first row names the columns: moulding, name, width, rabbet, depth, stick, price, per, match, cutter, kind, allowance, keep_on_rack, monthly, class, height, seen, weight, wood)
    rack.csv: has no header row (the first row names the columns: stick, moulding, length, lot, place, flaws, since)
    ");
}

#[test]
fn bytes_that_are_not_utf8() {
    let frames = [FRAME_HEADER.as_bytes(), b"1,,ASH-20,8,10,,,,,,,,,Caf\xE9 Lune\n"].concat();
    let files = folder(&[
        ("frames.csv", &frames),
        ("shop.toml", b"unit = \"in\"\nname = \"Caf\xE9\"\n"),
        ("rack.csv", b"\xFF\xFEs\0t\0i\0c\0k\0"),
    ]);
    assert_snapshot!(faults_of(files), @r#"
    shop.toml, line 2: is not UTF-8 text, but most likely Windows-1252 or Latin-1 (save the file as UTF-8; a spreadsheet calls that "CSV UTF-8")
    frames.csv, row 2, note: "Caf� Lune" is not UTF-8 text, but most likely Windows-1252 or Latin-1 (save the file as UTF-8; a spreadsheet calls that "CSV UTF-8")
    rack.csv: is UTF-16 text (save it as UTF-8; a spreadsheet calls that "CSV UTF-8")
    "#);
}

#[test]
fn a_folder_that_is_not_there() {
    let missing = std::path::Path::new("no-such-shop");
    let faults = longpoint::shop::read_folder(missing).unwrap_err();
    assert!(faults.to_string().starts_with("no-such-shop: cannot be listed as a folder: "));
    assert!(faults.to_string().ends_with("(give the folder that holds shop.toml)"));
}

// The settings.

#[test]
fn settings_that_are_not_toml() {
    assert_snapshot!(shop("unit = \"in\"", "unit = in"), @r#"shop.toml, line 2: is not TOML: invalid float, expected `inf` (write lines such as unit = "in")"#);
    assert_snapshot!(shop("name = \"Test Bench\"", "name \"Test Bench\""), @r#"shop.toml, line 1: is not TOML: key with no value, expected `=` (write lines such as unit = "in")"#);
    assert_snapshot!(shop("unit = \"in\"", "unit = \"in\"\nunit = \"mm\""), @r#"shop.toml, line 3: is not TOML: duplicate key (write lines such as unit = "in")"#);
}

#[test]
fn unknown_keys() {
    assert_snapshot!(shop("allowance", "alowance"), @r#"shop.toml, line 4: "alowance" is not known here (did you mean allowance?)"#);
    assert_snapshot!(shop("nick", "knick"), @r#"shop.toml, line 14: "cutter.chopper.knick" is not known here (did you mean nick?)"#);
    assert_snapshot!(shop("[offcuts]", "[offcuts]\ncolour = \"red\""), @r#"shop.toml, line 9: "offcuts.colour" is not known here (known are keep, worth)"#);
}

#[test]
fn missing_keys_and_sections() {
    assert_snapshot!(faults("shop.toml", ""), @r#"
    shop.toml, name: is missing (write the shop's name, which is printed on the sheets)
    shop.toml, unit: is missing (write "in" or "mm")
    shop.toml, currency: is missing (write a currency code such as "USD")
    shop.toml, allowance: is missing (write what is added to each dimension of a size, such as "1/8")
    shop.toml, offcuts: is missing (write a section [offcuts] with keep and worth)
    shop.toml, cutter: is missing (write a section such as [cutter."bench chopper"])
    shop.toml, default_cutter: is missing (write the name of the cutter for mouldings that name none)
    "#);
    assert_snapshot!(faults("shop.toml", "[cutter]\n[offcuts]\n"), @r#"
    shop.toml, name: is missing (write the shop's name, which is printed on the sheets)
    shop.toml, unit: is missing (write "in" or "mm")
    shop.toml, currency: is missing (write a currency code such as "USD")
    shop.toml, allowance: is missing (write what is added to each dimension of a size, such as "1/8")
    shop.toml, default_cutter: is missing (write the name of the cutter for mouldings that name none)
    shop.toml, line 1, cutter: is missing (write a section such as [cutter."bench chopper"])
    shop.toml, line 2, offcuts.keep: is missing (write the shortest offcut worth racking, such as "12")
    shop.toml, line 2, offcuts.worth: is missing (write the share of its price that a just-kept offcut is worth, such as "0.5")
    "#);
    assert_snapshot!(shop("shortest = \"5\"\n", ""), @r#"shop.toml, line 12, cutter.chopper.shortest: is missing (write the shortest rail, tip to tip, that it can hold safely, such as "6")"#);
    assert_snapshot!(shop("name = \"Test Bench\"", "name = \" \""), @"shop.toml, line 1, name: is empty (write the shop's name, which is printed on the sheets)");
}

#[test]
fn figures_that_toml_would_not_keep_exact() {
    assert_snapshot!(shop("nick = \"1/16\"", "nick = 0.0625"), @r#"shop.toml, line 14, cutter.chopper.nick: "0.0625" is a bare decimal (write it in quotes: "0.0625")"#);
    assert_snapshot!(shop("keep = \"12\"", "keep = 0x12"), @r#"shop.toml, line 9, offcuts.keep: "0x12" is a coded number where a text belongs (write the shortest offcut worth racking, such as "12")"#);
    assert_snapshot!(shop("stop = \"rabbet\"", "stop = true"), @r#"shop.toml, line 19, cutter.chopper.stop: "true" is true or false where a text belongs (write what its scale reads: "long", "rabbet" or "sight")"#);
    assert_snapshot!(shop("[offcuts]", "[offcuts.more]"), @r#"
    shop.toml, line 8: "offcuts.more" is not known here (known are keep, worth)
    shop.toml, line 8, offcuts.keep: is missing (write the shortest offcut worth racking, such as "12")
    shop.toml, line 8, offcuts.worth: is missing (write the share of its price that a just-kept offcut is worth, such as "0.5")
    "#);
}

#[test]
fn settings_out_of_bounds() {
    assert_snapshot!(shop("unit = \"in\"", "unit = \"inch\""), @r#"shop.toml, line 2, unit: "inch" is not one of in, mm (write one of these words)"#);
    assert_snapshot!(shop("mark = \"1/32\"", "mark = \"3/32\""), @r#"shop.toml, line 3, mark: "3/32" is no bench mark: an inch is no whole number of it (write 1/16, 1/32 or 1/64)"#);
    assert_snapshot!(shop("mark = \"1/32\"", "mark = \"0\""), @r#"shop.toml, line 3, mark: "0" is not more than zero (write the bench mark)"#);
    assert_snapshot!(shop("allowance = \"1/8\"", "allowance = \"3\""), @r#"shop.toml, line 4, allowance: "3" is more than 50 mm, which no allowance is (is the unit right?)"#);
    assert_snapshot!(shop("currency = \"USD\"", "currency = \"dollars\""), @r#"shop.toml, line 5, currency: "dollars" is not a currency code (write three capitals such as USD, EUR or GBP)"#);
    assert_snapshot!(shop("worth = \"0.5\"", "worth = \"50\""), @r#"shop.toml, line 10, offcuts.worth: "50" is more than 1 (write the share between 0 and 1, such as 0.5)"#);
    assert_snapshot!(shop("kerf = \"0\"", "kerf = \"1/8\""), @"shop.toml, line 12, cutter.chopper.passes: is missing (write 1 for knives or a double saw, 2 for most single saws)");
    assert_snapshot!(shop("kerf = \"0\"", "kerf = \"1/8\"\npasses = 3"), @r#"shop.toml, line 14, cutter.chopper.passes: "3" is not a whole number from 1 to 2 (write it in digits)"#);
    assert_snapshot!(shop("stop = \"rabbet\"", "stop = \"rebate\""), @r#"shop.toml, line 19, cutter.chopper.stop: "rebate" is not one of long, rabbet, sight (write one of these words)"#);
}

#[test]
fn a_mark_that_no_millimetre_ruler_has() {
    let metric = SHOP.replace("unit = \"in\"", "unit = \"mm\"").replace("1/32", "0.25");
    assert_snapshot!(faults("shop.toml", &metric), @r#"shop.toml, line 3, mark: "0.25" is no bench mark: it is no whole number of tenths of a millimetre up to 10 mm (write 0.1, 0.5 or 1)"#);
}

#[test]
fn cutters_that_are_not_there() {
    assert_snapshot!(shop("default_cutter = \"chopper\"", "default_cutter = \"choper\""), @r#"shop.toml, line 6, default_cutter: "choper" is not a cutter of shop.toml (did you mean chopper?)"#);
    assert_snapshot!(shop("[cutter.chopper]", "[cutter.\" chopper\"]"), @"shop.toml, line 12, cutter. chopper: is a name that is empty, or has a blank before or after it (write it without)");
    assert_snapshot!(shop("[cutter.chopper]", "[[cutter.chopper]]"), @r#"shop.toml, line 12, cutter.chopper: is not a section (write [cutter."bench chopper"] and its lines below it)"#);
    assert_snapshot!(shop("[cutter.chopper]", "[cuter.chopper]"), @r#"shop.toml, line 12: "cuter" is not known here (did you mean cutter?)"#);
    assert_snapshot!(shop("[offcuts]\nkeep = \"12\"\nworth = \"0.5\"\n", "offcuts = 12"), @r#"shop.toml, line 8, offcuts: "12" is not a section (write [offcuts] and its lines below it)"#);
    assert_snapshot!(shop("[offcuts]", "cutter = \"saw\"\n[offcuts]"), @r#"shop.toml, line 13: is not TOML: cannot extend value of type string with a dotted key (write lines such as unit = "in")"#);
}

// The tables.

#[test]
fn headers() {
    let header = |from: &str, to: &str| faults("rack.csv", &RACK_HEADER.replace(from, to));
    assert_snapshot!(header("length", "lenght"), @r#"rack.csv, row 1: "lenght" is not known here (did you mean length?)"#);
    assert_snapshot!(header("place", "shelf"), @r#"rack.csv, row 1: "shelf" is not known here (known are stick, moulding, length, lot, place, flaws, since)"#);
    assert_snapshot!(header("place", "Lot"), @r#"rack.csv, row 1: "Lot" stands twice in the header (take one of the two columns away)"#);
    assert_snapshot!(header("stick,", ""), @"rack.csv, row 1, stick: the column is missing (add it to the header row: the label on its marked end)");

    assert_snapshot!(header(",", "\t"), @"rack.csv, row 1: is parted by tabs (save the file with commas between the cells)");
    assert_snapshot!(header("place", "\"place"), @r#"rack.csv, row 1: ""place,flaws,since" opens a quoted cell that never closes (close the quote or take it away)"#);
    assert_snapshot!(header("place", "\"pl\"ace"), @r#"rack.csv, row 1: ""pl"ace" goes on after its closing quote (double each quote that is part of the text)"#);
}

#[test]
fn cells_outside_the_table_and_quotes_out_of_order() {
    assert_snapshot!(rack("S1,ASH-20,96,,,,,\nS2,ASH-20,96,,shelf,,,left"), @r#"rack.csv, row 3: "left" stands under no column name: the row has 8 cells and the head 7 (name its column, or put a cell with a comma in quotes)"#);
    assert_snapshot!(rack("S1,ASH-20,96,,\"the shelf,,\nS2,ASH-20,0,,,,"), @r#"
    rack.csv, row 2, place: ""the shelf,," opens a quoted cell that never closes (close the quote or take it away)
    rack.csv, row 3, length: "0" is not more than zero (write the length)
    "#);
    assert_snapshot!(rack("S1,ASH-20,96,,\"the \"good\" shelf\",,"), @r#"rack.csv, row 2, place: ""the "good" shelf"" goes on after its closing quote (double each quote that is part of the text)"#);
    assert_snapshot!(rack("#12,ASH-20,96,,,,\n# 13,ASH-20,96,,,,\n#S14,ASH-20,96,,,,"), @r##"rack.csv, row 2, stick: "#12,ASH-20,96,,,," would be left out as a comment (write the number without #, or a space after it to leave the row out)"##);
}

// The cells.

#[test]
fn lengths() {
    assert_snapshot!(frames("1,,ASH-20,\"12,5\",ten,,,,,,,,-1/4,"), @r#"
    frames.csv, row 2, width: "12,5" is not a length (write 12.5 with a point, not a comma)
    frames.csv, row 2, height: "ten" is not a length (write 12.5, 12 1/2 or 317.5 mm)
    frames.csv, row 2, thickness: "-1/4" is below zero (lengths have no minus sign)
    "#);
    assert_snapshot!(frames("1,,ASH-20,0,1/128,,,,,,,,99999,"), @r#"
    frames.csv, row 2, width: "0" is not more than zero (write the width)
    frames.csv, row 2, height: "1/128" is finer than a millionth of a millimetre (write it as a decimal of at most 6 places in mm, or in 64ths)
    frames.csv, row 2, thickness: "99999" is longer than 50 m, which no stick is (is the unit right?)
    "#);
}

#[test]
fn numbers_and_dates() {
    assert_snapshot!(frames("1,0,ASH-20,8,10,2,0,,,,,,,"), @r#"
    frames.csv, row 2, layer: "0" is not a whole number from 1 to 9 (write it in digits)
    frames.csv, row 2, sides: "2" is not a whole number from 3 to 16 (write it in digits)
    frames.csv, row 2, copies: "0" is not a whole number from 1 to 10000 (write it in digits)
    "#);
    assert_snapshot!(frames("1,,ASH-20,8,10,17,1e3,27/11/2026,,,,,,"), @r#"
    frames.csv, row 2, sides: "17" is not a whole number from 3 to 16 (write it in digits)
    frames.csv, row 2, copies: "1e3" is not a whole number from 1 to 10000 (write it in digits)
    frames.csv, row 2, due: "27/11/2026" is not a date (write year, month and day as 2026-03-05)
    "#);
    assert_snapshot!(frames("1,,ASH-20,8,10,,,2026-02-29,,,,,,\n2,,ASH-20,8,10,,,1026-11-27,,,,,,"), @r#"
    frames.csv, row 2, due: "2026-02-29" is not a date (write year, month and day as 2026-03-05)
    frames.csv, row 3, due: "1026-11-27" is not between 1900 and 2200 (write the year in full)
    "#);
}

#[test]
fn words_and_ids() {
    assert_snapshot!(frames("1,,ASH-20,8,10,,,,stik,grain,,,,"), @r#"
    frames.csv, row 2, match: "stik" is not one of any, lot, halves, stick, wrap (did you mean stick?)
    frames.csv, row 2, match_floor: "grain" is not one of any, lot, halves, stick, wrap (write one of these words)
    "#);
    assert_snapshot!(frames("11111111112222222222333333333344444444441,,ASH-20,8,10,,,,,,,,,"), @r#"frames.csv, row 2, frame: "11111111112222222222333333333344444444441" is longer than 40 letters (shorten it)"#);
    assert_snapshot!(frames("1\u{7}2,,ASH-20,8,10,,,,,,,,,\u{1b}[31mred"), @r#"
    frames.csv, row 2, frame: "1 2" holds an invisible character (type it anew)
    frames.csv, row 2, note: " [31mred" holds an invisible character (type it anew)
    "#);
    assert_snapshot!(frames(",,,,,,,,,,,,,all empty but this"), @r#"
    frames.csv, row 2, frame: is empty (write the frame's number)
    frames.csv, row 2, moulding: is empty (write the moulding's code)
    frames.csv, row 2, width: is empty (write the package's width)
    frames.csv, row 2, height: is empty (write the package's height)
    "#);
}

#[test]
fn what_cannot_be_seen_is_not_taken_for_another_spelling() {
    assert_snapshot!(rack("S1,ASH\u{200b}-20,96,,,,\nS\u{202e}2,ASH-20,96,,,,"), @r#"
    rack.csv, row 2, moulding: "ASH -20" holds an invisible character (type it anew)
    rack.csv, row 3, stick: "S 2" holds an invisible character (type it anew)
    "#);
    assert_snapshot!(shop("[cutter.chopper]", "[cutter.\"\0chopper\"]"), @r#"shop.toml, line 12: is not TOML: invalid basic string, expected non-double-quote visible characters, `\` (write lines such as unit = "in")"#);
}

#[test]
fn references() {
    assert_snapshot!(frames("1,,AHS-20,8,10,,,,,,,,,\n2,,WALNUT,8,10,,,,,,,,,"), @r#"
    frames.csv, row 2, moulding: "AHS-20" is not in mouldings.csv (did you mean ASH-20?)
    frames.csv, row 3, moulding: "WALNUT" is not in mouldings.csv (add it there, or mend it here)
    "#);
    assert_snapshot!(rack("S1,ash-20,96,,,,"), @r#"rack.csv, row 2, moulding: "ash-20" is not in mouldings.csv (did you mean ASH-20?)"#);
    assert_snapshot!(mouldings("X,,1,1/4,,96,,,,saw,,"), @r#"mouldings.csv, row 5, cutter: "saw" is not a cutter of shop.toml (add it there, or mend it here)"#);
    assert_snapshot!(offers("HAZLE,ASH-21,length,120,2.35,ft,,,,"), @r#"
    offers.csv, row 2, supplier: "HAZLE" is not in suppliers.csv (did you mean HAZEL?)
    offers.csv, row 2, moulding: "ASH-21" is not in mouldings.csv (did you mean ASH-20?)
    "#);
}

#[test]
fn repeated_ids() {
    assert_snapshot!(mouldings("ASH-20,,1,1/4,,96,,,,,,"), @r#"mouldings.csv, row 5, moulding: "ASH-20" stands already in row 2 (give each its own)"#);
    assert_snapshot!(rack("S1,ASH-20,96,,,,\nS1,ASH-20,80,,,,"), @r#"rack.csv, row 3, stick: "S1" stands already in row 2 (give each its own)"#);
    assert_snapshot!(suppliers("HAZEL,,,,5,"), @r#"suppliers.csv, row 3, supplier: "HAZEL" stands already in row 2 (give each its own)"#);
    assert_snapshot!(offers("HAZEL,ASH-20,length,96; 120,2,ft,,,,\nHAZEL,ASH-20,length,120; 96,3,ft,,,,"), @r#"offers.csv, row 3, lengths: "120; 96" is offered already in row 2 in the same form (join the two, or give other lengths or dates)"#);
}

#[test]
fn mouldings_that_cannot_be() {
    assert_snapshot!(mouldings("X,,1,1,,96,,,,,,"), @r#"mouldings.csv, row 5, rabbet: "1" is not less than the width (the rabbet is the part of the width that covers the package)"#);
    assert_snapshot!(mouldings("X,,1,,,96,,,,,,"), @"mouldings.csv, row 5, rabbet: is empty (write its rabbet width, measured on the stick)");
    assert_snapshot!(mouldings("X,,3/8,1/4,,96,,,,,floater,1/8"), @r#"
    mouldings.csv, row 5, rabbet: "1/4" belongs to rebated and reversible mouldings only (leave it empty here)
    mouldings.csv, row 5, allowance: "1/8" is refused for a floater (its gap is its allowance: write 0 or leave it empty)
    "#);
    assert_snapshot!(mouldings("X,,1,1/4,,96,2.50,,,,,"), @"mouldings.csv, row 5, per: is empty (write what the price is for: ft, m or stick)");
    assert_snapshot!(mouldings("X,,1,1/4,,96,,ft,,,,\nY,,1,1/4,,96,$2,box,,,,"), @r#"
    mouldings.csv, row 5, per: "ft" stands without a price (write the price, or leave both empty)
    mouldings.csv, row 6, price: "$2" is not a number (write digits with a point, such as 4.85)
    mouldings.csv, row 6, per: "box" is not one of ft, m, stick (write one of these words)
    "#);
    assert_snapshot!(mouldings("X,,1,1/4,,96,0,ft,,,,\nY,,1,1/4,,96,2.123456,ft,,,,"), @r#"
    mouldings.csv, row 5, price: "0" is not more than zero (write the price)
    mouldings.csv, row 6, price: "2.123456" has more than 5 decimals (round it to 5)
    "#);
    assert_snapshot!(mouldings("X,,1,1/4,,96,100001,stick,,,,"), @r#"mouldings.csv, row 5, price: "100001" is too large to be meant (is a decimal point missing?)"#);
    assert_snapshot!(mouldings("X,,1,1/4,,12,,,,,,"), @r#"mouldings.csv, row 5, stick: "12" is not longer than the shortest offcut kept, 12 in (mend it, or keep in shop.toml)"#);
    assert_snapshot!(faults("mouldings.csv", &format!("{MOULDING_HEADER}ASH-20,,0,1/4,0,0,,,,,flat,")), @r#"
    mouldings.csv, row 2, width: "0" is not more than zero (write the face width)
    mouldings.csv, row 2, depth: "0" is not more than zero (write the rabbet depth)
    mouldings.csv, row 2, stick: "0" is not more than zero (write the usual length)
    mouldings.csv, row 2, kind: "flat" is not one of rebated, reversible, floater, build-out (write one of these words)
    "#);
    assert_snapshot!(mouldings("B,,3/4,1/4,1/2,96,,,,,build-out,0"), @r#"
    mouldings.csv, row 5, rabbet: "1/4" belongs to rebated and reversible mouldings only (leave it empty here)
    mouldings.csv, row 5, depth: "1/2" belongs to mouldings with a rabbet only (leave it empty here)
    mouldings.csv, row 5, allowance: "0" belongs to mouldings with a rabbet only (leave it empty here)
    mouldings.csv, row 5, height: is empty (write how high it is, so how much it builds out)
    "#);
}

/// A shop with a build-out as wide as what is behind the rabbet of its mouldings, and these
/// rows of frames.
fn built(rows: &str) -> String {
    let mouldings = "moulding,width,rabbet,stick,kind,height\n\
                     ASH-20,3/4,1/4,120,,\nFLT-9,3/8,,108,floater,\nB,1/2,,96,build-out,3/8\n\
                     WIDE,5/8,,96,build-out,3/8\n";
    let frames = format!("{FRAME_HEADER}{rows}\n");
    let changed = [("mouldings.csv", mouldings.as_bytes()), ("frames.csv", frames.as_bytes())];
    match read_files(&folder(&changed)) {
        Ok(_) => String::new(),
        Err(faults) => faults.to_string(),
    }
}

#[test]
fn build_outs_that_cannot_be() {
    assert_eq!(built("1,1,ASH-20,8,10,,,,,,,,,\n1,2,B,,,,,,,,,,,\n1,3,B,,,,,,,,,,,"), "");
    assert_snapshot!(built("1,,B,8,10,,,,,,,,,"), @r#"frames.csv, row 2, moulding: "B" is a build-out, and lies behind another layer (write the frame's own moulding on a layer before it)"#);
    assert_snapshot!(built("1,,FLT-9,8,10,,,,,,,1/4,,\n1,2,B,,,,,,,,,,,"), @r#"frames.csv, row 3, moulding: "B" is a build-out, and a floater has no rabbet to make deeper (take it away)"#);
    assert_snapshot!(built("1,,ASH-20,8,,6,,,,,,,,\n1,2,B,,,,,,,,,,,"), @r#"frames.csv, row 3, moulding: "B" is a build-out, which is cut square, and only a frame of four sides has square corners (take it away)"#);
    assert_snapshot!(built("1,,ASH-20,8,10,,,,,,,,,\n1,2,WIDE,,,,,,,,1/8,,,"), @r#"
    frames.csv, row 3, moulding: "WIDE" is a build-out wider than what is behind the rabbet of the layer before it, so it would be seen (take a narrower one)
    frames.csv, row 3, allowance: "1/8" belongs to mouldings with a rabbet only (leave it empty here)
    "#);
    let offered = format!("{OFFER_HEADER}HAZEL,B,chop,6 .. 60,4,ft,,,,\n");
    let mouldings = "moulding,width,rabbet,stick,kind,height\n\
                     ASH-20,3/4,1/4,120,,\nB,1/2,,96,build-out,3/8\nC,1/2,,96,build-out,\n";
    let changed = [("mouldings.csv", mouldings.as_bytes()), ("offers.csv", offered.as_bytes())];
    assert_snapshot!(faults_of(folder(&changed)), @r#"
    mouldings.csv, row 4, height: is empty (write how high it is, so how much it builds out)
    offers.csv, row 2, form: "chop" is offered of a build-out, which is cut square, and a chop is mitred (offer its sticks by length or box)
    "#);
}

#[test]
fn frames_that_cannot_be() {
    assert_snapshot!(frames("1,,ASH-20,8,,,,,,,,,,"), @"frames.csv, row 2, height: is empty (write the package's height)");
    assert_snapshot!(frames("1,,ASH-20,8,10,6,,,,,,,,"), @r#"frames.csv, row 2, height: "10" is not the width (leave it empty: all sides of such a frame are alike)"#);
    assert_snapshot!(frames("1,,ASH-20,8,10,,,,any,stick,,,,\n2,,ASH-20,8,10,,,,,wrap,,,,"), @r#"
    frames.csv, row 2, match_floor: "stick" is stronger than the match, any (write that or a weaker one, or leave it empty)
    frames.csv, row 3, match_floor: "wrap" is stronger than the match, lot (write that or a weaker one, or leave it empty)
    "#);
    assert_snapshot!(frames("1,,FLT-9,8,10,,,,,,1/8,,,"), @r#"
    frames.csv, row 2, allowance: "1/8" is refused for a floater (its gap is its allowance: write 0 or leave it empty)
    frames.csv, row 2, gap: is empty (write the gap between canvas and wall on each side)
    "#);
    assert_snapshot!(frames("1,,ASH-20,8,10,,,,,,,1/4,,"), @r#"frames.csv, row 2, gap: "1/4" belongs to floaters only (leave it empty here)"#);
}

#[test]
fn stacks_out_of_order() {
    assert_snapshot!(frames("1,,ASH-20,8,10,,,,,,,,,\n1,,BLK-20,8,10,,,,,,,,,"), @r#"frames.csv, row 3, frame: "1" has its layer 1 already in row 2 (give the frame its own number, or the layer the next one)"#);
    assert_snapshot!(frames("1,1,ASH-20,8,10,,,,,,,,,\n1,3,BLK-20,,,,,,,,,,,\n1,2,BLK-20,,,,,,,,,,,"), @r#"frames.csv, row 3, layer: "3" has no layer 2 above it (number the layers of a stack 1, 2, 3 from inside out)"#);
    assert_snapshot!(frames("1,2,ASH-20,,,,,,,,,,,"), @r#"frames.csv, row 2, layer: "2" has no layer 1 above it (number the layers of a stack 1, 2, 3 from inside out)"#);
    assert_snapshot!(
        frames("1,1,ASH-20,8,10,,2,2026-12-01,,,,,,\n1,2,BLK-20,8,11,,1,2026-12-02,,,,,1/2,"),
        @r#"
    frames.csv, row 3, height: "11" is not what layer 1 says (leave it empty: a stack has it on layer 1 only)
    frames.csv, row 3, copies: "1" is not what layer 1 says (leave it empty: a stack has it on layer 1 only)
    frames.csv, row 3, due: "2026-12-02" is not what layer 1 says (leave it empty: a stack has it on layer 1 only)
    frames.csv, row 3, thickness: "1/2" is not what layer 1 says (leave it empty: a stack has it on layer 1 only)
    "#
    );
}

#[test]
fn flaws() {
    assert_snapshot!(rack("S1,ASH-20,96,,,14 to 16,"), @r#"rack.csv, row 2, flaws: "14 to 16" is not a range (write two lengths as 14 1/2 .. 16, the next after a semicolon)"#);
    assert_snapshot!(rack("S1,ASH-20,96,,,16 .. 14,"), @r#"rack.csv, row 2, flaws: "16 .. 14" begins after it ends (write the smaller length first)"#);
    assert_snapshot!(rack("S1,ASH-20,96,,,14 .. 16; 95 .. 97,"), @r#"rack.csv, row 2, flaws: "14 .. 16; 95 .. 97" ends beyond the stick, which is 96 in long (measure from the marked end)"#);
    assert_snapshot!(rack("S1,ASH-20,96,,,14 .. \"x,"), @r#"rack.csv, row 2, flaws: "14 .. "x" is not a length (write 12.5, 12 1/2 or 317.5 mm)"#);
}

#[test]
fn suppliers_and_their_steps() {
    assert_snapshot!(suppliers("ELM,,-5,18; 9,x,"), @r#"
    suppliers.csv, row 3, minimum: "-5" is below zero (write it without the minus)
    suppliers.csv, row 3, freight: "18; 9" is not a step (write the charge, and below it where it changes, as 18; 9 from 250; 0 from 500)
    suppliers.csv, row 3, lead_days: "x" is not a whole number from 0 to 365 (write it in digits)
    "#);
    assert_snapshot!(suppliers("ELM,,,18; 9 from 250; 0 from 250,,"), @r#"
    suppliers.csv, row 3, freight: "18; 9 from 250; 0 from 250" does not begin above the step before it (write the steps in rising order)
    suppliers.csv, row 3, lead_days: is empty (write the days from order to delivery)
    "#);
    assert_snapshot!(suppliers("ELM,,,18; free from 250,400,"), @r#"
    suppliers.csv, row 3, freight: "18; free from 250" is not a number (write digits with a point, such as 4.85)
    suppliers.csv, row 3, lead_days: "400" is not a whole number from 0 to 365 (write it in digits)
    "#);
}

/// A supplier's row under a header with everything that a supplier may say.
fn terms(row: &str) -> String {
    const HEADER: &str =
        "supplier,name,minimum,freight,lead_days,long_over,long_charge,halves,order_by,note\n";
    faults("suppliers.csv", &format!("{HEADER}HAZEL,,,,3,,,,,\n{row}\n"))
}

#[test]
fn parcels_and_cut_off_days() {
    assert_snapshot!(terms("ELM,,,,3,96,,maybe,2026-13-01,"), @r#"
    suppliers.csv, row 3, long_charge: is empty (write the surcharge for a parcel with longer sticks)
    suppliers.csv, row 3, halves: "maybe" is not one of yes, no (write one of these words)
    suppliers.csv, row 3, order_by: "2026-13-01" is not a date (write year, month and day as 2026-03-05)
    "#);
    assert_snapshot!(terms("ELM,,,,3,,12,yes,,"), @r#"
    suppliers.csv, row 3, long_charge: "12" stands without long_over (write both, or leave both empty)
    suppliers.csv, row 3, halves: "yes" belongs to suppliers with a surcharge only (leave it empty here)
    "#);
    assert_snapshot!(terms("ELM,,,,3,0,-4,,tomorrow,"), @r#"
    suppliers.csv, row 3, long_over: "0" is not more than zero (write the longest stick)
    suppliers.csv, row 3, long_charge: "-4" is below zero (write it without the minus)
    suppliers.csv, row 3, order_by: "tomorrow" is not a date (write year, month and day as 2026-03-05)
    "#);
}

/// A supplier's row under a header with everything about days, in a shop that is open
/// from Monday to Friday.
fn days_of(row: &str) -> String {
    let toml = SHOP.to_owned() + "\n[days]\nopen = \"Mon .. Fri\"\n";
    let header = "supplier,lead_days,order_days,cut_off,delivery_days,closed\n";
    let rows =
        format!("{header}HAZEL,3,Mon; Thu,12:00,Tue .. Fri,2026-12-24 .. 2027-01-02\n{row}\n");
    faults_of(folder(&[("shop.toml", toml.as_bytes()), ("suppliers.csv", rows.as_bytes())]))
}

#[test]
fn days_on_which_a_supplier_orders_and_delivers() {
    assert_snapshot!(days_of("ELM,3,Mo,noon,Mon - Fri,24 Dec"), @r#"
    suppliers.csv, row 3, order_days: "Mo" is not days of the week (write Mon; Thu or Mon .. Fri)
    suppliers.csv, row 3, cut_off: "noon" is not a time of day (write hours and minutes as 14:30)
    suppliers.csv, row 3, delivery_days: "Mon - Fri" is not days of the week (write Mon; Thu or Mon .. Fri)
    suppliers.csv, row 3, closed: "24 Dec" is not a date (write year, month and day as 2026-03-05)
    "#);
    assert_snapshot!(days_of("ELM,3,Sat .. Mon,25:00,Sat; Sun,2027-01-02 .. 2026-12-24"), @r#"
    suppliers.csv, row 3, cut_off: "25:00" is not a time of day (write hours and minutes as 14:30)
    suppliers.csv, row 3, delivery_days: "Sat; Sun" leaves no day on which they deliver and the shop is open (mend the days of the week or the dates closed)
    suppliers.csv, row 3, closed: "2027-01-02 .. 2026-12-24" begins after it ends (write the earlier date first)
    "#);
    assert_snapshot!(days_of("ELM,3,,,Sat; Sun,1900-01-01 .. 2200-12-31"), @r#"
    suppliers.csv, row 3, order_days: leaves no day on which an order goes out (mend the days of the week or the dates closed)
    suppliers.csv, row 3, delivery_days: "Sat; Sun" leaves no day on which they deliver and the shop is open (mend the days of the week or the dates closed)
    "#);
}

#[test]
fn days_on_which_the_shop_works() {
    let days = |keys: &str| faults("shop.toml", &format!("{SHOP}\n[days]\n{keys}\n"));
    assert_snapshot!(days("open = \"weekdays\"\nclosed = 2026-12-24\nbench_days = 61"), @r#"
    shop.toml, line 22, days.open: "weekdays" is not days of the week (write Mon; Thu or Mon .. Fri)
    shop.toml, line 23, days.closed: "2026-12-24" is a date where a text belongs (write the dates on which it is not, such as "2026-12-24 .. 2027-01-02")
    shop.toml, line 24, days.bench_days: "61" is not a whole number from 0 to 60 (write it in digits)
    "#);
    assert_snapshot!(days("frames_a_day = 0\nbench_days = \"-1\"\nshut = \"Sun\""), @r#"
    shop.toml, line 22, days.frames_a_day: "0" is not a whole number from 1 to 10000 (write it in digits)
    shop.toml, line 23, days.bench_days: "-1" is not a whole number from 0 to 60 (write it in digits)
    shop.toml, line 24: "days.shut" is not known here (known are open, closed, bench_days, frames_a_day, patience, later)
    "#);
    assert_snapshot!(days("later = \"1.02\""), @r#"shop.toml, line 22, days.later: "1.02" stands without patience (write both, or leave both empty)"#);
    assert_snapshot!(days("patience = 2\nlater = \"102\""), @r#"shop.toml, line 23, days.later: "102" is more than 10 (is a decimal point missing?)"#);
    assert_snapshot!(days("closed = \"1900-01-01 .. 2200-12-31\""), @r#"shop.toml, line 22, days.closed: "1900-01-01 .. 2200-12-31" leaves no day on which the shop is open (mend the days of the week or the dates closed)"#);
}

/// A frame that is due on a Sunday is pointed out where the shop is closed then.
#[test]
fn a_due_date_on_which_the_shop_is_closed_is_pointed_out() {
    let frames = format!("{FRAME_HEADER}1,,ASH-20,8,10,,,2026-11-29,,,,,,\n");
    let doubts_of = |toml: &str| {
        let files = [("shop.toml", toml.as_bytes()), ("frames.csv", frames.as_bytes())];
        let all = longpoint::shop::doubts(&read_files(&folder(&files)).unwrap());
        all.into_iter().filter(|doubt| doubt.contains("closed")).collect::<Vec<_>>()
    };
    assert_eq!(doubts_of(SHOP), Vec::<String>::new());
    let said = "frames.csv, row 2: 1 is due Sun 2026-11-29, when the shop is closed (is that its \
                day?)";
    assert_eq!(doubts_of(&format!("{SHOP}[days]\nopen = \"Mon .. Sat\"\n")), [said]);
}

/// Frames are priced by what mouldings.csv says: once every offer is dearer, it is said.
#[test]
fn a_price_that_every_offer_is_above_is_pointed_out() {
    let doubts_of = |price: &str| {
        let offers = format!(
            "{OFFER_HEADER}HAZEL,ASH-20,length,120,{price},ft,,,,\n\
             HAZEL,ASH-20,length,96,30,stick,,,,\n"
        );
        let all = longpoint::shop::doubts(
            &read_files(&folder(&[("offers.csv", offers.as_bytes())])).unwrap(),
        );
        all.into_iter().filter(|doubt| doubt.contains("below")).collect::<Vec<_>>()
    };
    // 96 in at 30.00 are 3.75 a foot; the list says 2.35.
    assert_eq!(doubts_of("2.35"), Vec::<String>::new());
    let said = "mouldings.csv: the price of ASH-20 is below every offer of it (frames are priced \
                by it: is it still so?)";
    assert_eq!(doubts_of("2.36"), [said]);
}

#[test]
fn rules_for_prices() {
    let price = |keys: &str| faults("shop.toml", &format!("{SHOP}\n[price]\n{keys}\n"));
    assert_snapshot!(price("footage = \"feet\"\nwaste = \"10 %\"\nfootage_step = 0\nmarkup = \"0\"\nround = \"0\""), @r#"
    shop.toml, line 22, price.footage: "feet" is not one of rule, rails (write one of these words)
    shop.toml, line 23, price.waste: "10 %" is not a number (write digits with a point, such as 4.85)
    shop.toml, line 24, price.footage_step: "0" is not more than zero (write the step of footage)
    shop.toml, line 25, price.markup: "0" is not more than zero (write a markup)
    shop.toml, line 26, price.round: "0" is not more than zero (write what prices are rounded to)
    "#);
    assert_snapshot!(price("markup = \"3; 2.5\"\nlabour = \"12 from 40\"\nminimum = \"100000.01\"\ntax_in = \"yes\"\nrate = 3"), @r#"
    shop.toml, line 22, price.markup: "3; 2.5" is not a step (write 3 or 3.5; 3 from 4.00)
    shop.toml, line 23, price.labour: "12 from 40" is not a step (write 12; 18 from 40)
    shop.toml, line 24, price.minimum: "100000.01" is too large to be meant (is a decimal point missing?)
    shop.toml, line 25, price.tax_in: "yes" belongs to shops that write a tax only (leave it empty here)
    shop.toml, line 26: "price.rate" is not known here (known are footage, waste, footage_step, markup, classes, materials, materials_waste, labour, minimum, round, tax, tax_in)
    "#);
    assert_snapshot!(price("markup = 1001\n[price.classes]\ngilded = \"twice\"\nplain = \"\""), @r#"
    shop.toml, line 22, price.markup: "1001" is too large to be meant (is a decimal point missing?)
    shop.toml, line 24, price.classes.gilded: "twice" is not a number (write digits with a point, such as 4.85)
    shop.toml, line 25, price.classes.plain: is empty (write what list cost is multiplied by, such as "3")
    "#);
}

#[test]
fn a_class_and_a_promise_need_what_they_name() {
    let toml = format!("{SHOP}\n[price.classes]\ngilded = 3\n");
    let header = "moulding,width,rabbet,stick,class\n";
    let rows = format!("{header}ASH-20,1,1/4,96,gilded\nOAK,1,1/4,96,guilded\n");
    let both = folder(&[("shop.toml", toml.as_bytes()), ("mouldings.csv", rows.as_bytes())]);
    assert_snapshot!(faults_of(both), @r#"mouldings.csv, row 3, class: "guilded" is not in [price.classes] of shop.toml (did you mean gilded?)"#);
    let rows = "frame,moulding,width,height,due,promised\n1,ASH-20,8,10,,yes\n2,ASH-20,8,10,2026-12-01,maybe\n";
    assert_snapshot!(faults("frames.csv", rows), @r#"
    frames.csv, row 2, due: is empty (write the day that was promised)
    frames.csv, row 3, promised: "maybe" is not one of yes, no (write one of these words)
    "#);
}

#[test]
fn what_becomes_of_a_small_order() {
    let text = "supplier,minimum,below_minimum,lead_days\nHAZEL,,,3\nELM,30,never,3\n";
    assert_snapshot!(faults("suppliers.csv", text), @r#"
    suppliers.csv, row 3, below_minimum: "never" is not one of charged, refused (write one of these words)
    "#);
}

#[test]
fn discounts_and_what_small_orders_cost() {
    let header = "supplier,lead_days,account,address,email,discount,small_below,small_charge\n";
    let faults =
        |row: &str| faults("suppliers.csv", &format!("{header}HAZEL,3,1,a; b,c,0.5,9,1\n{row}\n"));
    assert_snapshot!(faults("ELM,3,,,,10,50,"), @r#"
    suppliers.csv, row 3, discount: "10" is no discount (write the share taken off, below 1 and to four decimals, as 0.125)
    suppliers.csv, row 3, small_charge: is empty (write the charge for a smaller order)
    "#);
    assert_snapshot!(faults("ELM,3,,,,0.12345,,5"), @r#"
    suppliers.csv, row 3, discount: "0.12345" is no discount (write the share taken off, below 1 and to four decimals, as 0.125)
    suppliers.csv, row 3, small_charge: "5" stands without small_below (write both, or leave both empty)
    "#);
    assert_snapshot!(faults("ELM,3,,,,1,x,5"), @r#"
    suppliers.csv, row 3, discount: "1" is no discount (write the share taken off, below 1 and to four decimals, as 0.125)
    suppliers.csv, row 3, small_below: "x" is not a number (write digits with a point, such as 4.85)
    "#);
}

#[test]
fn dates_of_offers_and_the_least_of_a_line() {
    let header = "supplier,moulding,form,lengths,price,per,code,least_count,from,until,out_until\n";
    let faults = |rows: &str| faults("offers.csv", &format!("{header}{rows}\n"));
    assert_snapshot!(faults("HAZEL,ASH-20,length,96,4,ft,,0,2026-12-01,2026-11-01,maybe"), @r#"
    offers.csv, row 2, least_count: "0" is not a whole number from 1 to 10000 (write it in digits)
    offers.csv, row 2, until: "2026-11-01" is before from (write the first day in from and the last in until)
    offers.csv, row 2, out_until: "maybe" is not a date (write year, month and day as 2026-03-05)
    "#);
    assert_snapshot!(faults("HAZEL,ASH-20,chop,6 .. 60,4,ft,,3,,,no"), @r#"
    offers.csv, row 2, least_count: "3" belongs to sticks and boxes only (leave it empty here)
    "#);
    // One after the other is no offer twice; on a day of both it is.
    let one = "HAZEL,ASH-20,length,96,4,ft,,,,2026-11-30,\n";
    let two = "HAZEL,ASH-20,length,96,5,ft,,,2026-12-01,,\n";
    let both = "HAZEL,ASH-20,length,96,6,ft,,,2026-11-30,2026-11-30,";
    assert_snapshot!(faults(&format!("{one}{two}{both}")), @r#"
    offers.csv, row 4, lengths: "96" is offered already in row 2 in the same form (join the two, or give other lengths or dates)
    "#);
}

/// An offer's row under a header with everything that an offer may say.
fn terms_of_offer(row: &str) -> String {
    const HEADER: &str = "supplier,moulding,form,lengths,price,per,box,steps,least,fee,note\n";
    faults("offers.csv", &format!("{HEADER}{row}\n"))
}

#[test]
fn boxes_and_chops_say_what_they_hold_and_cut() {
    assert_snapshot!(terms_of_offer("HAZEL,ASH-20,box,120,90,box,9 ft,,,,"), @r#"offers.csv, row 2, box: "9 ft" is not one stick or more (write sticks as 12, or their length together as 100 ft)"#);
    assert_snapshot!(terms_of_offer("HAZEL,ASH-20,box,84 .. 120,90,box,dozen,,,,"), @r#"offers.csv, row 2, box: "dozen" is not one stick or more (write sticks as 12, or their length together as 100 ft)"#);
    assert_snapshot!(terms_of_offer("HAZEL,ASH-20,box,120,90,box,100.5,,,2,"), @r#"
    offers.csv, row 2, box: "100.5" is not one stick or more (write sticks as 12, or their length together as 100 ft)
    offers.csv, row 2, fee: "2" belongs to chops only (leave it empty here)
    "#);
    assert_snapshot!(terms_of_offer("HAZEL,ASH-20,chop,60,4,ft,,,48,-2,"), @r#"
    offers.csv, row 2, lengths: "60" is not a range (write the shortest and the longest rail that they cut, as 6 .. 60)
    offers.csv, row 2, fee: "-2" is below zero (write it without the minus)
    "#);
    assert_snapshot!(terms_of_offer("HAZEL,ASH-20,length,12; 120,4,ft,,,,,"), @r#"offers.csv, row 2, lengths: "12; 120" is not longer than the shortest offcut kept, 12 in (mend it, or keep in shop.toml)"#);
}

#[test]
fn steps_that_overlap_are_refused_and_dearer_ones_are_pointed_out() {
    assert_snapshot!(offers("HAZEL,ASH-20,length,120,4,ft,,3.50 from 50; 3.40 from 50,,"), @r#"offers.csv, row 2, steps: "3.50 from 50; 3.40 from 50" does not begin above the step before it (write the steps in rising order)"#);
    let text =
        format!("{OFFER_HEADER}HAZEL,ASH-20,length,120,4,ft,,3.50 from 50; 3.60 from 100,,\n");
    let shop = read_files(&folder(&[("offers.csv", text.as_bytes())])).unwrap();
    assert!(shop.offers[0].is_dearer_for_more());
    let good = read_files(&folder(&[])).unwrap();
    assert!(!good.offers[0].is_dearer_for_more());
}

#[test]
fn rules_for_buying() {
    let buying = |lines: &str| faults("shop.toml", &format!("{SHOP}\n[buying]\n{lines}"));
    assert_snapshot!(buying("spare = \"1.5\"\nrestock = \"often\"\nspare_most = \"-1\"\n"), @r#"
    shop.toml, line 22, buying.spare: "1.5" is more than 1 (write the share between 0 and 1, such as 0.5)
    shop.toml, line 23, buying.restock: "often" is not one of when it pays, always (write one of these words)
    shop.toml, line 24, buying.spare_most: "-1" is below zero (write it without the minus)
    "#);
    assert_snapshot!(buying("spair = \"1\"\n"), @r#"shop.toml, line 22: "buying.spair" is not known here (known are spare, spare_most, restock, cover_months, beyond_most, waste)"#);
    assert_snapshot!(buying("cover_months = \"1.2345\"\nbeyond_most = \"3.5\"\n"), @r#"
    shop.toml, line 22, buying.cover_months: "1.2345" has more than 3 decimals (round it to 3)
    shop.toml, line 23, buying.beyond_most: "3.5" is not a whole number from 0 to 1000 (write it in digits)
    "#);
    assert_snapshot!(buying("cover_months = \"121\"\nbeyond_most = 1001\n"), @r#"
    shop.toml, line 22, buying.cover_months: "121" is more than 120 (is a decimal point missing?)
    shop.toml, line 23, buying.beyond_most: "1001" is not a whole number from 0 to 1000 (write it in digits)
    "#);
    let rows = "moulding,width,rabbet,stick,monthly\nASH-20,1,1/4,108,-2\nB,1,1/4,108,two\n";
    assert_snapshot!(faults("mouldings.csv", rows), @r#"
    mouldings.csv, row 2, monthly: "-2" is below zero (write it without the minus)
    mouldings.csv, row 3, monthly: "two" is not a number (write digits with a point, such as 4.85)
    "#);
    let text = format!("{SHOP}\n[buying]\nspare = \"0.25\"\nrestock = \"always\"\n");
    let shop = read_files(&folder(&[("shop.toml", text.as_bytes())])).unwrap();
    assert_eq!(shop.settings.buying.spare, 250_000);
    assert_eq!(shop.settings.buying.restock, Restock::Always);
    assert_eq!(shop.settings.buying.waste, 100_000);
}

#[test]
fn offers_that_cannot_be() {
    assert_snapshot!(offers("HAZEL,ASH-20,length,120,2.35,box,12,,48,"), @r#"
    offers.csv, row 2, per: "box" is no unit for whole sticks (write ft, m or stick)
    offers.csv, row 2, box: "12" belongs to boxes only (leave it empty here)
    offers.csv, row 2, least: "48" belongs to chops only (leave it empty here)
    "#);
    assert_snapshot!(offers("HAZEL,ASH-20,box,120,90,box,,,,"), @"offers.csv, row 2, box: is empty (write how many sticks are in a carton, or how much length)");
    assert_snapshot!(offers("HAZEL,ASH-20,chop,60 .. 6,4,stick,,,,"), @r#"
    offers.csv, row 2, lengths: "60 .. 6" begins after it ends (write the smaller length first)
    offers.csv, row 2, per: "stick" is no unit for chops (write ft or m)
    "#);
    assert_snapshot!(offers("HAZEL,ASH-20,lengths,0,4,ft,,,,"), @r#"
    offers.csv, row 2, form: "lengths" is not one of length, box, chop (did you mean length?)
    offers.csv, row 2, lengths: "0" is not more than zero (write a length)
    "#);
    assert_snapshot!(offers("HAZEL,ASH-20,length,120,4,ft,,3.50,,"), @r#"offers.csv, row 2, steps: "3.50" is not a step (write the lower price and from how many it holds, as 4.10 from 50; 3.80 from 100)"#);
}

// All together.

#[test]
fn all_faults_of_all_files_at_once_and_in_order() {
    let files = folder(&[
        ("offers.csv", format!("{OFFER_HEADER}OAK,ASH-20,length,120,2.35,ft,,,,\n").as_bytes()),
        ("rack.csv", format!("{RACK_HEADER}S1,,x,,,,\n,ASH-20,-1,,,,\n").as_bytes()),
        ("shop.toml", SHOP.replace("1/16", "a bit").as_bytes()),
        ("mouldings.csv", format!("{MOULDINGS}X,,1,wide,,96,,,best,,,\n").as_bytes()),
    ]);
    assert_snapshot!(faults_of(files), @r#"
    shop.toml, line 14, cutter.chopper.nick: "a bit" is not a length (write 12.5, 12 1/2 or 317.5 mm)
    mouldings.csv, row 5, rabbet: "wide" is not a length (write 12.5, 12 1/2 or 317.5 mm)
    mouldings.csv, row 5, match: "best" is not one of any, lot, halves, stick, wrap (write one of these words)
    rack.csv, row 2, moulding: is empty (write the moulding's code)
    rack.csv, row 2, length: "x" is not a length (write 12.5, 12 1/2 or 317.5 mm)
    rack.csv, row 3, stick: is empty (write the label on its marked end)
    rack.csv, row 3, length: "-1" is below zero (lengths have no minus sign)
    offers.csv, row 2, supplier: "OAK" is not in suppliers.csv (add it there, or mend it here)
    "#);
}

#[test]
fn a_faulty_moulding_is_not_also_a_missing_one() {
    let mouldings = MOULDINGS.replace("ASH-20,Ash,3/4", "ASH-20,Ash,wide");
    assert_snapshot!(faults("mouldings.csv", &mouldings), @r#"mouldings.csv, row 2, width: "wide" is not a length (write 12.5, 12 1/2 or 317.5 mm)"#);
    assert_snapshot!(faults("mouldings.csv", &MOULDINGS.replace("moulding,", "code,")), @r#"
    mouldings.csv, row 1: "code" is not known here (known are moulding, name, width, rabbet, depth, stick, price, per, match, cutter, kind, allowance, keep_on_rack, monthly, class, height, seen, weight, wood)
    mouldings.csv, row 1, moulding: the column is missing (add it to the header row: the moulding's code)
    "#);
}

#[test]
fn a_long_text_is_cut_when_it_is_repeated() {
    assert_snapshot!(frames(&format!("1,,{},8,10,,,,,,,,,", "X".repeat(5000))), @r#"frames.csv, row 2, moulding: "XXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXX…" is longer than 40 letters (shorten it)"#);
    let note = "n".repeat(2001);
    assert_snapshot!(frames(&format!("1,,ASH-20,8,10,,,,,,,,,{note}")), @r#"frames.csv, row 2, note: "nnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnn…" is longer than 2000 letters (shorten it)"#);
}

/// What a spreadsheet makes of fractions is named as that, with the fraction.
#[test]
fn a_fraction_that_became_a_date_is_named_as_one() {
    for date in ["2026-04-03", "03/04/2026", "3-Apr"] {
        let said = rack(&format!("S1,ASH-20,{date},,,,"));
        assert!(said.contains(&format!("length: \"{date}\" is a date")), "{said}");
        assert!(said.contains("write 3/4 or 0.75"), "{said}");
    }
}

/// A file that is parted by semicolons throughout is read as it is, with decimal commas
/// if all its figures have them, and never half and half.
#[test]
fn semicolons_and_decimal_commas_are_read_when_a_whole_file_has_them() {
    let frames = "frame;moulding;width;height;note\n1;ASH-20;8,5;10;\"for A, B; C\"\n\n2;ASH-20;12 1/2;9,25;1,5\n";
    let files = folder(&[("frames.csv", frames.as_bytes())]);
    let shop = read_files(&files).unwrap();
    let inches = |text: &str| parse_length(text, Unit::Inch).unwrap();
    let sizes: Vec<_> = shop.frames.iter().map(|frame| (frame.width, frame.height)).collect();
    assert_eq!(sizes, [(inches("8.5"), inches("10")), (inches("12.5"), inches("9.25"))]);
    assert_eq!(shop.frames[0].note, "for A, B; C");
    assert_eq!(shop.frames[1].note, "1,5", "words are left as they are");
    let how = written_otherwise(&files);
    assert_eq!(how, [("frames.csv", "with semicolons between its cells and decimal commas")]);
    let points = frames.replace("8,5", "8.5").replace("9,25", "9.25");
    let pointed = read_files(&folder(&[("frames.csv", points.as_bytes())])).unwrap();
    assert_eq!(pointed.frames, shop.frames);
    assert_snapshot!(faults("frames.csv", &frames.replace("9,25", "9.25")), @r#"frames.csv, row 4, height: "9.25" has a decimal point, and other cells of the file have decimal commas (write all of them one way)"#);
    assert_snapshot!(faults("frames.csv", "frame,moulding,width,height\n1,ASH-20,\"8,5\",10\n"), @r#"frames.csv, row 2, width: "8,5" is not a length (write 8.5 with a point, not a comma)"#);
}

/// Polygons have no height, and a file of them alone needs no column for it.
#[test]
fn a_file_of_polygons_needs_no_height() {
    let hexagons = "frame,moulding,width,sides\n1,ASH-20,8,6\n2,ASH-20,9,8\n";
    let shop = read_files(&folder(&[("frames.csv", hexagons.as_bytes())])).unwrap();
    assert_eq!(shop.frames[0].width, shop.frames[0].height);
    assert_snapshot!(faults("frames.csv", &hexagons.replace("9,8", "9,4")), @"frames.csv, row 3, height: is empty (write the package's height)");
}

/// Which mitres a machine cuts, and how short a rail it holds.
#[test]
fn what_a_machine_can_do() {
    for (mitres, right) in [("45", true), ("45; 30", true), ("22.5° .. 45°", true), ("91", false)]
    {
        let text = SHOP.replace("stop = ", &format!("mitres = \"{mitres}\"\nstop = "));
        assert_eq!(
            read_files(&folder(&[("shop.toml", text.as_bytes())])).is_ok(),
            right,
            "{mitres}"
        );
    }
    assert_snapshot!(shop("stop = ", "mitres = \"square\"\nstop = "), @r#"shop.toml, line 19, cutter.chopper.mitres: "square" is not a mitre (write degrees off square: "45", "45; 30" or "22.5 .. 45")"#);
    assert_snapshot!(shop("shortest = \"5\"", "shortest = \"0\""), @r#"shop.toml, line 18, cutter.chopper.shortest: "0" is not more than zero (write the shortest rail that it can hold safely)"#);
}

/// What offcuts are worth never falls, and lies between what is kept and a whole stick.
#[test]
fn what_offcuts_are_worth() {
    let worth = |rows: &str| faults("worth.csv", &format!("moulding,length,worth\n{rows}"));
    let good = b"moulding,length,worth\nBLK-20,24,0.5\nBLK-20,48,0.5\nBLK-20,60,1\n";
    let shop = read_files(&folder(&[("worth.csv", good)])).unwrap();
    assert_eq!(shop.mouldings["BLK-20"].worths.len(), 3);
    assert_snapshot!(worth("NONE,24,0.5\nBLK-20,1,2\n"), @r#"
    worth.csv, row 2, moulding: "NONE" is not in mouldings.csv (add it there, or mend it here)
    worth.csv, row 3, worth: "2" is more than 1 (write the share between 0 and 1, such as 0.5)
    "#);
    assert_snapshot!(worth("BLK-20,1,0.9\nBLK-20,400,0.9\n"), @r#"
    worth.csv, row 2, length: "1" is not from 12 in up to below 108 in (leave the row out)
    worth.csv, row 3, length: "400" is not from 12 in up to below 108 in (leave the row out)
    "#);
    assert_snapshot!(worth("BLK-20,24,0.1\nBLK-20,30,0.8\nBLK-20,40,0.7\nBLK-20,30,0.9\n"), @r#"
    worth.csv, row 2, worth: "0.1" does not go on from 0.5 at 12 in (write a moulding's rows from the shortest to the longest, none worth less than a shorter one)
    worth.csv, row 4, worth: "0.7" does not go on from 0.8 at 30 in (write a moulding's rows from the shortest to the longest, none worth less than a shorter one)
    worth.csv, row 5, length: "30" does not go on from 0.8 at 30 in (write a moulding's rows from the shortest to the longest, none worth less than a shorter one)
    "#);
    assert_snapshot!(
        worth("BLK-20,30,1\nBLK-20,31,1\nBLK-20,32,1\nBLK-20,33,1\nBLK-20,34,1\n"),
        @r#"worth.csv, row 6, length: "34" is one row too many of its moulding (write 4 at most beside that of keep)"#
    );
}
