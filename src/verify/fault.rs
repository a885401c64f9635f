//! What can be wrong with a plan, in words.

use crate::measure::{Length, Mitre, Worth};
use crate::plan::Part;
use crate::rails::Side;
use crate::shop::Match;

/// One thing that a plan says or does against the shop's data or its own rules.
///
/// A fault is a mistake of the program, never of the framer.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs, reason = "the words of each fault name its fields")]
pub enum Fault {
    /// The heading is another shop's.
    #[error("the plan is headed {found:?}, but the shop is {shop:?}")]
    OtherShop { found: String, shop: String },

    /// A moulding's packing does not answer its question.
    #[error("the packing of {moulding}: {fault}")]
    Packing { moulding: String, fault: String },
    /// A frame copy is in none of the three places.
    #[error("frame {frame} copy {copy} is neither cut today nor ordered nor held")]
    Forgotten { frame: String, copy: u32 },
    /// A frame copy is in more than one of the three places, or in one twice.
    #[error("frame {frame} copy {copy} is in {places} places at once")]
    Repeated { frame: String, copy: u32, places: usize },
    /// A frame copy that nobody asked for.
    #[error("nobody asked for frame {frame} copy {copy}")]
    NoSuchCopy { frame: String, copy: u32 },
    /// A frame copy has not each rail once.
    #[error("frame {frame} copy {copy} has {found} of its layer {layer}, side {side}")]
    NotWhole { frame: String, copy: u32, layer: usize, side: Side, found: usize },
    /// A spare rail that is not there, or not as the frame that takes it needs it.
    #[error("spare rail {label} cannot be side {side} of layer {layer} of frame {frame}: {why}")]
    FalseSpare { label: String, frame: String, layer: usize, side: Side, why: &'static str },
    /// A rail that its frame does not have.
    #[error("frame {frame} has no layer {layer}, side {side}")]
    NoSuchRail { frame: String, layer: usize, side: Side },
    /// Rails without an entry among the waiting, or the other way round.
    #[error(
        "frame {frame} copy {copy} waits without rails, or has ordered rails and does not wait"
    )]
    WaitsInVain { frame: String, copy: u32 },

    /// A stick that is neither on the rack nor marked as new.
    #[error("stick {stick} is not on the rack")]
    NoSuchStick { stick: String },
    /// The same stick twice.
    #[error("stick {stick} is taken more than once")]
    StickTwice { stick: String },
    /// A stick is not as the rack has it, or a new one not as it is sold.
    #[error("stick {stick}: its {what} is not the true one")]
    FalseStick { stick: String, what: &'static str },
    /// A stick to be bought cannot be cut today.
    #[error("stick {stick} is cut today, but still has to be bought")]
    NotYetBought { stick: String },
    /// A copy is cut today of which a layer is still on order.
    #[error("frame {frame} copy {copy} is cut today although a layer of it has not come yet")]
    NotYetCome { frame: String, copy: u32 },
    /// A new stick goes by the name of a stick on the rack.
    #[error("new stick {stick} goes by the name of one on the rack")]
    NameTaken { stick: String },
    /// A stick with nothing to cut.
    #[error("stick {stick} is taken and nothing is cut from it")]
    Idle { stick: String },

    /// A rail is measured wrongly.
    #[error("{rail}: its {what} is {} mm and should be {} mm", found.as_mm(), right.as_mm())]
    FalseRail { rail: Box<RailName>, what: &'static str, found: Length, right: Length },
    /// A rail has another frame's mitre.
    #[error("{rail}: its mitre is {} degrees and should be {}", found.degrees(), right.degrees())]
    FalseMitre { rail: Box<RailName>, found: Mitre, right: Mitre },
    /// A rail is cut from another moulding than its layer is of.
    #[error("{rail}: it is of {right}, but the stick is of {found}")]
    FalseMoulding { rail: Box<RailName>, found: String, right: String },
    /// A rail is shorter than the machine can hold safely.
    #[error("{rail}: the machine holds nothing under {} mm safely", shortest.as_mm())]
    TooShort { rail: Box<RailName>, shortest: Length },
    /// A mitre that the machine does not cut.
    #[error("{rail}: the {cutter} does not cut its mitre")]
    NoMitre { rail: Box<RailName>, cutter: String },
    /// A rail is not wholly in one clear run between trims and flaws.
    #[error("{rail}: it does not lie between the trims and clear of every flaw")]
    NotClear { rail: Box<RailName> },
    /// A rail begins before the joint with its neighbour is over.
    #[error("{rail}: it begins {} mm too early after its neighbour", by.as_mm())]
    TooClose { rail: Box<RailName>, by: Length },
    /// A rail is turned over where it may not be.
    #[error("{rail}: it may not be cut head to tail")]
    Turned { rail: Box<RailName> },

    /// What is left of a stick is not what remains of it.
    #[error("stick {stick}: what is left from {} mm has a false {what}", at.as_mm())]
    FalseLeft { stick: String, at: Length, what: &'static str },
    /// A piece is said to remain where none does, or is not said.
    #[error("stick {stick}: {found} pieces are kept between its rails and should be {right}")]
    FalseBetween { stick: String, found: usize, right: usize },
    /// Two offcuts under one label, or an offcut under a stick's label.
    #[error("stick {stick}: the label {label:?} cannot be given to an offcut")]
    FalseLabel { stick: String, label: String },

    /// The rails of a layer are not as alike as was asked.
    #[error("frame {frame} copy {copy} layer {layer} is not matched as {} asks", match_.word())]
    NotMatched { frame: String, copy: u32, layer: usize, match_: Match },
    /// A weaker match was given without need, or below the floor.
    #[error("frame {frame} layer {layer} need not or may not be relaxed to {}", given.word())]
    FalseRelaxed { frame: String, layer: usize, given: Match },

    /// A stick's worth is not what it is.
    #[error("stick {stick}: its worth is {} and should be {}", found.0, right.0)]
    FalseWorth { stick: String, found: Worth, right: Worth },
    /// A moulding is cut but nothing is said of how well.
    #[error("{moulding}, {}: {found} proofs where one belongs", part.word())]
    FalseProofs { moulding: String, part: Part, found: usize },
    /// A proof does not agree with the sticks.
    #[error("{moulding}, {}: the proof has a false {what}", part.word())]
    FalseProof { moulding: String, part: Part, what: &'static str },
    /// Stops are set less often than the plan says is possible.
    #[error("at least {least} settings are said to be needed, but {most} will do")]
    SettingsBound { least: u32, most: usize },
    /// What matching cost does not agree with the proof.
    #[error("{moulding}, {}: what matching cost has a false {what}", part.word())]
    FalseMatching { moulding: String, part: Part, what: &'static str },

    /// What is said of the offcuts is not so.
    #[error("{moulding}: what is said of its offcuts has a false {what}")]
    FalseOffcuts { moulding: String, what: &'static str },

    /// The order is not for the new sticks.
    #[error("the order has {found} sticks of {moulding} where {right} are to be cut")]
    FalseCount { moulding: String, found: u32, right: u32 },
    /// The order's cost is not that of its sticks.
    #[error("the order's cost for {moulding} is not that of its sticks")]
    FalseCost { moulding: String },

    /// A line of the order is for nothing that is on offer.
    #[error("the order of {moulding} from {supplier} is not on offer: its {what}")]
    NotOffered { moulding: String, supplier: String, what: &'static str },
    /// A layer cannot be had chopped as the plan says.
    #[error("frame {frame} copy {copy} layer {layer} is not to be had chopped: {what}")]
    FalseChop { frame: String, copy: u32, layer: usize, what: &'static str },
    /// A supplier's bill does not add up.
    #[error("the bill of {supplier} has a false {what}")]
    FalseBill { supplier: String, what: &'static str },
    /// The order from a supplier can wait until another day, or for another frame.
    #[error("the order from {supplier} is said to wait with a false {what}")]
    FalseDeadline { supplier: String, what: &'static str },
    /// The order as a whole does not add up.
    #[error("the order's account has a false {what}")]
    FalseAccount { what: &'static str },

    /// More is bought than the shop allows, and what is needed would cost less.
    #[error("more of {moulding} is bought from {supplier} beyond need than may be")]
    BeyondLimit { moulding: String, supplier: String },

    /// The rack is to be filled up whatever is ordered, and is not.
    #[error("{found} whole sticks of {moulding} will be on the rack, where {right} are kept")]
    NotRestocked { moulding: String, found: u32, right: u32 },
    /// The order does not say rightly how many of its sticks are for the rack.
    #[error("{found} sticks of {moulding} are said to be for the rack, and {right} are")]
    FalseRestock { moulding: String, found: u32, right: u32 },

    /// A frame is held for a reason that does not hold.
    #[error("frame {frame} copy {copy} is held for a reason that is not so")]
    FalseHold { frame: String, copy: u32 },
    /// A frame waits for a date or a moulding that is not its own.
    #[error("frame {frame} copy {copy} waits with a false {what}")]
    FalseWait { frame: String, copy: u32, what: &'static str },
    /// A warning is missing, or is not so.
    #[error("frame {frame}: a warning is missing or is not so")]
    FalseWarning { frame: String },

    /// A wish names a frame that the plan is not for.
    #[error("frame {frame} is wished for and is not among the frames that are planned")]
    NoSuchWish { frame: String },
    /// Nothing was to be bought.
    #[error("something is ordered, and nothing was to be bought")]
    Bought,
    /// A frame is served before one that is alike and comes first.
    #[error("frame {frame} copy {copy} is served before {before}, which is alike and comes first")]
    OutOfTurn { frame: String, copy: u32, before: String },
    /// A frame is not cut today, and a stick that would do is cut for later ones.
    #[error(
        "frame {frame} copy {copy} is not cut today, although stick {stick}, which is cut for \
         frames wanted later, would do for all of it"
    )]
    NotToday { frame: String, copy: u32, stick: String },
    /// A frame is late, and a stick that is there sooner would do.
    #[error(
        "frame {frame} copy {copy} is late, although stick {stick} is there sooner and would do \
         for what is late"
    )]
    Late { frame: String, copy: u32, stick: String },
}

/// Which rail of which frame, on which stick.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RailName {
    /// The stick's label.
    pub stick: String,
    /// The frame's ticket number.
    pub frame: String,
    /// Which copy.
    pub copy: u32,
    /// Which layer.
    pub layer: usize,
    /// Which side.
    pub side: Side,
}

impl std::fmt::Display for RailName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let RailName { stick, frame, copy, layer, side } = self;
        write!(f, "stick {stick}, frame {frame} copy {copy} layer {layer}, side {side}")
    }
}
