//! The sentences that more than one sheet says.

use super::either::either;
use super::name::Names;
use crate::measure::{Length, LengthStyle, Unit, Worth};
use crate::plan::{
    BrokenBy, BrokenPromise, HoldReason, Matching, PlacedRail, Plan, Proof, Waiting, Warning,
};
use crate::shop::{Flaw, Frame, Kind, Settings, Shop, Stop};

/// A worth as money, or as a length where the moulding has no price.
pub(super) fn amount(worth: Worth, priced: bool, settings: &Settings) -> String {
    if priced {
        format!("{} {}", settings.currency.show(worth.to_money()), settings.currency.code())
    } else {
        settings.style().show_unit(length_of(worth))
    }
}

/// The length that a worth without a price stands for.
pub(super) fn length_of(worth: Worth) -> Length {
    const NM_IN_THOUSANDTH_OF_MM: i64 = 1000;
    Length::from_nm(worth.0 * NM_IN_THOUSANDTH_OF_MM)
}

/// Whether a flaw is more than what rounds to nothing at a stick's end.
pub(crate) fn shows(flaw: &Flaw, style: &LengthStyle) -> bool {
    style.show(flaw.to) != style.show(Length::ZERO)
}

/// `1 stick`, `3 sticks`.
pub(super) fn count(number: usize, one: &str, many: &str) -> String {
    if number == 1 { format!("1 {one}") } else { format!("{number} {many}") }
}

/// The two lengths of a rail that the stop does not read, in brackets: of long
/// point, rabbet and sight, in this order.
pub(super) fn other_lengths(reads: Stop, rail: &PlacedRail, style: &LengthStyle) -> String {
    let others = lengths(rail).into_iter().filter(|(which, _)| *which != reads);
    let shown: Vec<String> = others.map(|(_, length)| style.show(length)).collect();
    format!("({})", shown.join(", "))
}

/// The same two with their names.
pub(super) fn named_lengths(reads: Stop, rail: &PlacedRail, style: &LengthStyle) -> String {
    let others = lengths(rail).into_iter().filter(|(which, _)| *which != reads);
    let named = others.map(|(which, length)| format!("{} {}", which.word(), style.show(length)));
    named.collect::<Vec<_>>().join(", ")
}

fn lengths(rail: &PlacedRail) -> [(Stop, Length); 3] {
    [(Stop::Long, rail.long_point), (Stop::Rabbet, rail.rabbet), (Stop::Sight, rail.sight)]
}

/// `a`, `a and b`, `a, b and c`.
pub(crate) fn and(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// The unit spelt out, for a heading.
pub(super) const fn unit(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "inches",
        Unit::Millimetre => "millimetres",
    }
}

/// `1 stick`, `3 sticks`, from the plan's own counts.
pub(super) fn sticks(number: u32) -> String {
    if number == 1 { "1 stick".to_owned() } else { format!("{number} sticks") }
}

/// The tickets that could be cut today and wait for others, each with its reason.
pub(super) fn patient(plan: &Plan, shop: &Shop) -> Vec<String> {
    let names = Names::new(shop);
    let patient: Vec<&Waiting> = plan.patient().collect();
    let alike = |a: &&Waiting, b: &&Waiting| (&a.frame, &a.reason) == (&b.frame, &b.reason);
    let line = |copies: &[&Waiting]| {
        let due = copies[0].due.map(|due| format!(", due {due}")).unwrap_or_default();
        let ticket = names.copies(&copies[0].frame, copies.len());
        format!("{ticket}{due}: {}", copies[0].reason.words())
    };
    patient.chunk_by(alike).map(line).collect()
}

/// How far a figure can be trusted: `used up 12.30 USD, proven` or
/// `used up 12.30 USD, at least 11.90 USD`; a bound of zero says nothing and is
/// said in words, and so is one that is the same but for what is not shown.
pub(super) fn used_up(proof: &Proof, settings: &Settings) -> String {
    let shown = amount(proof.used_up, proof.priced, settings);
    let bound = amount(proof.bound, proof.priced, settings);
    if proof.proven {
        format!("used up {shown}, proven")
    } else if proof.bound == Worth(0) {
        format!("used up {shown}, not compared with every choice of frames")
    } else if bound == shown {
        // The two differ by less than is shown.
        format!("used up {shown}, proven as far as is shown")
    } else {
        format!("used up {shown}, at least {bound}")
    }
}

