//! Made-up shops of any size, the same for the same seed.
#![allow(dead_code, reason = "each bench uses the shops that it measures")]

pub mod catalogue;
pub mod crowd;
pub mod folder;
pub mod room;

use std::collections::BTreeMap;

use jiff::civil::date;
use longpoint::measure::{Currency, Length, Mitre, Unit, Worth};
use longpoint::shop::{
    Cutter, Flaw, Frame, FrameProgress, Kind, Layer, Match, Moulding, Per, Price, Settings, Shop,
    Stick, Stop,
};

/// How large a shop is.
#[derive(Debug, Clone, Copy)]
pub struct Size {
    /// Pending frames.
    pub frames: u32,
    /// Mouldings they are shared over.
    pub mouldings: u32,
    /// Sticks and offcuts on the rack.
    pub sticks: u32,
}

/// A small generator of numbers (Knuth's MMIX constants), enough for shops.
pub struct Dice(u64);

impl Dice {
    /// Begins at a seed.
    pub fn new(seed: u64) -> Dice {
        Dice(seed)
    }

    /// A number from `low` to `high`, both included.
    pub fn roll(&mut self, low: i64, high: i64) -> i64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let span = u64::try_from(high - low + 1).expect("low is not above high");
        low + i64::try_from((self.0 >> 33) % span).expect("a small number")
    }

    /// Whether something happens that happens `times` times in a hundred.
    pub fn chance(&mut self, times: i64) -> bool {
        self.roll(1, 100) <= times
    }

    /// A place in a list of so many.
    pub fn place(&mut self, count: usize) -> usize {
        let last = i64::try_from(count).expect("a list that fits in memory") - 1;
        usize::try_from(self.roll(0, last)).expect("not below zero")
    }
}

const fn inches(count: i64) -> Length {
    Length::from_64ths(count * 64)
}

/// A shop with frames of usual sizes, three in ten of them matched, one in
/// twelve with a liner, over mouldings of 8 to 10 ft and a rack of which six in
/// ten are offcuts.
pub fn shop(seed: u64, size: Size) -> Shop {
    let mut dice = Dice::new(seed);
    let mouldings = mouldings(&mut dice, size.mouldings);
    let ids: Vec<&String> = mouldings.keys().collect();
    let frames = (0..size.frames).map(|number| frame(&mut dice, number, &ids)).collect();
    let rack = (0..size.sticks).map(|number| stick(&mut dice, number, &ids, &mouldings)).collect();
    bare(mouldings, frames, rack)
}

/// A shop with nothing to buy.
fn bare(mouldings: BTreeMap<String, Moulding>, frames: Vec<Frame>, rack: Vec<Stick>) -> Shop {
    Shop {
        settings: Settings {
            name: "A shop of dice".to_owned(),
            contact: Default::default(),
            unit: Unit::Inch,
            mark: Length::from_64ths(2),
            allowance: Length::from_64ths(8),
            currency: Currency::new("USD").expect("a currency"),
            default_cutter: "chopper".to_owned(),
            keep: inches(12),
            worth: 500_000,
            buying: Default::default(),
            price: None,
            days: Default::default(),
            job: Default::default(),
        },
        materials: BTreeMap::new(),
        jobs: BTreeMap::new(),
        cutters: BTreeMap::from([("chopper".to_owned(), chopper())]),
        mouldings,
        frames,
        rack,
        sheets: Vec::new(),
        sheet_rules: Default::default(),
        coming: Vec::new(),
        spare: Vec::new(),
        suppliers: BTreeMap::new(),
        offers: Vec::new(),
        lists: Vec::new(),
    }
}

fn chopper() -> Cutter {
    Cutter {
        name: "chopper".to_owned(),
        kerf: Length::ZERO,
        passes: 1,
        nick: Length::from_64ths(4),
        first_trim: inches(1),
        last_trim: inches(1),
        grip: Length::ZERO,
        shortest: inches(4),
        stop: Stop::Rabbet,
        mitres: Vec::new(),
    }
}

