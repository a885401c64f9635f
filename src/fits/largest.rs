//! The largest frames that each untouched stick or offcut can make by itself.

use super::trial::{Trial, TrialOutcome};
use super::usual::{PROPORTIONS, sizes, step};
use super::{FitQuestion, Untouched};
use crate::measure::Length;
use crate::plan::HoldReason;
use crate::shop::{Shop, Stick};
use crate::solve::Limits;
use crate::verify::Fault;

/// A size, short side first.
type Size = (Length, Length);

/// One stick and the largest frames that it can make.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StickYield {
    /// The stick.
    pub stick: Stick,
    /// The usual sizes that it can make and that no larger one that it can make
    /// covers, the smallest first.
    pub usual: Vec<Size>,
    /// The largest frame of each usual proportion that it can make, with the
    /// proportion.
    pub proportions: Vec<((i64, i64), Size)>,
}

/// What each untouched stick can make by itself, the shortest stick first.
///
/// # Errors
/// What the check finds wrong with one of the plans: a mistake of the program.
pub fn pieces(
    shop: &Shop,
    question: &FitQuestion,
    untouched: &Untouched,
    limits: &Limits,
) -> Result<Vec<StickYield>, Vec<Fault>> {
    let trial = Trial { shop, question: *question, limits };
    let mut pieces: Vec<StickYield> = Vec::new();
    let mut sticks = untouched.sticks.clone();
    sticks.sort_by_key(|stick| stick.length);
    for stick in sticks {
        let alike = |piece: &&StickYield| {
            piece.stick.length == stick.length && piece.stick.flaws == stick.flaws
        };
        let piece = match pieces.iter().find(alike) {
            Some(known) => StickYield { stick, ..known.clone() },
            None => trial.piece(stick)?,
        };
        pieces.push(piece);
    }
    Ok(pieces)
}

/// How one size fares.
#[derive(Clone, Copy, PartialEq, Eq)]
enum SizeVerdict {
    TooSmall,
    Fits,
    TooLarge,
}

impl Trial<'_> {
    fn piece(&self, stick: Stick) -> Result<StickYield, Vec<Fault>> {
        let unit = self.shop.settings.unit;
        let alone = std::slice::from_ref(&stick);
        let mut fitting = Vec::new();
        for size in sizes(unit) {
            if self.verdict(size, alone)? == SizeVerdict::Fits {
                fitting.push(size);
            }
        }
        let covers =
            |one: &Size, other: &Size| one != other && one.0 >= other.0 && one.1 >= other.1;
        let mut usual: Vec<Size> = fitting
            .iter()
            .filter(|size| !fitting.iter().any(|other| covers(other, size)))
            .copied()
            .collect();
        usual.sort();
        let mut proportions = Vec::new();
        for proportion in PROPORTIONS {
            let largest = self.largest(proportion, step(unit), alone)?;
            proportions.extend(largest.map(|size| (proportion, size)));
        }
        Ok(StickYield { stick, usual, proportions })
    }

    /// The largest frame of a proportion, its short side in whole steps, found
    /// by halving: what fits also fits if it is made smaller, until it is too
    /// small to be made at all.
    fn largest(
        &self,
        (short, long): (i64, i64),
        step: Length,
        sticks: &[Stick],
    ) -> Result<Option<Size>, Vec<Fault>> {
        let size = |steps: i64| {
            let side = step * steps;
            (side, Length::from_nm(side.nm() * long / short / step.nm() * step.nm()))
        };
        let longest = sticks.iter().map(|stick| stick.length).max().unwrap_or_default();
        let (mut low, mut high) = (0, longest.nm() / step.nm() + 1);
        let mut best = None;
        while low + 1 < high {
            let middle = low + (high - low) / 2;
            match self.verdict(size(middle), sticks)? {
                SizeVerdict::TooLarge => high = middle,
                SizeVerdict::TooSmall => low = middle,
                SizeVerdict::Fits => (low, best) = (middle, Some(size(middle))),
            }
        }
        Ok(best)
    }

    fn verdict(&self, size: Size, sticks: &[Stick]) -> Result<SizeVerdict, Vec<Fault>> {
        Ok(match self.cut(size, (sticks, &[]))? {
            TrialOutcome::Cut(_) => SizeVerdict::Fits,
            TrialOutcome::Held(HoldReason::TooShort { .. } | HoldReason::NoOpening { .. }) => {
                SizeVerdict::TooSmall
            }
            TrialOutcome::Held(_) | TrialOutcome::Waits => SizeVerdict::TooLarge,
        })
    }
}
