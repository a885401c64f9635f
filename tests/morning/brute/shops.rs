//! Random tiny shops, the same on every machine.

use jiff::civil::date;
use longpoint::measure::{Length, Mitre, Worth};
use longpoint::plan::Wishes;
use longpoint::shop::{Kind, Layer, Match, Per, Price, Shop, Stick, Stop};

use crate::support;

use crate::numbers::Numbers;

/// The tiny shop of this number. Lengths stand on grids coarse enough that
/// rails often fill a stick exactly.
pub fn shop(seed: u64) -> Shop {
    made(seed, false)
}

/// The same with frames of several mitres.
pub fn mixed(seed: u64) -> Shop {
    made(seed, true)
}

fn made(seed: u64, mixed: bool) -> Shop {
    let numbers = &mut Numbers(seed.wrapping_mul(0x5851_f42d_4c95_7f2d));
    let mut shop = support::shop();
    shop.settings.mark = Length::from_mm(numbers.one_of(&[1, 5, 10]));
    shop.settings.keep = Length::from_mm(numbers.one_of(&[0, 40, 100, 150, 300]));
    shop.settings.worth = numbers.one_of(&[0, 250_000, 500_000, 900_000, 1_000_000]);
    shop.settings.allowance = Length::from_mm(numbers.one_of(&[0, 2]));
    let saw = support::saw(&mut shop);
    saw.stop = numbers.one_of(&[Stop::Long, Stop::Rabbet, Stop::Sight]);
    saw.kerf = Length::from_mm(numbers.one_of(&[0, 0, 3, 10]));
    saw.passes = numbers.one_of(&[1, 2]);
    saw.nick = Length::from_mm(numbers.one_of(&[0, 0, 1, 10]));
    saw.first_trim = Length::from_mm(numbers.one_of(&[0, 0, 10, 25]));
    saw.last_trim = Length::from_mm(numbers.one_of(&[0, 0, 10]));
    saw.grip = Length::from_mm(numbers.one_of(&[0, 0, 0, 30]));
    saw.shortest = Length::from_mm(numbers.one_of(&[0, 0, 0, 130]));
    let flavour = Flavour {
        mouldings: numbers.one_of(&[1, 1, 2]),
        mixed: numbers.one_in(6) || mixed,
        matched: !numbers.one_in(4),
        flawed: numbers.one_in(2),
        usual: None,
    };
    let usual = numbers.one_in(2).then(|| [numbers.within(4, 8), numbers.within(6, 13)]);
    let flavour = Flavour { usual, ..flavour };
    for id in 0..flavour.mouldings {
        moulding(numbers, &mut shop, &format!("M{id}"));
    }
    frames(numbers, &mut shop, flavour);
    sticks(numbers, &mut shop, flavour);
    if numbers.one_in(3) {
        worths(numbers, &mut shop);
    }
    shop
}

/// What offcuts are worth, by a curve of one to three lengths.
fn worths(numbers: &mut Numbers, shop: &mut Shop) {
    let (keep, worth) = (shop.settings.keep, shop.settings.worth);
    for moulding in shop.mouldings.values_mut() {
        let (mut at, mut share) = (keep, worth);
        for _ in 0..numbers.within(1, 3) {
            let further = Length::from_mm(numbers.one_of(&[1, 50, 120, 300]));
            share = numbers.one_of(&[share, share, (share + 1_000_000) / 2, 1_000_000]);
            at += further;
            if at < moulding.stick {
                moulding.worths.push((at, share));
            }
        }
    }
}

/// The same with build-outs behind some of the frames, from sticks of their own.
pub fn built(seed: u64) -> Shop {
    let mut shop = made(seed, false);
    let numbers = &mut Numbers(seed ^ 0x51a7_0b5e_77c3_9d21);
    let (width, none) = (Length::from_mm(5), Length::ZERO);
    let stick = Length::from_mm(numbers.within(6, 12) * 80);
    let strip = support::moulding(&mut shop, "STRIP", width, none, stick);
    strip.kind = Kind::BuildOut;
    strip.body.height = Some(Length::from_mm(6));
    for at in 0..shop.frames.len() {
        let is_square = shop.frames[at].mitre == Mitre::SQUARE;
        let has_rabbet = |layer: &Layer| shop.moulding(&layer.moulding).kind != Kind::Floater;
        let can = is_square && shop.frames[at].layers.iter().all(has_rabbet);
        if can && !numbers.one_in(3) {
            let mut layer = support::layer("STRIP");
            layer.match_ = numbers.one_of(&[Match::Any, Match::Any, Match::Lot, Match::Stick]);
            layer.match_floor = layer.match_;
            shop.frames[at].layers.push(layer);
        }
    }
    for index in 0..numbers.within(1, 3) {
        let short = Length::from_mm(numbers.within(5, 30) * 20);
        let length = numbers.one_of(&[stick, stick, short]);
        support::stick(&mut shop, &format!("B{index}"), "STRIP", length);
    }
    shop
}

