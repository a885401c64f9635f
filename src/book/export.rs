//! The book written back as a shop folder.

use super::error::wrong;
use super::papers::{files, snapshot, typed};
use super::{Book, BookError, rack};
use crate::shop::write;

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
            shop.rack = all.into_iter().map(|on| on.stick).collect();
            if shop.frames != typed(db)?.frames {
                texts.insert("frames.csv".to_owned(), write::frames(&shop).into_bytes());
            }
            let rack = write::rack(&shop.rack, &shop.settings);
            texts.insert("rack.csv".to_owned(), rack.into_bytes());
            let text = |bytes| String::from_utf8(bytes).expect("the book keeps texts");
            Ok(texts.into_iter().map(|(name, bytes)| (name, text(bytes))).collect())
        })
    }
}
