//! The list of the rack as it is shown: what is found, how old it is, what to do
//! with what has not moved.

use assert_cmd::Command;

use super::shops::{begin, files};

fn listed(rack: &str, args: &[&str]) -> String {
    let dir = tempfile::tempdir().unwrap();
    let mut files = files();
    files.insert("rack.csv".to_owned(), rack.as_bytes().to_vec());
    drop(begin(dir.path(), &files));
    let mut command = Command::cargo_bin("longpoint").unwrap();
    command.current_dir(dir.path()).args(["rack", "--today", "2026-06-01"]).args(args);
    let output = command.output().unwrap();
    assert!(output.status.success(), "{output:?}");
    String::from_utf8(output.stdout).unwrap()
}

const RACK: &str = "stick,moulding,length,lot,place,flaws,since
S-1,ASH,108,A,bay 1,,2026-05-20
S-3,ASH,52 5/16,B,bay 2,,2025-11-20
S-4,ASH,11,B,bay 2,,2025-11-20
S-5,OAK,96,,bay 2,30 .. 31,2026-01-02
";

/// A long point is the size and 1 5/8 in, a joint the saw's 1/8 in x sqrt 2, and
/// an inch is trimmed from each end: 9 x 12 takes 51.03 in, 12 x 12 takes 57.03.
#[test]
fn what_has_not_moved_is_offered_or_written_off() {
    let text = listed(RACK, &["--idle", "4", "--moulding", "ASH"]);
    assert!(!text.contains("S-1"), "{text}");
    let said = "To clear:\n  S-3      makes 9 x 12 or 10 x 10 in\n  S-4      makes no usual size by itself\n";
    assert!(text.contains(said), "{text}");
    assert!(text.contains("2 sticks and offcuts"), "{text}");
}

#[test]
fn the_rack_is_searched_by_what_a_framer_knows() {
    for (args, found) in [
        (&["--moulding", "OAK"][..], vec!["S-5"]),
        (&["--lot", "B"], vec!["S-3", "S-4"]),
        (&["--place", "bay 1"], vec!["S-1"]),
        (&["--at-least", "52"], vec!["S-1", "S-3", "S-5"]),
        (&["--place", "bay 2", "--at-least", "4'"], vec!["S-3", "S-5"]),
        (&["--idle", "6"], vec!["S-3", "S-4"]),
    ] {
        let text = listed(RACK, args);
        let rows = text.lines().take_while(|line| !line.contains(", worth"));
        let rows: Vec<&str> = rows.collect();
        let mut names: Vec<&str> =
            rows.iter().filter(|row| row.starts_with("S-")).map(|row| &row[..3]).collect();
        names.sort_unstable();
        assert_eq!(names, found, "{args:?}\n{text}");
    }
    let text = listed(RACK, &["--moulding", "OAK"]);
    assert!(text.contains("flaw 30 to 31 in from its marked end"), "{text}");
    assert!(text.contains("5 months"), "{text}");
    assert!(text.contains("1 stick or offcut, worth"), "{text}");
}
