//! What can be wrong in jobs and materials, each with its mend.

use crate::measure::WeightError;

/// The mend of a package that lies the other way than its art.
fn turned(is_turned: bool) -> &'static str {
    if is_turned {
        "are width and height the wrong way round? Mend it here or there; else "
    } else {
        ""
    }
}

/// What can be wrong with a job or a material.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum JobMistake {
    /// No weight.
    #[error(transparent)]
    Weight(#[from] WeightError),
    /// A material of another kind than is wanted.
    #[error("is a {is} in materials.csv (name a {wanted})")]
    OtherKind {
        /// What it is.
        is: &'static str,
        /// What belongs there.
        wanted: &'static str,
    },
    /// A fillet that was not measured for a mat.
    #[error("has no seen width in mouldings.csv (write there how much of it is seen in a mat)")]
    NotSeen,
    /// A fillet that shows more than there is of it.
    #[error("is not less than the width (it is the part of a fillet that is seen in a mat)")]
    SeenTooWide,
    /// A rabbet that would come out at the face.
    #[error(
        "is not less than the height (the rabbet, or a floater's inside, is a part of the height; are \
         the two the wrong way round?)"
    )]
    TooDeep,
    /// Borders that are none.
    #[error("is no border (write one length, or four as left; top; right; bottom)")]
    Border,
    /// A reveal that is none.
    #[error("is no reveal (write one length, or two as sides; bottom)")]
    Reveal,
    /// A mat that is none.
    #[error(
        "{part:?} is no mat (write codes of materials.csv, outermost first, each further one with its \
         reveal: OFF-WHITE; BLACK 1/4)"
    )]
    Mats {
        /// What could not be read.
        part: String,
    },
    /// An image that is larger than its sheet.
    #[error("is more than the art's own (it is what is to be seen of it)")]
    LargerThanArt,
    /// A word of a list that is none.
    #[error("{part:?} is not one of {known} (write these words, parted by ;)")]
    Places {
        /// What could not be read.
        part: String,
        /// The words.
        known: String,
    },
    /// A frame of other than four sides.
    #[error("is a frame of other than four sides (give its size in frames.csv, without a job)")]
    NotFourSides,
    /// A moulding that does not hold what is shown.
    #[error("does not go with {moulding} ({why})")]
    OtherMoulding {
        /// The innermost moulding.
        moulding: String,
        /// Why not, and the mend.
        why: &'static str,
    },
    /// A window without an opening.
    #[error("leaves no opening in the mat (write less)")]
    NoOpening,
    /// Art that falls through its window.
    #[error(
        "makes the opening {opening}, and the art is no larger: it would fall through (write less, or \
         show it as a float)"
    )]
    FallsThrough {
        /// The opening.
        opening: String,
    },
    /// A package that is given and has no room for a border.
    #[error(
        "gives the mat no border, since its opening is {opening} ({}write a larger package in \
         frames.csv, or leave width and height empty there)",
        turned(*is_turned)
    )]
    NoBorder {
        /// The opening.
        opening: String,
        /// Whether it would hold the art the other way round.
        is_turned: bool,
    },
    /// A package that is given and covers the float.
    #[error(
        "is more than is seen of the package, {sight} ({}write a larger package in frames.csv, or leave \
         width and height empty there)",
        turned(*is_turned)
    )]
    Covered {
        /// What is seen.
        sight: String,
        /// Whether it would hold the art the other way round.
        is_turned: bool,
    },
    /// A package that is given and does not hold the art.
    #[error(
        "is more than the package in frames.csv, {package} ({}, or leave width and height empty \
         there)",
        if *is_turned { "are width and height the wrong way round? Mend it here or there" } else { "mend it there" }
    )]
    TooLarge {
        /// The package.
        package: String,
        /// Whether it would hold the art the other way round.
        is_turned: bool,
    },
    /// A package that follows from its borders and does not hold the art.
    #[error(
        "is more than the package that its window and borders make, {package} (write a wider border: the \
         art lies behind the mat with all of it, and is neither folded nor trimmed)"
    )]
    BeyondBorders {
        /// The package.
        package: String,
    },
    /// A package that is given and lets the art through.
    #[error(
        "is no more than is seen of the package, {sight}: it would fall through the frame (mend the \
         package in frames.csv, leave width and height empty there, or show it as a float)"
    )]
    ThroughFrame {
        /// What is seen.
        sight: String,
    },
    /// A package beyond all bounds.
    #[error("makes the package longer than 50 m (is the unit right?)")]
    Absurd,
    /// A size of which a sheet is none.
    #[error("is no list of sizes (write them as 32x40; 40x60)")]
    Sheets,
    /// A price for another unit than the kind is sold by.
    #[error("is no unit for a {kind} (write {allowed})")]
    WrongPer {
        /// What it is.
        kind: &'static str,
        /// What fits.
        allowed: String,
    },
}
