//! Names that would harm a page, a spreadsheet or a terminal, and a folder that
//! cannot be written.

use std::fs;

use longpoint::chop::schedule;
use longpoint::plan::Plan;
use longpoint::report;
use longpoint::report::order_table::Reference;
use longpoint::shop::Shop;

use crate::fixture::{plan, shop};

const SCRIPT: &str = "<script>alert('x')</script>\"&<img src=x onerror=alert(1)>";
const FORMULA: &str = "=HYPERLINK(\"http://example.invalid\",\"x\")";
const STEER: &str = "\u{1b}[2J\u{202e}";

/// The fixture with hostile text wherever a person can type some.
fn hostile(text: &str) -> (Shop, Plan) {
    let mut shop = shop();
    let mut plan = plan(&shop);
    let add = |old: &mut String| *old = format!("{text}{old}");
    add(&mut plan.shop);
    add(&mut shop.settings.name);
    for moulding in shop.mouldings.values_mut() {
        add(&mut moulding.name);
    }
    for frame in &mut shop.frames {
        add(&mut frame.id);
        add(&mut frame.note);
    }
    for stick in plan.today.iter_mut().chain(&mut plan.order.sticks) {
        for old in [&mut stick.stick, &mut stick.lot, &mut stick.place, &mut stick.left.label] {
            add(old);
        }
        stick.rails.iter_mut().for_each(|rail| add(&mut rail.frame));
        stick.between.iter_mut().for_each(|left| add(&mut left.label));
    }
    plan.waiting.iter_mut().for_each(|waiting| add(&mut waiting.frame));
    plan.held.iter_mut().for_each(|held| add(&mut held.frame));
    plan.order.lines.iter_mut().for_each(|line| add(&mut line.supplier));
    (shop, plan)
}

#[test]
fn a_page_shows_a_script_and_never_runs_it() {
    let (shop, plan) = hostile(SCRIPT);
    let schedule = schedule(&plan, &shop);
    for page in [
        report::html::chop(&plan, &shop, &schedule),
        report::labels::labels(&plan, &shop),
        report::order_html::orders(Reference::default(), &plan, &shop),
    ] {
        assert!(!page.contains("<script") && !page.contains("<img"));
        assert!(page.contains("&lt;script&gt;alert(&#39;x&#39;)"));
        for outside in ["http://", "https://", "src=\"", "@import", "url(h", "href"] {
            assert!(!page.contains(outside), "a page refers to nothing outside itself: {outside}");
        }
    }
}

#[test]
fn a_spreadsheet_shows_a_formula_and_never_runs_it() {
    for text in [FORMULA, "+1", "-1", "@SUM(1)", "\t=1"] {
        let (shop, plan) = hostile(text);
        let schedule = schedule(&plan, &shop);
        for file in [
            report::csv::chop(&schedule, &shop),
            report::csv::order(Reference::default(), &plan, &shop),
        ] {
            let mut kept_as_text = 0;
            let mut reader = csv::Reader::from_reader(file.as_bytes());
            for record in reader.records() {
                for cell in &record.unwrap() {
                    assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{cell:?}");
                    kept_as_text += usize::from(cell.starts_with(&format!("'{text}")));
                }
            }
            assert!(kept_as_text > 0);
        }
    }
}

#[test]
fn a_terminal_is_not_steered_by_a_name() {
    let (shop, plan) = hostile(STEER);
    let schedule = schedule(&plan, &shop);
    for text in [report::text::plan(&plan, &shop, &schedule), report::rails_text::rails(&shop)] {
        assert!(!text.contains('\u{1b}') && !text.contains('\u{202e}'));
    }
}

#[test]
fn the_page_in_words_keeps_to_eighty_columns_whatever_the_names() {
    let long = "a name that never comes to its end ".repeat(4);
    let unbroken = "x".repeat(130);
    for text in ["", SCRIPT, FORMULA, STEER, &long, &unbroken] {
        let (shop, plan) = hostile(text);
        let schedule = schedule(&plan, &shop);
        for text in [report::text::plan(&plan, &shop, &schedule), report::rails_text::rails(&shop)]
        {
            for line in text.lines() {
                assert!(line.chars().count() <= 80, "{line}");
                assert!(!line.ends_with(' '), "{line:?}");
            }
        }
    }
}

#[test]
fn a_folder_is_written_whole() {
    let (shop, plan) = (shop(), plan(&shop()));
    let schedule = schedule(&plan, &shop);
    let folder = tempfile::tempdir().unwrap();
    report::folder::write_plan(folder.path(), &plan, &shop, &schedule).unwrap();
    let mut names: Vec<_> =
        fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    names.sort();
    assert_eq!(
        names,
        ["chop.csv", "chop.html", "labels.html", "order.csv", "order.html", "plan.json"]
    );
    for (name, content) in report::files(&plan, &shop, &schedule) {
        assert_eq!(fs::read_to_string(folder.path().join(name)).unwrap(), content);
    }
}

#[test]
fn a_folder_that_cannot_be_written_whole_is_not_written_at_all() {
    let (shop, plan) = (shop(), plan(&shop()));
    let schedule = schedule(&plan, &shop);
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("chop.html")).unwrap();
    fs::write(folder.path().join("plan.json"), "yesterday's").unwrap();
    let error = report::folder::write_plan(folder.path(), &plan, &shop, &schedule).unwrap_err();
    assert!(error.to_string().contains("chop.html is not a file"));
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2);
    assert_eq!(fs::read_to_string(folder.path().join("plan.json")).unwrap(), "yesterday's");
}
