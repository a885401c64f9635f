//! The first day on which a frame can be ready, held against a plan that has it due on
//! just that day.

use jiff::civil::Date;

use super::capacity::{free_day, hands_from, in_turn};
use super::once_ordered::once_ordered;
use crate::job::joining::may_be_loaded;
use crate::measure::Length;
use crate::morning::plan;
use crate::plan::{HoldReason, Plan};
use crate::shop::{Form, Frame, Lengths, Offer, Shop, Supplier};
use crate::solve::Limits;
use crate::verify::Fault;

/// Plans with another day, at the most, before a day is found that stands.
const MOST_DAYS: u32 = 4;

/// Layers of random lengths that are asked about at the most.
const MOST_LAYERS: usize = 9;

/// Days on which moulding can be ordered again that are looked at.
const MOST_OPENINGS: u32 = 4;

/// When a frame can be ready.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Promise {
    /// The day.
    pub ready: Date,
    /// What it waits for.
    pub waits_for: WaitsFor,
    /// Whether a plan with the frame due on that day has it in time.
    pub stands: bool,
    /// Who refuses what has to be ordered for it, below their minimum: they are asked first.
    pub ask_first: Vec<String>,
    /// What must be asked of those who sell it in random lengths.
    pub lengths: Vec<AskedLength>,
}

/// Sticks of random lengths that a promise hangs on: none is sure to be long enough.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AskedLength {
    /// Of which moulding.
    pub moulding: String,
    /// How long they must be at the least.
    pub least: Length,
    /// Who is asked.
    pub suppliers: Vec<String>,
}

/// What keeps a frame from being ready sooner.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WaitsFor {
    /// The time that it takes to join and fit.
    Bench,
    /// Its moulding, which comes on this day from these suppliers.
    Moulding {
        /// The day of the last of it.
        arrives: Date,
        /// From whom it is bought; nobody where it is on order or at the bench already.
        suppliers: Vec<String>,
        /// The first day on which it can be ordered, where that is not today.
        order_from: Option<Date>,
        /// The last day on which it can be ordered to come then; `None` where nothing is.
        order_by: Option<Date>,
        /// The last day on which it can be ordered to come in time for the day that the frame
        /// is due, where that is later.
        wait_until: Option<Date>,
    },
    /// What was promised before: so many frames a day are made, and no more.
    Hands,
}

impl Promise {
    /// Whether moulding that is bought for the frame might, with all else that the shop lacks,
    /// be in an order that its supplier refuses.
    pub(super) fn may_be_refused(&self, shop: &Shop, frame: &Frame) -> bool {
        let WaitsFor::Moulding { suppliers, .. } = &self.waits_for else { return false };
        let is_own = |offer: &&Offer| frame.layers.iter().any(|of| of.moulding == offer.moulding);
        let mut sellers = shop.offers.iter().filter(is_own).map(|offer| &offer.supplier);
        !suppliers.is_empty()
            && sellers.any(|id| shop.suppliers.get(id).is_some_and(|of| of.refuses))
    }
}

/// The plan with a frame, and what can be promised.
pub(super) struct Promised {
    /// The frame, due when it can be ready where that was not said or is not possible.
    pub frame: Frame,
    pub with: Plan,
    pub promise: Option<Promise>,
}

/// Plans with the frame on the pile of those that share its moulding; `pile` is all of
/// it. Where it cannot be ready when it is wanted, or no day is, it is planned again as
/// due on the first day on which it could be, until a plan has it in time. Where its
/// moulding cannot be ordered yet, the day is what a plan of the first day says on which
/// it can be; what is cut today, and for whom, is told of today. Where only sticks of random
/// lengths might do, it is planned as if they were sure to be long enough.
pub(super) fn promise(
    shop: &Shop,
    pile: &[Frame],
    mut frame: Frame,
    date: Date,
    limits: Limits,
) -> Result<Promised, Vec<Fault>> {
    // Nobody fetches a frame on a day on which the shop is closed.
    frame.due = frame.due.map(|due| shop.settings.days.open.last(due).unwrap_or(due));
    let (mut sure, mut lengths) = (shop.clone(), Vec::new());
    let mut of_day = |frame: &mut Frame, day: Date| loop {
        let (plan, promise) = from_day(&sure, pile, frame, (date, day), limits)?;
        match asked_length(&plan, frame).filter(|_| lengths.len() < MOST_LAYERS) {
            Some(asked) => {
                make_sure(&mut sure, &asked);
                lengths.push(asked);
            }
            None => return Ok::<_, Vec<Fault>>((plan, promise)),
        }
    };
    let (with, promise) = of_day(&mut frame, date)?;
    let (mut later, mut promise, mut tries) = (opens(&with, &frame), promise, MOST_OPENINGS);
    while let Some(day) = later.filter(|_| promise.is_none() && tries > 0) {
        let (plan, promised) = of_day(&mut frame, day)?;
        (later, promise, tries) = (opens(&plan, &frame), promised, tries - 1);
    }
    if let Some(promise) = &mut promise {
        let sold_by = suppliers(&with, &frame);
        for asked in &mut lengths {
            if asked.suppliers.iter().any(|id| sold_by.contains(id)) {
                asked.suppliers.retain(|id| sold_by.contains(id));
            }
        }
        promise.lengths = lengths;
    }
    Ok(Promised { frame, with, promise })
}

