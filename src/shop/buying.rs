//! What can be bought, and from whom.

use jiff::civil::{Date, Time};

use crate::measure::{Length, Money, Worth};

use super::{Contact, Days, Per};

/// Someone who sells moulding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Supplier {
    /// The shop's short name for them.
    pub id: String,
    /// What they are called.
    pub name: String,
    /// The shop's number with them.
    pub account: String,
    /// Where they are written to.
    pub contact: Contact,
    /// The share of their list's prices that they take off, in ten-thousandths.
    pub discount: u16,
    /// The least that an order must come to.
    pub minimum: Money,
    /// Whether they take no smaller order; else it is charged as much.
    pub refuses: bool,
    /// What carriage costs, by the goods' price; rising `from`, the first from 0.
    pub freight: Vec<Freight>,
    /// What a small order costs more, if it does.
    pub small: Option<SmallOrder>,
    /// Days from order to delivery.
    pub lead_days: u16,
    /// The days on which an order goes out to them.
    pub orders: Days,
    /// Before which an order of such a day must be placed to go out on it; at any time, if
    /// not said.
    pub cut_off: Option<Time>,
    /// The days on which they deliver and the shop takes in.
    pub delivers: Days,
    /// What a parcel with long sticks costs more, if it does.
    pub long: Option<LongParcel>,
    /// Whether they cut sticks in half on request, so that a parcel is not long.
    pub halves: bool,
    /// The last day on which they take an order on these terms.
    pub order_by: Option<Date>,
    /// Anything else.
    pub note: String,
}

/// Carriage for orders from a certain price of goods.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Freight {
    /// The goods' price from which this holds.
    pub from: Money,
    /// What is charged.
    pub charge: Money,
}

/// What is charged once for an order whose goods come to less than this.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SmallOrder {
    /// The least that costs nothing more.
    pub below: Money,
    /// What is charged below it.
    pub charge: Money,
}

/// What is charged once for an order with anything longer than this in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LongParcel {
    /// The longest that costs nothing more.
    pub over: Length,
    /// What is charged beyond it.
    pub charge: Money,
}

/// One moulding as one supplier sells it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// Who sells it.
    pub supplier: String,
    /// Which moulding.
    pub moulding: String,
    /// The supplier's own code for it; empty if not known.
    pub code: String,
    /// How it is sold.
    pub form: Form,
    /// The lengths it comes in; for chops, the rails that they will cut.
    pub lengths: Lengths,
    /// What one `per` costs by their list, to a thousandth of a minor unit.
    pub price: Worth,
    /// The share that the supplier takes off price and steps, in ten-thousandths.
    pub discount: u16,
    /// What the price is for.
    pub per: Per,
    /// Other prices for more, rising `from`; lower, unless the list has a slip.
    pub steps: Vec<PriceStep>,
    /// The least of it that they take in one line: sticks, or boxes.
    pub least_count: u32,
    /// When it can be had.
    pub dates: OfferDates,
    /// Anything else.
    pub note: String,
    /// Its number: its row in `offers.csv`. Those of price lists are counted on after
    /// the last of these.
    pub row: u64,
    /// The file and row of a price list that it stands in, if it is of one.
    pub listed: Option<(String, u64)>,
}

/// When an offer can be had.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct OfferDates {
    /// The first day on which it holds.
    pub from: Option<Date>,
    /// The last.
    pub until: Option<Date>,
    /// The first day on which it is in stock again; the last day of the calendar
    /// where nobody knows.
    pub out_until: Option<Date>,
}

/// How moulding is sold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Whole sticks, one by one.
    Length,
    /// Cartons.
    Box {
        /// What is in one.
        holds: Carton,
    },
    /// Rails cut to size.
    Chop {
        /// The least length billed for a frame.
        least: Length,
        /// What is charged for cutting and packing a frame, beside its length.
        fee: Money,
    },
}

/// What is in a carton.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Carton {
    /// So many sticks.
    Sticks(u32),
    /// Sticks of so much length together.
    Length(Length),
}

/// The lengths that an offer covers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Lengths {
    /// Just these, rising.
    These(Vec<Length>),
    /// Whatever comes, between two lengths.
    Between(Length, Length),
}

/// A price that holds from a certain count of what it is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PriceStep {
    /// From how many feet, metres, sticks or boxes.
    pub from: u32,
    /// The price of one from then on.
    pub price: Worth,
}

/// What was read of a supplier's price list.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PriceList {
    /// Whose it is.
    pub supplier: String,
    /// The file.
    pub file: String,
    /// Its rows below the header, but for blank ones.
    pub rows: u64,
    /// Rows that are offers, or that `offers.csv` refers to or takes the place of.
    pub used: u64,
    /// Rows of mouldings that the shop does not have.
    pub aside: u64,
    /// Rows without a code, such as titles.
    pub nameless: u64,
}

impl Supplier {
    /// Whether an order of this day can still be placed on these terms.
    pub fn takes_orders(&self, date: Date) -> bool {
        self.order_by.is_none_or(|last| self.goes_out(date).is_some_and(|day| day <= last))
    }

    /// Until when an order can wait so that it arrives in time on these terms: the last of the
    /// first day and the open days after it. `None` if that of the first day does not. The later
    /// an order, the later it arrives; so days are tried one after the other.
    pub fn last_order(
        &self,
        open: &Days,
        first: Date,
        is_in_time: impl Fn(Date) -> bool,
    ) -> Option<Date> {
        let will_do =
            |day: &Date| self.takes_orders(*day) && self.arrives(*day).is_some_and(&is_in_time);
        let next = |day: &Date| open.next(day.tomorrow().ok()?);
        std::iter::successors(Some(first), next).take_while(will_do).last()
    }

