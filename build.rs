//! Tells the build of which commit it is.
//!
//! # Why a development build says "or later"
//!
//! Cargo makes all of it anew where a file changed that was looked at here. A release looks
//! at what says which commit it is; to others, which are made after each change, that would
//! cost minutes at each commit, so that they look once.

#[path = "build/commit.rs"]
mod commit;

use std::path::Path;

fn main() {
    println!("cargo::rerun-if-env-changed=LONGPOINT_COMMIT");
    println!("cargo::rerun-if-changed=build/commit.rs");
    if std::env::var_os("LONGPOINT_COMMIT").is_some() {
        return;
    }
    let Some((commit, looked_at)) = commit::commit(Path::new(".git")) else { return };
    let commit: String = commit.chars().take(12).collect();
    if std::env::var("PROFILE").is_ok_and(|profile| profile == "release") {
        println!("cargo::rustc-env=LONGPOINT_COMMIT={commit}");
        for path in looked_at {
            println!("cargo::rerun-if-changed={}", path.display());
        }
    } else {
        println!("cargo::rustc-env=LONGPOINT_COMMIT={commit} or later");
    }
}
