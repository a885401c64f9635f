//! The model: sticks with their lengths, the pile, and a day at the bench.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use longpoint::book::{Assembly, LineState, PlacedLine};
use longpoint::measure::Length;
use longpoint::plan::CutStick;
use longpoint::rails::Side;
use longpoint::shop::Shop;

/// A rail of a frame copy.
pub type Name = (String, u32, usize, Side);

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    pub length: Length,
    pub moulding: String,
    pub place: String,
    pub at_bench: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    ToCut,
    Cut,
    Spoiled,
    Off,
}

#[derive(Debug, Clone)]
pub struct Rail {
    pub name: Name,
    pub from: Length,
    pub to: Length,
    /// Where the stick begins once it is off.
    pub beyond: Length,
    pub state: State,
}

#[derive(Debug, Clone)]
pub struct Lay {
    pub stick: String,
    pub moulding: String,
    pub length: Length,
    pub rails: Vec<Rail>,
    /// What is kept, and from where on the stick: before flaws, and at the end.
    pub kept: Vec<(Length, Length, String)>,
    pub is_on: bool,
}

impl Lay {
    pub fn new(shop: &Shop, cut: &CutStick) -> Lay {
        let cutter = shop.cutter_of(shop.moulding(&cut.moulding));
        let rail = |rail: &longpoint::plan::PlacedRail| Rail {
            name: (rail.frame.clone(), rail.copy, rail.layer, rail.side),
            from: rail.from,
            to: rail.to,
            beyond: (rail.to + cutter.joint_loss(rail.mitre)).min(cut.length),
            state: State::ToCut,
        };
        let kept = cut.between.iter().chain([&cut.left]).filter(|left| left.keep);
        Lay {
            stick: cut.stick.clone(),
            moulding: cut.moulding.clone(),
            length: cut.length,
            rails: cut.rails.iter().map(rail).collect(),
            kept: kept.map(|left| (left.from, left.length, left.label.clone())).collect(),
            is_on: true,
        }
    }

    pub fn is_begun(&self) -> bool {
        self.rails.iter().any(|rail| matches!(rail.state, State::Cut | State::Spoiled))
    }

    /// Where what is still cut from it ends.
    pub fn end(&self) -> Length {
        let stays = self.rails.iter().filter(|rail| rail.state != State::Off);
        stays.map(|rail| rail.beyond).max().unwrap_or_default()
    }

    pub fn is_open(&self) -> bool {
        self.is_on && self.rails.iter().any(|rail| rail.state == State::ToCut)
    }
}

#[derive(Debug, Clone, Default)]
pub struct Day {
    /// The spare rails that it took, as what they became.
    pub given: Vec<Name>,
    pub lays: Vec<Lay>,
    pub copies: BTreeSet<(String, u32)>,
    /// Offcuts of this day.
    pub made: BTreeSet<String>,
    /// The sticks that were measured, each with its moulding, how long it was planned, and is:
    /// where that differs, nothing more of the moulding is cut before the rest is planned again.
    pub measured: BTreeMap<String, (String, Length, Length)>,
    /// Rails of other days that are cut anew with the whole of their frame.
    pub aside: BTreeMap<Name, Length>,
}

#[derive(Debug, Clone, Default)]
pub struct Model {
    pub sticks: BTreeMap<String, Piece>,
    /// For each frame, the copies that are to be cut.
    pub pending: BTreeMap<String, BTreeSet<u32>>,
    pub day: Option<Day>,
    /// The rails that are cut and good of days that are over, with their lengths.
    pub good: BTreeMap<Name, Length>,
    pub cancelled: BTreeSet<(String, u32)>,
    /// What was joined or fitted last of each copy, and of which rails, by their numbers.
    pub made: BTreeMap<(String, u32), (Assembly, BTreeSet<i64>)>,
    pub rails: Length,
    pub spoiled: Length,
    pub came: Length,
    pub tickets: String,
    /// The lines of orders.
    pub placed: BTreeMap<i64, Placed>,
    /// What was billed of each order of a supplier: goods and carriage.
    pub billed: BTreeMap<(i64, String), (i64, i64)>,
    /// The numbers of the invoices of each.
    pub invoices: BTreeSet<((i64, String), String)>,
    /// All that was paid.
    pub paid: i64,
}

