//! One way for each moulding, so that the whole order costs least: every
//! combination that could.

use longpoint::shop::Supplier;

use super::rules::{FINE, Rules};
use super::ways::Way;

/// The cheapest combination.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Least {
    /// What it comes to, in thousandths.
    pub net: i64,
    /// What is bought and chopped, moulding by moulding.
    pub what: Vec<String>,
}

/// More combinations than this are not tried.
const MOST: usize = 3_000_000;

/// Too much to try.
#[derive(Debug)]
pub struct TooLarge;

/// The least of all that come to no more than `most`, and that cost no more for
/// sticks beyond need than `budget`; `None` if there is none.
pub fn least(
    rules: &Rules,
    ways: &[Vec<Way>],
    most: i64,
    budget: Option<i64>,
) -> Result<Option<Least>, TooLarge> {
    let Some(mut search) = Search::new(rules, ways, most, budget, bare) else { return Ok(None) };
    search.on(0);
    search.answer()
}

/// The least that sticks beyond need can cost where every supplier takes the order.
pub fn least_beyond(rules: &Rules, ways: &[Vec<Way>]) -> Result<Option<i64>, TooLarge> {
    // Money apart, the least beyond need is a question of the same kind.
    let only = |way: &Way| Way { own: way.beyond * FINE, ..way.clone() };
    let ways: Vec<Vec<Way>> = ways.iter().map(|ways| ways.iter().map(only).collect()).collect();
    let search = Search::new(rules, &ways, i64::MAX, None, |way| way.own);
    let Some(mut search) = search else { return Ok(None) };
    search.is_paid = false;
    search.on(0);
    Ok(search.answer()?.map(|best| best.net / FINE))
}

/// What a way costs without what bills add.
fn bare(way: &Way) -> i64 {
    way.own + way.goods.iter().sum::<i64>() * FINE
}

struct Search<'a> {
    rules: &'a Rules<'a>,
    suppliers: Vec<&'a Supplier>,
    ways: Vec<Vec<&'a Way>>,
    /// What the mouldings from each on cost at the least.
    rest: Vec<i64>,
    budget: Option<i64>,
    most: i64,
    /// What a way costs at the least.
    bare: fn(&Way) -> i64,
    /// Whether the bills count.
    is_paid: bool,
    /// How many combinations may still be tried.
    left: usize,
    chosen: Vec<&'a Way>,
    best: Option<Least>,
}

impl<'a> Search<'a> {
    fn new(
        rules: &'a Rules<'a>,
        ways: &'a [Vec<Way>],
        most: i64,
        budget: Option<i64>,
        bare: fn(&Way) -> i64,
    ) -> Option<Search<'a>> {
        let mut ways: Vec<Vec<&Way>> = ways.iter().map(|ways| ways.iter().collect()).collect();
        for ways in &mut ways {
            ways.sort_by_key(|way| bare(way));
        }
        let mut rest = vec![0; ways.len() + 1];
        for place in (0..ways.len()).rev() {
            rest[place] = rest[place + 1] + bare(ways[place].first()?);
        }
        let suppliers: Vec<&Supplier> = rules.shop.suppliers.values().collect();
        let (chosen, best, is_paid, left) = (Vec::new(), None, true, MOST);
        let search = Search {
            rules,
            suppliers,
            ways,
            rest,
            budget,
            most,
            bare,
            is_paid,
            left,
            chosen,
            best,
        };
        Some(search)
    }

    fn answer(self) -> Result<Option<Least>, TooLarge> {
        if self.left == 0 { Err(TooLarge) } else { Ok(self.best) }
    }

    fn on(&mut self, place: usize) {
        if place == self.ways.len() {
            self.settle();
            return;
        }
        let so_far: i64 = self.chosen.iter().map(|way| (self.bare)(way)).sum();
        for at in 0..self.ways[place].len() {
            self.left = self.left.saturating_sub(1);
            if self.left == 0 {
                break;
            }
            let way = self.ways[place][at];
            let least = so_far + (self.bare)(way) + self.rest[place + 1];
            if least > self.most || least == self.most && self.best.is_some() {
                break;
            }
            self.chosen.push(way);
            self.on(place + 1);
            self.chosen.pop();
        }
    }

    fn settle(&mut self) {
        let beyond: i64 = self.chosen.iter().map(|way| way.beyond).sum();
        if self.budget.is_some_and(|budget| beyond > budget) {
            return;
        }
        let mut net: i64 = self.chosen.iter().map(|way| way.own).sum();
        for (place, supplier) in self.suppliers.iter().enumerate() {
            let goods = self.chosen.iter().map(|way| way.goods[place]).sum();
            let long = self.chosen.iter().any(|way| way.long[place]);
            let Some(bill) = self.rules.bill(supplier, goods, long) else { return };
            net += if self.is_paid { bill * FINE } else { 0 };
        }
        if net <= self.most && self.best.as_ref().is_none_or(|best| net < best.net) {
            let what = self.chosen.iter().map(|way| way.what.clone()).collect();
            self.best = Some(Least { net, what });
            self.most = net;
        }
    }
}
