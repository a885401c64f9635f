//! Why a frame is not cut today, in words that say what would mend it.

use jiff::civil::Date;

use crate::measure::{Length, LengthStyle, Mitre};
use crate::rails::Side;
use crate::shop::Match;

/// Why a frame is impossible as asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum HoldReason {
    /// The lips meet in the middle: there is no opening.
    NoOpening {
        /// Which layer.
        layer: usize,
        /// Its moulding.
        moulding: String,
        /// Which side.
        side: Side,
    },
    /// A rail too short for the machine to hold.
    TooShort {
        /// Which layer.
        layer: usize,
        /// Which side.
        side: Side,
        /// Its long point.
        long_point: Length,
        /// The machine.
        cutter: String,
        /// The shortest rail that the machine holds safely.
        shortest: Length,
    },
    /// A mitre that the machine does not cut.
    NoMitre {
        /// Which layer.
        layer: usize,
        /// The frame's mitre.
        mitre: Mitre,
        /// The machine.
        cutter: String,
    },
    /// A rail longer than any stick gives.
    TooLong {
        /// Which layer.
        layer: usize,
        /// Its moulding.
        moulding: String,
        /// Which side.
        side: Side,
        /// Its long point.
        long_point: Length,
        /// The longest rail that any stick at hand or to be bought gives.
        longest: Length,
    },
    /// Each rail fits, but not all of them in one stick, run or lot as asked.
    MatchTooLong {
        /// Which layer.
        layer: usize,
        /// Its moulding.
        moulding: String,
        /// The match asked for.
        match_: Match,
        /// What its rails and the joints between them take.
        needed: Length,
        /// The most that one stick at hand or to be bought gives.
        longest: Length,
    },
    /// Only sticks of random lengths might do, and none is sure to be long enough.
    RandomLengths {
        /// Which layer.
        layer: usize,
        /// Its moulding.
        moulding: String,
        /// How long a stick must be at the least, on the bench mark.
        least: Length,
        /// Who sells some that may be as long.
        suppliers: Vec<String>,
    },
    /// There is not enough on the rack, and nobody sells it.
    NotSold {
        /// The mouldings concerned.
        mouldings: Vec<String>,
        /// The first day on which all of them can be ordered, if that is known.
        from: Option<Date>,
    },
    /// Only a stick on the rack is long enough, and other frames use it.
    StickTaken {
        /// The mouldings concerned.
        mouldings: Vec<String>,
    },
    /// A new stick would do, but no way to cut it was found beside the others: the
    /// search was cut short, or it fits only head to tail and there are too many
    /// frames of other mitres to compare every way.
    NotSettled {
        /// The mouldings concerned.
        mouldings: Vec<String>,
    },
}

/// What a frame waits for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WaitReason {
    /// There is not enough of these mouldings on the rack for it.
    Moulding(Vec<String>),
    /// Only a supplier can cut its rails of these mouldings.
    Chops(Vec<String>),
    /// It could be cut today, and is better cut together with others that are still to
    /// come.
    Patience {
        /// Its mouldings.
        mouldings: Vec<String>,
        /// The day on which it is cut at the latest.
        by: Date,
    },
    /// A supplier chops its rails of these mouldings, and they have not come yet.
    OnOrder {
        /// The mouldings concerned.
        mouldings: Vec<String>,
        /// From whom; an empty name where the order does not say.
        suppliers: Vec<String>,
        /// The day on which the last of it should come, if that is known.
        arrives: Option<Date>,
    },
}

