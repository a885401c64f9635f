//! A year of one practice, day by day.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::LotSpan;
use super::chosen::chosen;
use super::customers::{Customer, Customers, bench, block_length, blocks};
use super::practice::Practice;
use super::tally::YearTally;
use super::yardstick::Yardstick;
use crate::chop::of_sticks;
use crate::measure::Length;
use crate::offcuts::{Left, flaws_on};
use crate::plan::CutStick;
use crate::rails::{frame_rails, rails_to_cut};
use crate::shop::{Match, Shop, Stick};
use crate::verify::Fault;

/// How a practice goes about it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Habits {
    pub practice: Practice,
    /// The most open days that a frame waits so that it is cut with others.
    pub patience: u32,
    pub lots: LotSpan,
    /// What is said of offcuts and of what waits; `None` is what the shop says itself.
    pub rule: Option<OffcutRule>,
}

/// What offcuts are said to be worth, and what is left to later, of every moulding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct OffcutRule {
    /// The shortest offcut that is kept.
    pub keep: Length,
    /// The share of its price that it is worth, in millionths.
    pub worth: u32,
    /// The shares of offcuts that are a quarter, a half and three quarters of the way from
    /// there to a whole stick; `None` is a straight line.
    pub curve: Option<[u32; 3]>,
    /// What a length that is cut later is expected to use up, in thousandths of itself;
    /// `None` if all wait that may.
    pub later: Option<u32>,
}

/// So many knots part the way from what is kept to a whole stick.
pub(super) const QUARTERS: usize = 3;

/// All of its price, in millionths.
pub const WHOLE: u32 = 1_000_000;

impl OffcutRule {
    /// The shares of its curve, or where it has none those of a straight line.
    pub fn shares(&self) -> [u32; 3] {
        let rise = u64::from(WHOLE - self.worth);
        let straight = |quarter: u64| rise * quarter / 4 + u64::from(self.worth);
        let line = [1, 2, 3].map(|quarter| u32::try_from(straight(quarter)).unwrap_or(WHOLE));
        self.curve.unwrap_or(line)
    }

    /// The knots of its curve for a moulding of whose sticks are so long.
    pub fn knots(&self, stick: Length, mark: Length) -> Vec<(Length, u32)> {
        let way = (stick - self.keep).nm();
        let at = |quarter: i64| (self.keep + Length::from_nm(way * quarter / 4)).round_up(mark);
        let knots = (1..).map(at).zip(self.curve.into_iter().flatten());
        let mut last = self.keep;
        knots.filter(|(at, _)| *at < stick && *at > std::mem::replace(&mut last, *at)).collect()
    }
}

/// A shop as it goes through the year.
pub(super) struct Course {
    /// The shop, with its rack as it is this morning and nothing on its pile.
    pub shop: Shop,
    /// How many labels were given.
    pub labelled: u32,
    pub tally: YearTally,
}

/// What went wrong in a simulated year.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum YearFault {
    /// There is no ticket to draw from that a new stick makes.
    NoTickets,
    /// The calendar ends before the year does.
    NoDays,
    /// A day's cuts do not stand up to the check.
    Cuts(Vec<Fault>),
    /// So much moulding came from nowhere on a day, or went there.
    Balance(Date, Length),
}

/// A year of these customers.
pub(super) fn simulate(
    shop: &Shop,
    habits: Habits,
    customers: &Customers,
    work: u64,
) -> Result<YearTally, YearFault> {
    let yardstick = &Yardstick { shop };
    let mut course = Course::new(shop, habits);
    course.begin(yardstick);
    let mut waiting: Vec<&Customer> = Vec::new();
    let mut coming = customers.all.iter().peekable();
    for (today, date) in customers.days.iter().enumerate() {
        while let Some(customer) = coming.next_if(|customer| customer.came <= today) {
            waiting.push(customer);
        }
        let cut = course.day(&waiting, habits, (today, *date), yardstick, work)?;
        waiting.retain(|customer| !cut.contains(customer.frame.id.as_str()));
        course.evening(*date)?;
    }
    course.tally.not_cut = u32::try_from(waiting.len()).unwrap_or(u32::MAX);
    course.tally.counted.1 = yardstick.rack(&course.shop.rack);
    if let Some(last) = customers.days.last() {
        course.close(*last);
    }
    Ok(course.tally)
}

