//! Keeps the arrows between the modules: who may import whom.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// For each room, those that it may import beside itself.
const ARROWS: [(&str, &[&str]); 27] = [
    ("measure", &[]),
    ("job", &["measure"]),
    ("shop", &["measure", "job"]),
    ("rails", &["measure", "shop"]),
    ("sheets", &["measure", "shop"]),
    ("solve", &[]),
    ("cutting", &["measure", "shop", "rails", "solve"]),
    ("offcuts", &["measure", "shop", "cutting"]),
    ("buy", &["measure", "shop"]),
    ("stops", &["measure"]),
    ("plan", &["measure", "shop", "rails", "offcuts", "buy", "stops"]),
    ("planner", &["measure", "shop", "rails", "cutting", "offcuts", "solve", "stops", "plan"]),
    ("order", &["measure", "shop", "rails", "cutting", "buy", "plan", "planner"]),
    // What checks a plan knows neither who made it nor the solver.
    ("verify", &["measure", "shop", "rails", "plan"]),
    (
        "morning",
        &[
            "measure", "shop", "rails", "cutting", "offcuts", "solve", "plan", "planner", "order",
            "verify",
        ],
    ),
    ("why", &["measure", "shop", "rails", "cutting", "solve", "plan", "verify", "morning"]),
    ("fits", &["measure", "shop", "solve", "plan", "verify", "morning"]),
    ("sheet_order", &["measure", "shop", "sheets", "buy", "plan", "ticket", "verify"]),
    ("price", &["measure", "shop", "rails"]),
    ("ticket", &["measure", "shop", "job", "rails", "price"]),
    (
        "quote",
        &[
            "measure", "shop", "job", "rails", "ticket", "solve", "plan", "price", "verify",
            "morning",
        ],
    ),
    ("chop", &["measure", "shop", "rails", "plan", "stops"]),
    (
        "year",
        &[
            "measure", "shop", "rails", "solve", "cutting", "offcuts", "plan", "verify", "morning",
            "chop",
        ],
    ),
    (
        "report",
        &[
            "measure", "shop", "job", "rails", "sheets", "offcuts", "buy", "plan", "price", "why",
            "fits", "ticket", "quote", "chop", "year",
        ],
    ),
    (
        "book",
        &[
            "measure",
            "shop",
            "rails",
            "sheets",
            "sheet_order",
            "buy",
            "solve",
            "plan",
            "planner",
            "verify",
            "morning",
            "report",
            "ticket",
        ],
    ),
    (
        "web",
        &[
            "measure",
            "shop",
            "rails",
            "sheets",
            "sheet_order",
            "solve",
            "plan",
            "verify",
            "morning",
            "why",
            "fits",
            "ticket",
            "quote",
            "chop",
            "report",
            "book",
        ],
    ),
    (
        "cli",
        &[
            "measure",
            "shop",
            "rails",
            "sheets",
            "sheet_order",
            "solve",
            "plan",
            "verify",
            "morning",
            "why",
            "fits",
            "quote",
            "chop",
            "ticket",
            "year",
            "report",
            "book",
            "web",
        ],
    ),
];

/// Where the solver may be asked something; elsewhere one may only say how long it
/// is to search.
const ASKERS: [&str; 4] = ["cutting/", "planner/", "cli/pack", "year/bound"];

/// One file of the crate: its path below `src`, and its code.
struct Source {
    path: String,
    code: String,
}

/// Every file but those of tests, without comments and without inner tests.
fn sources() -> Vec<Source> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut folders = vec![root.clone()];
    let mut files: Vec<PathBuf> = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                files.push(path);
            }
        }
    }
    files.sort();
    let source = |file: &PathBuf| {
        let path = file.strip_prefix(&root).unwrap().to_str().unwrap().replace('\\', "/");
        let text = fs::read_to_string(file).unwrap();
        let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap();
        let lines = code.lines().filter(|line| !line.trim_start().starts_with("//"));
        Source { path, code: lines.collect::<Vec<&str>>().join("\n") }
    };
    let tests =
        |source: &Source| source.path.ends_with("tests.rs") || source.path.contains("/tests/");
    files.iter().map(source).filter(|source| !tests(source)).collect()
}

impl Source {
    /// The modules that it lies in, outermost first; none for the crate's root.
    fn modules(&self) -> Vec<&str> {
        let mut modules: Vec<&str> =
            self.path.trim_end_matches(".rs").trim_end_matches("/mod").split('/').collect();
        modules.retain(|module| !["lib", "main"].contains(module));
        modules
    }

    /// Every path that it names from the crate's root, as far as it is written.
    fn paths(&self) -> BTreeSet<String> {
        let modules = self.modules();
        let mut paths = BTreeSet::new();
        for word in ["crate::", "longpoint::"] {
            for (at, _) in self.code.match_indices(word) {
                paths.extend(spread("", &self.code[at + word.len()..]));
            }
        }
        for (at, _) in self.code.match_indices("super::") {
            if self.code[..at].ends_with("super::") {
                continue;
            }
            let mut rest = &self.code[at..];
            let mut up = 0;
            while let Some(further) = rest.strip_prefix("super::") {
                rest = further;
                up += 1;
            }
            let base = modules[..modules.len().saturating_sub(up)].join("::");
            paths.extend(spread(&base, rest));
        }
        paths
    }
}

