//! What one frame more costs in moulding: the plan with it less the plan without.

use jiff::civil::Date;

use crate::measure::{Length, Mitre, Worth};
use crate::morning::plan;
use crate::plan::{Account, Bill, CutStick, HoldReason, OrderLine, Part, Plan};
use crate::rails::{Rail, frame_footage, frame_rails};
use crate::shop::{Frame, FrameProgress, Layer, Match, Offer, Shop};
use crate::solve::Limits;
use crate::verify::Fault;

/// So many mouldings near the one asked for are quoted beside it.
const NEAR: usize = 4;

/// What is asked at the counter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wish {
    /// Which moulding.
    pub moulding: String,
    /// The package's width.
    pub width: Length,
    /// The package's height.
    pub height: Length,
    /// How many alike.
    pub copies: u32,
    /// How alike the rails must be; as the moulding says if nothing is said.
    pub match_: Option<Match>,
    /// When it is wanted.
    pub due: Option<Date>,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Quote {
    /// The rails of one copy.
    pub rails: Vec<Rail>,
    /// What the rule of thumb asks for one copy.
    pub rule: Length,
    /// The cost of everything pending without it, and with it.
    pub without: Worth,
    /// See `without`.
    pub with: Worth,
    /// Whether worth is money; else it is length, in thousandths of a millimetre.
    pub priced: bool,
    /// The copies that can be cut today, with the sticks that they come from.
    pub today: Vec<String>,
    /// How many copies are cut today.
    pub cut_today: u32,
    /// When the last of the others arrives, if any waits.
    pub arrives: Option<Date>,
    /// How many copies wait.
    pub waits: u32,
    /// What is bought otherwise of its moulding for it.
    pub bought: Vec<OrderChange>,
    /// Why it cannot be made, if so.
    pub held: Option<HoldReason>,
    /// What each offer would charge for it alone.
    pub offers: Vec<Alone>,
    /// What mouldings near it would cost at the margin.
    pub near: Vec<(String, Worth)>,
}

/// A line of the order that is another with the frame than without it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderChange {
    /// The line with the frame; without it, if there is none with it.
    pub line: OrderLine,
    /// How many are bought without the frame, and how many with it.
    pub counts: (u32, u32),
}

/// One offer's price for the frames of a quote and nothing else, from an empty
/// rack.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Alone {
    /// The row of the offer in `offers.csv`.
    pub offer: u64,
    /// What the supplier charges.
    pub bill: Bill,
    /// The same less what is left on the rack.
    pub net: Worth,
}

/// Quotes a wish; the plans are made as [`plan`] makes them.
///
/// # Errors
/// What the check finds wrong with one of the plans: a mistake of the program.
///
/// # Panics
/// If the shop has no such moulding.
pub fn quote(shop: &Shop, wish: &Wish, date: Date, limits: Limits) -> Result<Quote, Vec<Fault>> {
    let without = plan(shop, date, limits)?;
    let (frame, wider) = with_frame(shop, wish);
    let with = plan(&wider, date, limits)?;
    let rails = frame_rails(shop, &frame).remove(0).rails;
    let copies = |list: &mut dyn Iterator<Item = &String>| {
        u32::try_from(list.filter(|id| **id == frame.id).count()).unwrap_or(u32::MAX)
    };
    let sticks = with.today.iter().filter(|stick| stick.rails.iter().any(|r| r.frame == frame.id));
    let spare = with.spares_today().filter(|of| of.frame == frame.id);
    let spare = spare.map(|of| format!("spare rail {}", of.label));
    let waits = copies(&mut with.waiting.iter().map(|waiting| &waiting.frame));
    let held = with.held.iter().find(|held| held.frame == frame.id);
    let arrives = with.order.awaited.iter().filter(|awaited| awaited.frame == frame.id);
    Ok(Quote {
        rule: frame_footage(shop, &frame)[0],
        rails,
        priced: shop.moulding(&wish.moulding).price.is_some(),
        without: cost(&without, shop),
        with: cost(&with, shop),
        today: sticks.map(|stick| stick.stick.clone()).chain(spare).collect(),
        cut_today: match held {
            Some(_) => 0,
            None => wish.copies - waits,
        },
        arrives: arrives.filter_map(|awaited| awaited.arrives).max(),
        waits,
        bought: changes(&without, &with, &wish.moulding),
        held: held.map(|held| held.reason.clone()),
        offers: alone(shop, wish, date, limits)?,
        near: near(shop, wish, &without, date, limits)?,
    })
}

