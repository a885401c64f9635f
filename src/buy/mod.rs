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
mod pool;
mod price;
mod question;
mod states;
mod tally;
mod tariff;

use bound::Tree;
pub use pool::Pool;
pub use question::{Answer, Goods, Pricing, Question, Terms, UNKNOWN, Way, Ways};
use tally::Tally;
pub use tariff::{
    Bill, Lot, REFUSED, bill, chop_billed, count_for, goods_of, price_at, rate_paid, step_reached,
    sticks_in, unit_price,
};

/// The cheapest choice of one way for each moulding, with a bound.
///
/// First the cheapest ways from each set of suppliers are asked for, and a plain
/// exchange makes a good choice of them. Then a tree over what suppliers charge
/// finds what could be cheaper, asking for further ways as they are needed, and
/// says how good the best is. What was shown is kept in `pool`; `steps` counts
/// down, and when they are used up, what is left bounds less.
///
/// With `closer`, ways with a doubt are named in [`Answer::open`] as soon as a
/// cheaper choice might be made of them; the bound is then a first one.
///
/// `None` if some moulding has no way at all, or the budget for spare sticks
/// rules out every choice that was looked at.
///
/// ```
/// use longpoint::buy::{Goods, Pool, Question, Terms, Way, choose};
/// // Two mouldings, each for 40.00 from one of two suppliers or for 43.00 from
/// // the other. Carriage is 9.00 each, so one parcel is better than two.
/// let terms = Terms { minimum: 0, freight: vec![(0, 900)], long: 0 };
/// let way = |supplier, cost| Way {
///     goods: vec![Goods { supplier, cost, long: false }],
///     ..Way::default()
/// };
/// let one = vec![way(0, 4000), way(1, 4300)];
/// let other = vec![way(0, 4300), way(1, 4000)];
/// let question = Question {
///     suppliers: vec![terms.clone(), terms],
///     mouldings: vec![&one, &other],
///     budget: None,
/// };
/// let answer = choose(&question, &mut Pool::new(2), false, &mut 10_000).unwrap();
/// assert_eq!(answer.cost, 1000 * (4000 + 4300 + 900));
/// assert_eq!(answer.bound, answer.cost);
/// ```
pub fn choose(
    question: &Question,
    pool: &mut Pool,
    closer: bool,
    steps: &mut u64,
) -> Option<Answer> {
    let (mut first, half) = (*steps / 2, *steps / 2);
    let beginnings = pool.begin(question, &mut first);
    let best = pool::best(question, pool, &beginnings, &mut first);
    *steps -= half - first;
    let best = best?;
    if closer {
        let open = likely(question, &beginnings, best.cost.0);
        if open.iter().any(|open| !open.is_empty()) {
            let (chosen, cost) = (best.chosen, best.cost.0);
            return Some(Answer { chosen, cost, bound: i64::MIN, open });
        }
    }
    let mut tree = Tree::new(question, pool, best, steps, closer);
    let bound = tree.run();
    let open = tree.open.into_iter().map(|open| open.into_iter().collect()).collect();
    let (chosen, cost) = (tree.best.chosen, tree.best.cost.0);
    Some(Answer { chosen, cost, bound: bound.min(cost), open })
}

/// For each moulding the ways with a doubt in a beginning that might be cheaper.
fn likely(question: &Question, beginnings: &[pool::Beginning], cost: i64) -> Vec<Vec<Way>> {
    let mut open: Vec<Vec<Way>> = vec![Vec::new(); question.mouldings.len()];
    for chosen in beginnings.iter().filter_map(|beginning| beginning.likely.as_ref()) {
        let Some((own, _)) = Tally::of(question, chosen).cost(question) else { continue };
        let doubt: i64 = chosen.iter().map(|way| way.doubt).sum();
        if own - doubt >= cost {
            continue;
        }
        for (open, way) in open.iter_mut().zip(chosen) {
            if way.doubt > 0 && !open.contains(way) {
                open.push(way.clone());
            }
        }
    }
    open
}
