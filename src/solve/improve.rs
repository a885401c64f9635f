//! Better plans from a plan: each unit on the cheapest stock that holds it, and
//! a few units at a time cut anew at their best.

use super::instance::Instance;
use super::plan::{Column, Plan};
use super::search::Search;
use super::states::{self, Answer};

/// Pieces that are cut anew together at most.
const PIECES: u32 = 14;
/// Steps for cutting some units anew.
const ANEW: u64 = 30_000;

/// Moves units to other stock, alone or by exchange, while that saves.
pub(super) fn downsize(instance: &Instance, mut columns: Vec<Column>) -> Vec<Column> {
    if instance.kinds.len() < 2 {
        return columns;
    }
    let mut supply = instance.supplies();
    for column in &columns {
        supply[column.kind] = supply[column.kind].saturating_sub(1);
    }
    // Each pass moves some unit to cheaper stock; few passes are ever needed.
    for _ in 0..8 {
        let moved = move_each(instance, &mut columns, &mut supply);
        let swapped = columns.len() <= 200 && swap_each(instance, &mut columns);
        if !moved && !swapped {
            break;
        }
    }
    columns
}

fn move_each(instance: &Instance, columns: &mut [Column], supply: &mut [u32]) -> bool {
    let mut moved = false;
    for column in columns {
        let free = (0..supply.len()).filter(|&k| supply[k] > 0 && serves(instance, k, column));
        let cheaper = free
            .filter(|&k| instance.kinds[k].cost_at(column.length(instance)) < column.cost)
            .filter_map(|k| Column::new(instance, k, column.pieces.clone()))
            .min_by_key(|other| other.cost);
        if let Some(cheaper) = cheaper.filter(|other| other.cost < column.cost) {
            supply[column.kind] += 1;
            supply[cheaper.kind] -= 1;
            *column = cheaper;
            moved = true;
        }
    }
    moved
}

fn serves(instance: &Instance, kind: usize, column: &Column) -> bool {
    let kind = &instance.kinds[kind];
    column.length(instance) <= kind.room
        && column.pieces.iter().all(|&(t, _)| kind.serves(instance.types[t].group))
}

fn swap_each(instance: &Instance, columns: &mut [Column]) -> bool {
    let mut swapped = false;
    for a in 0..columns.len() {
        for b in 0..a {
            let (one, other) = (&columns[a], &columns[b]);
            if one.kind == other.kind
                || !serves(instance, other.kind, one)
                || !serves(instance, one.kind, other)
            {
                continue;
            }
            let first = Column::new(instance, other.kind, one.pieces.clone());
            let second = Column::new(instance, one.kind, other.pieces.clone());
            let (Some(first), Some(second)) = (first, second) else {
                continue;
            };
            if first.cost + second.cost < one.cost + other.cost {
                columns[a] = first;
                columns[b] = second;
                swapped = true;
            }
        }
    }
    swapped
}

/// Cuts a few units of the best plan anew, `rounds` times over, choosing the
/// units by a fixed sequence of numbers.
pub(super) fn anew(search: &mut Search, rounds: u32) {
    let mut seed = 0x9e37_79b9_7f4a_7c15u64;
    let mut next = move |below: usize| {
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        usize::try_from(seed % below as u64).unwrap_or(0)
    };
    for _ in 0..rounds {
        let Some(best) = search.best.clone() else {
            return;
        };
        if search.is_proven() || search.is_stopped() || best.uses.len() < 2 {
            return;
        }
        let mut units = single(&best);
        let mut chosen: Vec<Column> = Vec::new();
        let mut pieces = 0;
        while !units.is_empty() && chosen.len() < 4 {
            let unit = units.swap_remove(next(units.len()));
            let more: u32 = unit.pieces.iter().map(|&(_, count)| count).sum();
            if pieces + more <= PIECES {
                pieces += more;
                chosen.push(unit);
            } else {
                units.push(unit);
                break;
            }
        }
        try_anew(search, &best, chosen);
    }
}

fn single(plan: &Plan) -> Vec<Column> {
    let uses = plan.uses.iter();
    uses.flat_map(|(column, times)| (0..*times).map(|_| column.clone())).collect()
}

fn try_anew(search: &mut Search, plan: &Plan, chosen: Vec<Column>) {
    let instance = &search.instance;
    let mut wanted = vec![0; instance.types.len()];
    let mut supply = instance.supplies();
    for (column, times) in &plan.uses {
        supply[column.kind] -= times;
    }
    let mut uses = plan.uses.clone();
    let mut cost = 0;
    for column in &chosen {
        supply[column.kind] += 1;
        cost += column.cost;
        for &(t, count) in &column.pieces {
            wanted[t] += count;
        }
        let used = uses.iter_mut().find(|(other, _)| other == column);
        used.expect("the units are from the plan").1 -= 1;
    }
    let mut steps = 0;
    let answer = states::solve(instance, &wanted, &supply, cost, ANEW, &mut steps);
    search.spend(steps);
    if let Answer::Best(part) = answer {
        uses.retain(|&(_, times)| times > 0);
        uses.extend(part.uses);
        search.offer(Plan::new(uses));
    }
}
