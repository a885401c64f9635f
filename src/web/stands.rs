//! How far each copy of a ticket is, and what is left over of it.

use maud::{Markup, html};

use super::site::Site;
use super::today::Today;
use crate::book::{Assembly, BookError, CopyInWork, CopyStand, OwedRail, RailState, words};
use crate::report::name;
use crate::shop::{Frame, Shop, Supplied};

/// Where a copy is, in words: what of it is cut, joined, fitted, owed.
pub(super) fn stand_words(
    today: &Today,
    work: &[CopyInWork],
    frame: &Frame,
    of: &CopyStand,
) -> String {
    let own = |id: &str, copy: u32| (id, copy) == (frame.id.as_str(), of.copy);
    let in_work = work.iter().find(|one| own(&one.frame, one.copy));
    let at_bench = || today.plans.iter().map(|(at, _)| at);
    let owed = at_bench().flat_map(|at| &at.owed).chain(&today.owed);
    let owed: Vec<&OwedRail> = owed.filter(|one| own(&one.frame, one.copy)).collect();
    match of.state.as_str() {
        "" => pile(frame, of.copy, "on the pile"),
        "owed" => {
            let cut = in_work
                .map_or(String::new(), |one| format!(", {} of {} rails", one.rails.len(), one.all));
            let words =
                format!("cut in part{cut}; what it is owed is on the pile{}", named(frame, &owed));
            pile(frame, of.copy, &words)
        }
        "bench" => {
            let rails = at_bench().flat_map(|at| &at.sticks).flat_map(|stick| &stick.lay.rails);
            let to_cut =
                rails.filter(|rail| own(&rail.frame, rail.copy) && rail.state == RailState::ToCut);
            let (cut, to_cut) = (in_work.map_or(0, |one| one.rails.len()), to_cut.count());
            let plan = of.job.map_or(String::new(), |job| format!(", plan {job}"));
            let made = in_work.and_then(|one| one.made).map(Assembly::word);
            let made = made.map_or(String::new(), |made| format!("; {made}"));
            let owed = if owed.is_empty() {
                String::new()
            } else {
                format!("; owed{}", named(frame, &owed))
            };
            let cut = words::count(cut, "rail", "rails");
            format!("at the bench{plan}: {cut} cut, {to_cut} to cut{owed}{made}")
        }
        "chopped" if of.made.is_empty() => "cut, not joined yet".to_owned(),
        "chopped" => of.made.clone(),
        "bought" => "came chopped".to_owned(),
        other => other.to_owned(),
    }
}

/// `: top; left, layer 2`.
fn named(frame: &Frame, owed: &[&OwedRail]) -> String {
    let side = |one: &&OwedRail| {
        let layer = match frame.layers.len() {
            0 | 1 => String::new(),
            _ => format!(", layer {}", one.layer),
        };
        format!("{}{layer}", name::side(one.side))
    };
    let each: Vec<String> = owed.iter().map(side).collect();
    if each.is_empty() { String::new() } else { format!(": {}", each.join("; ")) }
}

/// What a copy on the pile waits for from a supplier.
fn pile(frame: &Frame, copy: u32, words: &str) -> String {
    let own = frame.progress.supplied.iter().filter(|((of, _), _)| *of == copy);
    let each = own.map(|((_, layer), supplied)| match supplied {
        Supplied::Here => format!("; layer {layer} came chopped"),
        Supplied::Coming { supplier, arrives } => {
            let when = arrives.map_or("not known when".to_owned(), |day| format!("expected {day}"));
            format!("; layer {layer} is chopped by {supplier}, {when}")
        }
    });
    format!("{words}{}", each.collect::<String>())
}

/// Rails of it that are nobody's now, and lines that were ordered for what is cancelled.
pub(super) fn left_over(site: &Site, shop: &Shop, frame: &Frame) -> Result<Markup, BookError> {
    let (spare, lines) = site.look(|book| Ok((book.spare()?, book.chopped_for_lines()?)))?;
    let style = shop.settings.style();
    let own = || spare.iter().filter(|(_, rail)| rail.frame == frame.id);
    let lines: Vec<i64> = lines
        .iter()
        .filter(|(_, copies)| copies.iter().any(|(of, _)| *of == frame.id))
        .map(|(line, _)| *line)
        .collect();
    Ok(html! {
        @for (lay, rail) in own() {
            p.framed { "SPARE: " (style.show_unit(rail.to - rail.from)) " of " (lay.moulding) ", cut from "
                (lay.stick) ". Write " b.label { (rail.spare_label()) } " on it." }
        }
        @for line in lines { p { a.big href=(format!("/order#line-{line}")) { "Line " (line) } " is on order for it, chopped." } }
    })
}
