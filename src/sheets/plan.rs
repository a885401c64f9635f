//! What is cut today of each material, from which sheet and remnant, under which labels.

use std::collections::{BTreeMap, BTreeSet};

use crate::measure::Length;
use crate::shop::{SheetPiece, SheetRules, SheetStock};

use super::breakdown::{Breakdown, BrokenSheet, SheetCost, SheetFrom, SheetQuestion};
use super::check::{SheetFault, faults};
use super::pane::{Pane, SheetCut};

/// One piece on the sheet of the day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NamedPiece {
    /// The ticket that it is for.
    pub ticket: String,
    /// What it is.
    pub what: String,
    /// Which of how many alike.
    pub copy: (u32, u32),
    /// Its size as it was asked for.
    pub size: (Length, Length),
    /// Whether it may lie either way.
    pub turn: bool,
    /// What falls out of its window and is kept, with its label once it has one.
    pub drop_out: Option<((Length, Length), String)>,
}

/// What is cut of one material.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetPlan {
    /// Which.
    pub material: String,
    /// How it is cut and kept.
    pub rules: SheetRules,
    /// Its pieces, in the order in which they were asked for.
    pub pieces: Vec<NamedPiece>,
    /// The sheets, in the order in which they are cut.
    pub sheets: Vec<PlannedSheet>,
    /// The pieces that cannot be cut, by their place.
    pub without: Vec<usize>,
    /// Those of them that a sheet or remnant of that size would hold, if any strip came off.
    pub narrow: BTreeMap<usize, (Length, Length)>,
    /// What it comes to.
    pub cost: SheetCost,
    /// What cutting each piece as it comes would come to.
    pub by_habit: SheetCost,
    /// The least area of whole sheets that any way must open.
    pub least_opened: i128,
}

/// One sheet to be cut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlannedSheet {
    /// Its label: of a pile, or of the remnant. Empty where it is still to be bought.
    pub label: String,
    /// Where it stands.
    pub place: String,
    /// How it is cut.
    pub cut: BrokenSheet,
    /// The labels of what it leaves, a place for each: nothing for scrap, and empty for what
    /// is kept and has none yet.
    pub kept: Vec<Option<String>>,
}

impl SheetPlan {
    /// Whether no way opens less of whole sheets.
    pub fn is_proven(&self) -> bool {
        self.cost.opened == self.least_opened
    }

    /// How many whole sheets are opened.
    pub fn opened(&self) -> usize {
        let is_whole = |sheet: &&PlannedSheet| !matches!(sheet.cut.from, SheetFrom::Remnant(_));
        self.sheets.iter().filter(is_whole).count()
    }

    /// How many of them are still to be bought, by size.
    pub fn to_buy(&self) -> BTreeMap<(Length, Length), usize> {
        let mut sizes = BTreeMap::new();
        for sheet in
            self.sheets.iter().filter(|sheet| matches!(sheet.cut.from, SheetFrom::ToBuy(_)))
        {
            *sizes.entry(sheet.cut.size).or_insert(0) += 1;
        }
        sizes
    }
}

impl SheetPlan {
    /// The tickets with a piece from a sheet of this size that is still to be bought, in the
    /// order in which they were asked for.
    pub fn tickets_to_buy(&self, size: (Length, Length)) -> Vec<String> {
        let is_it = |sheet: &&PlannedSheet| {
            matches!(sheet.cut.from, SheetFrom::ToBuy(_)) && sheet.cut.size == size
        };
        let pieces = self.sheets.iter().filter(is_it).flat_map(|sheet| &sheet.cut.pieces);
        let numbers: BTreeSet<usize> = pieces.map(|piece| piece.0).collect();
        let mut tickets: Vec<String> = Vec::new();
        for number in numbers {
            let ticket = &self.pieces[number].ticket;
            if !tickets.contains(ticket) {
                tickets.push(ticket.clone());
            }
        }
        tickets
    }
}

/// Whole sheets of one size that pieces lack beside what stands there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LackingSheets {
    /// Of which material.
    pub material: String,
    /// Their size.
    pub size: (Length, Length),
    /// How many.
    pub count: u32,
    /// How many of that size are on order already, whoever wants them.
    pub coming: u32,
}

/// Labels for remnants: the label of the sheet, a point, and the lowest number that is free.
pub fn label_after<'a>(taken: impl Iterator<Item = &'a str>) -> impl FnMut(&str) -> String {
    let mut taken: BTreeSet<String> = taken.map(str::to_owned).collect();
    move |sheet| {
        let free = (1_u32..).map(|number| format!("{sheet}.{number}"));
        let label = free.into_iter().find(|label| !taken.contains(label)).unwrap_or_default();
        taken.insert(label.clone());
        label
    }
}

