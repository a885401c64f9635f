//! Arguments that nobody meant: exit code 0 or 2, in few words.

use std::ffi::OsString;
use std::path::Path;
use std::process::Command;

use crate::files::in_few_words;
use crate::numbers::Numbers;
use crate::ring::ring;

/// Commands with places for words: `?` is any word, `DIR` the shop, `BOOK` a book.
const COMMANDS: &[&str] = &[
    "check DIR",
    "check ?",
    "rails DIR",
    "rails DIR ?",
    "plan DIR --today ?",
    "plan DIR --seconds ?",
    "plan DIR --threads ?",
    "plan DIR --rush ? --only ?",
    "why ? DIR",
    "why 1 DIR --today ?",
    "fits DIR --moulding ?",
    "fits DIR --moulding ASH --size ?",
    "fits DIR --moulding ASH --gap ? --match ?",
    "quote DIR --moulding ? --size ?",
    "quote DIR --moulding ASH --size ? --copies ?",
    "quote DIR --moulding ASH --size 100x100 --due ? --match ?",
    "pack ?",
    "open BOOK --from ?",
    "cut BOOK ? --to ?",
    "spoil BOOK ? ?",
    "flaw BOOK S-1 ?",
    "flaw BOOK ? ?",
    "finish BOOK --place ?",
    "undo BOOK --by ? --why ?",
    "undo BOOK --at ?",
    "order BOOK --drop ?",
    "confirm BOOK --order ? --supplier ? --on ? --reference ?",
    "expect BOOK --line ? --on ?",
    "invoice BOOK --order ? --goods ? --line ? --number ?",
    "receive BOOK --moulding ASH --length 2000 --from ? --cost ?",
    "receive BOOK --moulding ? --length ?",
    "receive BOOK --moulding ASH --length ? --count ?",
    "receive BOOK --moulding ASH --length 2000 --lot ? --flaws ?",
    "receive BOOK --line ?",
    "count BOOK ? ?",
    "scrap BOOK ?",
    "rack BOOK --moulding ? --lot ? --at-least ? --idle ?",
    "stick BOOK ?",
    "labels BOOK --out labels.html ?",
    "sheets DIR --pieces ?",
    "sheets DIR --material ? --most ?",
    "sheets BOOK --most ?",
    "sheets BOOK --pieces ? --cut --by ?",
    "receive BOOK --material ? --size ? --place ?",
    "correct BOOK ? --size ? --count ?",
    "spoil BOOK --frame ? --piece ?",
    "? ?",
    "?",
    "--help ?",
];

const WORDS: &[&str] = &[
    "",
    " ",
    "0",
    "-1",
    "1",
    "99999999999999999999",
    "18446744073709551616",
    "9223372036854775807",
    "1e400",
    "NaN",
    "inf",
    "1e-400",
    "0.0000001",
    "2026-11-25",
    "2026-02-30",
    "9999-12-31",
    "-9999-01-01",
    "2026-11-25T99:00",
    "ASH",
    "ASHH",
    "S-1",
    "S-1=",
    "S-1=99999",
    "=",
    "100x100",
    "0x0",
    "xxx",
    "1/0x1/0",
    "50 m x 50 m",
    "100 .. 50",
    "0 .. 99999",
    "\u{202e}",
    "a\u{1b}[2J",
    "\u{ff11}",
    "--",
    "-",
    "--rush",
    "any",
    "wrap",
    "bay",
];

const TOML: &str = "name = \"a\"\nunit = \"mm\"\nallowance = \"3\"\ncurrency = \"EUR\"\n\
default_cutter = \"saw\"\n[offcuts]\nkeep = \"200\"\nworth = \"0.5\"\n[cutter.saw]\nkerf = \"3\"\n\
passes = 1\nnick = \"0\"\nfirst_trim = \"10\"\nlast_trim = \"10\"\ngrip = \"0\"\n\
shortest = \"100\"\nstop = \"long\"\n";

fn shop(dir: &Path) {
    let folder = dir.join("shop");
    std::fs::create_dir(&folder).unwrap();
    for (name, text) in [
        ("shop.toml", TOML),
        ("mouldings.csv", "moulding,width,rabbet,stick,price,per\nASH,20,6,2200,3.10,m\n"),
        ("frames.csv", "frame,moulding,width,height\n1,ASH,400,500\n"),
        ("rack.csv", "stick,moulding,length,place\nS-1,ASH,2200,bay\n"),
    ] {
        std::fs::write(folder.join(name), text).unwrap();
    }
}

#[test]
fn whatever_is_typed_is_done_or_refused_in_few_words() {
    let dir = tempfile::tempdir().unwrap();
    shop(dir.path());
    let opened = run(dir.path(), &["open", "whole.book", "--from", "shop"].map(OsString::from));
    assert_eq!(opened.status.code(), Some(0));
    ring("LONGPOINT_ARGUMENTS", 400, |seed| {
        let numbers = &mut Numbers(seed ^ 0x6172_6775);
        let own = dir.path().join(seed.to_string());
        std::fs::create_dir(&own).unwrap();
        std::fs::copy(dir.path().join("whole.book"), own.join("b.book")).unwrap();
        let args: Vec<OsString> = numbers
            .one_of(COMMANDS)
            .split(' ')
            .map(|part| match part {
                "DIR" => OsString::from("../shop"),
                "BOOK" => OsString::from("b.book"),
                "?" => word(numbers),
                part => OsString::from(part),
            })
            .collect();
        let output = run(&own, &args);
        std::fs::remove_dir_all(&own).unwrap();
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        let done = match output.status.code() {
            Some(0) => Ok(()),
            Some(2) => in_few_words(&said).map_err(|fault| format!("{fault} {args:?}")),
            code => Err(format!("ended with {code:?}: {said} {args:?}")),
        };
        done.map_err(|fault| fault.chars().take(900).collect())
    });
}

fn word(numbers: &mut Numbers) -> OsString {
    match numbers.within(0, 9) {
        0 => numbers.one_of(&["a", "9", "-", "\u{e9}", "a "]).repeat(5_000).into(),
        #[cfg(unix)]
        1 => std::os::unix::ffi::OsStringExt::from_vec(vec![b'a', 0xff, b'b']),
        _ => numbers.one_of(WORDS).into(),
    }
}

fn run(dir: &Path, args: &[OsString]) -> std::process::Output {
    Command::new(env!("CARGO_BIN_EXE_longpoint"))
        .current_dir(dir)
        .args(args)
        .stdin(std::process::Stdio::null())
        .output()
        .unwrap()
}

/// Deliveries of a day at the end of the calendar have no date.
#[test]
fn a_year_that_nobody_means_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    shop(dir.path());
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo");
    for (day, code) in [("9999-12-31", 2), ("-9999-01-01", 2), ("1899-12-31", 2), ("2200-12-31", 0)]
    {
        for folder in [demo.as_path(), Path::new("shop")] {
            let day = format!("--today={day}");
            let args = [OsString::from("plan"), folder.into(), day.clone().into()];
            let output = run(dir.path(), &args);
            let said = String::from_utf8_lossy(&output.stderr);
            assert_eq!(output.status.code(), Some(code), "{day} {said}");
        }
    }
}
