//! The figures that a shop looks at: what became of its moulding, month by month.

use std::collections::BTreeMap;

use rusqlite::Connection;

use super::error::BookError;
use super::ledger::Book;
use super::sheet_audit::{self, SheetUse};
use super::source_files;
use crate::measure::{Length, Money, Rate, Worth};
use crate::shop::Shop;

/// What became of moulding, over all of it, by month and by moulding.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Figures {
    /// By month, such as `2026-11`, over all mouldings.
    pub months: Vec<(String, Use)>,
    /// By moulding, over all months.
    pub mouldings: Vec<(String, Use)>,
    /// Both together.
    pub each: Vec<(String, String, Use)>,
    /// What became of boards and glass, by material.
    pub sheets: Vec<(String, SheetUse)>,
}

/// What became of some moulding. Mouldings without a price count in lengths, but
/// not in money.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Use {
    /// Rails that were cut well.
    pub rails: Length,
    /// Rails that were spoiled.
    pub spoiled: Length,
    /// How many rails were spoiled.
    pub spoiled_rails: i64,
    /// What the spoiled rails' moulding costs.
    pub spoiled_cost: Worth,
    /// Joints and trims.
    pub lost: Length,
    /// What was thrown away.
    pub scrap: Length,
    /// What was thrown away, in money.
    pub scrap_cost: Worth,
    /// Offcuts that were racked.
    pub racked: Length,
    /// What was cut from offcuts: from what was left of other sticks, and from
    /// sticks that were shorter than their moulding's usual one when the book
    /// was begun.
    pub from_offcuts: Length,
    /// What was bought.
    pub bought: Length,
    /// What the trade's rule of thumb would have bought for the frames that what
    /// came was ordered for.
    pub usual: Length,
    /// What was really paid for what was bought, carriage and all, as far as it was billed
    /// or said.
    pub paid: Money,
    /// What a stock-take found too much, or, below zero, too little.
    pub counted: Length,
}

impl Use {
    /// What was used up of sticks: rails and all that was lost with them.
    pub fn used(&self) -> Length {
        self.rails + self.spoiled + self.lost + self.scrap
    }

    /// Rail length over stick length used, in thousandths; nothing if none was.
    pub fn per_mille(&self) -> Option<i64> {
        let used = self.used().nm();
        let rails = i128::from(self.rails.nm()) * 1000;
        (used > 0).then(|| i64::try_from(rails / i128::from(used)).unwrap_or(0))
    }

    fn add(&mut self, other: &Use) {
        self.rails += other.rails;
        self.spoiled += other.spoiled;
        self.spoiled_rails += other.spoiled_rails;
        self.spoiled_cost += other.spoiled_cost;
        self.lost += other.lost;
        self.scrap += other.scrap;
        self.scrap_cost += other.scrap_cost;
        self.racked += other.racked;
        self.from_offcuts += other.from_offcuts;
        self.bought += other.bought;
        self.usual += other.usual;
        self.paid = self.paid + other.paid;
        self.counted += other.counted;
    }
}

impl Book {
    /// The figures of all that the book has. What was undone counts on the day
    /// on which it was done, so it comes to nothing; a rail that was spoiled later
    /// counts as spoiled on the day on which it was cut.
    ///
    /// # Errors
    /// If the book cannot be read or is empty.
    pub fn figures(&self) -> Result<Figures, BookError> {
        self.look(|db| {
            let shop = source_files::typed(db)?;
            let mut each: BTreeMap<(String, String), Use> = BTreeMap::new();
            movements(db, &shop, &mut each)?;
            orders(db, &mut each)?;
            bills(db, &mut each)?;
            let mut figures = Figures::default();
            let (mut months, mut mouldings) = (BTreeMap::new(), BTreeMap::new());
            for ((month, moulding), used) in each.into_iter().filter(|(_, u)| *u != Use::default())
            {
                months.entry(month.clone()).or_insert_with(Use::default).add(&used);
                mouldings.entry(moulding.clone()).or_insert_with(Use::default).add(&used);
                figures.each.push((month, moulding, used));
            }
            figures.months.extend(months);
            figures.mouldings.extend(mouldings);
            figures.sheets.extend(sheet_audit::uses(db)?);
            Ok(figures)
        })
    }
}

