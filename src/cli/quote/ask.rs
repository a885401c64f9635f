//! What is asked, read from the command line.

use super::QuoteArgs;
use crate::measure::{Length, Mitre, parse_length};
use crate::quote::{Wish, WishedLayer};
use crate::shop::{Art, Kind, Shop, shown};

/// A frame has no more layers.
const MOST_LAYERS: usize = 9;

/// A wish for each moulding or stack that is named, or everything that is wrong.
pub(super) fn wishes(args: &QuoteArgs, shop: &Shop) -> Result<Vec<Wish>, String> {
    let mut wrong = Vec::new();
    let mut kept = |read: Result<Vec<WishedLayer>, Vec<String>>| match read {
        Ok(layers) => Some(layers),
        Err(faults) => {
            wrong.extend(faults);
            None
        }
    };
    let stacks: Vec<_> =
        args.moulding.iter().filter_map(|named| kept(stack(named, args, shop))).collect();
    let size = match (&args.size, args.sides) {
        (None, _) => Ok((Length::ZERO, Length::ZERO)),
        (Some(size), None | Some(4)) => shop.settings.read_size(size),
        (Some(size), Some(_)) => across(size, shop).map(|across| (across, across)),
    };
    if args.ticket.is_some() && args.moulding.len() > 1 {
        wrong.push("--ticket: a ticket is for one frame (name one moulding or stack)".to_owned());
    }
    let mitre = Mitre::new(args.sides.unwrap_or(4)).expect("clap holds sides to 3 to 16");
    let known = args.job.as_ref().filter(|id| !shop.jobs.contains_key(*id));
    wrong.extend(known.map(|id| {
        format!("--job: ticket {:?} has no job in jobs.csv (write its size with --size)", shown(id))
    }));
    match size {
        Ok((width, height)) if wrong.is_empty() => {
            let wish = |layers| Wish {
                layers,
                width,
                height,
                mitre,
                copies: args.copies,
                due: args.due,
                job: args.job.clone(),
            };
            let wishes: Vec<Wish> = stacks.into_iter().map(wish).collect();
            wrong.extend(wishes.iter().filter_map(|wish| unshown(wish, shop)));
            if wrong.is_empty() { Ok(wishes) } else { Err(wrong.join("\n")) }
        }
        Ok(_) => Err(wrong.join("\n")),
        Err(fault) => {
            wrong.push(format!("--size: {fault}"));
            Err(wrong.join("\n"))
        }
    }
}

/// What is wrong with a job in these mouldings.
fn unshown(wish: &Wish, shop: &Shop) -> Option<String> {
    let (job, inner) = (shop.jobs.get(wish.job.as_ref()?)?, &wish.layers.first()?.moulding);
    let is_floater = shop.moulding(inner).kind == Kind::Floater;
    let may_float = matches!(job.art, Art::Canvas | Art::Panel);
    let fits = wish.job_in(shop).is_some() && (may_float || !is_floater);
    (!fits).then(|| {
        format!(
            "--moulding: the job of {} cannot be shown in {inner} (name another, or quote a size)",
            job.frame
        )
    })
}

/// `BLK-20`, or `LNR-19 + BLK-20` from the inside out.
fn stack(named: &str, args: &QuoteArgs, shop: &Shop) -> Result<Vec<WishedLayer>, Vec<String>> {
    let (mut layers, mut wrong) = (Vec::new(), Vec::new());
    // A code may have a plus in it.
    let parted = if named.contains(" + ") { " + " } else { "+" };
    let is_one = shop.meant_moulding(named).is_ok();
    let parts = if is_one { vec![named] } else { named.split(parted).collect() };
    for part in parts.into_iter().map(str::trim) {
        let moulding = match shop.meant_moulding(part) {
            Ok(moulding) => moulding,
            Err(fault) => {
                wrong.push(format!("--moulding: {fault}"));
                continue;
            }
        };
        let gap = match (moulding.kind, &args.gap) {
            (Kind::Floater, None) => Err(format!(
                "--gap: {} is a floater (say how wide the gap is, such as --gap 1/4)",
                moulding.id
            )),
            (Kind::Floater, Some(text)) => {
                shop.settings.read_gap(text).map_err(|fault| format!("--gap: {fault}"))
            }
            (Kind::Rebated | Kind::Reversible, _) => Ok(Length::ZERO),
        };
        match gap {
            Ok(gap) => {
                layers.push(WishedLayer { moulding: moulding.id.clone(), gap, match_: args.match_ })
            }
            Err(fault) => wrong.push(fault),
        }
    }
    let is_floater = |layer: &WishedLayer| shop.moulding(&layer.moulding).kind == Kind::Floater;
    if args.gap.is_some() && wrong.is_empty() && !layers.iter().any(is_floater) {
        wrong.push(format!("--gap: {} is not a floater (leave --gap out)", shown(named)));
    }
    if layers.len() > MOST_LAYERS {
        wrong.push(format!("--moulding: no frame has more than {MOST_LAYERS} layers"));
    }
    if wrong.is_empty() { Ok(layers) } else { Err(wrong) }
}

/// The size across the flats of a polygon.
fn across(text: &str, shop: &Shop) -> Result<Length, String> {
    const MEND: &str = "(with --sides write the size across the flats, such as 12)";
    match parse_length(text, shop.settings.unit) {
        Ok(length) if length.is_positive() => Ok(length),
        Ok(_) => Err(format!("{:?} is not more than zero {MEND}", shown(text))),
        Err(fault) => Err(format!("{:?} {fault} {MEND}", shown(text))),
    }
}
