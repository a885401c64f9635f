//! Instances whose best answer is known, each with its source.

use std::fmt::Write;

use serde_json::{Value, json};

use super::{answer, pack};

/// The least cost of an instance of one stock length, which has to be proven,
/// once its plan has been added up anew.
fn fewest(length: u64, pieces: &[(u64, u64)]) -> Value {
    let mut instance = format!("{}\n{length}\n", pieces.len());
    for (length, demand) in pieces {
        writeln!(instance, "{length} {demand}").expect("a string takes all");
    }
    proven(&instance, &[length], pieces)
}

/// The cost of a plan that is said to be proven and cuts what is wanted.
fn proven(instance: &str, stock: &[u64], pieces: &[(u64, u64)]) -> Value {
    let answer = answer(instance);
    add_up(&answer, stock, pieces);
    assert_eq!(answer["status"], "proven", "{answer}");
    assert_eq!(answer["cost"], answer["bound"]);
    answer["cost"].clone()
}

/// Every stick holds what is cut from it, and every piece is cut as often as
/// it is wanted.
fn add_up(answer: &Value, stock: &[u64], pieces: &[(u64, u64)]) {
    let number = |value: &Value| value.as_u64().expect("a count");
    let index = |value: &Value| usize::try_from(number(value)).expect("an index");
    let mut cut = vec![0; pieces.len()];
    let mut sticks = 0;
    for pattern in answer["patterns"].as_array().expect("a list") {
        let mut taken = 0;
        for entry in pattern["items"].as_array().expect("a list") {
            let (item, count) = (index(&entry[0]), number(&entry[1]));
            taken += pieces[item].0 * count;
            cut[item] += count * number(&pattern["times"]);
        }
        assert!(taken <= stock[index(&pattern["stock"])], "{pattern}");
        sticks += number(&pattern["times"]);
    }
    let wanted: Vec<u64> = pieces.iter().map(|piece| piece.1).collect();
    assert_eq!(cut, wanted);
    assert_eq!(answer["sticks"], sticks);
}

#[test]
fn k1_paper_rolls() {
    // The worked example of the encyclopedia article "Cutting stock problem"
    // (Wikipedia): 73 rolls, where the LP gives 72.917.
    let pieces = [
        (1380, 22),
        (1520, 25),
        (1560, 12),
        (1710, 14),
        (1820, 18),
        (1880, 18),
        (1930, 20),
        (2000, 10),
        (2050, 12),
        (2100, 14),
        (2140, 16),
        (2150, 18),
        (2200, 20),
    ];
    assert_eq!(fewest(5600, &pieces), 73);
}

#[test]
fn k2_chvatal() {
    // Chvatal, Linear Programming (1983), chapter 13; also on neos-guide.org,
    // "Cutting stock problem". The LP gives 452.25.
    assert_eq!(fewest(100, &[(45, 97), (36, 610), (31, 395), (14, 211)]), 453);
}

#[test]
fn k3_ampl() {
    // Fourer, Gay and Kernighan, the AMPL book, cut.dat. The LP gives 46.25.
    let pieces = [(20, 48), (45, 35), (50, 24), (55, 10), (75, 8)];
    assert_eq!(fewest(110, &pieces), 47);
}

#[test]
fn k4_winston() {
    // Winston, Operations Research (from memory). The LP gives 18.333.
    assert_eq!(fewest(17, &[(3, 25), (5, 20), (9, 15)]), 19);
}

#[test]
fn k5_textbook_bars() {
    // An operations research textbook exercise (from memory).
    assert_eq!(fewest(19, &[(4, 50), (6, 20), (8, 15)]), 25);
}

#[test]
fn k6_two_stock_lengths_without_waste() {
    // J. Kantor, CBE 40455 course notebook 05.07: two of 15 and three of 10.
    // With cost = length the pieces' sum of 60 is met exactly.
    let instance = "2\n15 3 15\n10 3 10\n4\n7 3\n6 2\n4 6\n3 1\n";
    let pieces = [(7, 3), (6, 2), (4, 6), (3, 1)];
    assert_eq!(proven(instance, &[15, 10], &pieces), 60);
    assert_eq!(answer(instance)["sticks"], 5);
}

