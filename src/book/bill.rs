//! What was really paid, and what each moulding has of it.
//!
//! # Why carriage is shared out
//!
//! What a moulding costs a shop is what was paid until it stood on the rack. So what a
//! bill says beside the goods is shared among its lines by what they cost, to the minor
//! unit, and the months and the mouldings of the figures come to what was paid.

use rusqlite::params;

use super::error::BookError;
use super::field::Field;
use super::step::Step;
use crate::measure::Money;

/// What is billed, or agreed: the goods, and what comes beside them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct BillSums {
    /// The goods.
    pub goods: Money,
    /// Carriage.
    pub carriage: Money,
    /// Anything else: what makes up a minimum, a long parcel.
    pub other: Money,
}

impl BillSums {
    /// All of it.
    pub fn total(self) -> Money {
        self.goods + self.carriage + self.other
    }
}

/// A part of a bill.
pub(super) struct BillPart<'a> {
    pub line: Option<i64>,
    pub moulding: &'a str,
    /// What the bill says of it, where it does.
    pub goods: Option<Money>,
    /// What is taken to be its goods, compared with those of the others: what of the
    /// goods the bill says of no part is shared so.
    pub weight: Money,
}

/// Writes a bill down, with what each part has of all of it.
pub(super) fn write(
    step: &Step,
    (purchase, supplier, number): (Option<i64>, &str, &str),
    sums: BillSums,
    parts: &[BillPart],
) -> Result<(), BookError> {
    step.db().execute(
        "INSERT INTO bill (step, purchase, supplier, number, goods, carriage, other)
         VALUES (?, ?, ?, ?, ?, ?, ?)",
        params![step.id, purchase, supplier, number, sums.goods.0, sums.carriage.0, sums.other.0],
    )?;
    let bill = step.db().last_insert_rowid();
    step.set(Field::BillState, bill, "paid".to_owned())?;
    for (part, share) in parts.iter().zip(shares(sums, parts)) {
        step.db().execute(
            "INSERT INTO billed (bill, line, moulding, goods, share) VALUES (?, ?, ?, ?, ?)",
            params![bill, part.line, part.moulding, part.goods.map(|goods| goods.0), share],
        )?;
    }
    Ok(())
}

/// What each part has of a bill.
fn shares(sums: BillSums, parts: &[BillPart]) -> Vec<i64> {
    let said: i64 = parts.iter().filter_map(|part| part.goods).map(|goods| goods.0).sum();
    let weigh = |part: &BillPart| if part.goods.is_some() { 0 } else { part.weight.0 };
    let unsaid = share_out(sums.goods.0 - said, &parts.iter().map(weigh).collect::<Vec<_>>());
    let goods = parts.iter().zip(unsaid);
    let goods: Vec<i64> =
        goods.map(|(part, unsaid)| part.goods.map_or(0, |goods| goods.0) + unsaid).collect();
    let by_goods = if goods.iter().any(|goods| *goods != 0) {
        goods.clone()
    } else {
        parts.iter().map(|part| part.weight.0).collect()
    };
    let beside = share_out(sums.carriage.0 + sums.other.0, &by_goods);
    goods.into_iter().zip(beside).map(|(goods, beside)| goods + beside).collect()
}

/// A sum shared out by weights, whatever their sign, alike if there are none: the shares
/// add up to it.
fn share_out(sum: i64, weights: &[i64]) -> Vec<i64> {
    let all: i128 = weights.iter().map(|weight| i128::from(weight.unsigned_abs())).sum();
    let (all, alike) = if all == 0 { (weights.len() as i128, 1) } else { (all, 0) };
    let (mut so_far, mut given) = (0_i128, 0_i64);
    weights
        .iter()
        .map(|weight| {
            so_far += i128::from(weight.unsigned_abs()) + alike;
            let to = i64::try_from(i128::from(sum) * so_far / all).unwrap_or(sum);
            let share = to - given;
            given = to;
            share
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(goods: Option<i64>, weight: i64) -> BillPart<'static> {
        let goods = goods.map(Money);
        BillPart { line: None, moulding: "M", goods, weight: Money(weight) }
    }

    fn sums(goods: i64, carriage: i64, other: i64) -> BillSums {
        BillSums { goods: Money(goods), carriage: Money(carriage), other: Money(other) }
    }

    /// Computed: 100.00 and 9.00 of carriage. One line is said to be 40.00; of the other
    /// 60.00 two lines of 10.00 and 20.00 have 20.00 and 40.00. The carriage goes by
    /// 40 : 20 : 40, which is 3.60, 1.80 and 3.60.
    #[test]
    fn what_is_not_said_of_a_line_is_shared_by_what_the_lines_are_taken_to_cost() {
        let parts = [part(Some(4000), 3900), part(None, 1000), part(None, 2000)];
        assert_eq!(shares(sums(10_000, 500, 400), &parts), [4360, 2180, 4360]);
        assert_eq!(shares(sums(-10_000, 0, 0), &[part(None, 1), part(None, 3)]), [-2500, -7500]);
    }

    /// Computed: a cent among three is somebody's; where nothing is known, all are alike.
    #[test]
    fn shares_come_to_the_whole() {
        let alike = [part(None, 0), part(None, 0), part(None, 0)];
        assert_eq!(shares(sums(100, 1, 0), &alike), [33, 33, 35]);
        let thirds = [part(None, 7), part(None, 7), part(None, 7)];
        assert_eq!(shares(sums(100, 0, 0), &thirds), [33, 33, 34]);
        assert_eq!(shares(sums(0, 90, 0), &[part(None, 100), part(None, 200)]), [30, 60]);
    }
}
