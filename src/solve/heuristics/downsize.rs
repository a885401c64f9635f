//! Better plans from a plan: each unit on the cheapest stock that holds it.

use crate::solve::cutting_plan::Column;
use crate::solve::instance::Instance;
use crate::solve::watchman::Watchman;

/// Moves units to other stock, alone or by exchange, while that saves and it is
/// not late.
pub(crate) fn downsize(
    instance: &Instance,
    mut columns: Vec<Column>,
    watchman: Watchman,
) -> Vec<Column> {
    if instance.kinds.len() < 2 {
        return columns;
    }
    let mut supply = instance.supplies();
    for column in &columns {
        supply[column.kind] = supply[column.kind].saturating_sub(1);
    }
    // Each pass moves some unit to cheaper stock; few passes are ever needed.
    for _ in 0..8 {
        let moved = move_each(instance, &mut columns, &mut supply, watchman);
        let swapped = columns.len() <= 200 && swap_each(instance, &mut columns);
        if !moved && !swapped {
            break;
        }
    }
    columns
}

fn move_each(
    instance: &Instance,
    columns: &mut [Column],
    supply: &mut [u32],
    watchman: Watchman,
) -> bool {
    let mut moved = false;
    for column in columns {
        if watchman.is_late() {
            return false;
        }
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
