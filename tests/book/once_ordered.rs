//! What is promised at the counter, held against the plan of the same day and of the next
//! morning once what it takes is on order.

use std::fs;
use std::path::Path;

use super::command::said;

/// One moulding, in sticks of nine feet from one supplier, three days after the order; nothing
/// on the rack, and two tickets that take both sticks of the first order.
const FOLDER: [(&str, &str); 6] = [
    (
        "shop.toml",
        "name = \"Bell Street Frames\"\nunit = \"in\"\nmark = \"1/32\"\nallowance = \"1/8\"\n\
         currency = \"USD\"\ndefault_cutter = \"Chopper\"\n[offcuts]\nkeep = 10\nworth = \"0.4\"\n\
         [cutter.Chopper]\nkerf = 0\nnick = \"1/16\"\nfirst_trim = 1\nlast_trim = 1\ngrip = 0\n\
         shortest = \"4.5\"\nstop = \"rabbet\"\n",
    ),
    ("frames.csv", "frame,moulding,width,height,due\n1,G,16,20,2026-11-26\n2,G,24,30,2026-12-01\n"),
    ("mouldings.csv", "moulding,width,rabbet,stick,price,per,match\nG,2,3/8,108,6.75,ft,lot\n"),
    ("offers.csv", "supplier,moulding,form,lengths,price,per\nS,G,length,108,6.75,ft\n"),
    ("suppliers.csv", "supplier,lead_days\nS,3\n"),
    ("rack.csv", "stick,moulding,length\n"),
];

/// The folder's book, its order placed, and the supplier's answer to it.
fn answered(answer: &str) -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    fs::create_dir(dir.path().join("a")).unwrap();
    for (name, text) in FOLDER {
        fs::write(dir.path().join("a").join(name), text).unwrap();
    }
    for line in [
        "open a.book --from a --at 2026-11-25T09:00",
        "order a.book --at 2026-11-25T09:00",
        &format!("expect a.book --line 1 {answer} --at 2026-11-25T10:00"),
    ] {
        let (words, code) = said(dir.path(), line);
        assert_eq!(code, Some(0), "{line}: {words}");
    }
    dir
}

/// Asks for one more frame, and writes it down where it can be promised.
fn quote(dir: &Path, day: &str) -> (String, Option<i32>) {
    let frame = "--moulding G --size 24x30 --ticket 9";
    said(dir, &format!("quote a.book {frame} --today {day} --at {day}T11:00"))
}

/// A frame was promised on what was ordered for it, which then went to those who had waited
/// longer; to it was left the line of which nobody knew when it comes.
#[test]
fn a_promise_is_not_broken_by_the_order_that_it_asks_for() {
    let dir = answered("--not-known");
    let (words, code) = quote(dir.path(), "2026-11-27");
    let no = "No day can be said: it is not known when what it lacks comes";
    assert_eq!((words.contains(no), code), (true, Some(3)), "{words}");
    assert!(words.contains("Ticket 9 is not written"), "{words}");
    // Of a line that comes late the day is known, and is the one that can be promised: Friday
    // the 11th, a day at the bench after it has come.
    let dir = answered("--on 2026-12-10");
    let (words, code) = quote(dir.path(), "2026-11-27");
    assert_eq!(code, Some(0), "{words}");
    assert!(words.contains("promised for 2026-12-11"), "{words}");
}

/// Whatever the supplier answers and whenever one is asked: what is written down as promised is
/// kept by the plan once the order is placed.
#[test]
fn what_is_promised_is_kept_once_it_is_ordered() {
    let (mut kept, mut refused) = (0, 0);
    for answer in ["--not-known", "--on 2026-11-30", "--on 2026-12-03", "--on 2026-12-10"] {
        for (day, next) in [
            ("2026-11-26", "2026-11-27"),
            ("2026-11-27", "2026-11-28"),
            ("2026-11-28", "2026-11-29"),
        ] {
            let dir = answered(answer);
            let (words, code) = quote(dir.path(), day);
            if code != Some(0) {
                refused += 1;
                continue;
            }
            kept += 1;
            // Where what is on order is enough, there is nothing to order.
            said(dir.path(), &format!("order a.book --at {day}T12:00"));
            for day in [day, next] {
                let (plan, code) = said(dir.path(), &format!("plan a.book --today {day}"));
                assert_eq!(code, Some(0), "{plan}");
                let broken = plan.contains("and not kept: 9");
                assert!(!broken, "{answer}, asked on {day}: {words}\n{plan}");
            }
        }
    }
    assert!(kept > 0 && refused > 0, "{kept} kept, {refused} refused");
}
