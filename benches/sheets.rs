//! Cuts made-up weeks of glass and boards by the habit and together, and prints what is bought.
//!
//! ```text
//! cargo bench --bench sheets
//! ```
//!
//! The tables on standard output are Markdown. Every layout is checked, no week may be worse
//! than the habit, and the program fails if one is.

#[path = "../tests/sheets/shops.rs"]
mod shops;

use std::time::{Duration, Instant};

use longpoint::measure::Length;
use longpoint::sheets::{SheetQuestion, faults};
use longpoint::shop::SheetRules;

use shops::{Dice, inches, keeping, quarters, rack_after, week};

/// Weeks of some shops that all cut alike.
struct Weeks {
    name: &'static str,
    sheet: (i64, i64),
    jobs: usize,
    weeks: usize,
    shops: u64,
    keep: Length,
}

/// What they came to.
#[derive(Default)]
struct Sums {
    pieces: i128,
    /// Bought, by the habit and together.
    bought: [i128; 2],
    /// The same less the remnants that stand there in the end.
    used: [i128; 2],
    proven: usize,
    weeks: usize,
    time: Duration,
}

impl Weeks {
    fn run(&self, tries: Option<usize>) -> Sums {
        let mut sums = Sums::default();
        for shop in 1..=self.shops {
            let mut dice = Dice::new(shop);
            let mut racks: [Vec<(Length, Length)>; 2] = [Vec::new(), Vec::new()];
            for _ in 0..self.weeks {
                let pieces = week(&mut dice, self.jobs);
                let size =
                    |piece: &(Length, Length, bool)| longpoint::sheets::area(piece.0, piece.1);
                sums.pieces += pieces.iter().map(size).sum::<i128>();
                sums.weeks += 1;
                for (way, rack) in racks.iter_mut().enumerate() {
                    let rules: SheetRules = keeping(self.keep);
                    let question = SheetQuestion {
                        rules,
                        pieces: pieces.clone(),
                        remnants: rack.clone(),
                        wholes: vec![(inches(self.sheet.0), inches(self.sheet.1), 0)],
                    };
                    let mut done = question.by_habit();
                    if way == 1 {
                        let habit = done.cost;
                        let start = Instant::now();
                        done = question.together(tries.unwrap_or(question.usual_tries()));
                        sums.time += start.elapsed();
                        assert!(done.cost <= habit, "a week is worse than by habit");
                        sums.proven += usize::from(done.cost.opened == question.least_opened());
                    }
                    assert_eq!(faults(&question, &done), Vec::<String>::new());
                    sums.bought[way] += done.cost.bought;
                    *rack = rack_after(&question, &done);
                }
            }
            for (way, rack) in racks.iter().enumerate() {
                let stands = rack.iter().map(|size| longpoint::sheets::area(size.0, size.1));
                sums.used[way] -= stands.sum::<i128>();
            }
        }
        for way in 0..2 {
            sums.used[way] += sums.bought[way];
        }
        sums
    }
}

/// Tenths of a per cent.
fn share(part: i128, of: i128) -> String {
    let tenths = part * 1000 / of.max(1);
    let sign = if tenths < 0 { "-" } else { "" };
    format!("{sign}{}.{} %", tenths.abs() / 10, tenths.abs() % 10)
}

fn row(weeks: &Weeks, sums: &Sums) {
    let [habit, together] = sums.bought;
    let less = |of: [i128; 2]| share(of[0] - of[1], of[0]);
    println!(
        "| {} | {} | {} | {} | {} | {} of {} | {:.0} ms |",
        weeks.name,
        share(sums.pieces, habit),
        share(sums.pieces, together),
        less(sums.bought),
        less(sums.used),
        sums.proven,
        sums.weeks,
        sums.time.as_secs_f64() * 1000.0 / sums.weeks as f64
    );
}