impl Course {
    pub fn new(shop: &Shop, habits: Habits) -> Course {
        let mut shop = Shop {
            frames: Vec::new(),
            coming: Vec::new(),
            spare: Vec::new(),
            suppliers: BTreeMap::new(),
            offers: Vec::new(),
            lists: Vec::new(),
            ..shop.clone()
        };
        if let Some(rule) = habits.rule {
            (shop.settings.keep, shop.settings.worth) = (rule.keep, rule.worth);
            shop.settings.days.later = rule.later;
            let mark = shop.settings.mark;
            for moulding in shop.mouldings.values_mut() {
                moulding.worths = rule.knots(moulding.stick, mark);
            }
        }
        // Who waits is the practice's to say.
        shop.settings.days.patience = None;
        Course { shop, labelled: 0, tally: YearTally::default() }
    }

    /// What there is before the first day.
    pub fn begin(&mut self, yardstick: &Yardstick) {
        self.tally.rack.0 = self.on_rack();
        self.tally.counted.0 = yardstick.rack(&self.shop.rack);
    }

    /// What there is in the evening, if nothing came from nowhere.
    pub fn evening(&mut self, date: Date) -> Result<(), YearFault> {
        self.tally.evenings.push(self.offcuts().map(|_| 1).sum());
        self.balance(date)
    }

    /// What there is on the rack, if nothing came from nowhere.
    pub fn balance(&mut self, date: Date) -> Result<(), YearFault> {
        self.tally.rack.1 = self.on_rack();
        let out = self.tally.out_of_balance();
        if out != Length::ZERO {
            return Err(YearFault::Balance(date, out));
        }
        Ok(())
    }

    /// Cuts what a practice cuts on a day; the frames that were cut.
    fn day(
        &mut self,
        waiting: &[&Customer],
        habits: Habits,
        (today, date): (usize, Date),
        yardstick: &Yardstick,
        work: u64,
    ) -> Result<BTreeSet<String>, YearFault> {
        let cut = chosen(self, habits, waiting, (today, date), work)?;
        if cut.is_empty() {
            return Ok(BTreeSet::new());
        }
        let there = self.shop.rack.len();
        let shop = self.opened(&cut, (date, habits.lots));
        let sticks = habits.practice.cut(&shop, there, date, work).map_err(YearFault::Cuts)?;
        let new: BTreeSet<&str> =
            shop.rack[there..].iter().map(|stick| stick.id.as_str()).collect();
        for stick in sticks.iter() {
            if new.contains(stick.stick.as_str()) {
                self.tally.bought += stick.length;
                self.tally.spent += yardstick.price(&stick.moulding, stick.length);
            }
        }
        self.tally.settings += u64::from(of_sticks(&sticks, &shop).settings());
        Ok(self.cut(&sticks, waiting, (today, date)))
    }

    /// The shop with these customers' frames on its pile, and what is to be had for them.
    pub fn opened(&self, of: &[&Customer], (date, lots): (Date, LotSpan)) -> Shop {
        let frames = of.iter().map(|customer| customer.frame.clone()).collect();
        let mut shop = Shop { frames, ..self.shop.clone() };
        shop.rack.extend(to_buy(&shop, date, lots));
        shop
    }

    /// Cuts these sticks for customers that wait; whose frames are cut.
    pub fn cut(
        &mut self,
        sticks: &[CutStick],
        waiting: &[&Customer],
        (today, date): (usize, Date),
    ) -> BTreeSet<String> {
        sticks.iter().for_each(|stick| self.settle(stick, date));
        let rails = sticks.iter().flat_map(|stick| &stick.rails);
        let cut: BTreeSet<String> = rails.map(|rail| rail.frame.clone()).collect();
        for customer in waiting.iter().filter(|one| cut.contains(&one.frame.id)) {
            let layers = rails_to_cut(&self.shop, &customer.frame, 1).into_iter();
            self.tally.rails += layers.flat_map(|layer| layer.rails).map(|r| r.long_point).sum();
            self.serve(customer, today);
        }
        cut
    }

    /// Counts a customer whose frame is cut, or came chopped.
    pub fn serve(&mut self, customer: &Customer, today: usize) {
        self.tally.cut += 1;
        self.tally.late += u32::from(customer.last < today);
        self.tally.waited += u64::try_from(today - customer.came).unwrap_or(u64::MAX);
    }

