//! The check of a job's sheet sees every figure that is wrong.

use std::path::Path;

use jiff::civil::date;
use longpoint::job::package::Display;
use longpoint::measure::{Length, Weight};
use longpoint::shop::{Job, Shop, ShopMaterial, read_folder};
use longpoint::ticket::{Concern, JobSheet, PieceSize, check, job_sheet};

/// A change to a sheet.
type Change = fn(&mut JobSheet);

fn sheets() -> (Shop, Vec<JobSheet>) {
    let shop = read_folder(Path::new("data/demo")).unwrap();
    let today = date(2026, 11, 25);
    let of =
        |job: &Job| job_sheet(&shop, (shop.frame(&job.frame).unwrap(), 1), today).unwrap().unwrap();
    let sheets = shop.jobs.values().map(of).collect();
    (shop, sheets)
}

/// Each figure made wrong by itself is seen in some job of the demo.
#[test]
fn every_wrong_figure_is_seen() {
    const BIT: Length = Length::from_64ths(8);
    let wrong: [(&str, Change); 23] = [
        ("size", |sheet| sheet.job.package.size.0 += BIT),
        ("border", |sheet| {
            sheet.job.package.borders.iter_mut().for_each(|borders| borders.top += BIT);
        }),
        ("mat", |sheet| sheet.job.package.mats.iter_mut().for_each(|mat| mat.1 += BIT)),
        ("opening", |sheet| {
            sheet.job.package.opening.iter_mut().for_each(|opening| opening.0 += BIT);
        }),
        ("piece", |sheet| {
            for piece in &mut sheet.pieces {
                if let PieceSize::Sheet(width, _) = &mut piece.size {
                    *width += BIT * 2;
                }
            }
        }),
        ("build-out", |sheet| sheet.depth.build_out = None),
        ("rabbet", |sheet| sheet.depth.rabbet = Some(BIT)),
        ("outer", |sheet| sheet.depth.outer.iter_mut().for_each(|of| of.holds = Some(BIT))),
        ("left out", |sheet| sheet.depth.outer.clear()),
        ("sum", |sheet| sheet.heft.total = Some(Weight::from_g(1))),
        ("part", |sheet| drop(sheet.heft.parts.remove(0))),
        ("moulding", |sheet| {
            let part = sheet.heft.parts.iter_mut().find(|part| part.from == "weighed stick");
            let more = Weight::from_g(100);
            part.into_iter().for_each(|part| {
                part.weight = part.weight.map(|weight| Weight::from_ug(weight.ug() - more.ug()));
                sheet.heft.total =
                    sheet.heft.total.map(|all| Weight::from_ug(all.ug() - more.ug()));
            });
        }),
        ("hardware", |sheet| {
            let hardware = sheet.heft.parts.iter_mut().find(|part| part.what == "hardware");
            hardware.into_iter().for_each(|part| part.what = "tape".to_owned());
        }),
        ("behind", |sheet| {
            let heft = &mut sheet.heft;
            if let Some(at) = heft.parts.iter().position(|of| of.what.starts_with("two of")) {
                let part = heft.parts.remove(at).weight.map_or(0, Weight::ug);
                heft.total = heft.total.map(|all| Weight::from_ug(all.ug() - part));
            }
        }),
        ("strips", |sheet| {
            let heft = &mut sheet.heft;
            if let Some(at) = heft.parts.iter().position(|of| of.what.starts_with("the build")) {
                let part = heft.parts.remove(at).weight.map_or(0, Weight::ug);
                heft.total = heft.total.map(|all| Weight::from_ug(all.ug() - part));
            }
        }),
        ("heavy", |sheet| {
            sheet.heft.parts[0].weight = Some(Weight::from_g(9001));
            sheet.heft.total = sheet.heft.parts.iter().map(|part| part.weight).sum();
        }),
        ("people", |sheet| {
            sheet.concerns.retain(|concern| !matches!(concern, Concern::OverPeople { .. }));
        }),
        ("through", |sheet| {
            let seen = sheet.job.shown.lip.sight(sheet.job.package.size.0);
            if sheet.job.shown.display == Display::Whole {
                sheet.job.shown.art.0 = seen;
            }
        }),
        ("flat", |sheet| {
            sheet.hanging.leg.iter_mut().for_each(|leg| leg.rise = BIT);
        }),
        ("pull", |sheet| sheet.hanging.tension = Some(Weight::from_g(1))),
        ("wire", |sheet| {
            sheet.hanging.wire.iter_mut().for_each(|wire| wire.material = "SOFT-0".to_owned());
        }),
        ("hook", |sheet| {
            sheet.hanging.hooks.iter_mut().for_each(|h| h.material = "HOOK-OLD".to_owned());
        }),
        ("hanger", |sheet| {
            sheet.hanging.hangers.iter_mut().for_each(|h| h.material = "HOOK-OLD".to_owned());
        }),
    ];
    let (mut shop, sheets) = sheets();
    // A wire that holds nothing.
    let none = Weight::from_g(1);
    let weak = ShopMaterial { breaks: Some(none), ..shop.materials["SOFT-5"].clone() };
    shop.materials.insert("SOFT-0".to_owned(), weak);
    // A hook from a drawer, without its packet.
    let old = ShopMaterial { load: None, ..shop.materials["HOOK-10"].clone() };
    shop.materials.insert("HOOK-OLD".to_owned(), old);
    for sheet in &sheets {
        assert_eq!(check(sheet, &shop), Vec::<String>::new());
    }
    for (what, change) in wrong {
        let seen = |sheet: &JobSheet| {
            let mut changed = sheet.clone();
            change(&mut changed);
            changed != *sheet && !check(&changed, &shop).is_empty()
        };
        assert!(sheets.iter().any(seen), "{what}");
    }
}
