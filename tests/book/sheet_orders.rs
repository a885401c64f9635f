//! Boards and glass on the order: what lacks is ordered once, comes in part and late, is given
//! up and billed, and each step of it can be undone.

use std::path::Path;

use assert_cmd::Command;

use crate::shops::{Files, SETTINGS, begin, files};

const RULES: &str = "[sheet.GLASS]\ncut = \"scored\"\nkeep = \"6\"\n[sheet.MAT]\ncut = \"knife\"\n";

const WEEK: &str = "ticket,material,what,width,height,count
17,GLASS,glass,30,40,5
18,GLASS,glass,40,60,
19,MAT,mat,20,24,
";

fn shop(materials: &str) -> Files {
    let mut all = files();
    let texts = [
        ("shop.toml", format!("{SETTINGS}{RULES}")),
        (
            "sheets.csv",
            "label,material,width,height,count\nG-1,GLASS,36,48,2\nM-1,MAT,32,40,0\n".to_owned(),
        ),
        (
            "suppliers.csv",
            "supplier,name,lead_days,freight\nHAZEL,Hazel Glass,3,9; 0 from 100\n".to_owned(),
        ),
        ("materials.csv", materials.to_owned()),
        // Nothing of moulding lacks.
        ("frames.csv", "frame,moulding,width,height\n1,ASH,8,10\n".to_owned()),
    ];
    all.extend(texts.map(|(name, text)| (name.to_owned(), text.into_bytes())));
    all
}

const MATERIALS: &str = "material,kind,name,thick,sheets,price,per,supplier,code
GLASS,glass,Clear glass,2 mm,36x48,24.50,sheet,HAZEL,HG2
MAT,mat,White board,1.5 mm,32x40,3.10,sq ft,,
";

fn said(dir: &Path, day: &str, args: &[&str]) -> (i32, String) {
    let mut command = Command::cargo_bin("longpoint").unwrap();
    command.current_dir(dir).args(args);
    if !["audit", "sheets", "plan"].contains(&args[0]) {
        command.args(["--at", &format!("{day}T08:00")]);
    }
    let output = command.output().unwrap();
    let text = [output.stdout, output.stderr].concat();
    (output.status.code().unwrap(), String::from_utf8(text).unwrap())
}

fn did(dir: &Path, day: &str, args: &[&str]) -> String {
    let (code, text) = said(dir, day, args);
    assert_eq!(code, 0, "{args:?}: {text}");
    text
}

