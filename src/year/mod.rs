//! A simulated year: the same customers served by one practice and another.
//!
//! | step | file |
//! |---|---|
//! | who comes, with what, until when | `customers`, by chance from `random` |
//! | what is cut on a day | `practice`, `by_hand` |
//! | day by day, in balance to the nanometre | `simulate`, `tally` |
//! | what it came to | `yardstick`, `paired` |
//! | what no practice can beat | `bound` |
//! | which figures suit the shop | `learn` |
//! | moulding that must be ordered | `ordering` |
//!
//! # What is left out
//!
//! Where it is not asked how to order, new sticks of the usual length are there on the day on which they are wanted, as many
//! as wanted, at list price: no supplier's terms, no order, no lead time. So no frame is
//! late for want of moulding, and what is measured is cutting alone.

mod bound;
mod by_hand;
mod chosen;
mod customers;
mod learn;
mod ordering;
mod paired;
mod practice;
mod random;
mod simulate;
mod tally;
mod yardstick;

pub use bound::Clairvoyant;
pub use chosen::cut_today;
pub use customers::Customer;
pub use learn::{Learnt, learn};
pub use ordering::{OrderRule, OrderTally, OrderedYears, SERVICE, ordered_years};
pub use paired::Paired;
pub use practice::Practice;
pub use simulate::{OffcutRule, WHOLE, YearFault};
pub use tally::YearTally;

use std::sync::atomic::{AtomicUsize, Ordering};

use jiff::civil::Date;
use rayon::prelude::*;

use crate::measure::Worth;
use crate::plan::Told;
use crate::shop::{Frame, Shop};
use customers::{Customers, Tickets};
use simulate::{Habits, simulate};

/// What is asked of a simulated year.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct YearQuestion {
    /// The day on which it begins, or the first after it on which the shop is open.
    pub from: Date,
    /// How many open days it has.
    pub days: u32,
    /// How many customers come on each.
    pub frames: u32,
    /// So many open days after it came in a frame is cut at the latest.
    pub notice: u32,
    /// The most open days that a frame waits, where frames wait for one another.
    pub patience: u32,
    /// How long moulding that is bought is of one lot.
    pub lots: LotSpan,
    /// Another seed draws other customers.
    pub seed: u64,
    /// How many years, each with customers of its own.
    pub years: u32,
    /// The one practice that is simulated, without what none can beat; `None` is all.
    pub practice: Option<Practice>,
    /// How many seconds a setting of the stop takes, where minutes at the stop are asked for.
    pub setting: Option<u32>,
}

/// How long moulding that is bought is of one finishing lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LotSpan {
    /// What is bought on one day.
    Day,
    /// What is bought in one month of the calendar.
    Month,
    /// All that is bought.
    Year,
}

impl LotSpan {
    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            LotSpan::Day => "day",
            LotSpan::Month => "month",
            LotSpan::Year => "year",
        }
    }
}

/// Some years of each practice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SimulatedYears {
    /// What was asked.
    pub question: YearQuestion,
    /// The first and the last day.
    pub days: (Date, Date),
    /// How many copies customers were drawn from.
    pub tickets: usize,
    /// The numbers of tickets that were left out, since no new stick makes them.
    pub left_out: Vec<String>,
    /// Whether a moulding that is cut has no price, so that money leaves it out.
    pub unpriced: bool,
    /// What each practice came to, year by year.
    pub practices: Vec<PracticeYears>,
    /// What none can beat, year by year; nothing where one practice is asked for.
    pub bounds: Vec<Clairvoyant>,
}

/// What a practice came to, year by year.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PracticeYears {
    /// Which.
    pub practice: Practice,
    /// One for each year.
    pub years: Vec<YearTally>,
}

impl SimulatedYears {
    /// What one practice comes to less what another does, in a year.
    pub fn difference(&self, one: Practice, other: Practice) -> Option<Paired> {
        let money = |practice| {
            let of = self.practices.iter().find(|of| of.practice == practice)?;
            Some(of.years.iter().map(YearTally::money).collect::<Vec<Worth>>())
        };
        let pairs = money(one)?.into_iter().zip(money(other)?);
        Paired::of(&pairs.map(|(one, other)| one - other).collect::<Vec<Worth>>())
    }

