//! Toughened glass: it cannot be cut after it is made, so it is ordered as large as it is wanted
//! and is on no layout. "Cannot be cut": from memory, no source read.

use longpoint::measure::Length;
use longpoint::morning::plan;
use longpoint::report::{
    job_csv, job_html, job_json, job_text, order_files, sheets_csv, sheets_html, sheets_json,
    sheets_text,
};
use longpoint::sheet_order::{SheetsComing, lacking, laid_out, of_jobs, sheet_order, with_sheets};
use longpoint::sheets::{SheetFrom, SheetPlan, plan_sheets};
use longpoint::shop::{Shop, doubts, read_files, read_pieces};
use longpoint::solve::Limits;
use longpoint::ticket::{cautions, job_sheets, steps};

use crate::folder::{Files, TODAY, files, of};
use crate::size::inches;

/// A shop with toughened glass on its list, and these sheets.
fn folder(sheets: &str) -> Files {
    let mut files = files("1,,PINE,,,,,,\n", "1,,16,20,,,,,edge,,,,,,,THIN,,TOUGH,,FOAM,,bed,\n");
    let materials = String::from_utf8(files["materials.csv"].clone()).unwrap();
    let row = "TOUGH,glass,Pane,4 mm,,,,60.00,m2,,,,toughened,\n";
    files.insert("materials.csv".to_owned(), (materials + row).into_bytes());
    let sheets = format!("label,material,width,height,count,place\n{sheets}");
    files.insert("sheets.csv".to_owned(), sheets.into_bytes());
    files
}

fn shop(sheets: &str) -> Shop {
    read_files(&folder(sheets)).unwrap_or_else(|faults| panic!("{faults}"))
}

fn plans(shop: &Shop) -> Vec<SheetPlan> {
    let wanted = of_jobs(shop, TODAY).unwrap();
    laid_out(shop, wanted, &SheetsComing::new()).unwrap().0
}

fn toughened(shop: &Shop) -> SheetPlan {
    plans(shop).into_iter().find(|plan| plan.material == "TOUGH").expect("it is not left out")
}

const LARGE: &str = "T-9,TOUGH,36,48,5,rack\nT-8,TOUGH,17,21,,rack\n";

/// A sheet and a remnant that are larger are never cut: the pane is ordered in its own size.
#[test]
fn it_is_never_cut_from_what_is_larger() {
    let shop = shop(LARGE);
    let plan = toughened(&shop);
    assert_eq!(plan.sheets.len(), 1);
    let pane = &plan.sheets[0].cut;
    assert!(matches!(pane.from, SheetFrom::ToBuy(_)), "{pane:?}");
    assert_eq!((pane.size, pane.cuts.len(), pane.left.len()), (inches("16", "20"), 0, 0));
    assert_eq!(plan.without, Vec::<usize>::new());
}

/// A pane of exactly the size serves as it is, turned too.
#[test]
fn a_pane_of_its_size_serves_as_it_is() {
    for own in ["T-1,TOUGH,16,20,,rack\n", "T-1,TOUGH,20,16,,rack\n", "T-1,TOUGH,16,20,1,rack\n"] {
        let plan = toughened(&shop(&format!("{LARGE}{own}")));
        assert_eq!((plan.sheets.len(), plan.sheets[0].label.as_str()), (1, "T-1"), "{own}");
        assert!(plan.sheets[0].cut.cuts.is_empty() && plan.sheets[0].cut.left.is_empty());
    }
    // Hardly larger is another size.
    let plan = toughened(&shop("T-1,TOUGH,16 1/64,20,,rack\n"));
    assert!(matches!(plan.sheets[0].cut.from, SheetFrom::ToBuy(_)));
}

