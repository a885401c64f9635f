//! What stands around the bench work: what to look at, to buy, to rack, to trust.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::measure::Worth;
use crate::plan::{Held, Overdue, Part, Plan, Waiting, Warning};
use crate::rails::Side;
use crate::shop::{Frame, Shop, Stick};

use super::super::name::{self, Names};
use super::super::summary::{flaws_of, kept};
use super::super::{spares, words};
use super::page::Page;

/// Today's tickets in the order of the pile, copies together.
pub(super) fn frames_today(plan: &Plan, names: &Names) -> Vec<String> {
    let mut copies: BTreeMap<(u64, &str), Vec<u32>> = BTreeMap::new();
    let rails = plan.today.iter().flat_map(|stick| &stick.rails);
    let rails = rails.map(|rail| (&rail.frame, rail.copy));
    for (frame, copy) in rails.chain(plan.spares_today().map(|of| (&of.frame, of.copy))) {
        let row = names.frame(frame).map_or(u64::MAX, |frame| frame.row);
        let listed = copies.entry((row, frame)).or_default();
        if !listed.contains(&copy) {
            listed.push(copy);
        }
    }
    copies.into_iter().map(|((_, frame), copies)| names.copies(frame, copies.len())).collect()
}

/// The promises that are not kept, before anything else.
pub(super) fn promises(page: &mut Page, plan: &Plan, shop: &Shop) {
    let broken = plan.broken_promises(shop);
    for promise in &broken {
        page.line("! ", &words::broken_promise(promise));
    }
    if !broken.is_empty() {
        page.gap();
    }
}

/// What is overdue, and what to know before cutting.
pub(super) fn look_first(page: &mut Page, (plan, notes): (&Plan, &[String]), shop: &Shop) {
    let overdue = plan.overdue(shop);
    if plan.warnings.is_empty() && overdue.is_empty() && notes.is_empty() {
        return;
    }
    page.heading("LOOK AT FIRST");
    for ((day, supplier), what) in &overdue {
        page.line("! ", &self::overdue((*day, supplier), what, shop));
    }
    warnings(page, &plan.warnings, shop);
    for note in notes {
        page.line("! ", note);
    }
}

/// What to know of frames before they are cut.
pub(super) fn warnings(page: &mut Page, warnings: &[Warning], shop: &Shop) {
    for warning in warnings {
        page.line("! ", &words::warning(warning, &shop.settings.style()));
    }
}

/// What should have come from a supplier, and what it holds up.
fn overdue((day, supplier): (Date, &str), what: &Overdue, shop: &Shop) -> String {
    let from = words::from(shop, supplier);
    let sticks = what.sticks.iter().map(|(of, count)| format!("{} of {of}", words::sticks(*count)));
    let chops = what.chops.iter().map(|(of, count)| format!("{count} of {of} chopped"));
    let names = Names::new(shop);
    let copies = what.frames.chunk_by(|a, b| a.0 == b.0);
    let frames: Vec<String> =
        copies.map(|copies| names.copies(&copies[0].0, copies.len())).collect();
    let holds_up = match frames.is_empty() {
        true => "No frame waits for it".to_owned(),
        false => format!("It holds up {}", words::and(&frames)),
    };
    format!(
        "OVERDUE since {day}{from}: {}. {holds_up}.",
        words::and(&sticks.chain(chops).collect::<Vec<_>>())
    )
}

/// The spare rails that are taken today, and those that are kept for frames that wait.
pub(super) fn spare_rails(page: &mut Page, plan: &Plan, shop: &Shop) {
    if plan.spares.is_empty() {
        return;
    }
    page.heading("SPARE RAILS");
    for of in &plan.spares {
        let is_today = plan.spares_today().any(|today| today == of);
        let later = if is_today { "" } else { " (later: it waits)" };
        page.line("* ", &format!("{}{later}", spares::words(of, shop)));
    }
}

/// Those that could be cut today and wait for others.
pub(super) fn patient(page: &mut Page, plan: &Plan, shop: &Shop) {
    let patient = words::patient(plan, shop);
    if patient.is_empty() {
        return;
    }
    page.heading("BETTER CUT TOGETHER WITH OTHERS, ANOTHER DAY");
    patient.iter().for_each(|line| page.line("* ", line));
}

pub(super) fn waiting(page: &mut Page, plan: &Plan, shop: &Shop, is_why: bool) {
    let waiting: Vec<&Waiting> =
        plan.waiting.iter().filter(|waiting| !waiting.reason.is_patience()).collect();
    if waiting.is_empty() && plan.order.lines.is_empty() {
        return;
    }
    let names = Names::new(shop);
    page.heading("WAITING FOR MOULDING");
    let covered = |w: &Waiting| plan.order.is_covered(shop, &w.frame, &[w.copy]);
    let owed = |w: &Waiting| names.frame(&w.frame).map_or(String::new(), |f| owed(f, w.copy));
    let alike = |a: &&Waiting, b: &&Waiting| {
        (&a.frame, &a.reason, covered(a), owed(a)) == (&b.frame, &b.reason, covered(b), owed(b))
    };
    for copies in waiting.chunk_by(alike) {
        let waiting = copies[0];
        let due = waiting.due.map(|due| format!(", due {due}")).unwrap_or_default();
        let ticket = names.copies(&waiting.frame, copies.len());
        let numbers: Vec<u32> = copies.iter().map(|waiting| waiting.copy).collect();
        let awaited = super::order::awaited(plan, shop, waiting, &numbers);
        page.line(
            "* ",
            &format!("{ticket}{}{due}: {}{awaited}", owed(waiting), waiting.reason.words()),
        );
    }
    super::order::order(page, plan, shop, is_why);
}

