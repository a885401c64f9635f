//! Ctrl-C and SIGTERM: at once, or within a second with the best so far.

use std::fs;
use std::path::Path;
use std::thread::sleep;
use std::time::Duration;

use super::run::{demo, ended, listens, run, said, send, started};

/// What each signal makes of an exit code.
const CODES: [(&str, i32); 2] = [("INT", 130), ("TERM", 143)];

/// A command ends within a second; what is on top is for a machine that does
/// other things as well.
const SOON: Duration = Duration::from_millis(1_000 + 1_500);

/// An instance whose search takes far longer than a test may: items of nearly
/// thirds of a stick, all different.
fn long_search(dir: &Path) {
    let mut text = "400\n1000000\n".to_owned();
    for n in 0_u64..400 {
        text += &format!("{}\n", 200_003 + (n * n * 7_919 + n * 104_729) % 300_007);
    }
    fs::write(dir.join("long.txt"), text).unwrap();
}

/// A shop whose mornings compete for scarce stock, so that planning takes long.
fn busy_shop(dir: &Path) {
    let shop = dir.join("busy");
    let demo = demo();
    fs::create_dir(&shop).unwrap();
    for name in ["shop.toml", "mouldings.csv", "suppliers.csv", "offers.csv"] {
        fs::copy(demo.join(name), shop.join(name)).unwrap();
    }
    let codes = ["BLK-20", "BLK-32", "ASH-20", "GLD-50", "WHT-15", "OAK-38", "NAV-25"];
    let mut frames = "frame,moulding,width,height,due,match\n".to_owned();
    for n in 0_usize..700 {
        let (width, height) = (7 + n * 5 % 13, 9 + n * 7 % 17);
        let (code, day) = (codes[n % 7], 1 + n % 3);
        frames += &format!("{n},{code},{width} {}/16,{height},2026-12-0{day},lot\n", n * 3 % 16);
    }
    let mut rack = "stick,moulding,length,lot,place\n".to_owned();
    for n in 0_usize..240 {
        let length = 40 + n * 17 % 68;
        rack += &format!("S-{n},{},{length} {}/16,L{},bay\n", codes[n % 7], n * 5 % 16, n % 9);
    }
    fs::write(shop.join("frames.csv"), frames).unwrap();
    fs::write(shop.join("rack.csv"), rack).unwrap();
}

#[test]
fn a_search_that_is_stopped_shows_the_best_so_far_or_says_that_there_is_none() {
    let dir = tempfile::tempdir().unwrap();
    long_search(dir.path());
    for (signal, code) in CODES {
        let mut child = started(dir.path(), &["pack", "long.txt", "--seconds", "600", "--json"]);
        listens(&mut child);
        sleep(Duration::from_millis(1_500));
        send(&child, signal);
        let (output, took) = ended(child);
        assert!(took < SOON, "{signal}: {took:?}");
        match output.status.code() {
            Some(0) => {
                let answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
                assert_eq!(answer["status"], "feasible");
                assert!(said(&output).contains("Stopped: this is the best"), "{}", said(&output));
            }
            ended => {
                assert_eq!(ended, Some(code), "{}", said(&output));
                assert!(said(&output).contains("stopped before there was anything to show"));
            }
        }
    }
}

#[test]
fn a_plan_that_is_stopped_is_whole_or_nothing() {
    let dir = tempfile::tempdir().unwrap();
    busy_shop(dir.path());
    let args = ["plan", "busy", "--today", "2026-11-25", "--out", "out"];
    let mut stopped = 0;
    for (signal, code) in CODES {
        for after in [0, 40, 400, 1_200] {
            let _ = fs::remove_dir_all(dir.path().join("out"));
            let mut child = started(dir.path(), &args);
            listens(&mut child);
            sleep(Duration::from_millis(after));
            send(&child, signal);
            let (output, took) = ended(child);
            assert!(took < SOON, "{signal} after {after}: {took:?}");
            let written = fs::read_dir(dir.path().join("out")).map(Iterator::count);
            match output.status.code() {
                Some(0) => {
                    assert_eq!(written.unwrap(), 6, "{}", said(&output));
                    assert!(!output.stdout.is_empty(), "{}", said(&output));
                    stopped += usize::from(said(&output).contains("Stopped: this is the best"));
                }
                ended => {
                    assert_eq!(ended, Some(code), "{}", said(&output));
                    assert!(written.is_err(), "something was written");
                    assert!(output.stdout.is_empty(), "something was shown");
                    stopped += 1;
                }
            }
        }
    }
    assert!(stopped > 0, "it was always done before it was told to stop");
}

#[test]
fn a_second_signal_ends_at_once() {
    let dir = tempfile::tempdir().unwrap();
    long_search(dir.path());
    let mut child = started(dir.path(), &["pack", "long.txt", "--seconds", "600"]);
    listens(&mut child);
    sleep(Duration::from_millis(300));
    send(&child, "TERM");
    sleep(Duration::from_millis(60));
    if child.try_wait().unwrap().is_none() {
        send(&child, "INT");
    }
    let (output, took) = ended(child);
    assert!(took < Duration::from_millis(700), "{took:?}");
    assert!(matches!(output.status.code(), Some(0 | 130 | 143)), "{}", said(&output));
}

/// Questions have nothing to show before they are answered, and changes of a book
/// are not made by halves.
#[test]
fn questions_and_changes_end_at_once_and_change_nothing() {
    let dir = tempfile::tempdir().unwrap();
    busy_shop(dir.path());
    let opened = run(dir.path(), &["open", "shop.book", "--from", "busy"]);
    assert!(opened.status.success(), "{}", said(&opened));
    let steps = || said(&run(dir.path(), &["audit", "shop.book"]));
    let before = steps();
    let commands: [&[&str]; 6] = [
        &["why", "690", "busy", "--today", "2026-11-25"],
        &["fits", "busy", "--moulding", "BLK-32", "--today", "2026-11-25"],
        &["quote", "busy", "--moulding", "BLK-32", "--size", "9x12", "--today", "2026-11-25"],
        &["take", "shop.book", "--out", "sheets"],
        &["order", "shop.book"],
        &["pack", "-"],
    ];
    for args in commands {
        for (signal, code) in CODES {
            let mut command = super::run::command(dir.path(), args);
            let piped = std::process::Stdio::piped;
            let mut child = command.stdin(piped()).stdout(piped()).stderr(piped()).spawn().unwrap();
            listens(&mut child);
            sleep(Duration::from_millis(100));
            send(&child, signal);
            let (output, took) = ended(child);
            assert!(took < SOON, "{args:?} {signal}: {took:?}");
            assert_eq!(output.status.code(), Some(code), "{args:?}: {}", said(&output));
            assert!(output.stdout.is_empty(), "{args:?}: {}", said(&output));
        }
    }
    assert_eq!(steps(), before);
    assert!(!dir.path().join("sheets").exists());
}
