//! A production room: many frames of usual sizes over many mouldings, and a
//! rack that serves nearly all of them.

use std::collections::BTreeMap;

use jiff::civil::date;
use longpoint::measure::{Length, Mitre, Money};
use longpoint::rails::frame_rails;
use longpoint::shop::{
    Contact, Flaw, Form, Frame, FrameProgress, Freight, Layer, Lengths, Match, Moulding, Offer,
    OfferDates, Per, Shop, Stick, Supplier,
};

use super::{Dice, bare, inches, mouldings};

/// How large a room is.
#[derive(Debug, Clone, Copy)]
pub struct Room {
    /// Pending frames, with all copies.
    pub frames: u32,
    /// Mouldings they are shared over.
    pub mouldings: u32,
}

/// Sizes that most shops frame week by week, in inches.
const USUAL: [(i64, i64); 14] = [
    (5, 7),
    (8, 8),
    (8, 10),
    (10, 13),
    (11, 14),
    (12, 12),
    (12, 16),
    (16, 20),
    (18, 24),
    (20, 20),
    (20, 24),
    (20, 30),
    (22, 28),
    (24, 36),
];

/// A room for a seed.
///
/// Of a hundred tickets six are editions of 2 to 12 copies, three are stacks of
/// two layers, seven are matched and fifteen have no date; one in seven is of a
/// size of its own. Some mouldings are asked for about twice as often as
/// others. Each has a rack of its own, two fifths of it offcuts: of a hundred
/// mouldings about 88 have 15 to 50 per cent more than is wanted, the others 5
/// to 40 per cent less. Everything can be bought.
pub fn room(seed: u64, size: Room) -> Shop {
    stocked(seed, size, 12)
}

/// The same with a rack that has enough of every moulding.
pub fn plenty(seed: u64, size: Room) -> Shop {
    stocked(seed, size, 0)
}

/// Of a hundred mouldings so many are `short`.
fn stocked(seed: u64, size: Room, short: i64) -> Shop {
    let mut dice = Dice::new(seed);
    let mouldings = mouldings(&mut dice, size.mouldings);
    let ids: Vec<&String> = mouldings.keys().collect();
    let mut frames = Vec::new();
    let mut left = size.frames;
    while left > 0 {
        let frame = frame(&mut dice, frames.len(), &ids, left);
        left -= frame.copies;
        frames.push(frame);
    }
    let offers = mouldings.values().enumerate().map(|(row, moulding)| offer(row, moulding));
    let offers: Vec<Offer> = offers.collect();
    let mut shop = bare(mouldings, frames, Vec::new());
    shop.rack = rack(&mut dice, &shop, short);
    shop.suppliers = BTreeMap::from([("ALL".to_owned(), supplier())]);
    shop.offers = offers;
    shop
}

fn frame(dice: &mut Dice, number: usize, ids: &[&String], left: u32) -> Frame {
    // The lower of two throws: the first mouldings are asked for most.
    let pick = |dice: &mut Dice| {
        let often = dice.chance(50);
        let place = dice.place(ids.len());
        let place = if often { place.min(dice.place(ids.len())) } else { place };
        ids[place].clone()
    };
    let layer = |moulding: String, match_: Match| Layer {
        moulding,
        allowance: None,
        gap: Length::ZERO,
        window: None,
        match_,
        match_floor: Match::Any,
    };
    let match_ = match dice.roll(1, 100) {
        1..=3 => Match::Stick,
        4..=6 => Match::Lot,
        7 => Match::Wrap,
        _ => Match::Any,
    };
    let mut layers = vec![layer(pick(dice), match_)];
    if dice.chance(3) {
        layers.push(layer(pick(dice), Match::Any));
    }
    let (mut width, mut height) = USUAL[dice.place(USUAL.len())];
    (width, height) = (width * 8, height * 8);
    if dice.roll(1, 7) == 1 {
        width += dice.roll(-8, 16);
        height += dice.roll(-8, 16);
    }
    let copies = if dice.chance(6) { dice.roll(2, 12) } else { 1 };
    Frame {
        id: format!("F-{number:05}"),
        layers,
        width: eighths(width),
        height: eighths(height),
        mitre: Mitre::SQUARE,
        progress: FrameProgress::default(),
        copies: u32::try_from(copies).expect("a few").min(left),
        due: (!dice.chance(15)).then(|| {
            let day = dice.roll(1, 10);
            date(2026, 12, i8::try_from(day + (day - 1) / 5 * 2).expect("a day"))
        }),
        came: None,
        promised: false,
        thickness: None,
        note: String::new(),
        row: u64::try_from(number).expect("a few thousand") + 2,
    }
}