/// What is wished of that shop's morning: mostly nothing.
pub fn wishes(seed: u64, shop: &Shop) -> Wishes {
    let numbers = &mut Numbers(seed ^ 0x3c6e_f372_fe94_f82b);
    let mut wishes = Wishes { rack_only: numbers.one_in(10), ..Wishes::default() };
    if numbers.one_in(4) {
        let place = numbers.within(0, shop.frames.len() as i64 - 1);
        wishes.rush.insert(shop.frames[usize::try_from(place).unwrap()].id.clone());
    }
    wishes
}

#[derive(Clone, Copy)]
struct Flavour {
    mouldings: i64,
    mixed: bool,
    matched: bool,
    flawed: bool,
    /// The sides of most frames, where few are usual.
    usual: Option<[i64; 2]>,
}

impl Flavour {
    fn side(&self, numbers: &mut Numbers) -> i64 {
        match &self.usual {
            Some(usual) if !numbers.one_in(4) => numbers.one_of(usual),
            _ => numbers.within(4, 13),
        }
    }
}

fn moulding(numbers: &mut Numbers, shop: &mut Shop, id: &str) {
    let width = Length::from_mm(numbers.one_of(&[15, 20, 30, 40]));
    let rabbet = Length::from_mm(numbers.one_of(&[5, 10]));
    let usual = Length::from_mm(numbers.within(5, 10) * 80);
    let amount = Worth(numbers.one_of(&[37_003, 250_000, 1_000_000]));
    let per = numbers.one_of(&[Per::Foot, Per::Metre, Per::Stick]);
    let priced = !numbers.one_in(4);
    let kind = numbers.one_of(&[
        Kind::Rebated,
        Kind::Rebated,
        Kind::Rebated,
        Kind::Reversible,
        Kind::Reversible,
        Kind::Floater,
    ]);
    let rabbet = if kind == Kind::Floater { Length::ZERO } else { rabbet };
    let moulding = support::moulding(shop, id, width, rabbet, usual);
    moulding.price = priced.then_some(Price { amount, per });
    moulding.kind = kind;
}

fn frames(numbers: &mut Numbers, shop: &mut Shop, flavour: Flavour) {
    const MATCHES: [Match; 5] = [Match::Any, Match::Lot, Match::Halves, Match::Stick, Match::Wrap];
    let polygon = numbers.one_of(&[3, 5, 6]);
    let mut copies_left = 4;
    for index in 0..numbers.within(1, 4) {
        let copies = numbers.one_of(&[1, 1, 1, 2]).min(copies_left);
        if copies == 0 {
            break;
        }
        copies_left -= copies;
        let width = Length::from_mm(20 * flavour.side(numbers));
        let height =
            if numbers.one_in(4) { width } else { Length::from_mm(20 * flavour.side(numbers)) };
        let first = format!("M{}", numbers.within(0, flavour.mouldings - 1));
        let due = numbers.one_of(&[
            None,
            Some(date(2031, 3, 4)),
            Some(date(2031, 3, 4)),
            Some(date(2031, 3, 9)),
            Some(date(2031, 3, 1)),
        ]);
        let frame = support::frame(shop, &format!("F{index}"), &first, width, height);
        frame.copies = u32::try_from(copies).unwrap();
        frame.due = due;
        if flavour.mixed && numbers.one_in(2) {
            frame.mitre = Mitre::new(polygon).unwrap();
            frame.height = width;
        }
        if flavour.mouldings > 1 && numbers.one_in(2) || numbers.one_in(12) {
            let last = flavour.mouldings - 1;
            frame.layers.push(support::layer(&format!("M{}", numbers.within(0, last))));
        }
        for layer in frame.layers.iter_mut().filter(|_| flavour.matched) {
            layer.match_ = numbers.one_of(&MATCHES);
            let floor = numbers.one_of(&MATCHES);
            layer.match_floor =
                if numbers.one_in(2) { layer.match_ } else { floor.min(layer.match_) };
        }
    }
}

fn sticks(numbers: &mut Numbers, shop: &mut Shop, flavour: Flavour) {
    for index in 0..numbers.within(1, 4) {
        let id = format!("M{}", numbers.within(0, flavour.mouldings - 1));
        let usual = shop.moulding(&id).stick;
        let length = match numbers.within(1, 3) {
            1 => usual,
            _ => Length::from_mm(numbers.within(10, 60) * 20),
        };
        let lot = numbers.one_of(&["", "A", "A", "B"]).to_owned();
        if index > 0 && numbers.one_in(6) {
            // Another just like the last one.
            let like = shop.rack.last().unwrap().clone();
            shop.rack.push(Stick { id: format!("S{index}"), ..like });
            continue;
        }
        let mut flaws = Vec::new();
        let mut at = 0;
        while flavour.flawed && numbers.one_in(2) {
            let from = at + numbers.within(1, 20) * 20;
            let to = from + numbers.one_of(&[0, 1, 10, 40]);
            if Length::from_mm(to) > length {
                break;
            }
            flaws.push(support::flaw(Length::from_mm(from), Length::from_mm(to)));
            at = to + 1;
        }
        let stick = support::stick(shop, &format!("S{index}"), &id, length);
        stick.lot = lot;
        stick.flaws = flaws;
    }
}
