//! The single sheet against a table over every millimetre, which shares no code with it.

use longpoint::sheets::{Breakdown, SheetQuestion, WantedSize, faults, most};
use longpoint::shop::SheetRules;

use crate::mm;
use crate::shops::Dice;

#[derive(Debug)]
struct Case {
    sheet: (usize, usize),
    kerf: usize,
    least: usize,
    sizes: Vec<(usize, usize, bool, i128)>,
}

fn case(seed: u64) -> Case {
    let mut dice = Dice::new(seed);
    let mut to =
        |least: i64, most: i64| usize::try_from(least + dice.below(most - least + 1)).unwrap();
    let sheet = (to(5, 19), to(5, 19));
    // What is sawn has a kerf, what is scored a narrowest strip.
    let (kerf, least) = match to(0, 2) {
        0 => (0, 0),
        1 => (to(1, 3), 0),
        _ => (0, to(1, 4)),
    };
    let sizes = (0..to(1, 4))
        .map(|_| (to(1, 7), to(1, 7), to(0, 1) == 0, i128::try_from(to(1, 30)).unwrap()))
        .collect();
    Case { sheet, kerf, least, sizes }
}

/// The value of every rectangle, by all cuts at every millimetre.
fn table(case: &Case) -> i128 {
    let (wide, high) = case.sheet;
    let mut best = vec![vec![0_i128; high + 1]; wide + 1];
    let beyond = |of: usize, at: usize| -> Option<usize> {
        let over = of - at;
        if case.kerf > 0 {
            return Some(over.saturating_sub(case.kerf));
        }
        (at >= case.least && over >= case.least).then_some(over)
    };
    for w in 1..=wide {
        for h in 1..=high {
            let mut value = 0;
            for &(width, height, turn, worth) in &case.sizes {
                if (width, height) == (w, h) || (turn && (height, width) == (w, h)) {
                    value = value.max(worth);
                }
            }
            for at in 1..w {
                if let Some(rest) = beyond(w, at) {
                    value = value.max(best[at][h] + best[rest][h]);
                }
            }
            for at in 1..h {
                if let Some(rest) = beyond(h, at) {
                    value = value.max(best[w][at] + best[w][rest]);
                }
            }
            best[w][h] = value;
        }
    }
    best[wide][high]
}

fn length(of: usize) -> longpoint::measure::Length {
    mm(i64::try_from(of).unwrap())
}

#[test]
fn the_most_valuable_sheet_is_that_of_the_table() {
    let (mut less, mut narrow) = (0, 0);
    for seed in 0..3000 {
        let case = case(seed);
        let sizes: Vec<WantedSize> = case
            .sizes
            .iter()
            .map(|&(width, height, turn, value)| WantedSize {
                width: length(width),
                height: length(height),
                turn,
                value,
            })
            .collect();
        let rules = SheetRules {
            kerf: length(case.kerf),
            least_strip: length(case.least),
            ..SheetRules::default()
        };
        let sheet = (length(case.sheet.0), length(case.sheet.1));
        let mut found = most(sheet, &sizes, &rules).unwrap();
        let value: i128 = found.pieces.iter().map(|piece| sizes[piece.0].value).sum();
        let best = table(&case);
        let free = most(sheet, &sizes, &rules.unbroken()).unwrap();
        let bound: i128 = free.pieces.iter().map(|piece| sizes[piece.0].value).sum();
        assert!(value <= best && best <= bound, "seed {seed}: {case:?}");
        match case.least {
            0 => assert_eq!(value, best, "seed {seed}: {case:?}"),
            _ => {
                narrow += 1;
                less += usize::from(value < best);
            }
        }
        let of = |number: usize| (sizes[number].width, sizes[number].height, sizes[number].turn);
        let question = SheetQuestion {
            rules,
            pieces: found.pieces.iter().map(|piece| of(piece.0)).collect(),
            remnants: Vec::new(),
            wholes: vec![(sheet.0, sheet.1, 1)],
        };
        for (number, piece) in found.pieces.iter_mut().enumerate() {
            piece.0 = number;
        }
        let cost = question.by_habit().cost;
        let done = Breakdown { sheets: vec![found], without: Vec::new(), cost };
        assert_eq!(faults(&question, &done), Vec::<String>::new(), "seed {seed}");
    }
    // Where narrow strips do not come off, it is nearly always the most.
    println!("{less} of {narrow} with a narrowest strip are less than the best");
    assert!(less * 100 <= narrow * 2, "{less} of {narrow}");
}

#[test]
fn what_would_take_too_long_is_not_tried() {
    let wanted = WantedSize {
        width: longpoint::measure::Length::from_nm(1_234_567),
        height: longpoint::measure::Length::from_nm(2_345_678),
        turn: true,
        value: 1,
    };
    assert!(most((mm(3000), mm(2000)), &[wanted], &SheetRules::default()).is_none());
}
