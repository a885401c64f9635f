//! The whole day of the README, command by command, as it is told there.

use std::path::Path;

use assert_cmd::Command;

/// A command and what it is said to answer.
struct Told {
    line: usize,
    args: Vec<String>,
    answer: Vec<String>,
}

/// The commands of the chapter, each with the lines up to the next.
fn told() -> Vec<Told> {
    let readme = include_str!("../../README.md");
    let start = readme.find("## A day with the book").expect("the README has the day");
    let first = readme[..start].lines().count();
    let mut all: Vec<Told> = Vec::new();
    let mut inside = false;
    for (at, line) in readme[start..].lines().enumerate() {
        match line {
            "```console" => inside = true,
            "```" => inside = false,
            _ if line.starts_with("## ") && at > 0 => break,
            _ if inside => match line.strip_prefix("$ longpoint ") {
                Some(command) => {
                    let args = words(command);
                    all.push(Told { line: first + at + 1, args, answer: Vec::new() });
                }
                None => all.last_mut().expect("a command first").answer.push(line.to_owned()),
            },
            _ => {}
        }
    }
    all
}

/// Splits a command as a shell would, with double quotes.
fn words(command: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = false;
    for c in command.chars() {
        match c {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(String::new()),
            other => words.last_mut().unwrap().push(other),
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

/// Whether the answer is as told; a line `...` stands for any lines.
fn as_told(told: &[String], answer: &[&str]) -> bool {
    match told.first() {
        None => answer.iter().all(|line| line.trim().is_empty()),
        Some(any) if any == "..." => {
            (0..=answer.len()).any(|skip| as_told(&told[1..], &answer[skip..]))
        }
        Some(line) => {
            let answer: &[&str] = match answer.first() {
                Some(found) if found.trim().is_empty() && !line.trim().is_empty() => &answer[1..],
                _ => answer,
            };
            let Some(found) = answer.first() else {
                return line.trim().is_empty() && as_told(&told[1..], answer);
            };
            found.trim_end() == line.trim_end() && as_told(&told[1..], &answer[1..])
        }
    }
}

#[test]
fn the_day_goes_as_it_is_told() {
    let dir = tempfile::tempdir().unwrap();
    let told = told();
    assert!(told.len() > 15, "the day has {} commands", told.len());
    for (at, command) in told.iter().enumerate() {
        let timed = [
            "open", "take", "cut", "spoil", "replan", "finish", "undo", "order", "receive",
            "count", "flaw", "correct", "confirm", "expect", "invoice", "quote",
        ];
        let mut args = command.args.clone();
        // The README leaves out the clock, which the shop has on its wall.
        if timed.contains(&args[0].as_str()) && !args.iter().any(|arg| arg == "--open") {
            args.extend([
                "--at".to_owned(),
                format!("2026-11-25T{:02}:{:02}", 8 + at / 6, at % 6 * 10),
            ]);
        } else if args[0] == "rack" {
            args.extend(["--today", "2026-11-25"].map(str::to_owned));
        }
        let output = Command::cargo_bin("longpoint")
            .unwrap()
            .current_dir(dir.path())
            .args(&args)
            .output()
            .unwrap();
        let text =
            [output.stdout, output.stderr].map(|bytes| String::from_utf8(bytes).unwrap()).concat();
        let lines: Vec<&str> = text.lines().collect();
        assert!(
            as_told(&command.answer, &lines),
            "README.md, line {}: {:?} answers\n{text}",
            command.line,
            command.args
        );
    }
    assert!(Path::new(&dir.path().join("shop.book")).exists());
}