    /// Takes a stick off the rack, and puts back what is kept of it.
    fn settle(&mut self, stick: &CutStick, date: Date) {
        let since = self.shop.rack.iter().position(|one| one.id == stick.stick);
        if let Some(place) = since {
            self.shop.rack.remove(place);
        }
        let cutter = self.shop.cutter_of(self.shop.moulding(&stick.moulding));
        let (mut at, mut widest) = (Length::ZERO, stick.first_trim);
        for rail in &stick.rails {
            self.tally.lost(rail.from - at, widest, at == Length::ZERO);
            (at, widest) = (rail.to, cutter.joint_loss(rail.mitre));
        }
        let end = stick.left.from.min(stick.length);
        self.tally.lost(end - at, widest, false);
        for left in stick.between.iter().chain([&stick.left]) {
            if left.keep {
                self.rack(stick, left, date);
            }
        }
        let between: Length = stick.between.iter().map(|left| left.length).sum();
        self.tally.scrap += -between;
        if !stick.left.keep {
            self.tally.scrap += stick.left.length;
        }
    }

    fn rack(&mut self, stick: &CutStick, left: &Left, date: Date) {
        self.labelled += 1;
        // Longer than anybody may name a stick or a lot, so that it is no other's.
        let id = format!("offcut of this simulated year, number {:08}", self.labelled);
        self.shop.rack.push(Stick {
            id,
            moulding: stick.moulding.clone(),
            length: left.length,
            lot: stick.lot.clone(),
            place: String::new(),
            flaws: flaws_on(&stick.flaws, left.from, left.length),
            since: Some(date),
        });
    }

    fn on_rack(&self) -> Length {
        self.shop.rack.iter().map(|stick| stick.length).sum()
    }

    fn offcuts(&self) -> impl Iterator<Item = &Stick> {
        let is_offcut = |stick: &&Stick| stick.length < self.shop.moulding(&stick.moulding).stick;
        self.shop.rack.iter().filter(is_offcut)
    }

    /// How old the offcuts are on the last day; one that says nothing is as old as that.
    pub fn close(&mut self, last: Date) {
        let days = |stick: &Stick| {
            let since = stick.since.filter(|since| *since < last)?;
            u64::try_from(since.until(last).ok()?.get_days()).ok()
        };
        let (offcuts, days) = self
            .offcuts()
            .fold((0, 0), |(count, all), stick| (count + 1, all + days(stick).unwrap_or(0)));
        (self.tally.offcuts, self.tally.offcut_days) = (offcuts, days);
    }
}

impl YearTally {
    /// What lies between two rails, or before the first: no more than a trim or a joint,
    /// and scrap beyond.
    fn lost(&mut self, gap: Length, widest: Length, is_trim: bool) {
        let own = gap.min(widest);
        *if is_trim { &mut self.trims } else { &mut self.joints } += own;
        self.scrap += gap - own;
    }
}

/// New sticks of the usual length, of the lot of the day: enough to cut each layer of each
/// frame by itself.
fn to_buy(shop: &Shop, date: Date, lots: LotSpan) -> Vec<Stick> {
    let mut wanted: BTreeMap<&str, usize> = BTreeMap::new();
    for frame in &shop.frames {
        for (layer, rails) in frame.layers.iter().zip(frame_rails(shop, frame)) {
            let bench = bench(shop, &layer.moulding);
            let whole = block_length(&rails.rails, bench.joint_loss(rails.mitre));
            let trims = bench.cutter.first_trim + bench.cutter.last_trim.max(bench.cutter.grip);
            let each =
                if whole + trims <= bench.moulding.stick { Match::Wrap } else { layer.match_ };
            *wanted.entry(&layer.moulding).or_default() += blocks(each, rails.rails.len()).len();
        }
    }
    // Longer than anybody may name a lot or a stick, so that it is no other's.
    let lot = match lots {
        LotSpan::Day => format!("bought in this simulated year, on {date}"),
        LotSpan::Month => format!("bought in this simulated year, in {}", date.strftime("%Y-%m")),
        LotSpan::Year => "bought in this simulated year, at any time".to_owned(),
    };
    let mut sticks = Vec::new();
    for (moulding, count) in wanted {
        let length = shop.moulding(moulding).stick;
        for number in 1..=count {
            sticks.push(Stick {
                id: format!("stick bought in this simulated year on {date}, {moulding} {number}"),
                moulding: moulding.to_owned(),
                length,
                lot: lot.clone(),
                place: String::new(),
                flaws: Vec::new(),
                since: Some(date),
            });
        }
    }
    sticks
}
