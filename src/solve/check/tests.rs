//! A right answer passes; each way of tampering with it is caught.

use super::*;
use crate::solve::{Credit, Item, Piece, Run, STRAIGHT, Shortfall, Stock, WHOLE};

fn run(room: i64) -> Run {
    Run::clear(room)
}

fn stock(room: i64, cost: i64, supply: Option<u32>, group: u32) -> Stock {
    Stock { runs: vec![run(room)], cost, supply, credit: None, group }
}

fn item(parts: &[i64], demand: u32, group: Option<u32>) -> Item {
    Item { parts: parts.to_vec(), demand, group }
}

fn piece(item: usize, part: usize, count: u32) -> Piece {
    Piece { item, part, count }
}

/// Stock 0 is plain and without limit; stock 1 has two runs with a flaw of 4
/// between them and a credit for what is left, and belongs to group 7.
fn question() -> Problem {
    let flawed = Stock {
        runs: vec![Run { room: 20, tail: 64, gap: 22, untouched: 22 }, Run::clear(40)],
        cost: 100,
        supply: Some(2),
        credit: Some(Credit {
            keep: 10,
            full: 30,
            share: WHOLE / 2,
            knots: STRAIGHT,
            rate: 3,
            per: 2,
            scale: 10,
        }),
        group: 7,
    };
    Problem {
        stock: vec![stock(50, 60, None, 0), flawed],
        items: vec![item(&[20], 4, None), item(&[12, 8], 2, Some(7)), item(&[5], 3, None)],
    }
}

/// Two sticks of stock 0 with 20 + 20 + 5 each, and one of stock 1 with the
/// two parts of item 1 twice and the last 5.
///
/// By hand: of run 0 of stock 1, 17 is cut (12 and 5), which leaves 5 of its
/// gap of 22: under `keep`, so worth nothing. Of run 1, 28 is cut (12, 8, 8),
/// which leaves 12: a share of 1/2 + 1/2 x 2/20 = 0.55 of 18, which is 9.9; rounded
/// down and scaled, 90. The unit costs 100 - 90 = 10, the plan 2 x 60 + 10.
fn answer() -> Solution {
    Solution {
        patterns: vec![
            Pattern { stock: 0, times: 2, runs: vec![vec![piece(0, 0, 2), piece(2, 0, 1)]] },
            Pattern {
                stock: 1,
                times: 1,
                runs: vec![
                    vec![piece(1, 0, 1), piece(2, 0, 1)],
                    vec![piece(1, 0, 1), piece(1, 1, 2)],
                ],
            },
        ],
        cost: 130,
        bound: 125,
        work: 0,
        certificate: None,
    }
}

fn fault(tamper: impl Fn(&mut Problem, &mut Solution)) -> SolverFault {
    let (mut problem, mut solution) = (question(), answer());
    tamper(&mut problem, &mut solution);
    check(&problem, &Outcome::Solved(solution)).unwrap_err()
}

#[test]
fn a_right_answer_passes() {
    assert_eq!(check(&question(), &Outcome::Solved(answer())), Ok(()));
}

#[test]
fn a_remainder_beyond_the_last_run_used_is_one_piece() {
    // Only run 0 is cut, 20 of it: 64 - 20 = 44 is left in one piece, over
    // `full`, worth 66, scaled 660.
    let mut problem = question();
    problem.items = vec![item(&[12, 8], 1, Some(7))];
    let solution = Solution {
        patterns: vec![Pattern {
            stock: 1,
            times: 1,
            runs: vec![vec![piece(0, 0, 1), piece(0, 1, 1)], vec![]],
        }],
        cost: -560,
        bound: -560,
        work: 0,
        certificate: None,
    };
    assert_eq!(check(&problem, &Outcome::Solved(solution)), Ok(()));
}

#[test]
fn indices_that_do_not_exist_are_caught() {
    assert_eq!(
        fault(|_, s| s.patterns[0].stock = 2),
        SolverFault::UnknownStock { pattern: 0, stock: 2 }
    );
    assert_eq!(
        fault(|_, s| s.patterns[0].runs[0][0].item = 3),
        SolverFault::UnknownPart { pattern: 0, item: 3, part: 0 }
    );
    assert_eq!(
        fault(|_, s| s.patterns[1].runs[1][1].part = 2),
        SolverFault::UnknownPart { pattern: 1, item: 1, part: 2 }
    );
    assert_eq!(
        fault(|_, s| s.patterns[1].runs.truncate(1)),
        SolverFault::Runs { pattern: 1, found: 1, runs: 2 }
    );
}

