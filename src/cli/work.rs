//! `longpoint work`: tasks from standard input, a line each, and their answers.
//!
//! It is what a driver runs on many machines: a task brings its shop along, and its answer
//! depends on nothing else. No file is read or written and no clock is asked.

mod task;

use std::collections::BTreeSet;
use std::io::{self, BufRead, Read, Write};
use std::panic::{AssertUnwindSafe, catch_unwind};

use serde_json::json;

use super::exit::{FAILED, WRONG_INPUT, WrongInput};
use super::{interrupt, plan, threads, year};
use crate::book::Debts;
use crate::shop::read_files;
use task::{TaskCommand, WorkTask};

/// The longest line that is read, its end left out.
const LONGEST: usize = 64_000_000;

/// The exit code of a program that stopped by a mistake of its own.
const PANICKED: u8 = 101;

/// What `longpoint work` is told.
#[derive(Debug, clap::Args)]
#[command(after_help = FORMS)]
pub struct WorkArgs {
    /// Work with N threads
    #[arg(long, value_name = "N", default_value_t = 1, allow_negative_numbers = true, value_parser = threads::parse)]
    pub threads: usize,
}

const FORMS: &str = "\
A task is one line of JSON: an id of its own, the text of the shop's files by their names,
and what is asked, with the options of that command:

  {\"id\":\"north\",\"files\":{\"shop.toml\":\"..\",..},\"plan\":{\"today\":\"2026-11-25\"}}
  {\"id\":\"year 7\",\"files\":{..},\"year\":{\"today\":\"2027-01-04\",\"days\":50,\"seed\":7}}

It is answered by one line of JSON: the id, the exit code that the command would have
had, and what it would have printed with --json, or what it says is wrong:

  {\"id\":\"north\",\"exit\":0,\"answer\":\"..\"}
  {\"id\":\"year 7\",\"exit\":2,\"faults\":[\"frames.csv, row 3, width: ..\"]}";

/// Answers every line of standard input, in order.
///
/// # Errors
/// If a line cannot be read or an answer cannot be written. A task that is wrong is no
/// error here: that is its answer.
pub fn run(args: &WorkArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut input = io::stdin().lock();
    let mut ids = BTreeSet::new();
    let mut line = Vec::new();
    for number in 1_u64.. {
        let Some(is_whole) = next_line(&mut input, &mut line)? else { break };
        if is_whole && line.iter().all(u8::is_ascii_whitespace) {
            continue;
        }
        let (id, task) = match is_whole {
            true => task::read(&line, args.threads),
            false => {
                let most = LONGEST / 1_000_000;
                let words = format!("longer than {most} MB (send a smaller shop)");
                (None, Err(vec![words]))
            }
        };
        let is_new = id.as_ref().is_none_or(|id| ids.insert(id.clone()));
        let task = task.and_then(|task| match is_new {
            true => Ok(task),
            false => Err(vec!["id: an earlier line has it (give each its own)".to_owned()]),
        });
        let placed =
            |faults: Vec<String>| faults.iter().map(|of| format!("line {number}: {of}")).collect();
        let answer = task.map_err(|faults| (WRONG_INPUT, placed(faults))).and_then(answered);
        if let Some(ended) = interrupt::cut_short() {
            // What was cut short is not what a whole search would have found.
            return Err(ended.into());
        }
        let answer = match answer {
            Ok(answer) => json!({"id": id, "exit": 0, "answer": answer}),
            Err((exit, faults)) => json!({"id": id, "exit": exit, "faults": faults}),
        };
        interrupt::whole(|| writeln!(out, "{answer}").and_then(|()| out.flush()))?;
    }
    Ok(())
}

/// Reads a line without its end; whether it is whole, or `None` after the last. One that is
/// too long is read to its end and not kept.
fn next_line(input: &mut dyn BufRead, line: &mut Vec<u8>) -> io::Result<Option<bool>> {
    line.clear();
    let most = LONGEST as u64 + 1;
    if input.take(most).read_until(b'\n', line)? == 0 {
        return Ok(None);
    }
    if line.last() == Some(&b'\n') {
        line.pop();
    } else if line.len() > LONGEST {
        // Nothing of it is of use, and another as long need not fit beside it.
        *line = Vec::new();
        input.skip_until(b'\n')?;
        return Ok(Some(false));
    }
    Ok(Some(true))
}

/// What the command prints, or its exit code and what it says is wrong.
fn answered(task: WorkTask) -> Result<String, (u8, Vec<String>)> {
    // The next task has nothing of this one: a mistake in one must not end them all.
    let done = catch_unwind(AssertUnwindSafe(|| asked(task)));
    let done = done.map_err(|_| {
        let words = "stopped by a mistake in Longpoint, please report it with the task";
        (PANICKED, vec![words.to_owned()])
    })?;
    done.map_err(|error| {
        let exit = if error.is::<WrongInput>() { WRONG_INPUT } else { FAILED };
        (exit, format!("{error:#}").lines().map(str::to_owned).collect())
    })
}

fn asked(task: WorkTask) -> anyhow::Result<String> {
    let shop = read_files(&task.files).map_err(|faults| WrongInput(faults.to_string()))?;
    let mut text = Vec::new();
    match &task.command {
        TaskCommand::Plan(args) => drop(plan::answer(args, shop, &Debts::default(), &mut text)?),
        TaskCommand::Year(args) => year::answer(args, &shop, &shop.frames, &mut text)?,
    }
    Ok(String::from_utf8(text)?)
}
