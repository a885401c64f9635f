//! What is said: on the screen, on the page, and of a list or a file that is wrong.

use std::collections::BTreeMap;

use insta::assert_snapshot;
use jiff::civil::date;
use longpoint::report::{sheets_csv, sheets_html, sheets_json, sheets_text};
use longpoint::sheets::{SheetPlan, label_after, plan_sheets};
use longpoint::shop::{SheetPiece, Shop, read_files, read_pieces};

const SETTINGS: &str = r#"
name = "Teasel Lane Framing"
unit = "in"
allowance = "1/8"
currency = "USD"
default_cutter = "saw"
[offcuts]
keep = "8"
worth = "0.5"
[cutter.saw]
kerf = "1/8"
passes = 1
nick = "0"
first_trim = "1"
last_trim = "1"
grip = "0"
shortest = "5"
stop = "long"
[sheet.GLASS]
cut = "scored"
keep = "6"
least_strip = "1/2"
[sheet.ACRYLIC]
cut = "sawn"
kerf = "1/8"
keep = "6"
keep_long = "12"
"#;

const SHEETS: &str = "label,material,width,height,count,place,note
G-1,GLASS,36,48,2,rack,
GR-1,GLASS,18,21,,rack,
A-1,ACRYLIC,24,48,0,,
M-1,MAT,32,40,3,drawer,
";

const PIECES: &str = "ticket,material,what,width,height,count,turn
17,GLASS,glass,16,20,2,
18,GLASS,glass,11 1/4,14,,
19,ACRYLIC,acrylic,12,16,3,
20,MAT,mat,40,32,,
20,MAT,mat,33,41,,
21,MAT,,12,38,,no
";

fn folder(changed: &[(&str, &str)]) -> BTreeMap<String, Vec<u8>> {
    let good = [
        ("shop.toml", SETTINGS),
        ("mouldings.csv", "moulding,width,rabbet,stick\nASH,1,1/4,108\n"),
        ("frames.csv", "frame,moulding,width,height\n1,ASH,8,10\n"),
        ("rack.csv", "stick,moulding,length\nS-1,ASH,108\n"),
        ("sheets.csv", SHEETS),
    ];
    let all = good.iter().chain(changed);
    all.map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec())).collect()
}

fn shop() -> Shop {
    read_files(&folder(&[])).unwrap_or_else(|faults| panic!("{faults}"))
}

fn pieces(shop: &Shop, text: &str) -> Vec<SheetPiece> {
    read_pieces(("week.csv", text.as_bytes()), shop).unwrap()
}

fn plans(shop: &Shop) -> Vec<SheetPlan> {
    let names = shop.sheets.iter().map(|sheet| sheet.label.as_str());
    let pieces = pieces(shop, PIECES);
    plan_sheets((&shop.sheets, &shop.sheet_rules), &pieces, label_after(names)).unwrap()
}

#[test]
fn on_the_screen() {
    let shop = shop();
    let text =
        sheets_text::stock(&shop.sheets, &shop) + "\n" + &sheets_text::plans(&plans(&shop), &shop);
    assert!(text.lines().all(|line| line.chars().count() <= 80));
    assert_snapshot!("screen", text);
}

/// A strip of a quarter of an inch does not come off: that is the reason, not the sheet's size.
#[test]
fn a_strip_that_does_not_come_off_is_named() {
    let shop = shop();
    let list = "ticket,material,what,width,height\n17,GLASS,glass,35 3/4,47 3/4\n\
                18,GLASS,glass,37,49\n";
    let pieces = pieces(&shop, list);
    let plans = plan_sheets((&shop.sheets, &shop.sheet_rules), &pieces, |_| String::new());
    let text = sheets_text::plans(&plans.unwrap(), &shop).replace('\n', " ");
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "NOT CUT: 17 glazing, 35 3/4 x 47 3/4, would leave a strip on 36 x 48 that is narrower \
         than the least_strip of shop.toml, 1/2, and cannot be broken off",
        "NOT CUT: 18 glazing, 37 x 49, has no room on any sheet or remnant",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
}

#[test]
fn on_the_page() {
    let shop = shop();
    let page = sheets_html::page(&plans(&shop), None, &shop, date(2026, 3, 9));
    let body = page.split("<body>").nth(1).unwrap();
    assert_snapshot!("page", body);
}

#[test]
fn for_other_programs_and_for_a_spreadsheet() {
    let shop = shop();
    let plans = plans(&shop);
    let json = sheets_json::plans(&plans, &shop);
    let read: serde_json::Value = serde_json::from_str(&json).unwrap();
    let glass = read["materials"].as_array().unwrap().iter().find(|of| of["material"] == "GLASS");
    let pieces = |sheet: &serde_json::Value| sheet["pieces"].as_array().unwrap().len();
    let glass = glass.unwrap();
    assert_eq!(glass["sheets"].as_array().unwrap().iter().map(pieces).sum::<usize>(), 3);
    assert_snapshot!("json", json);
    assert_snapshot!("stock_json", sheets_json::stock(&shop.sheets, &shop));
    let csv = sheets_csv::cuts(&plans, &shop);
    let cuts: usize = plans.iter().flat_map(|plan| &plan.sheets).map(|s| s.cut.cuts.len()).sum();
    let as_it_is = plans.iter().flat_map(|plan| &plan.sheets).filter(|s| s.cut.cuts.is_empty());
    assert_eq!(csv.trim_start_matches('\u{feff}').lines().count(), 1 + cuts + as_it_is.count());
    assert_snapshot!("cuts_csv", csv.trim_start_matches('\u{feff}').replace("\r\n", "\n"));
}

