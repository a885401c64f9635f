//! A shop built in code: ordinary settings, one saw, and whatever a test adds.
#![allow(dead_code, reason = "each test file uses its own part of this")]

use std::collections::BTreeMap;

use jiff::civil::{Date, date};
use longpoint::measure::{Currency, Length, Mitre, Unit, Worth, parse_length};
use longpoint::plan::{CutStick, Plan};
use longpoint::shop::{
    Cutter, Flaw, Frame, FrameProgress, Kind, Layer, Match, Moulding, Per, Price, Settings, Shop,
    Stick, Stop,
};
use longpoint::solve::Limits;

/// The morning of every test.
pub const MORNING: Date = date(2031, 3, 3);

/// Enough for anything a test asks.
pub const LIMITS: Limits = Limits { work: 2_000_000, deadline: None, stop: None, watch: None };

/// A length in inches as a shop would type it, such as `19 5/8`.
pub fn inches(text: &str) -> Length {
    parse_length(text, Unit::Inch).unwrap()
}

/// A length in millimetres.
pub fn mm(text: &str) -> Length {
    parse_length(text, Unit::Millimetre).unwrap()
}

/// A shop that measures in inches to 1/64, adds nothing, loses nothing between
/// rails, keeps offcuts from a foot on at half their price.
pub fn shop() -> Shop {
    let saw = Cutter {
        name: "saw".to_owned(),
        kerf: Length::ZERO,
        passes: 1,
        nick: Length::ZERO,
        first_trim: Length::ZERO,
        last_trim: Length::ZERO,
        grip: Length::ZERO,
        shortest: Length::ZERO,
        stop: Stop::Long,
        mitres: Vec::new(),
    };
    Shop {
        settings: Settings {
            name: "Test bench".to_owned(),
            contact: Default::default(),
            unit: Unit::Inch,
            mark: Length::from_64ths(1),
            allowance: Length::ZERO,
            currency: Currency::new("USD").unwrap(),
            default_cutter: "saw".to_owned(),
            keep: inches("12"),
            worth: 500_000,
            buying: Default::default(),
            price: None,
            days: Default::default(),
            job: Default::default(),
        },
        cutters: BTreeMap::from([("saw".to_owned(), saw)]),
        materials: BTreeMap::new(),
        jobs: BTreeMap::new(),
        mouldings: BTreeMap::new(),
        frames: Vec::new(),
        rack: Vec::new(),
        sheets: Vec::new(),
        sheet_rules: Default::default(),
        coming: Vec::new(),
        spare: Vec::new(),
        suppliers: BTreeMap::new(),
        offers: Vec::new(),
        lists: Vec::new(),
    }
}

/// The shop's saw, to set it otherwise.
pub fn saw(shop: &mut Shop) -> &mut Cutter {
    shop.cutters.get_mut("saw").unwrap()
}

/// Adds a rebated moulding, sold by the foot in sticks of that length.
pub fn moulding<'a>(
    shop: &'a mut Shop,
    id: &str,
    width: Length,
    rabbet: Length,
    stick: Length,
) -> &'a mut Moulding {
    let moulding = Moulding {
        id: id.to_owned(),
        name: id.to_owned(),
        width,
        rabbet,
        depth: None,
        stick,
        price: Some(Price { amount: Worth(250_000), per: Per::Foot }),
        match_: Match::Any,
        cutter: "saw".to_owned(),
        kind: Kind::Rebated,
        allowance: None,
        keep_on_rack: 0,
        worths: Vec::new(),
        class: None,
        monthly: None,
        body: Default::default(),
    };
    shop.mouldings.entry(id.to_owned()).or_insert(moulding)
}

/// A layer of a moulding whose rails may come from anywhere.
pub fn layer(moulding: &str) -> Layer {
    Layer {
        moulding: moulding.to_owned(),
        allowance: None,
        gap: Length::ZERO,
        window: None,
        match_: Match::Any,
        match_floor: Match::Any,
    }
}

/// Adds one four-sided frame of one layer.
pub fn frame<'a>(
    shop: &'a mut Shop,
    id: &str,
    moulding: &str,
    width: Length,
    height: Length,
) -> &'a mut Frame {
    let row = u64::try_from(shop.frames.len()).unwrap() + 2;
    shop.frames.push(Frame {
        id: id.to_owned(),
        layers: vec![layer(moulding)],
        width,
        height,
        mitre: Mitre::SQUARE,
        copies: 1,
        progress: FrameProgress::default(),
        due: None,
        came: None,
        promised: false,
        thickness: None,
        note: String::new(),
        row,
    });
    shop.frames.last_mut().unwrap()
}

/// Makes a frame's first layer ask for a match and accept nothing less.
pub fn ask(frame: &mut Frame, match_: Match) {
    frame.layers[0].match_ = match_;
    frame.layers[0].match_floor = match_;
}

/// Adds a stick to the rack.
pub fn stick<'a>(shop: &'a mut Shop, id: &str, moulding: &str, length: Length) -> &'a mut Stick {
    shop.rack.push(Stick {
        id: id.to_owned(),
        moulding: moulding.to_owned(),
        length,
        lot: String::new(),
        place: String::new(),
        flaws: Vec::new(),
        since: None,
    });
    shop.rack.last_mut().unwrap()
}

/// A flaw from here to there.
pub fn flaw(from: Length, to: Length) -> Flaw {
    Flaw { from, to }
}

/// Plans the morning and has the plan checked.
pub fn plan(shop: &Shop) -> Plan {
    let plan = longpoint::morning::plan(shop, MORNING, LIMITS).unwrap().into_inner();
    if let Err(faults) = longpoint::verify::verify(shop, &plan) {
        panic!("{faults:#?}\n{plan:#?}");
    }
    plan
}

/// From the marked end to the end of the last rail, less the first trim.
pub fn used(stick: &CutStick) -> Length {
    stick.rails.last().unwrap().to - stick.first_trim
}
