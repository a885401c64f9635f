//! Later changes of a shop folder's files taken over: what can be, ticket by ticket.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use super::error::{BookError, THIS_BOOK, naming, wrong};
use super::field::Field;
use super::ledger::Book;
use super::snapshot::snapshot;
use super::source_files::{self, Files};
use super::stamp::Stamp;
use super::step::Step;
use super::{Cancelled, cancel, on_order, rack, spare, ticket};
use crate::measure::{Length, Mitre};
use crate::rails::frame_rails;
use crate::report::either::either;
use crate::shop::{Frame, FrameProgress, Layer, Shop, write};

/// What taking over a folder changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refreshed {
    /// The files that are not as they were.
    pub files: Vec<String>,
    /// The tickets that are new.
    pub new: Vec<String>,
    /// For each ticket that changed and of which some copies left the pile: all in
    /// the file, and those that are still to be cut.
    pub begun: Vec<(String, u32, u32)>,
    /// The tickets that changed while some of their copies were at the bench or cut in
    /// part, or that are for fewer copies, with what became of those.
    pub changed: Vec<(String, Cancelled)>,
    /// The tickets that stay as the book has them, each with why and the way on.
    pub kept: Vec<String>,
}

impl Book {
    /// Takes over the files of a folder, all but its rack: the book knows better
    /// what is on the rack. What is cut of a ticket that changes is spare, and its copies
    /// go back to the pile. A ticket that is begun and is in the folder no more, or of
    /// which a supplier chops a layer, stays as it is; all others are taken over.
    ///
    /// # Errors
    /// If something in the book would hang in the air: a stick without its
    /// moulding. Then nothing is taken over.
    pub fn refresh(
        &mut self,
        (shop, files): (&Shop, &Files),
        stamp: &Stamp,
    ) -> Result<Refreshed, BookError> {
        let path = self.path.clone();
        self.change("refresh", stamp, |step| take_over(step, &path, (shop, files)))
    }

    /// Takes over other texts of some of the files that the book keeps, by their names.
    ///
    /// # Errors
    /// As [`refresh`](Self::refresh), and if the files have a fault then.
    pub fn refresh_files(
        &mut self,
        texts: &[(&str, &str)],
        stamp: &Stamp,
    ) -> Result<Refreshed, BookError> {
        let path = self.path.clone();
        self.change("refresh", stamp, |step| {
            let (files, read) = source_files::with(step.db(), texts)?;
            match read {
                Ok(shop) => take_over(step, &path, (&shop, &files)),
                Err(faults) => wrong(faults.to_string()),
            }
        })
    }
}

pub(super) fn take_over(
    step: &Step,
    path: &Path,
    (shop, files): (&Shop, &Files),
) -> Result<Refreshed, BookError> {
    let before = source_files::files(step.db())?;
    let old = if before.is_empty() { None } else { Some(source_files::typed(step.db())?) };
    let (shop, files, others, taken) = match &old {
        Some(old) => ticket::with_taken(step, old, (shop, files))?,
        None => (shop.clone(), files.clone(), BTreeMap::new(), Vec::new()),
    };
    let shop = &shop;
    let mut kept = match &old {
        Some(old) => at_odds(step, old, shop)?,
        None => BTreeMap::new(),
    };
    kept.extend(others);
    hangs(step, shop, &kept)?;
    let files = match &old {
        Some(old) if !kept.is_empty() => merged((&before, &files), (old, shop), &kept)?,
        _ => files,
    };
    let changed_tickets = match &old {
        Some(old) => changed(step, old, shop, &kept)?,
        None => Vec::new(),
    };
    source_files::keep(step, &files)?;
    let after = source_files::files(step.db())?;
    let names = before.keys().chain(after.keys());
    let changed: BTreeSet<String> =
        names.filter(|name| before.get(*name) != after.get(*name)).cloned().collect();
    let mut changed = changed;
    // A shop that begins to write down its boards and glass.
    if !shop.sheets.is_empty() && !step.db().prepare("SELECT 1 FROM sheet")?.exists([])? {
        step.open_sheets(&shop.sheets)?;
        changed.insert("sheets.csv".to_owned());
    }
    if changed.is_empty() {
        let none = "the folder has nothing that the book does not have already";
        return wrong(match kept.is_empty() {
            true => none.to_owned(),
            false => kept.into_values().collect::<Vec<_>>().join("\n"),
        });
    }
    let (new, begun) = tickets(step, old.as_ref())?;
    let kept = kept.into_values().chain(taken);
    let kept = kept.map(|why| naming(&why, path)).collect();
    let files = changed.into_iter().collect();
    Ok(Refreshed { files, new, begun, changed: changed_tickets, kept })
}

