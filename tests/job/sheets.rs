//! Goldens: jobs on the screen, on paper, and for other programs.

use insta::assert_snapshot;
use longpoint::report::{job_csv, job_html, job_json, job_text};
use longpoint::shop::Shop;
use longpoint::ticket::{JobSheet, job_sheets, pick_list};

use crate::folder::{TODAY, data, of, sheet};

fn all(shop: &Shop) -> Vec<JobSheet> {
    let frames = shop.frames.iter().map(|frame| (frame, frame.copies));
    job_sheets(shop, frames, TODAY).unwrap()
}

/// Ten jobs and more of every kind come with the program; each stands up to its check.
#[test]
fn every_job_of_the_shops_that_come_along() {
    let mut text = String::new();
    for name in ["demo", "metric"] {
        let shop = data(name);
        let jobs = all(&shop);
        assert!(jobs.len() >= 10, "{name}");
        assert_eq!(jobs.len(), shop.jobs.len());
        for job in &jobs {
            text += &job_text::job(job, true, &shop);
            text += "\n########\n\n";
        }
    }
    assert!(text.lines().all(|line| line.chars().count() <= 80));
    assert_snapshot!("jobs_text", text);
}

#[test]
fn a_page_says_what_is_typed_and_obeys_nothing() {
    let shop = data("metric");
    let jobs = all(&shop);
    let page = job_html::jobs(&jobs, &[], TODAY, &shop);
    assert_eq!(page.matches("<section class=\"job\"").count(), jobs.len());
    assert!(page.contains("To pick for the day") && !page.contains("<script"));
    assert_snapshot!("job_page", job_html::jobs(&jobs[..1], &[], TODAY, &shop));
    let (mut shop, mut odd) =
        sheet("1,,PINE,,,,,,\n", "1,paper,8,10,,,,,,,,,,WHITE,,,,GLASS,,FOAM,,,<b>\n");
    odd.frame.note = "</title><script>1</script>".to_owned();
    shop.settings.name = "<img>".to_owned();
    let page = job_html::jobs(&[odd], &[], TODAY, &shop);
    assert!(!page.contains("<script") && !page.contains("<img>") && !page.contains("<b>&"));
}

#[test]
fn tables_and_json_have_every_piece() {
    let shop = data("metric");
    let jobs = all(&shop);
    assert_snapshot!("jobs_csv", job_csv::jobs(&jobs, &shop));
    assert_snapshot!("pieces_csv", job_csv::pieces(&jobs, &shop));
    assert_snapshot!("job_json", job_json::job(&of(&shop, "111"), &shop));
    let picked: u32 = pick_list(&jobs, shop.settings.unit).iter().map(|line| line.count).sum();
    let pieces =
        jobs.iter().flat_map(|job| job.pieces.iter().map(|piece| piece.count * job.copies));
    assert_eq!(picked, pieces.sum::<u32>());
    for job in &jobs {
        for piece in job.from_sheets(&shop) {
            assert!(shop.materials[piece.material.as_ref().unwrap()].kind.is_sheet());
        }
    }
}

/// What the README shows of a job is what is said of it.
#[test]
fn the_readme_shows_what_is_said() {
    let readme =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    let command = "`longpoint job data/demo 4101 --today 2026-11-25` says the rest";
    let (_, after) = readme.split_once(command).unwrap();
    let (_, shown) = after.split_once("```text\n").unwrap();
    let shown: Vec<&str> = shown.split_once("```").unwrap().0.lines().collect();
    let shop = data("demo");
    let text = job_text::job(&of(&shop, "4101"), false, &shop);
    assert!(shown.len() > 30);
    for line in shown.into_iter().filter(|line| *line != "...") {
        assert!(text.lines().any(|said| said == line), "{line}");
    }
}