#[test]
fn k7_just_above_the_material_bound() {
    // A published question and answer; the optimum computed. LP 39.33.
    assert_eq!(fewest(12, &[(3, 60), (4, 49), (7, 12)]), 40);
}

#[test]
fn k8_shelf_boards() {
    // A published question and answer; the optimum computed. LP 8.143.
    assert_eq!(fewest(2000, &[(255, 10), (750, 7), (550, 13)]), 9);
}

#[test]
fn k9_decimals_in_a_finer_unit() {
    // A published question and answer, lengths of 240 given to the hundredth;
    // the optimum computed. LP 321.33.
    let pieces = [(7216, 241), (7164, 241), (6894, 241), (4546, 241), (4413, 241)];
    assert_eq!(fewest(24000, &pieces), 322);
}

#[test]
fn k10_the_bound_is_met() {
    // A textbook exercise; computed.
    assert_eq!(fewest(25, &[(7, 700), (9, 1200), (10, 300)]), 775);
}

#[test]
fn k12_rounding_the_bound_up_is_not_enough() {
    // The classic instance without the round-up property (from memory,
    // verified): the LP gives 1.962 and two sticks will not do.
    assert_eq!(fewest(132, &[(44, 2), (33, 3), (12, 6)]), 3);
}

#[test]
fn k13_a_longer_stick_does_not_cost_more() {
    // The anomaly of first-fit decreasing, which takes 3 sticks of 60 but 4 of
    // 61 (from memory, verified).
    let pieces = [44, 24, 24, 22, 21, 17, 8, 8, 6, 6].map(|length| (length, 1));
    assert_eq!(fewest(60, &pieces), 3);
    assert_eq!(fewest(61, &pieces), 3);
}

#[test]
fn what_cannot_be_placed_is_impossible() {
    // By hand: 101 and 140 are longer than both sticks.
    let long = answer("2\n90 4 1\n100 4 1\n3\n101 2\n50 1\n140 1\n");
    assert_eq!(long["status"], "impossible");
    assert_eq!(long["reason"], json!({"kind": "too_long", "items": [0, 2]}));
    assert_eq!(long["cost"], Value::Null);
    assert_eq!(long["sticks"], Value::Null);
    assert_eq!(long["patterns"], json!([]));
    // By hand: 5 x 60 is more than the 2 x 120 that two sticks of 140 can give.
    let little = answer("1\n140 2 1\n1\n60 5\n");
    assert_eq!(little["status"], "impossible");
    let reason = json!({"kind": "too_little", "items": [0], "wanted": 300, "room": 240});
    assert_eq!(little["reason"], reason);
    // By hand: 3 x 60 + 10 is less than 2 x 110, but a stick holds only one 60.
    let awkward = answer("1\n110 2 1\n2\n60 3\n10 1\n");
    assert_eq!(awkward["status"], "impossible");
    assert_eq!(awkward["reason"]["kind"], "no_arrangement");
}

/// Chvatal, Linear Programming (1983), ch. 13: the linear program gives 452.25,
/// so prices alone prove 453. Checked here by trying every pattern.
#[test]
fn a_certificate_proves_its_bound_without_the_solver() {
    let instance = "4\n100\n45 97\n36 610\n31 395\n14 211\n";
    let done = pack(instance, &["--json", "--certificate"]).assert().success();
    let answer: Value = serde_json::from_slice(&done.get_output().stdout).unwrap();
    let prices = &answer["certificate"];
    let price: Vec<i64> =
        prices["items"].as_array().unwrap().iter().map(|p| p.as_i64().unwrap()).collect();
    let scale = prices["scale"].as_i64().unwrap();
    for a in 0..=2 {
        for b in 0..=2 {
            for c in 0..=3 {
                for d in 0..=7 {
                    let fits = 45 * a + 36 * b + 31 * c + 14 * d <= 100;
                    let worth = a * price[0] + b * price[1] + c * price[2] + d * price[3];
                    assert!(!fits || worth <= scale, "{a} {b} {c} {d}");
                }
            }
        }
    }
    let worth = 97 * price[0] + 610 * price[1] + 395 * price[2] + 211 * price[3];
    assert_eq!((worth + scale - 1) / scale, 453);
    assert_eq!(prices["bound"], 453);
}

#[test]
fn a_certificate_comes_with_json_only() {
    pack("1\n10\n5 2\n", &["--certificate"]).assert().code(2);
}