#[test]
fn patterns_and_pieces_of_nothing_are_caught() {
    assert_eq!(fault(|_, s| s.patterns[0].times = 0), SolverFault::Unused { pattern: 0 });
    assert_eq!(fault(|_, s| s.patterns[0].runs[0].clear()), SolverFault::Empty { pattern: 0 });
    assert_eq!(
        fault(|_, s| s.patterns[0].runs[0][1].count = 0),
        SolverFault::NoCount { pattern: 0, item: 2, part: 0 }
    );
}

#[test]
fn a_demand_missed_either_way_is_caught() {
    assert_eq!(
        fault(|p, _| p.items[0].demand = 5),
        SolverFault::Demand { item: 0, cut: 4, wanted: 5 }
    );
    assert_eq!(
        fault(|p, _| p.items[2].demand = 2),
        SolverFault::Demand { item: 2, cut: 3, wanted: 2 }
    );
    assert_eq!(
        fault(|_, s| s.patterns.clear()),
        SolverFault::Demand { item: 0, cut: 0, wanted: 4 }
    );
}

#[test]
fn an_item_torn_between_units_is_caught() {
    // One part of item 1 moves to a second unit: the sums still come out.
    let torn = fault(|_, s| {
        let far = &mut s.patterns[1].runs[1];
        far[1].count = 1;
        s.patterns.push(Pattern { stock: 1, times: 1, runs: vec![vec![piece(1, 1, 1)], vec![]] });
    });
    assert_eq!(torn, SolverFault::Split { pattern: 1, item: 1 });
}

#[test]
fn stock_of_another_group_is_caught() {
    assert_eq!(fault(|p, _| p.stock[1].group = 6), SolverFault::Group { pattern: 1, item: 1 });
}

#[test]
fn a_run_that_holds_too_much_is_caught() {
    assert_eq!(
        fault(|p, _| p.stock[0].runs[0].room = 44),
        SolverFault::Overfull { pattern: 0, run: 0, taken: 45, room: 44 }
    );
    // Moving a piece from one run to the other keeps every other sum.
    let moved = fault(|_, s| {
        let last = s.patterns[1].runs[1].remove(0);
        s.patterns[1].runs[0].push(last);
    });
    assert_eq!(moved, SolverFault::Overfull { pattern: 1, run: 0, taken: 29, room: 20 });
}

#[test]
fn more_stock_than_there_is_is_caught() {
    assert_eq!(
        fault(|p, _| p.stock[0].supply = Some(1)),
        SolverFault::Supply { stock: 0, taken: 2, supply: 1 }
    );
    // Two patterns share one supply.
    let shared = fault(|p, s| {
        p.stock[0].supply = Some(1);
        s.patterns[0].times = 1;
        s.patterns.push(s.patterns[0].clone());
    });
    assert_eq!(shared, SolverFault::Supply { stock: 0, taken: 2, supply: 1 });
}

#[test]
fn a_false_cost_or_bound_is_caught() {
    let cost = |tamper: fn(&mut Problem, &mut Solution)| match fault(tamper) {
        SolverFault::Cost { said, found } => (said, found),
        other => panic!("{other}"),
    };
    assert_eq!(cost(|_, s| s.cost = 129), (129, 130));
    assert_eq!(cost(|p, _| p.stock[0].cost = 61), (130, 132));
    let credit = |p: &mut Problem, change: fn(&mut Credit)| {
        change(p.stock[1].credit.as_mut().expect("stock 1 has a credit"));
    };
    let changed = |change: fn(&mut Credit)| match fault(|p, _| credit(p, change)) {
        SolverFault::Cost { found, .. } => found,
        other => panic!("{other}"),
    };
    // Of 12 left: too short to keep; at the full rate; on a slope from 0.
    assert_eq!(changed(|c| c.keep = 13), 220);
    assert_eq!(changed(|c| c.full = 12), 40);
    assert_eq!(changed(|c| c.share = 0), 210);
    assert_eq!(fault(|p, _| credit(p, |c| c.per = 0)), SolverFault::Credit { stock: 1, per: 0 });
    assert_eq!(fault(|_, s| s.bound = 131), SolverFault::Bound { bound: 131, cost: 130 });
}

#[test]
fn sums_beyond_64_bits_are_added_right_and_beyond_128_bits_refused() {
    let huge = fault(|p, _| p.stock[0].cost = i64::MAX);
    assert_eq!(huge, SolverFault::Cost { said: 130, found: 2 * i128::from(i64::MAX) + 10 });
    let vast = fault(|p, _| {
        p.stock[1].credit.as_mut().expect("credit").rate = i64::MAX;
        p.stock[1].runs[1].gap = i64::MAX;
        p.stock[1].runs[1].tail = i64::MAX;
    });
    assert_eq!(vast, SolverFault::TooBig);
}

