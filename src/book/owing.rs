//! What is owed, written down.

use super::error::{BookError, wrong};
use super::field::Field;
use super::step::Step;
use super::{lays, source_files};
use crate::report::either::either;

/// A frame copy leaves its plan: back to the pile, whole if nothing of it is cut,
/// else with what it is owed.
pub(super) fn back(step: &Step, frame: &str, number: u32) -> Result<(), BookError> {
    let copy = step.copy(frame, number)?;
    let is_cut = !lays::of_copy(step.db(), copy)?.is_empty();
    step.set(Field::CopyState, copy, is_cut.then(|| "owed".to_owned()))?;
    step.set(Field::CopyJob, copy, None::<i64>)
}

/// Something of a layer of a frame copy is of no use any more, whenever it was cut. If its day is
/// over, the copy is owed it from now on.
///
/// # Errors
/// If the frame's ticket is gone, so that nobody would know what it is.
pub(super) fn lost(step: &Step, (id, number, layer): (&str, u32, usize)) -> Result<(), BookError> {
    let copy = step.copy(id, number)?;
    step.set(Field::CopyMade, copy, None::<String>)?;
    let state: Option<String> =
        step.db().query_row("SELECT state FROM copy WHERE id = ?", [copy], |row| row.get(0))?;
    // What is at the bench is owed there; of what was cancelled nothing is owed.
    if matches!(state.as_deref(), Some("bench" | "cancelled")) {
        return Ok(());
    }
    let shop = source_files::typed(step.db())?;
    match shop.frame(id) {
        Some(frame) if number <= frame.copies && layer <= frame.layers.len() => {
            back(step, id, number)
        }
        _ => wrong(format!(
            "copy {number} of frame {id} is not in frames.csv any more (write its ticket again{}, \
             then say it again)",
            either(" and take it over with \"longpoint refresh\"", " under Files")
        )),
    }
}
