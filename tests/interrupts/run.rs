//! The program, started in a folder of its own, and signals to it.

use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

pub fn program() -> &'static Path {
    Path::new(env!("CARGO_BIN_EXE_longpoint"))
}

pub fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo")
}

pub fn command(dir: &Path, args: &[&str]) -> Command {
    let mut command = Command::new(program());
    command.current_dir(dir).args(args).stdin(Stdio::null());
    command
}

pub fn run(dir: &Path, args: &[&str]) -> Output {
    command(dir, args).output().unwrap()
}

pub fn said(output: &Output) -> String {
    [&output.stdout, &output.stderr].map(|bytes| String::from_utf8_lossy(bytes)).concat()
}

pub fn started(dir: &Path, args: &[&str]) -> Child {
    command(dir, args).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
}

/// Sends a signal, by the name that `kill` knows it by.
pub fn send(child: &Child, signal: &str) {
    let sent = Command::new("kill").args(["-s", signal, &child.id().to_string()]).status();
    assert!(sent.unwrap().success(), "{signal} could not be sent");
}

/// Waits for the end, and says how long that took.
pub fn ended(child: Child) -> (Output, Duration) {
    let begun = Instant::now();
    let output = child.wait_with_output().unwrap();
    (output, begun.elapsed())
}

/// Waits until the program listens to signals: until then they end it as they
/// end any program.
pub fn listens(child: &mut Child) {
    let status = format!("/proc/{}/status", child.id());
    let until = Instant::now() + Duration::from_secs(20);
    loop {
        assert!(Instant::now() < until, "it never listens");
        assert!(child.try_wait().unwrap().is_none(), "it ended before it was told to");
        match std::fs::read_to_string(&status) {
            Ok(status) if catches_interrupts(&status) => return,
            Ok(_) => sleep(Duration::from_millis(2)),
            // Where there is no /proc, time has to do.
            Err(_) => return sleep(Duration::from_millis(300)),
        }
    }
}

/// Whether both signals are among those that the status says are caught.
fn catches_interrupts(status: &str) -> bool {
    let caught = status.lines().find_map(|line| line.strip_prefix("SigCgt:"));
    let mask = caught.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok()).unwrap_or(0);
    let both = 1 << (2 - 1) | 1 << (15 - 1);
    mask & both == both
}
