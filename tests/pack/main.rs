//! `longpoint pack` as its users meet it: the built program, files and pipes.

mod answers;
mod errors;
mod forms;
#[path = "../support/known.rs"]
mod known;

use assert_cmd::Command;
use serde_json::Value;

/// The built program, about to pack what is piped into it.
fn pack(instance: &str, options: &[&str]) -> Command {
    let mut command = Command::cargo_bin("longpoint").expect("the program is built");
    command.args(["pack", "-"]).args(options);
    command.write_stdin(instance);
    command
}

/// The JSON answer to an instance that can be answered.
fn answer(instance: &str) -> Value {
    let done = pack(instance, &["--json"]).assert().success();
    serde_json::from_slice(&done.get_output().stdout).expect("the answer is JSON")
}

/// The answer in words, to an instance that can be answered.
fn words(instance: &str) -> String {
    let done = pack(instance, &[]).assert().success();
    String::from_utf8(done.get_output().stdout.clone()).expect("the answer is text")
}

/// What is said of an instance that cannot be read.
fn complaint(instance: &str) -> String {
    let done = pack(instance, &[]).assert().code(2);
    assert!(done.get_output().stdout.is_empty());
    String::from_utf8(done.get_output().stderr.clone()).expect("the complaint is text")
}
