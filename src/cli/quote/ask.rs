//! What is asked, read from the command line.

use super::QuoteArgs;
use crate::quote::{TypedWish, Wish};
use crate::shop::Shop;

/// A wish for each moulding or stack that is named, or everything that is wrong.
pub(super) fn wishes(args: &QuoteArgs, shop: &Shop) -> Result<Vec<Wish>, String> {
    let asked = TypedWish {
        mark: "--",
        mouldings: &args.moulding,
        size: args.size.as_deref(),
        sides: args.sides,
        gap: args.gap.as_deref(),
        copies: args.copies,
        match_: args.match_,
        due: args.due,
        job: args.job.as_deref(),
    };
    let read = crate::quote::wishes(&asked, shop);
    let several = args.ticket.is_some() && args.moulding.len() > 1;
    let several = several
        .then(|| "--ticket: a ticket is for one frame (name one moulding or stack)".to_owned());
    match (read, several) {
        (Ok(wishes), None) => Ok(wishes),
        (read, several) => {
            let wrong = read.err().unwrap_or_default();
            // What is wrong with the size is said last.
            let (size, others): (Vec<String>, Vec<String>) =
                wrong.into_iter().partition(|fault| fault.starts_with("--size: "));
            Err([others, several.into_iter().collect(), size].concat().join("\n"))
        }
    }
}
