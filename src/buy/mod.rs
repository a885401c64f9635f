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
//!
//! # Why one way for each moulding
//!
//! A way is a split into what is chopped and what is cut here, and so much of each
//! offer. What ties the mouldings together is only what each supplier charges for the
//! whole; this room knows these ties and money alone. There are far too many ways to
//! list (ten sticks can come from ten offers in 92,378), so a moulding *shows* those
//! that are priced below what is wanted: a tree over the suppliers' states (not
//! ordered from, each step of carriage, with a long parcel or without) prices the
//! ties, and asks for ways at those prices. Tiers of prices as big constants in a
//! general integer program did not finish with a solver in plain Rust.

mod bound;
mod close;
mod doubt;
mod labels;
mod neglected;
mod pool;
mod price;
mod question;
mod states;
mod tally;
mod tariff;

pub use bound::Begun;
use bound::SupplierTree;
pub use pool::Pool;
use pool::PricedChoice;
pub use question::{BuyingProblem, Chosen, Goods, Pricing, Terms, UNKNOWN, Way, Ways};
pub use tariff::{
    Bill, OfferQuantity, REFUSED, bill, chop_billed, chop_fee, count_for, goods_of,
    is_billed_as_it_comes, price_at, priced, quantity, rate_paid, step_reached, sticks_in,
    unit_price,
};

/// The cheapest choice of one way for each moulding, with a bound.
///
/// First the cheapest ways from each set of suppliers are asked for, and a plain
/// exchange makes a good choice of them. Then a tree over what suppliers charge
/// finds what could be cheaper, asking for further ways as they are needed, and
/// says how good the best is. What was shown is kept in `pool`, and what is left of the
/// tree in `begun`; `steps` counts down, and when they are used up, what is left bounds
/// less.
///
/// Ways with a doubt are named in [`Chosen::open`] where a cheaper choice might be
/// made of them.
///
/// Nothing is chosen if some moulding has no way at all, or none is known to keep
/// the budget for spare sticks; what it costs is then beyond all bounds.
///
/// ```
/// use longpoint::buy::{Begun, BuyingProblem, Goods, Pool, Terms, Way, choose};
/// // Two mouldings, each for 40.00 from one of two suppliers or for 43.00 from
/// // the other. Carriage is 9.00 each, so one parcel is better than two.
/// let terms = Terms { minimum: 0, freight: vec![(0, 900)], long: 0 };
/// let way = |supplier, cost| Way {
///     goods: vec![Goods { supplier, cost, long: false }],
///     ..Way::default()
/// };
/// let one = vec![way(0, 4000), way(1, 4300)];
/// let other = vec![way(0, 4300), way(1, 4000)];
/// let question = BuyingProblem {
///     suppliers: vec![terms.clone(), terms],
///     mouldings: vec![&one, &other],
///     budget: None,
/// };
/// let answer = choose(&question, &mut Pool::new(2), &mut Begun::default(), &mut 10_000);
/// assert_eq!(answer.cost, 1000 * (4000 + 4300 + 900));
/// assert_eq!(answer.bound, answer.cost);
/// ```
pub fn choose(
    question: &BuyingProblem,
    pool: &mut Pool,
    begun: &mut Begun,
    steps: &mut u64,
) -> Chosen {
    let (mut first, half) = (*steps / 2, *steps / 2);
    pool.begin(question, &mut first);
    let best = pool::best(question, pool, &mut first);
    *steps -= half - first;
    let best =
        best.unwrap_or_else(|| PricedChoice { chosen: Vec::new(), cost: (question::NONE, 0) });
    let mut tree = SupplierTree::new(question, pool, best, steps);
    let bound = tree.run(begun);
    let open = tree.open.into_iter().map(|open| open.into_iter().collect()).collect();
    let (chosen, cost) = (tree.best.chosen, tree.best.cost.0);
    if cost < question::NONE {
        pool.best_is(&chosen);
    }
    Chosen { chosen, cost, bound: bound.min(cost), open }
}
