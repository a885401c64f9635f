//! Shops on which the planner once said what is not so, or broke off.

use std::path::Path;

use assert_cmd::Command;

/// The first lines of a plan of one of the folders beside this file.
fn planned(shop: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/morning/proven").join(shop);
    let mut command = Command::cargo_bin("longpoint").unwrap();
    let output = command.arg("plan").arg(folder).args(["--today", "2026-11-25"]).output().unwrap();
    let error = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!((output.status.code(), error.as_str()), (Some(0), ""));
    String::from_utf8(output.stdout).unwrap().split_whitespace().collect::<Vec<_>>().join(" ")
}

// Computed by a table over every set of rails and every way to cut a stick:
// 96.79668 from ten sticks. It was 96.82, "proven".
#[test]
fn full_worth_from_the_shortest_kept_on() {
    let plan = planned("full-worth");
    assert!(plan.contains("8 frames today from 10 sticks"), "{plan}");
    assert!(plan.contains("Used up 96.80 EUR, proven."), "{plan}");
}

// Every frame has a place; branches hundreds deep were more than the stack held.
#[test]
fn branches_are_no_deeper_than_the_stack() {
    let plan = planned("deep-branching");
    assert!(plan.contains("frames today"), "{plan}");
}
