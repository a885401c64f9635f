//! What is asked at the counter, as it is typed.

use jiff::civil::Date;

use super::{Wish, WishedLayer};
use crate::measure::{Length, Mitre, parse_length};
use crate::shop::{Art, BuildOutMisfit, Frame, Kind, Match, Shop, shown};

/// A frame has no more layers.
const MOST_LAYERS: usize = 9;

/// What is asked, as it is typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TypedWish<'a> {
    /// What stands before the name of a field where it is spoken of, such as `--`.
    pub mark: &'a str,
    /// The mouldings by code or name, each a stack where there is a plus in it.
    pub mouldings: &'a [String],
    /// The package's size; of a polygon its size across; nothing where a job says it.
    pub size: Option<&'a str>,
    /// How many sides, from 3 to 16; 4 if nothing is said.
    pub sides: Option<u8>,
    /// Of a floater, the gap on each side.
    pub gap: Option<&'a str>,
    /// How many alike.
    pub copies: u32,
    /// How alike the rails must be.
    pub match_: Option<Match>,
    /// When it is wanted.
    pub due: Option<Date>,
    /// The ticket whose job it is.
    pub job: Option<&'a str>,
}

/// A wish for each moulding or stack that is named, or everything that is wrong: of which
/// field, and what.
///
/// # Errors
/// As above.
pub fn wishes(asked: &TypedWish, shop: &Shop) -> Result<Vec<Wish>, Vec<String>> {
    let mut wrong = Vec::new();
    let mark = asked.mark;
    let mut kept = |read: Result<Vec<WishedLayer>, Vec<String>>| match read {
        Ok(layers) => Some(layers),
        Err(faults) => {
            wrong.extend(faults);
            None
        }
    };
    let stacks: Vec<_> =
        asked.mouldings.iter().filter_map(|named| kept(stack(named, asked, shop))).collect();
    let size = match (asked.size, asked.sides) {
        (None, _) => Ok((Length::ZERO, Length::ZERO)),
        (Some(size), None | Some(4)) => shop.settings.read_size(size),
        (Some(size), Some(_)) => across(size, mark, shop).map(|across| (across, across)),
    };
    let mitre = match Mitre::new(asked.sides.unwrap_or(4)) {
        Some(mitre) => mitre,
        None => {
            wrong.push(format!("{mark}sides: a frame has 3 to 16 sides"));
            Mitre::SQUARE
        }
    };
    let unknown = asked.job.filter(|id| !shop.jobs.contains_key(*id));
    wrong.extend(unknown.map(|id| {
        format!(
            "{mark}job: ticket {:?} has no job in jobs.csv (write its size with {mark}size)",
            shown(id)
        )
    }));
    match size {
        Ok((width, height)) if wrong.is_empty() => {
            let wish = |layers| Wish {
                layers,
                width,
                height,
                mitre,
                copies: asked.copies,
                due: asked.due,
                job: asked.job.map(str::to_owned),
            };
            let wishes: Vec<Wish> = stacks.into_iter().map(wish).collect();
            wrong.extend(wishes.iter().filter_map(|wish| built_wrong(wish, mark, shop)));
            wrong.extend(wishes.iter().filter_map(|wish| unshown(wish, mark, shop)));
            if wrong.is_empty() { Ok(wishes) } else { Err(wrong) }
        }
        Ok(_) => Err(wrong),
        Err(fault) => {
            wrong.push(format!("{mark}size: {fault}"));
            Err(wrong)
        }
    }
}

/// A build-out that cannot lie where it is named.
fn built_wrong(wish: &Wish, mark: &str, shop: &Shop) -> Option<String> {
    let mut before = None;
    for moulding in wish.layers.iter().map(|layer| shop.moulding(&layer.moulding)) {
        if let Some(misfit) = BuildOutMisfit::of(moulding, before, Some(wish.mitre)) {
            return Some(format!("{mark}moulding: {} {misfit}", moulding.id));
        }
        before = before.filter(|_| moulding.kind == Kind::BuildOut).or(Some(moulding));
    }
    None
}

