//! What to look at in a job, typed.

use jiff::civil::Date;

use crate::measure::{Length, Weight};
use crate::shop::{Hang, MaterialKind};

/// Something in a job to look at before it is made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Concern {
    /// The package wants more depth than the rabbet has.
    Thick {
        /// With room for the points.
        wants: Length,
        /// What the rabbet has.
        depth: Length,
        /// The moulding of the rabbet, where it is that of a layer round others.
        outer: Option<String>,
        /// What would do.
        mends: Vec<String>,
    },
    /// What is in a floater is deeper than the floater.
    Proud {
        /// How far it stands out in front.
        by: Length,
        /// How deep the floater is.
        depth: Length,
        /// The shop's floaters that are deep enough.
        would_do: Vec<String>,
    },
    /// Glazing lies on the art; of a float, how high the art stands and how far off its
    /// board the glazing is kept.
    Touch(Option<(Length, Length)>),
    /// The art is hardly larger than what must hold it.
    FallsThrough {
        /// By how much in all, where it is least.
        beyond: Length,
        /// Whether that is the frame, and not a window.
        is_frame: bool,
    },
    /// The art is smaller than the package that the ticket gives, by so much at the most.
    Loose(Length),
    /// The package that the ticket gives lies across, and the art upright, or the other way.
    Turned {
        /// The package.
        package: (Length, Length),
        /// The art.
        art: (Length, Length),
    },
    /// A float without a margin: nothing of its board is seen, and its edge lies at the frame
    /// or the mat.
    NoMargin,
    /// A spacer is wider than what the lip hides.
    StripShows {
        /// How wide its strip is.
        strip: Length,
        /// What the lip hides.
        hidden: Length,
    },
    /// Acrylic has no room to move behind its lip.
    AcrylicTight {
        /// How much it moves, with clearance.
        moves: Length,
        /// The room that it has.
        room: Length,
    },
    /// Glass should be thicker for its size.
    GlassLarge {
        /// Whether it is the mirror.
        is_mirror: bool,
    },
    /// A sheet of a material is not as large as the piece.
    NoSheet {
        /// The material.
        material: String,
        /// What it is.
        kind: MaterialKind,
        /// The piece.
        size: (Length, Length),
    },
    /// The mat's border looks narrow beside the frame.
    BorderThin {
        /// What is seen of it.
        seen: Length,
        /// The frame's face.
        face: Length,
    },
    /// A wire with its hook hidden would be flatter than 30 degrees, or has no room at all.
    NoWire {
        /// Its angle in tenths of a degree; nothing where no rise is left.
        tenths: Option<u32>,
        /// The rise that 30 degrees want.
        wants: Length,
        /// The rise that there is.
        has: Length,
    },
    /// There is hardly wood for the screws of hangers.
    Narrow {
        /// How wide the wood is.
        wood: Length,
        /// The screw's diameter; nothing of a floater, whose wall takes none.
        screw: Option<Length>,
    },
    /// The wire bows the side rails.
    RailBows(Length),
    /// The lower rail sags.
    RailSags {
        /// By so much.
        sag: Length,
        /// On such a length.
        rail: Length,
    },
    /// No v-nail is low enough.
    NailTooLong,
    /// None of the shop's fixings of a kind holds it.
    Weak {
        /// The kind.
        kind: MaterialKind,
        /// What it must be rated for, or break at.
        needs: Weight,
    },
    /// Fixings without a load on them.
    NoRating(Vec<String>),
    /// It is heavy.
    Heavy {
        /// What it weighs.
        weight: Weight,
        /// What it hangs by.
        way: Option<Hang>,
        /// Whether it wants two people.
        two_people: bool,
    },
    /// It hangs from no picture rail, though one is written of its place: what it weighs, where
    /// that is why, and else it is what it is to hang by.
    NotOnRail(Option<Weight>),
    /// What it weighs is not known.
    NoWeight(Vec<String>),
    /// Glass hangs over people and is of no class of safety.
    OverPeople {
        /// Whether it is the mirror.
        is_mirror: bool,
    },
    /// It is heavy and hangs over people, whatever it is made of.
    HeavyOverPeople(Weight),
    /// The ticket says that the package is as thick as the first, and its layers add up to more.
    TooLittle(Length, Length),
    /// Large glass where the earth quakes.
    Quake,
    /// It is due before its glue has set.
    Glue {
        /// When it is due.
        due: Date,
        /// When it may be loaded.
        ready: Date,
    },
    /// Long canvas wants a cross bar.
    Stretcher,
    /// A package whose depth cannot be judged.
    NotMeasured(Vec<String>),
}

impl Concern {
    /// Its short name.
    pub const fn name(&self) -> &'static str {
        match self {
            Concern::Thick { .. } => "thick",
            Concern::Proud { .. } => "proud",
            Concern::Touch(_) => "touch",
            Concern::FallsThrough { .. } => "falls through",
            Concern::Loose(_) => "loose",
            Concern::Turned { .. } => "turned",
            Concern::NoMargin => "no margin",
            Concern::StripShows { .. } => "strip shows",
            Concern::AcrylicTight { .. } => "acrylic tight",
            Concern::GlassLarge { .. } => "glass large",
            Concern::NoSheet { kind, .. } if kind.is_glazing() => "light too big",
            Concern::NoSheet { .. } => "board too big",
            Concern::BorderThin { seen, .. } if !seen.is_positive() => "border hidden",
            Concern::BorderThin { .. } => "border thin",
            Concern::NoWire { tenths: Some(_), .. } => "wire flat",
            Concern::NoWire { tenths: None, .. } => "wire shows",
            Concern::Narrow { .. } => "narrow",
            Concern::RailBows(_) => "rail bows",
            Concern::RailSags { .. } => "rail sags",
            Concern::NailTooLong => "nail too long",
            Concern::Weak { kind: MaterialKind::Wire(_), .. } => "wire weak",
            Concern::Weak { kind: MaterialKind::Hook | MaterialKind::Cleat, .. } => "hook weak",
            Concern::Weak { .. } => "hanger weak",
            Concern::NoRating(_) => "no rating",
            Concern::Heavy { .. } => "heavy",
            Concern::NotOnRail(_) => "picture rail",
            Concern::NoWeight(_) => "no weight",
            Concern::OverPeople { .. } | Concern::HeavyOverPeople(_) => "over people",
            Concern::TooLittle(..) => "thickness",
            Concern::Quake => "quake",
            Concern::Glue { .. } => "glue",
            Concern::Stretcher => "stretcher",
            Concern::NotMeasured(_) => "not measured",
        }
    }
}