fn short(problem: &Problem, shortfall: Shortfall) -> Result<(), SolverFault> {
    check(problem, &Outcome::Impossible(shortfall))
}

#[test]
fn too_long_is_believed_only_of_what_fits_nowhere() {
    let mut problem = question();
    problem.items = vec![
        item(&[51], 1, None),
        item(&[45], 1, Some(7)),
        item(&[12, 12, 12, 12], 1, Some(7)),
        item(&[15, 20, 10], 1, Some(7)),
        item(&[60], 0, None),
    ];
    assert_eq!(short(&problem, Shortfall::TooLong(vec![0, 1])), Ok(()));
    // 48 of 60, but 12 + 12 do not share a run of 20 and 40 holds only three.
    assert_eq!(
        short(&problem, Shortfall::TooLong(vec![2])),
        Err(SolverFault::Fits { item: 2, stock: 1 })
    );
    problem.items[2].parts.push(12);
    assert_eq!(short(&problem, Shortfall::TooLong(vec![2])), Ok(()));
    assert_eq!(
        short(&problem, Shortfall::TooLong(vec![0, 3])),
        Err(SolverFault::Fits { item: 3, stock: 1 })
    );
    assert_eq!(
        short(&problem, Shortfall::TooLong(vec![4])),
        Err(SolverFault::NotWanted { item: 4 })
    );
    assert_eq!(short(&problem, Shortfall::TooLong(vec![])), Err(SolverFault::NoReason));
}

#[test]
fn too_little_is_believed_only_when_the_lengths_say_so() {
    let problem = Problem {
        stock: vec![stock(50, 1, Some(2), 0), stock(31, 1, None, 1)],
        items: vec![item(&[20, 5], 5, Some(0)), item(&[30], 1, None)],
    };
    let little = |items: &[usize], wanted, room| {
        let items = items.to_vec();
        short(&problem, Shortfall::TooLittle { items, wanted, room })
    };
    assert_eq!(little(&[0], 125, 100), Ok(()));
    assert_eq!(little(&[0], 126, 100), Err(SolverFault::Wanted { said: 126, found: 125 }));
    assert_eq!(little(&[0], 125, 125), Err(SolverFault::Enough { wanted: 125, found: 125 }));
    // The second stock is without limit, but one copy of 30 fills one of it.
    assert_eq!(little(&[0, 1], 155, 130), Ok(()));
    assert_eq!(little(&[1], 30, 29), Err(SolverFault::Enough { wanted: 30, found: 60 }));
}

#[test]
fn what_no_sum_of_pieces_reaches_is_not_counted_as_room() {
    let problem = Problem {
        stock: vec![stock(110, 1, Some(2), 0)],
        items: vec![item(&[60], 3, None), item(&[50], 0, None)],
    };
    let little = |room| Shortfall::TooLittle { items: vec![0], wanted: 180, room };
    // 110 holds only one 60, and the 50 is not wanted.
    assert_eq!(short(&problem, little(120)), Ok(()));
    assert_eq!(short(&problem, little(179)), Ok(()));
    assert_eq!(short(&problem, little(180)), Err(SolverFault::Enough { wanted: 180, found: 180 }));
}

#[test]
fn what_the_number_of_pieces_does_not_reach_is_not_counted_as_room() {
    // The stock of 16 holds nothing; 98 holds 41 + 41, but not 41 + 3 x 17,
    // since there is one 17.
    let mut problem = Problem {
        stock: vec![stock(100, 1, Some(2), 0), stock(16, 1, Some(9), 0)],
        items: vec![item(&[41], 4, None), item(&[17], 1, None)],
    };
    let little = Shortfall::TooLittle { items: vec![0, 1], wanted: 181, room: 180 };
    // 41 + 41 + 17 = 99, twice.
    assert_eq!(
        short(&problem, little.clone()),
        Err(SolverFault::Enough { wanted: 181, found: 198 })
    );
    problem.stock[0].runs[0] = run(98);
    assert_eq!(short(&problem, little), Ok(()));
}

