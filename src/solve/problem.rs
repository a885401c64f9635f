//! The question put to the solver: which pieces, from which stock, at what cost.
//!
//! Nothing here knows a frame or a rail. A *stock* is a length that pieces are
//! taken from, in one or more *runs*; an *item* is one or more *parts* that
//! must all come from the same unit of stock.
//!
//! # Why a pattern's cost depends on what is left
//!
//! One long offcut is worth more than two short ones, so the worth of what remains is
//! credited in the pattern ([`Credit`]), and the plan that uses up least is simply
//! the cheapest.
//!
//! # Why a run has three figures for what is left of it
//!
//! Of reversible stock, `n` rails cut head to tail overlap `n - 1` times, so the
//! first rail in a run takes an overlap more than each after it. What is left beyond
//! the last run in use, what is left of a cut run before it, and what is left of one
//! that was passed over are three different lengths; with all three ([`Run`]) the
//! question is exact.

/// A whole cutting-stock question, in integers.
///
/// Every length is in one unit of the caller's choosing and every cost in
/// another; the solver never mixes the two and never rounds either.
///
/// The caller sees to it that all the lengths wanted, and what all the stock that
/// they could need costs, each stay below 2^62 in sum, and a length times the rate
/// of a credit times its span times [`WHOLE`] below 2^127. The longest stick (50 m,
/// below 2^36 nm) and the dearest rate (10^10 thousandths a foot, below 2^34) that
/// a shop can name keep the latter; 20,000 rails at a hundredth of that rate are
/// far within the former.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Problem {
    /// What pieces can be taken from.
    pub stock: Vec<Stock>,
    /// What has to be taken.
    pub items: Vec<Item>,
}

/// A kind of stock: `supply` equal units, each with the same runs and cost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stock {
    /// The clear runs of one unit, in order along it. Never empty.
    pub runs: Vec<Run>,
    /// What taking one unit costs, before the credit for what is left of it.
    pub cost: i64,
    /// How many units there are; `None` is as many as anyone could want.
    pub supply: Option<u32>,
    /// What the remainder of a unit is worth; `None` is nothing.
    pub credit: Option<Credit>,
    /// The group this stock belongs to, see [`Item::group`].
    pub group: u32,
}

/// One clear run of a unit of stock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Run {
    /// The greatest sum of part lengths that the run can hold.
    pub room: i64,
    /// The length that would be left after the run if nothing were cut from it
    /// and no later run were used; each part cut takes its length from this.
    pub tail: i64,
    /// The same where a later run *is* used: what is left of this run alone.
    pub gap: i64,
    /// What is left of this run alone where nothing is cut from it and a later
    /// run is used: at least `gap`, and more where the first cut in a run takes
    /// something besides its part.
    pub untouched: i64,
}

impl Run {
    /// A run of this length where parts take their lengths and nothing else.
    pub fn clear(length: i64) -> Run {
        Run { room: length, tail: length, gap: length, untouched: length }
    }

    /// What is left of the run alone, before a later run that is used, when the
    /// parts cut from it sum to `taken`.
    pub fn left_before(&self, taken: i64) -> i64 {
        if taken > 0 { self.gap - taken } else { self.untouched }
    }
}

/// Parts that must come from one unit of stock, wanted `demand` times over.
///
/// A part lies wholly in one run; the parts of an item may lie in different
/// runs of the same unit. An ordinary piece has exactly one part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    /// The length of each part; at least one, each greater than zero.
    pub parts: Vec<i64>,
    /// How many of this item are wanted.
    pub demand: u32,
    /// `Some(g)`: only stock of group `g` will do. `None`: any stock will.
    pub group: Option<u32>,
}

/// What a remainder is worth by its length: nothing below `keep`, then
/// `length x rate x f`, where `f` rises from `share` at `keep` to 1 at `full`, in a
/// straight line or from knot to knot, and stays 1 beyond it.
///
/// Since `f` never falls, one long remainder is worth no less than its parts; and from
/// knot to knot the value is convex in the length. Bounds hang on both.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Credit {
    /// The shortest remainder that is worth anything.
    pub keep: i64,
    /// The length from which a remainder is worth its full rate.
    pub full: i64,
    /// `f` at `keep`, in millionths, from 0 to 1 000 000.
    pub share: u32,
    /// Lengths between `keep` and `full`, rising, and `f` there in millionths, from
    /// `share` on and never falling. A knot at length 0 is none.
    pub knots: [(i64, u32); MOST_KNOTS],
    /// Cost units per `per` units of length.
    pub rate: i64,
    /// See `rate`; greater than zero.
    pub per: i64,
    /// The value is rounded down to a whole unit and then multiplied by this,
    /// so that a caller can leave room below one unit for a second criterion.
    pub scale: i64,
}

