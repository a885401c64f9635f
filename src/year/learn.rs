//! Which figures of `[offcuts]` suit a shop, and which curve of worth: the shortest offcut
//! that is kept, what it is said to be worth, and what longer ones are; and, where frames
//! wait for others, what is to be said of a length that is left to later.
//!
//! # Why learnt on some years and judged on others
//!
//! Of many figures that are tried on the same years the best is partly the luckiest. So
//! they are learnt on some years, and held against the shop's own on as many others,
//! whose customers nobody has seen. Only where they are better there, as sure as the
//! interval is, are they proposed.
//!
//! The search is plain: all shares of worth with the shop's own `keep`, then all lengths
//! with the best of them, then the shares again; then the shares at three knots between
//! what is kept and a whole stick, one after the other and twice, none below the one
//! before it; last the prices of what is left to later, where frames wait. A curve and a
//! price for all mouldings alike, since one moulding's year says too little.

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::customers::{Customers, Tickets};
use super::paired::Paired;
use super::practice::Practice;
use super::simulate::{Habits, OffcutRule, QUARTERS, WHOLE, simulate};
use super::{YearCount, YearFault, YearQuestion, drawn};
use crate::measure::{Length, Worth};
use crate::plan::Told;
use crate::shop::{Frame, Shop};

/// What was learnt.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Learnt {
    /// What was asked.
    pub question: YearQuestion,
    /// The mouldings that customers ask for.
    pub mouldings: BTreeSet<String>,
    /// The shop's own figures.
    pub own: OffcutRule,
    /// What was tried, in the order in which it was, and what the years it was learnt on
    /// came to, all together.
    pub tried: Vec<(OffcutRule, Worth)>,
    /// The best of it.
    pub best: OffcutRule,
    /// What the best comes to less what the shop's own do, in years that it was not learnt
    /// on; `None` where the shop's own are the best.
    pub judged: Option<Paired>,
    /// What the shop's own came to in those years, all together.
    pub judged_own: Worth,
}

impl Learnt {
    /// The figures that are proposed: better on years that nobody has seen.
    pub fn proposed(&self) -> Option<OffcutRule> {
        self.judged.is_some_and(|judged| judged.is_less()).then_some(self.best)
    }
}

/// The shares that are tried, in millionths.
const SHARES: [u32; 10] =
    [0, 100_000, 200_000, 300_000, 400_000, 500_000, 600_000, 700_000, 800_000, 900_000];

/// The prices of what is left to later that are tried, in thousandths of the length.
const LATER: [u32; 8] = [600, 700, 800, 900, 950, 1000, 1050, 1100];

/// The lengths that are tried, in quarters of the shop's own.
const LENGTHS: [i64; 6] = [2, 3, 4, 6, 8, 12];

