//! Nasty instances by seed: valid ones of every form with numbers at and next to
//! the limits, and what becomes of them when they are damaged.

use std::fmt::Write;

use super::numbers::Numbers;

/// The limits that are documented for lengths and costs, counts and sums.
const MOST: i64 = 1_000_000_000_000;
const MOST_COUNT: i64 = 4_294_967_295;
const MOST_SUM: i128 = 1_000_000_000_000_000;

/// Numbers that have broken programs before.
const EDGES: [i64; 14] = [
    1,
    2,
    3,
    999,
    1_000,
    65_535,
    65_536,
    1_000_000,
    2_147_483_647,
    2_147_483_648,
    4_294_967_295,
    4_294_967_296,
    1_000_000_000_000,
    1_000_000_000_001,
];

/// An instance before it is written down.
#[derive(Debug, Clone)]
pub struct Made {
    /// Length, cost and supply of each stock.
    pub stock: Vec<(i64, i64, Option<i64>)>,
    /// Length and demand of each item.
    pub items: Vec<(i64, i64)>,
}

impl Made {
    /// Whether it keeps to the documented limits.
    pub fn is_proper(&self) -> bool {
        let sum = |each: &dyn Fn(&(i64, i64)) -> i128| self.items.iter().map(each).sum::<i128>();
        let pieces = sum(&|item| item.1.into());
        let lengths = sum(&|item| i128::from(item.0) * i128::from(item.1));
        let dearest = self.stock.iter().map(|stock| i128::from(stock.1)).max().unwrap_or(0);
        let within = |number: i64, most: i64| (1..=most).contains(&number);
        let stock = |&(length, cost, supply): &(i64, i64, Option<i64>)| {
            within(length, MOST)
                && within(cost, MOST)
                && supply.is_none_or(|supply| within(supply, MOST_COUNT))
        };
        self.stock.iter().all(stock)
            && self.items.iter().all(|&(l, demand)| within(l, MOST) && within(demand, MOST_COUNT))
            && pieces <= MOST_COUNT.into()
            && lengths <= MOST_SUM
            && dearest * pieces <= MOST_SUM
    }

    /// Few enough pieces to try every way of placing them.
    pub fn is_tiny(&self) -> bool {
        self.items.iter().map(|item| item.1).sum::<i64>() <= 6 && self.stock.len() <= 3
    }
}

/// An instance by seed.
pub fn made(numbers: &mut Numbers) -> Made {
    let scale = numbers.one_of(&[20, 100, 2_440, 96_000, 5_000_000, 4_000_000_000, MOST / 2]);
    let kinds = if numbers.one_in(2) { 1 } else { numbers.within(1, 8) };
    let types = if numbers.one_in(6) { numbers.within(20, 80) } else { numbers.within(1, 12) };
    let demands = numbers.one_of(&[1, 2, 5, 30, 1_000, 1_000_000]);
    let plain = numbers.one_in(3);
    let stock = (0..kinds).map(|_| {
        let length = one(numbers, scale / 2, scale);
        let cost = match numbers.within(0, 4) {
            _ if plain => 1,
            0 => 1,
            1 => length,
            2 => one(numbers, 1, 100),
            _ => numbers.within(1, 100),
        };
        let supply = match numbers.within(0, 4) {
            _ if plain => None,
            0 => None,
            1 => Some(one(numbers, 1, 9)),
            2 => Some(demands),
            _ => Some(numbers.within(1, 60)),
        };
        (length, cost, supply)
    });
    let stock: Vec<(i64, i64, Option<i64>)> = stock.collect();
    let mut items: Vec<(i64, i64)> = Vec::new();
    for _ in 0..types {
        let length = match numbers.within(0, 9) {
            // Equal to another, or just what a stick holds, or its half.
            0 if !items.is_empty() => items[0].0,
            1 => stock[0].0,
            2 => (stock[0].0 / 2 + numbers.within(0, 1)).max(1),
            3 => numbers.within(1, 3),
            4 => one(numbers, 1, scale / 3),
            _ => numbers.within((scale / 20).max(1), scale / 2),
        };
        let demand =
            if numbers.one_in(8) { one(numbers, 1, 3) } else { numbers.within(1, demands) };
        items.push((length, demand));
    }
    Made { stock, items }
}