/// How many knots a credit has at most.
pub const MOST_KNOTS: usize = 4;

/// No knots: a straight line.
pub const STRAIGHT: [(i64, u32); MOST_KNOTS] = [(0, 0); MOST_KNOTS];

/// One whole, in the millionths in which [`Credit::share`] is given.
pub const WHOLE: u32 = 1_000_000;

impl Credit {
    /// The value of a remainder of `length`, rounded down.
    ///
    /// ```
    /// use longpoint::solve::{Credit, STRAIGHT};
    /// // An offcut from 12 in is kept, worth half its price at 12 in and its
    /// // full price of 5 an inch at 108 in.
    /// let (keep, full, share, knots) = (12, 108, 500_000, STRAIGHT);
    /// let credit = Credit { keep, full, share, knots, rate: 5, per: 1, scale: 1 };
    /// assert_eq!(credit.at(11), 0);
    /// assert_eq!(credit.at(12), 30);
    /// assert_eq!(credit.at(60), 225);
    /// assert_eq!(credit.at(108), 540);
    /// // The same, worth no more than half its price up to 60 in.
    /// let flat = Credit { knots: [(60, 500_000), (0, 0), (0, 0), (0, 0)], ..credit };
    /// assert_eq!((flat.at(12), flat.at(60), flat.at(84)), (30, 150, 315));
    /// ```
    pub fn at(&self, length: i64) -> i64 {
        if length < self.keep || length <= 0 {
            return 0;
        }
        let whole = i128::from(WHOLE);
        let value = i128::from(length) * i128::from(self.rate);
        let value = if length >= self.full {
            value / i128::from(self.per)
        } else {
            let ((from, low), (to, high)) = self.around(length);
            let (span, gone) = (i128::from(to - from), i128::from(length - from));
            let (low, high) = (i128::from(low), i128::from(high));
            let f = low * span + (high - low) * gone;
            value * f / (whole * span * i128::from(self.per))
        };
        i64::try_from(value * i128::from(self.scale)).unwrap_or(i64::MAX)
    }

    /// The knots before and after a length between `keep` and `full`, these among them.
    fn around(&self, length: i64) -> ((i64, u32), (i64, u32)) {
        let mut before = (self.keep, self.share);
        for knot in self.knots.into_iter().filter(|(at, _)| *at > 0) {
            if length < knot.0 {
                return (before, knot);
            }
            before = knot;
        }
        (before, (self.full, WHOLE))
    }

    /// The lengths at which the value's shape changes.
    pub fn levels(&self) -> impl Iterator<Item = i64> {
        let knots = self.knots.into_iter().map(|(at, _)| at).filter(|at| *at > 0);
        [self.keep, self.full].into_iter().chain(knots)
    }
}

impl Item {
    /// The length of all its parts together.
    pub fn length(&self) -> i64 {
        self.parts.iter().sum()
    }
}

impl Stock {
    /// The most that could be taken from all its runs together.
    pub fn room(&self) -> i64 {
        self.runs.iter().map(|run| run.room).sum()
    }

    /// What one unit costs once what is left of it is credited, when `taken[r]`
    /// is the sum of the part lengths cut from run `r`.
    ///
    /// Let `j` be the last run with anything cut from it. What is left of each
    /// earlier run (`gap` less what was taken, or `untouched`) and what is left
    /// beyond run `j` (`tail` less what was taken) are credited, each for itself.
    pub fn net_cost(&self, taken: &[i64]) -> i64 {
        let Some(credit) = &self.credit else {
            return self.cost;
        };
        let Some(last) = taken.iter().rposition(|&t| t > 0) else {
            return self.cost - credit.at(self.runs[0].tail);
        };
        let before: i64 = (0..last).map(|r| credit.at(self.runs[r].left_before(taken[r]))).sum();
        self.cost - before - credit.at(self.runs[last].tail - taken[last])
    }
}
