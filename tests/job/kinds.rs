//! The shops with ten jobs of every kind, in inches and in millimetres.

use std::collections::{BTreeMap, BTreeSet};

use longpoint::job::package::Display;
use longpoint::report::{job_html, job_text};
use longpoint::shop::{Art, Job, Kind, Shop};
use longpoint::ticket::{Concern, JobSheet};

use crate::folder::{TODAY, data, of};

/// Every kind of a job, as the head of its `jobs.csv` has them.
fn kinds(shop: &Shop, job: &Job) -> Vec<&'static str> {
    let frame = shop.find_frame(&job.frame).unwrap();
    let is_floater = shop.moulding(&frame.layers[0].moulding).kind == Kind::Floater;
    let show = match (job.shown.display, job.mats.len()) {
        (Display::Overlapped { .. }, 1) => "window",
        (Display::Revealed { .. }, 1) => "window with paper seen",
        (Display::Overlapped { .. } | Display::Revealed { .. }, _) => "mats under mats",
        (Display::Floated { .. }, 0) => "float",
        (Display::Floated { .. }, _) => "float in a window",
        (Display::Whole, _) if is_floater => "floater",
        (Display::Whole, _) if job.art == Art::Canvas => "canvas in a rebate",
        (Display::Whole, _) => "to the edge",
    };
    let fillet = job.fillet.as_ref().map(|_| "fillet");
    [show, job.art.word()].into_iter().chain(fillet).collect()
}

fn folders() -> [Shop; 2] {
    ["jobs", "jobs-metric"].map(data)
}

fn sheets(shop: &Shop) -> Vec<JobSheet> {
    shop.jobs.values().map(|job| of(shop, &job.frame)).collect()
}

#[test]
fn there_are_ten_jobs_of_every_kind() {
    for shop in folders() {
        let mut count: BTreeMap<&str, usize> = BTreeMap::new();
        for job in shop.jobs.values() {
            kinds(&shop, job).into_iter().for_each(|kind| *count.entry(kind).or_default() += 1);
        }
        let arts = ["paper", "canvas", "panel", "object", "mirror", "none"];
        let shows = [
            "window",
            "window with paper seen",
            "mats under mats",
            "fillet",
            "float",
            "float in a window",
            "to the edge",
            "canvas in a rebate",
            "floater",
        ];
        for kind in arts.iter().chain(&shows) {
            assert!(count.get(kind).is_some_and(|count| *count >= 10), "{kind}: {count:?}");
        }
        assert_eq!(count.len(), arts.len() + shows.len());
    }
}

/// `of` has each sheet checked; here nothing runs over its column or says what is no figure.
#[test]
fn every_one_of_them_can_be_shown() {
    for shop in folders() {
        let sheets = sheets(&shop);
        for sheet in &sheets {
            let text = job_text::job(sheet, true, &shop);
            assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
        }
        let page = job_html::jobs(&sheets, &[], TODAY, &shop);
        assert!(!page.contains("NaN") && !page.contains("inf\""));
        assert!(page.matches("class=\"job\"").count() >= 130);
    }
}

/// Between them they are pointed at for most of what there is to point at.
#[test]
fn they_are_no_easy_jobs() {
    for shop in folders() {
        let names: BTreeSet<&str> =
            sheets(&shop).iter().flat_map(|sheet| &sheet.concerns).map(Concern::name).collect();
        for name in ["border thin", "falls through", "heavy", "over people", "touch", "stretcher"] {
            assert!(names.contains(name), "{name}: {names:?}");
        }
        assert!(names.len() >= 12, "{names:?}");
    }
}

/// Where a package is too thick and a strip makes room for it, the strip is there.
#[test]
fn they_build_themselves_out() {
    for shop in folders() {
        let built = |sheet: &&JobSheet| shop.is_built_by_itself(&sheet.frame);
        let sheets = sheets(&shop);
        assert!(sheets.iter().filter(built).count() >= 10);
        for sheet in &sheets {
            let depth = &sheet.depth;
            assert!(depth.build_out.as_ref().is_none_or(|out| out.layer.is_none()));
        }
    }
}
