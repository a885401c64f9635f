//! Many at once: no stick is ever taken twice, and nothing that was done is lost.

use std::collections::BTreeMap;
use std::process::{Output, Stdio};

use longpoint::book::RackQuery;

use super::shop::{Shop, said};

/// How many work at once, and how often; more rounds with LONGPOINT_CROWDS.
const AT_ONCE: usize = 8;

fn rounds() -> usize {
    std::env::var("LONGPOINT_CROWDS").ok().and_then(|n| n.parse().ok()).unwrap_or(2)
}

fn all_at_once(shop: &Shop, commands: &[Vec<String>]) -> Vec<Output> {
    let start = |args: &Vec<String>| {
        let args: Vec<&str> = args.iter().map(String::as_str).collect();
        shop.command(&args).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
    };
    let started: Vec<_> = commands.iter().map(start).collect();
    started.into_iter().map(|child| child.wait_with_output().unwrap()).collect()
}

#[test]
fn many_take_plans_at_once_and_no_stick_is_taken_twice() {
    for _ in 0..rounds() {
        // Half as many sticks as frames, and each frame takes one.
        let shop = Shop::new(AT_ONCE, AT_ONCE / 2);
        let take = |n: usize| {
            ["take", "shop.book", "--only", &format!("F-{n}")].map(str::to_owned).to_vec()
        };
        let commands: Vec<Vec<String>> = (1..=AT_ONCE).map(take).collect();
        let outputs = all_at_once(&shop, &commands);
        let took = outputs.iter().filter(|output| output.status.success()).count();
        for output in outputs.iter().filter(|output| !output.status.success()) {
            assert_eq!(output.status.code(), Some(2), "{}", said(output));
            assert!(said(output).contains("there is nothing to cut today"), "{}", said(output));
        }
        assert_eq!(took, AT_ONCE / 2, "every stick was taken");
        let mut by: BTreeMap<String, usize> = BTreeMap::new();
        for plan in shop.book().bench().unwrap() {
            for stick in plan.sticks {
                *by.entry(stick.lay.stick).or_default() += 1;
            }
        }
        assert_eq!(by.len(), AT_ONCE / 2);
        assert!(by.values().all(|times| *times == 1), "{by:?}");
    }
}

#[test]
fn many_write_at_once_and_nothing_is_lost() {
    let shop = Shop::new(1, 1);
    let receive = |_| {
        ["receive", "shop.book", "--moulding", "ASH", "--length", "2000"]
            .map(str::to_owned)
            .to_vec()
    };
    for round in 1..=rounds() {
        let commands: Vec<Vec<String>> = (0..AT_ONCE).map(receive).collect();
        for output in all_at_once(&shop, &commands) {
            assert!(output.status.success(), "{}", said(&output));
        }
        let rack = shop.book().rack(&RackQuery::default()).unwrap();
        assert_eq!(rack.len(), 1 + round * AT_ONCE, "each stick has its own label");
    }
}

/// A book that is held open stays locked against programs that would take away what stands
/// beside it (they ask for the whole of SQLite's shared bytes, from 2^30 + 2 on), also when
/// it was opened and closed once more by the same process, as the shop's page does.
#[test]
#[cfg(target_os = "linux")]
fn a_book_that_is_held_stays_locked() {
    use std::os::unix::fs::MetadataExt;
    let shop = Shop::new(1, 1);
    let own = std::fs::metadata(shop.path()).unwrap().ino().to_string();
    let is_locked = || {
        let locks = std::fs::read_to_string("/proc/locks").unwrap();
        locks.lines().map(|line| line.split_whitespace().collect()).any(|of: Vec<&str>| {
            of.len() > 6 && of[5].rsplit(':').next() == Some(&own) && of[6] == "1073741826"
        })
    };
    let held = shop.book();
    held.rack(&RackQuery::default()).unwrap();
    assert!(is_locked(), "it is held");
    drop(shop.book());
    assert!(is_locked(), "it is held still");
    drop(held);
    assert!(!is_locked(), "nobody holds it");
}