#[test]
fn what_lacks_is_ordered_once_and_comes_in_part() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path();
    drop(begin(path, &shop(MATERIALS)));
    std::fs::write(path.join("week.csv"), WEEK).unwrap();
    const DAY: &str = "2026-11-25";
    let ordered =
        ["order", "shop.book", "--pieces", "week.csv", "--out", "out", "--xlsx", "o.xlsx"];
    let placed = did(path, DAY, &ordered).replace('\n', " ");
    // Five panes need a sheet each, two stand there. What has no supplier or no room is said.
    for words in [
        "from Hazel Glass (HAZEL), arrives 2026-11-28",
        "line 1: 3 x GLASS by the sheet, 36 x 48 in, 73.50 USD",
        "HAZEL: goods 73.50 + carriage 9.00 = 82.50 USD To pay 82.50 USD.",
        "; not on the order, since materials.csv names no supplier of it.",
        "TO BUY: 1 of MAT, 32 x 40 in, for ",
        "18 glazing of GLASS has no room on any sheet that is bought.",
    ] {
        assert!(placed.contains(words), "{words}\n{placed}");
    }
    let file = |name: &str| std::fs::read_to_string(path.join("out").join(name)).unwrap();
    for (name, words) in [
        ("order.csv", "HAZEL,sheet,GLASS,36 x 48 in,3,73.50,USD"),
        ("order.html", "<b>HG2</b></td><td><b>GLASS</b>"),
        ("order-HAZEL.txt", "HG2 (GLASS, Clear glass)"),
        ("order-HAZEL.txt", "82.50 USD"),
    ] {
        assert!(file(name).contains(words), "{name}: {words}\n{}", file(name));
    }
    assert!(path.join("o.xlsx").exists());
    // What is on order is not ordered again, nor what stands there.
    let (code, again) = said(path, DAY, &["order", "shop.book", "--pieces", "week.csv"]);
    assert!(code == 2 && again.contains("on order already: line 1"), "{again}");
    let shown = did(path, "2026-12-02", &["order", "shop.book", "--open"]);
    assert!(shown.contains("OVERDUE: Order 1") && shown.contains("36 x 48 in"), "{shown}");
    let (code, wrong) = said(path, DAY, &["receive", "shop.book", "--line", "1", "--count", "4"]);
    assert!(code == 2 && wrong.contains("of line 1 3 are still to come"), "{wrong}");
    let (code, wrong) = said(path, DAY, &["receive", "shop.book", "--line", "1", "--length", "48"]);
    assert!(code == 2 && wrong.contains("line 1 is of sheets of GLASS"), "{wrong}");
    let came = did(path, "2026-11-28", &["receive", "shop.book", "--line", "1", "--count", "1"]);
    assert!(came.contains("3 whole sheets there now."), "{came}");
    assert!(came.contains("2 of line 1 are still to come."), "{came}");
    did(path, DAY, &["audit", "shop.book"]);
    // One is given up: the next order has it again, and the rest comes.
    let left = did(path, "2026-11-28", &["order", "shop.book", "--drop", "1=1"]);
    assert!(left.contains("1 of 3 came, 1 of 3 given up"), "{left}");
    let again = did(path, "2026-11-28", &["order", "shop.book", "--pieces", "week.csv"]);
    assert!(again.contains("line 2: 1 x GLASS by the sheet, 36 x 48 in, 24.50 USD"), "{again}");
    let came = did(path, "2026-11-30", &["receive", "shop.book", "--line", "1"]);
    assert!(came.contains("4 whole sheets there now."), "{came}");
    did(path, DAY, &["audit", "shop.book"]);
    let billed = ["invoice", "shop.book", "--order", "1", "--goods", "49.00", "--carriage", "9.00"];
    let reckoned = did(path, "2026-12-01", &billed);
    assert!(reckoned.contains("3 x 36 x 48"), "{reckoned}");
    let cut = did(path, "2026-12-01", &["sheets", "shop.book", "--pieces", "week.csv"]);
    assert!(cut.contains("TO BUY: 1 whole sheet of 36 x 48 in."), "{cut}");
    did(path, DAY, &["audit", "shop.book"]);
    for what in ["invoice", "receive", "order", "drop", "receive", "order"] {
        let undone = did(path, "2026-12-01", &["undo", "shop.book"]);
        assert!(undone.contains(what), "{what}: {undone}");
        did(path, DAY, &["audit", "shop.book"]);
    }
    assert!(did(path, DAY, &["order", "shop.book", "--open"]).contains("Nothing is on order."));
}

/// Glass without a price was left out of what there is to pay, and neither the shop nor the
/// supplier was told.
#[test]
fn what_has_no_price_is_named_beside_the_total() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path();
    drop(begin(path, &shop(&MATERIALS.replace("24.50,sheet", ","))));
    std::fs::write(path.join("week.csv"), WEEK).unwrap();
    did(path, "2026-11-25", &["order", "shop.book", "--pieces", "week.csv", "--out", "out"]);
    let file = |name: &str| {
        let text = std::fs::read_to_string(path.join("out").join(name)).unwrap();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    for (name, words) in [
        ("order-HAZEL.txt", "together, without what has no price 9.00 USD"),
        ("order-HAZEL.txt", "Please say what this costs: 3 sheets of GLASS, 36 x 48 in."),
        ("order.html", "Together, without what has no price"),
        ("order.html", "Please say what this costs: 3 sheets of GLASS, 36 x 48 in."),
    ] {
        assert!(file(name).contains(words), "{name}: {words}\n{}", file(name));
    }
}