/// What has to be asked about a layer for which the frame is held.
fn asked_length(plan: &Plan, frame: &Frame) -> Option<AskedLength> {
    let held = plan.held.iter().find(|held| held.frame == frame.id)?;
    let HoldReason::RandomLengths { moulding, least, suppliers, .. } = &held.reason else {
        return None;
    };
    let (moulding, least, suppliers) = (moulding.clone(), *least, suppliers.clone());
    Some(AskedLength { moulding, least, suppliers })
}

/// Takes them to send what is asked of them.
fn make_sure(shop: &mut Shop, asked: &AskedLength) {
    let may = |offer: &&mut Offer| {
        offer.moulding == asked.moulding && asked.suppliers.contains(&offer.supplier)
    };
    for offer in shop.offers.iter_mut().filter(may) {
        if let Lengths::Between(shortest, longest) = &mut offer.lengths {
            if !matches!(offer.form, Form::Chop { .. }) && asked.least <= *longest {
                *shortest = asked.least.max(*shortest);
            }
        }
    }
}

/// The day on which what keeps a frame from being made can be ordered.
fn opens(plan: &Plan, frame: &Frame) -> Option<Date> {
    let held = plan.held.iter().filter(|held| held.frame == frame.id);
    let from = held.filter_map(|held| match held.reason {
        HoldReason::NotSold { from, .. } => from,
        _ => None,
    });
    from.max()
}

/// Plans of a day, today or later, until one has the frame in time, and still has it so once
/// its order is placed.
fn from_day(
    shop: &Shop,
    pile: &[Frame],
    frame: &mut Frame,
    (today, day): (Date, Date),
    limits: Limits,
) -> Result<(Plan, Option<Promise>), Vec<Fault>> {
    let (asked, mut tries, mut at_leisure) = (frame.due, MOST_DAYS, None);
    loop {
        let mut wider = shop.clone();
        wider.frames.push(frame.clone());
        let with = plan(&wider, day, limits)?.into_inner();
        let Some((mut made, mut waits_for)) = ready(shop, (pile, today), &with, frame) else {
            let waits = with.waiting.iter().any(|waiting| waiting.frame == frame.id);
            if waits && frame.due.is_none() && at_leisure.is_none() {
                // As one that is wanted it has what comes on a day that is known.
                (frame.due, at_leisure) = (Some(day), Some(with));
                continue;
            }
            // Else it stays one that nobody waits for.
            frame.due = frame.due.filter(|_| at_leisure.is_none());
            return Ok((at_leisure.unwrap_or(with), None));
        };
        tries -= 1;
        let stands = |ready: Date| frame.due.is_some_and(|due| ready <= due);
        let after = once_ordered(&wider, &with).filter(|_| stands(made) || tries == 0);
        if let Some(after) = after {
            let next = plan(&after, day, limits)?.into_inner();
            let own = after.frame(&frame.id).unwrap_or(frame);
            let Some(kept) = ready(&after, (pile, today), &next, own) else {
                frame.due = asked;
                return Ok((with, None));
            };
            if kept.0 > made {
                (made, waits_for) = kept;
            }
        }
        let stands = stands(made);
        if stands || tries == 0 {
            let (ready, lengths) = (made, Vec::new());
            let ask_first = with.refusing(shop, &frame.id, None);
            let promise = Promise { ready, waits_for, stands, ask_first, lengths };
            return Ok((with, Some(promise)));
        }
        frame.due = Some(made);
    }
}

