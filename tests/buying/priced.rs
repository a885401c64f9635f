//! What each line of an order costs, by itself.

use super::shops::{Folder, planned, to_pay};

/// The lines of chops by what is billed for a frame, with what they cost.
fn chops(folder: &Folder) -> Vec<(i64, u32, i64)> {
    let plan = planned(&folder.shop());
    let lines = plan.order.lines.iter();
    let lines: Vec<_> = lines
        .map(|line| (line.length.nm() / 1_000_000, line.count, line.cost.unwrap().0))
        .collect();
    assert_eq!(lines.iter().map(|line| line.2).sum::<i64>(), to_pay(&plan));
    lines
}

/// At 8.00 a metre, 1 m at the least and 1.50 a frame: 9.50 for each that is billed as
/// 1 m, and 17.50 for the one of 2 m (computed).
#[test]
fn a_line_of_chops_is_priced_by_its_own_length_and_fees() {
    let folder = Folder::new()
        .moulding("M", "1000,10.00,stick,any,")
        .frame("1,,M,80,80,1,,")
        .frame("2,,M,80,130,3,,")
        .frame("3,,M,480,480,1,,")
        .supplier("A,,,3,,,,")
        .offer("A,M,chop,100 .. 900,8.00,m,,,1000,1.50,");
    assert_eq!(chops(&folder), [(1000, 1, 950), (1000, 3, 2850), (2000, 1, 1750)]);
}

/// 1.5 m and 2.5 m at 3.33 a metre are 4.995 and 8.325, and 13.32 together: the cent that
/// rounding leaves is the first one's, and no fee is shared (computed).
#[test]
fn only_what_rounding_leaves_is_shared() {
    let folder = Folder::new()
        .moulding("M", "1000,10.00,stick,any,")
        .frame("1,,M,280,430,1,,")
        .frame("2,,M,480,730,1,,")
        .supplier("A,,,3,,,,")
        .offer("A,M,chop,100 .. 900,3.33,m,,,,1.50,");
    assert_eq!(chops(&folder), [(1500, 1, 650), (2500, 1, 982)]);
}
