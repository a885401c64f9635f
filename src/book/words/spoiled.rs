//! What is of no use any more, in words.

use super::stick::again;
use super::{rail, ticket};
use crate::book::{Book, BookError, Spoilt};
use crate::shop::Shop;

/// What was spoiled, and whose turn it is now: the plan at the bench, or the next one.
///
/// # Errors
/// If the book cannot be read.
pub fn spoiled_words(book: &Book, spoilt: &Spoilt) -> Result<String, BookError> {
    let names = names(&book.shop()?, spoilt);
    let are = if names.len() == 1 { "is" } else { "are" };
    let is_at_bench = book.bench()?.iter().any(|plan| plan.copies.contains(&spoilt.copy));
    let on = match is_at_bench {
        true => again(book.path()),
        false => "It is back on the pile; the next plan has it".to_owned(),
    };
    Ok(format!("{} {are} spoiled and owed. {on}.", names.join(", ")))
}

fn names(shop: &Shop, spoilt: &Spoilt) -> Vec<String> {
    let (id, copy) = &spoilt.copy;
    let ticket = ticket(shop, id, *copy);
    let is_stack = shop.frame(id).is_some_and(|frame| frame.layers.len() > 1);
    let chopped = spoilt.chops.iter().map(|layer| match is_stack {
        true => format!("{ticket} layer {layer}, which came chopped,"),
        false => format!("{ticket}, which came chopped,"),
    });
    spoilt.rails.iter().map(|of| rail(shop, of)).chain(chopped).collect()
}