/// What is owed of a copy that is cut in part: ` (its left)`.
fn owed(frame: &Frame, copy: u32) -> String {
    let open = |layer: usize| {
        let cut = frame.cut(copy, layer)?;
        let sides = Side::all(frame.mitre).into_iter().enumerate();
        let open = sides.filter(|(place, _)| !cut.contains(place));
        Some(open.map(|(_, side)| name::side(side)).collect::<Vec<_>>())
    };
    let sides: Vec<String> = (1..=frame.layers.len()).filter_map(open).flatten().collect();
    if sides.is_empty() { String::new() } else { format!(" (its {})", sides.join(", ")) }
}

pub(super) fn held(page: &mut Page, plan: &Plan, shop: &Shop, names: &Names) {
    if plan.held.is_empty() {
        return;
    }
    page.heading("CANNOT BE MADE AS ASKED");
    let alike = |a: &Held, b: &Held| a.frame == b.frame && a.reason == b.reason;
    for copies in plan.held.chunk_by(alike) {
        let reason = words::held(&copies[0].reason, &shop.settings.style());
        let ticket = names.copies(&copies[0].frame, copies.len());
        page.line("* ", &format!("{ticket}: {reason}"));
    }
}

pub(super) fn offcuts(page: &mut Page, plan: &Plan, shop: &Shop) {
    if kept(plan).next().is_none() {
        return;
    }
    let style = shop.settings.style();
    page.heading("BACK ON THE RACK");
    for (stick, left) in kept(plan) {
        let length = style.show_down_unit(left.length);
        let lot = if stick.lot.is_empty() { String::new() } else { format!(", lot {}", stick.lot) };
        let mut text =
            format!("{}: {} {length}{lot}, from {}", left.label, stick.moulding, stick.stick);
        for flaw in flaws_of(stick, left).iter().filter(|flaw| words::shows(flaw, &style)) {
            text += &format!(", flaw {} to {}", style.show(flaw.from), style.show(flaw.to));
        }
        page.line("  ", &text);
    }
}

pub(super) fn proofs(page: &mut Page, plan: &Plan, shop: &Shop) {
    for (part, good, cost) in [
        (Part::Today, "HOW GOOD TODAY'S PLAN IS", "WHAT MATCHING COSTS TODAY"),
        (Part::Order, "HOW GOOD THE ORDER IS", "WHAT MATCHING COSTS IN THE ORDER"),
    ] {
        let proofs: Vec<_> = plan.proof.iter().filter(|proof| proof.part == part).collect();
        if !proofs.is_empty() {
            page.heading(good);
        }
        for proof in proofs {
            page.line("  ", &words::proof(proof, &shop.settings));
        }
        matching(page, plan, shop, part, cost);
    }
}

/// What was saved by cutting offcuts, and which of them nothing calls for.
pub(super) fn use_of_offcuts(page: &mut Page, plan: &Plan, shop: &Shop) {
    let saved: Vec<String> = plan
        .offcuts
        .iter()
        .filter(|of| of.saved > Worth(0))
        .map(|of| format!("{} {}", of.moulding, words::amount(of.saved, of.priced, &shop.settings)))
        .collect();
    let idle: Vec<&str> = plan.offcuts.iter().flat_map(|of| &of.idle).map(String::as_str).collect();
    if saved.is_empty() && idle.is_empty() {
        return;
    }
    page.heading("WHAT THE OFFCUTS ARE GOOD FOR");
    if !saved.is_empty() {
        let saved = saved.join(", ");
        page.line("  ", &format!("saved at least, against whole sticks: {saved}"));
    }
    if !idle.is_empty() {
        let style = shop.settings.style();
        let named = |id: &&str| {
            let stick = shop.rack.iter().find(|stick| stick.id == *id);
            let of = |stick: &Stick| {
                format!("{id} ({} {})", stick.moulding, style.show_unit(stick.length))
            };
            stick.map_or_else(|| (*id).to_owned(), of)
        };
        let idle: Vec<String> = idle.iter().map(named).collect();
        page.line("  ", &format!("not needed today or for the order: {}", idle.join(", ")));
    }
}

/// What matching cost, first where it did.
fn matching(page: &mut Page, plan: &Plan, shop: &Shop, part: Part, title: &str) {
    let costs = || plan.matching.iter().filter(|cost| cost.part == part);
    if costs().next().is_none() {
        return;
    }
    page.heading(title);
    let mut free = Vec::new();
    for cost in costs() {
        match words::matching(cost, &shop.settings) {
            Some(words) => page.line("  ", &words),
            None if cost.proven => free.push(cost.moulding.clone()),
            None => free.push(format!("{} (as far as was searched)", cost.moulding)),
        }
    }
    if !free.is_empty() {
        page.line("  ", &format!("nothing: {}", free.join(", ")));
    }
}