/// A ticket of which some copies left the pile: all in the file, and those left.
type StartedTicket = (String, u32, u32);

/// The tickets that are new, and those that changed and are begun.
fn tickets(
    step: &Step,
    old: Option<&Shop>,
) -> Result<(Vec<String>, Vec<StartedTicket>), BookError> {
    let pile = snapshot(step.db())?.shop;
    let (mut new, mut begun) = (Vec::new(), Vec::new());
    for frame in &source_files::typed(step.db())?.frames {
        let was = old.and_then(|old| old.frame(&frame.id));
        let left = pile.frame(&frame.id).map_or(0, Frame::left);
        match was {
            None => new.push(frame.id.clone()),
            Some(was) if plain(was) != plain(frame) && left < frame.copies => {
                begun.push((frame.id.clone(), frame.copies, left));
            }
            Some(_) => {}
        }
    }
    Ok((new, begun))
}

/// A ticket as it was typed, wherever its row and its copies are.
fn plain(frame: &Frame) -> Frame {
    Frame { progress: FrameProgress::default(), row: 0, ..frame.clone() }
}

/// The tickets that must stay as they are, with why and the way on.
fn at_odds(step: &Step, old: &Shop, new: &Shop) -> Result<BTreeMap<String, String>, BookError> {
    let mut kept = BTreeMap::new();
    let mut query = step.db().prepare(
        "SELECT frame, max(state = 'owed') FROM copy WHERE state IN ('bench', 'owed')
         GROUP BY frame ORDER BY min(id)",
    )?;
    let rows = query.query_map([], |row| Ok((row.get::<_, String>(0)?, row.get::<_, bool>(1)?)))?;
    for (id, is_owed) in rows.collect::<Result<Vec<_>, _>>()? {
        if old.frame(&id).is_some() && new.frame(&id).is_none() {
            let what = if is_owed { "cut in part" } else { "at the bench" };
            let why = format!(
                "frames.csv: frame {id} is {what} and is not there any more ({})",
                either(
                    &format!("cancel it with \"longpoint cancel {THIS_BOOK} {id}\""),
                    "cancel it under Tickets"
                )
            );
            kept.insert(id, why);
        }
    }
    for frame in &old.frames {
        if let Some(why) = unfit(old, new, frame).or(joined(step, new, frame)?) {
            kept.entry(frame.id.clone()).or_insert(why);
        }
    }
    Ok(kept)
}

/// What a copy's rails depend on.
fn shape(frame: &Frame) -> (&[Layer], Length, Length, Mitre) {
    (&frame.layers, frame.width, frame.height, frame.mitre)
}

/// Takes the copies of tickets that change off the bench: of another shape they are on
/// the pile again, and those that are too many are not made any more. A copy that is
/// done stays what it is; one that was too many and is wanted again is made.
fn changed(
    step: &Step,
    old: &Shop,
    new: &Shop,
    kept: &BTreeMap<String, String>,
) -> Result<Vec<(String, Cancelled)>, BookError> {
    let mut all = Vec::new();
    for (was, is) in old.frames.iter().filter_map(|was| Some((was, new.frame(&was.id)?))) {
        if kept.contains_key(&was.id) {
            continue;
        }
        let id = was.id.as_str();
        let mut known = step.db().prepare_cached(
            "SELECT number FROM copy WHERE frame = ? AND state = ? ORDER BY number",
        )?;
        let mut in_state = |state: &str| -> Result<Vec<u32>, BookError> {
            let rows = known.query_map((id, state), |row| row.get(0))?;
            Ok(rows.collect::<Result<_, _>>()?)
        };
        let begun = [in_state("bench")?, in_state("owed")?].concat();
        let again = in_state("cancelled")?.into_iter();
        let again: Vec<u32> = again.filter(|n| (was.copies + 1..=is.copies).contains(n)).collect();
        let mut what = Cancelled::default();
        let other = shape(was) != shape(is);
        for number in begun.into_iter().filter(|number| other || *number > is.copies) {
            cancel::withdraw(step, (id, number), &mut what)?;
            what.copies.push(number);
        }
        for number in what.copies.iter().copied().chain(again) {
            what.spare.extend(spare::cast_off(step, id, number)?);
            step.set(Field::CopyState, step.copy(id, number)?, None::<String>)?;
        }
        if !what.copies.is_empty() {
            all.push((id.to_owned(), what));
        }
    }
    Ok(all)
}