/// Plans all pieces that are not cut yet, material by material in the order of their names, and looks every
/// layout over. `label` gives what is kept its label.
///
/// # Errors
/// What is wrong with a layout: a mistake in this program.
pub fn plan_sheets(
    (stock, rules): (&[SheetStock], &BTreeMap<String, SheetRules>),
    pieces: &[SheetPiece],
    mut label: impl FnMut(&str) -> String,
) -> Result<Vec<SheetPlan>, Vec<SheetFault>> {
    let materials: BTreeSet<&str> = pieces
        .iter()
        .filter(|piece| piece.cut < piece.count)
        .map(|piece| piece.material.as_str())
        .collect();
    let mut plans = Vec::new();
    for material in materials {
        let rules = rules.get(material).copied().unwrap_or_default();
        plans.push(of_material((material, rules), stock, pieces, &mut label)?);
    }
    Ok(plans)
}

fn of_material(
    (material, rules): (&str, SheetRules),
    stock: &[SheetStock],
    pieces: &[SheetPiece],
    label: &mut impl FnMut(&str) -> String,
) -> Result<SheetPlan, Vec<SheetFault>> {
    let own = || stock.iter().filter(|sheet| sheet.material == material);
    let remnants: Vec<&SheetStock> =
        own().filter(|sheet| !sheet.whole && sheet.count > 0).collect();
    let named: Vec<NamedPiece> =
        pieces.iter().filter(|piece| piece.material == material).flat_map(named).collect();
    let mut wholes: Vec<&SheetStock> = own().filter(|sheet| sheet.whole).collect();
    let made = if rules.made_to_size { made_to_size(material, &named) } else { Vec::new() };
    wholes.extend(&made);
    let question = SheetQuestion {
        rules,
        pieces: named.iter().map(|piece| (piece.size.0, piece.size.1, piece.turn)).collect(),
        remnants: remnants.iter().map(|sheet| (sheet.width, sheet.height)).collect(),
        wholes: wholes.iter().map(|sheet| (sheet.width, sheet.height, sheet.count)).collect(),
    };
    let by_habit = question.by_habit();
    let done = match rules.made_to_size {
        true => by_habit.clone(),
        false => question.together(question.usual_tries()),
    };
    for one in [&by_habit, &done] {
        let wrong = faults(&question, one);
        if !wrong.is_empty() {
            return Err(wrong.into_iter().map(|fault| format!("{material}: {fault}")).collect());
        }
    }
    let Breakdown { mut sheets, without, cost } = done;
    sheets.sort_by_key(|sheet| sheet.from);
    let planned = sheets.into_iter().map(|mut cut| {
        cut.cuts = in_bench_order(&cut, rules.kerf);
        let of = match cut.from {
            SheetFrom::Remnant(at) => remnants[at],
            SheetFrom::Whole(at) | SheetFrom::ToBuy(at) => wholes[at],
        };
        let keeps = |pane: &Pane| rules.keeps(pane.width, pane.height);
        let kept = cut.left.iter().map(|pane| keeps(pane).then(|| label(&of.label))).collect();
        let is_here = !matches!(cut.from, SheetFrom::ToBuy(_));
        let here = |text: &str| if is_here { text.to_owned() } else { String::new() };
        PlannedSheet { label: here(&of.label), place: here(&of.place), cut, kept }
    });
    let sheets = planned.collect();
    let narrow = without.iter().filter_map(|number| Some((*number, question.narrow(*number)?)));
    Ok(SheetPlan {
        material: material.to_owned(),
        rules,
        narrow: narrow.collect(),
        pieces: named,
        sheets,
        without,
        cost,
        by_habit: by_habit.cost,
        least_opened: question.least_opened(),
    })
}

/// Panes in the sizes of these pieces, none of them there: as their maker makes them.
fn made_to_size(material: &str, pieces: &[NamedPiece]) -> Vec<SheetStock> {
    let sizes: BTreeSet<(Length, Length)> = pieces.iter().map(|piece| piece.size).collect();
    sizes.into_iter().map(|size| SheetStock::none_of(material, size)).collect()
}

/// The cuts so that what comes off first is cut up before the rest is taken up again.
fn in_bench_order(sheet: &BrokenSheet, kerf: Length) -> Vec<SheetCut> {
    let mut ordered = Vec::with_capacity(sheet.cuts.len());
    let mut panes = vec![Pane::whole(sheet.size.0, sheet.size.1)];
    while let Some(pane) = panes.pop() {
        if let Some(cut) = sheet.cuts.iter().find(|cut| cut.pane == pane) {
            let (first, second) = cut.parts(kerf);
            panes.extend(second);
            panes.push(first);
            ordered.push(*cut);
        }
    }
    ordered
}

fn named(piece: &SheetPiece) -> impl Iterator<Item = NamedPiece> {
    (piece.cut + 1..=piece.count).map(|copy| NamedPiece {
        ticket: piece.ticket.clone(),
        what: piece.what.clone(),
        copy: (copy, piece.count),
        size: (piece.width, piece.height),
        turn: piece.turn,
        drop_out: piece.drop_out.map(|size| (size, String::new())),
    })
}
