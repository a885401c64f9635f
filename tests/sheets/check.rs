//! Every fault of a layout is seen: a good one is spoiled in one way after the other.

use longpoint::measure::Length;
use longpoint::sheets::{Breakdown, Divides, SheetFrom, SheetQuestion, faults};
use longpoint::shop::SheetRules;

use crate::mm;
use crate::shops::keeping;

fn question() -> SheetQuestion {
    SheetQuestion {
        rules: SheetRules { least_strip: mm(2), ..SheetRules::default() },
        pieces: vec![(mm(10), mm(20), true), (mm(12), mm(8), false), (mm(90), mm(5), true)],
        remnants: vec![(mm(30), mm(25)), (mm(13), mm(40))],
        wholes: vec![(mm(100), mm(60), 1)],
    }
}

fn caught(spoil: impl FnOnce(&mut Breakdown), words: &str) {
    let question = question();
    let mut done = question.by_habit();
    assert_eq!(faults(&question, &done), Vec::<String>::new());
    spoil(&mut done);
    let said = faults(&question, &done).join("; ");
    assert!(said.contains(words), "{words:?} in {said:?}");
}

#[test]
fn every_fault_of_a_layout_is_seen() {
    let nudge = Length::from_nm(1);
    caught(|done| drop(done.sheets.pop()), "is there 0 times");
    caught(
        |done| {
            let again = done.sheets[0].pieces[0];
            done.sheets[0].pieces.push(again);
        },
        "is there 2 times",
    );
    caught(|done| done.sheets[0].pieces[0].0 = 9, "was never wanted");
    caught(|done| done.sheets[0].from = SheetFrom::Remnant(7), "not of its size");
    caught(
        |done| {
            let again = done.sheets[0].from;
            done.sheets.iter_mut().for_each(|sheet| sheet.from = again);
        },
        "cut twice",
    );
    caught(
        |done| {
            let whole = done.sheets.iter().find(|sheet| sheet.from == SheetFrom::Whole(0)).cloned();
            let mut more = whole.expect("the long piece needs a whole sheet");
            more.pieces.clear();
            more.cuts.clear();
            done.sheets.push(more);
        },
        "more whole sheets are cut than stand there",
    );
    caught(|done| done.sheets[0].size.0 += nudge, "not of its size");
    caught(|done| done.sheets[0].cuts[0].at += nudge, "of a pane that is not there");
    caught(|done| done.sheets[0].cuts.swap(0, 1), "of a pane that is not there");
    caught(|done| done.sheets[0].cuts.truncate(1), "do not leave these");
    caught(|done| done.sheets[0].left.clear(), "do not leave these");
    caught(
        |done| {
            let cut = &mut done.sheets[0].cuts[0];
            cut.at = match cut.divides {
                Divides::Width => cut.pane.width,
                Divides::Height => cut.pane.height,
            };
        },
        "not within its pane",
    );
    caught(|done| done.sheets[0].cuts[0].at = mm(1), "takes off a strip that is too narrow");
    caught(|done| done.sheets[0].pieces[0].1.x += nudge, "do not leave these");
    caught(|done| done.sheets[0].pieces[0].1.width += nudge, "not as it was asked for");
    caught(
        |done| {
            let piece = &mut done.sheets[0].pieces[0];
            piece.2 = !piece.2;
        },
        "not as it was asked for",
    );
    caught(
        |done| {
            let wide = done.sheets[0].size.0;
            done.sheets[0].pieces[0].1.x += wide;
        },
        "beyond the edge",
    );
    caught(
        |done| {
            let whole = done.sheets.pop().expect("a sheet");
            done.without.extend(whole.pieces.iter().map(|piece| piece.0));
        },
        "fits into a whole sheet, and has none",
    );
}

#[test]
fn two_pieces_on_one_another_are_seen_whatever_the_cuts_say() {
    let question = SheetQuestion {
        rules: keeping(mm(1)),
        pieces: vec![(mm(10), mm(20), false); 2],
        remnants: Vec::new(),
        wholes: vec![(mm(20), mm(20), 1)],
    };
    let mut done = question.by_habit();
    assert_eq!(faults(&question, &done), Vec::<String>::new());
    done.sheets[0].pieces[1].1.x = mm(5);
    assert!(faults(&question, &done).join("; ").contains("on one another"));
}

/// Toughened glass is never cut: a layout that cuts it is refused, also where what comes off is
/// exactly the piece.
#[test]
fn a_cut_of_toughened_glass_is_refused() {
    let cut = question();
    let done = cut.by_habit();
    assert!(done.sheets.iter().any(|sheet| !sheet.cuts.is_empty()));
    let rules = SheetRules { made_to_size: true, ..cut.rules };
    let toughened = SheetQuestion { rules, ..cut };
    let said = faults(&toughened, &done).join("; ");
    assert!(said.contains("toughened glass is cut"), "{said}");
    // As they are made, none of these pieces has a pane, and that is no fault.
    let none = toughened.by_habit();
    assert_eq!((none.sheets.len(), none.without.len()), (0, 3));
    assert_eq!(faults(&toughened, &none), Vec::<String>::new());
    // A pane of its size that is passed over is one.
    let wholes = vec![(mm(20), mm(10), 1)];
    let there = SheetQuestion { wholes, ..toughened };
    assert!(faults(&there, &none).join("; ").contains("fits into a whole sheet, and has none"));
    assert_eq!(faults(&there, &there.by_habit()), Vec::<String>::new());
}
