//! Frames cut without a plan, as at the saw.
//!
//! *Frame by frame*: each frame from the tightest piece that gives it whole, else from
//! a new stick. *By hand at its best*: rails longest first, each in the tightest place,
//! a frame that must be of one lot from the lot in which it lies tightest, with no new
//! stick where that can be; stock is never turned head to tail. Whatever they do is
//! checked as a plan of the rest of a morning is.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use super::customers::{bench, block_length, blocks};
use crate::cutting::{Bench, ClearRun, Remnant, Source, clear_runs};
use crate::measure::{Length, Mitre};
use crate::offcuts::Labels;
use crate::plan::{CutStick, PlacedRail};
use crate::rails::{Rail, frame_rails};
use crate::shop::{Match, Shop, Stick};

/// Which of the two.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum HandRule {
    FrameByFrame,
    LongestFirst,
}

/// One layer of one frame.
struct Layered {
    frame: String,
    layer: usize,
    mitre: Mitre,
    match_: Match,
    rails: Vec<Rail>,
}

/// A stick or offcut, and what is cut from it so far.
#[derive(Clone)]
struct HandPiece<'a> {
    stick: &'a Stick,
    is_new: bool,
    runs: Vec<(ClearRun, Vec<PlacedRail>)>,
}

/// The pieces of one moulding.
#[derive(Clone)]
struct Saw<'a> {
    bench: Bench<'a>,
    pieces: Vec<HandPiece<'a>>,
}

/// Cuts the frames of a shop whose rack begins with what is `there`; what follows is
/// bought if it is cut. `None` if there is not enough to buy.
pub(super) fn cut(shop: &Shop, there: usize, rule: HandRule) -> Option<Vec<CutStick>> {
    let mut work: BTreeMap<&str, Vec<Layered>> = BTreeMap::new();
    for frame in &shop.frames {
        for (layer, rails) in frame.layers.iter().zip(frame_rails(shop, frame)) {
            let (frame, mitre, match_) = (frame.id.clone(), rails.mitre, layer.match_);
            let (layer, rails, moulding) = (rails.layer, rails.rails, layer.moulding.as_str());
            let one = Layered { frame, layer, mitre, match_, rails };
            work.entry(moulding).or_default().push(one);
        }
    }
    let mut labels = Labels::new(shop.rack.iter().map(|stick| stick.id.as_str()));
    let mut cut = Vec::new();
    for (moulding, layers) in work {
        let bench = bench(shop, moulding);
        let joints = layers.iter().map(|layered| bench.joint_loss(layered.mitre));
        let widest = joints.max().unwrap_or_default();
        let of = |(place, stick): (usize, _)| HandPiece::new(&bench, stick, place >= there, widest);
        let all = shop.rack.iter().enumerate();
        let pieces = all.filter(|(_, stick)| stick.moulding == moulding).map(of).collect();
        let saw = Saw { bench, pieces };
        let saw = match rule {
            HandRule::FrameByFrame => saw.frame_by_frame(&layers)?,
            HandRule::LongestFirst => saw.longest_first(&layers)?,
        };
        cut.extend(saw.pieces.into_iter().filter_map(|piece| piece.cut(&bench, &mut labels)));
    }
    Some(cut)
}

