//! A year in which moulding must be ordered: one way to order against another.
//!
//! Every day the morning's plan is made of all that waits, what it cuts is cut, and of its
//! order so much is sent as the rule says; what is sent comes on the day on which its
//! supplier delivers. A frame whose layers all come chopped is done when the last of them
//! is here. After the last day nobody comes any more, and it goes on until all is done.
//!
//! # Why sticks are kept on the rack
//!
//! Who orders when somebody asks has nothing until it comes. An order-up-to level covers
//! what is asked for from one order to the arrival of the next with a certain service
//! level (periodic review; Silver, Pyke and Thomas, *Inventory and Production Management
//! in Supply Chains*, from memory). How much is asked for in so many days is taken from
//! years that are not simulated, not from a formula: demand of a moulding comes in lumps.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use rayon::prelude::*;

use super::customers::{Customer, Customers, Tickets, bench, stick_room};
use super::paired::Paired;
use super::simulate::{Course, Habits};
use super::tally::YearTally;
use super::yardstick::Yardstick;
use super::{Practice, YearCount, YearFault, YearQuestion, open_days};
use crate::chop::of_sticks;
use crate::measure::{Length, Money, Worth};
use crate::morning::plan;
use crate::plan::{Order, Plan, Told};
use crate::rails::frame_rails;
use crate::shop::{Coming, Form, Frame, Offer, OfferDates, Restock, Shop, Stick, Supplied};
use crate::solve::Limits;

/// A way to order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum OrderRule {
    /// Each day what that day's plan would buy.
    EachDay,
    /// The same, from each supplier on the last day on which nothing is made late by that.
    LatestDay,
    /// The same as each day, with so many sticks kept on the rack.
    KeptOnRack,
}

impl OrderRule {
    /// All of them.
    pub const ALL: [OrderRule; 3] =
        [OrderRule::EachDay, OrderRule::LatestDay, OrderRule::KeptOnRack];

    /// What it is called.
    pub const fn words(self) -> &'static str {
        match self {
            OrderRule::EachDay => "each day, what waits",
            OrderRule::LatestDay => "as late as dates allow",
            OrderRule::KeptOnRack => "with sticks on the rack",
        }
    }
}

/// What a way to order came to in a year.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct OrderTally {
    /// What was cut, and what was spent on moulding: bills as they are paid.
    pub year: YearTally,
    /// How many orders were sent.
    pub orders: u32,
    /// What was paid beside the goods.
    pub charges: Money,
    /// How many frames could not be cut on the day on which they came.
    pub lacked: u32,
    /// How many layers suppliers chopped, and their rails, tip to tip.
    pub chopped: (u32, Length),
}

/// Some years of each way to order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderedYears {
    /// What was asked.
    pub question: YearQuestion,
    /// The numbers of tickets that were left out, since nobody sells sticks for them.
    pub left_out: Vec<String>,
    /// What each came to, year by year.
    pub rules: Vec<(OrderRule, Vec<OrderTally>)>,
    /// For each moulding how many sticks are kept on the rack, and how many open days
    /// they are to last.
    pub levels: BTreeMap<String, (u32, u32)>,
}

impl OrderedYears {
    /// What one rule comes to less what another does, in a year.
    pub fn difference(&self, one: OrderRule, other: OrderRule) -> Option<Paired> {
        let money = |rule| {
            let (_, years) = self.rules.iter().find(|(of, _)| *of == rule)?;
            Some(years.iter().map(|of| of.year.money()).collect::<Vec<Worth>>())
        };
        let pairs = money(one)?.into_iter().zip(money(other)?);
        Paired::of(&pairs.map(|(one, other)| one - other).collect::<Vec<Worth>>())
    }
}

/// So many stretches of a hundred are covered by what is kept on the rack.
pub const SERVICE: usize = 95;

/// So many years tell how much is asked for.
const LEVEL_YEARS: u32 = 10;

/// So many open days it goes on after the last customer at most.
const AFTERWARDS: u32 = 60;