/// The shop with the frame on the pile, under a number that no other has.
fn with_frame(shop: &Shop, wish: &Wish) -> (Frame, Shop) {
    let moulding = shop.moulding(&wish.moulding);
    let mut id = "this frame".to_owned();
    while shop.frames.iter().any(|frame| frame.id == id) {
        id.push('\'');
    }
    let match_ = wish.match_.unwrap_or(moulding.match_);
    let layer = Layer {
        moulding: moulding.id.clone(),
        allowance: None,
        gap: Length::ZERO,
        match_,
        match_floor: match_,
    };
    let frame = Frame {
        id,
        layers: vec![layer],
        width: wish.width,
        height: wish.height,
        mitre: Mitre::SQUARE,
        copies: wish.copies,
        progress: FrameProgress::default(),
        due: wish.due,
        thickness: None,
        note: String::new(),
        row: shop.frames.iter().map(|frame| frame.row).max().unwrap_or(1) + 1,
    };
    let mut wider = shop.clone();
    wider.frames.push(frame.clone());
    (frame, wider)
}

/// What is bought of a moulding in another number, first what is bought with the
/// frame.
fn changes(without: &Plan, with: &Plan, moulding: &str) -> Vec<OrderChange> {
    let key = |line: &OrderLine| {
        let what = (line.form.clone(), line.length, line.halved, line.rails.clone());
        (line.supplier.clone(), line.offer, what)
    };
    let count = |plan: &Plan, line: &OrderLine| -> u32 {
        let same = plan.order.lines.iter().filter(|other| key(other) == key(line));
        same.filter(|other| other.moulding == moulding).map(|other| other.count).sum()
    };
    let gone = without.order.lines.iter().filter(|line| count(with, line) == 0);
    let lines = with.order.lines.iter().chain(gone).filter(|line| line.moulding == moulding);
    let changes = lines.map(|line| {
        let counts = (count(without, line), count(with, line));
        OrderChange { line: line.clone(), counts }
    });
    changes.filter(|change| change.counts.0 != change.counts.1).collect()
}

/// What everything in a plan uses up of mouldings with a price, and what is
/// bought.
fn cost(plan: &Plan, shop: &Shop) -> Worth {
    let is_priced = |moulding: &str| shop.moulding(moulding).price.is_some();
    let counted = plan.proof.iter().filter(|proof| {
        is_priced(&proof.moulding) && (proof.part == Part::Today || plan.order.account.is_none())
    });
    let used_up: Worth = counted.map(|proof| proof.used_up).sum();
    // What is on order was paid for, and is worth what a stick on the rack is.
    let coming = plan.order.coming.iter().filter(|stick| is_priced(&stick.moulding));
    let coming: Worth = coming.map(CutStick::used_up).sum();
    used_up + coming + plan.order.account.map(|account| account.net).unwrap_or_default()
}

/// Each offer of the moulding by itself.
fn alone(shop: &Shop, wish: &Wish, date: Date, limits: Limits) -> Result<Vec<Alone>, Vec<Fault>> {
    let mut bare = with_frame(&Shop { frames: Vec::new(), ..shop.clone() }, wish).1;
    bare.rack.clear();
    bare.coming.clear();
    bare.mouldings.values_mut().for_each(|moulding| moulding.keep_on_rack = 0);
    bare.frames[0].due = None;
    let of_it = |offer: &&Offer| offer.moulding == wish.moulding;
    let mut price = |offer: &Offer| {
        bare.offers = vec![offer.clone()];
        let plan = plan(&bare, date, limits)?;
        let bill = plan.order.bills.first().zip(plan.order.account);
        let alone = |(bill, account): (&Bill, Account)| Alone {
            offer: offer.row,
            bill: bill.clone(),
            net: account.net,
        };
        Ok(bill.map(alone))
    };
    shop.offers.iter().filter(of_it).filter_map(|offer| price(offer).transpose()).collect()
}

/// Mouldings of the same kind whose face is nearest in width.
fn near(
    shop: &Shop,
    wish: &Wish,
    without: &Plan,
    date: Date,
    limits: Limits,
) -> Result<Vec<(String, Worth)>, Vec<Fault>> {
    let own = shop.moulding(&wish.moulding);
    let mut others: Vec<_> = shop
        .mouldings
        .values()
        .filter(|other| other.id != own.id && other.kind == own.kind && other.price.is_some())
        .collect();
    others.sort_by_key(|other| ((other.width - own.width).nm().abs(), &other.id));
    let price = |id: &String| {
        let other = Wish { moulding: id.clone(), ..wish.clone() };
        let (frame, wider) = with_frame(shop, &other);
        let with = plan(&wider, date, limits)?;
        let is_held = with.held.iter().any(|held| held.frame == frame.id);
        Ok((!is_held).then(|| (id.clone(), cost(&with, shop) - cost(without, shop))))
    };
    others.into_iter().take(NEAR).filter_map(|other| price(&other.id).transpose()).collect()
}
