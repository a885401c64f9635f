//! The pile of pending frames, and what of it is possible at all.

use jiff::civil::Date;

use crate::plan::{Told, Wishes};
use crate::planner::effort::Effort;
use crate::planner::feasible::Feasible;
use crate::planner::work::Work;
use crate::shop::Shop;
use crate::solve::Limits;

/// What there is to do, and what of it is possible at all.
pub(super) struct Pile<'a> {
    pub effort: Effort<'a>,
    pub feasible: Feasible<'a>,
    pub work: Work,
}

impl<'a> Pile<'a> {
    pub fn new(
        shop: &'a Shop,
        date: Date,
        wishes: &Wishes,
        (limits, told): (&Limits<'a>, Option<Told<'a>>),
    ) -> Pile<'a> {
        let frames = shop.frames.iter().map(|frame| frame.left() as usize).sum();
        let effort = Effort::of_plan(limits, frames).telling(told);
        let feasible = Feasible::new(shop, date, effort.with_purse(effort.purse() / 8));
        let work = Work::sort(shop, date, wishes, &feasible);
        Pile { effort, feasible, work }
    }
}
