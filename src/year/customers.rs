//! Who comes in a year, with what, and until when it must be cut.
//!
//! A customer's layers and match are those of one ticket, the size is that of another
//! with as many sides, so that sizes vary as they do in the shop. All practices serve
//! the same customers (common random numbers: Law, *Simulation Modeling and Analysis*),
//! so that what differs between them is theirs.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::random::Dice;
use crate::cutting::{Bench, Source, clear_runs};
use crate::measure::Length;
use crate::rails::{Rail, frame_rails};
use crate::shop::{Frame, FrameProgress, Match, Shop};

/// So often another size is drawn where one is impossible in the moulding.
const DRAWS: usize = 20;

/// What comes in, day by day.
#[derive(Debug, Clone)]
pub(super) struct Customers {
    /// The days on which the shop is open.
    pub days: Vec<Date>,
    /// Everybody, in the order in which they come.
    pub all: Vec<Customer>,
}

/// One ticket.
#[derive(Debug, Clone)]
pub struct Customer {
    /// What is asked, of one copy.
    pub frame: Frame,
    /// The number of the day on which it comes in.
    pub came: usize,
    /// The number of the last day on which it can be cut in time.
    pub last: usize,
}

/// The tickets that can be drawn, and those that cannot since no new stick makes them.
#[derive(Debug, Clone)]
pub(super) struct Tickets<'a> {
    shop: &'a Shop,
    /// Each once.
    frames: Vec<Frame>,
    /// The places in `frames`, each as often as it has copies.
    copies: Vec<usize>,
    /// The same of those with as many sides.
    alike: BTreeMap<u8, Vec<usize>>,
    /// The numbers of those that are left out.
    pub left_out: Vec<String>,
}

impl<'a> Tickets<'a> {
    pub fn new(shop: &'a Shop, frames: &[Frame]) -> Tickets<'a> {
        let (alike, left_out) = (BTreeMap::new(), Vec::new());
        let (drawn, copies) = (Vec::new(), Vec::new());
        let mut tickets = Tickets { shop, frames: drawn, copies, alike, left_out };
        for frame in frames {
            if possible(shop, frame).is_none() {
                tickets.left_out.push(frame.id.clone());
                continue;
            }
            let places = || std::iter::repeat_n(tickets.frames.len(), frame.copies as usize);
            tickets.copies.extend(places());
            tickets.alike.entry(frame.mitre.sides()).or_default().extend(places());
            tickets.frames.push(frame.clone());
        }
        tickets
    }

    /// How many copies can be drawn.
    pub fn len(&self) -> usize {
        self.copies.len()
    }

    /// The mouldings that are cut.
    pub fn mouldings(&self) -> impl Iterator<Item = &String> {
        self.frames.iter().flat_map(|frame| &frame.layers).map(|layer| &layer.moulding)
    }

    /// The customers of a year: so many a day, each to be cut so many open days later
    /// at the latest, and all by the last day.
    pub fn customers(
        &self,
        days: &[Date],
        (frames, notice): (u32, u32),
        (seed, year): (u64, u32),
    ) -> Customers {
        let mut dice = Dice::new(seed, u64::from(year));
        let mut all = Vec::new();
        for came in 0..days.len() {
            for _ in 0..frames {
                let last = (came + notice as usize).min(days.len() - 1);
                let mut frame = self.draw(&mut dice);
                let open = &self.shop.settings.days;
                frame.id = format!("{}", all.len() + 1);
                frame.came = Some(days[came]);
                frame.due = open.open.after(days[last], open.bench_days);
                all.push(Customer { frame, came, last });
            }
        }
        Customers { days: days.to_vec(), all }
    }

    fn draw(&self, dice: &mut Dice) -> Frame {
        let ticket = &self.frames[self.copies[dice.below(self.copies.len())]];
        let alike = &self.alike[&ticket.mitre.sides()];
        let others = (0..DRAWS).map(|_| &self.frames[alike[dice.below(alike.len())]]);
        let sized = |other: &Frame| {
            let (width, height) = (other.width, other.height);
            possible(self.shop, &Frame { width, height, ..ticket.clone() })
        };
        others.chain([ticket]).find_map(sized).expect("its own size is possible")
    }
}

/// One copy of a frame, with the strongest match that new sticks of the usual length
/// allow it; `None` if they allow none.
fn possible(shop: &Shop, frame: &Frame) -> Option<Frame> {
    let progress = FrameProgress::default();
    let (copies, came, promised, note) = (1, None, false, String::new());
    let mut frame = Frame { copies, came, promised, note, progress, ..frame.clone() };
    for (layer, rails) in frame_rails(shop, &frame).into_iter().enumerate() {
        let asked = &mut frame.layers[layer];
        let bench = bench(shop, &asked.moulding);
        let is_cut =
            |rail: &Rail| rail.sight.is_positive() && rail.long_point >= bench.cutter.shortest;
        if !bench.cutter.cuts(rails.mitre) || !rails.rails.iter().all(is_cut) {
            return None;
        }
        let room = stick_room(&bench);
        let weaker = [Match::Wrap, Match::Stick, Match::Halves, Match::Lot, Match::Any];
        let allowed = weaker.into_iter().filter(|m| (asked.match_floor..=asked.match_).contains(m));
        let fits = |match_: &Match| {
            let joint = bench.joint_loss(rails.mitre);
            blocks(*match_, rails.rails.len())
                .iter()
                .all(|block| block_length(&rails.rails[block.clone()], joint) <= room)
        };
        asked.match_ = allowed.into_iter().find(fits)?;
        asked.match_floor = asked.match_;
    }
    Some(frame)
}

/// What a stick of the usual length holds in one run.
pub(super) fn stick_room(bench: &Bench) -> Length {
    room_of(bench, bench.moulding.stick)
}

/// What a stick without flaws holds in one run.
fn room_of(bench: &Bench, length: Length) -> Length {
    let source = Source { length, flaws: Vec::new(), lot: 0, is_new: true, paid: None };
    let runs = clear_runs(bench, &source, Length::ZERO);
    runs.first().map_or(Length::ZERO, |run| run.to - run.from)
}

/// What rails take that are cut one after the other.
pub(super) fn block_length(rails: &[Rail], joint: Length) -> Length {
    let points: Length = rails.iter().map(|rail| rail.long_point).sum();
    let between = i64::try_from(rails.len()).expect("at most 16 sides") - 1;
    points + joint * between
}

/// Which rails of a layer are cut one after the other: a frame of one stick as one run.
pub(super) fn blocks(match_: Match, rails: usize) -> Vec<std::ops::Range<usize>> {
    let each = match match_ {
        Match::Any | Match::Lot => 1,
        Match::Halves => 2,
        Match::Stick | Match::Wrap => rails,
    };
    (0..rails).step_by(each).map(|first| first..(first + each).min(rails)).collect()
}

/// What holds for every stick and rail of a moulding.
pub(super) fn bench<'a>(shop: &'a Shop, moulding: &str) -> Bench<'a> {
    let moulding = shop.moulding(moulding);
    let cutter = shop.cutter_of(moulding);
    Bench { settings: &shop.settings, moulding, cutter, joint_at_flaws: Length::ZERO }
}
