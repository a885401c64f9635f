//! What would change where a frame stands, each tried by planning again.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use jiff::civil::Date;

use super::shortage::Shortage;
use super::trials::{Effect, Trials};
use crate::measure::Length;
use crate::plan::{HoldReason, Plan, WaitReason, Wishes};
use crate::rails::{Side, frame_rails};
use crate::shop::{Frame, Match, Shop, Stick};
use crate::verify::Fault;

/// So many other frames, and so many dates, are tried one after the other.
const MOST_OTHERS: usize = 8;

/// One change, and what it comes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// What is changed.
    pub what: What,
    /// What it comes to.
    pub effect: Effect,
}

/// What may be changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum What {
    /// More sticks on the rack: one for each moulding that is lacking, or two of
    /// one moulding where another frame takes the first.
    Sticks(Vec<WantedStick>),
    /// A weaker match.
    Match {
        /// Of which layer.
        layer: usize,
        /// What is asked.
        asked: Match,
        /// What would do.
        instead: Match,
    },
    /// A larger size.
    Size {
        /// The size at which a machine here can cut it.
        width: Length,
        /// As `width`.
        height: Length,
    },
    /// The frame comes before all others.
    Rush,
    /// The frame is wanted on another date; `None` is undated.
    Due(Option<Date>),
    /// Another frame is left aside.
    Without(String),
}

/// A stick that is not on the rack.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WantedStick {
    /// Of which moulding.
    pub moulding: String,
    /// Of which lot; empty for one of its own.
    pub lot: String,
    /// How long.
    pub length: Length,
}

pub(super) type Tried<T> = Result<T, Vec<Fault>>;

/// Everything that was found to change where the frame stands.
pub(super) fn changes(
    shop: &Shop,
    plan: &Plan,
    frame: &Frame,
    shortages: &[Shortage],
    trials: &mut Trials,
) -> Tried<Vec<Change>> {
    let mut asking = Asking { shop, frame, trials };
    let (today, held) = asking.trials.stands();
    let mut changes = Vec::new();
    if today == frame.left() {
        changes.extend(asking.later()?);
        return Ok(changes);
    }
    let short: Vec<usize> = match shortages {
        [] if held > 0 => held_layers(plan, frame),
        [] => chopped_layers(plan, frame),
        shortages => shortages.iter().map(|shortage| shortage.layer).collect(),
    };
    changes.extend(asking.larger()?);
    changes.extend(asking.sticks(&short)?);
    for layer in &short {
        changes.extend(asking.weaker(*layer)?);
    }
    if !shortages.is_empty() {
        let rivals = asking.rivals(shortages);
        changes.extend(asking.earlier(&rivals)?);
        changes.extend(asking.rushed()?);
        changes.extend(asking.without(&rivals)?);
    }
    Ok(changes)
}

/// The layer for which the frame is held, if a longer stick could mend it.
fn held_layers(plan: &Plan, frame: &Frame) -> Vec<usize> {
    let held = plan.held.iter().filter(|held| held.frame == frame.id);
    let layers = held.filter_map(|held| match &held.reason {
        HoldReason::TooLong { layer, .. }
        | HoldReason::MatchTooLong { layer, .. }
        | HoldReason::RandomLengths { layer, .. } => Some(*layer),
        HoldReason::NoOpening { .. }
        | HoldReason::TooShort { .. }
        | HoldReason::NoMitre { .. }
        | HoldReason::NotSold { .. }
        | HoldReason::StickTaken { .. }
        | HoldReason::NotSettled { .. } => None,
    });
    layers.collect::<BTreeSet<usize>>().into_iter().collect()
}

/// The layers that only a supplier can make.
fn chopped_layers(plan: &Plan, frame: &Frame) -> Vec<usize> {
    let waits = plan.waiting.iter().filter(|waits| waits.frame == frame.id);
    let named: BTreeSet<&String> = waits
        .flat_map(|waits| match &waits.reason {
            WaitReason::Chops(mouldings) => mouldings.as_slice(),
            WaitReason::Moulding(_) | WaitReason::OnOrder { .. } | WaitReason::Patience { .. } => {
                &[]
            }
        })
        .collect();
    let layers = 1..=frame.layers.len();
    layers.filter(|layer| named.contains(&frame.layers[layer - 1].moulding)).collect()
}

