//! One frame that nobody has ordered, planned by itself from some of the rack.

use jiff::civil::Date;

use super::{FitQuestion, Made};
use crate::measure::{Length, Mitre};
use crate::morning::plan_as_wished;
use crate::plan::{HoldReason, Wishes};
use crate::shop::{Frame, FrameProgress, Layer, Shop, Spare, Stick};
use crate::solve::Limits;
use crate::verify::Fault;

/// The ticket number that the frame goes by in its plan.
const NAME: &str = "this frame";

/// A frame to try, but for its size.
pub(super) struct Trial<'a> {
    pub shop: &'a Shop,
    pub question: FitQuestion<'a>,
    pub limits: &'a Limits<'a>,
}

/// What came of trying.
pub(super) enum TrialOutcome {
    /// It can be made from these.
    Cut(Made),
    /// Not from these sticks.
    Waits,
    /// From no stick at all.
    Held(HoldReason),
}

impl Trial<'_> {
    /// Plans a frame of this size from these sticks and spare rails alone.
    pub fn cut(
        &self,
        size: (Length, Length),
        (sticks, spare): (&[Stick], &[Spare]),
    ) -> Result<TrialOutcome, Vec<Fault>> {
        let moulding = self.question.moulding;
        let shop = Shop {
            settings: self.shop.settings.clone(),
            cutters: self.shop.cutters.clone(),
            mouldings: [(moulding.id.clone(), moulding.clone())].into(),
            frames: vec![self.frame(size)],
            materials: Default::default(),
            jobs: Default::default(),
            rack: sticks.to_vec(),
            sheets: Vec::new(),
            sheet_rules: Default::default(),
            coming: Vec::new(),
            spare: spare.to_vec(),
            suppliers: Default::default(),
            offers: Vec::new(),
            lists: Vec::new(),
        };
        let wishes = Wishes { rack_only: true, ..Wishes::default() };
        // No date matters to a frame that is alone and undated.
        let limits = Limits { watch: None, ..*self.limits };
        let plan = plan_as_wished(&shop, Date::ZERO, &wishes, limits)?.into_inner();
        Ok(match plan.held.into_iter().next() {
            Some(held) => TrialOutcome::Held(held.reason),
            None if !plan.waiting.is_empty() => TrialOutcome::Waits,
            None => {
                let spare = plan.spares.iter().map(|of| of.label.clone()).collect();
                TrialOutcome::Cut(Made { sticks: plan.today, spare })
            }
        })
    }

    fn frame(&self, (width, height): (Length, Length)) -> Frame {
        let FitQuestion { moulding, match_, gap } = self.question;
        let layer = Layer {
            moulding: moulding.id.clone(),
            allowance: None,
            gap,
            window: None,
            match_,
            match_floor: match_,
        };
        Frame {
            id: NAME.to_owned(),
            layers: vec![layer],
            width,
            height,
            mitre: Mitre::SQUARE,
            copies: 1,
            progress: FrameProgress::default(),
            due: None,
            came: None,
            promised: false,
            thickness: None,
            note: String::new(),
            row: 0,
        }
    }
}
