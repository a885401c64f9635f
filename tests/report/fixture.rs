//! A morning made by hand, with one of everything that a sheet can show.

use jiff::civil::{Date, date};
use std::collections::BTreeMap;

use longpoint::measure::{Currency, Length, Mitre, Money, Unit, Worth, parse_length};
use longpoint::plan::*;
use longpoint::rails::{Side, frame_rails};
use longpoint::shop::*;

pub const TODAY: Date = date(2026, 3, 9);

/// A length in inches as a framer writes it.
pub fn inches(text: &str) -> Length {
    parse_length(text, Unit::Inch).unwrap()
}

fn cutter(name: &str, kerf: &str, nick: &str, stop: Stop) -> (String, Cutter) {
    let cutter = Cutter {
        name: name.to_owned(),
        kerf: inches(kerf),
        passes: 1,
        nick: inches(nick),
        first_trim: inches("1"),
        last_trim: inches("1"),
        grip: Length::ZERO,
        shortest: inches("4"),
        stop,
        mitres: Vec::new(),
    };
    (name.to_owned(), cutter)
}

fn moulding(id: &str, name: &str, width: &str, cutter: &str, kind: Kind) -> (String, Moulding) {
    let moulding = Moulding {
        id: id.to_owned(),
        name: name.to_owned(),
        width: inches(width),
        rabbet: inches("1/4"),
        depth: Some(inches("3/8")),
        stick: inches("120"),
        price: Some(Price { amount: Worth(485_000), per: Per::Foot }),
        match_: Match::Any,
        cutter: cutter.to_owned(),
        kind,
        allowance: None,
        keep_on_rack: 0,
        worths: Vec::new(),
        class: None,
        monthly: None,
        body: Default::default(),
    };
    (id.to_owned(), moulding)
}

fn frame(row: u64, id: &str, mouldings: &[&str], size: (&str, &str), copies: u32) -> Frame {
    let layer = |moulding: &&str| Layer {
        moulding: (*moulding).to_owned(),
        allowance: None,
        gap: Length::ZERO,
        window: None,
        match_: Match::Any,
        match_floor: Match::Any,
    };
    Frame {
        id: id.to_owned(),
        layers: mouldings.iter().map(layer).collect(),
        width: inches(size.0),
        height: inches(size.1),
        mitre: Mitre::SQUARE,
        copies,
        progress: FrameProgress::default(),
        due: Some(date(2026, 3, 12)),
        came: None,
        promised: false,
        thickness: None,
        note: String::new(),
        row,
    }
}

fn rack(id: &str, moulding: &str, length: &str, lot: &str, place: &str) -> Stick {
    Stick {
        id: id.to_owned(),
        moulding: moulding.to_owned(),
        length: inches(length),
        lot: lot.to_owned(),
        place: place.to_owned(),
        flaws: Vec::new(),
        since: None,
    }
}

/// A shop of two machines and four mouldings.
pub fn shop() -> Shop {
    let mut flat = moulding("FLAT-2", "Poplar flat, raw", "2", "double saw", Kind::Reversible);
    flat.1.price = None;
    let mut hexagon = frame(6, "1044", &["WAL-15"], ("12", "12"), 1);
    hexagon.mitre = Mitre::new(6).unwrap();
    let mut flawed = rack("R-102", "ASH-20", "96", "A7", "rack B");
    flawed.flaws = vec![Flaw { from: inches("40"), to: inches("41 1/2") }];
    let mut later = rack("R-104", "ASH-20", "112", "A9", "rack A");
    later.flaws = vec![Flaw { from: inches("80 1/4"), to: inches("81 1/4") }];
    let mut noted = frame(4, "1043", &["LIN-8", "ASH-20"], ("11", "14"), 1);
    noted.note = "hang by Friday".to_owned();
    Shop {
        settings: Settings {
            name: "Fennel Lane Framing".to_owned(),
            contact: Default::default(),
            unit: Unit::Inch,
            mark: inches("1/32"),
            allowance: inches("1/8"),
            currency: Currency::new("USD").unwrap(),
            default_cutter: "bench chopper".to_owned(),
            keep: inches("12"),
            worth: 500_000,
            buying: Default::default(),
            price: None,
            days: Default::default(),
            job: Default::default(),
        },
        materials: BTreeMap::new(),
        jobs: BTreeMap::new(),
        cutters: [
            cutter("bench chopper", "0", "1/16", Stop::Rabbet),
            cutter("double saw", "1/8", "0", Stop::Long),
        ]
        .into(),
        mouldings: [
            moulding("ASH-20", "Ash, clear oil", "2", "bench chopper", Kind::Rebated),
            moulding("LIN-8", "Linen liner", "3/4", "bench chopper", Kind::Rebated),
            flat,
            moulding("WAL-15", "Walnut scoop", "1 1/2", "double saw", Kind::Rebated),
        ]
        .into(),
        frames: vec![
            frame(2, "1041", &["ASH-20"], ("16", "20"), 1),
            frame(3, "1042", &["ASH-20"], ("8", "10"), 2),
            noted,
            hexagon,
            frame(7, "1045", &["FLAT-2"], ("20 3/8", "20 3/8"), 1),
            frame(8, "1046", &["ASH-20"], ("30", "40"), 1),
            frame(9, "1047", &["WAL-15"], ("90", "130"), 1),
        ],
        rack: vec![
            rack("R-101", "ASH-20", "120", "A7", "rack A"),
            flawed,
            rack("R-103", "LIN-8", "84 3/16", "", "drawer"),
            later,
            rack("R-105", "WAL-15", "66", "W2", ""),
            rack("R-106", "FLAT-2", "98", "", "rack C"),
        ],
        sheets: Vec::new(),
        sheet_rules: Default::default(),
        coming: Vec::new(),
        spare: Vec::new(),
        suppliers: [].into(),
        offers: Vec::new(),
        lists: Vec::new(),
    }
}