fn eighths(count: i64) -> Length {
    Length::from_64ths(count * 8)
}

/// For each moulding full sticks and offcuts, as they come, until there is
/// about as much as the dice say that there should be.
fn rack(dice: &mut Dice, shop: &Shop, short: i64) -> Vec<Stick> {
    let mut wanted: BTreeMap<&str, Length> = BTreeMap::new();
    for frame in &shop.frames {
        for (layer, rails) in frame.layers.iter().zip(frame_rails(shop, frame)) {
            let taken: Length = rails.rails.iter().map(|rail| rail.long_point).sum();
            *wanted.entry(&layer.moulding).or_default() += taken * i64::from(frame.copies);
        }
    }
    let mut rack = Vec::new();
    for (id, wanted) in wanted {
        let moulding = shop.moulding(id);
        let share = if dice.chance(short) { dice.roll(60, 95) } else { dice.roll(115, 150) };
        let enough = wanted.nm() / 100 * share;
        let mut there = 0;
        while there < enough {
            let stick = stick(dice, rack.len(), moulding);
            there += stick.length.nm();
            rack.push(stick);
        }
    }
    rack
}

fn stick(dice: &mut Dice, number: usize, moulding: &Moulding) -> Stick {
    let whole = moulding.stick.nm() / inches(1).nm();
    let is_offcut = dice.chance(40);
    let length = match is_offcut {
        true => Length::from_64ths(dice.roll(12 * 2, (whole - 8) * 2) * 32),
        false => moulding.stick,
    };
    let from = inches(dice.roll(2, 9));
    let flaw = Flaw { from, to: from + inches(1) };
    Stick {
        id: format!("S-{number:05}"),
        moulding: moulding.id.clone(),
        length,
        lot: format!("L{}", dice.roll(1, 2)),
        place: format!("bay {}", dice.roll(1, 60)),
        flaws: if dice.chance(4) { vec![flaw] } else { Vec::new() },
        since: is_offcut.then(|| date(2026, 11, i8::try_from(dice.roll(1, 24)).expect("a day"))),
    }
}

fn supplier() -> Supplier {
    Supplier {
        id: "ALL".to_owned(),
        name: "Everything by the length".to_owned(),
        account: String::new(),
        contact: Contact::default(),
        discount: 0,
        minimum: Money(10_000),
        freight: vec![
            Freight { from: Money(0), charge: Money(2_500) },
            Freight { from: Money(50_000), charge: Money(0) },
        ],
        small: None,
        lead_days: 3,
        orders: Default::default(),
        cut_off: None,
        delivers: Default::default(),
        long: None,
        refuses: false,
        halves: false,
        order_by: None,
        note: String::new(),
    }
}

fn offer(row: usize, moulding: &Moulding) -> Offer {
    Offer {
        supplier: "ALL".to_owned(),
        moulding: moulding.id.clone(),
        code: String::new(),
        form: Form::Length,
        lengths: Lengths::These(vec![moulding.stick]),
        price: moulding.price.expect("every moulding of the dice has a price").amount,
        discount: 0,
        per: Per::Foot,
        steps: Vec::new(),
        least_count: 1,
        dates: OfferDates::default(),
        note: String::new(),
        row: u64::try_from(row).expect("a few hundred") + 2,
        listed: None,
    }
}