/// One moulding's proof: `ASH-20: 3 sticks, used up 12.30 USD, proven`.
pub(super) fn proof(proof: &Proof, settings: &Settings) -> String {
    format!("{}: {}, {}", proof.moulding, sticks(proof.sticks), used_up(proof, settings))
}

/// What matching cost one moulding: `GLD-50: 19.32 USD more, 3 sticks instead of
/// 2`; `None` where no cheaper plan without it is known.
pub(super) fn matching(cost: &Matching, settings: &Settings) -> Option<String> {
    let more = cost.used_up - cost.used_up_free;
    if more <= Worth(0) {
        return None;
    }
    let counted = if cost.sticks == cost.sticks_free {
        String::new()
    } else {
        format!(", {} instead of {}", sticks(cost.sticks), cost.sticks_free)
    };
    let trust = if cost.proven { "" } else { ", as far as was searched" };
    let more = amount(more, cost.priced, settings);
    Some(format!("{}: {more} more{counted}{trust}", cost.moulding))
}

/// ` from Brindlecombe Mouldings (BRIN)`; nothing where nobody is named.
pub(crate) fn from(shop: &Shop, supplier: &str) -> String {
    match shop.suppliers.get(supplier) {
        Some(supplier) => format!(" from {} ({})", supplier.name, supplier.id),
        None if supplier.is_empty() => String::new(),
        None => format!(" from {supplier}"),
    }
}

/// A promise that is not kept, and what to do about it.
pub(crate) fn broken_promise(promise: &BrokenPromise) -> String {
    promise_mend(&promise.frame, &not_kept(promise))
}

/// What is said of a promise that is not kept, with what to do about it.
pub(crate) fn promise_mend(frame: &str, said: &str) -> String {
    if said.ends_with('.') {
        return said.to_owned();
    }
    let help = either(&format!(", or see what would help (longpoint why {frame})"), "");
    format!("{said}. Call the customer{help}.")
}

/// Which promise is not kept, and why; of one in doubt whom to ask.
pub(crate) fn not_kept(promise: &BrokenPromise) -> String {
    let copies =
        if promise.copies > 1 { format!(" ({} copies)", promise.copies) } else { String::new() };
    let day = promise.due.strftime("%A %-d %B %Y");
    let why = match &promise.why {
        BrokenBy::Past => "the day is over".to_owned(),
        BrokenBy::Arrives(day) => format!("its moulding comes {day}, too late for the bench"),
        BrokenBy::NothingComes => "it waits, and nothing is known to come for it".to_owned(),
        BrokenBy::NotKnown => "nobody knows when its moulding comes".to_owned(),
        BrokenBy::Overdue(day) => {
            format!("its moulding is overdue, expected {day}, and nobody knows when it comes")
        }
        BrokenBy::Held => "it cannot be made as asked".to_owned(),
        BrokenBy::Closed => "the shop is closed on that day".to_owned(),
        BrokenBy::Hands(day) => format!(
            "more frames are due by then than the shop makes in a day (frames_a_day), and its turn \
             is {day}"
        ),
        BrokenBy::Refused(suppliers) => {
            format!("its moulding comes only if {}", if_taken(suppliers))
        }
        BrokenBy::Lengths { suppliers, moulding } => {
            let s = if let [_] = suppliers.as_slice() { "s" } else { "" };
            let who = suppliers.join(" or ");
            format!("its moulding comes only if {who} send{s} long enough sticks of {moulding}")
        }
    };
    let (how, mend) = match promise.why.is_in_doubt() {
        true => ("in doubt", ". Ask them before anything else."),
        false => ("not kept", ""),
    };
    format!("PROMISED for {day}, and {how}: {}{copies}: {why}{mend}", promise.frame)
}

/// `OTTER takes an order below its minimum`.
pub(super) fn if_taken(suppliers: &[String]) -> String {
    match suppliers {
        [one] => format!("{one} takes an order below its minimum"),
        several => format!("{} take orders below their minimums", and(several)),
    }
}

