//! `rack.csv`: scarce sticks, lots known and unknown, flaws where they hurt.

use super::Flavour;
use super::profiles::Profile;
use super::table::Table;
use crate::numbers::Numbers;

pub fn table(numbers: &mut Numbers, flavour: &Flavour, mouldings: &[Profile]) -> String {
    let mut table = Table::new(&["stick", "moulding", "length", "lot", "place", "flaws", "since"]);
    let count = match flavour.crowded {
        true => numbers.within(2, 8),
        false => numbers.one_of(&[0, 1, 2, 3, 4, 6, 9]),
    };
    let lots: &[&str] = numbers.one_of(&[&["", "", "A", "B"][..], &[""], &["A"], &["A", "B", "C"]]);
    for stick in 0..count {
        let moulding =
            &mouldings[usize::try_from(numbers.within(0, mouldings.len() as i64 - 1)).unwrap()];
        let length = match numbers.within(0, 9) {
            0 => moulding.stick,
            1 => (flavour.keep * 1000).max(1),
            2 => flavour.keep * 1000 + 1,
            _ => flavour.mm(numbers, &[250, 400, 900, 1_300, 2_400, 2_400]),
        };
        table.row(vec![
            format!("{}{stick}", numbers.one_of(&["S-", "S-", "'", "+"])),
            moulding.id.clone(),
            flavour.speller.cell(numbers, length),
            numbers.one_of(lots).to_owned(),
            numbers.one_of(&["", "bay 1", "küche, links"]).to_owned(),
            flaws(numbers, flavour, length),
            numbers.one_of(&["", "2019-02-28", "2026-11-25"]).to_owned(),
        ]);
    }
    table.write(numbers)
}

/// None, one at an end, narrow ones, some that touch, or the whole stick.
fn flaws(numbers: &mut Numbers, flavour: &Flavour, length: i64) -> String {
    // Both cells must be the same length of the ruler, or the flaw lies beyond.
    let end = |part: i64| length * part / 100;
    let ranges = match numbers.within(0, 14) {
        0 => vec![(0, end(3))],
        1 => vec![(end(95), length)],
        2 => vec![(0, length)],
        3 => vec![(end(40), end(40))],
        4 => vec![(end(30), end(30) + (length - end(30)).min(400)), (end(60), end(61))],
        5 => vec![(end(20), end(30)), (end(30), end(40)), (end(35), end(50))],
        6 => (1..20).map(|n| (end(5 * n), end(5 * n) + length / 500)).collect(),
        _ => return String::new(),
    };
    let speller = &flavour.speller;
    let parts = ranges.iter().map(|&(from, to)| {
        format!("{} .. {}", speller.cell(numbers, from), speller.cell(numbers, to))
    });
    parts.collect::<Vec<_>>().join("; ")
}
