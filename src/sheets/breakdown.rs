//! Pieces put one after the other into what is open: the walk that the habit and the search
//! share.

use crate::measure::Length;
use crate::shop::SheetRules;

use super::pane::{Pane, SheetCut, area};
use super::ways::{fits, way};

/// What is to be cut of one material, and from what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetQuestion {
    /// How the material is cut and kept.
    pub rules: SheetRules,
    /// The pieces: width, height, and whether they may be turned.
    pub pieces: Vec<(Length, Length, bool)>,
    /// The remnants.
    pub remnants: Vec<(Length, Length)>,
    /// The whole sheets: their size and how many stand there; more can be bought.
    pub wholes: Vec<(Length, Length, u32)>,
}

/// Where a sheet comes from, by its place in the question.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SheetFrom {
    /// A remnant.
    Remnant(usize),
    /// A whole sheet that stands there.
    Whole(usize),
    /// One that is still to be bought.
    ToBuy(usize),
}

/// One sheet as it is cut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BrokenSheet {
    /// Where it comes from.
    pub from: SheetFrom,
    /// Its size.
    pub size: (Length, Length),
    /// The cuts, in an order in which they can be made.
    pub cuts: Vec<SheetCut>,
    /// The pieces by number, where they lie, and whether turned.
    pub pieces: Vec<(usize, Pane, bool)>,
    /// Everything else that the cuts leave.
    pub left: Vec<Pane>,
}

/// What a way to cut it all comes to; less is better, the first figure first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct SheetCost {
    /// Pieces that have no room.
    pub without: usize,
    /// The area of the sheets that are to be bought now.
    pub bought: i128,
    /// The area of all whole sheets that are opened.
    pub opened: i128,
    /// The worth of the remnants that are taken, less that of those that are left.
    pub used: i128,
    /// How many sheets and remnants are cut.
    pub sheets: usize,
}

/// A way to cut it all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Breakdown {
    /// The sheets in the order in which they were opened.
    pub sheets: Vec<BrokenSheet>,
    /// The pieces that have no room.
    pub without: Vec<usize>,
    /// What it comes to.
    pub cost: SheetCost,
}

/// How one piece departs from the habit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Departure {
    /// Which of the panes that it fits into, the tightest being 0; then come whole sheets.
    pub pane: u8,
    /// Which way to take it out, the habit's being 0.
    pub way: u8,
}

/// One piece in its turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Turn {
    /// Its number.
    pub piece: usize,
    /// How it departs from the habit.
    pub departs: Departure,
}

/// Something that a piece can be cut from: what is left of a sheet, or, where that is
/// `None`, a remnant or a whole sheet that nothing is cut from yet.
#[derive(Debug, Clone, Copy)]
struct OpenPane {
    sheet: Option<usize>,
    from: SheetFrom,
    pane: Pane,
}

impl SheetQuestion {
    /// The largest sheet that there is: what worth is measured by.
    pub(super) fn largest(&self) -> i128 {
        let wholes = self.wholes.iter().map(|(width, height, _)| area(*width, *height));
        let remnants = self.remnants.iter().map(|(width, height)| area(*width, *height));
        wholes.max().or(remnants.max()).unwrap_or(1)
    }

    /// What a remnant is worth, as an area: nothing if it is not kept, else a quarter of
    /// itself, rising to all of itself at a whole sheet's size. One large remnant is worth
    /// more than two halves. Our own figure: of those from nothing to all, a quarter bought
    /// least over made-up months (`benches/RESULTS.md`).
    pub fn worth(&self, pane: Pane) -> i128 {
        if !self.rules.keeps(pane.width, pane.height) {
            return 0;
        }
        let share = (pane.area() * 1024 / self.largest()).min(1024);
        pane.area() * (1024 + 3 * share) / 4096
    }

    /// The first sheet or remnant that would hold a piece, if any strip came off.
    pub(super) fn narrow(&self, number: usize) -> Option<(Length, Length)> {
        let (width, height, turn) = self.pieces[number];
        let wholes = self.wholes.iter().map(|whole| (whole.0, whole.1));
        let mut all = wholes.chain(self.remnants.iter().copied());
        let rules = self.rules.unbroken();
        all.find(|size| fits(Pane::whole(size.0, size.1), (width, height), turn, &rules))
    }