/// What was wished of this plan alone, a sentence a wish, in the order of the pile.
pub(super) fn wishes(plan: &Plan, shop: &Shop) -> Vec<String> {
    let wishes = &plan.wishes;
    let named = |of: &dyn Fn(&&Frame) -> bool| {
        let frames = shop.frames.iter().filter(of);
        frames.map(|frame| frame.id.as_str()).collect::<Vec<_>>().join(", ")
    };
    let mut words = Vec::new();
    if !wishes.rush.is_empty() {
        words.push(format!("First, whatever their dates: {}.", named(&|f| wishes.rushes(f))));
    }
    if wishes.only.is_some() {
        let aside = shop.frames.iter().filter(|frame| !wishes.concerns(frame)).count();
        let only = named(&|f| wishes.concerns(f));
        words.push(format!(
            "Planned by themselves: {only}. Left aside: {}.",
            count(aside, "other frame", "other frames")
        ));
    }
    if wishes.rack_only {
        words.push("From the rack only: nothing is bought.".to_owned());
    }
    words
}

/// The ticket that a warning is about.
pub(super) fn ticket_of(warning: &Warning) -> &str {
    match warning {
        Warning::TooThick { frame, .. }
        | Warning::Late { frame, .. }
        | Warning::Relaxed { frame, .. } => frame,
    }
}

/// A warning and what to do about it.
pub(crate) fn warning(warning: &Warning, style: &LengthStyle) -> String {
    match warning {
        Warning::TooThick { frame, moulding, kind: Kind::Floater, thickness, depth, .. } => {
            format!(
                "{frame}: what is in it is {} thick and the floater {moulding} is {} deep inside, so it \
             stands out in front, where nothing guards it. Take a deeper floater, or agree on it \
             with the customer.",
                style.show_unit(*thickness),
                style.show_unit(*depth)
            )
        }
        Warning::TooThick { frame, layer, moulding, thickness, depth, .. } => format!(
            "{frame}: the package is {} thick and the rabbet of {moulding} takes {}{}. \
             Plan to build the back out, or choose a deeper moulding.",
            style.show_unit(*thickness),
            style.show_unit((*depth).max(Length::ZERO)),
            if *layer > 1 { " behind the lip of what lies in it" } else { "" }
        ),
        Warning::Late { frame, due } => {
            format!("{frame}: was wanted on {due}. Tell the customer when it will be ready.")
        }
        Warning::Relaxed { frame, layer, asked, given } => format!(
            "{frame}, layer {layer}: match {} is impossible on every stick: planned as match {}. \
             Lay the rails side by side before you cut.",
            asked.word(),
            given.word()
        ),
    }
}

/// Why a frame cannot be made as asked, and the mend.
pub(super) fn held(reason: &HoldReason, style: &LengthStyle) -> String {
    let words = reason.words(style);
    match reason {
        HoldReason::NotSettled { .. } => {
            words
                + " "
                + &either(
                    "Plan it by itself (--only), or again with more time (--seconds) or effort (--effort).",
                    "Plan it before the others (PLAN THE MORNING WITH IT FIRST, at its ticket), or choose another \
             moulding.",
                )
        }
        _ => words,
    }
}

/// A frame's size: `16 x 20 in`, or `6 sides, 12 in across`.
pub(crate) fn size(frame: &Frame, style: &LengthStyle) -> String {
    match frame.mitre.sides() {
        4 => format!("{} x {}", style.show(frame.width), style.show_unit(frame.height)),
        sides => format!("{sides} sides, {} across", style.show_unit(frame.width)),
    }
}

#[cfg(test)]
mod tests {
    use super::super::either::{pressed, typed};
    use super::*;

    #[test]
    fn what_was_not_settled_names_flags_to_who_types_and_a_press_to_who_presses() {
        let reason = HoldReason::NotSettled { mouldings: vec!["ASH".to_owned()] };
        let words = held(&reason, &LengthStyle { unit: Unit::Inch, mark: Length::from_mm(1) });
        assert!(typed(&words).contains("(--only)"), "{}", typed(&words));
        assert!(!pressed(&words).contains("--"), "{}", pressed(&words));
        assert!(pressed(&words).contains("PLAN THE MORNING WITH IT FIRST"), "{}", pressed(&words));
    }
}
