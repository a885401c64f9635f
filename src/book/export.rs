//! The book written back as a shop folder.

use super::error::{BookError, wrong};
use super::ledger::Book;
use super::rack;
use super::snapshot::snapshot;
use super::source_files::{files, typed};
use crate::shop::{Frame, Shop, Supplied, write};

impl Book {
    /// The files of a shop folder: what was typed, byte for byte, but the frames
    /// that are still to be cut and the rack as they are now.
    ///
    /// # Errors
    /// If the book cannot be read or is empty, or a plan is at the bench: half of
    /// a frame cannot stand in a folder.
    pub fn export(&self) -> Result<Vec<(String, String)>, BookError> {
        self.look(|db| {
            let mut texts = files(db)?;
            let now = snapshot(db)?;
            let mut shop = now.shop;
            let all = rack::all(db)?;
            if let Some(on) = all.iter().find(|on| on.job.is_some()) {
                return wrong(format!(
                    "stick {} is at the bench (finish the day or put the plan back, then export)",
                    on.stick.id
                ));
            }
            if let Some((id, layer)) = shop.frames.iter().find_map(half_here) {
                return wrong(format!(
                    "layer {layer} of frame {id} came chopped and the others are still to be cut, \
                     which a folder cannot say (cut the frame first, then export)"
                ));
            }
            if let Some(id) = shop.frames.iter().find_map(cut_in_part) {
                return wrong(format!(
                    "frame {id} is cut in part, which a folder cannot say (cut what it is owed \
                     first, then export)"
                ));
            }
            shop.rack = all.into_iter().map(|on| on.stick).collect();
            let whole = typed(db)?.frames;
            if whole.iter().any(|frame| now_left(&shop, frame) < frame.copies) {
                texts.insert("frames.csv".to_owned(), write::frames(&shop).into_bytes());
                if let Some(jobs) = texts.get_mut("jobs.csv") {
                    *jobs = write::jobs_on_pile(jobs, &shop);
                }
            }
            let rack = write::rack(&shop.rack, &shop.settings);
            texts.insert("rack.csv".to_owned(), rack.into_bytes());
            if !shop.sheets.is_empty() {
                let sheets = write::sheets(&shop.sheets, &shop.settings);
                texts.insert("sheets.csv".to_owned(), sheets.into_bytes());
            }
            let text = |bytes| String::from_utf8(bytes).expect("the book keeps texts");
            Ok(texts.into_iter().map(|(name, bytes)| (name, text(bytes))).collect())
        })
    }
}

/// A frame on the pile of which a layer has come, and that layer.
fn half_here(frame: &Frame) -> Option<(&str, usize)> {
    let supplied = frame.progress.supplied.iter();
    let mut here = supplied.filter(|(_, supplied)| **supplied == Supplied::Here);
    let ((_, layer), _) = here.find(|((copy, _), _)| !frame.progress.gone.contains(copy))?;
    Some((&frame.id, *layer))
}

/// A frame of which a copy is cut in part.
fn cut_in_part(frame: &Frame) -> Option<&str> {
    (!frame.progress.cut.is_empty()).then_some(frame.id.as_str())
}

/// How many copies of a frame are still to be cut.
fn now_left(shop: &Shop, frame: &Frame) -> u32 {
    shop.frame(&frame.id).map_or(0, Frame::left)
}
