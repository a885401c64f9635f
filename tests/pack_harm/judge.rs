//! Whether an answer of `pack` holds, worked out with nothing of the program's:
//! the instance is read again here, and every sum is made again.

use serde_json::Value;

use super::instances::Made;

/// The instance in a text that was accepted, by a reader of a few lines.
pub fn read(text: &str) -> Made {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.trim_start().starts_with('{') {
        return read_json(text);
    }
    let rows = text.lines().map(|line| line.split_whitespace().collect::<Vec<_>>());
    let rows = rows.filter(|row| row.first().is_some_and(|word| !word.starts_with('#')));
    let number = |word: &&str| word.parse::<i64>().expect("an accepted number");
    let mut rows: Vec<Vec<i64>> = rows.map(|row| row.iter().map(number).collect()).collect();
    if rows[0].len() == 2 {
        let length = rows[0].pop().expect("two numbers");
        rows.insert(1, vec![length]);
    }
    let items = |rows: &[Vec<i64>]| {
        rows.iter().map(|row| (row[0], row.get(1).copied().unwrap_or(1))).collect()
    };
    if rows[1].len() == 1 {
        return Made { stock: vec![(rows[1][0], 1, None)], items: items(&rows[2..]) };
    }
    let kinds = usize::try_from(rows[0][0]).expect("a count");
    let stock = rows[1..=kinds].iter().map(|row| (row[0], row[2], Some(row[1])));
    Made { stock: stock.collect(), items: items(&rows[kinds + 2..]) }
}

fn read_json(text: &str) -> Made {
    let whole: Value = serde_json::from_str(text).expect("accepted JSON");
    let list = |key: &str| whole[key].as_array().expect("a list").clone();
    let length = |entry: &Value| entry["length"].as_i64().expect("a length");
    let stock = list("stock");
    let stock = stock.iter().map(|entry| {
        (length(entry), entry["cost"].as_i64().unwrap_or(1), entry["supply"].as_i64())
    });
    let items = list("items");
    let items = items.iter().map(|entry| (length(entry), entry["demand"].as_i64().unwrap_or(1)));
    Made { stock: stock.collect(), items: items.collect() }
}

/// The status of the answer, once everything in it has been held against the
/// instance.
pub fn judge(made: &Made, answer: &Value) -> String {
    let status = answer["status"].as_str().expect("a status").to_owned();
    match status.as_str() {
        "proven" | "feasible" => plan(made, answer, status == "proven"),
        "impossible" => {
            let named = answer["reason"]["items"].as_array().expect("items are named");
            assert!(!named.is_empty() && answer["patterns"] == serde_json::json!([]));
            let alone = |item: &Value| made.items[index(item)].0;
            // One piece that has a stick without end is never short.
            let endless = |length: i64| made.stock.iter().any(|s| s.0 >= length && s.2.is_none());
            assert!(!named.iter().map(alone).all(endless), "{answer}");
        }
        "interrupted" => assert_eq!(answer["cost"], Value::Null),
        _ => panic!("{answer}"),
    }
    status
}

fn number(value: &Value) -> i128 {
    value.as_i64().expect("a whole number").into()
}

fn index(value: &Value) -> usize {
    usize::try_from(number(value)).expect("an index")
}

fn plan(made: &Made, answer: &Value, proven: bool) {
    let mut cut = vec![0i128; made.items.len()];
    let mut used = vec![0i128; made.stock.len()];
    let (mut cost, mut sticks) = (0, 0);
    for pattern in answer["patterns"].as_array().expect("a list") {
        let (stock, times) = (index(&pattern["stock"]), number(&pattern["times"]));
        assert!(times > 0, "{pattern}");
        let mut taken = 0;
        for entry in pattern["items"].as_array().expect("a list") {
            let (item, count) = (index(&entry[0]), number(&entry[1]));
            assert!(count > 0, "{pattern}");
            taken += count * i128::from(made.items[item].0);
            cut[item] += count * times;
        }
        assert!(taken > 0 && taken <= made.stock[stock].0.into(), "{pattern}");
        used[stock] += times;
        cost += times * i128::from(made.stock[stock].1);
        sticks += times;
    }
    let wanted: Vec<i128> = made.items.iter().map(|item| item.1.into()).collect();
    assert_eq!(cut, wanted, "every piece is cut as often as it is wanted");
    for (used, stock) in used.iter().zip(&made.stock) {
        assert!(stock.2.is_none_or(|supply| *used <= supply.into()), "more than there is");
    }
    assert_eq!((number(&answer["cost"]), number(&answer["sticks"])), (cost, sticks));
    let bound = number(&answer["bound"]);
    assert!(bound <= cost && (!proven || bound == cost), "{answer}");
}