    /// Whether an order at this time of a day is too late to go out on it: it goes out before
    /// their cut-off, not at it.
    pub fn is_past(&self, time: Time) -> bool {
        self.cut_off.is_some_and(|cut_off| cut_off <= time)
    }

    /// When an order of this day goes out to them; `None` beyond the calendar.
    pub fn goes_out(&self, date: Date) -> Option<Date> {
        self.orders.next(date)
    }

    /// When an order of this day arrives; `None` beyond the calendar.
    pub fn arrives(&self, date: Date) -> Option<Date> {
        let sent = self.goes_out(date)?.checked_add(jiff::Span::new().days(self.lead_days)).ok()?;
        self.delivers.next(sent)
    }
}

impl OfferDates {
    /// Whether it can be ordered on a day.
    pub fn hold_on(&self, date: Date) -> bool {
        self.from.is_none_or(|from| from <= date)
            && self.until.is_none_or(|until| date <= until)
            && self.out_until.is_none_or(|back| back <= date)
    }

    /// Whether both could hold on some day, stock aside.
    pub fn overlap(&self, other: &OfferDates) -> bool {
        let ends = |one: &OfferDates, other: &OfferDates| {
            one.until.zip(other.from).is_some_and(|(until, from)| until < from)
        };
        !ends(self, other) && !ends(other, self)
    }
}

impl Offer {
    /// Where it stands, as it is spoken of: `offers.csv, row 4`.
    pub fn place(&self) -> String {
        match &self.listed {
            Some((file, row)) => format!("{file}, row {row}"),
            None => format!("offers.csv, row {}", self.row),
        }
    }

    /// What is paid of its price, in ten-thousandths.
    pub fn paid(&self) -> i64 {
        i64::from(WHOLE - self.discount)
    }

    /// The least that so much moulding costs by it, at its lowest step: of random lengths
    /// each stick counts as the shortest. `None` of chops.
    pub fn least_of(&self, length: Length) -> Option<Worth> {
        self.at(self.least(), length).and_then(|cost| self.less_discount(cost))
    }

    /// The same of rails that they cut, without what they charge for cutting; `None` of all
    /// else.
    pub fn least_of_rails(&self, length: Length) -> Option<Worth> {
        let of = self.per.length().filter(|_| matches!(self.form, Form::Chop { .. }))?;
        costs(self.least(), length, of).and_then(|cost| self.less_discount(cost))
    }

    /// Its price at its lowest step.
    fn least(&self) -> Worth {
        let steps = self.steps.iter().map(|step| step.price);
        steps.fold(self.price, Worth::min)
    }

    fn less_discount(&self, cost: i64) -> Option<Worth> {
        let paid = i128::from(cost) * i128::from(self.paid());
        i64::try_from(paid / i128::from(WHOLE)).ok().map(Worth)
    }

    /// What so much moulding costs by it at a price, before any discount; `None` of chops.
    pub fn at(&self, price: Worth, length: Length) -> Option<i64> {
        let (shortest, longest) = self.lengths.ends();
        let of = match (self.form, self.per) {
            (Form::Chop { .. }, _) => return None,
            (_, Per::Foot | Per::Metre) => self.per.length()?,
            // The longer of several lengths is the same price a stick.
            (_, Per::Stick) => match self.lengths {
                Lengths::These(_) => longest,
                Lengths::Between(..) => shortest,
            },
            (Form::Box { holds }, Per::Box) => shortest * i64::from(holds.sticks(longest)),
            (Form::Length, Per::Box) => return None,
        };
        costs(price, length, of)
    }

    /// Whether some step costs more for each than a smaller order does: a slip,
    /// or a list that nobody would follow.
    pub fn is_dearer_for_more(&self) -> bool {
        let steps = self.steps.iter().map(|step| step.price);
        let prices: Vec<Worth> = std::iter::once(self.price).chain(steps).collect();
        prices.windows(2).any(|pair| pair[1] > pair[0])
    }
}

/// What a length costs where another costs so much.
fn costs(price: Worth, length: Length, of: Length) -> Option<i64> {
    let cost = i128::from(price.0) * i128::from(length.nm()) / i128::from(of.nm().max(1));
    i64::try_from(cost).ok()
}

impl Carton {
    /// How many sticks of this length are sure to be in it: those of a range
    /// may all be as long as the longest.
    pub fn sticks(self, longest: Length) -> u32 {
        match self {
            Carton::Sticks(sticks) => sticks,
            Carton::Length(length) => u32::try_from(length.nm() / longest.nm()).unwrap_or(0),
        }
    }
}

impl Lengths {
    /// The shortest and the longest.
    pub fn ends(&self) -> (Length, Length) {
        match self {
            Lengths::These(lengths) => (
                lengths.first().copied().unwrap_or_default(),
                lengths.last().copied().unwrap_or_default(),
            ),
            Lengths::Between(from, to) => (*from, *to),
        }
    }
}

/// A discount of everything.
pub const WHOLE: u16 = 10_000;

/// What a supplier's saw takes when a stick is halved, and their own tolerance:
/// each half is planned this much shorter. Common practice, no source.
const HALVING: Length = Length::from_mm(3);

/// How long each half of a stick is planned.
pub fn halved(stick: Length) -> Length {
    Length::from_nm(stick.nm() / 2) - HALVING
}
