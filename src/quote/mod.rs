//! What is said at the counter: a price, and the day on which it can be ready.
//!
//! # Why only what shares its moulding is planned
//!
//! A customer waits. Who is cut today depends on nobody with whom the frame shares no
//! moulding, not even through the layers of others; so the morning is planned for those
//! that do, without the frame and with it. What that leaves out is carriage which other
//! mouldings would pay a part of: the cost at the margin is of these frames alone, and
//! is said so. The price has nothing to do with it.

mod alone;
mod asked;
mod capacity;
mod margin;
mod near;
mod once_ordered;
mod promise;
mod related;
mod typed;

use std::collections::BTreeSet;

use jiff::civil::Date;

use crate::measure::{Length, Money, Worth};
use crate::morning::plan;
use crate::plan::{HoldReason, OrderLine, Plan, PushedBack, pushed};
use crate::price::{FramePrice, list_cost};
use crate::rails::{LayerRails, frame_footage, frame_rails};
use crate::shop::{Frame, Job, Shop};
use crate::solve::Limits;
use crate::ticket::{Concern, JobSheet, frame_price, job_sheet};
use crate::verify::Fault;

pub use alone::Alone;
pub use asked::{Wish, WishedLayer};
pub use capacity::free_day;
pub use promise::{AskedLength, Promise, WaitsFor};
pub use typed::{TypedWish, another_size, wishes};

/// The answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Quote {
    /// What was asked, as a frame; if it can be promised, due on that day.
    pub frame: Frame,
    /// The rails of one copy.
    pub rails: Vec<LayerRails>,
    /// What the trade's rule of thumb asks for each layer of one copy.
    pub footage: Vec<Length>,
    /// The price of one copy by the shop's rules; `None` without rules or a list price.
    pub price: Option<FramePrice>,
    /// What the moulding of one copy costs at list price by the trade's rule of thumb;
    /// `None` without a list price.
    pub list: Option<Money>,
    /// When it can be ready; `None` if it is held, or nobody is known to sell what
    /// lacks.
    pub promise: Option<Promise>,
    /// A sooner day that is not promised, since it would make others late; only where
    /// the day that was asked for cannot be kept even so.
    pub sooner: Option<Date>,
    /// Why it cannot be made, if so.
    pub held: Option<HoldReason>,
    /// What the copies that can be cut today come from.
    pub today: Vec<String>,
    /// How many copies are cut today.
    pub cut_today: u32,
    /// How many copies wait.
    pub waits: u32,
    /// Whom it pushes back.
    pub pushed: Vec<PushedBack>,
    /// What is bought otherwise of its mouldings for it.
    pub bought: Vec<OrderChange>,
    /// What everything that waits for the same mouldings costs without it, and with it,
    /// before what suppliers add to goods.
    pub margin: Option<(Worth, Worth)>,
    /// What each offer would charge for it alone, where that was asked.
    pub offers: Vec<Alone>,
    /// Mouldings of nearly the same width.
    pub near: Vec<NearMoulding>,
    /// What to look at in its job, in these mouldings.
    pub concerns: Vec<Concern>,
}

impl Quote {
    /// The frames that are late for its sake and were not before, those that were
    /// promised alone or all of them.
    pub fn made_late(&self, promised: bool) -> Vec<&str> {
        let late = self.pushed.iter().filter(|pushed| pushed.is_late);
        let late = late.filter(|pushed| pushed.promised || !promised);
        late.map(|pushed| pushed.frame.as_str()).collect()
    }

    /// Whether it can be promised for a day, or for any: without breaking the promise of
    /// another.
    pub fn can_be_promised(&self, day: Option<Date>) -> bool {
        let ready = self.promise.as_ref().map(|promise| promise.ready);
        let in_time = ready.is_some_and(|ready| day.is_none_or(|day| ready <= day));
        in_time && self.made_late(true).is_empty()
    }

    /// Who has to be asked before it is promised: those who refuse the order that it takes,
    /// and those whose random lengths might be too short for it.
    pub fn ask_first(&self) -> Vec<String> {
        let Some(promise) = &self.promise else { return Vec::new() };
        let lengths = promise.lengths.iter().flat_map(|asked| &asked.suppliers);
        let all: BTreeSet<&String> = promise.ask_first.iter().chain(lengths).collect();
        all.into_iter().cloned().collect()
    }

