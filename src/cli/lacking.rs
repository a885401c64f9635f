//! What lacks of boards and glass, for the commands that order.

use std::path::Path;

use super::exit::{WrongInput, jobs_stand, plan_stands};
use super::sheets::{pieces, wrong};
use crate::plan::Plan;
use crate::sheet_order::{
    SheetsComing, is_counted, is_ordered, lacking, laid_out, of_jobs, of_sheets, sheet_order,
    with_sheets,
};
use crate::sheets::LackingSheets;
use crate::shop::{SheetPiece, Shop};
use crate::ticket::JobSheet;
use crate::verify::Verified;

/// A plan with the boards and glass on its order that the jobs on the pile lack, and those of
/// a list; `mark` says of each piece how many are cut already. Where nothing is counted and
/// `materials.csv` names no supplier it is the plan as it was. And what is to be said of it.
///
/// # Errors
/// If the list is wrong, or a job or a layout does not stand up to its check.
pub(super) fn ordered(
    plan: &Verified<Plan>,
    (shop, list): (&Shop, Option<&Path>),
    coming: &SheetsComing,
    mark: impl FnOnce(&mut Vec<SheetPiece>) -> anyhow::Result<()>,
) -> anyhow::Result<(Verified<Plan>, Vec<String>)> {
    if list.is_some() && !is_ordered(shop) {
        let words = "--pieces: materials.csv names no supplier of a board or a glass (write it \
                     there, then refresh the book)";
        return Err(WrongInput(words.to_owned()).into());
    }
    if !is_counted(shop) {
        return Ok((plan.clone(), Vec::new()));
    }
    let mut wanted = jobs_stand(of_jobs(shop, plan.date))?;
    if let Some(list) = list {
        wanted.extend(pieces(list, shop)?);
    }
    mark(&mut wanted)?;
    let (plans, left_out) = laid_out(shop, wanted, coming).or_else(|faults| wrong(&faults))?;
    let with = with_sheets(plan, shop, sheet_order(shop, &plans));
    let (plan, mut notes) = plan_stands(with)?;
    notes.splice(0..0, left_out);
    Ok((plan, notes))
}

/// The jobs of a day, and what they lack of whole sheets today; `mark` as for [`ordered`].
///
/// # Errors
/// If a layout does not stand up to its check.
pub(super) fn of_day(
    shop: &Shop,
    jobs: &[JobSheet],
    coming: &SheetsComing,
    mark: impl FnOnce(&mut Vec<SheetPiece>) -> anyhow::Result<()>,
) -> anyhow::Result<Vec<LackingSheets>> {
    let mut wanted = of_sheets(shop, jobs);
    mark(&mut wanted)?;
    lacking(shop, wanted, coming).or_else(|faults| wrong(&faults))
}
