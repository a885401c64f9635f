//! A moulding's body, behind its face: the columns that jobs ask for.

use crate::measure::{Length, Weight, parse_weight};
use crate::shop::{Body, Wood};

use super::cells::{self, ReadingUnits};
use super::job_mistake::JobMistake;
use super::mistake::Mistake;
use super::table::Row;

/// Reads the four columns; `width` is the face.
pub(super) fn read(row: &mut Row, figures: &ReadingUnits, width: Option<Length>) -> Option<Body> {
    let height = row.take("height", figures.positive("the height"));
    let seen = row.take("seen", figures.positive("how much of it is seen"));
    if seen.flatten().zip(width).is_some_and(|(seen, width)| seen >= width) {
        row.fault("seen", JobMistake::SeenTooWide.into());
        return None;
    }
    let weight = row.take("weight", weight);
    let woods = Wood::ALL.map(|wood| (wood.word(), wood));
    let wood = row.take("wood", cells::word(&woods));
    Some(Body { height: height?, seen: seen?, weight: weight?, wood: wood? })
}

/// A weight of something.
pub(super) fn weight(text: &str) -> Result<Weight, Mistake> {
    let weight = parse_weight(text).map_err(JobMistake::from)?;
    if weight == Weight::ZERO {
        return Err(Mistake::Zero { what: "the weight" });
    }
    Ok(weight)
}
