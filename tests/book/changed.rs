//! A ticket that is promised and gets another size or day: what it costs now, and whether the
//! promise is kept.

use super::command::said;
use super::shops::{SETTINGS, begin};
use super::supplied::buying;

const HEAD: &str = "frame,moulding,width,height,due,promised,match\n";

/// A shop with prices of its own and one stick of ash, and what `ticket` says in it, in one
/// line.
fn changed(frames: &str, args: &str) -> String {
    let dir = tempfile::tempdir().unwrap();
    let mut files = buying(&format!("{HEAD}{frames}"), "stick,moulding,length\nS-1,ASH,72\n");
    let prices = "[price]\nmarkup = \"3\"\nlabour = \"10\"\nround = \"0.50\"\n";
    files.insert("shop.toml".to_owned(), format!("{SETTINGS}{prices}").into_bytes());
    drop(begin(dir.path(), &files));
    let at = "--at 2026-03-09T08:00";
    let (words, code) = said(dir.path(), &format!("ticket shop.book {at} {args}"));
    assert_eq!(code, Some(0), "{words}");
    words
}

/// Nothing was said of either. 8 x 10 is 36 round, and eight widths of 1 are 8: 44 in of 2.10
/// a foot are 7.70, times three and with labour 33.10, rounded up 33.50; 9 x 11 is 48 in, 8.40,
/// 35.20, rounded up 35.50 (computed).
#[test]
fn another_size_of_a_promised_ticket_says_its_price_and_whether_the_promise_holds() {
    let one = "1,ASH,8,10,2026-03-12,yes,any\n";
    let said = changed(one, "1 --size 9x11");
    let price = "Price: 35.50 USD (33.50 before).";
    assert!(said.contains(price), "{said}");
    let kept = "What was promised for Thursday 12 March 2026 is kept by today's plan.";
    assert!(said.ends_with(kept), "{said}");
    // Nothing on the rack is long enough for it, and what is ordered today comes on the 12th.
    let said = changed(&one.replace("03-12", "03-11"), "1 --size 16x20");
    let broken = "! PROMISED for Wednesday 11 March 2026, and not kept: 1: its moulding comes \
                  2026-03-12, too late for the bench. Call the customer";
    assert!(said.contains(broken), "{said}");
    // Nobody promised it: its price alone.
    let said = changed(&one.replace("yes", ""), "1 --size 9x11");
    assert!(said.ends_with(price), "{said}");
}

/// Another day is wanted and not promised; and who is late for the sake of a larger frame.
#[test]
fn another_day_of_a_promised_ticket_says_whether_the_plan_has_it_by_then() {
    let two = "1,ASH,8,10,2026-03-12,yes,any\n2,ASH,4,4,2026-03-11,yes,any\n";
    let said = changed(two, "1 --due 2026-03-10");
    let wanted = "It was promised for 2026-03-12; 2026-03-10 is wanted, and not promised: today's \
                  plan has it by then.";
    assert!(said.contains(wanted) && !said.contains("Price:"), "{said}");
    // 61 of 70 in are then for the first.
    let said = changed(two, "1 --size 12x16 --due 2026-03-10");
    assert!(said.ends_with("! 2, PROMISED for 2026-03-11, is late for its sake."), "{said}");
}
