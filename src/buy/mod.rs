//! What to buy, and from whom: the cheapest order over all mouldings at once.
//!
//! For each moulding there is a list of ways to get its waiting frames made: so
//! many sticks from this offer or those two, so many frames chopped by a
//! supplier. Each way says what its goods cost at each supplier and what it uses
//! up beside them. Suppliers add their own: a minimum, carriage by steps, a
//! surcharge for long parcels. [`choose`] takes one way for each moulding so
//! that the whole costs least, and says how far it could be from that.
//!
//! Nothing here knows a frame or a stick. Money is whole minor units, cost is
//! [`Worth`](crate::measure::Worth) in thousandths of them, and both are
//! integers wherever something is decided.

mod bound;
mod descend;
mod exchange;
mod model;
mod question;
mod states;
mod tariff;
mod thin;

use question::Found;
pub use question::{Answer, Goods, Question, Terms, Way};
pub use tariff::{
    Bill, Lot, REFUSED, bill, chop_billed, count_for, goods_of, price_at, rate_paid, step_reached,
    sticks_in,
};

/// More ways than this are not handed to the general model: it would take longer
/// than anyone waits, and how long is not known beforehand.
const MOST_MODELLED: usize = 400;

/// The cheapest choice of one way for each moulding, with a bound.
///
/// First ways that can never be the better ones are struck out. Then a plain
/// exchange of one or two ways at a time finds a good choice, and the bound, with
/// a look at what could still be cheaper, says whether it is the best. Only if
/// that is open, what could still be better goes to a general integer program,
/// whose answer is added up again in integers.
///
/// `None` if some moulding has no way at all, or the budget for spare sticks
/// rules out every choice that was looked at.
///
/// ```
/// use longpoint::buy::{Goods, Question, Terms, Way, choose};
/// // Two mouldings, each for 40.00 from one of two suppliers or for 43.00 from
/// // the other. Carriage is 9.00 each, so one parcel is better than two.
/// let terms = Terms { minimum: 0, freight: vec![(0, 900)], long: 0 };
/// let way = |supplier, cost| Way {
///     own: 0, doubt: 0, spare: 0,
///     goods: vec![Goods { supplier, cost, long: false }],
/// };
/// let question = Question {
///     suppliers: vec![terms.clone(), terms],
///     lots: vec![vec![way(0, 4000), way(1, 4300)], vec![way(0, 4300), way(1, 4000)]],
///     budget: None,
/// };
/// let answer = choose(&question).unwrap();
/// assert_eq!(answer.cost, 1000 * (4000 + 4300 + 900));
/// assert_eq!(answer.bound, answer.cost);
/// ```
pub fn choose(question: &Question) -> Option<Answer> {
    let kept = thin::kept(question);
    let thin = question.only(&kept);
    let mut best = exchange::search(&thin)?;
    let (mut bound, better) = bound::bound(&thin, &best);
    best = better.unwrap_or(best);
    let mut open = still_open(&thin, &best, bound);
    if bound < best.cost
        && open.iter().map(Vec::len).sum::<usize>() <= MOST_MODELLED
        && let Some(found) = model::solve(&thin, &open)
        && found.cost < best.cost
    {
        best = found;
        bound = bound.max(bound::bound(&thin, &best).0);
        open = still_open(&thin, &best, bound);
    }
    let place = |way: usize, kept: &Vec<usize>| kept[way];
    let chosen = best.chosen.iter().zip(&kept).map(|(&way, kept)| place(way, kept)).collect();
    let open = open.iter().zip(&kept);
    let open = open.map(|(open, kept)| open.iter().map(|&way| place(way, kept)).collect());
    Some(Answer { chosen, cost: best.cost, bound: bound.min(best.cost), open: open.collect() })
}

/// What no choice costs less than; `None` if none was found within the budget.
///
/// ```
/// use longpoint::buy::{Goods, Question, Terms, Way, at_least};
/// let terms = Terms { minimum: 0, freight: vec![(0, 900)], long: 0 };
/// let goods = vec![Goods { supplier: 0, cost: 4000, long: false }];
/// let way = Way { own: 0, doubt: 0, spare: 0, goods };
/// let question = Question { suppliers: vec![terms], lots: vec![vec![way]], budget: None };
/// assert_eq!(at_least(&question), Some(1000 * (4000 + 900)));
/// ```
pub fn at_least(question: &Question) -> Option<i64> {
    let thin = question.only(&thin::kept(question));
    let best = exchange::search(&thin)?;
    Some(bound::bound(&thin, &best).0)
}

/// For each lot the ways that a cheaper choice could be made of, and the chosen.
fn still_open(question: &Question, best: &Found, bound: i64) -> Vec<Vec<usize>> {
    let mut open = match bound < best.cost {
        true => bound::open(question, best.cost),
        false => vec![Vec::new(); question.lots.len()],
    };
    for (open, &chosen) in open.iter_mut().zip(&best.chosen) {
        if let Err(place) = open.binary_search(&chosen) {
            open.insert(place, chosen);
        }
    }
    open
}
