//! Killed at any moment, the book is as before a step or after it.

use std::process::Stdio;
use std::thread::sleep;
use std::time::Duration;

use longpoint::book::RackQuery;

use super::shop::{Shop, said};

/// How often it is killed; more with LONGPOINT_KILLS.
fn kills() -> u64 {
    std::env::var("LONGPOINT_KILLS").ok().and_then(|kills| kills.parse().ok()).unwrap_or(25)
}

/// Kills that a book goes through.
const A_BOOK: u64 = 25;

/// Sticks that come in one step.
const AT_ONCE: usize = 400;

/// A number from 0 to 1 that depends on `n` alone.
fn share(n: u64) -> f64 {
    let mixed = (n + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    (mixed >> 11) as f64 / (1_u64 << 53) as f64
}

#[test]
fn killed_at_any_moment_the_book_is_as_before_or_after() {
    let count = AT_ONCE.to_string();
    let receive =
        ["receive", "shop.book", "--moulding", "ASH", "--length", "2200", "--count", &count];
    let mut shop = Shop::new(1, 1);
    // How long a whole step takes here, so that the kills fall all over it.
    let begun = std::time::Instant::now();
    assert!(shop.run(&receive).status.success());
    let whole = begun.elapsed();
    let (mut before, mut after, mut too_late) = (0, 0, 0);
    let (mut sticks, mut steps) = shop.state();
    for kill in 0..kills() {
        if kill % A_BOOK == A_BOOK - 1 {
            // A book that grows for ever would only make the test slow.
            shop = Shop::new(1, 1);
            (sticks, steps) = shop.state();
        }
        let mut child =
            shop.command(&receive).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        sleep(Duration::from_secs_f64(whole.as_secs_f64() * 1.2 * share(kill)));
        let was_done = child.try_wait().unwrap().is_some();
        child.kill().ok();
        child.wait().unwrap();
        let (sticks_now, steps_now) = shop.state();
        match (sticks_now - sticks, steps_now - steps) {
            (0, 0) => before += 1,
            (AT_ONCE, 1) if was_done => too_late += 1,
            (AT_ONCE, 1) => after += 1,
            other => panic!("kill {kill}: between: {other:?}"),
        }
        assert!(!was_done || sticks_now == sticks + AT_ONCE, "what was said to be done is there");
        (sticks, steps) = (sticks_now, steps_now);
    }
    eprintln!("{} kills: {before} before, {after} after, {too_late} when it was done", kills());
}

/// The same with the cuts of a morning: all the sticks that are named, or none.
#[test]
fn killed_while_cutting_all_sticks_are_cut_or_none() {
    let shop = Shop::new(40, 40);
    assert!(shop.run(&["take", "shop.book"]).status.success());
    let laid = shop.book().bench().unwrap().remove(0).sticks;
    let sticks: Vec<String> = laid.into_iter().map(|stick| stick.lay.stick).collect();
    assert!(sticks.len() > 20);
    let mut left: Vec<&str> = sticks.iter().map(String::as_str).collect();
    let mut round = 0;
    while !left.is_empty() && round < 200 {
        let args: Vec<&str> =
            ["cut", "shop.book"].into_iter().chain(left.iter().copied()).collect();
        let mut child =
            shop.command(&args).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        sleep(Duration::from_millis(5 + (share(round) * 60.0) as u64));
        child.kill().ok();
        child.wait().unwrap();
        let bench = shop.book().bench().unwrap();
        let open = |stick: &&str| {
            let lay = bench[0].sticks.iter().find(|own| own.lay.stick == **stick).unwrap();
            assert!(lay.lay.is_done() || !lay.lay.is_begun(), "{stick} is half cut");
            !lay.lay.is_done()
        };
        let before = left.len();
        left.retain(open);
        assert!(left.is_empty() || left.len() == before, "{} of {before} are cut", left.len());
        round += 1;
    }
    assert!(left.is_empty(), "all are cut in the end");
    assert!(shop.run(&["finish", "shop.book"]).status.success());
    shop.book();
}

/// Whatever is left of a beginning that was killed is not in the way of the next.
#[test]
fn killed_while_beginning_there_is_a_whole_book_or_none() {
    let shop = Shop::new(200, 400);
    let open = ["open", "new.book", "--from", "folder"];
    let at = shop.dir.path().join("new.book");
    let begun = std::time::Instant::now();
    assert!(shop.run(&open).status.success());
    let whole = begun.elapsed();
    let (mut none, mut done) = (0, 0);
    for kill in 0..kills() {
        std::fs::remove_file(&at).ok();
        let mut child =
            shop.command(&open).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        sleep(Duration::from_secs_f64(whole.as_secs_f64() * 1.2 * share(kill)));
        child.kill().ok();
        child.wait().unwrap();
        if at.exists() {
            let book = longpoint::book::Book::open(&at).unwrap();
            assert_eq!(book.rack(&RackQuery::default()).unwrap().len(), 400);
            done += 1;
        } else {
            none += 1;
        }
        let was_there = at.exists();
        let again = shop.run(&open);
        assert_eq!(again.status.success(), !was_there, "{}", said(&again));
    }
    eprintln!("{} kills: {none} without a book, {done} with a whole one", kills());
}

/// Everything that a book says of itself.
fn all(shop: &Shop) -> (u64, String) {
    let book = shop.book();
    let rack = book.rack(&RackQuery::default()).unwrap();
    let (bench, lines) = (book.bench().unwrap(), book.open_lines().unwrap());
    let said = format!("{rack:?} {bench:?} {lines:?} {:?}", book.snapshot().unwrap().shop);
    (book.audit().unwrap().steps, said)
}

/// A day's commands, each killed somewhere in the middle, then done.
#[test]
fn killed_in_any_command_the_book_is_as_before_or_after() {
    let day: [&[&str]; 12] = [
        &["receive", "shop.book", "--moulding", "ASH", "--length", "2200", "--count", "40"],
        &["take", "shop.book"],
        &["undo", "shop.book"],
        &["take", "shop.book"],
        &["cut", "shop.book", "--all"],
        &["spoil", "shop.book", "S-1", "1"],
        &["replan", "shop.book"],
        &["finish", "shop.book", "--rest-back"],
        &["order", "shop.book"],
        &["confirm", "shop.book", "--order", "1", "--reference", "R"],
        &["expect", "shop.book", "--line", "1", "--not-known"],
        &["invoice", "shop.book", "--order", "1", "--goods", "90"],
    ];
    let twin = Shop::new(90, 30);
    let timed = |args: &&[&str]| {
        let begun = std::time::Instant::now();
        let output = twin.run(args);
        assert!(output.status.success() || args[0] == "finish", "{args:?} {}", said(&output));
        begun.elapsed()
    };
    let whole: Vec<Duration> = day.iter().map(timed).collect();
    let (mut before, mut after) = (0, 0);
    for round in 0..kills().div_ceil(day.len() as u64) {
        let shop = Shop::new(90, 30);
        for (at, args) in day.iter().enumerate() {
            let (steps, was) = all(&shop);
            let mut child =
                shop.command(args).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
            let when = share(round * day.len() as u64 + at as u64);
            sleep(Duration::from_secs_f64(whole[at].as_secs_f64() * when));
            child.kill().ok();
            child.wait().unwrap();
            let (steps_now, is) = all(&shop);
            match steps_now - steps {
                0 => {
                    assert_eq!(is, was, "{args:?}");
                    before += 1;
                    shop.run(args);
                }
                1 => after += 1,
                more => panic!("{args:?}: {more} steps"),
            }
        }
    }
    eprintln!("{} kills in any command: {before} before, {after} after", before + after);
    assert!(before > 0);
}