/// Two sheets are counted, three panes of 30 x 40 want one each. The pick list named only what
/// nothing at all is counted of; what is on order, and what is cut already, is not bought again.
#[test]
fn the_pick_list_says_what_lacks_of_what_is_counted() {
    let mut all = shop(MATERIALS);
    let sticks = (1..=7).map(|at| format!("T-{at},ASH,120\n")).collect::<String>();
    let texts = [
        ("rack.csv", format!("stick,moulding,length\n{sticks}")),
        ("frames.csv", "frame,moulding,width,height,copies\n1,ASH,,,3\n2,ASH,,,\n".to_owned()),
        (
            "jobs.csv",
            "frame,art,art_width,art_height,glazing\n1,none,30,40,GLASS\n2,none,8,10,\n".to_owned(),
        ),
    ];
    all.extend(texts.map(|(name, text)| (name.to_owned(), text.into_bytes())));
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path();
    drop(begin(path, &all));
    const DAY: &str = "2026-11-25";
    let read = || {
        let page = std::fs::read_to_string(path.join("out/jobs.html")).unwrap();
        let glass = page.split("<b>GLASS</b> ").nth(1).unwrap_or_default();
        glass.split("</td>").next().unwrap_or_default().to_owned()
    };
    let picked = || {
        did(path, DAY, &["plan", "shop.book", "--today", DAY, "--out", "out"]);
        read()
    };
    assert_eq!(picked(), "Clear glass <b>to buy</b>: 1 of 36 x 48 in");
    let placed = did(path, DAY, &["order", "shop.book"]);
    assert!(placed.contains("line 1: 1 x GLASS by the sheet, 36 x 48 in"), "{placed}");
    assert_eq!(picked(), "Clear glass <b>on order</b>: 1 of 36 x 48 in");
    did(path, DAY, &["sheets", "shop.book", "--jobs", "--cut"]);
    assert_eq!(picked(), "Clear glass <b>on order</b>: 1 of 36 x 48 in");
    did(path, DAY, &["receive", "shop.book", "--line", "1"]);
    did(path, DAY, &["take", "shop.book", "--out", "out"]);
    assert_eq!(read(), "Clear glass");
}

/// What `sheets.csv` says nothing of comes in the sizes of `materials.csv`, once that says who
/// sells it; it is received under its code, and a code that is cut short is named whole.
#[test]
fn what_is_in_no_sheets_file_is_ordered_by_its_size() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path();
    let foam = "FOAM-5,board,Foam,5 mm,40x60,11.00,sheet,HAZEL,F5\n\
                TISSUE,board,Tissue,1 mm,,,,,\n";
    drop(begin(path, &shop(&format!("{MATERIALS}{foam}"))));
    let week = "ticket,material,what,width,height,count\n17,FOAM-5,backing,30,40,2\n\
                21,FOAM-5,backing,39,59,\n22,TISSUE,backing,10,10,\n";
    std::fs::write(path.join("week.csv"), week).unwrap();
    const DAY: &str = "2026-11-25";
    let seen = did(path, DAY, &["sheets", "shop.book", "--pieces", "week.csv"]);
    let seen = seen.replace('\n', " ");
    assert!(seen.contains("TO BUY: 2 whole sheets of 40 x 60 in."), "{seen}");
    let left_out = "left out: TISSUE (see that it is there, or buy it; write the size that is bought \
                    there";
    assert!(seen.contains(left_out), "{seen}");
    let ordered = ["order", "shop.book", "--pieces", "week.csv", "--out", "out"];
    let placed = did(path, DAY, &ordered).replace('\n', " ");
    let line = "line 1: 2 x FOAM-5 by the sheet, 40 x 60 in, 22.00 USD";
    assert!(placed.contains(line), "{placed}");
    assert!(
        placed.contains("Not in sheets.csv, and left out: TISSUE (see that it is there"),
        "{placed}"
    );
    // The line says for which tickets it is.
    let table = std::fs::read_to_string(path.join("out/order.html")).unwrap();
    assert!(table.contains("17, 21"), "{table}");
    let came = ["receive", "shop.book", "--material", "FOAM", "--size", "40x60"];
    let (code, wrong) = said(path, DAY, &came);
    assert!(code == 2 && wrong.contains("(did you mean FOAM-5?)"), "{wrong}");
    did(path, DAY, &["receive", "shop.book", "--line", "1"]);
    let listed = did(path, DAY, &["sheets", "shop.book"]);
    assert!(listed.contains("FOAM-5") && listed.contains("40 x 60 in"), "{listed}");
    did(path, DAY, &["audit", "shop.book"]);
}

