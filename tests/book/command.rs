//! What a command says.

use std::path::Path;

use assert_cmd::Command;

/// What a command says, in one line, and its exit code.
pub fn said(dir: &Path, line: &str) -> (String, Option<i32>) {
    let mut command = Command::cargo_bin("longpoint").unwrap();
    let output = command.current_dir(dir).args(line.split_whitespace()).output().unwrap();
    let all = [output.stdout, output.stderr].map(|bytes| String::from_utf8(bytes).unwrap());
    let words = all.concat().split_whitespace().collect::<Vec<_>>().join(" ");
    (words, output.status.code())
}
