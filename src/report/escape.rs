//! Text that a page or a terminal shows and never obeys.

/// The text without what would steer a terminal or turn its reading direction.
pub(crate) fn clean(text: &str) -> String {
    let steers = |c: char| {
        c.is_control()
            || matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
    };
    text.chars().map(|c| if steers(c) { '?' } else { c }).collect()
}

/// Text for an element or a quoted attribute of a page.
pub(crate) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in clean(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            other => out.push(other),
        }
    }
    out
}

/// A word as it stands in a path.
pub(crate) fn spelt(word: &str) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"-_~".contains(&byte);
    let each = word.bytes().map(|byte| {
        if plain(byte) { char::from(byte).to_string() } else { format!("%{byte:02X}") }
    });
    each.collect()
}

/// Prose for a page: a length and its unit stay on one line.
pub(crate) fn prose(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for (at, word) in escape(text).split(' ').enumerate() {
        let unit = matches!(word.trim_end_matches([',', ';', '.', ':']), "in" | "mm");
        let of_a_figure = unit && out.ends_with(|c: char| c.is_ascii_digit());
        if at > 0 {
            out.push(if of_a_figure { '\u{a0}' } else { ' ' });
        }
        out.push_str(word);
    }
    out
}

/// A shown length with its fraction set smaller: `19 5/8` reads as one figure
/// at arm's length.
pub(crate) fn figure(shown: &str) -> String {
    match shown.rsplit_once(' ') {
        Some((whole, part)) if part.contains('/') => {
            format!("{} <span class=\"part\">{}</span>", escape(whole), fraction(part))
        }
        _ if shown.contains('/') => format!("<span class=\"part\">{}</span>", fraction(shown)),
        _ => escape(shown),
    }
}

/// `5/8` with its figures above and below a slanting line.
fn fraction(part: &str) -> String {
    match part.split_once('/') {
        Some((above, below)) => {
            format!("<sup>{}</sup>/<sub>{}</sub>", escape(above), escape(below))
        }
        None => escape(part),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_page_could_obey_is_spelt_out() {
        assert_eq!(
            escape("<script>alert('a & \"b\"')</script>\u{7}"),
            "&lt;script&gt;alert(&#39;a &amp; &quot;b&quot;&#39;)&lt;/script&gt;?"
        );
    }

    #[test]
    fn a_label_is_one_part_of_a_path() {
        assert_eq!(spelt("S-201"), "S-201");
        assert_eq!(spelt("../a b/ü?"), "%2E%2E%2Fa%20b%2F%C3%BC%3F");
    }

    #[test]
    fn a_figure_keeps_its_parts_in_order() {
        assert_eq!(figure("412.5"), "412.5");
        assert_eq!(figure("19 5/8"), "19 <span class=\"part\"><sup>5</sup>/<sub>8</sub></span>");
        assert_eq!(figure("3/4"), "<span class=\"part\"><sup>3</sup>/<sub>4</sub></span>");
    }

    #[test]
    fn a_unit_stays_with_its_figure() {
        assert_eq!(
            prose("4 sticks, 9 1/2 in, kept in A & B"),
            "4 sticks, 9 1/2\u{a0}in, kept in A &amp; B"
        );
        assert_eq!(prose("of 2440 mm"), "of 2440\u{a0}mm");
    }

    #[test]
    fn a_name_cannot_steer_the_terminal() {
        assert_eq!(clean("a\u{1b}[2Jb\u{202e}c\nd"), "a?[2Jb?c?d");
    }
}
