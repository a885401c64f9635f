//! What is ordered is on offer, and there is enough of it for what is cut.

use std::collections::BTreeMap;

use super::facts::Facts;
use super::{Fault, days, truth};
use crate::measure::Length;
use crate::plan::{Chopped, OrderLine};
use crate::shop::{Carton, Form, Lengths, Match, Offer};

pub(super) fn check(facts: &Facts, faults: &mut Vec<Fault>) {
    for line in &facts.plan.order.lines {
        if let Err(what) = offered(facts, line) {
            let (moulding, supplier) = (line.moulding.clone(), line.supplier.clone());
            faults.push(Fault::NotOffered { moulding, supplier, what });
        }
    }
    for chopped in &facts.plan.order.chops {
        if let Err(what) = choppable(facts, chopped) {
            let (frame, copy, layer) = (chopped.frame.clone(), chopped.copy, chopped.layer);
            faults.push(Fault::FalseChop { frame, copy, layer, what });
        }
    }
    enough(facts, faults);
    all_chops_are_ordered(facts, faults);
}

/// The offer that a line names.
pub(super) fn offer_of<'a>(facts: &Facts<'a>, row: Option<u64>) -> Option<&'a Offer> {
    facts.shop.offers.iter().find(|offer| Some(offer.row) == row)
}

/// Sticks in one that is counted on a line: at the least, of random lengths.
pub(super) fn sticks_each(offer: &Offer, stick: Length) -> u32 {
    let longest = match offer.lengths {
        Lengths::Between(_, to) => to,
        Lengths::These(_) => stick,
    };
    match offer.form {
        Form::Box { holds: Carton::Sticks(sticks) } => sticks,
        Form::Box { holds: Carton::Length(length) } => {
            u32::try_from(length.nm() / longest.nm()).unwrap_or(0)
        }
        Form::Length | Form::Chop { .. } => 1,
    }
}

fn offered(facts: &Facts, line: &OrderLine) -> Result<(), &'static str> {
    let offer = offer_of(facts, line.offer).ok_or("offer")?;
    if (&offer.supplier, &offer.moulding) != (&line.supplier, &line.moulding) {
        return Err("supplier or moulding");
    }
    let supplier = &facts.shop.suppliers[&offer.supplier];
    if !days::is_taken(supplier, facts.plan.date) {
        return Err("day");
    }
    let word = match offer.form {
        Form::Length => "length",
        Form::Box { .. } => "box",
        Form::Chop { .. } => "chop",
    };
    if line.form != word || line.count == 0 {
        return Err("form or count");
    }
    if word == "chop" {
        return Ok(());
    }
    let pieces = truth::pieces(facts.shop, offer, facts.plan.date);
    let is_piece =
        |piece: &&truth::SoldPiece| (piece.stick, piece.halved) == (line.length, line.halved);
    pieces.iter().find(is_piece).ok_or("length")?;
    let times = if line.halved { 2 } else { 1 };
    if line.pieces != line.count * sticks_each(offer, line.length) * times {
        return Err("number of pieces");
    }
    if line.cut + line.restock > line.pieces {
        return Err("pieces to spare");
    }
    Ok(())
}

/// The rails of the layer can be cut by the supplier, and no match is asked that
/// only a stick in hand can give.
fn choppable(facts: &Facts, chopped: &Chopped) -> Result<(), &'static str> {
    let offer = offer_of(facts, Some(chopped.offer)).ok_or("no such offer")?;
    let Form::Chop { least, .. } = offer.form else { return Err("no chop") };
    let (supplier, moulding) = (&chopped.supplier, &chopped.moulding);
    if (&offer.supplier, &offer.moulding) != (supplier, moulding) {
        return Err("another offer");
    }
    let frame = facts.frames.get(chopped.frame.as_str()).ok_or("no such frame")?;
    let place = chopped.layer.checked_sub(1).ok_or("no such layer")?;
    let layer = frame.layers.get(place).ok_or("no such layer")?;
    if layer.moulding != *moulding {
        return Err("another moulding");
    }
    let match_ = facts.match_in_force(&chopped.frame, chopped.layer);
    if !matches!(match_, Some(Match::Any | Match::Lot)) {
        return Err("its match");
    }
    let rails = &facts.rails[chopped.frame.as_str()][place];
    let Lengths::Between(shortest, longest) = offer.lengths else { return Err("no range") };
    if rails.iter().any(|(_, rail)| rail.long_point < shortest || rail.long_point > longest) {
        return Err("a rail beyond what they cut");
    }
    let perimeter: Length = rails.iter().map(|(_, rail)| rail.long_point).sum();
    if chopped.billed != perimeter.max(least) { Err("the length billed") } else { Ok(()) }
}

/// For each supplier, moulding and length, the pieces that are cut are those
/// that the lines say, which arrive.
fn enough(facts: &Facts, faults: &mut Vec<Fault>) {
    let mut cut: BTreeMap<(&str, &str, Length), i64> = BTreeMap::new();
    for (_, stick) in facts.sticks().filter(|(_, stick)| stick.is_new) {
        let of = (stick.supplier.as_str(), stick.moulding.as_str(), stick.length);
        *cut.entry(of).or_default() += 1;
    }
    for line in facts.plan.order.lines.iter().filter(|line| line.form != "chop") {
        let Some(offer) = offer_of(facts, line.offer) else { continue };
        let pieces = truth::pieces(facts.shop, offer, facts.plan.date);
        let of =
            |piece: &&truth::SoldPiece| (piece.stick, piece.halved) == (line.length, line.halved);
        let Some(piece) = pieces.iter().find(of) else { continue };
        let of = (line.supplier.as_str(), line.moulding.as_str(), piece.length);
        *cut.entry(of).or_default() -= i64::from(line.cut);
    }
    for ((_, moulding, _), over) in cut.into_iter().filter(|(_, over)| *over != 0) {
        let found = u32::try_from((-over).max(0)).unwrap_or(0);
        let right = u32::try_from(over.max(0)).unwrap_or(0);
        faults.push(Fault::FalseCount { moulding: moulding.to_owned(), found, right });
    }
}

/// The chop lines are for the layers that are chopped, rail by rail.
fn all_chops_are_ordered(facts: &Facts, faults: &mut Vec<Fault>) {
    let mut lines: BTreeMap<(u64, Length, Vec<Length>), i64> = BTreeMap::new();
    for chopped in &facts.plan.order.chops {
        let Some(layers) = facts.rails.get(chopped.frame.as_str()) else { continue };
        let place = chopped.layer.checked_sub(1);
        let Some(rails) = place.and_then(|place| layers.get(place)) else { continue };
        let rails = rails.iter().map(|(_, rail)| rail.long_point).collect();
        *lines.entry((chopped.offer, chopped.billed, rails)).or_default() += 1;
    }
    for line in facts.plan.order.lines.iter().filter(|line| line.form == "chop") {
        let of = (line.offer.unwrap_or(0), line.length, line.rails.clone());
        *lines.entry(of).or_default() -= i64::from(line.count);
    }
    for ((row, ..), _) in lines.into_iter().filter(|(_, over)| *over != 0) {
        let moulding = offer_of(facts, Some(row)).map_or("", |offer| &offer.moulding);
        let moulding = moulding.to_owned();
        faults.push(Fault::FalseCount { moulding, found: 0, right: 0 });
    }
}
