//! The shop's files as the book keeps them: looked at, and a new version put in as one
//! step, or not at all, with each fault shown at its cell.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;
use axum::routing::get;
use maud::{Markup, html};

use super::form::{form, spelt};
use super::page::{self, Screen};
use super::press::{self, Press};
use super::reply;
use super::site::Site;
use super::visit::Visit;
use crate::book::{BookError, words};
use crate::shop::{FileFault, table_rows};

pub(super) fn routes() -> Router<Arc<Site>> {
    Router::new().route("/files", get(list)).route("/files/{name}", get(file).post(put_in))
}

/// So many rows of a file are shown.
const MOST: usize = 200;

/// Files that a shop may have and not every shop has.
const OPTIONAL: [&str; 2] = ["suppliers.csv", "offers.csv"];

/// Two files of which a row of one may need a row of the other, so that both are put in by one
/// press.
const TOGETHER: [&str; 2] = ["frames.csv", "jobs.csv"];

/// A text of a file, and what tells the one that the form was made from.
struct FileText {
    name: String,
    text: String,
    seen: u64,
}

impl FileText {
    /// As the book has it.
    fn kept(files: &BTreeMap<String, Vec<u8>>, name: &str) -> FileText {
        let bytes = files.get(name).map(Vec::as_slice).unwrap_or_default();
        let text = String::from_utf8_lossy(bytes).into_owned();
        FileText { name: name.to_owned(), text, seen: sum(bytes) }
    }
}

/// The file that is put in beside one, if any is.
fn beside(name: &str) -> Option<&'static str> {
    let at = TOGETHER.iter().position(|own| *own == name)?;
    Some(TOGETHER[1 - at])
}

/// Whether it is a file of the shop, or could be one: a table.
fn is_file(name: &str, files: &BTreeMap<String, Vec<u8>>) -> bool {
    let is_table = name.ends_with(".csv") && !name.contains(['/', '\\']);
    is_table || files.contains_key(name)
}

fn way(name: &str) -> String {
    format!("/files/{}", spelt(name))
}

async fn list(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::show(site, visit, |site, _| {
        let files = site.look(|book| book.files())?;
        let mut names: Vec<&str> = files.keys().map(String::as_str).collect();
        names.extend(OPTIONAL.iter().filter(|name| !files.contains_key(**name)));
        let main = html! {
            h1 { "Files" }
            p { "As the book keeps them. What is on the rack stands under Rack." }
            ul.choose { @for name in names { li { a.big href=(way(name)) {
                (name) @if !files.contains_key(name) { " (none yet)" } } } } }
        };
        Ok(Screen::new("Files", main))
    })
    .await
}

async fn file(State(site): State<Arc<Site>>, Path(name): Path<String>, visit: Visit) -> Response {
    page::aside(move || {
        let files = site.look(|book| book.files())?;
        if !is_file(&name, &files) {
            return Ok(reply::nothing());
        }
        let own = FileText::kept(&files, &name);
        let other = beside(&name).map(|other| FileText::kept(&files, other));
        let main = html! {
            (field(&visit, &own, (other.as_ref(), false)))
            (table(&name, &own.text, &[]))
        };
        page::whole(&site, &visit, Screen::new(name, main))
    })
    .await
}

/// The form: a new version typed, pasted, or taken from a file of the device.
fn field(visit: &Visit, own: &FileText, (other, is_open): (Option<&FileText>, bool)) -> Markup {
    let FileText { name, text, seen } = own;
    html! {
        h1 { (name) }
        (form(visit, &way(name), &html! {
            input type="hidden" name="seen" value=(seen);
            label { "Paste a new version here, or change this one"
                textarea name="text" rows="10" spellcheck="false" wrap="off" { "\n" (text) } }
            label.upload hidden { "or take it from this device"
                input type="file" accept=".csv,.toml,text/*" data-into="text"; }
            @if let Some(other) = other {
                details open[is_open] {
                    summary { "and " (other.name) " by the same press" }
                    p { "For a ticket whose size follows its job: its row in each of them comes, or goes, at once." }
                    input type="hidden" name="other-seen" value=(other.seen);
                    label { span.unseen { (other.name) }
                        textarea name="other" rows="10" spellcheck="false" wrap="off" { "\n" (other.text) } }
                }
            }
            button.go { "PUT IT IN" }
        }))
        p.keys { a.big href="/files" { "ALL FILES" } }
    }
}

