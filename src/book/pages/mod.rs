//! The pages of the book: labels to print, figures to look at.
