//! A rail that was spoiled: it is off its stick and of no use.
//!
//! That can show at the saw or long after: a corner that splits at the underpinner
//! the next day, a frame that falls in the fitting. From then on it is owed, by the
//! plan at the bench or, where its day is over, by the pile.

use super::cut::{TickedStick, on_no_flaw, take_off};
use super::error::{BookError, wrong};
use super::field::Field;
use super::lays::{self, BenchRail, RailState, StickLayout};
use super::ledger::Book;
use super::owing::lost;
use super::spare::CAST_OFF;
use super::stamp::Stamp;
use super::step::{MovementKind, Step};
use super::{cut, measured, source_files, spelt, supplied};
use crate::measure::Length;
use crate::report::either::either;
use crate::shop::Kind;

/// Which rails of a frame were spoiled; what is not said does not matter.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Which {
    /// Of this copy; needed where several are cut.
    pub copy: Option<u32>,
    /// Of this layer, counted from 1.
    pub layer: Option<usize>,
    /// On this side, as the sheet names it: `left`, `top`, ..., or its number. The strip of a
    /// build-out there is meant only if its layer is said.
    pub side: Option<String>,
}

/// What of a frame was spoiled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spoilt {
    /// Of which copy of which frame.
    pub copy: (String, u32),
    /// The rails that were cut here.
    pub rails: Vec<BenchRail>,
    /// The layers, counted from 1, that came chopped.
    pub chops: Vec<usize>,
}

impl Book {
    /// Writes down that a cut of a stick was spoiled, whenever it was made. If it is
    /// the next one, it is ticked off with that.
    ///
    /// # Errors
    /// If there is no such cut, it is spoiled already, or cuts before it are
    /// still to be made.
    pub fn spoil(
        &mut self,
        stick: &str,
        number: usize,
        stamp: &Stamp,
    ) -> Result<BenchRail, BookError> {
        self.change("spoil", stamp, |step| spoil(step, stick, number))
    }

    /// Writes down that a cut was spoiled as somebody saw it on a screen, where it was
    /// the next of its stick.
    ///
    /// # Errors
    /// As [`spoil`](Self::spoil), or if it is not the next any more.
    pub fn spoil_next(&mut self, rail: i64, stamp: &Stamp) -> Result<BenchRail, BookError> {
        self.change("spoil", stamp, |step| {
            let (stick, number) = lays::next(step.db(), rail)?;
            spoil(step, &stick, number)
        })
    }

    /// Writes down that rails of a frame were spoiled, wherever and whenever they
    /// were cut: all of a copy, or those of a layer or a side. What came chopped of it is
    /// had again, a layer as a whole.
    ///
    /// # Errors
    /// If none of them is cut, or several copies are and it was not said which.
    pub fn spoil_frame(
        &mut self,
        frame: &str,
        which: &Which,
        stamp: &Stamp,
    ) -> Result<Spoilt, BookError> {
        self.change("spoil", stamp, |step| {
            let mut chops = supplied::here(step.db(), frame)?;
            let mut copies = cut_copies(step, frame)?;
            copies.extend(chops.iter().map(|chop| chop.copy));
            copies.sort_unstable();
            copies.dedup();
            if which.copy.is_none() {
                copies.retain(|copy| *copy <= CAST_OFF);
            }
            let copy = match (which.copy, copies.as_slice()) {
                (Some(copy), some) if some.contains(&copy) => copy,
                (None, [only]) => *only,
                (Some(copy), _) => {
                    return wrong(format!("no rail of copy {copy} of frame {frame:?} is cut"));
                }
                (None, []) => return wrong(format!("no rail of frame {frame:?} is cut")),
                (None, some) => {
                    let some: Vec<String> = some.iter().map(u32::to_string).collect();
                    let some = some.join(", ");
                    return wrong(format!(
                        "copies {some} of frame {frame} are cut ({})",
                        either("say which with --copy", "say which")
                    ));
                }
            };
            let lays = lays::of_copy(step.db(), step.copy(frame, copy)?)?;
            let shop = source_files::typed(step.db())?;
            let is_hidden = |lay: &StickLayout| {
                let moulding = shop.mouldings.get(&lay.moulding);
                moulding.is_some_and(|moulding| moulding.kind == Kind::BuildOut)
            };
            let all = which.side.is_none() || which.layer.is_some();
            let meant = lays.into_iter().filter(|lay| all || !is_hidden(lay));
            let mut rails: Vec<BenchRail> = meant.flat_map(|lay| lay.rails).collect();
            rails.retain(|rail| {
                which.layer.is_none_or(|layer| layer == rail.layer)
                    && which.side.as_ref().is_none_or(|side| *side == rail.side.to_string())
            });
            // A supplier chops a layer as a whole: of one side alone it is lost as well.
            let is_it = |layer| which.layer.is_none_or(|asked| asked == layer);
            chops.retain(|chop| chop.copy == copy && is_it(chop.layer));
            if which.side.is_some() && !rails.is_empty() {
                chops.clear();
            }
            for rail in &rails {
                mark(step, rail)?;
            }
            for chop in &chops {
                supplied::spoil(step, chop)?;
            }
            let layers = rails.iter().map(|rail| rail.layer);
            let Some(layer) = layers.chain(chops.iter().map(|chop| chop.layer)).next() else {
                return wrong(format!("no such rail of frame {frame} is cut"));
            };
            lost(step, (frame, copy, layer))?;
            let chops = chops.into_iter().map(|chop| chop.layer).collect();
            Ok(Spoilt { copy: (frame.to_owned(), copy), rails, chops })
        })
    }
}

