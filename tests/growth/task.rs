//! Tasks, the program that answers them, and its answers.

use std::io::Write;
use std::path::Path;
use std::process::Stdio;

use serde_json::{Value, json};

use crate::run::{command, ended};

/// The text of each file of a shop folder by its name, without what only other commands
/// read.
pub fn files(dir: &Path) -> Value {
    let mut files = serde_json::Map::new();
    for entry in std::fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap().to_owned();
        if name != "pieces.csv" {
            files.insert(name, Value::from(std::fs::read_to_string(path).unwrap()));
        }
    }
    files.into()
}

/// A shop of one moulding that a plan of takes no time.
pub fn small() -> Value {
    json!({
        "shop.toml": "name = \"Small\"\nunit = \"mm\"\nallowance = \"3\"\ncurrency = \"EUR\"\n\
            default_cutter = \"saw\"\n[offcuts]\nkeep = \"200\"\nworth = \"0.5\"\n[cutter.saw]\n\
            kerf = \"3\"\npasses = 1\nnick = \"0\"\nfirst_trim = \"10\"\nlast_trim = \"10\"\n\
            grip = \"0\"\nshortest = \"100\"\nstop = \"long\"\n",
        "mouldings.csv": "moulding,width,rabbet,stick,price,per\nASH,20,6,2200,3.10,m\n",
        "frames.csv": "frame,moulding,width,height\n1,ASH,400,500\n2,ASH,300,200\n",
        "rack.csv": "stick,moulding,length\nS-1,ASH,2200\n",
    })
}

/// A plan of the small shop.
pub fn plan(id: &str) -> Value {
    json!({"id": id, "files": small(), "plan": {"today": "2026-11-25"}})
}

/// What `longpoint work` prints to these lines, its exit code being 0.
pub fn printed(lines: &[u8]) -> Vec<u8> {
    let dir = tempfile::tempdir().unwrap();
    let mut child = command(dir.path(), &["work"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut input = child.stdin.take().unwrap();
    let lines = lines.to_vec();
    let writer = std::thread::spawn(move || input.write_all(&lines));
    let (output, _) = ended(child);
    writer.join().unwrap().unwrap();
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!((output.status.code(), errors.as_ref()), (Some(0), ""));
    assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 0, "it wrote something");
    output.stdout
}

/// The answers to these lines.
pub fn answers(lines: &[u8]) -> Vec<Value> {
    let printed = String::from_utf8(printed(lines)).unwrap();
    printed.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

/// The answers to these tasks.
pub fn answers_to(tasks: &[Value]) -> Vec<Value> {
    let lines: String = tasks.iter().map(|task| format!("{task}\n")).collect();
    answers(lines.as_bytes())
}

/// What is said to be wrong, as the answer has it.
pub fn faults(answer: &Value) -> Vec<&str> {
    assert_eq!(answer["exit"], 2, "{answer}");
    let faults = answer["faults"].as_array().unwrap();
    faults.iter().map(|fault| fault.as_str().unwrap()).collect()
}