/// What tells one text from another.
fn sum(bytes: &[u8]) -> u64 {
    // FNV-1a: nobody has a reason to forge it, since any text may be put in.
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |sum, byte| {
        (sum ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

/// A text as a form sends it, with line ends as files have them.
fn as_file(text: &str) -> String {
    let text = text.replace("\r\n", "\n");
    if text.is_empty() || text.ends_with('\n') { text } else { text + "\n" }
}

async fn put_in(State(site): State<Arc<Site>>, Path(name): Path<String>, press: Press) -> Response {
    page::aside(move || {
        let files = site.look(|book| book.files())?;
        if !is_file(&name, &files) {
            return Ok(reply::nothing());
        }
        let (own, is_stale) = typed(&press, &files, &name, ("text", "seen"));
        let mut other = beside(&name).map(|other| FileText::kept(&files, other));
        let (mut is_other, mut is_theirs) = (false, false);
        if let Some(kept) = other.as_mut().filter(|_| press.all("other").next().is_some()) {
            let (now, is_stale) = typed(&press, &files, &kept.name, ("other", "other-seen"));
            is_other = now.text != as_file(&kept.text);
            is_theirs = is_other && is_stale;
            *kept = now;
        }
        let both = (&own, other.as_ref());
        if (is_stale || is_theirs) && site.look(|book| book.step_of(press.token()))?.is_none() {
            let why = "Somebody changed this file since you opened it, and nothing was done. What you \
                       typed stands below; pressed again, it takes the place of theirs.";
            return again(&site, &press, both, &[why.to_owned()], &[]);
        }
        let as_kept = FileText::kept(&files, &name);
        let is_same = !is_other && own.text == as_file(&as_kept.text);
        if is_same && site.look(|book| book.step_of(press.token()))?.is_none() {
            let why = "It is the same as what the book has already.";
            return again(&site, &press, both, &[why.to_owned()], &[]);
        }
        let mut texts = vec![(own.name.as_str(), own.text.as_str())];
        texts.extend(other.iter().filter(|_| is_other).map(|of| (of.name.as_str(), of.text.as_str())));
        let (_, read) = site.look(|book| book.files_with(&texts))?;
        if let Err(faults) = read {
            let faults: Vec<FileFault> = faults.iter().cloned().collect();
            let lines: Vec<String> = faults.iter().map(ToString::to_string).collect();
            return again(&site, &press, both, &lines, &faults);
        }
        let mut said = String::new();
        let answer = press::at_once(&site, &press, &way(&name), |book, _, stamp| {
            let was = book.shop()?;
            let refreshed = book.refresh_files(&texts, stamp)?;
            let now = book.shop()?;
            let mut lines = words::refresh_lines(&now, &refreshed);
            lines.extend(words::recut_lines(book, &was, &now)?);
            said = lines.join("\n");
            Ok(())
        })?;
        press::keep(&site, press.token(), said)?;
        Ok(answer)
    })
    .await
}

/// What a field of the form says of a file, and whether the file is another by now than when
/// the form was made.
fn typed(
    press: &Press,
    files: &BTreeMap<String, Vec<u8>>,
    name: &str,
    (field, seen): (&str, &str),
) -> (FileText, bool) {
    let kept = FileText::kept(files, name);
    let is_stale = press.text(seen) != kept.seen.to_string();
    (FileText { text: as_file(press.text(field)), ..kept }, is_stale)
}

/// The form again with what was typed, and what is wrong with it.
fn again(
    site: &Site,
    press: &Press,
    (typed, other): (&FileText, Option<&FileText>),
    lines: &[String],
    faults: &[FileFault],
) -> Result<Response, BookError> {
    let of = |name: &str| -> Vec<&FileFault> {
        faults.iter().filter(|fault| fault.file == name).collect()
    };
    let (name, others) = (typed.name.as_str(), other.map(|other| of(&other.name)));
    let main = html! {
        div.framed role="alert" {
            p.words { "Nothing was put in." }
            @for line in lines.iter().take(MOST) { p { (line) } }
        }
        (table(name, &typed.text, &of(name)))
        @if let Some((other, own)) = other.zip(others.as_ref()).filter(|(_, own)| !own.is_empty()) {
            h2 { (other.name) }
            (table(&other.name, &other.text, own))
        }
        (field(&press.visit, typed, (other, true)))
    };
    let mut answer = page::whole(site, &press.visit, Screen::new(name, main))?;
    *answer.status_mut() = StatusCode::CONFLICT;
    Ok(answer)
}

/// The rows as a spreadsheet numbers them; where there are faults, only those rows, each
/// fault at its cell.
fn table(name: &str, text: &str, faults: &[&FileFault]) -> Markup {
    let rows: Vec<(u64, Vec<String>)> = match name.ends_with(".csv") {
        true => table_rows(text.as_bytes()),
        false => (1..).zip(text.lines().map(|line| vec![line.to_owned()])).collect(),
    };
    let header = rows.iter().find(|(_, cells)| !is_aside(cells)).cloned();
    let mut at: BTreeMap<u64, Vec<&FileFault>> = BTreeMap::new();
    for fault in faults {
        at.entry(fault.row.unwrap_or(1)).or_default().push(fault);
    }
    let is_shown = |row: u64| {
        faults.is_empty()
            || at.contains_key(&row)
            || header.as_ref().is_some_and(|(own, _)| *own == row)
    };
    let place = |fault: &FileFault| {
        let names = header.as_ref().map(|(_, cells)| cells.as_slice()).unwrap_or_default();
        let column = fault.column.as_deref()?;
        names.iter().position(|name| name.trim().eq_ignore_ascii_case(column))
    };
    let wide = header.as_ref().map_or(1, |(_, cells)| cells.len());
    let shown: Vec<&(u64, Vec<String>)> = rows.iter().filter(|(row, _)| is_shown(*row)).collect();
    html! {
        div.scroll tabindex="0" { table.cells {
            tbody { @for (row, cells) in shown.iter().take(MOST) {
                @let own = at.get(row).map(Vec::as_slice).unwrap_or_default();
                tr {
                    th scope="row" { (row) }
                    @if own.is_empty() && is_aside(cells) {
                        td.aside colspan=(wide) { (cells.join(",").trim_end_matches(',')) }
                    } @else { @for (column, cell) in cells.iter().enumerate() {
                        @let bad = own.iter().any(|fault| place(fault) == Some(column) || !name.ends_with(".csv"));
                        td.bad[bad] { (cell) @if bad { b { " \u{2190} wrong" } } }
                    } }
                }
                @for fault in own { tr { th { } td colspan=(cells.len().max(1)) { b { (fault) } } } }
            } }
        } }
        @if shown.len() > MOST { p { "And " (shown.len() - MOST) " rows more." } }
    }
}

/// A row that is a comment or blank.
fn is_aside(cells: &[String]) -> bool {
    cells.first().is_some_and(|cell| cell.trim_start().starts_with('#'))
        || cells.iter().all(|cell| cell.trim().is_empty())
}