    /// Puts the pieces into what is open, in their turn. If `keeps_all`, what is not worth
    /// keeping can still be cut from as long as the work goes on; else it is thrown away as
    /// it falls.
    pub(super) fn walk(&self, turns: &[Turn], keeps_all: bool) -> Breakdown {
        let mut open: Vec<OpenPane> = Vec::new();
        for (at, (width, height)) in self.remnants.iter().enumerate() {
            let from = SheetFrom::Remnant(at);
            open.push(OpenPane { sheet: None, from, pane: Pane::whole(*width, *height) });
        }
        let mut there: Vec<u32> = self.wholes.iter().map(|whole| whole.2).collect();
        let mut done = Breakdown { sheets: Vec::new(), without: Vec::new(), cost: ZERO };
        let mut found: Vec<(i128, usize)> = Vec::new();
        for turn in turns {
            let (width, height, may_turn) = self.pieces[turn.piece];
            let size = (width, height);
            found.clear();
            let fitting = open
                .iter()
                .enumerate()
                .filter(|(_, open)| fits(open.pane, size, may_turn, &self.rules));
            found.extend(fitting.map(|(at, open)| (open.pane.area(), at)));
            let opened = usize::from(turn.departs.pane);
            if opened < found.len() {
                found.select_nth_unstable(opened);
            } else {
                found.sort_unstable();
            }
            let taken = match found.get(opened) {
                Some(&(_, at)) => Some(open.swap_remove(at)),
                None => {
                    let passed = opened - found.len();
                    let new = self.new_sheet(size, may_turn, &mut there, passed);
                    new.or_else(|| found.last().map(|&(_, at)| open.swap_remove(at)))
                }
            };
            let Some(taken) = taken else {
                done.without.push(turn.piece);
                continue;
            };
            let better = usize::from(turn.departs.way);
            let way = way(taken.pane, size, may_turn, &self.rules, better);
            let way = way.expect("it was found to fit");
            let sheet = taken.sheet.unwrap_or_else(|| {
                let size = (taken.pane.width, taken.pane.height);
                done.sheets.push(BrokenSheet::new(taken.from, size));
                done.sheets.len() - 1
            });
            done.sheets[sheet].cuts.extend(way.cuts.iter().flatten());
            done.sheets[sheet].pieces.push((turn.piece, way.piece, way.turned));
            for pane in way.left.into_iter().flatten() {
                if keeps_all || self.rules.keeps(pane.width, pane.height) {
                    open.push(OpenPane { sheet: Some(sheet), from: taken.from, pane });
                } else {
                    done.sheets[sheet].left.push(pane);
                }
            }
        }
        for left in open {
            if let Some(sheet) = left.sheet {
                done.sheets[sheet].left.push(left.pane);
            }
        }
        done.cost = self.cost(&done);
        done
    }

    /// A whole sheet that the piece fits into: of one that stands there before one to be
    /// bought, then of the smallest, so many are passed over.
    fn new_sheet(
        &self,
        size: (Length, Length),
        turn: bool,
        there: &mut [u32],
        passed: usize,
    ) -> Option<OpenPane> {
        let fitting = self.wholes.iter().enumerate().filter(|(_, (width, height, _))| {
            fits(Pane::whole(*width, *height), size, turn, &self.rules)
        });
        let mut fitting: Vec<(bool, i128, usize)> = fitting
            .map(|(at, (width, height, _))| (there[at] == 0, area(*width, *height), at))
            .collect();
        fitting.sort_unstable();
        let &(_, _, at) = fitting.get(passed.min(fitting.len().saturating_sub(1)))?;
        let (width, height, _) = self.wholes[at];
        let from = match there[at] {
            0 => SheetFrom::ToBuy(at),
            _ => SheetFrom::Whole(at),
        };
        there[at] = there[at].saturating_sub(1);
        Some(OpenPane { sheet: None, from, pane: Pane::whole(width, height) })
    }

    /// What a way to cut it all comes to.
    pub(super) fn cost(&self, done: &Breakdown) -> SheetCost {
        let mut cost = SheetCost { without: done.without.len(), sheets: done.sheets.len(), ..ZERO };
        for sheet in &done.sheets {
            let whole = Pane::whole(sheet.size.0, sheet.size.1);
            match sheet.from {
                SheetFrom::Remnant(_) => cost.used += self.worth(whole),
                SheetFrom::Whole(_) => cost.opened += whole.area(),
                SheetFrom::ToBuy(_) => {
                    cost.opened += whole.area();
                    cost.bought += whole.area();
                }
            }
            cost.used -= sheet.left.iter().map(|pane| self.worth(*pane)).sum::<i128>();
        }
        cost
    }
}

const ZERO: SheetCost = SheetCost { without: 0, bought: 0, opened: 0, used: 0, sheets: 0 };

impl BrokenSheet {
    fn new(from: SheetFrom, size: (Length, Length)) -> BrokenSheet {
        BrokenSheet { from, size, cuts: Vec::new(), pieces: Vec::new(), left: Vec::new() }
    }
}
