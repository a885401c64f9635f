//! Lines of at most eighty columns, whatever is written on them.

use textwrap::core::display_width;
use textwrap::{Options, WordSplitter, WrapAlgorithm, wrap};

use super::super::either::{pressed, typed};
use super::super::escape::clean;

/// How wide the page is.
pub(in crate::report) const COLUMNS: usize = 80;

/// A text that grows line by line and never outgrows its columns.
pub(in crate::report) struct Page {
    text: String,
    columns: usize,
    /// Whether who reads it presses a page, and types no commands.
    is_pressed: bool,
}

impl Page {
    pub(in crate::report) fn new() -> Page {
        Page::of(COLUMNS)
    }

    /// A page of another width.
    pub(in crate::report) fn of(columns: usize) -> Page {
        Page { text: String::new(), columns, is_pressed: false }
    }

    /// Lines of any width, for the shop's page.
    pub(in crate::report) fn pressed() -> Page {
        Page { text: String::new(), columns: usize::MAX, is_pressed: true }
    }

    pub(in crate::report) fn into_text(self) -> String {
        self.text
    }

    /// An empty line, never two together.
    pub(in crate::report) fn gap(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    /// A heading with a rule under it.
    pub(in crate::report) fn heading(&mut self, text: &str) {
        self.gap();
        self.line("", text);
        self.text.push_str(&"-".repeat(self.columns));
        self.text.push('\n');
    }

    /// Text after `first`, its further lines indented as far. Runs of spaces
    /// within `text` stay, so that columns line up; only where it is too long
    /// for the page is it broken, between words or, within a long one, anywhere.
    pub(in crate::report) fn line(&mut self, first: &str, text: &str) {
        let further = " ".repeat(display_width(first));
        let options = options(self.columns).initial_indent(first).subsequent_indent(&further);
        let text = if self.is_pressed { pressed(text) } else { typed(text) };
        for line in wrap(&clean(&text), options) {
            self.text.push_str(line.trim_end());
            self.text.push('\n');
        }
    }

    /// Cells side by side after `first`, each broken within its width; the last stands at
    /// the right.
    pub(in crate::report) fn row<const N: usize>(
        &mut self,
        first: &str,
        widths: [usize; N],
        cells: [&str; N],
    ) {
        let broken = |(text, width): (&str, usize)| -> Vec<String> {
            let text = clean(text);
            let lines = wrap(&text, options(width));
            lines.iter().map(|line| line.trim_end().to_owned()).collect()
        };
        let cells: Vec<Vec<String>> = cells.into_iter().zip(widths).map(broken).collect();
        for line in 0..cells.iter().map(Vec::len).max().unwrap_or(0) {
            let mut text = first.to_owned();
            for (at, (cell, width)) in cells.iter().zip(widths).enumerate() {
                let part = cell.get(line).map_or("", String::as_str);
                let blanks = " ".repeat(width.saturating_sub(display_width(part)));
                text += &if at + 1 == N { blanks + part } else { format!("{part}{blanks} ") };
            }
            self.text.push_str(text.trim_end());
            self.text.push('\n');
        }
    }

    /// Text with something at the right margin; on two lines if it must.
    pub(in crate::report) fn line_and_right(&mut self, text: &str, right: &str) {
        let used = display_width(&clean(text)) + display_width(&clean(right));
        if used + 2 <= self.columns {
            self.line("", &format!("{text}{}{right}", " ".repeat(self.columns - used)));
        } else {
            self.line("", text);
            self.line("", right);
        }
    }
}

/// How lines are broken: between words or, within a long one, anywhere.
fn options<'a>(columns: usize) -> Options<'a> {
    Options::new(columns)
        .wrap_algorithm(WrapAlgorithm::FirstFit)
        .word_splitter(WordSplitter::NoHyphenation)
}

/// A text whose lines are broken where they outgrow the page, each as far indented
/// as it begins, and cleaned of what would steer a terminal.
pub(crate) fn paged(text: &str) -> String {
    let mut page = Page::new();
    for line in text.lines() {
        let words = line.trim_start_matches(' ');
        page.line(&line[..line.len() - words.len()], words);
    }
    page.into_text()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_lines_break_between_words_and_long_words_anywhere() {
        let mut page = Page::new();
        page.line("  * ", &format!("{} end", "word ".repeat(20)));
        page.line("", &"x".repeat(200));
        let text = page.into_text();
        assert!(text.lines().all(|line| line.chars().count() <= COLUMNS));
        assert!(text.lines().nth(1).unwrap().starts_with("    word"));
        assert_eq!(text.matches('x').count(), 200);
    }
}