/// The paths at the beginning of a text: one, or the first of each in braces.
fn spread(base: &str, text: &str) -> Vec<String> {
    let join = |tail: &str| {
        let tail = tail.trim();
        if base.is_empty() { tail.to_owned() } else { format!("{base}::{tail}") }
    };
    let name = |text: &str| {
        let end = text.find(|c: char| !(c.is_alphanumeric() || c == '_' || c == ':'));
        text[..end.unwrap_or(text.len())].trim_end_matches(':').to_owned()
    };
    match text.strip_prefix('{') {
        None => {
            // A path may end in braces of its own: `solve::{Limits, solve}`.
            let head = name(text);
            let tail = &text[head.len()..];
            match tail.strip_prefix("::{") {
                Some(inner) => inside(inner)
                    .iter()
                    .map(|item| join(&format!("{head}::{}", name(item))))
                    .collect(),
                None => vec![join(&head)],
            }
        }
        Some(inner) => inside(inner).iter().map(|item| join(&name(item))).collect(),
    }
}

/// What stands between braces, split at the commas that are in no inner ones.
fn inside(text: &str) -> Vec<String> {
    let (mut depth, mut items) = (0, vec![String::new()]);
    for c in text.chars() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => items.push(String::new()),
            _ => {}
        }
        items.last_mut().unwrap().push(c);
    }
    let trimmed = items.iter().map(|item| item.trim_start_matches(',').trim().to_owned());
    trimmed.filter(|item| !item.is_empty()).collect()
}

fn top(path: &str) -> &str {
    path.split("::").next().unwrap()
}

#[test]
fn the_arrows_run_one_way() {
    let mut wrong = Vec::new();
    for source in sources() {
        let modules = source.modules();
        let Some(own) = modules.first() else { continue };
        let Some((_, may)) = ARROWS.iter().find(|(module, _)| module == own) else {
            wrong.push(format!("{}: no arrows are drawn for {own}", source.path));
            continue;
        };
        for path in source.paths() {
            let known = ARROWS.iter().any(|(module, _)| *module == top(&path));
            if known && top(&path) != *own && !may.contains(&top(&path)) {
                wrong.push(format!("{}: {path}", source.path));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn only_cutting_and_packing_ask_the_solver() {
    let mut wrong = Vec::new();
    for source in sources() {
        let own = source.modules().first().is_some_and(|own| *own == "solve");
        if own || ASKERS.iter().any(|asker| source.path.starts_with(asker)) {
            continue;
        }
        for path in source.paths().iter().filter(|path| top(path) == "solve") {
            if !["solve::Limits", "solve::Progress"].contains(&path.as_str()) {
                wrong.push(format!("{}: {path}", source.path));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_check_of_plans_works_out_rails_by_itself() {
    let mut seen = 0;
    for source in sources().iter().filter(|source| source.path.starts_with("verify/")) {
        seen += 1;
        for path in source.paths() {
            let arithmetic = top(&path) == "rails" && !path.starts_with("rails::Side");
            assert!(!arithmetic, "{}: {path}", source.path);
        }
    }
    assert!(seen > 5, "the check of plans has moved");
}

/// What the planner gives out has passed the check, by its type, and the check alone
/// makes that type.
#[test]
fn no_plan_gets_out_unchecked() {
    let mut seen = 0;
    for source in sources() {
        let is_check = source.path.starts_with("verify/");
        let makes = ["Verified::new", "Verified("].iter().any(|made| source.code.contains(made));
        assert!(is_check || !makes, "{}: only the check says what passed it", source.path);
        // A plan of the solver's is patterns of integers, and has a check of its own.
        if is_check || ["book/", "solve/"].iter().any(|room| source.path.starts_with(room)) {
            continue;
        }
        for (at, _) in source.code.match_indices("pub fn ") {
            let head = source.code[at..].split(" {\n").next().unwrap();
            let returns = head.rsplit_once("->").map_or("", |(_, returns)| returns);
            let mut words = returns.split(|c: char| !c.is_alphanumeric());
            let mut gives = |of: &str| words.any(|word| word == of);
            // Sticks as they lie at the bench, on a page: nobody planned them here.
            if gives("Plan") && !head.contains("fn of_sticks") {
                seen += 1;
                assert!(returns.contains("Verified<Plan>"), "{}: {head}", source.path);
            }
        }
    }
    assert_eq!(seen, 6, "the ways to have a plan have moved");
}

/// One concept, one name: no name stands for two types.
#[test]
fn no_two_types_have_one_name() {
    let mut homes: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for source in sources() {
        for line in source.code.lines() {
            let line = line.strip_prefix("pub").map_or(line, |rest| {
                let rest = rest.trim_start();
                rest.strip_prefix('(').and_then(|rest| rest.split_once(") ")).map_or(rest, |r| r.1)
            });
            let kinds = ["struct ", "enum ", "trait ", "type "];
            let Some(name) = kinds.iter().find_map(|kind| line.strip_prefix(kind)) else {
                continue;
            };
            let end = name.find(|c: char| !c.is_alphanumeric()).unwrap_or(name.len());
            homes.entry(name[..end].to_owned()).or_default().push(source.path.clone());
        }
    }
    assert!(homes.len() > 300, "types are declared in another way now");
    homes.retain(|_, homes| homes.len() > 1);
    assert!(homes.is_empty(), "{homes:#?}");
}

/// The reader of paths itself reads every way in which they are written.
#[test]
fn paths_are_read_in_every_way_they_are_written() {
    let source = Source {
        path: "room/check/left.rs".to_owned(),
        code: "use crate::solve::{Limits, solve};\nuse super::super::stage::Stage;\n\
               use super::{Facts, truth::{joint, runs}};\nlet x = crate::offcuts::Left;"
            .to_owned(),
    };
    let expected = [
        "offcuts::Left",
        "room::check::Facts",
        "room::check::truth",
        "room::stage::Stage",
        "solve::Limits",
        "solve::solve",
    ];
    assert_eq!(source.paths().into_iter().collect::<Vec<String>>(), expected);
}
