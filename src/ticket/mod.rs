//! A job worked out: everything that one ticket takes beside its rails.
//!
//! What is typed and what the rules make of it, put together for one frame: pieces,
//! thickness, weight, hanging, joints, what to look at, what the customer is told. It is
//! shown only after a check of its own, which works it out again from what was typed.

mod ask;
mod check;
mod concern;
mod concern_words;
mod corners;
mod cost;
mod depth;
mod hang;
mod heft;
mod listed;
mod pick;
mod piece;
mod sheet;
mod stacked;
mod steps;
mod tell;
mod weighed;

use jiff::civil::{Date, DateTime};

use crate::price::{FramePrice, price};
use crate::rails::{LayerRails, frame_rails};
use crate::shop::{Frame, Job, Shop};

pub use check::check;
pub use concern::Concern;
pub use corners::Corners;
pub use cost::{PiecePrice, job_price, pieces_price};
pub use depth::Depth;
pub use hang::{Fixing, Hanging};
pub use heft::{Heft, HeftPart};
pub use listed::{disagreements, with_drop_outs};
pub use pick::{PickLine, pick_list};
pub use piece::{JobPiece, PieceOf, PieceSize};
pub use sheet::JobSheet;
pub use steps::{cautions, differ, steps};
pub use tell::{STRAP_LESS, tell};

/// The sheet of so many copies of a frame's job, nothing if it has none; `today` is the day
/// on which it can be joined at the earliest.
///
/// # Errors
/// What the check finds wrong with it: a mistake of the program.
pub fn job_sheet(
    shop: &Shop,
    (frame, copies): (&Frame, u32),
    today: Date,
) -> Result<Option<JobSheet>, Vec<String>> {
    let Some(job) = shop.jobs.get(&frame.id) else { return Ok(None) };
    let sheet = work_out(shop, (frame, copies), job, today);
    let faults = check(&sheet, shop);
    if faults.is_empty() { Ok(Some(sheet)) } else { Err(faults) }
}

/// What glue asks where a ticket has a job: of whoever has joined it just now, or fits it
/// before its glue holds that, or before anybody wrote down that it is joined.
pub fn glue_words(
    shop: &Shop,
    ticket: &str,
    joined: Option<DateTime>,
    fitted: Option<DateTime>,
) -> Option<String> {
    shop.jobs.get(ticket)?;
    let Some(joined) = joined else { return fitted.map(|_| steps::never_joined(shop)) };
    let Some(fitted) = fitted else { return Some(steps::loaded(joined, shop)) };
    // A job that does not stand up to its check is said of where it is shown.
    let sheet = job_sheet(shop, (shop.frame(ticket)?, 1), fitted.date()).ok().flatten()?;
    steps::fitted_early(&sheet, (joined, fitted), shop)
}

/// What glue asks, as long as it does, where a ticket has a job that was joined then.
pub fn glue_sets(shop: &Shop, ticket: &str, (joined, now): (DateTime, DateTime)) -> Option<String> {
    shop.jobs.contains_key(ticket).then(|| steps::sets(joined, now, shop)).flatten()
}

/// The price of one copy of a frame, with all that its job takes if it has one; a job that
/// does not stand up to its check has none.
pub fn frame_price(shop: &Shop, frame: &Frame, date: Date) -> Option<FramePrice> {
    match shop.jobs.contains_key(&frame.id) {
        true => job_price(shop, &job_sheet(shop, (frame, 1), date).ok()??),
        false => price(shop, frame),
    }
}

/// The sheets of so many copies of these frames, of those that have jobs, in their order.
///
/// # Errors
/// As [`job_sheet`], of all of them.
pub fn job_sheets<'a>(
    shop: &Shop,
    frames: impl IntoIterator<Item = (&'a Frame, u32)>,
    today: Date,
) -> Result<Vec<JobSheet>, Vec<String>> {
    let (mut sheets, mut faults) = (Vec::new(), Vec::new());
    for frame in frames {
        match job_sheet(shop, frame, today) {
            Ok(sheet) => sheets.extend(sheet),
            Err(wrong) => faults.extend(wrong),
        }
    }
    if faults.is_empty() { Ok(sheets) } else { Err(faults) }
}

fn work_out(shop: &Shop, (frame, copies): (&Frame, u32), job: &Job, today: Date) -> JobSheet {
    let layers = frame_rails(shop, frame);
    let around: Vec<(usize, &LayerRails)> = frame
        .layers
        .iter()
        .zip(&layers)
        .enumerate()
        .filter(|(_, (layer, _))| shop.goes_round(layer))
        .map(|(at, (_, rails))| (at, rails))
        .collect();
    let size = |rails: &LayerRails| (rails.rails[1].long_point, rails.rails[0].long_point);
    let (inner, outer) = (around[0].1, around[around.len() - 1].1);
    let (outside, sight) = (size(outer), (inner.rails[1].sight, inner.rails[0].sight));
    let depth = depth::depth(shop, frame, job);
    let bare = heft::heft(shop, (frame, job), &around, outside, &depth);
    let hang = |heft: &Heft| hang::hanging(shop, frame, job, outside, heft);
    let (heft, hanging) = heft::settled(shop, &bare, hang);
    let corners = corners::corners(shop, frame, &around, (&heft, &hanging), &depth);
    let pieces = piece::pieces(shop, (frame, job), outside, (&depth, &hanging));
    let mut sheet = JobSheet {
        job: job.clone(),
        frame: frame.clone(),
        copies,
        outside,
        sight,
        pieces,
        depth,
        heft,
        hanging,
        corners,
        concerns: Vec::new(),
    };
    sheet.concerns = ask::concerns(shop, &sheet, today);
    sheet
}
