//! The nearest known spelling of an unknown word.

use std::cell::Cell;

/// How many comparisons one file's suggestions may cost in all, so that a file
/// of wrong references is read as fast as a good one.
const MOST_COMPARISONS: u32 = 400_000;
/// Longer words are no typing slips.
const MOST_LETTERS: usize = 40;

/// Finds near misses until its budget is spent.
#[derive(Debug)]
pub(in crate::shop) struct Suggest {
    left: Cell<u32>,
}

impl Suggest {
    pub(in crate::shop) fn new() -> Suggest {
        Suggest { left: Cell::new(MOST_COMPARISONS) }
    }

    /// The known word nearest to `word`, if few letters differ; the first of
    /// several equally near. Capitals do not count as different.
    pub(in crate::shop) fn near<'w>(
        &self,
        word: &str,
        known: impl IntoIterator<Item = &'w str>,
    ) -> Option<String> {
        let word = letters(word)?;
        let mut allowed = (word.chars().count() / 3).clamp(1, 2);
        let mut nearest = None;
        for candidate in known {
            self.left.set(self.left.get().checked_sub(1)?);
            let Some(letters) = letters(candidate) else { continue };
            if word.chars().count().abs_diff(letters.chars().count()) > allowed {
                continue;
            }
            // Letters left out, put in, changed or swapped with their neighbour.
            let apart = strsim::osa_distance(&word, &letters);
            if apart <= allowed && apart < letters.chars().count() {
                nearest = Some(candidate.to_owned());
                let Some(nearer) = apart.checked_sub(1) else { break };
                allowed = nearer;
            }
        }
        nearest
    }
}

/// The question in a fault's brackets, or the mend where nothing is near.
pub(in crate::shop) fn did_you_mean(near: &Option<String>, otherwise: &str) -> String {
    match near {
        Some(near) => format!("did you mean {near}?"),
        None => otherwise.to_owned(),
    }
}

/// The word in small letters, if it is one that a finger slipped on.
fn letters(word: &str) -> Option<String> {
    let count = word.chars().take(MOST_LETTERS + 1).count();
    (1..=MOST_LETTERS).contains(&count).then(|| word.to_ascii_lowercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_of_the_finger_is_recognised() {
        let known = ["ASH-20", "BLK-20", "width", "height"];
        let near = |word| Suggest::new().near(word, known);
        assert_eq!(near("AHS-20").as_deref(), Some("ASH-20"));
        assert_eq!(near("ash-20").as_deref(), Some("ASH-20"));
        assert_eq!(near("widht").as_deref(), Some("width"));
        assert_eq!(near("heigth").as_deref(), Some("height"));
        assert_eq!(near("walnut"), None);
        assert_eq!(near(""), None);
    }

    #[test]
    fn the_budget_ends_the_search_and_not_the_program() {
        let suggest = Suggest::new();
        suggest.left.set(3);
        assert_eq!(suggest.near("lto", ["any", "lot"]).as_deref(), Some("lot"));
        assert_eq!(suggest.near("lto", ["any", "lot"]), None);
    }
}
