//! The plan is the same, byte for byte, however many threads make it.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use jiff::civil::date;
use longpoint::chop::schedule;
use longpoint::morning::{plan, plan_telling};
use longpoint::plan::{Plan, Wishes};
use longpoint::report::order_table::Reference;
use longpoint::report::{csv, json};
use longpoint::shop::Shop;
use longpoint::solve::Limits;
use rayon::ThreadPoolBuilder;

use crate::shops::room::{Room, room};
use crate::shops::{Size, shop};

/// Few steps, so that searches end unproven too: where they are cut off must
/// not depend on the threads either.
const WORK: u64 = 40_000;

fn planned(shop: &Shop, threads: usize) -> Plan {
    let pool = ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
    pool.install(|| {
        let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
        plan(shop, date(2026, 11, 25), limits).unwrap().into_inner()
    })
}

fn written(shop: &Shop, plan: &Plan) -> String {
    let schedule = schedule(plan, shop);
    json::plan(plan, shop, &schedule)
        + &csv::chop(&schedule, shop)
        + &csv::order(Reference::default(), plan, shop)
}

#[test]
fn one_thread_and_many_write_the_same_bytes() {
    let shops = [
        ("ample", room(11, Room { frames: 60, mouldings: 6 })),
        ("scarce", shop(12, Size { frames: 60, mouldings: 8, sticks: 60 })),
        ("tied", shop(13, Size { frames: 40, mouldings: 3, sticks: 25 })),
    ];
    let (mut open, mut waiting) = (0, 0);
    for (name, shop) in &shops {
        let first = planned(shop, 1);
        open += first.proof.iter().filter(|proof| !proof.proven).count();
        waiting += first.waiting.len();
        for threads in [2, 2, 5] {
            let again = planned(shop, threads);
            assert_eq!(again, first, "{name}, {threads} threads");
            assert_eq!(written(shop, &again), written(shop, &first), "{name}, {threads} threads");
        }
    }
    assert!(open > 0 && waiting > 0, "{open} packings open, {waiting} frames wait: too easy");
}

/// Whoever waits is told how many mouldings are done, to the last one.
#[test]
fn it_is_told_how_many_mouldings_are_done() {
    let shop = shop(12, Size { frames: 30, mouldings: 8, sticks: 60 });
    let heard = std::sync::Mutex::new(Vec::new());
    let told = |done: usize, all: usize| heard.lock().unwrap().push((done, all));
    let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
    let (day, wishes) = (date(2026, 11, 25), Wishes::default());
    let telling = plan_telling(&shop, day, &wishes, limits, &told).unwrap();
    assert_eq!(telling.into_inner(), planned(&shop, 2), "it is the same plan");
    let heard = heard.into_inner().unwrap();
    assert!(heard.iter().all(|(done, all)| done <= all), "{heard:?}");
    assert_eq!(heard.first().map(|(done, _)| *done), Some(0), "{heard:?}");
    let last = heard.last().unwrap();
    assert!(last.0 == last.1 && last.1 > 1, "to the last: {heard:?}");
}

#[test]
fn the_command_line_writes_the_same_folder() {
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo");
    let dir = tempfile::tempdir().unwrap();
    let run = |threads: &str| {
        let out = dir.path().join(threads);
        let mut command = Command::cargo_bin("longpoint").unwrap();
        command.args(["plan", demo, "--today", "2026-11-25", "--threads", threads, "--out"]);
        let shown = command.arg(&out).assert().success().get_output().stdout.clone();
        (shown, files(&out))
    };
    let (shown, first) = run("1");
    assert!(first.len() > 3);
    assert_eq!(run("2"), (shown, first));
}

fn files(dir: &Path) -> Vec<(String, Vec<u8>)> {
    let entries = fs::read_dir(dir).unwrap().map(|entry| entry.unwrap().path());
    let name = |path: &Path| path.file_name().unwrap().to_str().unwrap().to_owned();
    let mut files: Vec<(String, Vec<u8>)> =
        entries.map(|path| (name(&path), fs::read(&path).unwrap())).collect();
    files.sort();
    files
}

#[test]
fn a_number_of_threads_that_is_none_is_wrong_input() {
    for wrong in ["0", "-1", "many"] {
        let mut command = Command::cargo_bin("longpoint").unwrap();
        let said = command.args(["plan", "shop", "--threads", wrong]).assert().code(2);
        let said = String::from_utf8(said.get_output().stderr.clone()).unwrap();
        assert!(said.contains("give a whole number from 1 to 256"), "{said}");
    }
}
