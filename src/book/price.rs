//! The price at which a line was ordered, and what of it that came costs at that price.

use rusqlite::Connection;

use super::bounded::DEAREST;
use super::error::BookError;
use super::on_order::PlacedLine;
use crate::buy::{
    OfferQuantity, chop_fee, is_billed_as_it_comes, price_at, priced, quantity, step_reached,
};
use crate::measure::{Length, Money, Worth};
use crate::plan::{OrderLine, Plan};
use crate::shop::{Shop, WHOLE};

/// The price at which a line was ordered.
pub(super) struct LinePrice {
    /// What is paid, so many times as a discount has parts.
    pub price: Worth,
    /// What the price is for, as many times: nanometres where it goes by length, else 1.
    pub per: i64,
    /// How much the line is of what the price is for; `None` if what comes is billed by
    /// its length.
    pub whole: Option<i64>,
    /// What each chopped frame costs beside that.
    pub fee: Money,
}

impl LinePrice {
    /// The price of a line of a plan's order, at the step that all of its offer reaches;
    /// `None` where the plan does not choose an offer.
    pub fn of(shop: &Shop, plan: &Plan, line: &OrderLine) -> Option<LinePrice> {
        let offer = shop.offers.iter().find(|offer| Some(offer.row) == line.offer)?;
        let lot = |line: &OrderLine| OfferQuantity { length: line.length, count: line.count };
        let all = plan.order.lines.iter().filter(|other| other.offer == line.offer);
        let all: Vec<OfferQuantity> = all.map(lot).collect();
        let (amount, per) = quantity(offer, &[lot(line)]);
        let as_it_comes = is_billed_as_it_comes(offer) && !line.halved;
        Some(LinePrice {
            price: Worth(price_at(offer, step_reached(offer, &all)).0 * offer.paid()),
            per: i64::try_from(per * i128::from(WHOLE)).unwrap_or(i64::MAX),
            whole: (!as_it_comes).then(|| i64::try_from(amount).unwrap_or(i64::MAX)),
            fee: chop_fee(offer),
        })
    }

    /// What so many pieces of so many cost, of which the lengths are known.
    fn of_some(&self, (came, all): (u32, u32), length: Length) -> Money {
        let (came, all, per) = (i128::from(came), i128::from(all.max(1)), i128::from(self.per));
        let goods = match self.whole {
            None => priced((i128::from(length.nm()), per), self.price),
            Some(whole) => priced((i128::from(whole) * came, per * all), self.price),
        };
        let fees = i64::try_from(came * i128::from(self.fee.0)).unwrap_or(i64::MAX);
        Money(goods.0.saturating_add(fees))
    }
}

/// What came of a line, end to end, as it was received.
pub(super) fn length_that_came(db: &Connection, line: i64) -> Result<Length, BookError> {
    let sql = "SELECT coalesce(sum(m.nm), 0) FROM movement m JOIN stick s ON s.id = m.stick
               WHERE s.line = ? AND m.kind = 'received'";
    Ok(db.prepare_cached(sql)?.query_row([line], |row| row.get::<_, Length>(0))?)
}

/// How many pieces of a line came shorter than they were ordered, and by how much
/// together.
pub(super) fn what_came_short(
    db: &Connection,
    line: &PlacedLine,
) -> Result<(u32, Length), BookError> {
    let sql = "SELECT count(*), coalesce(sum(?2 - nm), 0) FROM
               (SELECT sum(m.nm) AS nm FROM movement m JOIN stick s ON s.id = m.stick
                WHERE s.line = ?1 AND m.kind = 'received' GROUP BY s.id)
               WHERE nm > 0 AND nm < ?2";
    let mut query = db.prepare_cached(sql)?;
    Ok(query.query_row([line.line, line.piece.nm()], |row| {
        Ok((row.get(0)?, row.get::<_, Length>(1)?))
    })?)
}

/// What so much as came of a line costs at the price at which it was ordered; of a line
/// whose price is not kept, its share of the cost of all of it. `None` if that is not
/// known either.
pub(super) fn of_what_came(db: &Connection, line: &PlacedLine) -> Result<Option<Money>, BookError> {
    let read =
        "SELECT price, per, whole, fee FROM line WHERE id = ? AND price IS NOT NULL AND per > 0";
    let mut query = db.prepare_cached(read)?;
    let mut rows = query.query([line.line])?;
    let part = (line.came, line.all());
    let price = match rows.next()? {
        Some(row) => Some(LinePrice {
            price: row.get(0)?,
            per: row.get(1)?,
            whole: row.get::<_, Option<Length>>(2)?.map(Length::nm),
            fee: row.get(3)?,
        }),
        // As if the line were one thing at the price of the whole.
        None => {
            let whole = |cost: Money| LinePrice {
                price: cost.into(),
                per: 1,
                whole: Some(1),
                fee: Money(0),
            };
            line.cost.map(whole)
        }
    };
    let Some(price) = price else { return Ok(None) };
    let cost = price.of_some(part, length_that_came(db, line.line)?);
    match cost.0.unsigned_abs() > DEAREST {
        true => Err(BookError::Damaged("a price is beyond all measure".to_owned())),
        false => Ok(Some(cost)),
    }
}