/// What is wrong with a job in these mouldings.
fn unshown(wish: &Wish, mark: &str, shop: &Shop) -> Option<String> {
    let (job, inner) = (shop.jobs.get(wish.job.as_ref()?)?, &wish.layers.first()?.moulding);
    let is_floater = shop.moulding(inner).kind == Kind::Floater;
    let may_float = matches!(job.art, Art::Canvas | Art::Panel);
    let fits = wish.job_in(shop).is_some() && (may_float || !is_floater);
    (!fits).then(|| {
        format!(
            "{mark}moulding: the job of {} cannot be shown in {inner} (name another, or quote a \
             size)",
            job.frame
        )
    })
}

/// `BLK-20`, or `LNR-19 + BLK-20` from the inside out.
fn stack(named: &str, asked: &TypedWish, shop: &Shop) -> Result<Vec<WishedLayer>, Vec<String>> {
    let mark = asked.mark;
    let (mut layers, mut wrong) = (Vec::new(), Vec::new());
    // A code may have a plus in it.
    let parted = if named.contains(" + ") { " + " } else { "+" };
    let parts = || named.split(parted).map(str::trim);
    // A plus with nothing beside it is a moulding that was left out, not a part of a code.
    let is_code = shop.mouldings.contains_key(named);
    if !is_code && named.contains('+') && parts().chain(named.split(" +")).any(str::is_empty) {
        return Err(vec![format!(
            "{mark}moulding: a moulding is missing beside the plus of {:?} (write it as INNER + OUTER)",
            shown(named)
        )]);
    }
    let is_one = shop.meant_moulding(named).is_ok();
    let parts = if is_one { vec![named] } else { parts().collect() };
    for part in parts.into_iter().map(str::trim) {
        let moulding = match shop.meant_moulding(part) {
            Ok(moulding) => moulding,
            Err(fault) => {
                wrong.push(format!("{mark}moulding: {fault}"));
                continue;
            }
        };
        let gap = match (moulding.kind, asked.gap) {
            (Kind::Floater, None) => Err(format!(
                "{mark}gap: {} is a floater (say how wide the gap is, such as {mark}gap {})",
                moulding.id,
                shop.settings.example("1/4", "6")
            )),
            (Kind::Floater, Some(text)) => {
                shop.settings.read_gap(text).map_err(|fault| format!("{mark}gap: {fault}"))
            }
            (Kind::Rebated | Kind::Reversible | Kind::BuildOut, _) => Ok(Length::ZERO),
        };
        match gap {
            Ok(gap) => layers.push(WishedLayer {
                moulding: moulding.id.clone(),
                gap,
                match_: asked.match_,
            }),
            Err(fault) => wrong.push(fault),
        }
    }
    let is_floater = |layer: &WishedLayer| shop.moulding(&layer.moulding).kind == Kind::Floater;
    if asked.gap.is_some() && wrong.is_empty() && !layers.iter().any(is_floater) {
        wrong.push(format!("{mark}gap: {} is not a floater (leave {mark}gap out)", shown(named)));
    }
    if layers.len() > MOST_LAYERS {
        wrong.push(format!("{mark}moulding: no frame has more than {MOST_LAYERS} layers"));
    }
    if wrong.is_empty() { Ok(layers) } else { Err(wrong) }
}

/// Another size of a ticket, as it is typed: width and height, or across the flats.
///
/// # Errors
/// What was read and how to write it.
pub fn another_size(text: &str, frame: &Frame, shop: &Shop) -> Result<(Length, Length), String> {
    match frame.mitre == Mitre::SQUARE {
        true => shop.settings.read_size(text),
        false => across(text, "", shop).map(|across| (across, across)),
    }
}

/// The size across the flats of a polygon.
fn across(text: &str, mark: &str, shop: &Shop) -> Result<Length, String> {
    let such = shop.settings.example("12", "300");
    let mend = format!("(with {mark}sides write the size across the flats, such as {such})");
    match parse_length(text, shop.settings.unit) {
        Ok(length) if length.is_positive() => Ok(length),
        Ok(_) => Err(format!("{:?} is not more than zero {mend}", shown(text))),
        Err(fault) => Err(format!("{:?} {fault} {mend}", shown(text))),
    }
}
