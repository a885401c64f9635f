//! Many pieces of few sizes: sheets cut alike, and the rest as the search finds it.

use longpoint::sheets::{Breakdown, SheetQuestion, area, faults};
use longpoint::shop::{Parting, SheetRules, USUAL_KEEP};

use crate::shops::{Dice, inches, keeping, quarters};

/// So many pieces of a size.
type ManyAlike = (usize, (i64, i64));

/// So many of each size in quarters of an inch, in turn, from sheets of 32 x 40 of which some
/// stand there.
fn question(sizes: &[(usize, (i64, i64))], there: u32) -> SheetQuestion {
    let of = |&(count, (width, height)): &(usize, (i64, i64))| {
        std::iter::repeat_n((quarters(width), quarters(height), true), count)
    };
    SheetQuestion {
        rules: keeping(USUAL_KEEP),
        pieces: sizes.iter().flat_map(of).collect(),
        remnants: Vec::new(),
        wholes: vec![(inches(32), inches(40), there)],
    }
}

/// Cut with so many orders, and looked over.
fn cut(question: &SheetQuestion, tries: usize) -> Breakdown {
    let done = question.together(tries);
    assert_eq!(faults(question, &done), Vec::<String>::new());
    assert!(done.cost <= question.by_habit().cost);
    assert_eq!(done.without, Vec::<usize>::new());
    done
}

/// Computed: four of 16 x 20 are a sheet of 32 x 40 without waste.
#[test]
fn many_of_one_size_are_cut_alike() {
    for (count, sheets) in [(100, 25), (102, 26), (200, 50), (500, 125)] {
        let question = question(&[(count, (64, 80))], 0);
        let done = cut(&question, 2);
        assert_eq!(done.sheets.len(), sheets, "{count}");
        assert_eq!(done.cost.bought, sheets as i128 * area(inches(32), inches(40)));
        assert_eq!(done.cost.opened, question.least_opened(), "{count}: proven");
    }
    // Of those that stand there first: forty of fifty.
    let done = cut(&question(&[(200, (64, 80))], 40), 2);
    assert_eq!(done.cost.bought, 10 * area(inches(32), inches(40)));
    assert_eq!(done.cost.opened, 50 * area(inches(32), inches(40)));
}

/// What the remnants hold needs no sheet: computed, 3 of 16 x 20 in each of two of 20 x 48.
#[test]
fn remnants_are_used_first() {
    let mut question = question(&[(206, (64, 80))], 0);
    question.remnants = vec![(inches(20), inches(48)); 2];
    let done = cut(&question, 2);
    assert_eq!(done.cost.bought, 50 * area(inches(32), inches(40)));
}

/// Two and three sizes, hundreds each, with two orders tried. The first leaves no waste, which is
/// computed; of all of them the cheapest mix of sheets proves that no way opens fewer.
#[test]
fn many_of_a_few_sizes_are_proven_least() {
    let lists: [(&[ManyAlike], i128); 4] = [
        (&[(200, (64, 80)), (400, (32, 40))], 75),
        (&[(300, (64, 80)), (300, (44, 56))], 120),
        (&[(200, (65, 81)), (300, (45, 57)), (400, (33, 41))], 129),
        (&[(150, (96, 72)), (250, (64, 80)), (350, (44, 56))], 167),
    ];
    for (list, sheets) in lists {
        let question = question(list, 0);
        let done = cut(&question, 2);
        assert_eq!(done.cost.opened, sheets * area(inches(32), inches(40)), "{list:?}");
        assert_eq!(done.cost.opened, question.least_opened(), "{list:?}");
    }
}

/// A dozen sizes, two hundred pieces: proven least, where such a list stood 18 % above what was
/// known before mixes were looked for. With remnants and two sheets to choose from, found when
/// this was written: 6 % above.
#[test]
fn many_sizes_come_near_the_least() {
    let mut dice = Dice::new(7);
    let sizes: Vec<(i64, i64)> = (0..12)
        .map(|_| {
            let width = 20 + dice.below(60);
            (width, (width + 8 + dice.below(40)).min(120))
        })
        .collect();
    let list: Vec<ManyAlike> =
        sizes.iter().map(|size| (12 + usize::try_from(dice.below(10)).unwrap(), *size)).collect();
    let mut question = question(&list, 0);
    for most in [100, 107] {
        if most > 100 {
            question.remnants = vec![(inches(20), inches(30)), (inches(12), inches(40))];
            question.wholes.push((inches(40), inches(60), 0));
        }
        let done = cut(&question, 40);
        let least = question.least_opened();
        assert!(done.cost.opened * 100 <= least * most, "{} of {least}", done.cost.opened);
    }
}

/// Fifty pieces of 25 sizes, which orders of all of them cut from twelve sheets: a few sheets at a
/// time cut anew come to eleven, and ten have not the area, which is computed.
#[test]
fn sheets_cut_anew_come_to_the_least() {
    let mut dice = Dice::new(375);
    let sizes: Vec<(i64, i64)> = (0..25)
        .map(|_| {
            let width = 20 + dice.below(60);
            (width, (width + 8 + dice.below(40)).min(120))
        })
        .collect();
    assert_eq!(dice.below(2), 0, "sheets of 32 x 40");
    let mut list: Vec<ManyAlike> = sizes.iter().map(|size| (1, *size)).collect();
    list.extend((0..25).map(|_| (1, sizes[usize::try_from(dice.below(25)).unwrap()])));
    let question = question(&list, 0);
    let sheet = area(inches(32), inches(40));
    let pieces: i128 = question.pieces.iter().map(|piece| area(piece.0, piece.1)).sum();
    assert!(pieces > 10 * sheet, "{pieces}");
    assert_eq!(cut(&question, question.usual_tries()).cost.opened, 11 * sheet);
}

/// A strip that cannot be broken off, a saw's kerf, and pieces that must stay upright.
#[test]
fn the_rules_hold_for_sheets_cut_alike() {
    let scored = SheetRules {
        parting: Some(Parting::Scored),
        least_strip: quarters(2),
        ..keeping(USUAL_KEEP)
    };
    let sawn =
        SheetRules { parting: Some(Parting::Sawn), kerf: quarters(1), ..keeping(USUAL_KEEP) };
    for rules in [scored, sawn] {
        for turn in [false, true] {
            let mut question = question(&[(120, (47, 63)), (90, (63, 47)), (90, (39, 31))], 7);
            question.rules = rules;
            question.pieces.iter_mut().for_each(|piece| piece.2 = turn);
            question.wholes.push((inches(36), inches(48), 3));
            cut(&question, 2);
        }
    }
}

/// The longest list that may be: within its bounds it ends soon.
#[test]
fn five_thousand_pieces_are_cut_alike() {
    let question = question(&[(2000, (64, 80)), (2000, (32, 40)), (1000, (44, 56))], 0);
    let done = cut(&question, question.usual_tries());
    assert!(done.cost.opened * 100 <= question.least_opened() * 101);
}
