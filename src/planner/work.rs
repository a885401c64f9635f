//! The pile of pending frames as work: which are possible at all, which are
//! alike, and in which order they are wanted.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::feasible::Feasible;
use super::lots;
use crate::cutting::Ask;
use crate::plan::{Held, Warning, Wishes};
use crate::rails::{LayerRails, rails_to_cut};
use crate::shop::{Frame, Match, Shop};

/// Everything there is to do, apart from where it is cut from.
#[derive(Clone)]
pub(crate) struct Work {
    /// For each moulding, the different layers asked of it.
    pub asks: BTreeMap<String, Vec<Ask>>,
    /// The different frames.
    pub classes: Vec<Class>,
    /// The frame copies, the most urgent first.
    pub tasks: Vec<Task>,
    pub held: Vec<Held>,
    pub warnings: Vec<Warning>,
}

/// Frames that are alike in everything that cutting depends on.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Class {
    pub layers: Vec<ClassLayer>,
}

/// One layer of a class: which moulding, and which of its asks.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct ClassLayer {
    pub moulding: String,
    pub ask: usize,
    /// Whether only a supplier can make it, cut to size.
    pub chop_only: bool,
}

/// One frame copy to be cut.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Task {
    /// Its place in the shop's frames.
    pub frame: usize,
    pub copy: u32,
    pub class: usize,
    pub due: Option<Date>,
    /// Whether it comes before all that are not.
    pub rush: bool,
    /// Whether a layer of it is on order, chopped: it is not begun before that
    /// has come.
    pub awaits: bool,
    /// Whether it is not cut but kept for, since its frame waits.
    pub keeps: bool,
}

impl Task {
    /// When its turn comes: rushed first, then earliest due, undated last; of one
    /// date what is cut before what is kept. What has the same turn is as urgent.
    pub fn turn(&self) -> (bool, bool, Option<Date>, bool) {
        (!self.rush, self.due.is_none(), self.due, self.keeps)
    }

    pub fn urgency(&self) -> ((bool, bool, Option<Date>, bool), usize, u32) {
        (self.turn(), self.frame, self.copy)
    }
}

impl Work {
    /// The mouldings that these tasks need.
    pub fn mouldings(&self, tasks: &[usize]) -> BTreeSet<String> {
        let layers = tasks.iter().flat_map(|task| &self.classes[self.tasks[*task].class].layers);
        layers.map(|layer| layer.moulding.clone()).collect()
    }

    /// Sorts the pile. Frames that no stick at hand or to be bought can make
    /// are held; matches are weakened, down to the frame's floor, only where
    /// the stronger is impossible on every one of them.
    pub fn sort(shop: &Shop, date: Date, wishes: &Wishes, feasible: &Feasible) -> Work {
        let mut work = Work {
            asks: shop.mouldings.keys().map(|id| (id.clone(), Vec::new())).collect(),
            classes: Vec::new(),
            tasks: Vec::new(),
            held: Vec::new(),
            warnings: Vec::new(),
        };
        let mut known: BTreeMap<Class, usize> = BTreeMap::new();
        let concerned = |(_, frame): &(usize, &Frame)| wishes.concerns(frame);
        for (index, frame) in shop.frames.iter().enumerate().filter(concerned) {
            work.warn(shop, frame, date);
            for copies in alike(frame) {
                let class = match work.class(shop, frame, copies[0], feasible) {
                    Ok(class) => class,
                    Err(reason) => {
                        let held =
                            |copy| Held { frame: frame.id.clone(), copy, reason: reason.clone() };
                        work.held.extend(copies.into_iter().map(held));
                        continue;
                    }
                };
                let class = *known.entry(class.clone()).or_insert_with(|| {
                    work.classes.push(class);
                    work.classes.len() - 1
                });
                let (due, rush) = (frame.due, wishes.rushes(frame));
                let awaits = |copy| !frame.coming(copy).is_empty();
                let task = |copy| Task {
                    frame: index,
                    copy,
                    class,
                    due,
                    rush,
                    awaits: awaits(copy),
                    keeps: false,
                };
                work.tasks.extend(copies.into_iter().map(task));
            }
        }
        work.tasks.sort_by_key(Task::urgency);
        work
    }

    /// The same with layers that are bound to a lot of the rack asking for any one lot:
    /// they are bound today alone.
    pub fn unbound(&self) -> Work {
        let mut work = self.clone();
        work.asks.values_mut().flatten().for_each(|ask| ask.like = None);
        work
    }