/// Of those who refuse what is ordered for a frame, the ones who do with all that is ordered
/// for the whole pile: what shares its moulding may be enough for an order by itself where all
/// is not, and the other way round.
pub(super) fn ask_first(
    shop: &Shop,
    frame: &Frame,
    (today, promise): (Date, &Promise),
    limits: Limits,
) -> Result<Vec<String>, Vec<Fault>> {
    let from = match promise.waits_for {
        WaitsFor::Moulding { order_from, .. } => order_from,
        WaitsFor::Bench | WaitsFor::Hands => None,
    };
    let mut wider = shop.clone();
    wider.frames.push(frame.clone());
    let with = plan(&wider, from.unwrap_or(today), limits)?.into_inner();
    let ready = ready(shop, (&shop.frames, today), &with, frame);
    let wanted = frame.due.map_or(promise.ready, |due| due.max(promise.ready));
    match ready.is_some_and(|(ready, _)| ready <= wanted) {
        true => Ok(with.refusing(shop, &frame.id, None)),
        // What is promised is the other plan.
        false => Ok(promise.ask_first.clone()),
    }
}

/// When a plan has the frame ready, and what that waits for; `None` if it never does.
fn ready(
    shop: &Shop,
    (pile, today): (&[Frame], Date),
    plan: &Plan,
    frame: &Frame,
) -> Option<(Date, WaitsFor)> {
    if plan.held.iter().any(|held| held.frame == frame.id) {
        return None;
    }
    let (days, date) = (&shop.settings.days, plan.date);
    let awaited = |copy: u32| {
        let mut awaited = plan.order.awaited.iter();
        awaited.find(|awaited| awaited.frame == frame.id && awaited.copy == copy)
    };
    let mut last = None;
    for waiting in plan.waiting.iter().filter(|waiting| waiting.frame == frame.id) {
        // Nothing can be promised on what nobody knows when it comes.
        if plan.unsure(shop, (frame, waiting.copy), today).is_some() {
            return None;
        }
        let Some(awaited) = awaited(waiting.copy) else {
            last = last.max(Some(plan.comes(shop, waiting)?));
            continue;
        };
        // In time if it can be; too late, as soon as anybody delivers.
        let is_late = |day| frame.due.is_none() || shop.is_late(day, frame.due);
        let arrives = match (awaited.arrives, awaited.earliest) {
            (Some(day), Some(earliest)) if is_late(day) => Some(earliest.min(day)),
            (day, _) => day,
        };
        last = last.max(Some(arrives.unwrap_or(date)));
    }
    let material = last.unwrap_or(date).max(date);
    let mut made = days.open.after(material, days.bench_days)?;
    if shop.jobs.contains_key(&frame.id) {
        // Its glue must have set before it is loaded.
        made = made.max(may_be_loaded(material, shop.settings.job.glue_hours));
    }
    made = made.max(hands_from(days, frame.copies, material)?);
    let ready = free_day(days, pile, frame.copies, (today, made))?;
    let ready = in_turn(plan, (shop, pile), (frame, material), ready)?;
    let waits_for = if ready > days.open.next(made)? {
        WaitsFor::Hands
    } else if material > date {
        let suppliers = suppliers(plan, frame);
        let deadlines = plan.order.deadlines.iter().filter(|of| suppliers.contains(&of.supplier));
        let in_time = deadlines.filter_map(|of| of.last).min();
        let terms = suppliers.iter().filter_map(|id| shop.suppliers.get(id));
        let last = |of: &Supplier| of.last_order(&days.open, date, |day| day <= material);
        let order_by = terms.filter_map(last).chain(in_time).min();
        let wait_until = in_time.filter(|last| Some(*last) > order_by);
        let order_from = Some(date).filter(|day| *day > today);
        WaitsFor::Moulding { arrives: material, suppliers, order_from, order_by, wait_until }
    } else {
        WaitsFor::Bench
    };
    Some((ready, waits_for))
}

/// From whom the frame's moulding is bought.
fn suppliers(plan: &Plan, frame: &Frame) -> Vec<String> {
    let is_own = |id: &str| id == frame.id;
    let sticks = plan.order.sticks.iter().filter(|stick| stick.is_new);
    let sticks = sticks.filter(|stick| stick.rails.iter().any(|rail| is_own(&rail.frame)));
    let chops = plan.order.chops.iter().filter(|chop| is_own(&chop.frame));
    let names = sticks.map(|stick| &stick.supplier).chain(chops.map(|chop| &chop.supplier));
    let mut names: Vec<String> = names.filter(|name| !name.is_empty()).cloned().collect();
    names.sort();
    names.dedup();
    names
}