/// The years that are asked for, with moulding from the shop's suppliers. As
/// [`simulated_years`](super::simulated_years), how many are done is `told`.
///
/// # Errors
/// As [`simulated_years`](super::simulated_years); [`YearFault::NoTickets`] also where
/// nobody sells sticks of any ticket's mouldings.
pub fn ordered_years(
    shop: &Shop,
    tickets: &[Frame],
    question: YearQuestion,
    (work, told): (u64, Told),
) -> Result<OrderedYears, YearFault> {
    let shop = &for_years(shop);
    let is_sold = |frame: &&Frame| {
        let mut layers = frame.layers.iter();
        layers.all(|layer| shop.offers.iter().any(|offer| offer.moulding == layer.moulding))
    };
    let (sold, unsold): (Vec<&Frame>, Vec<&Frame>) = tickets.iter().partition(is_sold);
    let sold: Vec<Frame> = sold.into_iter().cloned().collect();
    let tickets = Tickets::new(shop, &sold);
    if tickets.len() == 0 {
        return Err(YearFault::NoTickets);
    }
    let longer = YearQuestion { days: question.days + AFTERWARDS, ..question };
    let days = open_days(shop, &longer).ok_or(YearFault::NoDays)?;
    let drawn = |year: u32| {
        let of = (question.frames, question.notice);
        let mut customers = tickets.customers(&days, of, (question.seed, year));
        customers.all.retain(|customer| customer.came < question.days as usize);
        customers
    };
    let years: Vec<Customers> = (0..question.years).map(drawn).collect();
    let others = (question.years..question.years + LEVEL_YEARS).map(drawn);
    let levels = levels(shop, &days[..question.days as usize], &others.collect::<Vec<_>>());
    let stocked = stocked(shop, &levels);
    let runs: Vec<(OrderRule, &Customers)> =
        OrderRule::ALL.iter().flat_map(|of| years.iter().map(move |year| (*of, year))).collect();
    let years_done = YearCount::new(told, runs.len());
    let one = |(rule, year): &(OrderRule, &Customers)| {
        let shop = if *rule == OrderRule::KeptOnRack { &stocked } else { shop };
        years_done.after(supplied(shop, *rule, (year, &question), work))
    };
    let tallies: Vec<OrderTally> = runs.par_iter().map(one).collect::<Result<_, _>>()?;
    let rules = OrderRule::ALL.iter().zip(tallies.chunks(years.len().max(1)));
    let unsold = unsold.into_iter().map(|frame| frame.id.clone());
    Ok(OrderedYears {
        question,
        left_out: tickets.left_out.iter().cloned().chain(unsold).collect(),
        rules: rules.map(|(rule, years)| (*rule, years.to_vec())).collect(),
        levels,
    })
}

/// The shop with offers that hold all year, on any day.
fn for_years(shop: &Shop) -> Shop {
    let mut shop = shop.clone();
    shop.offers.iter_mut().for_each(|offer| offer.dates = OfferDates::default());
    shop.suppliers.values_mut().for_each(|supplier| supplier.order_by = None);
    shop
}

/// The shop with so many sticks kept on the rack, always.
fn stocked(shop: &Shop, levels: &BTreeMap<String, (u32, u32)>) -> Shop {
    let mut shop = shop.clone();
    shop.settings.buying.restock = Restock::Always;
    for (id, moulding) in &mut shop.mouldings {
        moulding.keep_on_rack = levels.get(id).map_or(0, |(sticks, _)| *sticks);
    }
    shop
}