impl<'a> Saw<'a> {
    fn frame_by_frame(mut self, layers: &[Layered]) -> Option<Saw<'a>> {
        for layered in layers {
            let whole = 0..layered.rails.len();
            if self.place_in(layered, &whole, None) {
                continue;
            }
            // Too large for any stick: in the fewest parts that a new one takes.
            let parts = [Match::Halves, Match::Any].map(|m| m.max(layered.match_));
            let mut tried = parts.into_iter().map(|m| blocks(m, layered.rails.len()));
            let placed = tried.find_map(|blocks| {
                let mut saw = self.clone();
                let mut place = |block| {
                    saw.place(layered, block, &|piece| piece.is_new && piece.is_at_hand())
                        || saw.place(layered, block, &|piece| piece.is_new)
                };
                blocks.iter().all(&mut place).then_some(saw)
            });
            self = placed?;
        }
        Some(self)
    }

    fn longest_first(self, layers: &[Layered]) -> Option<Saw<'a>> {
        let mut order: Vec<usize> = (0..layers.len()).collect();
        order.sort_by_key(|&place| Reverse(self.longest(&layers[place])));
        let mut one_by_one = self.clone();
        let mut lots: Vec<Option<&str>> = vec![None; layers.len()];
        for place in order {
            let layered = &layers[place];
            let lot;
            (one_by_one, lot) = one_by_one.tightest_lot(layered)?;
            lots[place] = lot;
        }
        let all_at_once = self.in_lots(layers, &lots);
        let fewer = all_at_once.filter(|saw| saw.opened() <= one_by_one.opened());
        Some(fewer.unwrap_or(one_by_one))
    }

    /// A layer cut from the lot in which it lies tightest, and which that is.
    fn tightest_lot(&self, layered: &Layered) -> Option<(Saw<'a>, Option<&'a str>)> {
        let lots: BTreeSet<Option<&'a str>> = match layered.match_ {
            Match::Any | Match::Stick | Match::Wrap => BTreeSet::from([None]),
            Match::Lot | Match::Halves => self.pieces.iter().map(|p| Some(p.lot())).collect(),
        };
        let within = lots.into_iter().filter_map(|lot| {
            let mut saw = self.clone();
            let mut sorted = blocks(layered.match_, layered.rails.len());
            let joint = self.bench.joint_loss(layered.mitre);
            sorted.sort_by_key(|block| Reverse(block_length(&layered.rails[block.clone()], joint)));
            let is_cut = sorted.iter().all(|block| saw.place_in(layered, block, lot));
            is_cut.then_some((saw, lot))
        });
        within.min_by_key(|(saw, _)| (saw.opened(), saw.room_left()))
    }

    /// All blocks together, the longest first, each layer in its lot.
    fn in_lots(mut self, layers: &[Layered], lots: &[Option<&str>]) -> Option<Saw<'a>> {
        let of = |(place, layered): (usize, &Layered)| {
            let joint = self.bench.joint_loss(layered.mitre);
            let each = blocks(layered.match_, layered.rails.len()).into_iter();
            let rails = layered.rails.clone();
            each.map(move |block| (block_length(&rails[block.clone()], joint), place, block))
                .collect::<Vec<_>>()
        };
        let mut all: Vec<(Length, usize, Range<usize>)> =
            layers.iter().enumerate().flat_map(of).collect();
        all.sort_by_key(|(length, place, block)| (Reverse(*length), *place, block.start));
        let is_cut =
            all.iter().all(|(_, place, block)| self.place_in(&layers[*place], block, lots[*place]));
        is_cut.then_some(self)
    }

    fn longest(&self, layered: &Layered) -> Length {
        let joint = self.bench.joint_loss(layered.mitre);
        let each = blocks(layered.match_, layered.rails.len()).into_iter();
        each.map(|block| block_length(&layered.rails[block], joint)).max().unwrap_or_default()
    }

    /// How many new sticks are begun.
    fn opened(&self) -> usize {
        self.pieces.iter().filter(|piece| piece.is_new && piece.is_at_hand()).count()
    }

    /// What is left of the pieces that are begun.
    fn room_left(&self) -> Length {
        self.pieces.iter().filter(|piece| piece.is_begun()).map(|piece| piece.left().length).sum()
    }

    /// A block in the tightest place of a lot, of any where there is none; in a new stick
    /// only if nothing else holds it.
    fn place_in(&mut self, layered: &Layered, block: &Range<usize>, lot: Option<&str>) -> bool {
        let is_of = |piece: &HandPiece| lot.is_none_or(|lot| piece.lot() == lot);
        self.place(layered, block, &|piece| is_of(piece) && piece.is_at_hand())
            || self.place(layered, block, &is_of)
    }

    /// A block in the tightest place of these pieces.
    fn place(
        &mut self,
        layered: &Layered,
        block: &Range<usize>,
        may: &dyn Fn(&HandPiece) -> bool,
    ) -> bool {
        let joint = self.bench.joint_loss(layered.mitre);
        let length = block_length(&layered.rails[block.clone()], joint);
        let mut tightest: Option<(Length, usize, usize)> = None;
        for (place, piece) in self.pieces.iter().enumerate().filter(|(_, piece)| may(piece)) {
            for run in 0..piece.runs.len() {
                let over = piece.runs[run].0.to - piece.begins(&self.bench, run, joint) - length;
                let better = tightest.is_none_or(|(least, ..)| over < least);
                if over >= Length::ZERO && better {
                    tightest = Some((over, place, run));
                }
            }
        }
        let Some((_, place, run)) = tightest else { return false };
        let mut from = self.pieces[place].begins(&self.bench, run, joint);
        for rail in &layered.rails[block.clone()] {
            let to = from + rail.long_point;
            self.pieces[place].runs[run].1.push(layered.placed(rail, (from, to)));
            from = to + joint;
        }
        true
    }
}

