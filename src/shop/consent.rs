//! What a customer consents to, read from what somebody wrote in haste.
//!
//! # Why a part with a no in it counts for nothing
//!
//! Trimmed paper cannot be made whole again. So the parts of the cell are read one by one, a
//! part counts for what it names, and one that says no anywhere counts for nothing, whatever
//! else is in it.

/// What needs a customer's word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ConsentTo {
    /// To cut something off the art.
    Trim,
    /// To mount it so that it comes off no more.
    Mount,
    /// To use an old frame, or parts of it, again.
    Reuse,
}

/// Words with which a part of the cell says no.
const NO: [&str; 16] = [
    "no", "not", "none", "never", "nothing", "nil", "without", "refused", "refuses", "declined",
    "declines", "unknown", "ask", "don't", "dont", "n/a",
];

/// How a word begins that names what is consented to, and what that is; hinges come off
/// again and need nobody's word.
const NAMED: [(&str, Option<ConsentTo>); 6] = [
    ("trim", Some(ConsentTo::Trim)),
    ("mount", Some(ConsentTo::Mount)),
    ("drymount", Some(ConsentTo::Mount)),
    ("reus", Some(ConsentTo::Reuse)),
    ("re-us", Some(ConsentTo::Reuse)),
    ("hing", None),
];

/// What stands in the cell of a job.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Consent {
    /// As it was typed.
    pub text: String,
}

impl Consent {
    /// Whether it is given for this.
    pub fn is_for(&self, what: ConsentTo) -> bool {
        self.parts().any(|part| !says_no(&part) && names(&part).any(|named| named == Some(what)))
    }

    /// Whether it is written, and neither says no nor names what it is for.
    pub fn is_unclear(&self) -> bool {
        let mut parts = self.parts().peekable();
        parts.peek().is_some() && parts.all(|part| !says_no(&part) && names(&part).count() == 0)
    }

    /// Its parts, each in small words.
    fn parts(&self) -> impl Iterator<Item = Vec<String>> {
        let parts = self.text.split([';', ',', '.', '+', '&', '\n']);
        let words = |part: &str| -> Vec<String> {
            let is_in = |c: char| c.is_alphanumeric() || matches!(c, '-' | '/' | '\'' | '?');
            let words = part.split(|c: char| !is_in(c)).filter(|word| !word.is_empty());
            words.map(str::to_lowercase).collect()
        };
        parts.map(words).filter(|words| !words.is_empty())
    }
}

fn says_no(part: &[String]) -> bool {
    part.iter().any(|word| NO.contains(&word.as_str()) || word.contains('?'))
}

fn names(part: &[String]) -> impl Iterator<Item = Option<ConsentTo>> {
    let named = |word: &String| {
        // A dry-mount is a mount.
        let word = word.strip_prefix("dry-").unwrap_or(word).to_owned();
        NAMED.iter().find(|(begins, _)| word.starts_with(begins)).map(|(_, what)| *what)
    };
    part.iter().filter_map(named)
}
