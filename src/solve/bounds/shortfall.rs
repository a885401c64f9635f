//! Reasons that are plain to see why no plan can meet every demand.
//!
//! Each is looked for among all items and among the longer ones alone, of all
//! groups and of each: offcuts that are too short for a long piece are no help
//! with it, however many there are. Takes time in proportion to groups x items
//! x stock.

use super::material::{Scope, scopes};
use crate::solve::instance::{Instance, StockKind, Type};
use crate::solve::outcome::Shortfall;

/// Items that cannot be met whatever the arrangement, if that is plain to see.
pub(crate) fn shortfall(instance: &Instance) -> Option<Shortfall> {
    let reason = too_long(instance);
    if reason.is_some() || has_endless(instance) {
        return reason;
    }
    None.or_else(|| first(instance, longest_part, too_little))
        .or_else(|| first(instance, longest_part, too_few_by_part))
        .or_else(|| first(instance, |of_type| of_type.length, too_few_by_length))
}

/// Whether there is stock without end for every type. Then none is short.
fn has_endless(instance: &Instance) -> bool {
    let endless = |&k: &usize| !instance.kinds[k].limited;
    let kinds: Vec<usize> = (0..instance.kinds.len()).filter(endless).collect();
    (0..instance.types.len()).all(|t| kinds.iter().any(|&k| instance.fits(k, t)))
}

fn too_long(instance: &Instance) -> Option<Shortfall> {
    let homeless = |&t: &usize| !(0..instance.kinds.len()).any(|k| instance.fits(k, t));
    let types: Vec<usize> = (0..instance.types.len()).filter(homeless).collect();
    (!types.is_empty()).then(|| Shortfall::TooLong(items(instance, &types)))
}

fn items(instance: &Instance, types: &[usize]) -> Vec<usize> {
    let sources = types.iter().flat_map(|&t| &instance.types[t].sources);
    let mut items: Vec<usize> = sources.map(|source| source.item).collect();
    items.sort_unstable();
    items
}

/// Types of some length or more, with the kinds that could hold any of them.
struct Longer<'a> {
    types: &'a [usize],
    /// The shortest of their lengths.
    least: i64,
    kinds: Vec<&'a StockKind>,
}

fn longest_part(of_type: &Type) -> i64 {
    of_type.parts[0]
}

/// The first reason of a sort: all types of a scope first, then fewer and
/// fewer of the longest.
fn first(
    instance: &Instance,
    length: fn(&Type) -> i64,
    reason: fn(&Instance, &Longer) -> Option<Shortfall>,
) -> Option<Shortfall> {
    scopes(instance).into_iter().find_map(|Scope { mut types, kinds }| {
        let length = |t: usize| length(&instance.types[t]);
        types.sort_by_key(|&t| (-length(t), t));
        let kinds: Vec<&StockKind> = kinds.iter().map(|&k| &instance.kinds[k]).collect();
        let holds: Vec<i64> = kinds
            .iter()
            .map(|kind| {
                let held = types.iter().find(|&&t| could_hold(kind, &instance.types[t]));
                held.map_or(0, |&t| length(t))
            })
            .collect();
        // Types of one length are taken together.
        let ends = (1..=types.len()).rev();
        let mut ends =
            ends.filter(|&n| types.get(n).is_none_or(|&next| length(next) < length(types[n - 1])));
        ends.find_map(|n| {
            let least = length(types[n - 1]);
            let kinds = kinds.iter().zip(&holds).filter(|&(_, &held)| held >= least);
            let kinds = kinds.map(|(&kind, _)| kind).collect();
            reason(instance, &Longer { types: &types[..n], least, kinds })
        })
    })
}

/// Whether a piece might fit, going by the longest run and by all the room.
fn could_hold(kind: &StockKind, of_type: &Type) -> bool {
    kind.serves(of_type.group)
        && of_type.length <= kind.room
        && kind.runs.iter().any(|run| of_type.parts[0] <= run.room)
}

