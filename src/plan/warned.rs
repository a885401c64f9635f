//! What there is to say of a frame whatever it is cut from.

use jiff::civil::Date;

use super::Warning;
use crate::shop::{Frame, Shop};

impl Warning {
    /// What to look at of a frame that is cut on this day, but for its match.
    pub(crate) fn of_frame(shop: &Shop, frame: &Frame, date: Date) -> Vec<Warning> {
        let mut all = Vec::new();
        if let (Some(thickness), Some((layer, depth))) =
            (shop.thickness_of(frame), shop.room_of(frame))
            && thickness > depth
        {
            let moulding = shop.moulding(&frame.layers[layer - 1].moulding);
            all.push(Warning::TooThick {
                frame: frame.id.clone(),
                layer,
                moulding: moulding.id.clone(),
                kind: moulding.kind,
                thickness,
                depth,
            });
        }
        if let Some(due) = frame.due.filter(|due| *due < date) {
            all.push(Warning::Late { frame: frame.id.clone(), due });
        }
        all
    }
}
