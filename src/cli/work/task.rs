//! Reads one task of `longpoint work` from its line, with all that is wrong with it.

use std::collections::BTreeMap;

use clap::{CommandFactory, Parser};
use serde_json::value::RawValue;

use crate::cli::members::Members;
use crate::cli::pack::quote::Excerpt;
use crate::cli::plan::PlanArgs;
use crate::cli::usage;
use crate::cli::year::YearArgs;
use crate::shop::file_names;

/// The longest id, in signs.
const LONGEST_ID: usize = 200;

/// The keys of a task.
const KEYS: [&str; 4] = ["id", "files", "plan", "year"];

/// What may be asked, and the options that each may have. None of them touches a file, asks
/// the clock or makes the answer hang on the machine.
const QUESTIONS: [(&str, &[&str]); 2] = [
    ("plan", &["today", "time", "rush", "only", "rack-only", "effort"]),
    (
        "year",
        &[
            "today", "days", "frames", "notice", "patience", "lots", "seed", "years", "practice",
            "learn", "orders", "setting", "effort",
        ],
    ),
];

const EXAMPLE: &str =
    r#"{"id":"north","files":{"shop.toml":"..",..},"plan":{"today":"2026-11-25"}}"#;

/// The commands that may be asked of many machines.
#[derive(clap::Parser)]
#[command(name = "longpoint")]
pub(super) enum TaskCommand {
    Plan(PlanArgs),
    Year(YearArgs),
}

/// What a line asks.
pub(super) struct WorkTask {
    /// The command, as if it had been typed.
    pub command: TaskCommand,
    /// The shop's files by name.
    pub files: BTreeMap<String, Vec<u8>>,
}

