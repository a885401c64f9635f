//! What ends `longpoint work` from outside.

use std::io::{BufRead, BufReader, Write};
use std::process::{Child, Stdio};
use std::time::{Duration, Instant};

use serde_json::json;

use crate::run::{command, demo, ended, listens, send};
use crate::task::{files, plan};

fn started() -> (tempfile::TempDir, Child) {
    let dir = tempfile::tempdir().unwrap();
    let mut command = command(dir.path(), &["work"]);
    let command = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    (dir, command.spawn().unwrap())
}

#[test]
fn each_task_is_answered_before_the_next_is_asked() {
    let (_dir, mut child) = started();
    let mut input = child.stdin.take().unwrap();
    let mut output = BufReader::new(child.stdout.take().unwrap()).lines();
    for id in ["a", "b"] {
        writeln!(input, "{}", plan(id)).unwrap();
        let answer = output.next().unwrap().unwrap();
        assert!(answer.starts_with(&format!("{{\"id\":\"{id}\",\"exit\":0,")), "{answer}");
    }
    drop(input);
    assert_eq!(ended(child).0.status.code(), Some(0));
}

#[test]
fn a_reader_that_goes_away_ends_it() {
    let (_dir, mut child) = started();
    drop(child.stdout.take());
    let mut input = child.stdin.take().unwrap();
    let begun = Instant::now();
    // It reads no further than the answer that nobody takes.
    while writeln!(input, "{}", plan(&format!("{:?}", begun.elapsed()))).is_ok() {
        assert!(begun.elapsed() < Duration::from_secs(60), "it goes on answering nobody");
    }
    let (output, _) = ended(child);
    assert_eq!((output.status.code(), output.stderr), (Some(0), Vec::new()));
}

#[test]
fn a_signal_ends_it_between_tasks_and_amid_one_with_whole_lines_only() {
    for (signal, code) in [("INT", 130), ("TERM", 143)] {
        for is_amid in [false, true] {
            let (_dir, mut child) = started();
            listens(&mut child);
            let mut input = child.stdin.take().unwrap();
            let mut output = BufReader::new(child.stdout.take().unwrap());
            writeln!(input, "{}", plan("a")).unwrap();
            let mut answer = String::new();
            output.read_line(&mut answer).unwrap();
            assert!(answer.ends_with("\"}\n"), "{answer}");
            if is_amid {
                // A year that takes far longer than the test waits for it.
                let year = json!({"id": "b", "files": files(&demo()),
                    "year": {"today": "2026-11-25", "days": 1000, "frames": 100, "years": 100}});
                writeln!(input, "{year}").unwrap();
                std::thread::sleep(Duration::from_millis(300));
            }
            send(&child, signal);
            let (ended, _) = ended(child);
            assert_eq!(ended.status.code(), Some(code));
            let mut rest = String::new();
            assert_eq!(output.read_line(&mut rest).unwrap(), 0, "{rest}");
        }
    }
}