    /// What no practice can beat in all years together.
    pub fn bound(&self) -> Clairvoyant {
        self.bounds.iter().fold(Clairvoyant::default(), |all, one| all + *one)
    }
}

impl PracticeYears {
    /// All years together.
    pub fn together(&self) -> YearTally {
        self.years.iter().fold(YearTally::default(), |all, year| all.and(year))
    }
}

/// The years that are asked for, with customers drawn from these tickets. Each packing
/// may take so many steps of `work`; how many years are done, and of how many, is `told`.
///
/// # Errors
/// [`YearFault::NoTickets`] if no new stick makes any of the tickets, [`YearFault::NoDays`]
/// if the calendar ends before the year does; else a mistake of the program.
pub fn simulated_years(
    shop: &Shop,
    tickets: &[Frame],
    question: YearQuestion,
    (work, told): (u64, Told),
) -> Result<SimulatedYears, YearFault> {
    let tickets = Tickets::new(shop, tickets);
    let (days, years) = drawn(shop, &tickets, &question, question.years)?;
    let asked = |of: &Practice| question.practice.is_none_or(|one| one == *of);
    let all: Vec<Practice> = Practice::ALL.into_iter().filter(asked).collect();
    let bounded = if question.practice.is_none() { &years[..] } else { &[] };
    let done = YearCount::new(told, all.len() * years.len() + bounded.len());
    let one = |practice: Practice, customers: &Customers| {
        let (patience, lots) = (question.patience, question.lots);
        let habits = Habits { practice, patience, lots, rule: None };
        done.after(simulate(shop, habits, customers, work))
    };
    let runs: Vec<(Practice, &Customers)> =
        all.iter().flat_map(|of| years.iter().map(move |year| (*of, year))).collect();
    let tallies: Vec<YearTally> =
        runs.par_iter().map(|(practice, year)| one(*practice, year)).collect::<Result<_, _>>()?;
    let per = years.len().max(1);
    let practices = all.iter().zip(tallies.chunks(per));
    let practices = practices
        .map(|(&practice, years)| PracticeYears { practice, years: years.to_vec() })
        .collect();
    let bound = |year: &Customers| done.after(bound::clairvoyant(shop, year, work));
    let is_unpriced = |id: &String| shop.moulding(id).price.is_none();
    Ok(SimulatedYears {
        question,
        days: (days[0], days[days.len() - 1]),
        tickets: tickets.len(),
        left_out: tickets.left_out.clone(),
        unpriced: tickets.mouldings().any(is_unpriced),
        practices,
        bounds: bounded.par_iter().map(bound).collect(),
    })
}

/// Tells how many years are done of all: of each practice, and with what none can beat.
struct YearCount<'a> {
    told: Told<'a>,
    done: AtomicUsize,
    all: usize,
}

impl<'a> YearCount<'a> {
    fn new(told: Told<'a>, all: usize) -> YearCount<'a> {
        YearCount { told, done: AtomicUsize::new(0), all }
    }

    /// What a year came to, which is told.
    fn after<T>(&self, year: T) -> T {
        let before = self.done.fetch_add(1, Ordering::Relaxed);
        (self.told)(before + 1, self.all);
        year
    }
}

/// The open days of a year, at least one.
fn open_days(shop: &Shop, question: &YearQuestion) -> Option<Vec<Date>> {
    let open = &shop.settings.days.open;
    let first = open.next(question.from)?;
    let further = (1..question.days).scan(first, |day, _| {
        *day = open.after(*day, 1)?;
        Some(*day)
    });
    let days: Vec<Date> = std::iter::once(first).chain(further).collect();
    (days.len() == question.days.max(1) as usize).then_some(days)
}

/// The open days of a year, and the customers of so many; each year's own by its number.
///
/// # Errors
/// As [`simulated_years`].
fn drawn(
    shop: &Shop,
    tickets: &Tickets,
    question: &YearQuestion,
    years: u32,
) -> Result<(Vec<Date>, Vec<Customers>), YearFault> {
    if tickets.len() == 0 {
        return Err(YearFault::NoTickets);
    }
    let days = open_days(shop, question).ok_or(YearFault::NoDays)?;
    let (frames, notice) = (question.frames, question.notice);
    let drawn = |year| tickets.customers(&days, (frames, notice), (question.seed, year));
    let customers = (0..years).map(drawn).collect();
    Ok((days, customers))
}
