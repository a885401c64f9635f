//! Reads `frames.csv`: the pending frames, of one layer or of several.

use std::collections::{BTreeMap, BTreeSet};

use crate::measure::Length;
use crate::shop::{Frame, Kind, Layer, Match, Moulding};

use super::cells::{self, ReadingUnits};
use super::fault::FileFault;
use super::header::{ColumnRule, needed, optional};
use super::mistake::Mistake;
use super::mouldings::MATCHES;
use super::register::Register;
use super::table::{FileTable, Row};
use super::ticket::{self, Ticket};

/// The file's name.
pub(super) const FILE: &str = "frames.csv";

const COLUMNS: &[ColumnRule] = &[
    needed("frame", "the frame's number").in_words(),
    optional("layer", "1 for the innermost layer"),
    needed("moulding", "the moulding's code").in_words(),
    needed("width", "the package's width"),
    optional("height", "the package's height"),
    optional("sides", "how many sides the frame has"),
    optional("copies", "how many alike"),
    optional("due", "when it is wanted, such as 2026-03-05").in_words(),
    optional("promised", "yes if that day was promised").in_words(),
    optional("came", "the day on which it came in, such as 2026-03-05").in_words(),
    optional("match", "any, lot, halves, stick or wrap").in_words(),
    optional("match_floor", "the weakest match that will do").in_words(),
    optional("allowance", "its own allowance"),
    optional("gap", "the gap between canvas and wall on each side"),
    optional("thickness", "how thick the package is"),
    optional("note", "anything else").in_words(),
];

/// How many layers a stack may have.
const MOST_LAYERS: u32 = 9;

/// How many rails all frames may have together, copies and layers counted: those
/// of fifty thousand usual frames. With lengths of 50 m at most and nine layers, sums
/// of all of them stay far within 64 bits.
const MOST_RAILS: u64 = 1_000_000;

/// Reads the file; `bytes` is nothing if it is missing.
pub(super) fn read(
    bytes: Option<&[u8]>,
    (figures, mouldings, jobs): (&ReadingUnits, &Register<Moulding>, &BTreeSet<String>),
    faults: &mut Vec<FileFault>,
) -> (Vec<Option<Frame>>, Register<()>) {
    const LIST: &str = "in frames.csv";
    let table = bytes.and_then(|bytes| FileTable::open(FILE, COLUMNS, bytes, faults));
    let Some(mut table) = table else { return (Vec::new(), Register::new(LIST, false)) };
    let mut ids = Register::new(LIST, table.has("frame"));
    let mut tickets: Vec<Ticket> = Vec::new();
    let mut places: BTreeMap<String, usize> = BTreeMap::new();
    while let Some(mut row) = table.next_row(faults) {
        let id = row.need("frame", cells::id);
        let number = row.take("layer", cells::count(1, MOST_LAYERS)).map(|n| n.unwrap_or(1));
        let layer = read_layer(&mut row, figures, mouldings);
        let Some(id) = id else {
            // Whose row this is cannot be known, but its cells can be checked.
            ticket::check_row(&mut row, number, figures);
            continue;
        };
        ids.add(Some(id.clone()), row.number, Some(()));
        let place = *places.entry(id).or_insert_with_key(|id| {
            tickets.push(Ticket::new(id.clone(), row.number, jobs.contains(id)));
            tickets.len() - 1
        });
        if let Some(misfit) = tickets[place].misfit(layer.as_ref(), mouldings) {
            row.fault("moulding", misfit.into());
        }
        tickets[place].add(&mut row, number, layer, figures);
    }
    let frames: Vec<Option<Frame>> = tickets.into_iter().map(Ticket::into_frame).collect();
    faults.extend(too_many(&frames));
    (frames, ids)
}

/// The ticket with which the pile gets larger than is planned, if there is one.
fn too_many(frames: &[Option<Frame>]) -> Option<FileFault> {
    let mut rails = 0_u64;
    let over = frames.iter().flatten().find(|frame| {
        let layers = u64::try_from(frame.layers.len()).unwrap_or(u64::MAX);
        let each = layers.saturating_mul(u64::from(frame.mitre.sides()));
        rails = rails.saturating_add(each.saturating_mul(u64::from(frame.copies)));
        rails > MOST_RAILS
    })?;
    let problem = Mistake::TooManyRails { most: MOST_RAILS };
    Some(FileFault {
        row: Some(over.row),
        column: Some("copies".to_owned()),
        read: Some(over.copies.to_string()),
        ..FileFault::whole(FILE, problem)
    })
}

fn read_layer(
    row: &mut Row,
    figures: &ReadingUnits,
    mouldings: &Register<Moulding>,
) -> Option<Layer> {
    let named = row.need("moulding", |text| {
        mouldings.resolve(text).map(|moulding| (text.to_owned(), moulding))
    });
    let moulding = named.as_ref().and_then(|(_, moulding)| *moulding);
    let kind = moulding.map(|moulding| moulding.kind);
    let match_ = row.take("match", cells::word(&MATCHES));
    let match_ = match_.and_then(|own| own.or(moulding.map(|moulding| moulding.match_)));
    let match_floor = read_floor(row, match_);
    let allowance = row.take("allowance", figures.small("allowance"));
    if kind == Some(Kind::Floater) && allowance.flatten().is_some_and(Length::is_positive) {
        row.fault("allowance", Mistake::FloaterAllowance);
    }
    if kind == Some(Kind::BuildOut) && allowance.flatten().is_some() {
        row.fault("allowance", Mistake::OutOfPlace { belongs: "mouldings with a rabbet" });
    }
    let gap = read_gap(row, kind, figures);
    Some(Layer {
        moulding: named?.0,
        allowance: allowance?,
        gap: gap?,
        window: None,
        match_: match_?,
        match_floor: match_floor?,
    })
}

/// The weakest match that will do: the match itself unless the row says less.
fn read_floor(row: &mut Row, match_: Option<Match>) -> Option<Match> {
    let floor = row.take("match_floor", cells::word(&MATCHES))?;
    match (floor, match_) {
        (Some(floor), Some(match_)) if floor > match_ => {
            row.fault("match_floor", Mistake::FloorAboveMatch { match_: match_.word() });
            None
        }
        (Some(floor), _) => Some(floor),
        (None, match_) => match_,
    }
}

/// The gap, which a floater must have and nothing else may.
fn read_gap(row: &mut Row, kind: Option<Kind>, figures: &ReadingUnits) -> Option<Length> {
    if kind == Some(Kind::Floater) {
        return row.need("gap", figures.small("gap"));
    }
    let gap = row.take("gap", figures.small("gap"))?;
    if kind.is_some() && gap.is_some() {
        row.fault("gap", Mistake::OutOfPlace { belongs: "floaters" });
    }
    Some(Length::ZERO)
}
