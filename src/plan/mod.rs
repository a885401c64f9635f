//! The plan as plain data: what every sheet, file and check is made from.

mod held;
mod not_bought;
mod ordered;
mod overdue;
mod owed;
mod promised;
mod pushed;
mod spare_use;
mod turns;
mod warned;
mod wishes;

pub use crate::buy::Bill;
pub use crate::offcuts::Left;
pub use held::{HoldReason, WaitReason};
pub use not_bought::NotBought;
pub use ordered::{
    Account, Advice, Awaited, Certainty, Chopped, Order, OrderDeadline, OrderLine, Yield,
};
pub use overdue::Overdue;
pub use owed::Owed;
pub use promised::{BrokenBy, BrokenPromise};
pub use pushed::{PushedBack, WhenMade, pushed};
pub use spare_use::SpareUse;
pub(crate) use spare_use::with_spares;
pub(crate) use turns::last_turns;
pub use wishes::Wishes;

use std::borrow::Cow;
use std::collections::BTreeSet;

use jiff::civil::Date;

use crate::measure::{Length, Mitre, Worth};
use crate::rails::Side;
use crate::shop::{Flaw, Kind, Match, Shop, Stop};
use crate::stops::StopPosition;

/// Is told how many mouldings are done, and of how many.
pub type Told<'a> = &'a (dyn Fn(usize, usize) + Sync);

/// What to cut today, what to order, and what cannot be made as asked.
///
/// Every copy of every frame that the wishes concern is in exactly one of the
/// three: all its rails in `today`, itself in `waiting` (and all its rails in
/// `order.sticks` or, if what is on order suffices or it waits for others, in
/// `order.coming`, unless nothing is to be bought), or in `held`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    /// The shop's name.
    pub shop: String,
    /// The morning that is planned.
    pub date: Date,
    /// What was wished of this plan alone.
    pub wishes: Wishes,
    /// The sticks to cut today, in the order in which they go to the bench.
    pub today: Vec<CutStick>,
    /// The spare rails that frames take, so that nobody cuts those: of a frame that
    /// neither waits nor is held, today.
    pub spares: Vec<SpareUse>,
    /// What to buy, and what the waiting frames will be cut from.
    pub order: Order,
    /// The frames that wait for moulding.
    pub waiting: Vec<Waiting>,
    /// The frames that are impossible as asked.
    pub held: Vec<Held>,
    /// No plan as good as today's sets the stops and mitres of all machines
    /// together fewer times: none that serves the dates as well, uses up as little
    /// and takes as few sticks.
    pub least_settings: u32,
    /// For each moulding and part, how good the plan is known to be.
    pub proof: Vec<Proof>,
    /// For each moulding and part with match rules, what they cost.
    pub matching: Vec<Matching>,
    /// For each moulding of which there is an offcut on the rack, what they are
    /// good for.
    pub offcuts: Vec<OffcutUse>,
    /// What the framer should look at before cutting.
    pub warnings: Vec<Warning>,
}

