//! What suppliers say, send and bill, to the book and to the model.

use std::collections::BTreeMap;

use jiff::ToSpan;
use jiff::civil::Date;
use longpoint::book::{BillSums, Confirmation, Delivery, Invoice};
use longpoint::measure::{Length, Money};

use super::super::day::{Piece, Placed};
use super::{Walk, pick};

impl Walk {
    fn open_line(&self, line: u8) -> Option<(i64, Placed)> {
        let open = self.model.placed.iter().filter(|(_, line)| line.is_open());
        let open: Vec<(i64, Placed)> = open.map(|(line, of)| (*line, of.clone())).collect();
        pick(&open, usize::from(line))
    }

    /// Some sticks of an open line come, longer or shorter than ordered.
    pub(super) fn deliver(&mut self, line: u8, count: u8, short: u16) -> Option<&'static str> {
        let (line, of) = self.open_line(line)?;
        let length = Length::from_nm(2_500_000_000 + i64::from(short) * 9_001);
        let delivery = Delivery {
            lengths: vec![length; usize::from(count)],
            line: Some(line),
            ..some(&of.moulding, length, &format!("D{line}"), "bay 2")
        };
        let done = self.book.receive(&delivery, &self.stamp);
        let came = self.allowed(done, u32::from(count) <= of.left)?;
        assert_eq!(came.open, of.left - u32::from(count));
        let placed = self.model.placed.get_mut(&line).unwrap();
        placed.left = came.open;
        placed.came += u32::from(count);
        for stick in came.sticks {
            placed.length += length;
            let (moulding, place) = (of.moulding.clone(), "bay 2".to_owned());
            self.model.came += length;
            let piece = Piece { length, moulding, place, at_bench: false };
            assert!(self.model.sticks.insert(stick.id, piece).is_none());
        }
        Some("deliver")
    }

    pub(super) fn give_up(&mut self, line: u8) -> Option<&'static str> {
        let (line, _) = self.open_line(line)?;
        let done = self.book.drop_lines(&[(line, None)], &self.stamp);
        self.allowed(done, true)?;
        self.model.placed.get_mut(&line).unwrap().is_dropped = true;
        Some("drop")
    }

    /// Some of a line are given up: they are sticks, each of them a piece.
    pub(super) fn give_up_some(&mut self, line: u8, count: u8) -> Option<&'static str> {
        let (line, of) = self.open_line(line)?;
        let count = u32::from(count % 4);
        let done = self.book.drop_lines(&[(line, Some(count))], &self.stamp);
        self.allowed(done, (1..=of.left).contains(&count))?;
        self.model.placed.get_mut(&line).unwrap().left -= count;
        Some("drop some")
    }

    /// A day some time after, or a few days before, another.
    fn day_after(&self, day: Date, days: u8) -> Date {
        day.checked_add((i64::from(days % 40) - 4).days()).unwrap()
    }

    pub(super) fn confirm(&mut self, line: u8, days: u8) -> Option<&'static str> {
        let (line, of) = self.open_line(line)?;
        let on = (days % 3 > 0).then(|| self.day_after(of.date, days));
        let reference = (days % 2 > 0).then(|| format!("R {line}"));
        let whose = |other: &Placed| (other.order, &other.supplier) == (of.order, &of.supplier);
        let is_told = |other: &Placed| whose(other) && other.is_open() && !other.is_late;
        let any = self.model.placed.values().any(is_told);
        let said = Confirmation {
            order: of.order,
            supplier: Some(of.supplier.clone()),
            on,
            reference: reference.clone(),
        };
        let done = self.book.confirm(&said, &self.stamp);
        let may_come = |day: Date| day >= of.date && day >= self.stamp.at.date();
        let told = self.allowed(done, !any || on.is_none_or(may_come))?;
        let own = self.model.placed.values_mut().filter(|other| whose(other));
        let mut open = 0;
        for other in own {
            other.reference = reference.clone().unwrap_or(other.reference.clone());
            open += usize::from(other.is_open());
            if is_told(other) {
                other.is_confirmed = true;
                other.arrives = on.or(other.arrives);
            }
        }
        assert_eq!(told.len(), open);
        Some("confirm")
    }

    pub(super) fn expect(&mut self, line: u8, days: u8) -> Option<&'static str> {
        let (line, of) = self.open_line(line)?;
        let on = (days % 3 > 0).then(|| self.day_after(of.date, days));
        let done = self.book.expect((&[line], on), &self.stamp);
        let may_come = |day: Date| day >= of.date && day >= self.stamp.at.date();
        self.allowed(done, on.is_none_or(may_come))?;
        let placed = self.model.placed.get_mut(&line).unwrap();
        (placed.is_late, placed.arrives) = (true, on);
        Some("expect")
    }

    /// A stick is bought round the corner.
    pub(super) fn rescue(&mut self, length: u16, cost: u8) -> Option<&'static str> {
        let length = Length::from_nm(300_000_000 + i64::from(length) * 40_001);
        let delivery = some("OAK", length, "", "bay 1");
        let done = self.book.buy(&delivery, ("Round the corner", Money(cost.into())), &self.stamp);
        let stick = self.allowed(done, true)?.sticks.remove(0);
        self.model.came += length;
        self.model.paid += i64::from(cost);
        let (moulding, place) = (stick.moulding, stick.place);
        self.model.sticks.insert(stick.id, Piece { length, moulding, place, at_bench: false });
        Some("rescue")
    }

    /// A bill comes, or a credit: of an order of which all, some or nothing has come.
    pub(super) fn invoice(&mut self, line: u8, goods: u16) -> Option<&'static str> {
        let all: Vec<(i64, Placed)> =
            self.model.placed.iter().map(|(line, of)| (*line, of.clone())).collect();
        let (line, of) = pick(&all, usize::from(line))?;
        let key = (of.order, of.supplier.clone());
        let is_own = |other: &&(i64, Placed)| (other.1.order, &other.1.supplier) == (key.0, &key.1);
        let own: Vec<&(i64, Placed)> = all.iter().filter(is_own).collect();
        let (goods, is_credit) = (i64::from(goods), goods % 3 == 0);
        let said = if goods % 3 == 0 { goods } else { goods / 2 };
        let lines = match goods % 5 {
            0 => BTreeMap::new(),
            _ => BTreeMap::from([(line, Money(said))]),
        };
        let number = if goods % 7 == 0 { String::new() } else { (goods % 6).to_string() };
        let carriage = Money(goods / 10);
        let invoice = Invoice {
            order: of.order,
            supplier: Some(of.supplier.clone()),
            number: number.clone(),
            sums: BillSums { goods: Money(goods), carriage, other: Money(0) },
            is_credit,
            is_another: false,
            lines: lines.clone(),
        };
        let sign = if is_credit { -1 } else { 1 };
        // Known by its number, or by its sums where it or the other has none.
        let sums = format!("{} and {}", sign * goods, sign * carriage.0);
        let unnumbered = format!("without a number {sums}");
        let knows = |name: &String| self.model.invoices.contains(&(key.clone(), name.clone()));
        let is_new = match number.is_empty() {
            true => !knows(&sums),
            false => !knows(&number) && !knows(&unnumbered),
        };
        let before = self.model.billed.get(&key).copied().unwrap_or_default();
        let billed = (before.0 + sign * goods, before.1 + sign * carriage.0);
        let total = sign * (goods + carriage.0);
        let is_whole = lines.is_empty() || own.len() > 1 || said == goods;
        let is_covered = billed.0 >= 0 && billed.1 >= 0;
        let done = self.book.invoice(&invoice, &self.stamp);
        let reckoning = self.allowed(done, is_whole && is_new && is_covered)?;
        self.model.paid += total;
        let named = if number.is_empty() { unnumbered } else { number };
        self.model.invoices.extend([(key.clone(), named), (key.clone(), sums)]);
        self.model.billed.insert(key, billed);
        let BillSums { goods, carriage, .. } = reckoning.billed;
        assert_eq!((goods.0, carriage.0), billed);
        assert_eq!(reckoning.lines.len(), own.len());
        for (line, (number, own)) in reckoning.lines.iter().zip(own) {
            let is = (line.line.line, line.length, line.line.came);
            assert_eq!(is, (*number, own.length, own.came));
            assert_eq!(line.worth, Some(Money(own.worth())), "{own:?}");
        }
        Some(if is_credit { "credit" } else { "invoice" })
    }
}

fn some(moulding: &str, length: Length, lot: &str, place: &str) -> Delivery {
    Delivery {
        moulding: moulding.to_owned(),
        lengths: vec![length],
        lot: lot.to_owned(),
        place: place.to_owned(),
        flaws: Vec::new(),
        line: None,
    }
}
