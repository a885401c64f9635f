//! Instances whose best answer is known, each with its source.

use std::fmt::Write;

use serde_json::{Value, json};

use super::known::{KNOWN, Known};
use super::{answer, pack};

/// Every stick holds what is cut from it, and every piece is cut as often as
/// it is wanted.
fn add_up(answer: &Value, known: &Known) {
    let number = |value: &Value| value.as_i64().expect("a count");
    let index = |value: &Value| usize::try_from(number(value)).expect("an index");
    let mut cut = vec![0; known.pieces.len()];
    let mut sticks = 0;
    for pattern in answer["patterns"].as_array().expect("a list") {
        let mut taken = 0;
        for entry in pattern["items"].as_array().expect("a list") {
            let (item, count) = (index(&entry[0]), number(&entry[1]));
            taken += known.pieces[item].0 * count;
            cut[item] += count * number(&pattern["times"]);
        }
        assert!(taken <= known.stock[index(&pattern["stock"])].0, "{pattern}");
        sticks += number(&pattern["times"]);
    }
    let wanted: Vec<i64> = known.pieces.iter().map(|piece| piece.1.into()).collect();
    assert_eq!(cut, wanted);
    assert_eq!(answer["sticks"], sticks);
}

/// The instance in the form for one stock length without limit, where it is
/// one, and else in the form for several.
fn instance(known: &Known) -> String {
    let mut text = String::new();
    match known.stock {
        [(length, 1, None)] => {
            writeln!(text, "{}\n{length}", known.pieces.len()).expect("a string takes all");
        }
        stock => {
            writeln!(text, "{}", stock.len()).expect("a string takes all");
            for (length, cost, supply) in stock {
                let supply = supply.expect("this form counts its stock");
                writeln!(text, "{length} {supply} {cost}").expect("a string takes all");
            }
            writeln!(text, "{}", known.pieces.len()).expect("a string takes all");
        }
    }
    for (length, demand) in known.pieces {
        writeln!(text, "{length} {demand}").expect("a string takes all");
    }
    text
}

#[test]
fn known_answers_are_given_and_proven() {
    for known in &KNOWN {
        let answer = answer(&instance(known));
        add_up(&answer, known);
        assert_eq!(answer["status"], "proven", "{}: {answer}", known.name);
        assert_eq!(answer["cost"], known.cost, "{}", known.name);
        assert_eq!(answer["bound"], known.cost, "{}", known.name);
        assert_eq!(answer["sticks"], known.sticks, "{}", known.name);
    }
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
    let few = answer("1\n110 2 1\n2\n60 3\n10 1\n");
    assert_eq!(few["status"], "impossible");
    let reason = json!({"kind": "too_few", "items": [0], "wanted": 3, "places": 2});
    assert_eq!(few["reason"], reason);
    // By hand: of 56, 48, 48 and 47 two share each stick of 100, but the 56 goes
    // with none of the others. Whatever else is wanted has no part in it.
    let awkward = answer("1\n100 2 1\n4\n1 1\n48 2\n56 1\n47 1\n");
    assert_eq!(awkward["status"], "impossible");
    let reason = json!({"kind": "no_arrangement", "items": [1, 2, 3]});
    assert_eq!(awkward["reason"], reason);
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