impl Plan {
    /// The shop once the spare rails are with the frames that take them.
    pub fn served<'a>(&self, shop: &'a Shop) -> Cow<'a, Shop> {
        with_spares(shop, &self.spares)
    }

    /// The copies that could be cut today and wait for others.
    pub fn patient(&self) -> impl Iterator<Item = &Waiting> {
        self.waiting.iter().filter(|waiting| waiting.reason.is_patience())
    }

    /// The sticks that frames are cut from once what is on order has come, and those that
    /// others will be that wait for one another.
    pub fn coming_and_put_off(&self) -> (Vec<&CutStick>, Vec<&CutStick>) {
        let is_patient = |rail: &PlacedRail| {
            self.patient().any(|of| (&of.frame, of.copy) == (&rail.frame, rail.copy))
        };
        let put_off = |stick: &&CutStick| stick.rails.iter().any(is_patient);
        self.order.coming.iter().partition(|stick| !put_off(stick))
    }

    /// The plan as far as it is ordered from some suppliers only.
    pub(crate) fn ordered_from(&self, suppliers: &BTreeSet<String>) -> Plan {
        let mut plan = self.clone();
        let is_one = |supplier: &String| suppliers.contains(supplier);
        plan.order.lines.retain(|line| is_one(&line.supplier));
        plan.order.chops.retain(|chop| is_one(&chop.supplier));
        plan.order.bills.retain(|bill| is_one(&bill.supplier));
        plan.order.deadlines.retain(|deadline| is_one(&deadline.supplier));
        plan
    }

    /// The spare rails of frames that are made today.
    pub fn spares_today(&self) -> impl Iterator<Item = &SpareUse> {
        let is_later = |of: &&SpareUse| {
            let waits = self.waiting.iter().map(|waits| (&waits.frame, waits.copy));
            let mut later = waits.chain(self.held.iter().map(|held| (&held.frame, held.copy)));
            later.any(|copy| copy == (&of.frame, of.copy))
        };
        self.spares.iter().filter(move |of| !is_later(of))
    }

    /// Sticks that are cut, by themselves: a plan that says nothing else.
    pub fn of_sticks(shop: &Shop, date: Date, today: Vec<CutStick>) -> Plan {
        Plan {
            shop: shop.settings.name.clone(),
            date,
            wishes: Wishes::default(),
            today,
            spares: Vec::new(),
            order: Order::default(),
            waiting: Vec::new(),
            held: Vec::new(),
            proof: Vec::new(),
            least_settings: 0,
            matching: Vec::new(),
            offcuts: Vec::new(),
            warnings: Vec::new(),
        }
    }
}

/// One stick and the rails that come off it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutStick {
    /// The rack's id, the name of a stick on order, or `new-1`, `new-2`, ... for a
    /// stick to be bought.
    pub stick: String,
    /// Whether it is still to be bought.
    pub is_new: bool,
    /// Which moulding.
    pub moulding: String,
    /// Its whole length along the back edge.
    pub length: Length,
    /// Its lot; empty if not known.
    pub lot: String,
    /// Where it lies; empty if not known.
    pub place: String,
    /// What may not be in any rail.
    pub flaws: Vec<Flaw>,
    /// What is cut away at the marked end before the first rail.
    pub first_trim: Length,
    /// The rails in cutting order, from the marked end.
    pub rails: Vec<PlacedRail>,
    /// What remains beyond the last rail.
    pub left: Left,
    /// What remains worth keeping before a flaw that a later rail lies beyond.
    pub between: Vec<Left>,
    /// Its worth before it is cut.
    pub worth: Worth,
    /// Who it is to be bought from; empty on the rack, or where the plan does not
    /// choose.
    pub supplier: String,
}

impl CutStick {
    /// Its worth less the worth of what is kept of it.
    pub fn used_up(&self) -> Worth {
        let between: Worth = self.between.iter().map(|left| left.worth).sum();
        self.worth - self.left.worth - between
    }
}

/// A rail in its place on a stick.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlacedRail {
    /// The frame's ticket number.
    pub frame: String,
    /// Which copy, counted from 1.
    pub copy: u32,
    /// Which layer, counted from 1, innermost first.
    pub layer: usize,
    /// Which side of the frame.
    pub side: Side,
    /// The frame's mitre.
    pub mitre: Mitre,
    /// Where its first long point is, along the back edge from the marked end.
    pub from: Length,
    /// Where its second long point is.
    pub to: Length,
    /// Tip to tip along the back edge.
    pub long_point: Length,
    /// Along the rabbet.
    pub rabbet: Length,
    /// Tip to tip along the sight edge.
    pub sight: Length,
    /// Cut head to tail: the stick is turned over for this rail.
    pub turned: bool,
}

