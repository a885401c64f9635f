//! Due dates for a calendar of the shop's own: RFC 5545, a day each, from memory of its
//! sections 3.1 (folding), 3.3.11 (escapes) and 3.6.1 (events).

use jiff::civil::Date;

use crate::shop::{Frame, Shop};

use super::words;

/// No line has more bytes than this, its end not counted.
const WIDEST: usize = 75;

/// Every frame that has a date and of which something is still to be made, as an event of
/// that whole day.
pub fn due_dates(shop: &Shop, today: Date) -> String {
    let mut lines = vec![
        "BEGIN:VCALENDAR".to_owned(),
        "VERSION:2.0".to_owned(),
        "PRODID:-//Longpoint//Due dates//EN".to_owned(),
    ];
    for (frame, due) in shop.frames.iter().filter_map(|frame| Some((frame, frame.due?))) {
        if frame.left() > 0 {
            event(&mut lines, (frame, due), today, shop);
        }
    }
    lines.push("END:VCALENDAR".to_owned());
    lines.iter().flat_map(|line| [folded(line), "\r\n".to_owned()]).collect()
}

fn event(lines: &mut Vec<String>, (frame, due): (&Frame, Date), today: Date, shop: &Shop) {
    let style = shop.settings.style();
    let size = match frame.mitre.sides() {
        4 => format!("{} x {}", style.show(frame.width), style.show_unit(frame.height)),
        sides => format!("{sides} sides, {}", style.show_unit(frame.width)),
    };
    let mouldings: Vec<&str> = frame.layers.iter().map(|layer| layer.moulding.as_str()).collect();
    let count =
        words::count(usize::try_from(frame.left()).unwrap_or(usize::MAX), "frame", "frames");
    let due_or_promised = if frame.promised { "promised" } else { "due" };
    let basic = |date: Date| date.strftime("%Y%m%d").to_string();
    lines.push("BEGIN:VEVENT".to_owned());
    lines.push(format!("UID:{}@{}.longpoint", plain(&frame.id), plain(&shop.settings.name)));
    lines.push(format!("DTSTAMP:{}T000000Z", basic(today)));
    lines.push(format!("DTSTART;VALUE=DATE:{}", basic(due)));
    lines.push("TRANSP:TRANSPARENT".to_owned());
    let mouldings = mouldings.join(" + ");
    lines.push(format!(
        "SUMMARY:{}",
        escaped(&format!("{} {due_or_promised}: {count}, {size}, {mouldings}", frame.id))
    ));
    if !frame.note.is_empty() {
        lines.push(format!("DESCRIPTION:{}", escaped(&frame.note)));
    }
    lines.push("END:VEVENT".to_owned());
}

/// A text with what has a meaning of its own marked.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    for sign in text.chars() {
        match sign {
            '\\' | ';' | ',' => out.extend(['\\', sign]),
            '\n' => out.push_str("\\n"),
            sign if sign.is_control() => {}
            sign => out.push(sign),
        }
    }
    out
}

/// A name as a part of an event's own name: letters and digits, all else by its number.
fn plain(text: &str) -> String {
    let sign = |sign: char| match sign.is_ascii_alphanumeric() {
        true => sign.to_string(),
        false => format!("-{:x}-", u32::from(sign)),
    };
    text.chars().map(sign).collect()
}

/// A line broken where it is too long; what goes on begins with a blank.
fn folded(line: &str) -> String {
    let mut out = String::new();
    let mut wide = 0;
    for sign in line.chars() {
        if wide + sign.len_utf8() > WIDEST {
            out.push_str("\r\n ");
            wide = 1;
        }
        out.push(sign);
        wide += sign.len_utf8();
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_broken_between_signs_and_come_back_whole() {
        let long = "SUMMARY:".to_owned() + &"für, ".repeat(40);
        let out = folded(&long);
        assert!(out.split("\r\n").all(|line| line.len() <= WIDEST), "{out}");
        assert!(out.split("\r\n").skip(1).all(|line| line.starts_with(' ')));
        assert_eq!(out.replace("\r\n ", ""), long);
        assert_eq!(folded("BEGIN:VEVENT"), "BEGIN:VEVENT");
    }

    #[test]
    fn what_has_a_meaning_is_marked() {
        assert_eq!(escaped("a, b; c\\ d\nBEGIN:VEVENT"), "a\\, b\\; c\\\\ d\\nBEGIN:VEVENT");
        assert_eq!(plain("4103 b"), "4103-20-b");
    }
}