impl Layered {
    fn placed(&self, rail: &Rail, (from, to): (Length, Length)) -> PlacedRail {
        PlacedRail {
            frame: self.frame.clone(),
            copy: 1,
            layer: self.layer,
            side: rail.side,
            mitre: self.mitre,
            from,
            to,
            long_point: rail.long_point,
            rabbet: rail.rabbet,
            sight: rail.sight,
            turned: false,
        }
    }
}

impl<'a> HandPiece<'a> {
    fn new(bench: &Bench, stick: &'a Stick, is_new: bool, widest: Length) -> HandPiece<'a> {
        let (length, flaws) = (stick.length, stick.flaws.clone());
        let source = Source { length, flaws, lot: 0, is_new: false, paid: None };
        let runs = clear_runs(bench, &source, widest).into_iter();
        HandPiece { stick, is_new, runs: runs.map(|run| (run, Vec::new())).collect() }
    }

    /// Its lot; a stick of no known lot is one by itself.
    fn lot(&self) -> &'a str {
        if self.stick.lot.is_empty() { &self.stick.id } else { &self.stick.lot }
    }

    fn is_begun(&self) -> bool {
        self.runs.iter().any(|(_, rails)| !rails.is_empty())
    }

    /// Whether it need not be bought, or is already.
    fn is_at_hand(&self) -> bool {
        !self.is_new || self.is_begun()
    }

    /// Where the next rail of a run may begin.
    fn begins(&self, bench: &Bench, run: usize, joint: Length) -> Length {
        let (run, rails) = &self.runs[run];
        rails.last().map_or(run.from, |last| last.to + bench.joint_loss(last.mitre).max(joint))
    }

    fn left(&self) -> Remnant {
        let last = self.runs.iter().rev().find_map(|(_, rails)| rails.last());
        let from = last.map_or(Length::ZERO, |last| last.to);
        Remnant { from, length: self.stick.length - from }
    }

    /// The stick as it is cut; `None` if it is not.
    fn cut(self, bench: &Bench, labels: &mut Labels) -> Option<CutStick> {
        let used = self.runs.iter().rposition(|(_, rails)| !rails.is_empty())?;
        let stick = self.stick;
        let end_of =
            |rails: &[PlacedRail]| rails.last().map(|last| last.to + bench.joint_loss(last.mitre));
        let mut between = Vec::new();
        for (run, rails) in &self.runs[..used] {
            let from = end_of(rails).unwrap_or(run.from);
            let remnant = Remnant { from, length: (run.to - from).max(Length::ZERO) };
            if remnant.length.is_positive() && remnant.length >= bench.settings.keep {
                between.push(labels.assess(bench, &stick.id, remnant));
            }
        }
        let from = end_of(&self.runs[used].1)?;
        let left = labels.assess(bench, &stick.id, Remnant { from, length: stick.length - from });
        Some(CutStick {
            stick: stick.id.clone(),
            is_new: false,
            moulding: stick.moulding.clone(),
            length: stick.length,
            lot: stick.lot.clone(),
            place: stick.place.clone(),
            flaws: stick.flaws.clone(),
            first_trim: bench.cutter.first_trim,
            rails: self.runs.into_iter().flat_map(|(_, rails)| rails).collect(),
            left,
            between,
            worth: bench.worth(stick.length),
            supplier: String::new(),
        })
    }
}
