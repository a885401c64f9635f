//! What can be wrong in a shop's files, each with its mend.

use crate::measure::{DecimalError, LengthError};
use crate::shop::BuildOutMisfit;

use super::beyond::Beyond;
use super::job_mistake::JobMistake;
use super::suggest::did_you_mean;

/// What can be wrong, each with its mend in brackets.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Mistake {
    // The file as a whole.
    /// A file that every shop needs is not there.
    #[error("is missing (write it; \"longpoint demo DIR\" writes an example of each file)")]
    MissingFile,
    /// A file with nearly the right name.
    #[error("is not a file that is read here (did you mean {near}?)")]
    Misnamed {
        /// The name that is read.
        near: String,
    },
    /// The operating system gives an error.
    #[error("cannot be read: {reason} (close other programs that hold it, or check its rights)")]
    Unreadable {
        /// What the operating system says.
        reason: String,
    },
    /// Of a price list.
    #[error(transparent)]
    List(#[from] super::list_mistake::ListMistake),
    /// Of a workbook.
    #[error(transparent)]
    Workbook(#[from] super::workbook_mistake::WorkbookMistake),
    /// The folder itself cannot be listed.
    #[error("cannot be listed as a folder: {reason} (give the folder that holds shop.toml)")]
    NoFolder {
        /// What the operating system says.
        reason: String,
    },
    /// Two bytes a letter.
    #[error("is UTF-16 text (save it as UTF-8; a spreadsheet calls that \"CSV UTF-8\")")]
    Utf16,
    /// Bytes that are not UTF-8.
    #[error(
        "is not UTF-8 text, but most likely Windows-1252 or Latin-1 (save the file as UTF-8; a \
         spreadsheet calls that \"CSV UTF-8\")"
    )]
    NotUtf8,
    /// Not TOML.
    #[error("is not TOML: {reason} (write lines such as unit = \"in\")")]
    Toml {
        /// What the TOML reader says.
        reason: String,
    },
    // The table.
    /// No header row.
    #[error("has no header row (the first row names the columns: {columns})")]
    NoHeader {
        /// The names of the columns.
        columns: String,
    },
    /// A decimal point in a file of decimal commas.
    #[error(
        "has a decimal point, and other cells of the file have decimal commas (write all of them \
         one way)"
    )]
    MixedDecimals,
    /// Cells parted by tabs.
    #[error("is parted by {by} (save the file with commas between the cells)")]
    NotCommas {
        /// Semicolons or tabs.
        by: &'static str,
    },
    /// A column, or a key of `shop.toml`, that means nothing here.
    #[error("is not known here ({})", did_you_mean(.near, &format!("known are {known}")))]
    UnknownColumn {
        /// A known one that is spelt alike.
        near: Option<String>,
        /// All that are known.
        known: String,
    },
    /// A column that stands twice.
    #[error("stands twice in the header (take one of the two columns away)")]
    RepeatedColumn,
    /// A column that must be there.
    #[error("the column is missing (add it to the header row: {what})")]
    MissingColumn {
        /// What it holds.
        what: &'static str,
    },
    /// A cell outside the named columns.
    #[error(transparent)]
    Beyond(#[from] Beyond),
    /// A quote that never closes.
    #[error("opens a quoted cell that never closes (close the quote or take it away)")]
    OpenQuote,
    /// Text after a closing quote.
    #[error("goes on after its closing quote (double each quote that is part of the text)")]
    AfterQuote,
    /// A ticket number that would be taken for a comment.
    #[error(
        "would be left out as a comment (write the number without #, or a space after it to leave the row out)"
    )]
    NumberOrComment,
    // A cell.
    /// An empty cell that must be filled.
    #[error("is empty (write {what})")]
    Missing {
        /// What belongs there.
        what: &'static str,
    },
    /// A key of `shop.toml` that must be there.
    #[error("is missing (write {what})")]
    MissingKey {
        /// What belongs there.
        what: &'static str,
    },
    /// No length.
    #[error(transparent)]
    Length(#[from] LengthError),
    /// Of a job or a material.
    #[error(transparent)]
    Job(#[from] JobMistake),
    /// A build-out that cannot lie there.
    #[error(transparent)]
    BuildOut(#[from] BuildOutMisfit),
    /// No decimal figure.
    #[error(transparent)]
    Decimal(#[from] DecimalError),
    /// Not mitres.
    #[error("is not a mitre (write degrees off square: \"45\", \"45; 30\" or \"22.5 .. 45\")")]
    Mitres,
    /// Zero where something must be.
    #[error("is not more than zero (write {what})")]
    Zero {
        /// What belongs there.
        what: &'static str,
    },
    /// A few millimetres are meant.
    #[error("is more than 50 mm, which no {what} is (is the unit right?)")]
    TooMuch {
        /// What it is.
        what: &'static str,
    },
    /// A number in `shop.toml` that is not text.
    #[error("is a bare decimal (write it in quotes: \"{text}\")")]
    BareDecimal {
        /// The figure as written.
        text: String,
    },
    /// A table, list, date or truth value in `shop.toml` where text belongs.
    #[error("is {found} where a text belongs (write {what})")]
    NotText {
        /// What stands there.
        found: &'static str,
        /// What belongs there.
        what: &'static str,
    },
    /// A key of `shop.toml` that should open a section.
    #[error("is not a section (write [{example}] and its lines below it)")]
    NotSection {
        /// A header as it should be.
        example: &'static str,
    },
    /// No whole number, or out of range.
    #[error("is not a whole number from {least} to {most} (write it in digits)")]
    Count {
        /// The least that may be.
        least: u32,
        /// The most that may be.
        most: u32,
    },
    /// A decimal beyond what is meant.
    #[error("is more than {most} (is a decimal point missing?)")]
    AboveMost {
        /// The most that may be.
        most: u32,
    },
    /// Not one of a few words.
    #[error("is not one of {known} ({})", did_you_mean(.near, "write one of these words"))]
    Word {
        /// The words.
        known: String,
        /// One that is spelt alike.
        near: Option<String>,
    },
    /// No date.
    #[error("is not a date (write year, month and day as 2026-03-05)")]
    Date,
    /// A date that nobody means.
    #[error("is not between 1900 and 2200 (write the year in full)")]
    DateRange,
    /// No days of the week.
    #[error("is not days of the week (write Mon; Thu or Mon .. Fri)")]
    Weekdays,
    /// A range of dates the wrong way round.
    #[error("begins after it ends (write the earlier date first)")]
    DatesBackwards,
    /// No time of day.
    #[error("is not a time of day (write hours and minutes as 14:30)")]
    Time,
    /// An id or name that is too long.
    #[error("is longer than {most} letters (shorten it)")]
    TooLong {
        /// How many it may have.
        most: usize,
    },
    /// A name in `shop.toml` with blanks at its ends, or nothing but blanks.
    #[error("is a name that is empty, or has a blank before or after it (write it without)")]
    Padded,
    /// A text with control characters.
    #[error("holds an invisible character (type it anew)")]
    Control,
    /// No address of a page.
    #[error("is not a page's address (write http:// and the computer's address, without a path)")]
    PageAddress,
    /// No currency.
    #[error("is not a currency code (write three capitals such as USD, EUR or GBP)")]
    Currency,
    // Cells that must agree.
    /// An id that stands twice.
    #[error("stands already in row {first} (give each its own)")]
    Repeated {
        /// Where it stands first.
        first: u64,
    },
    /// A label of a sheet that a stick has.
    #[error("is the label of a stick in rack.csv (give each its own)")]
    StickLabel,
    /// An offer that stands twice.
    #[error(
        "is offered already in row {first} in the same form (join the two, or give other lengths or dates)"
    )]
    RepeatedOffer {
        /// Where it stands first.
        first: u64,
    },
    /// A frame that stands twice without being a stack.
    #[error(
        "has its layer {layer} already in row {first} (give the frame its own number, or the layer the next one)"
    )]
    RepeatedLayer {
        /// Which layer.
        layer: usize,
        /// Where it stands first.
        first: u64,
    },
    /// A layer without the one inside it.
    #[error(
        "has no layer {missing} above it (number the layers of a stack 1, 2, 3 from inside out)"
    )]
    LayerGap {
        /// Which layer is missing.
        missing: usize,
    },
    /// A pile beyond all bounds.
    #[error("brings the pile over {most} rails (plan fewer frames at a time)")]
    TooManyRails {
        /// How many there may be.
        most: u64,
    },
    /// A reference that does not resolve.
    #[error("is not {list} ({})", did_you_mean(.near, "add it there, or mend it here"))]
    Unresolved {
        /// Where it was looked for, such as "in mouldings.csv".
        list: &'static str,
        /// An id that is spelt alike.
        near: Option<String>,
    },
    /// A size on an upper layer that is not the first layer's.
    #[error("is not what layer 1 says (leave it empty: a stack has it on layer 1 only)")]
    UnlikeLayerOne,
    /// A height that is not the width of a regular frame.
    #[error("is not the width (leave it empty: all sides of such a frame are alike)")]
    UnlikeWidth,
    /// A length that has no place on the curve of what offcuts are worth.
    #[error("is not from {from} up to below {to} (leave the row out)")]
    OffCurve {
        /// What is kept at the least.
        from: String,
        /// The usual stick.
        to: String,
    },
    /// The rows of a moulding are not in order.
    #[error(
        "does not go on from {before} (write a moulding's rows from the shortest to the longest, none worth less than a shorter one)"
    )]
    Falls {
        /// What stands before it.
        before: String,
    },
    /// More rows than a curve may have.
    #[error("is one row too many of its moulding (write {most} at most beside that of keep)")]
    TooManyKnots {
        /// How many there may be.
        most: usize,
    },
    /// A floor above the match itself.
    #[error("is stronger than the match, {match_} (write that or a weaker one, or leave it empty)")]
    FloorAboveMatch {
        /// The match.
        match_: &'static str,
    },
    /// A lip as wide as the face.
    #[error(
        "is not less than the width (the rabbet is the part of the width that covers the package)"
    )]
    RabbetTooWide,
    /// Something that only some kinds have.
    #[error("belongs to {belongs} only (leave it empty here)")]
    OutOfPlace {
        /// Where it belongs.
        belongs: &'static str,
    },
    /// A floater with an allowance.
    #[error("is refused for a floater (its gap is its allowance: write 0 or leave it empty)")]
    FloaterAllowance,
    /// What a price is for, without the price.
    #[error("stands without a price (write the price, or leave both empty)")]
    PerAlone,
    /// A charge without the figure that it begins at.
    #[error("stands without {with} (write both, or leave both empty)")]
    ChargeAlone {
        /// The column of that figure.
        with: &'static str,
    },
    /// A chop without a range.
    #[error("is not a range (write the shortest and the longest rail that they cut, as 6 .. 60)")]
    ChopRange,
    /// A box that holds no stick, or nothing that can be read.
    #[error("is not one stick or more (write sticks as 12, or their length together as 100 ft)")]
    Carton,
    /// A unit of price that does not fit the form.
    #[error("is no unit for {what} (write {allowed})")]
    WrongPer {
        /// What is sold.
        what: &'static str,
        /// What fits.
        allowed: &'static str,
    },
    /// A usual length that is not worth keeping.
    #[error("is not longer than the shortest offcut kept, {keep} (mend it, or keep in shop.toml)")]
    NotAboveKeep {
        /// The shortest offcut kept, in the shop's unit.
        keep: String,
    },
    /// A bench mark that a ruler cannot show.
    #[error("is no bench mark: {why}")]
    Mark {
        /// Why not, and the mend.
        why: &'static str,
    },
    /// Days that never come.
    #[error("leaves no day on which {what} (mend the days of the week or the dates closed)")]
    NoDays {
        /// What is done on such a day.
        what: &'static str,
    },
    /// A share beyond the whole.
    #[error("is more than 1 (write the share between 0 and 1, such as 0.5)")]
    AboveOne,
    /// A discount of everything, or too fine.
    #[error("is no discount (write the share taken off, below 1 and to four decimals, as 0.125)")]
    Discount,
    /// A period that ends before it begins.
    #[error("is before from (write the first day in from and the last in until)")]
    UntilBeforeFrom,
    /// The same in other rows of a list.
    #[error("{problem}; the same in {more} more row{}", if *.more == 1 { "" } else { "s" })]
    InMoreRows {
        /// What is wrong.
        problem: Box<Mistake>,
        /// In how many more rows.
        more: u64,
    },
    // Lists within a cell.
    /// No `from .. to`.
    #[error("is not a range (write two lengths as 14 1/2 .. 16, the next after a semicolon)")]
    Range,
    /// A range the wrong way round.
    #[error("begins after it ends (write the smaller length first)")]
    Backwards,
    /// A flaw beyond the stick.
    #[error("ends beyond the stick, which is {length} long (measure from the marked end)")]
    BeyondStick {
        /// The stick's length in the shop's unit.
        length: String,
    },
    /// No `price from count`.
    #[error("is not a step (write {example})")]
    Step {
        /// How it should look.
        example: &'static str,
    },
    /// Steps out of order.
    #[error("does not begin above the step before it (write the steps in rising order)")]
    StepOrder,
}