/// So many pieces of so many sizes, from sheets of 32 x 40 or 36 x 48 in, which are given too.
fn long_list(dice: &mut Dice, count: usize, pieces: usize) -> (SheetQuestion, (i64, i64)) {
    let size = |dice: &mut Dice| {
        let width = 20 + dice.below(60);
        (width, (width + 8 + dice.below(40)).min(120))
    };
    let sizes: Vec<(i64, i64)> = (0..count).map(|_| size(dice)).collect();
    let sheet = if dice.below(2) == 0 { (32, 40) } else { (36, 48) };
    // Every size once, and the rest as it falls.
    let mut wanted: Vec<(i64, i64)> = sizes.clone();
    let last = i64::try_from(sizes.len()).expect("a few sizes");
    while wanted.len() < pieces {
        wanted.push(sizes[usize::try_from(dice.below(last)).expect("below a few")]);
    }
    let question = SheetQuestion {
        rules: keeping(inches(8)),
        pieces: wanted.iter().map(|size| (quarters(size.0), quarters(size.1), true)).collect(),
        remnants: Vec::new(),
        wholes: vec![(inches(sheet.0), inches(sheet.1), 0)],
    };
    (question, sheet)
}

/// What a list opens of whole sheets: by the habit, together, and at the least.
fn opened((question, sheet): &(SheetQuestion, (i64, i64))) -> [i128; 3] {
    let done = question.together(question.usual_tries());
    assert_eq!(faults(question, &done), Vec::<String>::new());
    let one = longpoint::sheets::area(inches(sheet.0), inches(sheet.1));
    [question.by_habit().cost.opened, done.cost.opened, question.least_opened()].map(|of| of / one)
}

/// Hundreds of pieces of several sizes.
fn long_lists() {
    println!("\n| list | sheet | by habit | together | at least |");
    println!("|---|---|---|---|---|");
    let mut dice = Dice::new(1);
    for (count, pieces) in [(3, 300), (6, 200), (6, 400), (12, 200), (12, 400), (25, 250)] {
        let list = long_list(&mut dice, count, pieces);
        let ([habit, together, least], (wide, high)) = (opened(&list), list.1);
        println!(
            "| {pieces} pieces of {count} sizes | {wide} x {high} | {habit} | {together} | {least} |"
        );
    }
}

/// Lists of many sizes, three of each kind.
fn many_sizes() {
    println!("\n| three lists | by habit | together | at least |");
    println!("|---|---|---|---|");
    for (count, pieces) in [
        (25, 50),
        (25, 100),
        (25, 250),
        (35, 70),
        (35, 150),
        (50, 50),
        (50, 100),
        (50, 250),
        (50, 500),
    ] {
        let mut sums = [0; 3];
        for seed in 1..=3_u64 {
            let mut dice = Dice::new(seed * 100 + count as u64 + pieces as u64);
            let of = opened(&long_list(&mut dice, count, pieces));
            sums.iter_mut().zip(of).for_each(|(sum, of)| *sum += of);
        }
        let [habit, together, least] = sums;
        println!("| {pieces} pieces of {count} sizes | {habit} | {together} | {least} |");
    }
}

fn main() {
    let glass = |name, jobs, weeks, shops, keep| Weeks {
        name,
        sheet: (36, 48),
        jobs,
        weeks,
        shops,
        keep: inches(keep),
    };
    let board =
        |name, jobs, weeks| Weeks { name, sheet: (32, 40), jobs, weeks, shops: 8, keep: inches(8) };
    let all = [
        glass("glass 36 x 48, 12 a week, 8 weeks, 8 shops", 12, 8, 8, 8),
        glass("glass 36 x 48, 40 a week, 4 weeks, 6 shops", 40, 4, 6, 8),
        board("one board 32 x 40, 3 a week, 16 weeks, 8 shops", 3, 16),
        board("one board 32 x 40, 1 a week, 40 weeks, 8 shops", 1, 40),
        glass("glass, 12 a week, kept from 6 in", 12, 8, 8, 6),
        glass("glass, 12 a week, kept from 12 in", 12, 8, 8, 12),
        glass("glass, 12 a week, kept from 16 in", 12, 8, 8, 16),
    ];
    println!(
        "| weeks | yield by habit | yield together | less bought | less used up | proven | time a week |"
    );
    println!("|---|---|---|---|---|---|---|");
    for weeks in &all {
        row(weeks, &weeks.run(None));
    }
    long_lists();
    many_sizes();
    println!("\nTries, on the first of these:\n");
    println!(
        "| weeks | yield by habit | yield together | less bought | less used up | proven | time a week |"
    );
    println!("|---|---|---|---|---|---|---|");
    for (tries, name) in
        [(50, "50 tries"), (500, "500"), (5_000, "5,000, as usual"), (50_000, "50,000")]
    {
        let weeks = Weeks { name, ..glass("", 12, 8, 8, 8) };
        row(&weeks, &weeks.run(Some(tries)));
    }
}