/// A frame is made larger by so many steps at the most.
const MOST_STEPS: usize = 400;

pub(super) struct Asking<'a, 't, 'l> {
    pub shop: &'a Shop,
    pub frame: &'a Frame,
    pub trials: &'t mut Trials<'l>,
}

impl Asking<'_, '_, '_> {
    /// The shop with this frame changed.
    fn with_frame(&self, change: impl FnOnce(&mut Frame)) -> Shop {
        let mut shop = self.shop.clone();
        let own = shop.frames.iter_mut().find(|frame| frame.id == self.frame.id);
        change(own.expect("the frame is on the pile"));
        shop
    }

    pub fn with_sticks(&self, sticks: &[WantedStick]) -> Shop {
        let mut shop = self.shop.clone();
        for wanted in sticks {
            let names = (1_usize..).map(|number| format!("more-{number}"));
            let is_free = |name: &String| shop.rack.iter().all(|stick| stick.id != *name);
            let id = names.into_iter().find(is_free).expect("a free name among all numbers");
            shop.rack.push(Stick {
                id,
                moulding: wanted.moulding.clone(),
                length: wanted.length,
                lot: wanted.lot.clone(),
                place: String::new(),
                flaws: Vec::new(),
                since: None,
            });
        }
        shop
    }

    /// The least larger size at which every machine here can hold every rail and
    /// every layer has an opening, if it is too small for that as asked.
    fn larger(&mut self) -> Tried<Option<Change>> {
        let Some((width, height)) = self.size_to_hold() else { return Ok(None) };
        if (width, height) == (self.frame.width, self.frame.height) {
            return Ok(None);
        }
        let shop = self.with_frame(|frame| (frame.width, frame.height) = (width, height));
        let effect = self.trials.better(&shop, &Wishes::default())?;
        Ok(effect.map(|effect| Change { what: What::Size { width, height }, effect }))
    }

    /// That size; `None` if it is far larger.
    fn size_to_hold(&self) -> Option<(Length, Length)> {
        let mut frame = self.frame.clone();
        for _ in 0..MOST_STEPS {
            let (wide, high) = self.is_held(&frame);
            if wide && high {
                return Some((frame.width, frame.height));
            }
            let square = frame.mitre.sides() != 4;
            if !wide || square {
                frame.width += self.step();
            }
            if !high || square {
                frame.height += self.step();
            }
        }
        None
    }

    /// Whether the machines can hold the rails along the width, and those along
    /// the height.
    fn is_held(&self, frame: &Frame) -> (bool, bool) {
        let (mut wide, mut high) = (true, true);
        let to_cut: BTreeSet<usize> = frame.pending().flat_map(|copy| frame.to_cut(copy)).collect();
        let layers = frame.layers.iter().zip(frame_rails(self.shop, frame));
        for (layer, all) in layers.filter(|(_, rails)| to_cut.contains(&rails.layer)) {
            let shortest = self.shop.cutter_of(self.shop.moulding(&layer.moulding)).shortest;
            for rail in all.rails {
                let held = rail.long_point >= shortest && rail.sight.is_positive();
                match rail.side {
                    Side::Left | Side::Right => high &= held,
                    Side::Top | Side::Bottom | Side::Nth(_) => wide &= held,
                }
            }
        }
        (wide, high)
    }

    /// The strongest of the weaker matches that would help.
    fn weaker(&mut self, layer: usize) -> Tried<Option<Change>> {
        let asked = self.frame.layers[layer - 1].match_;
        let weaker = [Match::Stick, Match::Halves, Match::Lot, Match::Any];
        for instead in weaker.into_iter().filter(|weaker| *weaker < asked) {
            let shop = self.with_frame(|frame| {
                frame.layers[layer - 1].match_ = instead;
                frame.layers[layer - 1].match_floor = instead;
            });
            if let Some(effect) = self.trials.better(&shop, &Wishes::default())? {
                return Ok(Some(Change { what: What::Match { layer, asked, instead }, effect }));
            }
        }
        Ok(None)
    }

    /// The frames that use what is lacking, the least urgent first.
    fn rivals(&self, shortages: &[Shortage]) -> Vec<Frame> {
        let users: BTreeSet<&String> = shortages.iter().flat_map(|s| &s.users).collect();
        let frames = self.shop.frames.iter().filter(|frame| users.contains(&frame.id));
        let mut rivals: Vec<Frame> = frames.cloned().collect();
        rivals.sort_by_key(|rival| Reverse((rival.due.is_none(), rival.due)));
        rivals
    }

    /// The latest earlier date that would help.
    fn earlier(&mut self, rivals: &[Frame]) -> Tried<Option<Change>> {
        let is_earlier = |due: &Date| self.frame.due.is_none_or(|own| *due < own);
        let dates: BTreeSet<Date> =
            rivals.iter().filter_map(|rival| rival.due).filter(is_earlier).collect();
        for due in dates.into_iter().rev().take(MOST_OTHERS) {
            let shop = self.with_frame(|frame| frame.due = Some(due));
            if let Some(effect) = self.trials.better(&shop, &Wishes::default())? {
                return Ok(Some(Change { what: What::Due(Some(due)), effect }));
            }
        }
        Ok(None)
    }

    fn rushed(&mut self) -> Tried<Option<Change>> {
        let rush = BTreeSet::from([self.frame.id.clone()]);
        let wishes = Wishes { rush, ..Wishes::default() };
        let effect = self.trials.better(self.shop, &wishes)?;
        Ok(effect.map(|effect| Change { what: What::Rush, effect }))
    }

    /// Each other frame without which this one would fare better.
    fn without(&mut self, rivals: &[Frame]) -> Tried<Vec<Change>> {
        let mut changes = Vec::new();
        for rival in rivals.iter().take(MOST_OTHERS) {
            let wishes = self.leaving_out(&rival.id);
            if let Some(mut effect) = self.trials.better(self.shop, &wishes)? {
                effect.instead.retain(|frame| *frame != rival.id);
                changes.push(Change { what: What::Without(rival.id.clone()), effect });
            }
        }
        Ok(changes)
    }

    fn leaving_out(&self, id: &str) -> Wishes {
        let others = self.shop.frames.iter().map(|frame| &frame.id).filter(|other| *other != id);
        Wishes { only: Some(others.cloned().collect()), ..Wishes::default() }
    }

    /// Of a frame that is cut today: who would be cut without it, and the first
    /// later date on which it would not be cut itself.
    fn later(&mut self) -> Tried<Vec<Change>> {
        let mut changes = Vec::new();
        let aside = self.leaving_out(&self.frame.id);
        let Some(effect) = self.trials.ask(self.shop, &aside)? else { return Ok(changes) };
        if effect.also.is_empty() {
            return Ok(changes);
        }
        changes.push(Change { what: What::Without(self.frame.id.clone()), effect });
        let others = self.shop.frames.iter().filter_map(|frame| frame.due);
        let is_later = |due: &Date| self.frame.due.is_some_and(|own| *due > own);
        let dates: BTreeSet<Date> = others.filter(is_later).collect();
        let undated = self.frame.due.map(|_| None);
        let dates = dates.into_iter().take(MOST_OTHERS).map(Some).chain(undated);
        for due in dates {
            let shop = self.with_frame(|frame| frame.due = due);
            let effect = self.trials.ask(&shop, &Wishes::default())?;
            if let Some(effect) = effect.filter(|effect| effect.today < self.frame.left()) {
                changes.push(Change { what: What::Due(due), effect });
                break;
            }
        }
        Ok(changes)
    }
}