impl PlacedRail {
    /// How a machine with this stop is set for it.
    pub fn setting(&self, stop: Stop) -> StopPosition {
        (stop.reading(self.long_point, self.rabbet, self.sight), self.mitre)
    }
}

/// A frame copy that waits for moulding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Waiting {
    /// The frame's ticket number.
    pub frame: String,
    /// Which copy, counted from 1.
    pub copy: u32,
    /// When it is wanted.
    pub due: Option<Date>,
    /// What it waits for.
    pub reason: WaitReason,
}

/// A frame copy that is impossible as asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Held {
    /// The frame's ticket number.
    pub frame: String,
    /// Which copy, counted from 1.
    pub copy: u32,
    /// Why, and what would mend it.
    pub reason: HoldReason,
}

/// Which half of the plan a proof is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// What is cut today.
    Today,
    /// What the waiting frames will be cut from once what is on order has come.
    Coming,
    /// What the waiting frames will be cut from that more is ordered for.
    Order,
}

impl Part {
    /// The word used in files and on sheets.
    pub const fn word(self) -> &'static str {
        match self {
            Part::Today => "today",
            Part::Coming => "coming",
            Part::Order => "order",
        }
    }
}

/// How good one moulding's part of the plan is known to be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Proof {
    /// Which moulding.
    pub moulding: String,
    /// Which part of the plan.
    pub part: Part,
    /// Whether no plan is better, under the rules.
    pub proven: bool,
    /// Worth of the sticks taken less the worth of what goes back.
    pub used_up: Worth,
    /// No plan uses up less than this.
    pub bound: Worth,
    /// How many sticks are taken.
    pub sticks: u32,
    /// Whether worth is money; else it is length, in thousandths of a millimetre.
    pub priced: bool,
}

/// What the match rules cost: the same frames with and without them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Matching {
    /// Which moulding.
    pub moulding: String,
    /// Which part of the plan.
    pub part: Part,
    /// The sticks taken under the rules.
    pub sticks: u32,
    /// The sticks that would be taken if every rail could come from any stick.
    pub sticks_free: u32,
    /// The worth used up under the rules.
    pub used_up: Worth,
    /// The worth that would be used up without them.
    pub used_up_free: Worth,
    /// Whether both figures are proven.
    pub proven: bool,
    /// As in [`Proof::priced`].
    pub priced: bool,
}

/// What the offcuts of one moulding on the rack are good for. An offcut is a
/// stick shorter than its moulding is sold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OffcutUse {
    /// Which moulding.
    pub moulding: String,
    /// What today's frames would use up at least if they were cut from whole
    /// sticks alone, on the rack or bought, less what they do use up; nothing
    /// where no offcut is cut, or where it is not known.
    pub saved: Worth,
    /// The offcuts that neither today nor the order has a use for, in the order
    /// of the rack.
    pub idle: Vec<String>,
    /// As in [`Proof::priced`].
    pub priced: bool,
}

/// Something to look at before cutting; the frame is planned all the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Warning {
    /// The package is thicker than the rabbet is deep, or what is in a floater than that.
    TooThick {
        /// The frame's ticket number.
        frame: String,
        /// The layer whose rabbet leaves it least room, counted from 1.
        layer: usize,
        /// Its moulding.
        moulding: String,
        /// How that is made: a floater is never built out.
        kind: Kind,
        /// How thick the package is.
        thickness: Length,
        /// How deep the rabbet is, less the lips of the layers within it.
        depth: Length,
    },
    /// The frame is wanted before the morning that is planned.
    Late {
        /// The frame's ticket number.
        frame: String,
        /// When it was wanted.
        due: Date,
    },
    /// A match weaker than asked was used, because the stronger is impossible.
    Relaxed {
        /// The frame's ticket number.
        frame: String,
        /// Which layer.
        layer: usize,
        /// The match asked for.
        asked: Match,
        /// The match that the plan gives.
        given: Match,
    },
}