/// Learns the figures for the morning's plan of every day, or where the shop has patience for
/// the one with waiting, from so many years, and judges them on as many others. How many years are done is `told`, of 0, since nobody
/// knows how many there will be.
///
/// # Errors
/// As [`simulated_years`](super::simulated_years).
pub fn learn(
    shop: &Shop,
    tickets: &[Frame],
    question: YearQuestion,
    (work, told): (u64, Told),
) -> Result<Learnt, YearFault> {
    let tickets = Tickets::new(shop, tickets);
    let (_, mut seen) = drawn(shop, &tickets, &question, question.years * 2)?;
    let unseen = seen.split_off(question.years as usize);
    let days = &shop.settings.days;
    let (keep, worth) = (shop.settings.keep, shop.settings.worth);
    let own = OffcutRule { keep, worth, curve: None, later: days.later };
    let done = YearCount::new(told, 0);
    let years = |rule: OffcutRule, years: &[Customers]| -> Result<Vec<Worth>, YearFault> {
        let practice = if days.patience.is_some() { Practice::Waiting } else { Practice::Planned };
        let (patience, lots) = (days.patience.unwrap_or(question.patience), question.lots);
        let habits = Habits { practice, patience, lots, rule: (rule != own).then_some(rule) };
        let money = |year: &Customers| Ok(done.after(simulate(shop, habits, year, work))?.money());
        years.par_iter().map(money).collect()
    };
    let mut search = RuleSearch { tried: Vec::new(), money: &|rule| years(rule, &seen) };
    let mut best = search.best_of([own])?;
    let shares = |keep| SHARES.map(|worth| OffcutRule { keep, worth, ..own });
    best = search.best_of(std::iter::once(best).chain(shares(best.keep)))?;
    let lengths = lengths(shop).map(|keep| OffcutRule { keep, ..best });
    best = search.best_of(std::iter::once(best).chain(lengths))?;
    best = search.best_of(std::iter::once(best).chain(shares(best.keep)))?;
    for knot in (0..QUARTERS).chain(0..QUARTERS) {
        best = search.best_of(std::iter::once(best).chain(curves(best, knot)))?;
    }
    if days.patience.is_some() {
        let prices = LATER.map(Some).into_iter().chain([None]);
        let rules = prices.map(|later| OffcutRule { later, ..best });
        best = search.best_of(std::iter::once(best).chain(rules))?;
    }
    let tried = search.tried;
    let own_unseen = years(own, &unseen)?;
    let judged = match best == own {
        true => None,
        false => {
            let pairs = years(best, &unseen)?.into_iter().zip(&own_unseen);
            Paired::of(&pairs.map(|(best, own)| best - *own).collect::<Vec<Worth>>())
        }
    };
    let judged_own = own_unseen.into_iter().sum();
    let mouldings = tickets.mouldings().cloned().collect();
    Ok(Learnt { question, mouldings, own, tried, best, judged, judged_own })
}

/// A rule with another share at one knot, none of which falls.
fn curves(rule: OffcutRule, knot: usize) -> impl Iterator<Item = OffcutRule> {
    let curve = rule.shares();
    let least = knot.checked_sub(1).map_or(rule.worth, |before| curve[before]);
    let most = curve.get(knot + 1).copied().unwrap_or(WHOLE);
    let shares = SHARES.into_iter().chain([WHOLE]).filter(move |s| (least..=most).contains(s));
    shares.map(move |share| {
        let mut curve = curve;
        curve[knot] = share;
        OffcutRule { curve: Some(curve), ..rule }
    })
}

/// What was tried already is not tried again.
struct RuleSearch<'a> {
    tried: Vec<(OffcutRule, Worth)>,
    money: &'a dyn Fn(OffcutRule) -> Result<Vec<Worth>, YearFault>,
}

impl RuleSearch<'_> {
    /// The first of these that comes to least.
    fn best_of(
        &mut self,
        rules: impl IntoIterator<Item = OffcutRule>,
    ) -> Result<OffcutRule, YearFault> {
        let mut best: Option<(Worth, OffcutRule)> = None;
        for rule in rules {
            let known =
                self.tried.iter().find(|(other, _)| *other == rule).map(|(_, money)| *money);
            let money = match known {
                Some(money) => money,
                None => (self.money)(rule)?.into_iter().sum(),
            };
            if known.is_none() {
                self.tried.push((rule, money));
            }
            if best.is_none_or(|(least, _)| money < least) {
                best = Some((money, rule));
            }
        }
        Ok(best.expect("at least one rule is looked at").1)
    }
}

/// The lengths that are tried: on the bench mark, and shorter than any stick.
fn lengths(shop: &Shop) -> impl Iterator<Item = Length> {
    let keep = shop.settings.keep;
    let mark = shop.settings.mark;
    let shortest = shop.mouldings.values().map(|moulding| moulding.stick).min();
    let quarters = LENGTHS.into_iter().map(move |quarters| {
        let length = Length::from_nm(keep.nm() * quarters / 4);
        if quarters == 4 { length } else { length.round_up(mark) }
    });
    quarters.filter(move |length| shortest.is_none_or(|shortest| *length < shortest))
}
