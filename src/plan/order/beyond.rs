//! Sticks and boxes beyond need, bought for what they save at their supplier.
//!
//! A stick that nothing is cut from loses a part of its price. It pays if with it
//! the supplier carries for less, or the bill was to be made up to a minimum
//! anyway, or no order below that is taken. Whether it does depends on what else
//! comes from there, so that a way to get a moulding stands in the list again
//! with each number of sticks more that could pay: as long as they lose less than
//! the supplier can save at all, and what comes from there by this way alone has
//! not passed the last price of goods from which anything changes. Whatever an
//! order buys beside, one stick more of it would not pay.
//!
//! Only more of what is bought there for the frames or for the rack: nobody buys
//! a moulding that nothing needs so as to save carriage on another.

use super::finish::{Detail, FINE, Making};
use crate::buy::{Goods, Terms, Way};
use crate::shop::Supplier;

/// More ways beyond need than this are not listed for one way.
const MOST: usize = 1_000;

/// Adds a way with all sticks beyond need that could pay; whether all were added.
pub(super) fn beyond(making: Making, way: &(Way, Detail), ways: &mut Vec<(Way, Detail)>) -> bool {
    let (plain, detail) = way;
    let shop = making.wants.shop;
    let suppliers: Vec<&Supplier> = shop.suppliers.values().collect();
    let mut at: Vec<Goods> = plain.goods.clone();
    at.retain(|goods| Terms::of(suppliers[goods.supplier]).most_saved(goods.cost) > 0);
    let line = |line: &super::finish::Bought| {
        let supplier = &shop.offers[making.wants.supplies[line.supply].offer].supplier;
        at.iter().position(|goods| suppliers[goods.supplier].id == *supplier)
    };
    let lines: Vec<Option<usize>> = detail.bought.iter().map(line).collect();
    let terms = at.iter().map(|goods| (Terms::of(suppliers[goods.supplier]), *goods));
    let mut more = Beyond {
        making,
        plain,
        terms: terms.collect(),
        lines,
        more: vec![0; detail.bought.len()],
        left: MOST,
        ways,
    };
    more.add(0, plain)
}

struct Beyond<'a, 'b> {
    making: Making<'a>,
    plain: &'b Way,
    /// The suppliers who may save something, and what is bought there without
    /// anything beyond need.
    terms: Vec<(Terms, Goods)>,
    /// For each line its supplier, among those.
    lines: Vec<Option<usize>>,
    /// How many sticks or boxes beyond need there are of each line.
    more: Vec<u32>,
    left: usize,
    ways: &'b mut Vec<(Way, Detail)>,
}

impl Beyond<'_, '_> {
    /// Adds one more of each line from a place on to `way`, and so on.
    fn add(&mut self, from: usize, way: &Way) -> bool {
        let mut whole = true;
        for line in from..self.lines.len() {
            let Some(place) = self.lines[line] else { continue };
            let (terms, plain) = &self.terms[place];
            if way.at(plain.supplier).0 >= terms.last_bend() {
                continue;
            }
            self.more[line] += 1;
            let made = Making { more: &self.more, ..self.making }.make();
            if let Some((_, (way, detail))) = made
                && way.cost() - self.plain.cost() < self.most_saved()
            {
                if self.left == 0 {
                    self.more[line] -= 1;
                    return false;
                }
                self.left -= 1;
                self.ways.push((way.clone(), detail));
                whole &= self.add(line, &way);
            }
            self.more[line] -= 1;
        }
        whole
    }

    /// What the suppliers of what is beyond need can save at the most, in
    /// thousandths.
    fn most_saved(&self) -> i64 {
        let is_at = |place: usize| {
            let lines = self.lines.iter().zip(&self.more);
            lines.filter(|(_, more)| **more > 0).any(|(of, _)| *of == Some(place))
        };
        let at = self.terms.iter().enumerate().filter(|(place, _)| is_at(*place));
        at.map(|(_, (terms, goods))| terms.most_saved(goods.cost) * FINE).sum()
    }
}
