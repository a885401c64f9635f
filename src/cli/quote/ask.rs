//! What is asked, read from the command line.

use jiff::civil::Date;

use super::QuoteArgs;
use crate::quote::{TypedWish, Wish};
use crate::shop::Shop;

/// A wish for each moulding or stack that is named, or everything that is wrong.
pub(super) fn wishes(
    (args, due): (&QuoteArgs, Result<Option<Date>, String>),
    shop: &Shop,
) -> Result<Vec<Wish>, String> {
    let asked = TypedWish {
        mark: "--",
        mouldings: &args.moulding,
        size: args.size.as_deref(),
        sides: args.sides,
        gap: args.gap.as_deref(),
        copies: args.copies,
        match_: args.match_,
        due: due.as_ref().ok().copied().flatten(),
        job: args.job.as_deref(),
    };
    let read = crate::quote::wishes(&asked, shop);
    let several = args.ticket.is_some() && args.moulding.len() > 1;
    let several = several
        .then(|| "--ticket: a ticket is for one frame (name one moulding or stack)".to_owned());
    let others: Vec<String> = several.into_iter().chain(due.err()).collect();
    match read {
        Ok(wishes) if others.is_empty() => Ok(wishes),
        read => {
            let wrong = read.err().unwrap_or_default();
            // What is wrong with the size is said last.
            let (size, first): (Vec<String>, Vec<String>) =
                wrong.into_iter().partition(|fault| fault.starts_with("--size: "));
            Err([first, others, size].concat().join("\n"))
        }
    }
}
