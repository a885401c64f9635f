//! What is picked for a day: a list that can be read at the rack.

use longpoint::report::{job_html, job_text};
use longpoint::shop::read_files;
use longpoint::ticket::JobSheet;

use crate::folder::{TODAY, data, files, of};

/// The page of jobs on many tickets, each in a frame of its own.
fn page(rows: &[(&str, &str)], toml: (&str, &str)) -> String {
    let number = |at: usize| format!("41{at:02}");
    let all = |of: fn(&(&str, &str)) -> String| -> String {
        rows.iter().enumerate().map(|(at, row)| of(row).replace('#', &number(at))).collect()
    };
    let frames = all(|row| format!("#,,{},,,,,,\n", row.0));
    let jobs = all(|row| format!("#,{}\n", row.1));
    let mut files = files(&frames, &jobs);
    let text = String::from_utf8(files["shop.toml"].clone()).unwrap();
    files.insert("shop.toml".to_owned(), text.replace(toml.0, toml.1).into_bytes());
    let shop = read_files(&files).unwrap_or_else(|faults| panic!("{faults}"));
    let sheets: Vec<JobSheet> = shop.frames.iter().map(|frame| of(&shop, &frame.id)).collect();
    job_html::jobs(&sheets, &[], TODAY, &shop)
}

/// The rows of the table, cell by cell.
fn rows(page: &str) -> Vec<Vec<String>> {
    let table = page.split("class=\"pick\"").nth(1).unwrap().split("</table>").next().unwrap();
    let rows = table.split("<tr><td>").skip(1);
    rows.map(|row| {
        let cells = row.split("</td>").map(|cell| cell.rsplit('>').next().unwrap().to_owned());
        cells.collect()
    })
    .collect()
}

const WINDOW: &str = "paper,8,10,,,,,,,,,,WHITE,,,,GLASS,,FOAM,,,";

/// A line of many tickets leaves the other columns as wide as they are: words break between
/// letters only where one is wider than its column.
#[test]
fn a_line_of_many_tickets_breaks_no_word() {
    let page = page(&[("PINE", WINDOW); 60], ("", ""));
    let style: String = page.split_whitespace().collect();
    let table = style.split(".picktable{").nth(1).unwrap().split('}').next().unwrap();
    assert!(table.contains("table-layout:fixed"), "{table}");
    let cell = style.split(".picktd{").nth(1).unwrap().split('}').next().unwrap();
    assert!(cell.contains("overflow-wrap:break-word") && !cell.contains("anywhere"), "{cell}");
    let glass = rows(&page).into_iter().find(|row| row.contains(&"glazing".to_owned())).unwrap();
    assert!(glass.iter().any(|cell| cell.split(", ").count() == 60), "{glass:?}");
}

/// Wires whose lengths differ by less than an inch stand on one line, never shorter than one of
/// them is; the job's own sheet keeps the length to the mark.
#[test]
fn wire_is_picked_in_whole_inches() {
    let panel = |width: &str| format!("panel,{width},12,1/4,1 kg,,,,,,,,,,,,,,,wire,,");
    let (one, other) = (panel("10"), panel("10 1/32"));
    let page = page(&[("PINE", &one), ("PINE", &other)], ("", ""));
    let wires: Vec<Vec<String>> =
        rows(&page).into_iter().filter(|row| row.contains(&"wire".to_owned())).collect();
    assert_eq!(wires.len(), 1, "{wires:?}");
    let size = wires[0].iter().find(|cell| cell.ends_with(" in")).unwrap();
    let inches: u32 = size.trim_end_matches(" in").parse().unwrap_or_else(|_| panic!("{size}"));
    assert!(inches > 10, "{size}");
}

/// A shop that measures in millimetres reads no inches on a job's sheet or a pick list.
#[test]
fn a_metric_shop_reads_no_inches() {
    let shop = data("jobs-metric");
    let sheets: Vec<JobSheet> = shop.jobs.values().map(|job| of(&shop, &job.frame)).collect();
    let mut said = job_html::jobs(&sheets, &[], TODAY, &shop);
    // What is drawn has lengths of its own.
    said = said.split("<section").skip(1).collect();
    said += &sheets.iter().map(|sheet| job_text::job(sheet, true, &shop)).collect::<String>();
    let words: Vec<&str> = said.split_whitespace().collect();
    let figure =
        |word: &str| word.trim_start_matches('(').starts_with(|c: char| c.is_ascii_digit());
    for pair in words.windows(2) {
        let unit = pair[1].trim_end_matches([',', '.', ';', ':', ')']);
        let is_inch = ["in", "inch", "inches", "ft", "feet"].contains(&unit);
        assert!(!(is_inch && figure(pair[0])), "{pair:?}");
        assert!(!["inch", "inches", "feet"].contains(&unit), "{pair:?}");
    }
}