/// The files with these tickets as the book has them.
fn merged(
    (before, files): (&Files, &Files),
    (old, new): (&Shop, &Shop),
    kept: &BTreeMap<String, String>,
) -> Result<Files, BookError> {
    let mut shop = new.clone();
    for frame in kept.keys().filter_map(|id| old.frame(id)) {
        match shop.frames.iter_mut().find(|other| other.id == frame.id) {
            Some(other) => other.clone_from(frame),
            None => shop.frames.push(frame.clone()),
        }
    }
    let faults = |why: &str| {
        let kept: Vec<&str> = kept.values().map(String::as_str).collect();
        wrong(format!("{}\n{why}", kept.join("\n")))
    };
    let lost = shop.frames.iter().flat_map(|frame| &frame.layers);
    let lost = lost.map(|layer| &layer.moulding).find(|id| !shop.mouldings.contains_key(*id));
    if let Some(id) = lost {
        return faults(&format!("mouldings.csv: {id:?} is missing (keep its row)"));
    }
    let mut files = files.clone();
    let all = |shop: &Shop| shop.frames.iter().map(plain).collect::<Vec<_>>();
    let text = match before.get("frames.csv").filter(|_| all(&shop) == all(old)) {
        Some(as_typed) => as_typed.clone(),
        None => write::frames(&shop).into_bytes(),
    };
    files.insert("frames.csv".to_owned(), text);
    let read = match source_files::without_rack(&files) {
        Ok(read) => read,
        Err(problem) => return faults(&problem.to_string()),
    };
    // What a kept ticket's size follows from must be there as it was.
    let moved = kept.keys().filter_map(|id| Some((id, old.frame(id)?)));
    for (id, was) in moved {
        if read.frame(id).map(shape) != Some(shape(was)) {
            return faults(&format!(
                "jobs.csv: {id:?} would get another size (leave its row as it was until then)"
            ));
        }
    }
    Ok(files)
}

/// Whether what is in the book still has the mouldings that it refers to, all faults
/// at once.
fn hangs(step: &Step, shop: &Shop, kept: &BTreeMap<String, String>) -> Result<(), BookError> {
    let mut faults = Vec::new();
    let mut orphans: BTreeMap<String, usize> = BTreeMap::new();
    for on in rack::all(step.db())? {
        if !shop.mouldings.contains_key(&on.stick.moulding) {
            *orphans.entry(on.stick.moulding).or_default() += 1;
        }
    }
    faults.extend(orphans.iter().map(|(moulding, count)| {
        format!("mouldings.csv: {moulding:?} is missing, and the book has {count} of its sticks (keep its row)")
    }));
    for line in on_order::all(step.db())? {
        if line.form != "sheet" && !shop.mouldings.contains_key(&line.moulding) {
            faults.push(format!(
                "mouldings.csv: {:?} is missing, and line {} of it is on order (keep its row, or give the line up)",
                line.moulding, line.line
            ));
        }
    }
    if faults.is_empty() {
        return Ok(());
    }
    faults.extend(kept.values().cloned());
    wrong(faults.join("\n"))
}

/// What is joined of a ticket cannot be of another shape.
fn joined(step: &Step, new: &Shop, frame: &Frame) -> Result<Option<String>, BookError> {
    let Some(now) = new.frame(&frame.id) else { return Ok(None) };
    let mut known = step.db().prepare_cached(
        "SELECT number FROM copy WHERE frame = ? AND state IN ('bench', 'owed')
         AND made IS NOT NULL ORDER BY number",
    )?;
    let rows = known.query_map([&frame.id], |row| row.get(0))?;
    let made = rows.collect::<Result<Vec<u32>, _>>()?;
    let is_other = |number: &u32| shape(frame) != shape(now) || *number > now.copies;
    Ok(made.into_iter().find(is_other).map(|number| {
        format!(
            "frames.csv: copy {number} of frame {} is joined and stays what it is (write what is \
             wanted now under a new number; if it was never joined, undo that first)",
            frame.id
        )
    }))
}

/// What is to be said if the rails that a supplier chops for a frame would not
/// fit it any more. A frame that is gone altogether needs none.
fn unfit(old: &Shop, new: &Shop, frame: &Frame) -> Option<String> {
    let now = new.frame(&frame.id)?;
    let (was, is) = (frame_rails(old, frame), frame_rails(new, now));
    let changed = |layer: &usize| {
        let of = |frame: &Frame| frame.layers.get(layer - 1).map(|layer| layer.moulding.clone());
        was.get(layer - 1) != is.get(layer - 1) || of(frame) != of(now) || frame.mitre != now.mitre
    };
    let supplied = frame.progress.supplied.keys().map(|(_, layer)| *layer);
    let layer = supplied.collect::<BTreeSet<usize>>().into_iter().find(changed)?;
    Some(format!(
        "frames.csv: frame {}: layer {layer} is chopped by a supplier, and would not be the same any \
         more (give up its line {} if it has not come, or write the frame under a new number)",
        frame.id,
        either(&format!("with \"longpoint order {THIS_BOOK} --drop\""), "under Orders")
    ))
}
