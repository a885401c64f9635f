//! A cancelled ticket in words.

use std::path::Path;

use super::{left_behind, tickets};
use crate::book::Cancelled;
use crate::shop::Shop;

/// What cancelling a ticket came to.
pub fn cancelled_words((book, frame): (&Path, &str), shop: &Shop, cancelled: &Cancelled) -> String {
    let all = |copies: &[u32]| -> Vec<(String, u32)> {
        copies.iter().map(|copy| (frame.to_owned(), *copy)).collect()
    };
    let mut text = format!("Cancelled: {}.\n", tickets(shop, &all(&cancelled.copies)));
    if !cancelled.done.is_empty() {
        text += &format!("Chopped already: {}.\n", tickets(shop, &all(&cancelled.done)));
    }
    if !cancelled.made.is_empty() {
        text += &format!("Joined, and stays made: {}.\n", tickets(shop, &all(&cancelled.made)));
    }
    for line in &cancelled.lines {
        text += &format!(
            "Line {line} is on order, chopped, and was for it: ask the supplier; \"longpoint order {} \
             --drop {line}\" gives it up, --drop {line}=1 one frame of it, first what nobody waits for.\n",
            book.display()
        );
    }
    text + &left_behind(shop, &cancelled.spare, &cancelled.replaced)
}
