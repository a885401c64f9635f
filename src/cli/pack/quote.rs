//! What stood in an instance, short and plain enough to be said in a message.

use std::fmt;

/// Signs that are quoted at most; the rest is cut off and shown as `...`.
pub const MOST_SIGNS: usize = 40;

/// The beginning of something that was read, as it may stand in a message: one
/// line of at most [`MOST_SIGNS`] signs, with what cannot be seen written out.
///
/// ```
/// use longpoint::cli::pack::quote::Excerpt;
/// assert_eq!(Excerpt::new("16\u{a0}in").to_string(), "16\\u{a0}in");
/// assert_eq!(Excerpt::new(&"7".repeat(99)).to_string().len(), 43);
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Excerpt(String);

impl Excerpt {
    /// Takes the beginning of what was read.
    pub fn new(read: &str) -> Excerpt {
        let mut said = String::new();
        for (place, sign) in read.chars().enumerate() {
            if place == MOST_SIGNS {
                said.push_str("...");
                break;
            }
            match sign {
                ' ' => said.push(' '),
                _ if sign.is_control() || sign.is_whitespace() || is_unseen(sign) => {
                    said.extend(sign.escape_unicode());
                }
                _ => said.push(sign),
            }
        }
        Excerpt(said)
    }
}

/// Signs of no width, or that turn the direction of the line.
fn is_unseen(sign: char) -> bool {
    matches!(sign,
        '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}'..='\u{1160}' | '\u{17b4}'..='\u{17b5}'
        | '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}' | '\u{3164}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}'
        | '\u{ffa0}' | '\u{fff0}'..='\u{fffb}' | '\u{e0000}'..='\u{e0fff}')
}

impl fmt::Display for Excerpt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