#[test]
fn no_arrangement_is_not_believed_where_stock_is_without_limit() {
    let problem = Problem {
        stock: vec![stock(50, 1, Some(2), 0), stock(30, 1, None, 1)],
        items: vec![item(&[30], 3, Some(0)), item(&[30], 1, None)],
    };
    let none = |items: &[usize]| short(&problem, Shortfall::NoArrangement(items.to_vec()));
    assert_eq!(none(&[0]), Ok(()));
    assert_eq!(none(&[0, 1]), Ok(()));
    assert_eq!(none(&[1]), Err(SolverFault::Limitless));
}

#[test]
fn too_few_places_are_believed_only_when_the_numbers_say_so() {
    // A stick of 110 holds one 60 and no 111; an 80 in two parts has a part of
    // 50, and a flawed stick of 54 + 54 holds two of those.
    let mut problem = Problem {
        stock: vec![stock(110, 1, Some(2), 0), stock(59, 1, None, 0)],
        items: vec![item(&[60], 2, None), item(&[30, 50], 1, None), item(&[1], 1, None)],
    };
    let few = |problem: &Problem, items: &[usize], wanted, places| {
        let items = items.to_vec();
        short(problem, Shortfall::TooFew { items, wanted, places })
    };
    assert_eq!(few(&problem, &[0, 1], 3, 2), Ok(()));
    assert_eq!(few(&problem, &[0, 1], 4, 2), Err(SolverFault::Copies { said: 4, found: 3 }));
    assert_eq!(few(&problem, &[0, 1], 3, 3), Err(SolverFault::Enough { wanted: 3, found: 3 }));
    assert_eq!(few(&problem, &[0], 2, 1), Err(SolverFault::Enough { wanted: 2, found: 2 }));
    assert_eq!(few(&problem, &[0, 2], 3, 2), Err(SolverFault::Enough { wanted: 3, found: 4 }));
    assert_eq!(few(&problem, &[], 0, 0), Err(SolverFault::NoReason));
    problem.stock[0].supply = Some(3);
    assert_eq!(few(&problem, &[0, 1], 3, 2), Err(SolverFault::Enough { wanted: 3, found: 3 }));
    problem.stock[0].supply = Some(1);
    problem.stock[0].runs = vec![Run { tail: 110, ..run(54) }, run(54)];
    problem.items = vec![item(&[30, 50], 2, None), item(&[51], 1, None)];
    problem.stock.truncate(1);
    assert_eq!(few(&problem, &[0, 1], 3, 2), Ok(()));
}

#[test]
fn a_run_left_alone_gives_back_all_of_it() {
    // Only the second run is cut: of the first, untouched, 30 are left instead
    // of the 22 that a cut would leave, all at full rate: 45, scaled 450. Of
    // the second 20 of 40 are left: 1/2 + 1/2 x 10/20 of 30 is 22, scaled 220.
    let mut problem = question();
    problem.stock[1].runs[0].untouched = 30;
    problem.items = vec![item(&[20], 1, Some(7))];
    let solution = Solution {
        patterns: vec![Pattern { stock: 1, times: 1, runs: vec![vec![], vec![piece(0, 0, 1)]] }],
        cost: 100 - 450 - 220,
        bound: -600,
        work: 0,
        certificate: None,
    };
    assert_eq!(problem.stock[1].net_cost(&[0, 20]), 100 - 450 - 220);
    assert_eq!(check(&problem, &Outcome::Solved(solution)), Ok(()));
}

#[test]
fn equal_stock_on_several_lines_gives_no_more_than_on_one() {
    // One 20 is wanted: the second stick of 26 is no use, however they are listed.
    // With 54 for two of 31 they give 74, and room for two pieces.
    let mut problem = Problem {
        stock: vec![stock(26, 1, Some(1), 0), stock(54, 1, Some(1), 1), stock(26, 2, Some(1), 0)],
        items: vec![item(&[20], 1, None), item(&[31], 2, Some(1))],
    };
    let little = Shortfall::TooLittle { items: vec![0, 1], wanted: 82, room: 80 };
    let few = Shortfall::TooFew { items: vec![0, 1], wanted: 3, places: 2 };
    assert_eq!(short(&problem, little.clone()), Ok(()));
    problem.stock[2].supply = None;
    assert_eq!(short(&problem, little.clone()), Ok(()));
    problem.items[0].demand = 2;
    let little = Shortfall::TooLittle { items: vec![0, 1], wanted: 102, room: 80 };
    assert_eq!(short(&problem, little), Ok(()));
    problem.items[0].demand = 1;
    problem.stock[1].runs[0] = run(61);
    assert_eq!(short(&problem, few.clone()), Err(SolverFault::Enough { wanted: 3, found: 4 }));
    problem.stock[1].runs[0] = run(39);
    assert_eq!(short(&problem, few), Ok(()));
}