/// A line of an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placed {
    pub order: i64,
    pub supplier: String,
    pub moulding: String,
    pub date: Date,
    /// How many sticks were ordered, have not come, and have.
    pub ordered: u32,
    pub left: u32,
    pub came: u32,
    /// What came, end to end.
    pub length: Length,
    pub cost: i64,
    pub arrives: Option<Date>,
    pub reference: String,
    pub is_confirmed: bool,
    pub is_late: bool,
    pub is_dropped: bool,
}

impl Placed {
    pub fn new(line: &PlacedLine) -> Placed {
        assert_eq!(line.state, LineState::Sent);
        Placed {
            order: line.order,
            supplier: line.supplier.clone(),
            moulding: line.moulding.clone(),
            date: line.date.parse().unwrap(),
            ordered: line.pieces,
            left: line.pieces,
            came: 0,
            length: Length::ZERO,
            cost: line.cost.unwrap().0,
            arrives: line.arrives.as_ref().map(|day| day.parse().unwrap()),
            reference: String::new(),
            is_confirmed: false,
            is_late: false,
            is_dropped: false,
        }
    }

    pub fn is_open(&self) -> bool {
        self.left > 0 && !self.is_dropped
    }

    /// What came costs: by its length at so many cents a foot, or as its share of the
    /// whole; to the nearest cent.
    pub fn worth(&self) -> i64 {
        let foot = match (self.supplier.as_str(), self.moulding.as_str()) {
            ("CORM", "ASH") => Some(210),
            ("TERN", "ASH") => Some(190),
            ("TERN", "OAK") => Some(420),
            _ => None,
        };
        let (over, under) = match foot {
            Some(cents) => (self.length.nm() * cents, 304_800_000),
            None => (self.cost * i64::from(self.came), i64::from(self.ordered)),
        };
        (2 * over + under) / (2 * under)
    }

    /// What the book is to say of it.
    pub fn said(&self) -> (String, u32, LineState, Option<String>, String) {
        let state = match self {
            Placed { is_late: true, .. } => LineState::BackOrdered,
            Placed { came: 1.., .. } => LineState::PartReceived,
            Placed { is_confirmed: true, .. } => LineState::Confirmed,
            _ => LineState::Sent,
        };
        let day = self.arrives.map(|day| day.to_string());
        (self.moulding.clone(), self.left, state, day, self.reference.clone())
    }
}

impl Model {
    /// Takes a rail off its stick, with whatever lies before it.
    pub fn take_off(&mut self, lay: usize, rail: usize, state: State) {
        let day = self.day.as_mut().unwrap();
        let lay = &mut day.lays[lay];
        let length = lay.rails[rail].to - lay.rails[rail].from;
        lay.rails[rail].state = state;
        *(if state == State::Cut { &mut self.rails } else { &mut self.spoiled }) += length;
        let is_last = lay.rails[rail + 1..].iter().all(|later| later.state == State::Off);
        let before = lay.rails[..rail].iter().filter(|r| r.state != State::Off);
        let at = before.map(|rail| rail.beyond).max().unwrap_or_default();
        let left = if is_last { Length::ZERO } else { lay.length - lay.rails[rail].beyond };
        self.sticks.get_mut(&lay.stick).unwrap().length = left;
        for (from, length, label) in &lay.kept {
            let is_before = *from >= at && *from < lay.rails[rail].from;
            let is_beyond = is_last && *from >= lay.rails[rail].to;
            if is_before || is_beyond {
                let moulding = lay.moulding.clone();
                let piece =
                    Piece { length: *length, moulding, place: String::new(), at_bench: true };
                assert!(self.sticks.insert(label.clone(), piece).is_none(), "{label} is new");
                day.made.insert(label.clone());
            }
        }
    }