fn offcuts(moulding: &str, saved: i64, idle: Option<&str>) -> OffcutUse {
    OffcutUse {
        moulding: moulding.to_owned(),
        saved: Worth(saved),
        idle: idle.into_iter().map(str::to_owned).collect(),
        priced: moulding != "FLAT-2",
    }
}

/// A ticket, a copy, a layer and a side.
type Wanted = (&'static str, u32, usize, Side);

/// Lays rails one after another from `start`; `turned` ones share a mitre with
/// the rail before them.
fn run(shop: &Shop, moulding: &str, start: &str, wanted: &[Wanted]) -> Vec<PlacedRail> {
    let moulding = shop.moulding(moulding);
    let cutter = shop.cutter_of(moulding);
    let is_turned = |index: usize| moulding.kind == Kind::Reversible && index % 2 == 1;
    let mut at = inches(start);
    let mut placed = Vec::new();
    for (index, &(id, copy, layer, side)) in wanted.iter().enumerate() {
        let frame = shop.frames.iter().find(|frame| frame.id == id).unwrap();
        let layers = frame_rails(shop, frame);
        let rail = layers[layer - 1].rails.iter().find(|rail| rail.side == side).unwrap();
        placed.push(PlacedRail {
            frame: id.to_owned(),
            copy,
            layer,
            side,
            mitre: frame.mitre,
            from: at,
            to: at + rail.long_point,
            long_point: rail.long_point,
            rabbet: rail.rabbet,
            sight: rail.sight,
            turned: is_turned(index),
        });
        at = at + rail.long_point + cutter.joint_loss(frame.mitre);
        if moulding.kind == Kind::Reversible {
            at -= frame.mitre.tan_down(moulding.width);
        }
    }
    placed
}

/// The last of a stick: what lies beyond its last rail and one joint.
fn cut(shop: &Shop, id: &str, rails: Vec<PlacedRail>) -> CutStick {
    let stick = shop.rack.iter().find(|stick| stick.id == id).unwrap();
    let moulding = shop.moulding(&stick.moulding);
    let last = rails.last().unwrap();
    let from = last.to + shop.cutter_of(moulding).joint_loss(last.mitre);
    let length = stick.length - from;
    let keep = length >= shop.settings.keep;
    CutStick {
        stick: id.to_owned(),
        is_new: false,
        moulding: stick.moulding.clone(),
        length: stick.length,
        lot: stick.lot.clone(),
        place: stick.place.clone(),
        flaws: stick.flaws.clone(),
        first_trim: inches("1"),
        rails,
        left: Left {
            from,
            length,
            keep,
            label: if keep { format!("{id}-1") } else { String::new() },
            worth: Worth(0),
        },
        between: Vec::new(),
        worth: Worth(0),
        supplier: String::new(),
    }
}

/// The sides of one copy's layer in cutting order.
fn all(id: &'static str, copy: u32, layer: usize) -> Vec<Wanted> {
    Side::all(Mitre::SQUARE).into_iter().map(|side| (id, copy, layer, side)).collect()
}

fn today(shop: &Shop) -> Vec<CutStick> {
    let plain = run(shop, "ASH-20", "1", &all("1041", 1, 1));
    let mut flawed = run(shop, "ASH-20", "1", &[("1042", 1, 1, Side::Left)]);
    let beyond = [Side::Right, Side::Top, Side::Bottom].map(|side| ("1042", 1, 1, side));
    flawed.extend(run(shop, "ASH-20", "41 1/2", &beyond));
    let mut flawed = cut(shop, "R-102", flawed);
    let between = flawed.rails[0].to + inches("1/16");
    flawed.between = vec![Left {
        from: between,
        length: inches("40") - between,
        keep: true,
        label: "R-102-2".to_owned(),
        worth: Worth(0),
    }];
    let liner = run(shop, "LIN-8", "1", &all("1043", 1, 1));
    let outer = run(shop, "ASH-20", "1", &all("1043", 1, 2));
    let hexagon: Vec<_> = Side::all(Mitre::new(6).unwrap());
    let hexagon: Vec<_> = hexagon.into_iter().map(|side| ("1044", 1, 1, side)).collect();
    let hexagon = run(shop, "WAL-15", "1", &hexagon);
    let flat = run(shop, "FLAT-2", "1", &all("1045", 1, 1));
    vec![
        cut(shop, "R-101", plain),
        flawed,
        cut(shop, "R-103", liner),
        cut(shop, "R-104", outer),
        cut(shop, "R-105", hexagon),
        cut(shop, "R-106", flat),
    ]
}

fn order(shop: &Shop) -> Order {
    let mut shop = shop.clone();
    shop.rack.push(rack("new-1", "ASH-20", "180", "", ""));
    let mut new = cut(&shop, "new-1", run(&shop, "ASH-20", "1", &all("1046", 1, 1)));
    new.is_new = true;
    let line = OrderLine {
        height: None,
        supplier: "northbank".to_owned(),
        form: "length".to_owned(),
        moulding: "ASH-20".to_owned(),
        length: inches("180"),
        count: 1,
        cost: Some(Money(7275)),
        offer: None,
        halved: false,
        pieces: 1,
        cut: 1,
        restock: 0,
        rails: Vec::new(),
        tickets: Vec::new(),
    };
    let open = OrderLine { supplier: String::new(), cost: None, ..line.clone() };
    Order { lines: vec![line, open], sticks: vec![new], ..Order::default() }
}

fn proof(moulding: &str, part: Part, used_up: i64, bound: i64, priced: bool) -> Proof {
    Proof {
        moulding: moulding.to_owned(),
        part,
        proven: used_up == bound,
        used_up: Worth(used_up),
        bound: Worth(bound),
        sticks: if moulding == "ASH-20" && part == Part::Today { 3 } else { 1 },
        priced,
    }
}

/// The morning itself.
pub fn plan(shop: &Shop) -> Plan {
    let waiting = |frame: &str, copy| Waiting {
        frame: frame.to_owned(),
        copy,
        due: Some(date(2026, 3, 12)),
        reason: WaitReason::Moulding(vec!["ASH-20".to_owned()]),
    };
    let too_long = HoldReason::TooLong {
        layer: 1,
        moulding: "WAL-15".to_owned(),
        side: Side::Left,
        long_point: inches("132 5/8"),
        longest: inches("118"),
    };
    Plan {
        shop: shop.settings.name.clone(),
        date: TODAY,
        wishes: Wishes::default(),
        today: today(shop),
        spares: Vec::new(),
        order: order(shop),
        waiting: vec![waiting("1042", 2), waiting("1046", 1)],
        held: vec![Held { frame: "1047".to_owned(), copy: 1, reason: too_long }],
        proof: vec![
            proof("ASH-20", Part::Today, 10_234_567, 10_234_567, true),
            proof("FLAT-2", Part::Today, 2_489_200, 2_489_200, false),
            proof("LIN-8", Part::Today, 2_410_500, 2_410_500, true),
            proof("WAL-15", Part::Today, 2_667_500, 2_400_000, true),
            proof("ASH-20", Part::Order, 6_870_000, 6_870_000, true),
        ],
        least_settings: 12,
        matching: vec![Matching {
            moulding: "ASH-20".to_owned(),
            part: Part::Today,
            sticks: 3,
            sticks_free: 2,
            used_up: Worth(10_234_567),
            used_up_free: Worth(9_100_000),
            proven: true,
            priced: true,
        }],
        offcuts: vec![offcuts("ASH-20", 1_500_000, None), offcuts("FLAT-2", 0, Some("R-106"))],
        warnings: vec![
            Warning::TooThick {
                layer: 1,
                frame: "1041".to_owned(),
                moulding: "ASH-20".to_owned(),
                kind: Kind::Rebated,
                thickness: inches("9/16"),
                depth: inches("3/8"),
            },
            Warning::Late { frame: "1042".to_owned(), due: date(2026, 3, 6) },
            Warning::Relaxed {
                frame: "1043".to_owned(),
                layer: 2,
                asked: Match::Wrap,
                given: Match::Stick,
            },
        ],
    }
}