    /// Whether it can be promised so, nobody at all is late for its sake, and nobody has to be
    /// asked first.
    pub fn suits_all(&self, day: Option<Date>) -> bool {
        self.can_be_promised(day) && self.made_late(false).is_empty() && self.ask_first().is_empty()
    }
}

/// A line of the order that is another with the frame than without it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderChange {
    /// The line with the frame; without it, if there is none with it.
    pub line: OrderLine,
    /// How many are bought without the frame, and how many with it.
    pub counts: (u32, u32),
}

/// A moulding that might do as well.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NearMoulding {
    /// Its code.
    pub moulding: String,
    /// What the same frame would be sold for in it, if the shop has rules for prices.
    pub price: Option<Money>,
    /// What it would cost at list price.
    pub list: Option<Money>,
}

/// Quotes a wish; the plans are made as [`plan`] makes them.
/// `alone` asks what each offer by itself would charge, which takes a plan for each.
///
/// # Errors
/// What the check finds wrong with one of the plans: a mistake of the program.
///
/// # Panics
/// If the shop has no such moulding.
pub fn quote(
    shop: &Shop,
    wish: &Wish,
    date: Date,
    limits: Limits,
    alone: bool,
) -> Result<Quote, Vec<Fault>> {
    let mut asked = wish.without_ticket(shop).unwrap_or_else(|| shop.clone());
    // Once the frame is on the pile, what is on order is for nobody in particular.
    asked.frames.iter_mut().for_each(|frame| frame.progress.ordered.clear());
    let shop = &asked;
    let frame = wish.frame(shop);
    let (whole, pile) = (shop, &shop.frames);
    let mut shop = with_job(related::related(shop, &frame), wish, &frame);
    // What could be cut today counts as cut, also where it had better wait.
    shop.settings.days.patience = None;
    let shop = &shop;
    let offers = if alone { alone::alone(shop, &frame, date, limits)? } else { Vec::new() };
    let Limits { work, deadline, stop, .. } = limits;
    // Nobody watches, so that they may go side by side.
    let unwatched = || Limits { work, deadline, stop, watch: None };
    let promised = |frame: Frame| promise::promise(shop, pile, frame, date, unwatched());
    // Neither waits for the other.
    let (without, with) = rayon::join(|| plan(shop, date, unwatched()), || promised(frame.clone()));
    let without = without?.into_inner();
    let checked = |Answered { mut quote, is_filled }: Answered| {
        if quote.margin.is_some() && is_filled {
            quote.margin = Some(margin::bare(shop, &quote.frame, date, &unwatched)?);
        }
        let is_asked =
            |of: &&mut Promise| !of.ask_first.is_empty() || of.may_be_refused(whole, &frame);
        if let Some(promise) = quote.promise.as_mut().filter(is_asked) {
            let mut whole = with_job(whole.clone(), wish, &frame);
            whole.settings.days.patience = None;
            promise.ask_first =
                promise::ask_first(&whole, &quote.frame, (date, promise), unwatched())?;
        }
        quote.near = near::near(whole, wish, date, unwatched())?;
        Ok(Quote { offers, ..quote })
    };
    let mut first = answered(shop, wish, with?, &without);
    let answer = |frame| promised(frame).map(|with| answered(shop, wish, with, &without));
    let ready = |of: &Answered| of.quote.promise.as_ref().map(|promise| promise.ready);
    let refused = wish.due.filter(|due| ready(&first).is_some_and(|ready| ready > *due));
    if let Some(due) = refused {
        // As one that is wanted at once, it comes before all that are due later.
        let urgent = answer(Frame { due: Some(date), ..frame.clone() })?;
        let soonest = ready(&urgent);
        if soonest.is_some_and(|soonest| soonest <= due) {
            return checked(urgent);
        }
        if !first.quote.made_late(false).is_empty() {
            // As one that nobody waits for, it comes after all the others.
            let kind = answer(Frame { due: None, ..frame.clone() })?;
            if ready(&kind).is_some() && kind.quote.made_late(false).is_empty() {
                first = kind;
            }
        }
        first.quote.sooner =
            soonest.filter(|soonest| ready(&first).is_some_and(|day| *soonest < day));
    }
    checked(first)
}