/// Names from files are text on a page and never more.
#[test]
fn hostile_names_stay_text() {
    let shop = read_files(&folder(&[(
        "sheets.csv",
        "label,material,width,height,count,place\n<b>,\"<script>x\",36,48,1,\"\"\"><img>\"\n",
    )]))
    .unwrap();
    let wanted = "ticket,material,what,width,height\n<i>,<script>x,<u>,10,10\n";
    let pieces = pieces(&shop, wanted);
    let plans =
        plan_sheets((&shop.sheets, &shop.sheet_rules), &pieces, label_after(std::iter::empty()));
    let page = sheets_html::page(&plans.unwrap(), None, &shop, date(2026, 3, 9));
    for tag in ["<script", "<img", "<i>", "<u>", "<b></"] {
        assert!(!page.contains(tag), "{tag}");
    }
}

#[test]
fn a_list_that_is_wrong_says_all_of_it() {
    let shop = shop();
    let list = "ticket,material,what,width,height,count,turn\n\
                ,GLASS,glass,16,20,,\n17,GLAS,glass,16,1x4,0,perhaps\n18,MAT,,0,20,2000,\n";
    let faults = read_pieces(("week.csv", list.as_bytes()), &shop);
    assert_snapshot!(faults.unwrap_err(), @r#"
    week.csv, row 2, ticket: is empty (write the ticket that it is for)
    week.csv, row 3, material: "GLAS" is not in sheets.csv (did you mean GLASS?)
    week.csv, row 3, height: "1x4" is not a length (write 12.5, 12 1/2 or 317.5 mm)
    week.csv, row 3, count: "0" is not a whole number from 1 to 1000 (write it in digits)
    week.csv, row 3, turn: "perhaps" is not one of yes, no (write one of these words)
    week.csv, row 4, width: "0" is not more than zero (write the width)
    week.csv, row 4, count: "2000" is not a whole number from 1 to 1000 (write it in digits)
    "#);
    let faults = read_pieces(("week.csv", b"ticket,material,width\n"), &shop);
    assert_snapshot!(faults.unwrap_err(), @"week.csv, row 1, height: the column is missing (add it to the header row: how high it is)");
}

#[test]
fn a_file_of_sheets_that_is_wrong_says_all_of_it() {
    let sheets = "label,material,width,height,count\nS-1,GLASS,36,48,1\nG-1,GLASS,0,48,-1\n\
                  G-1,,36,,\n";
    let faults = read_files(&folder(&[("sheets.csv", sheets)])).unwrap_err();
    assert_snapshot!(faults, @r#"
    sheets.csv, row 2, label: "S-1" is the label of a stick in rack.csv (give each its own)
    sheets.csv, row 3, width: "0" is not more than zero (write the width)
    sheets.csv, row 3, count: "-1" is not a whole number from 0 to 10000 (write it in digits)
    sheets.csv, row 4, label: "G-1" stands already in row 3 (give each its own)
    sheets.csv, row 4, material: is empty (write of what it is, such as GLASS-2)
    sheets.csv, row 4, height: is empty (write how high it is)
    "#);
    let keys = "[sheet.BOARD]\nkeep = \"8\"\nkerf = \"3\"\n[sheet.FOAM]\ncut = \"knife\"\n\
                kerf = \"1/8\"\nleast_strip = \"1/2\"\n[sheet.\" X\"]\ncut = \"sawed\"\nkeep = \"0\"\ngrain = \"so\"\n";
    let settings = format!("{SETTINGS}{keys}");
    let faults = read_files(&folder(&[("shop.toml", &settings)])).unwrap_err();
    assert_snapshot!(faults, @r#"
    shop.toml, line 28, sheet.BOARD.cut: is missing (write how it is parted: "scored", "knife" or "sawn")
    shop.toml, line 30, sheet.BOARD.kerf: "3" is more than 50 mm, which no kerf is (is the unit right?)
    shop.toml, line 33, sheet.FOAM.kerf: "1/8" belongs to what is sawn only (leave it empty here)
    shop.toml, line 34, sheet.FOAM.least_strip: "1/2" belongs to what is scored only (leave it empty here)
    shop.toml, line 35, sheet. X: is a name that is empty, or has a blank before or after it (write it without)
    shop.toml, line 36, sheet. X.cut: "sawed" is not one of scored, knife, sawn (write one of these words)
    shop.toml, line 37, sheet. X.keep: "0" is not more than zero (write the short side of what is kept)
    shop.toml, line 38, sheet. X.grain: "so" is not one of yes, no (did you mean no?)
    "#);
}

/// A kept remnant's label is free: not one that a sheet has, nor one given before.
#[test]
fn labels_are_never_used_twice() {
    let mut label = label_after(["G-1", "G-1.1", "G-1.3"].into_iter());
    let given = ["G-1", "G-1", "G-2", "G-1"].map(&mut label);
    assert_eq!(given, ["G-1.2", "G-1.4", "G-2.1", "G-1.5"]);
}
