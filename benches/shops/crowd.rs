//! A crowd: tickets of a few mouldings that stacks tie together, over a rack that
//! has not enough for all of them.

use jiff::civil::date;
use longpoint::measure::{Length, Mitre};
use longpoint::shop::{Frame, FrameProgress, Layer, Match, Shop};

use super::{Dice, Size, bare, inches, mouldings, stick};

/// A crowd for a seed.
///
/// There is a moulding for every 300 tickets, and two more. Of a hundred tickets
/// twelve are stacks of two, ten are matched, and all are of sizes of their own,
/// due on one of six days. The rack has about 7 sticks for 10 tickets, of which
/// each takes about one.
pub fn crowd(seed: u64, tickets: u32) -> Shop {
    let mut dice = Dice::new(seed);
    let size = Size { frames: tickets, mouldings: tickets / 300 + 2, sticks: tickets * 7 / 10 };
    let mouldings = mouldings(&mut dice, size.mouldings);
    let ids: Vec<&String> = mouldings.keys().collect();
    let frames = (0..size.frames).map(|number| frame(&mut dice, number, &ids)).collect();
    let rack = (0..size.sticks).map(|number| stick(&mut dice, number, &ids, &mouldings)).collect();
    bare(mouldings, frames, rack)
}

fn frame(dice: &mut Dice, number: u32, ids: &[&String]) -> Frame {
    let match_ = if dice.chance(10) { Match::Lot } else { Match::Any };
    let mut layer = |match_| Layer {
        moulding: ids[dice.place(ids.len())].clone(),
        allowance: None,
        gap: Length::ZERO,
        window: None,
        match_,
        match_floor: Match::Any,
    };
    let mut layers = vec![layer(match_)];
    let second = layer(Match::Any);
    if dice.chance(12) {
        layers.push(second);
    }
    let side = |dice: &mut Dice| inches(8) + Length::from_64ths(dice.roll(0, 20 * 8) * 8);
    let due = date(2026, 11, 25 + i8::try_from(dice.roll(0, 5)).expect("a few days"));
    Frame {
        id: format!("{}", 1000 + number),
        layers,
        width: side(dice),
        height: side(dice),
        mitre: Mitre::SQUARE,
        copies: 1,
        progress: FrameProgress::default(),
        due: Some(due),
        came: None,
        promised: false,
        thickness: None,
        note: String::new(),
        row: u64::from(number) + 2,
    }
}