/// How many sticks of each moulding cover what is asked for until the next order is there,
/// in so many stretches of a hundred; and how many open days that is at most.
fn levels(shop: &Shop, days: &[Date], years: &[Customers]) -> BTreeMap<String, (u32, u32)> {
    let of = |id: &String| {
        let bench = bench(shop, id);
        let is_stick = |offer: &&Offer| !matches!(offer.form, Form::Chop { .. });
        let offers = shop.offers.iter().filter(|offer| offer.moulding == *id).filter(is_stick);
        let suppliers: Vec<_> = offers.map(|offer| &shop.suppliers[&offer.supplier]).collect();
        let until = |day: &Date| {
            let there = suppliers.iter().filter_map(|supplier| supplier.arrives(*day)).min()?;
            Some(days.iter().filter(|other| day < *other && **other <= there).count())
        };
        // Somebody may ask just after an order went out.
        let stretch = 1 + days.iter().filter_map(until).max()?;
        let room = stick_room(&bench);
        let mut asked: Vec<Length> = Vec::new();
        for year in years {
            let mut daily = vec![Length::ZERO; days.len()];
            for Customer { frame, came, .. } in &year.all {
                for (layer, rails) in frame.layers.iter().zip(frame_rails(shop, frame)) {
                    if layer.moulding == *id {
                        let joint = bench.joint_loss(rails.mitre);
                        daily[*came] += rails.rails.iter().map(|r| r.long_point + joint).sum();
                    }
                }
            }
            asked.extend(daily.windows(stretch).map(|days| days.iter().copied().sum::<Length>()));
        }
        asked.sort_unstable();
        let most = *asked.get((asked.len() * SERVICE).div_ceil(100).checked_sub(1)?)?;
        let sticks = most.nm().div_euclid(room.nm()) + i64::from(most.nm() % room.nm() > 0);
        let stretch = u32::try_from(stretch).unwrap_or(u32::MAX);
        (sticks > 0).then(|| (id.clone(), (u32::try_from(sticks).unwrap_or(u32::MAX), stretch)))
    };
    shop.mouldings.keys().filter_map(of).collect()
}

/// A year of these customers, ordered for by a rule.
fn supplied(
    shop: &Shop,
    rule: OrderRule,
    (customers, question): (&Customers, &YearQuestion),
    work: u64,
) -> Result<OrderTally, YearFault> {
    let (patience, lots) = (question.patience, question.lots);
    let habits = Habits { practice: Practice::Planned, patience, lots, rule: None };
    let mut course = Course::new(shop, habits);
    (course.shop.suppliers, course.shop.offers) = (shop.suppliers.clone(), shop.offers.clone());
    let yardstick = &Yardstick { shop };
    course.begin(yardstick);
    let mut tally = OrderTally::default();
    let mut waiting: Vec<Customer> = Vec::new();
    let mut coming = customers.all.iter().peekable();
    let mut last = None;
    for (today, date) in customers.days.iter().copied().enumerate() {
        receive(&mut course, &mut waiting, Some(date));
        let (done, rest) = waiting.into_iter().partition(is_done);
        waiting = rest;
        let done: Vec<Customer> = done;
        done.iter().for_each(|customer| course.serve(customer, today));
        let mut new = BTreeSet::new();
        while let Some(customer) = coming.next_if(|customer| customer.came <= today) {
            new.insert(customer.frame.id.as_str());
            waiting.push(customer.clone());
        }
        if waiting.is_empty() && today >= question.days as usize {
            break;
        }
        let frames = waiting.iter().map(|customer| customer.frame.clone()).collect();
        let pile = Shop { frames, ..course.shop.clone() };
        let limits = Limits { work, deadline: None, stop: None, watch: None };
        let plan = plan(&pile, date, limits).map_err(YearFault::Cuts)?.into_inner();
        let all: Vec<&Customer> = waiting.iter().collect();
        let cut = course.cut(&plan.today, &all, (today, date));
        course.tally.settings += u64::from(of_sticks(&plan.today, &pile).settings());
        let lacked = new.iter().filter(|id| !cut.contains(**id));
        tally.lacked += u32::try_from(lacked.count()).unwrap_or(0);
        waiting.retain(|customer| !cut.contains(&customer.frame.id));
        send(&mut course, (&mut tally, &mut waiting), sent(&plan, rule, &pile));
        course.evening(date)?;
        last = Some(date);
    }
    receive(&mut course, &mut waiting, None);
    course.tally.not_cut = u32::try_from(waiting.len()).unwrap_or(u32::MAX);
    course.tally.counted.1 = yardstick.rack(&course.shop.rack);
    if let Some(last) = last {
        course.balance(last)?;
        course.close(last);
    }
    Ok(OrderTally { year: course.tally, ..tally })
}

