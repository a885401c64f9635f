//! Looks every layout over before anybody sees it, with arithmetic of its own.

use std::collections::BTreeSet;

use crate::measure::Length;

use super::breakdown::{Breakdown, BrokenSheet, SheetFrom, SheetQuestion};
use super::pane::{Divides, Pane};

/// What is wrong with a way to cut it all, in words.
pub type SheetFault = String;

/// Every fault of it: a piece missing, twice, too small or outside, a cut that cannot be made
/// in its turn, a sheet that is not there.
pub fn faults(question: &SheetQuestion, done: &Breakdown) -> Vec<SheetFault> {
    let mut faults = Vec::new();
    let mut seen = vec![0_u32; question.pieces.len()];
    let placed = done.sheets.iter().flat_map(|sheet| sheet.pieces.iter().map(|piece| piece.0));
    for number in placed.chain(done.without.iter().copied()) {
        match seen.get_mut(number) {
            Some(times) => *times += 1,
            None => faults.push(format!("piece {number} was never wanted")),
        }
    }
    let not_once = seen.iter().enumerate().filter(|(_, times)| **times != 1);
    faults.extend(not_once.map(|(number, times)| format!("piece {number} is there {times} times")));
    stock(question, done, &mut faults);
    if !faults.is_empty() {
        return faults;
    }
    for (number, sheet) in done.sheets.iter().enumerate() {
        let said = of_sheet(question, sheet);
        faults.extend(said.into_iter().map(|fault| format!("sheet {number}: {fault}")));
    }
    for number in &done.without {
        let has_room = |size: &(Length, Length)| goes_in(question, *size, question.pieces[*number]);
        if question.wholes.iter().any(|(width, height, _)| has_room(&(*width, *height))) {
            faults.push(format!("piece {number} fits into a whole sheet, and has none"));
        }
    }
    faults
}

/// Whether the sheets are there, each once, and of their size.
fn stock(question: &SheetQuestion, done: &Breakdown, faults: &mut Vec<SheetFault>) {
    let mut remnants = BTreeSet::new();
    let mut taken = vec![0_u32; question.wholes.len()];
    for sheet in &done.sheets {
        let size = match sheet.from {
            SheetFrom::Remnant(at) => {
                if !remnants.insert(at) {
                    faults.push(format!("remnant {at} is cut twice"));
                }
                question.remnants.get(at).copied()
            }
            SheetFrom::Whole(at) => {
                taken.iter_mut().skip(at).take(1).for_each(|taken| *taken += 1);
                question.wholes.get(at).map(|whole| (whole.0, whole.1))
            }
            SheetFrom::ToBuy(at) => question.wholes.get(at).map(|whole| (whole.0, whole.1)),
        };
        if size != Some(sheet.size) {
            faults.push("a sheet is not of its size".to_owned());
        }
    }
    let over = taken.iter().zip(&question.wholes).any(|(taken, whole)| *taken > whole.2);
    if over {
        faults.push("more whole sheets are cut than stand there".to_owned());
    }
}

/// Makes the cuts one after the other, and looks at what lies there in the end.
fn of_sheet(question: &SheetQuestion, sheet: &BrokenSheet) -> Vec<SheetFault> {
    let mut faults = Vec::new();
    let (nought, kerf) = (Length::ZERO, question.rules.kerf);
    let whole = Pane { x: nought, y: nought, width: sheet.size.0, height: sheet.size.1 };
    let mut panes = BTreeSet::from([whole]);
    if question.rules.made_to_size && !sheet.cuts.is_empty() {
        faults.push("toughened glass is cut".to_owned());
    }
    for (number, cut) in sheet.cuts.iter().enumerate() {
        let Pane { x, y, width, height } = cut.pane;
        if !panes.remove(&cut.pane) {
            faults.push(format!("cut {number} is of a pane that is not there"));
            continue;
        }
        let measure = if cut.divides == Divides::Width { width } else { height };
        if cut.at <= nought || cut.at >= measure {
            faults.push(format!("cut {number} is not within its pane"));
            continue;
        }
        let beyond = measure - cut.at - kerf;
        let narrow = cut.at.min(beyond) < question.rules.least_strip;
        if narrow && (beyond > nought || cut.at < question.rules.least_strip) {
            faults.push(format!("cut {number} takes off a strip that is too narrow"));
        }
        let mut lay = |pane: Pane| {
            let is_there = pane.width > nought && pane.height > nought;
            is_there.then(|| panes.insert(pane));
        };
        match cut.divides {
            Divides::Width => {
                lay(Pane { x, y, width: cut.at, height });
                lay(Pane { x: x + cut.at + kerf, y, width: beyond, height });
            }
            Divides::Height => {
                lay(Pane { x, y, width, height: cut.at });
                lay(Pane { x, y: y + cut.at + kerf, width, height: beyond });
            }
        }
    }
    let pieces: Vec<Pane> = sheet.pieces.iter().map(|piece| piece.1).collect();
    let lie: BTreeSet<Pane> = pieces.iter().chain(&sheet.left).copied().collect();
    if lie != panes || lie.len() != pieces.len() + sheet.left.len() {
        faults.push("the cuts do not leave these pieces and remnants".to_owned());
    }
    for (number, pane, turned) in &sheet.pieces {
        let (width, height, may_turn) = question.pieces[*number];
        let size = if *turned { (height, width) } else { (width, height) };
        if (pane.width, pane.height) != size || (*turned && !may_turn) {
            faults.push(format!("piece {number} is not as it was asked for"));
        }
    }
    faults.extend(overlaps(&whole, &pieces));
    faults
}

/// Without any regard to the cuts: all pieces lie on the sheet and none on another.
fn overlaps(whole: &Pane, pieces: &[Pane]) -> Vec<SheetFault> {
    let apart = |one: &Pane, other: &Pane| {
        one.x + one.width <= other.x
            || other.x + other.width <= one.x
            || one.y + one.height <= other.y
            || other.y + other.height <= one.y
    };
    let mut faults = Vec::new();
    for (at, one) in pieces.iter().enumerate() {
        let beyond = one.x + one.width > whole.width || one.y + one.height > whole.height;
        if one.x < Length::ZERO || one.y < Length::ZERO || beyond {
            faults.push("a piece lies beyond the edge".to_owned());
        }
        if pieces[..at].iter().any(|other| !apart(one, other)) {
            faults.push("two pieces lie on one another".to_owned());
        }
    }
    faults
}

/// Whether a piece can be taken out of a sheet of this size.
fn goes_in(
    question: &SheetQuestion,
    (width, height): (Length, Length),
    piece: (Length, Length, bool),
) -> bool {
    let rules = &question.rules;
    if rules.made_to_size {
        let is_it = |size| size == (width, height);
        return is_it((piece.0, piece.1)) || piece.2 && is_it((piece.1, piece.0));
    }
    let comes_off = |of: Length, part: Length| {
        let rest = of - part - rules.kerf;
        let strip = rest <= Length::ZERO || rest >= rules.least_strip;
        of == part || of > part && part >= rules.least_strip && strip
    };
    let lies = |w: Length, h: Length| comes_off(width, w) && comes_off(height, h);
    lies(piece.0, piece.1) || piece.2 && lies(piece.1, piece.0)
}
