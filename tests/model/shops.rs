//! Medium shops with too little on the rack, the same on every machine.

use jiff::civil::date;
use longpoint::measure::{Length, Worth};
use longpoint::shop::{Kind, Match, Per, Price, Shop};

use super::numbers::Numbers;
use super::support;

/// The medium shop of this number: up to fourteen frames of few different
/// sides, so that the ways to cut a stick can be written out.
pub fn shop(seed: u64) -> Shop {
    let numbers = &mut Numbers(seed.wrapping_mul(0x2545_f491_4f6c_dd1d) ^ 0x51);
    let mut shop = support::shop();
    shop.settings.mark = Length::from_mm(1);
    shop.settings.keep = Length::from_mm(numbers.one_of(&[150, 300, 450]));
    shop.settings.worth = numbers.one_of(&[250_000, 500_000, 900_000]);
    let saw = support::saw(&mut shop);
    saw.kerf = Length::from_mm(numbers.one_of(&[0, 3]));
    saw.first_trim = Length::from_mm(numbers.one_of(&[0, 10]));
    let mouldings = numbers.within(1, 3);
    for id in 0..mouldings {
        let width = Length::from_mm(numbers.one_of(&[15, 20]));
        let usual = Length::from_mm(2_400);
        let moulding =
            support::moulding(&mut shop, &format!("M{id}"), width, Length::from_mm(5), usual);
        moulding.price =
            Some(Price { amount: Worth(numbers.within(20, 60) * 100), per: Per::Metre });
    }
    let matched = numbers.one_in(2);
    frames(numbers, &mut shop, mouldings, matched);
    for index in 0..mouldings * 2 + numbers.within(1, 2) {
        let id = format!("M{}", index % mouldings);
        let length = Length::from_mm(numbers.within(35, 90) * 20);
        let lot = numbers.one_of(&["A", "A", "B"]).to_owned();
        let flaw = numbers.within(10, 60) * 10;
        let is_flawed = numbers.one_in(5) && Length::from_mm(flaw + 20) < length;
        let stick = support::stick(&mut shop, &format!("S{index}"), &id, length);
        stick.lot = lot;
        stick.flaws.extend(
            is_flawed.then(|| support::flaw(Length::from_mm(flaw), Length::from_mm(flaw + 20))),
        );
    }
    shop
}

/// The same with build-outs behind some of the frames, from sticks of their own.
pub fn built(seed: u64) -> Shop {
    let mut shop = shop(seed);
    let numbers = &mut Numbers(seed ^ 0x1f83_d9ab_fb41_bd6b);
    let (width, none) = (Length::from_mm(10), Length::ZERO);
    let strip = support::moulding(&mut shop, "STRIP", width, none, Length::from_mm(2_400));
    strip.kind = Kind::BuildOut;
    strip.body.height = Some(Length::from_mm(6));
    for frame in &mut shop.frames {
        if numbers.one_in(3) {
            frame.layers.push(support::layer("STRIP"));
        }
    }
    for index in 0..numbers.within(1, 3) {
        let length = Length::from_mm(numbers.within(35, 90) * 20);
        support::stick(&mut shop, &format!("B{index}"), "STRIP", length);
    }
    shop
}

fn frames(numbers: &mut Numbers, shop: &mut Shop, mouldings: i64, matched: bool) {
    let sides: Vec<i64> = (0..4).map(|_| numbers.within(9, 26) * 20).collect();
    let dates = numbers.one_of(&[1, 1, 2, 3]);
    for index in 0..numbers.within(8, 14) {
        let (width, height) = (numbers.one_of(&sides), numbers.one_of(&sides));
        let first = format!("M{}", numbers.within(0, mouldings - 1));
        let (width, height) = (Length::from_mm(width), Length::from_mm(height));
        let frame = support::frame(shop, &format!("F{index}"), &first, width, height);
        frame.copies = numbers.one_of(&[1, 1, 1, 2]);
        frame.due = match numbers.within(1, dates) {
            1 => Some(date(2031, 3, 4)),
            2 => Some(date(2031, 3, 6)),
            _ => None,
        };
        if mouldings > 1 && numbers.one_in(4) {
            frame.layers.push(support::layer(&format!("M{}", numbers.within(0, mouldings - 1))));
        }
        for layer in &mut frame.layers {
            if !matched || !numbers.one_in(3) {
                continue;
            }
            layer.match_ = numbers.one_of(&[Match::Lot, Match::Halves, Match::Stick, Match::Wrap]);
            layer.match_floor = layer.match_;
        }
    }
}
