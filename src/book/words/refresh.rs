//! What was taken over of the shop's files, in words.

use super::{count, left_behind, tickets};
use crate::book::{Cancelled, Refreshed};
use crate::report;
use crate::shop::Shop;

/// Which files, which tickets, and what stays as it was.
pub fn refresh_lines(now: &Shop, refreshed: &Refreshed) -> Vec<String> {
    let files = refreshed.files.join(", ");
    let mut lines = vec![format!("Taken over: {files}. The rack stays as the book has it.")];
    if !refreshed.new.is_empty() {
        lines.push(format!("New: {}.", refreshed.new.join(", ")));
    }
    for (frame, what) in &refreshed.changed {
        lines.push(changed_words(now, frame, what).trim_end().to_owned());
    }
    lines.extend(refreshed.kept.iter().map(|why| format!("Not taken over: {why}")));
    lines.extend(refreshed.begun.iter().map(|(frame, all, left)| {
        format!(
            "{frame}: {all} in the file, {} of them at the bench or done, {left} still to be cut.",
            all - left
        )
    }));
    lines
}

/// A ticket that has another size or day, and what follows from that.
pub fn ticket_words(now: &Shop, frame: &str, changed: &Refreshed) -> String {
    let style = now.settings.style();
    let mut text = now.frame(frame).map_or(String::new(), |frame| {
        let due = frame.due.map(|due| format!(", wanted on {due}")).unwrap_or_default();
        format!("Ticket {}: {}{due}.\n", frame.id, report::words::size(frame, &style))
    });
    for (id, what) in &changed.changed {
        text += &changed_words(now, id, what);
    }
    for why in &changed.kept {
        text += &format!("Not taken over: {why}\n");
    }
    text
}

/// What became of the copies of a ticket that changed while they were cut.
fn changed_words(shop: &Shop, frame: &str, what: &Cancelled) -> String {
    let all = shop.frame(frame).map_or(0, |frame| frame.copies);
    let copies = |is_wanted: &dyn Fn(&u32) -> bool| -> Vec<(String, u32)> {
        let own = what.copies.iter().filter(|copy| is_wanted(copy));
        own.map(|copy| (frame.to_owned(), *copy)).collect()
    };
    let (back, gone) = (copies(&|copy| *copy <= all), copies(&|copy| *copy > all));
    let mut text = String::new();
    if !back.is_empty() {
        text += &format!("Changed, back on the pile: {}.\n", tickets(shop, &back));
    }
    if !gone.is_empty() {
        let gone = count(gone.len(), "copy is", "copies are");
        text += &format!("{frame}: {gone} not made any more.\n");
    }
    text + &left_behind(shop, what)
}
