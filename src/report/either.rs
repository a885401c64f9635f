//! How one goes on, said in two ways: as it is typed, and as it is pressed on the shop's page.
//!
//! # Why both stand where it is said
//!
//! What refuses something knows how it is mended, and not who asks. So it says both, and
//! whoever shows it takes one: a page never talks of commands, nor a command of presses.

/// Begin, part and end the two ways: no word that is typed has these.
const MARKS: [char; 3] = ['\u{2}', '\u{3}', '\u{4}'];

/// As it is typed, and as it is pressed.
pub fn either(typed: &str, pressed: &str) -> String {
    let [begin, or, end] = MARKS;
    format!("{begin}{typed}{or}{pressed}{end}")
}

/// Words for whoever types.
pub fn typed(words: &str) -> String {
    chosen(words, |typed, _| typed)
}

/// Words for whoever presses.
pub fn pressed(words: &str) -> String {
    chosen(words, |_, pressed| pressed)
}

fn chosen<'a>(words: &'a str, choose: impl Fn(&'a str, &'a str) -> &'a str) -> String {
    let [begin, or, end] = MARKS;
    let mut parts = words.split(begin);
    let mut text = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let (ways, rest) = part.split_once(end).unwrap_or((part, ""));
        let (typed, pressed) = ways.split_once(or).unwrap_or((ways, ways));
        text.push_str(choose(typed, pressed));
        text.push_str(rest);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_is_told_its_own_way() {
        let both = format!("a ({}), b {}.", either("longpoint x", "X"), either("--y", "Y"));
        assert_eq!(typed(&both), "a (longpoint x), b --y.");
        assert_eq!(pressed(&both), "a (X), b Y.");
        assert_eq!(typed("as it was"), "as it was");
    }
}