fn mouldings(dice: &mut Dice, count: u32) -> BTreeMap<String, Moulding> {
    let mouldings = (0..count).map(|number| moulding(dice, number));
    mouldings.map(|moulding| (moulding.id.clone(), moulding)).collect()
}

fn moulding(dice: &mut Dice, number: u32) -> Moulding {
    Moulding {
        id: format!("M-{number:03}"),
        name: format!("Moulding {number}"),
        width: Length::from_64ths(dice.roll(12, 40) * 4),
        rabbet: Length::from_64ths(16),
        depth: Some(Length::from_64ths(40)),
        stick: inches(dice.roll(0, 2) * 12 + 96),
        price: Some(Price { amount: Worth(dice.roll(150, 900) * 1000), per: Per::Foot }),
        match_: Match::Any,
        cutter: "chopper".to_owned(),
        kind: Kind::Rebated,
        allowance: None,
        keep_on_rack: 0,
        worths: Vec::new(),
        class: None,
        monthly: None,
        body: Default::default(),
    }
}

fn frame(dice: &mut Dice, number: u32, ids: &[&String]) -> Frame {
    const SIZES: [(i64, i64); 9] =
        [(5, 7), (8, 10), (11, 14), (12, 16), (16, 20), (18, 24), (20, 24), (20, 30), (24, 36)];
    let pick = |dice: &mut Dice| {
        ids[usize::try_from(dice.roll(0, ids.len() as i64 - 1)).expect("an index")].clone()
    };
    let layer = |moulding: String, match_: Match| Layer {
        moulding,
        allowance: None,
        gap: Length::ZERO,
        window: None,
        match_,
        match_floor: Match::Any,
    };
    let match_ = match dice.roll(0, 9) {
        0 => Match::Stick,
        1 => Match::Lot,
        2 => Match::Wrap,
        _ => Match::Any,
    };
    let mut layers = vec![layer(pick(dice), match_)];
    if dice.roll(0, 11) == 0 {
        layers.push(layer(pick(dice), Match::Any));
    }
    let (width, height) = SIZES[usize::try_from(dice.roll(0, 8)).expect("an index")];
    Frame {
        id: format!("F-{number:05}"),
        layers,
        width: inches(width) + Length::from_64ths(dice.roll(0, 3) * 16),
        height: inches(height) + Length::from_64ths(dice.roll(0, 3) * 16),
        mitre: Mitre::SQUARE,
        copies: 1,
        progress: FrameProgress::default(),
        due: (dice.roll(0, 4) > 0)
            .then(|| date(2026, 12, i8::try_from(dice.roll(1, 9)).expect("a day"))),
        came: None,
        promised: false,
        thickness: None,
        note: String::new(),
        row: u64::from(number) + 2,
    }
}

fn stick(
    dice: &mut Dice,
    number: u32,
    ids: &[&String],
    mouldings: &BTreeMap<String, Moulding>,
) -> Stick {
    let moulding =
        ids[usize::try_from(dice.roll(0, ids.len() as i64 - 1)).expect("an index")].clone();
    let whole = mouldings[&moulding].stick;
    let length = if dice.roll(0, 9) < 4 {
        whole
    } else {
        Length::from_64ths(dice.roll(14 * 32, 80 * 32) * 2)
    };
    let flaw = Length::from_64ths(dice.roll(10 * 64, 13 * 64));
    let flaws = vec![Flaw { from: flaw, to: flaw + inches(1) }];
    Stick {
        id: format!("S-{number:05}"),
        moulding,
        length,
        lot: format!("L{}", dice.roll(1, 2)),
        place: format!("bay {}", dice.roll(1, 12)),
        flaws: if dice.roll(0, 19) == 0 { flaws } else { Vec::new() },
        since: None,
    }
}