/// A sheet and its remnant tell what came, went and became of them, as a stick does.
#[test]
fn a_sheet_has_its_history() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path();
    drop(begin(path, &shop(MATERIALS)));
    std::fs::write(
        path.join("week.csv"),
        "ticket,material,what,width,height\n17,GLASS,glass,16,20\n",
    )
    .unwrap();
    const DAY: &str = "2026-11-25";
    let cut = ["sheets", "shop.book", "--pieces", "week.csv", "--cut"];
    let cut = did(path, DAY, &cut);
    let label = cut.split("label it ").nth(1).unwrap().split_whitespace().next().unwrap();
    let told = |label: &str| {
        let output = Command::cargo_bin("longpoint")
            .unwrap()
            .current_dir(path)
            .args(["stick", "shop.book", label])
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(0));
        String::from_utf8(output.stdout).unwrap()
    };
    let whole = told("g-1");
    for words in ["G-1: whole sheets of GLASS, 1 there, 36 x 48 in", "opened", "-1", "became 17"] {
        assert!(whole.contains(words), "{words}: {whole}");
    }
    assert!(whole.contains(label), "{whole}");
    let remnant = told(label);
    assert!(remnant.contains("remnant of GLASS, there"), "{remnant}");
    assert!(remnant.contains("cut from G-1"), "{remnant}");
}

/// Where no supplier of a board or a glass is known, the order is as it was.
#[test]
fn without_suppliers_nothing_is_said_of_sheets() {
    let dir = tempfile::tempdir().unwrap();
    let none = MATERIALS.replace(",HAZEL,HG2", ",,");
    drop(begin(dir.path(), &shop(&none)));
    std::fs::write(dir.path().join("week.csv"), WEEK).unwrap();
    let (code, text) = said(dir.path(), "2026-11-25", &["order", "shop.book"]);
    assert!(code == 2 && text.contains("there is nothing to order"), "{text}");
    assert!(!text.contains("GLASS") && !text.contains("MAT"), "{text}");
    let listed = ["order", "shop.book", "--pieces", "week.csv"];
    let (code, text) = said(dir.path(), "2026-11-25", &listed);
    assert!(code == 2 && text.starts_with("--pieces: materials.csv names no supplier"), "{text}");
}

/// Of two sizes of a material that are on order the larger comes first: the smaller is still on
/// its way, and no sheet is ordered a second time.
#[test]
fn what_is_on_order_is_counted_once_some_of_its_material_came() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path();
    let mount = "MOUNT,board,Board,4 mm,32x40; 40x60,11.00,sheet,HAZEL,M4\n";
    drop(begin(path, &shop(&format!("{MATERIALS}{mount}"))));
    let week = "ticket,material,what,width,height,count\n17,MOUNT,backing,38,58,3\n\
                21,MOUNT,backing,30,38,1\n";
    std::fs::write(path.join("week.csv"), week).unwrap();
    const DAY: &str = "2026-11-25";
    let order = ["order", "shop.book", "--pieces", "week.csv"];
    let placed = did(path, DAY, &order);
    // Computed: one piece of 38 x 58 in a sheet, and 30 x 38 in fits the smaller sheet alone.
    let (large, small) = if placed.contains("line 1: 3 x MOUNT by the sheet, 40 x 60 in") {
        ("1", "2")
    } else {
        ("2", "1")
    };
    for line in [
        format!("line {large}: 3 x MOUNT by the sheet, 40 x 60 in"),
        format!("line {small}: 1 x MOUNT by the sheet, 32 x 40 in"),
    ] {
        assert!(placed.contains(&line), "{line}\n{placed}");
    }
    did(path, "2026-11-28", &["receive", "shop.book", "--line", large]);
    let (code, again) = said(path, "2026-11-28", &order);
    assert!(code == 2 && again.contains(&format!("on order already: line {small}")), "{again}");
    // One more piece lacks its own sheet, and no more than that.
    std::fs::write(path.join("week.csv"), week.replace("30,38,1", "30,38,2")).unwrap();
    let more = did(path, "2026-11-28", &order);
    assert!(more.contains("line 3: 1 x MOUNT by the sheet, 32 x 40 in"), "{more}");
}
