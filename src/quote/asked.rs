//! What is asked at the counter, and the frame that it would be.

use jiff::civil::Date;

use crate::measure::{Length, Mitre};
use crate::shop::{Frame, FrameProgress, Job, Layer, Match, Shop, lip};

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
    /// The ticket whose job it is, so that the size follows from its artwork.
    pub job: Option<String>,
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
    /// The shop without the ticket whose job it is, which is made in these mouldings or in its
    /// own, and not in both; `None` if it is nobody's.
    pub(super) fn without_ticket(&self, shop: &Shop) -> Option<Shop> {
        let job = self.job.as_ref()?;
        let mut without = shop.clone();
        without.frames.retain(|frame| frame.id != *job);
        Some(without)
    }

    /// Its job, in these mouldings; nothing if it has none, or it cannot be shown in them.
    pub fn job_in(&self, shop: &Shop) -> Option<Job> {
        let job = shop.jobs.get(self.job.as_ref()?)?;
        let inner = self.layers.first()?;
        let moulding = shop.moulding(&inner.moulding);
        let layer = Layer {
            moulding: inner.moulding.clone(),
            allowance: None,
            gap: inner.gap,
            window: None,
            match_: moulding.match_,
            match_floor: moulding.match_,
        };
        job.within(lip(moulding, &layer, &shop.settings)).ok()
    }

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
        let mut layers: Vec<Layer> = self.layers.iter().map(layer).collect();
        let job = self.job_in(shop);
        let (width, height) =
            job.as_ref().map_or((self.width, self.height), |job| job.package.size);
        layers.extend(
            job.as_ref()
                .and_then(|job| job.fillet_layer(shop.moulding(job.fillet.as_ref()?).match_)),
        );
        let mut frame = Frame {
            id,
            layers,
            width,
            height,
            mitre: self.mitre,
            copies: self.copies,
            progress: FrameProgress::default(),
            due: self.due,
            came: None,
            promised: self.due.is_some(),
            thickness: job.as_ref().and_then(|job| {
                job.thickness(|code| shop.materials.get(code), |code| shop.mouldings.get(code))
            }),
            note: String::new(),
            row: shop.frames.iter().map(|frame| frame.row).max().unwrap_or(1) + 1,
        };
        let added = job.and_then(|job| shop.build_out_by_itself(&frame, &job));
        frame.layers.extend(added);
        frame
    }
}
