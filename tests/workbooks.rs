//! Tables in a workbook, and workbooks for spreadsheets: written and read by libraries of
//! their own (`rust_xlsxwriter`, `calamine`).

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use calamine::{Data, Reader, Xlsx, open_workbook};
use longpoint::shop::{read_folder, read_folder_and_files};
use rust_xlsxwriter::{ExcelDateTime, Format, Workbook, Worksheet};

/// The tables of the demo in millimetres.
const TABLES: [&str; 7] =
    ["frames", "jobs", "materials", "mouldings", "offers", "rack", "suppliers"];

fn longpoint(args: &[&str]) -> (i32, String, String) {
    let output = Command::cargo_bin("longpoint").unwrap().args(args).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

fn at(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// The demo's tables as the sheets of a workbook, figures as figures and dates as dates;
/// the folder has no other file than that and `shop.toml`.
fn as_workbook(change: impl Fn(&str, &mut Worksheet)) -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("data").join("metric");
    fs::copy(data.join("shop.toml"), dir.path().join("shop.toml")).unwrap();
    let day = Format::new().set_num_format("yyyy-mm-dd");
    let mut book = Workbook::new();
    for name in TABLES {
        let table = fs::read_to_string(data.join(format!("{name}.csv"))).unwrap();
        let sheet = book.add_worksheet();
        sheet.set_name(name.to_uppercase()).unwrap();
        let mut rows = csv::ReaderBuilder::new();
        let mut rows = rows.has_headers(false).flexible(true).from_reader(table.as_bytes());
        let mut record = csv::StringRecord::new();
        // As a spreadsheet numbers rows: by lines, the blank ones among them.
        while rows.read_record(&mut record).unwrap() {
            let row = u32::try_from(record.position().unwrap().line() - 1).unwrap();
            for (column, cell) in record.iter().enumerate() {
                let column = u16::try_from(column).unwrap();
                let plain = !cell.starts_with('0') && cell.parse::<f64>().is_ok();
                let date = cell.split('-').map(str::parse::<u16>).collect::<Result<Vec<_>, _>>();
                match date.as_deref() {
                    Ok([y, m, d]) => {
                        let date = ExcelDateTime::from_ymd(*y, *m as u8, *d as u8).unwrap();
                        sheet.write_datetime_with_format(row, column, &date, &day).unwrap();
                    }
                    _ if plain => {
                        drop(sheet.write_number(row, column, cell.parse::<f64>().unwrap()))
                    }
                    _ => drop(sheet.write_string(row, column, cell)),
                }
            }
        }
        change(name, sheet);
    }
    book.save(dir.path().join("shop.xlsx")).unwrap();
    dir
}

/// Tables in sheets are the same shop as tables in files.
#[test]
fn a_workbook_is_the_same_shop() {
    let dir = as_workbook(|_, _| {});
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("data").join("metric");
    let (ours, theirs) = (read_folder(dir.path()), read_folder(&data));
    assert_eq!(ours.unwrap_or_else(|faults| panic!("{faults}")), theirs.unwrap());
    let (_, files) = read_folder_and_files(dir.path()).unwrap();
    let names: Vec<&str> = files.keys().filter_map(|name| name.strip_suffix(".csv")).collect();
    assert_eq!(names, TABLES, "a book keeps tables");
    let plan = |dir: &Path| longpoint(&["plan", at(dir), "--today", "2026-11-25"]);
    assert_eq!(plan(dir.path()), plan(&data));
    let args = ["quote", at(dir.path()), "--moulding", "BK20", "--size", "A4", "--ticket", "900"];
    let (code, _, wrong) = longpoint(&args);
    assert_eq!(code, 2);
    assert!(wrong.contains("stand in a workbook (write it there)"), "{wrong}");
}

/// A fault names the sheet and the row that the spreadsheet shows.
#[test]
fn a_fault_names_its_sheet_and_row() {
    let dir = as_workbook(|name, sheet| {
        if name == "frames" {
            sheet.write_string(59, 0, "777").unwrap();
            sheet.write_string(59, 1, "NOPE").unwrap();
        }
    });
    let said = read_folder(dir.path()).unwrap_err().to_string();
    assert!(said.contains("shop.xlsx, sheet frames, row 60, "), "{said}");
    assert!(!said.contains("frames.csv"), "{said}");
}

#[test]
fn what_is_no_table_is_said() {
    let twice = as_workbook(|_, _| {});
    let table = "frame,moulding,width,height\n";
    fs::write(twice.path().join("frames.csv"), table).unwrap();
    let said = read_folder(twice.path()).unwrap_err().to_string();
    let words = "frames.csv: stands as a sheet of shop.xlsx too (take one of the two away)";
    assert!(said.contains(words), "{said}");
    let far = as_workbook(|name, sheet| {
        if name == "rack" {
            sheet.write_string(1_000_000, 3, "x").unwrap();
        }
    });
    let said = read_folder(far.path()).unwrap_err().to_string();
    assert!(
        said.contains("sheet RACK: the sheet has something in row 1000001, column 4"),
        "{said}"
    );
    let slip = as_workbook(|name, sheet| {
        if name == "rack" {
            sheet.set_name("rakc").unwrap();
        }
    });
    let said = read_folder(slip.path()).unwrap_err().to_string();
    let words =
        "shop.xlsx, sheet rakc: the sheet is no table that is read here (did you mean rack?)";
    assert!(said.contains(words), "{said}");
    fs::write(slip.path().join("shop.xlsx"), "frame,moulding\n").unwrap();
    let said = read_folder(slip.path()).unwrap_err().to_string();
    assert!(said.contains("shop.xlsx: is no workbook that can be read"), "{said}");
}

/// The order and the figures as workbooks: what stands in the table stands in the sheet,
/// figures as figures; the same book gives the same bytes.
#[test]
fn the_order_and_the_figures_go_into_workbooks() {
    let dir = tempfile::tempdir().unwrap();
    let path = |name: &str| dir.path().join(name).to_str().unwrap().to_owned();
    let (shop, book) = (path("shop"), path("shop.book"));
    assert_eq!(longpoint(&["demo", &shop]).0, 0);
    let opened = ["open", &book, "--from", &shop, "--at", "2026-11-25T07:00"];
    assert_eq!(longpoint(&opened).0, 0);
    let (out, sheet, again) = (path("out"), path("order.xlsx"), path("again.xlsx"));
    let order = ["order", &book, "--out", &out, "--xlsx", &sheet, "--at", "2026-11-25T08:00"];
    let (code, said, wrong) = longpoint(&order);
    assert_eq!(code, 0, "{said}{wrong}");
    let print =
        ["order", &book, "--print", "1", "--out", &out, "--xlsx", &again, "--today", "2026-11-25"];
    assert_eq!(longpoint(&print).0, 0);
    assert_eq!(fs::read(&sheet).unwrap(), fs::read(&again).unwrap());
    same(&sheet, "order", &fs::read_to_string(Path::new(&out).join("order.csv")).unwrap());
    let stick = ["receive", &book, "--moulding", "BLK-20", "--length", "108"];
    assert_eq!(longpoint(&[&stick[..], &["--at", "2026-11-25T09:00"]].concat()).0, 0);
    let figures = path("figures.xlsx");
    let args = ["figures", &book, "--csv", "--xlsx", &figures, "--today", "2026-11-25"];
    let (code, table, _) = longpoint(&args);
    assert_eq!(code, 0);
    same(&figures, "figures", &table);
    // A table of the shop is not lost to a slip.
    let frames = format!("{shop}/frames.csv");
    let (code, _, wrong) = longpoint(&["figures", &book, "--xlsx", &frames]);
    assert_eq!(code, 1);
    assert!(wrong.contains("is no workbook (name another file)"), "{wrong}");
}

fn same(file: &str, name: &str, table: &str) {
    let mut book: Xlsx<_> = open_workbook(file).unwrap();
    let range = book.worksheet_range(name).unwrap();
    let mut rows = csv::ReaderBuilder::new();
    let mut rows = rows.has_headers(false).flexible(true).from_reader(table.as_bytes());
    let mut figures = 0;
    for (row, record) in rows.records().enumerate() {
        for (column, cell) in record.unwrap().iter().enumerate() {
            let read = range.get((row, column)).cloned().unwrap_or_default();
            figures += u32::from(matches!(read, Data::Float(_)));
            let (ours, theirs) = (cell.parse::<f64>(), read.to_string().parse::<f64>());
            let shown = read.to_string();
            let is_same = shown == cell || ours.is_ok() && ours == theirs;
            assert!(is_same, "{row} {column}: {cell:?} {read:?}");
        }
    }
    assert!(figures > 0, "{table}");
}
