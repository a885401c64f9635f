//! Sheet goods: boards and glass as they stand there, and the pieces wanted of them.

use crate::measure::Length;

/// How a material is parted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Parting {
    /// Scored and broken: glass.
    Scored,
    /// Cut with a knife: boards.
    Knife,
    /// Sawn: acrylic, hardboard.
    Sawn,
}

/// How one material is cut, and what is kept of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SheetRules {
    /// What parts it, if the shop says so.
    pub parting: Option<Parting>,
    /// The least short side of a remnant that goes back.
    pub keep: Length,
    /// Its least long side.
    pub keep_long: Length,
    /// What a cut turns to dust.
    pub kerf: Length,
    /// The narrowest strip that can be taken off.
    pub least_strip: Length,
    /// Whether a grain or a pattern makes one way up another, so that nothing is turned.
    pub grain: bool,
    /// Whether it is toughened: made to the size that is wanted, and never cut after that.
    pub made_to_size: bool,
}

/// What is kept where the shop says nothing: from 8 in on. Our own figure: in made-up weeks
/// cut by the habit, a rack of remnants from 12 in on bought a tenth more glass, and one from
/// 6 in on a fiftieth less (`benches/RESULTS.md`).
pub const USUAL_KEEP: Length = Length::from_64ths(8 * 64);

impl Default for SheetRules {
    fn default() -> SheetRules {
        SheetRules {
            parting: None,
            keep: USUAL_KEEP,
            keep_long: USUAL_KEEP,
            kerf: Length::ZERO,
            least_strip: Length::ZERO,
            grain: false,
            made_to_size: false,
        }
    }
}

impl SheetRules {
    /// The same where any strip comes off.
    #[must_use]
    pub fn unbroken(&self) -> SheetRules {
        SheetRules { least_strip: Length::ZERO, ..*self }
    }

    /// Whether a remnant of this size goes back; a pane that is never cut always does.
    pub fn keeps(&self, width: Length, height: Length) -> bool {
        let is_large = width.min(height) >= self.keep && width.max(height) >= self.keep_long;
        is_large || self.made_to_size
    }
}

/// Whole sheets alike, or a remnant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetStock {
    /// What stands on it.
    pub label: String,
    /// Of what it is.
    pub material: String,
    /// How wide it is.
    pub width: Length,
    /// How high.
    pub height: Length,
    /// Whether these are whole sheets as they are bought, of which more can be had.
    pub whole: bool,
    /// How many stand there; a remnant is one.
    pub count: u32,
    /// Where.
    pub place: String,
    /// Anything else.
    pub note: String,
}

impl SheetStock {
    /// Sheets of a size that can be bought, and of which none stands there.
    pub fn none_of(material: &str, (width, height): (Length, Length)) -> SheetStock {
        SheetStock {
            label: material.to_owned(),
            material: material.to_owned(),
            width,
            height,
            whole: true,
            count: 0,
            place: String::new(),
            note: String::new(),
        }
    }
}

/// The one word for what a piece is, whatever a list calls it: glass and acrylic are the
/// glazing of their ticket.
pub fn piece_word(what: &str) -> String {
    let what = what.trim();
    let is_glazing =
        ["glass", "acrylic", "glazing"].iter().any(|word| word.eq_ignore_ascii_case(what));
    if is_glazing { "glazing".to_owned() } else { what.to_owned() }
}

/// A piece that is wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetPiece {
    /// The ticket that it is for.
    pub ticket: String,
    /// Of what it is cut.
    pub material: String,
    /// What it is: glazing, mat, backing.
    pub what: String,
    /// How wide it is.
    pub width: Length,
    /// How high.
    pub height: Length,
    /// How many alike.
    pub count: u32,
    /// How many of them are cut already; none in a list as it was typed.
    pub cut: u32,
    /// Whether it may lie either way; not where there is a grain, a weave or a pattern.
    pub turn: bool,
    /// What falls out of its window and can be used, where it has one that is known.
    pub drop_out: Option<(Length, Length)>,
}