/// An answer, and whether anything is bought beyond need with the frame or without it.
struct Answered {
    quote: Quote,
    is_filled: bool,
}

/// The answer for the frame of a wish, due on its day or on none, beside the plan
/// without it.
fn answered(shop: &Shop, wish: &Wish, promised: promise::Promised, without: &Plan) -> Answered {
    let date = without.date;
    let promise::Promised { frame, with, promise } = promised;
    let is_own = |id: &str| id == frame.id;
    let waits = with.waiting.iter().filter(|waiting| is_own(&waiting.frame)).count();
    let mut own = with.held.iter().filter(|held| is_own(&held.frame));
    // What can only be ordered later waits, as all that is not at hand does.
    let waits = waits + if promise.is_some() { own.clone().count() } else { 0 };
    let waits = u32::try_from(waits).unwrap_or(u32::MAX);
    let is_whole = own.clone().next().is_none();
    let held = own.next().filter(|_| promise.is_none());
    let sticks = with.today.iter().filter(|stick| stick.rails.iter().any(|r| r.frame == frame.id));
    let spare = with.spares_today().filter(|of| of.frame == frame.id);
    let spare = spare.map(|of| format!("spare rail {}", of.label));
    let is_priced = |layer: &WishedLayer| shop.moulding(&layer.moulding).price.is_some();
    let margin = || (margin::cost(without, shop), margin::cost(&with, shop));
    let is_filled = [without, &with].into_iter().any(margin::buys_beyond_need);
    let quote = Quote {
        rails: frame_rails(shop, &frame),
        footage: frame_footage(shop, &frame),
        price: frame_price(shop, &frame, date),
        list: list_cost(shop, &frame),
        promise,
        held: held.map(|held| held.reason.clone()),
        today: sticks.map(|stick| stick.stick.clone()).chain(spare).collect(),
        cut_today: if held.is_some() { 0 } else { wish.copies - waits },
        waits,
        pushed: pushed((shop, without), (shop, &with), &frame.id),
        bought: changes(without, &with, wish),
        margin: (is_whole && wish.layers.iter().all(is_priced)).then(margin),
        sooner: None,
        offers: Vec::new(),
        near: Vec::new(),
        concerns: sheet(shop, &frame, date).map(|job| job.concerns).unwrap_or_default(),
        frame,
    };
    Answered { quote, is_filled }
}

/// The shop, in which the frame has its job.
fn with_job(mut shop: Shop, wish: &Wish, frame: &Frame) -> Shop {
    if let Some(job) = wish.job_in(&shop) {
        let job = Job { frame: frame.id.clone(), ..job };
        shop.jobs.insert(frame.id.clone(), job);
    }
    shop
}

/// The sheet of its job; one that does not stand up to its check has none, and no price.
fn sheet(shop: &Shop, frame: &Frame, date: Date) -> Option<JobSheet> {
    job_sheet(shop, (frame, 1), date).ok()?
}

/// What is bought of its mouldings in another number, first what is bought with the
/// frame.
fn changes(without: &Plan, with: &Plan, wish: &Wish) -> Vec<OrderChange> {
    let key = |line: &OrderLine| {
        let what = (line.form.clone(), line.length, line.halved, line.rails.clone());
        (line.supplier.clone(), line.moulding.clone(), line.offer, what)
    };
    let count = |plan: &Plan, line: &OrderLine| -> u32 {
        let same = plan.order.lines.iter().filter(|other| key(other) == key(line));
        same.map(|other| other.count).sum()
    };
    let is_of_it =
        |line: &&OrderLine| wish.layers.iter().any(|layer| layer.moulding == line.moulding);
    let gone = without.order.lines.iter().filter(|line| count(with, line) == 0);
    let lines = with.order.lines.iter().chain(gone).filter(is_of_it);
    let changes = lines.map(|line| {
        let counts = (count(without, line), count(with, line));
        OrderChange { line: line.clone(), counts }
    });
    changes.filter(|change| change.counts.0 != change.counts.1).collect()
}
