//! The pages of the book: labels to print, figures and bills to look at.

mod charts;
mod figures;
mod labels;
mod reckoning;

pub use charts::figures_html;
pub use figures::{figures_csv, figures_text, sheet_figures_csv, sheet_figures_text};
pub use labels::{USUAL_LABEL, labels};
pub use reckoning::{
    RECKONING_COLUMNS, reckoning_head, reckoning_rows, reckoning_text, reckoning_words,
};

use crate::report::escape::escape;
use crate::report::html::STYLE;

/// The opening of a page: self-contained, without scripts.
fn head(title: &str, shop: &str, more: &str) -> String {
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width\">\n<title>{title}</title>\n\
         <style>\n{STYLE}{more}</style>\n</head>\n<body>\n\
         <div class=\"top\"><h1>{}</h1><p>{title}</p></div>\n",
        escape(shop)
    )
}