/// A number in the range, or one at the edge of what programs bear.
fn one(numbers: &mut Numbers, low: i64, high: i64) -> i64 {
    if numbers.one_in(6) { numbers.one_of(&EDGES) } else { numbers.within(low.min(high), high) }
}

/// The instance in one of the forms that can hold it.
pub fn written(made: &Made, numbers: &mut Numbers) -> String {
    let ending = numbers.one_of(&["\n", "\n", "\r\n", " \n\n", "\n# note\n"]);
    let mut text = String::new();
    let mut rows: Vec<String> = Vec::new();
    let single = matches!(made.stock[..], [(_, 1, None)]);
    let counted = made.stock.iter().all(|stock| stock.2.is_some());
    if single && numbers.one_in(2) {
        rows.extend([made.items.len().to_string(), made.stock[0].0.to_string()]);
    } else if counted && !numbers.one_in(3) {
        rows.push(made.stock.len().to_string());
        let row = |&(length, cost, supply): &(i64, i64, Option<i64>)| {
            format!("{length} {} {cost}", supply.expect("all are counted"))
        };
        rows.extend(made.stock.iter().map(row));
        rows.push(made.items.len().to_string());
    } else {
        return json(made, numbers);
    }
    rows.extend(made.items.iter().map(|(length, demand)| format!("{length} {demand}")));
    for row in rows {
        write!(text, "{row}{ending}").expect("a string takes all");
    }
    text
}

fn json(made: &Made, numbers: &mut Numbers) -> String {
    let space = numbers.one_of(&["", " ", "\n  "]);
    let stock = made.stock.iter().map(|(length, cost, supply)| {
        let supply = supply.map_or("null".to_owned(), |supply| supply.to_string());
        format!("{space}{{\"length\":{space}{length},\"cost\":{cost},\"supply\":{supply}}}")
    });
    let items = made.items.iter();
    let items = items.map(|(length, n)| format!("{space}{{\"length\":{length},\"demand\":{n}}}"));
    let (stock, items): (Vec<String>, Vec<String>) = (stock.collect(), items.collect());
    format!("{{\"stock\":[{}],{space}\"items\":[{}]}}", stock.join(","), items.join(","))
}

/// The text with some damage: cut off, doubled, swapped, strewn with odd signs,
/// or something else altogether.
pub fn damaged(text: &str, other: &str, numbers: &mut Numbers) -> Vec<u8> {
    const ODD: [&str; 16] = [
        "\u{feff}",
        "\u{a0}",
        "\u{2028}",
        "\u{1c}",
        "\0",
        "-",
        "0",
        "9999999999999999999",
        "1e3",
        ".5",
        "٣",
        "𝟗",
        "#",
        "{",
        "\"",
        "\t",
    ];
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..numbers.within(1, 3) {
        let at = usize::try_from(numbers.within(0, bytes.len() as i64)).expect("an index");
        match numbers.within(0, 7) {
            0 => bytes.truncate(at),
            1 => bytes.extend(other.bytes()),
            2 => bytes = other.bytes().collect(),
            3 => {
                let odd = numbers.one_of(&ODD);
                bytes.splice(at..at, odd.bytes());
            }
            4 => {
                let end = (at + 4).min(bytes.len());
                bytes.drain(at..end);
            }
            5 => {
                let edge = numbers.one_of(&EDGES).to_string();
                bytes.splice(at..at, edge.bytes());
            }
            6 => bytes
                .splice(at..at, [u8::try_from(numbers.within(0, 255)).expect("a byte")])
                .for_each(drop),
            _ => {
                let rest = bytes.split_off(at);
                bytes.splice(0..0, rest);
            }
        }
    }
    bytes
}
