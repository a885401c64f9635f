//! Filling one unit of stock with the pieces that are worth most.

use crate::solve::instance::{Instance, StockKind};
use crate::solve::layout::Contents;

/// The pieces of greatest worth that fit one unit, by a depth-first search cut
/// off after `most` steps; best found so far, longest types tried first.
///
/// With `lead`, the pieces include one of that type.
pub(crate) fn fill(
    instance: &Instance,
    kind: &StockKind,
    wanted: &[u32],
    worth: &[i64],
    lead: Option<usize>,
    most: u32,
) -> Option<Contents> {
    if !kind.is_plain() {
        return fill_runs(instance, kind, wanted, worth, lead);
    }
    let room = kind.room - lead.map_or(0, |t| instance.types[t].length);
    if room < 0 || lead.is_some_and(|t| wanted[t] == 0 || !kind.serves(instance.types[t].group)) {
        return None;
    }
    let open = |t: usize| wanted[t] - u32::from(lead == Some(t));
    let choices: Vec<FillChoice> = (0..wanted.len())
        .filter(|&t| open(t) > 0 && kind.serves(instance.types[t].group))
        .filter(|&t| instance.types[t].length <= room)
        .map(|t| FillChoice {
            of_type: t,
            length: instance.types[t].length,
            worth: worth[t],
            most: open(t),
        })
        .collect();
    let mut filling = BestFill::new(choices, most);
    filling.search(0, room, 0);
    let mut counts = vec![0; wanted.len()];
    if let Some(t) = lead {
        counts[t] = 1;
    }
    for (choice, &count) in filling.choices.iter().zip(&filling.best) {
        counts[choice.of_type] += count;
    }
    pieces(&counts)
}

fn pieces(counts: &[u32]) -> Option<Contents> {
    let taken = counts.iter().copied().enumerate().filter(|&(_, count)| count > 0);
    let pieces: Contents = taken.collect();
    (!pieces.is_empty()).then_some(pieces)
}

struct FillChoice {
    of_type: usize,
    length: i64,
    worth: i64,
    most: u32,
}

struct BestFill {
    choices: Vec<FillChoice>,
    /// The best worth per length from each choice on: a guide, never a proof.
    rate: Vec<f64>,
    shortest: Vec<i64>,
    counts: Vec<u32>,
    best: Vec<u32>,
    best_worth: i64,
    left: u32,
}

impl BestFill {
    fn new(choices: Vec<FillChoice>, most: u32) -> BestFill {
        let n = choices.len();
        let mut rate = vec![0.0f64; n + 1];
        let mut shortest = vec![i64::MAX; n + 1];
        for (c, choice) in choices.iter().enumerate().rev() {
            rate[c] = rate[c + 1].max(choice.worth as f64 / choice.length as f64);
            shortest[c] = shortest[c + 1].min(choice.length);
        }
        BestFill {
            rate,
            shortest,
            counts: vec![0; n],
            best: vec![0; n],
            best_worth: 0,
            left: most,
            choices,
        }
    }

    fn search(&mut self, c: usize, room: i64, worth: i64) {
        if worth > self.best_worth {
            self.best_worth = worth;
            self.best.copy_from_slice(&self.counts);
        }
        if c == self.choices.len() || room < self.shortest[c] || self.left == 0 {
            return;
        }
        if worth as f64 + self.rate[c] * room as f64 <= self.best_worth as f64 {
            return;
        }
        self.left -= 1;
        let choice = &self.choices[c];
        let (length, each) = (choice.length, choice.worth);
        let fits = u32::try_from(room / length).unwrap_or(u32::MAX);
        for count in (0..=choice.most.min(fits)).rev() {
            if self.left == 0 {
                break;
            }
            self.counts[c] = count;
            let times = i64::from(count);
            self.search(c + 1, room - times * length, worth + times * each);
        }
        self.counts[c] = 0;
    }
}

/// Piece by piece into the tightest runs, most worth per length first.
fn fill_runs(
    instance: &Instance,
    kind: &StockKind,
    wanted: &[u32],
    worth: &[i64],
    lead: Option<usize>,
) -> Option<Contents> {
    let mut room: Vec<i64> = kind.runs.iter().map(|run| run.room).collect();
    let mut counts = vec![0; wanted.len()];
    let fits = |t: &usize| kind.serves(instance.types[*t].group) && wanted[*t] > 0;
    if let Some(t) = lead {
        if !fits(&t) || !place(&mut room, &instance.types[t].parts) {
            return None;
        }
        counts[t] = 1;
    }
    let mut order: Vec<usize> = (0..wanted.len()).filter(fits).collect();
    let rate = |t: usize| {
        i128::from(worth[t]) * i128::from(1 << 20) / i128::from(instance.types[t].length)
    };
    order.sort_by_key(|&t| (-rate(t), t));
    for t in order {
        while counts[t] < wanted[t] && place(&mut room, &instance.types[t].parts) {
            counts[t] += 1;
        }
    }
    pieces(&counts)
}

/// Puts each part in the run with the least room that holds it, or none at all.
fn place(room: &mut [i64], parts: &[i64]) -> bool {
    let before = room.to_vec();
    for &part in parts {
        let tightest = room.iter_mut().filter(|free| **free >= part).min_by_key(|free| **free);
        let Some(free) = tightest else {
            room.copy_from_slice(&before);
            return false;
        };
        *free -= part;
    }
    true
}