    /// What the day's copies need and is neither cut nor to be cut.
    pub fn owed(&self, shop: &Shop) -> BTreeSet<Name> {
        let Some(day) = &self.day else { return BTreeSet::new() };
        let mut owed = BTreeSet::new();
        for (id, copy) in &day.copies {
            let frame = shop.frames.iter().find(|frame| frame.id == *id).unwrap();
            for layer in 1..=frame.layers.len() {
                owed.extend(
                    Side::all(frame.mitre).into_iter().map(|s| (id.clone(), *copy, layer, s)),
                );
            }
        }
        for name in self.good.keys() {
            owed.remove(name);
        }
        for rail in day.lays.iter().flat_map(|lay| &lay.rails) {
            let is_wanted = day.copies.contains(&(rail.name.0.clone(), rail.name.1));
            if is_wanted && matches!(rail.state, State::Cut | State::ToCut) {
                assert!(owed.remove(&rail.name), "{:?} is there twice or nobody's", rail.name);
            }
        }
        owed
    }

    /// The rails of a copy.
    pub fn all_rails(shop: &Shop, id: &str, copy: u32) -> BTreeSet<Name> {
        let frame = shop.frames.iter().find(|frame| frame.id == id).unwrap();
        let layers = 1..=frame.layers.len();
        let sides = || Side::all(frame.mitre).into_iter();
        layers.flat_map(|layer| sides().map(move |s| (id.to_owned(), copy, layer, s))).collect()
    }

    /// What is good under this name is of no use once its frame is cut anew.
    pub fn set_aside(&mut self, name: &Name, day: &mut Day) {
        if let Some(length) = self.good.remove(name) {
            self.rails -= length;
            self.spoiled += length;
            day.aside.insert(name.clone(), length);
        }
    }

    /// What was good of other days is good again for copies of which nothing is cut.
    pub fn restore(&mut self, copies: &BTreeSet<(String, u32)>) {
        let day = self.day.as_mut().unwrap();
        let back = |name: &Name| copies.contains(&(name.0.clone(), name.1));
        for (name, length) in day.aside.iter().filter(|(name, _)| back(name)) {
            self.rails += *length;
            self.spoiled -= *length;
            assert!(self.good.insert(name.clone(), *length).is_none());
        }
        day.aside.retain(|name, _| !back(name));
    }

    /// Frame copies go back to the pile.
    pub fn leave(&mut self, copies: &BTreeSet<(String, u32)>) {
        let day = self.day.as_mut().unwrap();
        for lay in &mut day.lays {
            let was_open = lay.is_open();
            let mut any = false;
            for rail in lay.rails.iter_mut().filter(|rail| rail.state == State::ToCut) {
                if copies.contains(&(rail.name.0.clone(), rail.name.1)) {
                    rail.state = State::Off;
                    any = true;
                }
            }
            if was_open && any && !lay.is_open() {
                lay.is_on = false;
            }
        }
        for (frame, copy) in copies {
            day.copies.remove(&(frame.clone(), *copy));
            self.pending.get_mut(frame).unwrap().insert(*copy);
        }
    }

    /// Sticks that the day has no more use for and that are whole are free.
    pub fn release(&mut self) {
        let Some(day) = &self.day else { return };
        for (name, piece) in self.sticks.iter_mut().filter(|(_, piece)| piece.at_bench) {
            let own: Vec<&Lay> = day.lays.iter().filter(|lay| lay.stick == *name).collect();
            let is_used = own.iter().any(|lay| lay.is_on || lay.is_begun());
            if !own.is_empty() && !is_used && !day.made.contains(name) {
                piece.at_bench = false;
            }
        }
    }
}