/// Where one of two panes may not be turned, it has the one that lies its way.
#[test]
fn what_may_not_be_turned_has_its_pane_first() {
    let shop = shop("T-1,TOUGH,16,20,,rack\nT-2,TOUGH,20,16,,rack\n");
    let list = "ticket,material,what,width,height,turn\n\
                7,TOUGH,glass,20,16,\n8,TOUGH,glass,16,20,no\n";
    let pieces = read_pieces(("week.csv", list.as_bytes()), &shop).unwrap();
    let plans = plan_sheets((&shop.sheets, &shop.sheet_rules), &pieces, |_| String::new()).unwrap();
    let here = |sheet: &&longpoint::sheets::PlannedSheet| !sheet.label.is_empty();
    assert_eq!(plans[0].sheets.iter().filter(here).count(), 2, "{:?}", plans[0].sheets);
}

/// Every sheet on which it stands says that it is ordered to size, and none how to cut it.
#[test]
fn every_list_says_that_it_is_ordered_to_size() {
    let shop = shop(LARGE);
    let sheet = of(&shop, "1");
    let plain = |text: String| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let words = "16 x 20 in of TOUGH (Pane), toughened: ordered to size, not to be cut";
    let text = plain(job_text::job(&sheet, false, &shop));
    assert!(text.contains(words), "{text}");
    let work = steps(&sheet, &shop).join(" ");
    assert!(!work.contains("Cut the glazing"), "{work}");
    assert!(work.contains("ordered to size and is not to be cut"), "{work}");
    let mind = cautions(&sheet, &shop).join(" ");
    assert!(mind.contains("Toughened glass is never cut"), "{mind}");
    assert!(!mind.contains("seam its edges"), "grinding its edges breaks it: {mind}");
    // The pick list, and what lacks beside it.
    let jobs = [sheet.clone(), sheet.clone()];
    let wanted = of_jobs(&shop, TODAY).unwrap();
    let lacks = lacking(&shop, wanted, &SheetsComing::new()).unwrap();
    let lack = lacks.iter().find(|of| of.material == "TOUGH").unwrap();
    assert_eq!((lack.size, lack.count), (inches("16", "20"), 1));
    let page = job_html::jobs(&jobs, &lacks, TODAY, &shop);
    assert!(page.contains("glazing: ordered to size, not to be cut"));
    assert!(page.contains("<b>to order to size</b>: 1 of 16 x 20 in"));
    assert!(page.contains("ordered to size, not to be cut"));
    // Tables and other programs.
    assert!(job_csv::jobs(&jobs, &shop).contains("ordered to size, not to be cut"));
    let pieces = job_csv::pieces(&jobs, &shop);
    assert!(!pieces.contains("TOUGH") && pieces.contains("FOAM"), "{pieces}");
    let json = job_json::job(&sheet, &shop);
    assert!(json.contains("\"made_to_size\": true"), "{json}");
}

/// So do the layouts: no drawing, no cut, no remnant.
#[test]
fn no_layout_has_it() {
    let shop = shop(&format!("{LARGE}T-1,TOUGH,16,20,,bin\nF-1,FOAM,40,60,2,shelf\n"));
    let list = "ticket,material,what,width,height,count\n1,TOUGH,glass,16,20,2\n";
    let pieces = read_pieces(("week.csv", list.as_bytes()), &shop).unwrap();
    let plans = plan_sheets((&shop.sheets, &shop.sheet_rules), &pieces, |_| String::new()).unwrap();
    let text = sheets_text::plans(&plans, &shop);
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("TAKE T-1 at bin, 16 x 20 in, not to be cut: 1 (1/2) glazing"), "{flat}");
    assert!(flat.contains("TO ORDER to size 16 x 20 in, not to be cut: 1 (2/2) glazing"), "{flat}");
    assert!(!flat.contains("KEEP") && !flat.contains("off the"), "{flat}");
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    let page = sheets_html::page(&plans, None, &shop, TODAY);
    assert!(!page.contains("class=\"pane\"") && page.contains("not to be cut"));
    assert!(!sheets_csv::cuts(&plans, &shop).contains("TOUGH"));
    let json: serde_json::Value = serde_json::from_str(&sheets_json::plans(&plans, &shop)).unwrap();
    let of = &json["materials"][0];
    assert_eq!(of["sheets"].as_array().unwrap().len(), 0);
    assert_eq!(of["made_to_size"].as_array().unwrap().len(), 2);
}

