//! What a customer consents to takes the caution off that alone. Our own caution, no source.

use longpoint::shop::{doubts, read_files};
use longpoint::ticket::cautions;

use crate::folder::{files, sheet};

const FRAME: &str = "1,,PINE,,,,,,\n";

fn job(consent: &str) -> String {
    format!("1,paper,8,10,,,,,,,,,,WHITE,,,,GLASS,,FOAM,,,\"{consent}\"\n")
}

fn caution(consent: &str) -> String {
    let (shop, sheet) = sheet(FRAME, &job(consent));
    let all = cautions(&sheet, &shop);
    all.into_iter().find(|line| line.contains("consent")).unwrap_or_default()
}

#[test]
fn a_plain_no_is_no_consent() {
    let none = caution("");
    for what in ["trimmed", "mounted for good", "reused"] {
        assert!(none.contains(what), "{none}");
    }
    for no in [
        "no",
        "No.",
        "none",
        "not asked",
        "not yet asked",
        "nothing",
        "n/a",
        "declined",
        "?",
        "do not trim",
        "never mount",
        "trim? ask first",
        "no trim; no mount",
        "nil",
        "yes",
        "ok",
        "hinge",
        "they'd rather you didn't, no trimming",
    ] {
        assert_eq!(caution(no), none, "{no:?}");
    }
}

#[test]
fn consent_is_for_what_it_names() {
    let trim = caution("trim");
    assert!(!trim.contains("trimmed") && trim.contains("mounted for good"), "{trim}");
    for mount in ["mount", "Dry-mount", "do not trim; mounting is fine", "no trim, mount"] {
        let said = caution(mount);
        assert!(said.contains("trimmed") && !said.contains("mounted"), "{mount}: {said}");
    }
    let both = caution("trim; mount");
    assert!(both.contains("reused") && !both.contains("trimmed"), "{both}");
    assert_eq!(caution("trim; mount; reuse old frame"), "");
    assert_eq!(caution("re-use, trimming and mounting"), "");
}

/// `check` points at what says neither.
#[test]
fn an_unclear_consent_is_pointed_at() {
    let said = |consent: &str| {
        let shop = read_files(&files(FRAME, &job(consent))).unwrap();
        doubts(&shop).into_iter().filter(|doubt| doubt.contains("consent")).collect::<String>()
    };
    assert!(said("yes").contains("the consent of 1, \"yes\", says not what it is for"));
    for clear in ["", "no", "trim", "hinge", "not asked", "mount; yes"] {
        assert_eq!(said(clear), "", "{clear:?}");
    }
}