/// The id that a line gives, as far as it can be read, and its task or every fault of it.
pub(super) fn read(line: &[u8], threads: usize) -> (Option<String>, Result<WorkTask, Vec<String>>) {
    let text = match std::str::from_utf8(line) {
        Ok(text) => text,
        Err(_) => return (None, Err(vec!["not UTF-8 text (write it as UTF-8)".to_owned()])),
    };
    let members = match serde_json::from_str::<Members>(text) {
        Ok(Members(members)) => members,
        Err(error) if error.is_data() => {
            let words = format!("{} is no task (write {EXAMPLE})", Excerpt::new(text));
            return (None, Err(vec![words]));
        }
        Err(error) => {
            // It is one line, and the caller says which.
            let words = error.to_string();
            let words = words.split(" at line").next().unwrap_or_default();
            let at = error.column();
            let words = format!("not JSON at sign {at}: {words} (write a task on one line)");
            return (None, Err(vec![words]));
        }
    };
    let mut faults = Vec::new();
    let [id, files, plan, year] = keyed(&members, &mut faults);
    let id = id.and_then(|raw| fine(self::id(raw), &mut faults));
    let files = files.map(|raw| self::files(raw, &mut faults)).unwrap_or_default();
    let command = match (plan, year) {
        (Some(raw), None) => command(&QUESTIONS[0], raw, threads, &mut faults),
        (None, Some(raw)) => command(&QUESTIONS[1], raw, threads, &mut faults),
        (None, None) => {
            faults.push(r#""plan" or "year" is missing (say what is asked)"#.to_owned());
            None
        }
        (Some(_), Some(_)) => {
            faults.push(r#""plan" and "year" are both asked (make two tasks of it)"#.to_owned());
            None
        }
    };
    let task = command.filter(|_| faults.is_empty()).map(|command| WorkTask { command, files });
    (id, task.ok_or(faults))
}

/// The values of a task's keys, each once; the first two must be there.
fn keyed<'a>(
    members: &[(String, &'a RawValue)],
    faults: &mut Vec<String>,
) -> [Option<&'a RawValue>; 4] {
    let mut values = [None; 4];
    for (key, value) in members {
        let shown = Excerpt::new(key);
        match KEYS.iter().position(|known| known == key) {
            None => {
                let known = KEYS.join(", ");
                faults.push(format!("\"{shown}\" is no key of a task (the keys are {known})"));
            }
            Some(at) if values[at].is_some() => {
                faults.push(format!("\"{shown}\" is given twice (keep one)"));
            }
            Some(at) => values[at] = Some(*value),
        }
    }
    for (key, value) in KEYS.iter().zip(values).take(2) {
        if value.is_none() {
            faults.push(format!("\"{key}\" is missing (write {EXAMPLE})"));
        }
    }
    values
}

fn id(raw: &RawValue) -> Result<String, String> {
    let id: Option<String> = serde_json::from_str(raw.get()).ok();
    let is_fit = |id: &String| (1..=LONGEST_ID).contains(&id.chars().count());
    id.filter(is_fit).ok_or_else(|| {
        let read = Excerpt::new(raw.get());
        format!("id: {read} is no id (write words of 1 to {LONGEST_ID} signs, such as \"north\")")
    })
}

/// The files by name, none but those that a shop folder may have.
fn files(raw: &RawValue, faults: &mut Vec<String>) -> BTreeMap<String, Vec<u8>> {
    let Ok(Members(members)) = serde_json::from_str(raw.get()) else {
        let read = Excerpt::new(raw.get());
        faults.push(format!("files: {read} is no object (write the text of each by its name)"));
        return BTreeMap::new();
    };
    let mut files: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    for (name, value) in members {
        let shown = Excerpt::new(&name);
        let Ok(text) = serde_json::from_str::<String>(value.get()) else {
            let read = Excerpt::new(value.get());
            faults.push(format!("files: \"{shown}\": {read} is no text (write it in quotes)"));
            continue;
        };
        if files.insert(name, text.into_bytes()).is_some() {
            faults.push(format!("files: \"{shown}\" is given twice (keep one)"));
        }
    }
    let known = file_names(files.get("shop.toml").map(Vec::as_slice).unwrap_or_default());
    for name in files.keys().filter(|name| !known.contains(*name)) {
        let names: Vec<&str> = known.iter().map(String::as_str).collect();
        faults.push(format!(
            "files: \"{}\" is no file of this shop (they are {}, and the price lists that \
             shop.toml names in full; no paths, no workbooks)",
            Excerpt::new(name),
            names.join(", ")
        ));
    }
    files
}

/// The command that the options make, read as those on a command line are.
fn command(
    (name, known): &(&str, &[&str]),
    raw: &RawValue,
    threads: usize,
    faults: &mut Vec<String>,
) -> Option<TaskCommand> {
    let Ok(Members(members)) = serde_json::from_str(raw.get()) else {
        let read = Excerpt::new(raw.get());
        faults.push(format!("{name}: {read} is no object (write its options in braces)"));
        return None;
    };
    let before = faults.len();
    let mut options: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for (key, value) in &members {
        let shown = Excerpt::new(key);
        if !known.contains(&key.as_str()) {
            let known = known.join(", ");
            faults.push(format!("{name}: \"{shown}\" is no option here (they are {known})"));
        } else if let Some(words) = fine(words(name, key, value), faults)
            && options.insert(key, words).is_some()
        {
            faults.push(format!("{name}: \"{shown}\" is given twice (keep one)"));
        }
    }
    if !members.iter().any(|(key, _)| key == "today") {
        faults.push(format!(
            "{name}: \"today\" is missing (write the day, such as \"2026-11-25\": no clock is asked)"
        ));
    }
    let threads = format!("--threads={threads}");
    let typed = |words: &mut dyn Iterator<Item = &String>| {
        let head = ["longpoint", name, ".", "--json", &threads].map(str::to_owned);
        TaskCommand::try_parse_from(head.into_iter().chain(words.cloned()))
    };
    let together = match typed(&mut options.values().flatten()) {
        Ok(command) => return Some(command).filter(|_| faults.len() == before),
        Err(error) => said(name, error),
    };
    // Each by itself, since only the first is said of several.
    let alone = options.values().filter_map(|words| typed(&mut words.iter()).err());
    let alone: Vec<String> = alone.map(|error| said(name, error)).collect();
    faults.extend(if alone.is_empty() { vec![together] } else { alone });
    None
}

/// An option as it is typed; one that is false is not, and a list is one after the other.
fn words(name: &str, key: &str, raw: &RawValue) -> Result<Vec<String>, String> {
    let is_switch = TaskCommand::command()
        .find_subcommand(name)
        .and_then(|command| command.get_arguments().find(|of| of.get_long() == Some(key)))
        .is_some_and(|option| !option.get_action().takes_values());
    let read = raw.get();
    let typed = |value: &str| format!("--{key}={value}");
    let wrong =
        |wanted: &str| Err(format!("{name}: \"{key}\": {} is no {wanted}", Excerpt::new(read)));
    if is_switch {
        return match read {
            "true" => Ok(vec![format!("--{key}")]),
            "false" => Ok(Vec::new()),
            _ => wrong("switch (write true or false)"),
        };
    }
    if read.bytes().all(|byte| byte.is_ascii_digit()) {
        return Ok(vec![typed(read)]);
    }
    if let Ok(text) = serde_json::from_str::<String>(read) {
        return Ok(vec![typed(&text)]);
    }
    match serde_json::from_str::<Vec<String>>(read) {
        Ok(list) => Ok(list.iter().map(|value| typed(value)).collect()),
        Err(_) => wrong("value (write digits, words in quotes, or a list of words)"),
    }
}

/// What the reader of command lines says of an option, on one line.
fn said(name: &str, error: clap::Error) -> String {
    let words = usage::short(error).to_string();
    let words = words.lines().next().unwrap_or_default();
    format!("{name}: {}", words.trim_start_matches("error: "))
}

fn fine<T>(read: Result<T, String>, faults: &mut Vec<String>) -> Option<T> {
    read.map_err(|fault| faults.push(fault)).ok()
}
