//! One machine's work on the page: its cautions, then stick by stick.

use crate::chop::{Cut, MachineSheet, StickSteps};
use crate::measure::LengthStyle;
use crate::plan::Left;
use crate::shop::{Flaw, Shop, Stop};

use super::super::escape::clean;
use super::super::name::{self, Names};
use super::super::words;
use super::page::Page;

/// How far the lines under a stick's head are indented.
const INDENT: &str = "     ";

/// What is said beside a cut, by its stick and its number; nothing if the stick is done
/// with and its cuts need not be told.
pub type Mark<'a> = &'a dyn Fn(&str, u32) -> Option<String>;

/// What is said beside a cut that lies on a flaw which was found since.
pub const ON_FLAW: &str = "ON A FLAW";

pub(super) fn bench(page: &mut Page, bench: &MachineSheet, shop: &Shop, names: &Names, mark: Mark) {
    let style = shop.settings.style();
    let work = format!(
        "{}, {}",
        words::count(bench.sticks.len(), "stick", "sticks"),
        words::count(bench.rails(), "rail", "rails")
    );
    page.heading(&format!(
        "CUT ON THE {}: {work}, stop reads the {}",
        bench.cutter.to_uppercase(),
        reads(bench)
    ));
    page.line("", &others(bench));
    for caution in &bench.cautions {
        page.line("! ", &caution.words(&style));
    }
    for steps in &bench.sticks {
        stick(page, (steps, bench.stop), &style, names, mark);
    }
}

/// What the scale reads, in words.
fn reads(bench: &MachineSheet) -> &'static str {
    match bench.stop {
        Stop::Long => "LONG POINT",
        Stop::Rabbet => "RABBET",
        Stop::Sight => "SIGHT EDGE",
    }
}

/// What stands in brackets after each reading.
fn others(bench: &MachineSheet) -> String {
    let all = [Stop::Long, Stop::Rabbet, Stop::Sight];
    let others = all.iter().filter(|which| **which != bench.stop).map(|which| which.word());
    let others: Vec<&str> = others.collect();
    format!("In brackets: {}. At: where a rail begins, from the marked end.", others.join(", "))
}

fn stick(
    page: &mut Page,
    (steps, reads): (&StickSteps, Stop),
    style: &LengthStyle,
    names: &Names,
    mark: Mark,
) {
    page.gap();
    let mut head =
        format!("{}  {}  {}", steps.stick, steps.moulding, style.show_unit(steps.length));
    for (word, value) in [("at", &steps.place), ("lot", &steps.lot)] {
        if !value.is_empty() {
            head += &format!("  {word} {value}");
        }
    }
    let is_done = steps.cuts.iter().all(|cut| mark(&steps.stick, cut.number).is_none());
    if is_done {
        head += "  all cut";
    }
    page.line(&format!("{:>3}. ", steps.number), &head);
    if is_done {
        return;
    }
    for flaw in &steps.flaws {
        let zone = format!("{} to {}", style.show(flaw.from), style.show(flaw.to));
        page.line(INDENT, &format!("flaw from {zone}: {}", lies_in(steps, flaw, mark)));
    }
    page.line(INDENT, &format!("from the marked end: trim {}", style.show(steps.first_trim)));
    let widths = Widths::of(steps, reads, style, names);
    for cut in &steps.cuts {
        let mark = mark(&steps.stick, cut.number).unwrap_or_default();
        rail(page, (cut, &mark), reads, style, names, &widths);
    }
    page.line(INDENT, &left(&steps.left, style));
}

/// In which of the cuts that are still to be made a flaw lies: in none, as it was planned,
/// but one that was found since.
fn lies_in(steps: &StickSteps, flaw: &Flaw, mark: Mark) -> String {
    let is_open = |cut: &&Cut| {
        mark(&steps.stick, cut.number).is_some_and(|mark| mark.is_empty() || mark == ON_FLAW)
    };
    let is_hit = |cut: &&Cut| cut.rail.from < flaw.to && cut.rail.to > flaw.from;
    let hit = steps.cuts.iter().filter(is_open).filter(is_hit);
    let hit: Vec<String> = hit.map(|cut| cut.number.to_string()).collect();
    match hit.as_slice() {
        [] => "in no rail".to_owned(),
        some => format!("IN CUT {}, plan the rest again", some.join(" AND ")),
    }
}

/// The widest of each column of one stick.
struct Widths {
    stop: usize,
    others: usize,
    ticket: usize,
    place: usize,
}

impl Widths {
    fn of(steps: &StickSteps, reads: Stop, style: &LengthStyle, names: &Names) -> Widths {
        let widest = |text: &dyn Fn(&Cut) -> String| {
            steps.cuts.iter().map(|cut| clean(&text(cut)).chars().count()).max().unwrap_or(0)
        };
        Widths {
            stop: widest(&|cut| style.show(cut.stop)),
            others: widest(&|cut| words::other_lengths(reads, &cut.rail, style)),
            ticket: widest(&|cut| names.ticket(&cut.rail.frame, cut.rail.copy)),
            place: widest(&|cut| names.place(&cut.rail)),
        }
    }
}

fn rail(
    page: &mut Page,
    (cut, mark): (&Cut, &str),
    reads: Stop,
    style: &LengthStyle,
    names: &Names,
    widths: &Widths,
) {
    if let Some(skip) = &cut.skip {
        let zone = format!("{} to {}", style.show(skip.from), style.show(skip.to));
        page.line(INDENT, &format!("      cut out {zone}"));
        for kept in &skip.kept {
            page.line(INDENT, &format!("      {}", left(kept, style)));
        }
    }
    let mut notes = Vec::new();
    notes.extend(name::mitre_of(cut));
    notes.extend(cut.turn.then(|| "TURN OVER".to_owned()));
    notes.extend(cut.clamp.then(|| "CLAMP".to_owned()));
    notes.extend((!mark.is_empty()).then(|| mark.to_owned()));
    let set = if cut.move_stop { "SET" } else { "   " };
    let stop = style.show(cut.stop);
    let ticket = clean(&names.ticket(&cut.rail.frame, cut.rail.copy));
    let place = names.place(&cut.rail);
    let others = words::other_lengths(reads, &cut.rail, style);
    let at = style.show(cut.rail.from);
    let (a, b, c, d) = (widths.stop, widths.others, widths.ticket, widths.place);
    page.line(
        &format!("{INDENT}{:>3}. {set} ", cut.number),
        &format!("{stop:>a$} {others:b$}  {ticket:c$}  {place:d$}  at {at}  {}", notes.join(", ")),
    );
}

fn left(left: &Left, style: &LengthStyle) -> String {
    let length = style.show_down_unit(left.length);
    if left.keep {
        format!("KEEP {length}, label it {}", left.label)
    } else {
        format!("scrap {length}")
    }
}