/// The order has the pane in its size, with its price by area; a larger stock sheet is not one.
#[test]
fn the_order_says_the_pane() {
    let mut files = folder(LARGE);
    let materials = String::from_utf8(files["materials.csv"].clone()).unwrap();
    let materials = materials.replace("safety,expansion", "safety,expansion,supplier");
    let materials: String = materials
        .lines()
        .map(|line| match line.split(',').next() {
            Some("material") => format!("{line}\n"),
            Some("TOUGH") => format!("{line},KILN\n"),
            _ => format!("{line},\n"),
        })
        .collect();
    files.insert("materials.csv".to_owned(), materials.into_bytes());
    let suppliers = "supplier,lead_days\nKILN,5\n";
    files.insert("suppliers.csv".to_owned(), suppliers.into());
    let offers = "supplier,moulding,form,lengths,price,per\nKILN,PINE,length,108,1.20,ft\n";
    files.insert("offers.csv".to_owned(), offers.into());
    let shop = read_files(&files).unwrap_or_else(|faults| panic!("{faults}"));
    let order = sheet_order(&shop, &plans(&shop));
    let line = order.lines.iter().find(|line| line.moulding == "TOUGH").unwrap();
    assert_eq!((line.length, line.height, line.count), {
        let (width, height) = inches("16", "20");
        (width, Some(height), 1)
    });
    // 0.4064 m x 0.508 m at 60.00 a square metre: 12.387, computed.
    assert_eq!(line.cost.map(|cost| cost.0), Some(1239));
    let limits = Limits { work: 20_000, deadline: None, stop: None, watch: None };
    let (with, _) = with_sheets(&plan(&shop, TODAY, limits).unwrap(), &shop, order).unwrap();
    let mails = order_files(Default::default(), &with, &shop).into_iter();
    let letter = mails.filter(|(name, _)| name.ends_with(".txt")).map(|(_, text)| text);
    let letter = letter.collect::<String>().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(letter.contains("toughened and made to this size"), "{letter}");
}

/// `check` points at what stands there of it, and at sizes in which it is said to be sold.
#[test]
fn check_points_at_it() {
    let said = doubts(&shop(LARGE)).join("\n");
    assert!(said.contains("sheets.csv: T-9 is toughened glass, which is never cut"), "{said}");
    assert!(said.contains("sheets.csv: T-8 is toughened glass, which is never cut"), "{said}");
    assert!(!doubts(&shop("G-1,GLASS,36,48,5,rack\n")).join("").contains("toughened glass"));
    let mut files = folder("");
    let materials = String::from_utf8(files["materials.csv"].clone()).unwrap();
    let sold = materials.replace("4 mm,,,,60.00", "4 mm,,,36x48,60.00");
    files.insert("materials.csv".to_owned(), sold.into_bytes());
    let said = doubts(&read_files(&files).unwrap()).join("\n");
    assert!(said.contains("materials.csv: TOUGH is toughened glass, which is ordered to size"));
}

/// A shop that counts no sheet of it orders it all the same.
#[test]
fn it_is_not_left_out() {
    let shop = shop("");
    let wanted = of_jobs(&shop, TODAY).unwrap();
    let (plans, left_out) = laid_out(&shop, wanted, &SheetsComing::new()).unwrap();
    assert!(plans.iter().any(|plan| plan.material == "TOUGH"));
    assert!(!left_out.unwrap_or_default().contains("TOUGH"));
    let jobs = job_sheets(&shop, [(&shop.frames[0], 1)], TODAY).unwrap();
    assert!(Length::ZERO < jobs[0].outside.0);
}
