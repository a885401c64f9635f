//! A simulated year in plain words.

use crate::shop::Shop;
use crate::year::SimulatedYears;

use super::text::Page;
use super::year_words::{BOUND, DOUBT, PAIRS, asked, bound, figures, gained, heads, legend, pair};

/// How wide each column of figures is, with the blank before it.
const WIDTHS: [usize; 8] = [7, 10, 8, 5, 8, 9, 6, 5];
/// How wide the names are.
const NAMES: usize = 22;

/// What each practice came to, what the difference is and how sure, at most eighty
/// columns wide.
pub fn year(years: &SimulatedYears, shop: &Shop) -> String {
    let mut page = Page::new();
    page.line_and_right(&shop.settings.name, "A simulated year");
    page.line("", &"=".repeat(super::text::COLUMNS));
    for line in asked(years, shop) {
        page.line("", &line);
    }
    page.gap();
    page.line("", &row("", &heads(&years.question).map(str::to_owned)));
    let count = years.question.years;
    for of in &years.practices {
        page.line("", &row(of.practice.words(), &figures(&of.together(), &years.question, shop)));
    }
    if years.bounds.is_empty() {
        page.gap();
        page.line("", &legend(&years.question));
        return page.into_text();
    }
    page.line("", &row("nobody can do better", &bound(years, shop)));
    page.gap();
    page.line("", &legend(&years.question));
    page.line("", BOUND);
    page.heading("WHAT A YEAR'S MOULDING COMES TO, ONE AGAINST THE OTHER");
    for (one, other) in PAIRS {
        let Some(words) = pair(years, (one, other), shop) else { continue };
        let against = format!("{}, against {}:", one.words(), other.words());
        page.line("  ", &against);
        page.line("    ", &words);
    }
    if let Some(gained) = gained(years) {
        page.line("", &gained);
    }
    if count > 1 {
        page.line("", DOUBT);
    } else {
        page.line("", "One year says nothing of chance: ask for more with --years.");
    }
    page.into_text()
}

fn row(name: &str, cells: &[String]) -> String {
    let cells = cells.iter().zip(WIDTHS).map(|(cell, width)| format!("{cell:>width$}"));
    format!("{name:<NAMES$}{}", cells.collect::<String>())
}