/// A rail that turns out bad, or is good again, does so in the month of the cut that
/// took it off its stick: not in that of a step between, or of a cut that was undone.
fn movements(
    db: &Connection,
    shop: &Shop,
    each: &mut BTreeMap<(String, String), Use>,
) -> Result<(), BookError> {
    let mut query = db.prepare(
        "SELECT substr(coalesce(CASE WHEN m.kind IN ('rail', 'spoiled') AND t.what <> 'cut' THEN
             (SELECT c.at FROM movement f JOIN step c ON c.id = f.step AND c.what = 'cut'
              WHERE f.rail = m.rail AND f.kind = 'rail' AND f.id < m.id AND NOT EXISTS
                (SELECT 1 FROM step u WHERE u.undoes = c.id AND u.id < m.step)
              ORDER BY f.id DESC LIMIT 1) END, o.at, t.at), 1, 7),
           s.moulding, m.kind, s.parent IS NOT NULL,
           m.other IS NOT NULL AND m.other IS s.parent, sum(m.nm), sum(CASE WHEN m.nm < 0 THEN 1 ELSE -1 END),
           (SELECT f.nm FROM movement f WHERE f.stick = s.id AND f.kind = 'opened')
         FROM movement m JOIN stick s ON s.id = m.stick JOIN step t ON t.id = m.step
         LEFT JOIN step o ON o.id = t.undoes
         GROUP BY 1, 2, 3, 4, 5, 8",
    )?;
    let mut rows = query.query([])?;
    while let Some(row) = rows.next()? {
        let (month, moulding): (String, String) = (row.get(0)?, row.get(1)?);
        let (kind, has_parent): (String, bool) = (row.get(2)?, row.get(3)?);
        let begun_with = row.get::<_, Option<i64>>(7)?.map(Length::from_nm);
        let usual = shop.mouldings.get(&moulding).map(|moulding| moulding.stick);
        let is_offcut = has_parent || begun_with.zip(usual).is_some_and(|(is, usual)| is < usual);
        let from_parent: bool = row.get(4)?;
        let (nm, count) = (row.get::<_, Length>(5)?, row.get::<_, i64>(6)?);
        let cost = |length| price(shop, &moulding, length);
        let of = each.entry((month.clone(), moulding.clone())).or_default();
        if is_offcut && matches!(kind.as_str(), "rail" | "spoiled" | "joint" | "trim" | "scrap") {
            of.from_offcuts += -nm;
        }
        match kind.as_str() {
            "rail" => of.rails += -nm,
            "spoiled" => {
                of.spoiled += -nm;
                of.spoiled_rails += count;
                of.spoiled_cost += cost(-nm);
            }
            "joint" | "trim" => of.lost += -nm,
            "scrap" => {
                of.scrap += -nm;
                of.scrap_cost += cost(-nm);
            }
            "offcut" if from_parent => of.racked += nm,
            "received" => of.bought += nm,
            "counted" => of.counted += nm,
            _ => {}
        }
    }
    Ok(())
}

/// What a length costs at the moulding's price; nothing without one.
fn price(shop: &Shop, moulding: &str, length: Length) -> Worth {
    let priced = shop.mouldings.get(moulding).filter(|moulding| moulding.price.is_some());
    priced.map_or(Worth(0), |moulding| {
        let (amount, per) = moulding.rate();
        Rate { amount, per }.of(length)
    })
}

/// What the rule of thumb would have bought, as far as it has come: of a line of
/// which half the pieces are here, half.
fn orders(db: &Connection, each: &mut BTreeMap<(String, String), Use>) -> Result<(), BookError> {
    let mut query = db.prepare(
        "SELECT substr(coalesce(o.at, t.at), 1, 7), l.moulding,
           sum(l.needed * min(n.is_now, l.all_of) / l.all_of
             - l.needed * min(n.was, l.all_of) / l.all_of)
         FROM note n
         JOIN (SELECT id, moulding, needed,
             CASE WHEN form = 'chop' THEN count ELSE pieces END AS all_of FROM line) l
           ON l.id = n.row AND l.all_of > 0
         JOIN step t ON t.id = n.step LEFT JOIN step o ON o.id = t.undoes
         WHERE n.field = 'line.came' GROUP BY 1, 2",
    )?;
    let mut rows = query.query([])?;
    while let Some(row) = rows.next()? {
        let of = each.entry((row.get(0)?, row.get(1)?)).or_default();
        of.usual += row.get::<_, Length>(2)?;
    }
    Ok(())
}

/// What was paid, in the month in which it was entered.
fn bills(db: &Connection, each: &mut BTreeMap<(String, String), Use>) -> Result<(), BookError> {
    let mut query = db.prepare(
        "SELECT substr(t.at, 1, 7), d.moulding, sum(d.share)
         FROM billed d JOIN bill b ON b.id = d.bill JOIN step t ON t.id = b.step
         WHERE b.state IS NOT NULL GROUP BY 1, 2",
    )?;
    let mut rows = query.query([])?;
    while let Some(row) = rows.next()? {
        let of = each.entry((row.get(0)?, row.get(1)?)).or_default();
        of.paid = of.paid + row.get(2)?;
    }
    Ok(())
}