fn spoil(step: &Step, stick: &str, number: usize) -> Result<BenchRail, BookError> {
    let stick = &spelt::label(step.db(), stick)?;
    let (job, lay) = lays::of_stick(step.db(), stick)?;
    let found = number.checked_sub(1).and_then(|at| lay.rails.get(at)).cloned();
    let Some(rail) = found else {
        return wrong(cut::no_such(&lay, number));
    };
    match rail.state {
        RailState::Cut => {
            mark(step, &rail)?;
            lost(step, (&rail.frame, rail.copy, rail.layer))?;
        }
        RailState::Spoiled => return wrong(format!("cut {number} of {stick} is spoiled already")),
        RailState::Off => return wrong(format!("cut {number} of {stick} is not made any more")),
        RailState::ToCut => {
            let mut before = lay.rails[..number - 1].iter();
            if before.any(|rail| rail.state == RailState::ToCut) {
                return wrong(format!(
                    "cut {number} of {stick} is not the next (tick off those before it first)"
                ));
            }
            measured::none_measured(step.db(), job, &lay.moulding)?;
            on_no_flaw(step.db(), &lay, std::slice::from_ref(&rail))?;
            take_off(step, (job, &lay), &rail, RailState::Spoiled, &mut nothing(stick))?;
        }
    }
    Ok(rail)
}

/// The copies of a frame of which some rail is cut and good.
fn cut_copies(step: &Step, frame: &str) -> Result<Vec<u32>, BookError> {
    let mut query = step.db().prepare_cached(
        "SELECT DISTINCT copy FROM rail WHERE frame = ? AND state = 'cut' ORDER BY copy",
    )?;
    let rows = query.query_map([frame], |row| row.get(0))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// A rail that was ticked off as good turns out not to be.
pub(super) fn mark(step: &Step, rail: &BenchRail) -> Result<(), BookError> {
    let stick: i64 = step.db().query_row(
        "SELECT l.stick FROM rail r JOIN lay l ON l.id = r.lay WHERE r.id = ?",
        [rail.id],
        |row| row.get(0),
    )?;
    let length = rail.to - rail.from;
    step.moved(stick, MovementKind::Rail, length, Some(rail.id))?;
    step.moved(stick, MovementKind::Spoiled, -length, Some(rail.id))?;
    step.set(Field::RailState, rail.id, RailState::Spoiled.word().to_owned())
}

fn nothing(stick: &str) -> TickedStick {
    let (rails, kept) = (Vec::new(), Vec::new());
    TickedStick { stick: stick.to_owned(), rails, to_cut: 0, kept, scrap: Length::ZERO }
}
