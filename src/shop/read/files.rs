//! The names of the files that a shop folder may have.

/// In the order in which they are read, and whether every shop must have them.
pub(super) const FILES: [(&str, bool); 10] = [
    ("shop.toml", true),
    ("mouldings.csv", true),
    ("worth.csv", false),
    ("materials.csv", false),
    ("frames.csv", true),
    ("jobs.csv", false),
    ("rack.csv", true),
    ("sheets.csv", false),
    ("suppliers.csv", false),
    ("offers.csv", false),
];

/// A workbook whose sheets are tables.
pub(super) const WORKBOOK: &str = "shop.xlsx";
