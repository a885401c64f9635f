//! What to look at in a job, typed, and the words for it.

use jiff::civil::Date;

use crate::measure::{Length, LengthStyle, Weight};

/// Something in a job to look at before it is made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Concern {
    /// The package wants more depth than the rabbet has.
    Thick {
        /// With room for the points.
        wants: Length,
        /// What the rabbet has.
        depth: Length,
    },
    /// Glazing lies on the art.
    Touch,
    /// The art is hardly larger than its window.
    FallsThrough {
        /// By how much in all, where it is least.
        beyond: Length,
    },
    /// A spacer is wider than what the lip hides.
    StripShows {
        /// How wide its strip is.
        strip: Length,
        /// What the lip hides.
        hidden: Length,
    },
    /// Glass should be thicker for its size.
    GlassLarge,
    /// A sheet of a material is not as large as the piece.
    NoSheet {
        /// The material.
        material: String,
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
    /// A wire with its hook hidden would be flatter than 30 degrees.
    WireFlat {
        /// Its angle in tenths of a degree; nothing where no rise is left.
        tenths: Option<u32>,
        /// The rise that 30 degrees want.
        wants: Length,
        /// The rise that there is.
        has: Length,
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
        kind: &'static str,
        /// What it must be rated for, or break at.
        needs: Weight,
    },
    /// Fixings without a load on them.
    NoRating(Vec<String>),
    /// It is heavy.
    Heavy {
        /// What it weighs.
        weight: Weight,
        /// Whether it wants two people.
        two_people: bool,
    },
    /// Its weight is not known.
    NoWeight(Vec<String>),
    /// Glass that is of no safety class is over people.
    OverPeople,
    /// Glass is large where the earth quakes.
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
            Concern::Touch => "touch",
            Concern::FallsThrough { .. } => "falls through",
            Concern::StripShows { .. } => "strip shows",
            Concern::GlassLarge => "glass large",
            Concern::NoSheet { .. } => "too big",
            Concern::BorderThin { .. } => "border thin",
            Concern::WireFlat { .. } => "wire flat",
            Concern::RailBows(_) => "rail bows",
            Concern::RailSags { .. } => "rail sags",
            Concern::NailTooLong => "nail too long",
            Concern::Weak { .. } => "weak",
            Concern::NoRating(_) => "no rating",
            Concern::Heavy { .. } => "heavy",
            Concern::NoWeight(_) => "no weight",
            Concern::OverPeople => "over people",
            Concern::Quake => "quake",
            Concern::Glue { .. } => "glue",
            Concern::Stretcher => "stretcher",
            Concern::NotMeasured(_) => "not measured",
        }
    }

    /// What it is and what to do about it.
    pub fn words(&self, style: &LengthStyle) -> String {
        let show = |length: &Length| style.show_unit(*length);
        match self {
            Concern::Thick { wants, depth } => format!(
                "The package wants {} of depth with its points, and the rabbet has {}: build the \
                 back out, or take a deeper moulding.",
                show(wants),
                show(depth)
            ),
            Concern::Touch => "The glazing lies on the art: put a mat or a spacer between them.".into(),
            Concern::FallsThrough { beyond } => format!(
                "The art is only {} larger than its window: it may fall through. Hinge it well, or \
                 cut the window smaller.",
                style.show_down_unit(*beyond)
            ),
            Concern::StripShows { strip, hidden } => format!(
                "The spacer's strip is {} wide and the lip hides {}: it will be seen.",
                show(strip),
                style.show_down_unit(*hidden)
            ),
            Concern::GlassLarge => "Over a square metre, or a metre long: use glass of 3 mm, or \
                                    acrylic."
                .into(),
            Concern::NoSheet { material, size } => format!(
                "{material} comes in no sheet of {} x {}.",
                style.show(size.0),
                show(&size.1)
            ),
            Concern::BorderThin { seen, face } => format!(
                "{} of the mat's border is seen beside a face of {}: make it clearly wider.",
                show(seen),
                show(face)
            ),
            Concern::WireFlat { tenths, wants, has } => {
                let at = match tenths {
                    Some(tenths) => format!("would hang at {}.{} degrees", tenths / 10, tenths % 10),
                    None => "has no room to rise".to_owned(),
                };
                format!(
                    "A wire {at} with its hook hidden: 30 want a rise of {} and there is {}. Use \
                     straps, or a cleat.",
                    show(wants),
                    style.show_down_unit((*has).max(Length::ZERO))
                )
            }
            Concern::RailBows(bow) => format!(
                "The wire may bow the side rails inwards by {} (own estimate): a strainer inside, a \
                 panel screwed across the back, or straps.",
                mm(*bow)
            ),
            Concern::RailSags { sag, rail } => format!(
                "The lower rail of {} may sag by {} (own estimate): a wider moulding, a strainer, or \
                 a strap from top to bottom.",
                show(rail),
                mm(*sag)
            ),
            Concern::NailTooLong => "No v-nail is as low as three quarters of the moulding: join it \
                                     otherwise."
                .into(),
            Concern::Weak { kind, needs } => format!(
                "No {kind} of materials.csv holds it: {} is wanted ({}).",
                needs.show(),
                needs.show_pounds()
            ),
            Concern::NoRating(codes) => format!(
                "Passed over, since no load is written down of {}: copy what the packet prints.",
                codes.join(", ")
            ),
            Concern::Heavy { weight, two_people: false } => {
                format!("At about {} it hangs from straps, not from a wire.", weight.show())
            }
            Concern::Heavy { weight, two_people: true } => format!(
                "At about {} it takes two people, and a full-width cleat or a shelf under it.",
                weight.show()
            ),
            Concern::NoWeight(parts) => format!(
                "Its weight is not known, so nothing is chosen to hang it: {}.",
                parts.join("; ")
            ),
            Concern::OverPeople => "Glass over people, and no class of safety is written down of it: \
                                    use acrylic, laminated or toughened glass (toughened is ordered \
                                    to size)."
                .into(),
            Concern::Quake => "Glass of this size where the earth quakes: use acrylic, closed hooks, \
                               and putty at the lower corners."
                .into(),
            Concern::Glue { due, ready } => format!(
                "Due {due}, but joined today its glue may not be loaded before {ready}: tell the \
                 customer."
            ),
            Concern::Stretcher => "A side of the canvas is over 36 in (914 mm): see that the bars have \
                                   a cross bar."
                .into(),
            Concern::NotMeasured(what) => format!(
                "Whether the package fits the rabbet is not known: {}.",
                what.join("; ")
            ),
        }
    }
}

/// A small bend to a tenth of a millimetre, up.
fn mm(length: Length) -> String {
    let tenths = length.round_up(Length::from_nm(100_000)).nm() / 100_000;
    format!("{}.{} mm", tenths / 10, tenths % 10)
}
