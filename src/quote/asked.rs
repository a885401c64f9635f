//! What is asked at the counter, and the frame that it would be.

use jiff::civil::Date;

use crate::measure::{Length, Mitre};
use crate::shop::{Frame, FrameProgress, Layer, Match, Shop};

/// What is asked at the counter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wish {
    /// The mouldings, innermost first; at least one.
    pub layers: Vec<WishedLayer>,
    /// The package's width; for a polygon, its size across flats.
    pub width: Length,
    /// The package's height; for a polygon, the same.
    pub height: Length,
    /// Its corners.
    pub mitre: Mitre,
    /// How many alike.
    pub copies: u32,
    /// When it is wanted.
    pub due: Option<Date>,
}

/// One moulding of a wish.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WishedLayer {
    /// Its code.
    pub moulding: String,
    /// For a floater, the gap on each side.
    pub gap: Length,
    /// How alike the rails must be; as the moulding says if nothing is said.
    pub match_: Option<Match>,
}

impl Wish {
    /// The frame on the pile, under a number that no other has.
    ///
    /// # Panics
    /// If the shop has no such moulding.
    pub fn frame(&self, shop: &Shop) -> Frame {
        let mut id = "this frame".to_owned();
        while shop.frames.iter().any(|frame| frame.id == id) {
            id.push('\'');
        }
        let layer = |layer: &WishedLayer| {
            let match_ = layer.match_.unwrap_or(shop.moulding(&layer.moulding).match_);
            Layer {
                moulding: layer.moulding.clone(),
                allowance: None,
                gap: layer.gap,
                window: None,
                match_,
                match_floor: match_,
            }
        };
        Frame {
            id,
            layers: self.layers.iter().map(layer).collect(),
            width: self.width,
            height: self.height,
            mitre: self.mitre,
            copies: self.copies,
            progress: FrameProgress::default(),
            due: self.due,
            promised: self.due.is_some(),
            thickness: None,
            note: String::new(),
            row: shop.frames.iter().map(|frame| frame.row).max().unwrap_or(1) + 1,
        }
    }
}