impl HoldReason {
    /// The reason and the mend in one sentence each.
    pub fn words(&self, style: &LengthStyle) -> String {
        let long = |length: &Length| style.show_unit(*length);
        match self {
            HoldReason::NoOpening { layer, moulding, side } => format!(
                "layer {layer}: the {} rail has no opening left, since {moulding} is wider than half the size. \
                 Check the size, or choose a narrower moulding.",
                named(*side)
            ),
            HoldReason::TooShort { layer, side, long_point, cutter, shortest } => format!(
                "layer {layer}: the {} rail is {} long and the {cutter} holds nothing safely under {}. \
                 Choose a wider moulding or a larger size, or have it chopped by a supplier.",
                named(*side),
                long(long_point),
                long(shortest)
            ),
            HoldReason::NoMitre { layer, mitre: Mitre::BUTT, cutter } => format!(
                "layer {layer}: a build-out is cut square, and the {cutter} does not cut that. Choose \
                 another machine for it (write 0 under mitres if this one does)."
            ),
            HoldReason::NoMitre { layer, mitre, cutter } => format!(
                "layer {layer}: {} sides need a mitre of {}°, and the {cutter} does not cut it. Choose another \
                 machine for the moulding, or have it chopped by a supplier.",
                mitre.sides(),
                mitre.degrees()
            ),
            HoldReason::TooLong { layer, moulding, side, long_point, longest } => format!(
                "layer {layer}: the {} rail is {} long and the longest rail that {moulding} gives is {}. \
                 Find a longer stick, or choose another moulding.",
                named(*side),
                long(long_point),
                style.show_down_unit(*longest)
            ),
            HoldReason::MatchTooLong {
                layer,
                moulding,
                match_: Match::Lot | Match::Halves,
                ..
            } => {
                format!(
                    "layer {layer}: no one lot of {moulding}, at hand or to be bought, gives all its rails. \
                     Accept a weaker match, or find longer sticks of one lot."
                )
            }
            HoldReason::MatchTooLong { layer, moulding, match_, needed, longest } => format!(
                "layer {layer}: match {} needs {} of {moulding} in one length and the longest gives {}. \
                 Accept a weaker match, or find a longer stick.",
                match_.word(),
                long(needed),
                style.show_down_unit(*longest)
            ),
            HoldReason::RandomLengths { layer, moulding, least, suppliers } => {
                let suppliers = suppliers.join(" or ");
                format!(
                    "layer {layer}: {moulding} comes in random lengths, and none is sure to be long \
                     enough. Ask {suppliers} for lengths of at least {}, and write under lengths in \
                     offers.csv what they are sure to send.",
                    long(least)
                )
            }
            HoldReason::NotSold { mouldings, from: None } => format!(
                "not enough {} on the rack, and nobody who takes orders today sells it as sticks. \
                 Ask a supplier and write their offer into offers.csv, or choose another moulding.",
                mouldings.join(" and ")
            ),
            HoldReason::NotSold { mouldings, from: Some(from) } => format!(
                "not enough {} on the rack, and it cannot be ordered before {from}. Plan again then, ask \
                 another supplier and write their offer into offers.csv, or choose another moulding.",
                mouldings.join(" and ")
            ),
            HoldReason::StickTaken { mouldings } => format!(
                "no stick to be bought is long enough, and the {} on the rack that is long enough goes to frames \
                 that come first. Find another long stick, or accept a weaker match.",
                mouldings.join(" and ")
            ),
            HoldReason::NotSettled { mouldings } => format!(
                "no way to cut it from {} beside the others was found before the search was cut short.",
                mouldings.join(" and ")
            ),
        }
    }
}

/// `left`, or `side 3` of a polygon.
fn named(side: Side) -> String {
    match side {
        Side::Nth(number) => format!("side {number}"),
        named => named.to_string(),
    }
}

impl WaitReason {
    /// Whether it could be cut today, and waits for others.
    pub fn is_patience(&self) -> bool {
        matches!(self, WaitReason::Patience { .. })
    }

    /// The reason in one sentence.
    pub fn words(&self) -> String {
        match self {
            WaitReason::Moulding(mouldings) => {
                format!("not enough {} on the rack", mouldings.join(" and "))
            }
            WaitReason::Chops(mouldings) => {
                format!("its {} has to be chopped by a supplier", mouldings.join(" and "))
            }
            WaitReason::Patience { mouldings, by } => format!(
                "not cut alone: it goes with others of {}, by {} at the latest",
                mouldings.join(" and "),
                by.strftime("%a %Y-%m-%d")
            ),
            WaitReason::OnOrder { mouldings, suppliers, arrives } => {
                let from: Vec<&str> =
                    suppliers.iter().map(String::as_str).filter(|name| !name.is_empty()).collect();
                let from = match from.as_slice() {
                    [] => String::new(),
                    names => format!(" from {}", names.join(" and ")),
                };
                let when = arrives.map(|day| format!(", expected {day}")).unwrap_or_default();
                format!("its {}, chopped, is on order{from}{when}", mouldings.join(" and "))
            }
        }
    }
}
