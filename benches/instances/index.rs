//! Reads `index.csv`: which instances there are and what is known of them.
//!
//! The columns used are `file` (relative to the folder), `set`, `opt`, `lb`
//! and `ub` (the optimum or bounds on it, empty if unknown) and `ref_seconds`
//! (the time of the best published run). Others are passed over.

use std::collections::BTreeMap;
use std::path::Path;

use serde::Deserialize;

/// One instance.
#[derive(Debug, Clone, Deserialize)]
pub struct Entry {
    /// The file, relative to the folder.
    pub file: String,
    set: String,
    /// The optimum.
    pub opt: Option<i64>,
    /// No plan costs less.
    pub lb: Option<i64>,
    /// There is a plan of this cost.
    pub ub: Option<i64>,
    /// The time of the best published run.
    pub ref_seconds: Option<f64>,
}

/// All instances by set, in the order of their names.
pub fn read(folder: &Path) -> Result<BTreeMap<String, Vec<Entry>>, csv::Error> {
    let mut sets: BTreeMap<String, Vec<Entry>> = BTreeMap::new();
    for entry in csv::Reader::from_path(folder.join("index.csv"))?.deserialize() {
        let entry: Entry = entry?;
        sets.entry(entry.set.clone()).or_default().push(entry);
    }
    for entries in sets.values_mut() {
        entries.sort_by(|a, b| a.file.cmp(&b.file));
    }
    Ok(sets)
}