/// Whether nothing of it is left to be cut or to come.
fn is_done(customer: &Customer) -> bool {
    customer.frame.to_cut(1).is_empty() && customer.frame.coming(1).is_empty()
}

/// Puts on the rack what has come by a day, or all that was ordered, and beside who waits
/// for them the rails that were chopped.
fn receive(course: &mut Course, waiting: &mut [Customer], by: Option<Date>) {
    for supplied in waiting.iter_mut().flat_map(|of| of.frame.progress.supplied.values_mut()) {
        let Supplied::Coming { arrives, .. } = supplied else { continue };
        if by.is_none_or(|day| arrives.is_some_and(|arrives| arrives <= day)) {
            *supplied = Supplied::Here;
        }
    }
    let all = std::mem::take(&mut course.shop.coming);
    let has_come =
        |of: &Coming| by.is_none_or(|day| of.arrives.is_some_and(|arrives| arrives <= day));
    let (here, coming): (Vec<Coming>, Vec<Coming>) = all.into_iter().partition(has_come);
    course.shop.coming = coming;
    for of in here {
        course.tally.bought += of.stick.length;
        course.shop.rack.push(Stick { since: by.or(of.arrives), ..of.stick });
    }
}

/// What is sent of a plan's order today.
fn sent(plan: &Plan, rule: OrderRule, shop: &Shop) -> Order {
    let open = &shop.settings.days.open;
    let next = plan.date.tomorrow().ok().and_then(|day| open.next(day));
    let cannot_wait = |supplier: &String| {
        let mut deadlines = plan.order.deadlines.iter();
        let last = deadlines.find(|of| of.supplier == *supplier).and_then(|of| of.last);
        last.is_some_and(|last| next.is_none_or(|next| last < next))
    };
    let bills = plan.order.bills.iter().map(|bill| &bill.supplier);
    let from = bills.filter(|id| rule != OrderRule::LatestDay || cannot_wait(id));
    plan.ordered_from(&from.cloned().collect()).order
}

/// Pays what is ordered, and has it come. Random lengths come as the shortest.
fn send(course: &mut Course, (tally, waiting): (&mut OrderTally, &mut [Customer]), order: Order) {
    for bill in &order.bills {
        tally.orders += 1;
        tally.charges = tally.charges + bill.total() - bill.goods;
        course.tally.spent += Worth::from(bill.total());
        let (supplier, arrives) = (bill.supplier.clone(), Some(bill.arrives));
        for line in order.lines.iter().filter(|line| line.supplier == bill.supplier) {
            for _ in 0..line.pieces {
                course.labelled += 1;
                // Longer than anybody may name a stick or a lot, so that it is no other's.
                let id = format!("stick ordered in this simulated year, {:08}", course.labelled);
                let lot =
                    format!("of order {} of this simulated year, {}", tally.orders, bill.supplier);
                let stick = Stick {
                    id,
                    moulding: line.moulding.clone(),
                    length: line.piece(),
                    lot,
                    place: String::new(),
                    flaws: Vec::new(),
                    since: None,
                };
                let supplier = supplier.clone();
                course.shop.coming.push(Coming { stick, supplier, arrives, at_bench: false });
            }
        }
        for chop in order.chops.iter().filter(|chop| chop.supplier == bill.supplier) {
            let of = waiting.iter_mut().find(|of| of.frame.id == chop.frame);
            let frame = &mut of.expect("who waits is ordered for").frame;
            let rails = frame_rails(&course.shop, frame).swap_remove(chop.layer - 1).rails;
            tally.chopped.0 += 1;
            tally.chopped.1 += rails.iter().map(|rail| rail.long_point).sum();
            let supplier = supplier.clone();
            let supplied = Supplied::Coming { supplier, arrives };
            frame.progress.supplied.insert((chop.copy, chop.layer), supplied);
        }
    }
}