    /// Whether a task cannot be cut today, whatever there is on the rack: it
    /// needs rails that a supplier chops.
    pub fn is_later(&self, task: usize) -> bool {
        self.is_chop_only(task) || self.tasks[task].awaits
    }

    /// The tasks of which a layer can only be had chopped, with the mouldings of
    /// those layers, and those of which one is on order.
    pub fn chopped(&self) -> impl Iterator<Item = (usize, Vec<String>)> + '_ {
        let tasks = (0..self.tasks.len()).filter(|task| self.is_later(*task));
        tasks.map(|task| {
            let layers = self.classes[self.tasks[task].class].layers.iter();
            let chopped = layers.filter(|layer| layer.chop_only);
            let named: BTreeSet<String> = chopped.map(|layer| layer.moulding.clone()).collect();
            (task, named.into_iter().collect())
        })
    }

    /// Whether some layer of a task can only be had chopped.
    pub fn is_chop_only(&self, task: usize) -> bool {
        self.classes[self.tasks[task].class].layers.iter().any(|layer| layer.chop_only)
    }

    /// The class of a frame's copies of which as much is to be cut as of this one.
    fn class(
        &mut self,
        shop: &Shop,
        frame: &Frame,
        copy: u32,
        feasible: &Feasible,
    ) -> Result<Class, crate::plan::HoldReason> {
        let mut asks = Vec::new();
        for LayerRails { layer: number, mitre, rails } in rails_to_cut(shop, frame, copy) {
            let layer = &frame.layers[number - 1];
            // What is owed of a layer that is cut in part comes from any stick, unless it
            // is bound to a lot.
            let like = frame.like(copy, number);
            let (match_, floor) = match frame.cut(copy, number) {
                Some(_) if like.is_some() => (Match::Lot, Match::Lot),
                Some(_) => (Match::Any, Match::Any),
                None => (layer.match_, layer.match_floor),
            };
            let like = like.map(|lot| lots::number(&shop.rack, &layer.moulding, lot));
            let asked = Ask { mitre, match_, rails, like };
            let settled = feasible.settle(number, &layer.moulding, &asked, floor);
            let (given, chop_only) = match settled {
                Ok(given) => (given, false),
                Err(reason) => {
                    let chopped = feasible.chopped(&layer.moulding, &asked, floor);
                    (chopped.ok_or(reason)?, true)
                }
            };
            if given != match_ {
                let (frame, layer, asked) = (frame.id.clone(), number, layer.match_);
                let warning = Warning::Relaxed { frame, layer, asked, given };
                if !self.warnings.contains(&warning) {
                    self.warnings.push(warning);
                }
            }
            asks.push((layer.moulding.clone(), Ask { match_: given, ..asked }, chop_only));
        }
        let layers = asks.into_iter().map(|(moulding, ask, chop_only)| {
            let known = self.asks.get_mut(&moulding).expect("every moulding has its list");
            let place = known.iter().position(|other| *other == ask).unwrap_or_else(|| {
                known.push(ask);
                known.len() - 1
            });
            ClassLayer { moulding, ask: place, chop_only }
        });
        Ok(Class { layers: layers.collect() })
    }

    fn warn(&mut self, shop: &Shop, frame: &Frame, date: Date) {
        if let (Some(thickness), Some((layer, depth))) =
            (shop.thickness_of(frame), shop.room_of(frame))
            && thickness > depth
        {
            self.warnings.push(Warning::TooThick {
                frame: frame.id.clone(),
                layer,
                moulding: frame.layers[layer - 1].moulding.clone(),
                thickness,
                depth,
            });
        }
        if let Some(due) = frame.due.filter(|due| *due < date) {
            self.warnings.push(Warning::Late { frame: frame.id.clone(), due });
        }
    }
}

/// The copies of a frame that are on the pile, those together of which as much is
/// to be cut.
fn alike(frame: &Frame) -> Vec<Vec<u32>> {
    let to_cut = |copy: u32| -> Vec<_> {
        let layers = frame.to_cut(copy).into_iter();
        layers.map(|layer| (layer, frame.cut(copy, layer), frame.like(copy, layer))).collect()
    };
    let mut alike: Vec<Vec<u32>> = Vec::new();
    for copy in frame.pending() {
        match alike.iter_mut().find(|copies| to_cut(copies[0]) == to_cut(copy)) {
            Some(copies) => copies.push(copy),
            None => alike.push(vec![copy]),
        }
    }
    alike
}