fn too_little(instance: &Instance, longer: &Longer) -> Option<Shortfall> {
    let types = longer.types.iter().map(|&t| &instance.types[t]);
    let wanted: i128 = types.map(|t| i128::from(t.length) * i128::from(t.demand)).sum();
    let rooms = longer.kinds.iter().map(|k| i128::from(k.room) * i128::from(k.supply));
    let room: i128 = rooms.sum();
    let whole = |units: i128| {
        let unit = instance.kinds.first().map_or(1, |kind| kind.unit);
        i64::try_from(units * i128::from(unit)).unwrap_or(i64::MAX)
    };
    (wanted > room).then(|| Shortfall::TooLittle {
        items: items(instance, longer.types),
        wanted: whole(wanted),
        room: whole(room),
    })
}

/// Each copy has a part of at least the least length.
fn too_few_by_part(instance: &Instance, longer: &Longer) -> Option<Shortfall> {
    let in_one = |kind: &StockKind| -> i128 {
        kind.runs.iter().map(|run| i128::from(run.room / longer.least)).sum()
    };
    too_few(instance, longer, &in_one)
}

/// Each copy takes at least the least length in all.
fn too_few_by_length(instance: &Instance, longer: &Longer) -> Option<Shortfall> {
    too_few(instance, longer, &|kind| i128::from(kind.room / longer.least))
}

fn too_few(
    instance: &Instance,
    longer: &Longer,
    in_one: &dyn Fn(&StockKind) -> i128,
) -> Option<Shortfall> {
    let wanted: u64 = longer.types.iter().map(|&t| u64::from(instance.types[t].demand)).sum();
    let places: i128 = longer.kinds.iter().map(|k| in_one(k) * i128::from(k.supply)).sum();
    let places = u64::try_from(places).ok().filter(|&places| places < wanted)?;
    Some(Shortfall::TooFew { items: items(instance, longer.types), wanted, places })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solve::problem::{Item, Problem, Run, Stock};

    fn said(stock: &[(i64, Option<u32>)], lengths: &[(i64, u32)]) -> Option<Shortfall> {
        let stock = stock.iter().map(|&(length, supply)| Stock {
            runs: vec![Run::clear(length)],
            cost: 1,
            supply,
            credit: None,
            group: 0,
        });
        let item = |&(length, demand)| Item { parts: vec![length], demand, group: None };
        let items = lengths.iter().map(item).collect();
        shortfall(&Instance::new(&Problem { stock: stock.collect(), items }))
    }

    #[test]
    fn a_piece_longer_than_any_stick_is_named() {
        let reason = said(&[(100, None)], &[(60, 1), (101, 1)]);
        assert_eq!(reason, Some(Shortfall::TooLong(vec![1])));
    }

    // By hand: two of 90 need 180, and only one stick of 120 is as long as 90;
    // beside them 25 of 50 lie idle.
    #[test]
    fn short_stock_is_no_help_with_long_pieces() {
        let reason = said(&[(120, Some(1)), (50, Some(25))], &[(90, 2), (44, 1)]);
        let little = Shortfall::TooLittle { items: vec![0], wanted: 180, room: 120 };
        assert_eq!(reason, Some(little));
    }

    // By hand: three of 60 and more are 190, less than 2 x 110, but a stick of
    // 110 holds only one of them.
    #[test]
    fn more_pieces_than_places_are_named() {
        let reason = said(&[(110, Some(2))], &[(10, 1), (60, 2), (70, 1)]);
        let few = Shortfall::TooFew { items: vec![1, 2], wanted: 3, places: 2 };
        assert_eq!(reason, Some(few));
        assert_eq!(said(&[(110, Some(2))], &[(10, 1), (60, 1), (70, 1)]), None);
        assert_eq!(said(&[(110, None)], &[(60, 3)]), None);
    }

    // By hand: a stick of 40 + 35 holds 20 + 18 once, since twice is 76, however
    // the parts of two are laid.
    #[test]
    fn pieces_of_several_parts_take_places_by_their_length() {
        let first = Run { tail: 75, ..Run::clear(40) };
        let stock = Stock {
            runs: vec![first, Run::clear(35)],
            cost: 1,
            supply: Some(2),
            credit: None,
            group: 0,
        };
        let item = Item { parts: vec![20, 18], demand: 3, group: None };
        let short = Item { parts: vec![1], demand: 1, group: None };
        let problem = Problem { stock: vec![stock], items: vec![short, item] };
        let few = Shortfall::TooFew { items: vec![1], wanted: 3, places: 2 };
        assert_eq!(shortfall(&Instance::new(&problem)), Some(few));
    }
}
