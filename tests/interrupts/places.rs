//! Where what is written goes: a pipe that closes, a disk that is full, a folder
//! that may not be written to, an output that is closed.

use std::fs;
use std::io::{ErrorKind, Read};
use std::os::unix::fs::{MetadataExt, PermissionsExt};
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::{Command, Output};
use std::time::Duration;

use super::run::{command, demo, program, run, said, started};

/// Runs a line of the shell in which `$0` is the program and `$1` the demo shop.
fn shell(dir: &Path, line: &str) -> Output {
    Command::new("sh")
        .args(["-c", line])
        .arg(program())
        .arg(demo())
        .current_dir(dir)
        .output()
        .unwrap()
}

#[test]
fn a_reader_that_goes_away_is_no_error() {
    let dir = tempfile::tempdir().unwrap();
    for args in [
        &["plan", demo().to_str().unwrap(), "--today", "2026-11-25"][..],
        &["rails", demo().to_str().unwrap(), "--json"],
        &["check", demo().to_str().unwrap()],
    ] {
        let mut child = started(dir.path(), args);
        let mut first = [0; 1];
        child.stdout.take().unwrap().read_exact(&mut first).unwrap();
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{args:?}: {}", said(&output));
        assert_eq!(said(&output), "", "{args:?}");
    }
}

#[test]
fn an_output_that_is_closed_is_said_before_anything_is_done() {
    if !cfg!(target_os = "linux") {
        eprintln!("only seen on Linux");
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    for line in [
        r#""$0" check "$1" >&-"#,
        r#""$0" plan "$1" --today 2026-11-25 --out out >&-"#,
        r#""$0" demo out >&-"#,
        r#""$0" open shop.book --from "$1" >&-"#,
    ] {
        let output = shell(dir.path(), line);
        assert_eq!(output.status.code(), Some(1), "{line}: {}", said(&output));
        assert!(said(&output).contains("standard output is closed"), "{}", said(&output));
    }
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 0);
    for line in
        [r#""$0" check "$1" >/dev/null"#, r#""$0" check "$1" <&-"#, r#""$0" check "$1" 2>&-"#]
    {
        assert_eq!(shell(dir.path(), line).status.code(), Some(0), "{line}");
    }
}

#[test]
fn a_full_disk_under_the_output_is_said() {
    if !Path::new("/dev/full").exists() {
        eprintln!("this system has no /dev/full");
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    for line in [
        r#""$0" check "$1" >/dev/full"#,
        r#""$0" rails "$1" --json >/dev/full"#,
        r#""$0" plan "$1" --today 2026-11-25 >/dev/full"#,
        r#""$0" --help >/dev/full"#,
    ] {
        let output = shell(dir.path(), line);
        assert_eq!(output.status.code(), Some(1), "{line}: {}", said(&output));
        assert!(said(&output).contains("could not be shown in full"), "{}", said(&output));
        assert!(said(&output).contains("No space left"), "{}", said(&output));
    }
}

/// A page of the day before.
const OLDER: &str = "<!DOCTYPE html>\nolder";

#[test]
fn pages_are_written_whole_or_not_at_all() {
    let dir = tempfile::tempdir().unwrap();
    let opened = run(dir.path(), &["open", "shop.book", "--from", demo().to_str().unwrap()]);
    assert!(opened.status.success(), "{}", said(&opened));
    for (file, args) in [
        ("labels.html", r#"labels shop.book --all --out labels.html"#),
        ("figures.html", r#"figures shop.book --html figures.html"#),
    ] {
        fs::write(dir.path().join(file), OLDER).unwrap();
        let full = format!(r#"trap '' XFSZ; ulimit -f 1; exec "$0" {args}"#);
        let output = shell(dir.path(), &full);
        if output.status.code() == Some(0) {
            // It was small enough.
            assert_eq!(file, "figures.html");
            continue;
        }
        assert_eq!(output.status.code(), Some(1), "{}", said(&output));
        assert!(said(&output).contains("is as it was"), "{}", said(&output));
        assert_eq!(fs::read_to_string(dir.path().join(file)).unwrap(), OLDER);
        assert!(!dir.path().join(format!("{file}.new")).exists());
        let output = shell(dir.path(), &format!(r#""$0" {args}"#));
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
        let page = fs::read_to_string(dir.path().join(file)).unwrap();
        assert!(page.starts_with("<!") && page.len() > OLDER.len());
    }
    if Path::new("/dev/full").exists() {
        let output = shell(dir.path(), r#""$0" labels shop.book --all --out /dev/full"#);
        assert_eq!(output.status.code(), Some(1), "{}", said(&output));
        assert!(said(&output).contains("/dev/full cannot be written"), "{}", said(&output));
    }
}

/// As somebody who may read the folder and not write to it: if the tests are run
/// as root, permissions alone stop nothing.
#[test]
fn a_folder_that_may_not_be_written_to_is_said_and_stays_as_it_is() {
    let dir = tempfile::tempdir().unwrap();
    let copy = dir.path().join("longpoint");
    fs::copy(program(), &copy).unwrap();
    fs::set_permissions(&copy, fs::Permissions::from_mode(0o755)).unwrap();
    for name in ["shop", "closed"] {
        fs::create_dir(dir.path().join(name)).unwrap();
    }
    for entry in fs::read_dir(demo()).unwrap() {
        let path = entry.unwrap().path();
        fs::copy(&path, dir.path().join("shop").join(path.file_name().unwrap())).unwrap();
    }
    let set = |name: &str, mode| {
        fs::set_permissions(dir.path().join(name), fs::Permissions::from_mode(mode)).unwrap();
    };
    set("closed", 0o555);
    set("", 0o755);
    let is_root = fs::metadata(dir.path()).unwrap().uid() == 0;
    for args in [
        &["plan", "shop", "--today", "2026-11-25", "--out", "closed"][..],
        &["plan", "shop", "--today", "2026-11-25", "--out", "closed/a/b"],
        &["demo", "closed/new"],
        &["open", "closed/shop.book", "--from", "shop"],
    ] {
        let mut command = Command::new(&copy);
        command.current_dir(dir.path()).args(args);
        if is_root {
            command.uid(65_534).gid(65_534);
        }
        let output = run_copied(&mut command);
        assert_eq!(output.status.code(), Some(1), "{args:?}: {}", said(&output));
        assert!(output.stdout.is_empty(), "{args:?}: {}", said(&output));
        assert_eq!(fs::read_dir(dir.path().join("closed")).unwrap().count(), 0, "{args:?}");
    }
    set("closed", 0o755);
    let good = command(dir.path(), &["demo", "closed/new"]).output().unwrap();
    assert_eq!(good.status.code(), Some(0), "{}", said(&good));
}

/// Runs a program that was copied just now: it cannot be run as long as some process that
/// another test started in the meantime holds what it was written through.
fn run_copied(command: &mut Command) -> Output {
    for _ in 0..200 {
        match command.output() {
            Err(error) if error.kind() == ErrorKind::ExecutableFileBusy => {
                std::thread::sleep(Duration::from_millis(10));
            }
            output => return output.unwrap(),
        }
    }
    panic!("the copy of the program stays busy");
}
