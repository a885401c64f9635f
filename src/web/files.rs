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
    page::show(site, visit, move |site, visit| {
        let files = site.look(|book| book.files())?;
        let text = files.get(&name).map(|bytes| String::from_utf8_lossy(bytes).into_owned());
        let text = text.unwrap_or_default();
        let main = html! {
            (field(visit, &name, &text, sum(text.as_bytes())))
            (table(&name, &text, &[]))
        };
        Ok(Screen::new(name, main))
    })
    .await
}

/// The form: a new version typed, pasted, or taken from a file of the device.
fn field(visit: &Visit, name: &str, text: &str, seen: u64) -> Markup {
    html! {
        h1 { (name) }
        (form(visit, &way(name), &html! {
            input type="hidden" name="seen" value=(seen);
            label { "Paste a new version here, or change this one"
                textarea name="text" rows="10" spellcheck="false" wrap="off" { "\n" (text) } }
            label.upload hidden { "or take it from this device"
                input type="file" accept=".csv,.toml,text/*" data-into="text"; }
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
        let text = as_file(press.text("text"));
        let was = site.look(|book| book.files())?.remove(&name).unwrap_or_default();
        if press.text("seen") != sum(&was).to_string()
            && site.look(|book| book.step_of(press.token()))?.is_none()
        {
            let why = "Somebody changed this file since you opened it, and nothing was done. What you \
                       typed stands below; pressed again, it takes the place of theirs.";
            return again(&site, &press, &name, (&text, sum(&was)), &[why.to_owned()], &[]);
        }
        let (files, read) = site.look(|book| book.files_with(&name, &text))?;
        let faults: Vec<FileFault> = match &read {
            Ok(_) => Vec::new(),
            Err(faults) => faults.iter().cloned().collect(),
        };
        drop(files);
        if !faults.is_empty() {
            let lines: Vec<String> = faults.iter().map(ToString::to_string).collect();
            return again(&site, &press, &name, (&text, sum(&was)), &lines, &faults);
        }
        let mut said = String::new();
        let answer = press::at_once(&site, &press, &way(&name), |book, _, stamp| {
            let refreshed = book.refresh_file(&name, &text, stamp)?;
            said = words::refresh_lines(&book.shop()?, &refreshed).join("\n");
            Ok(())
        })?;
        press::keep(&site, press.token(), said)?;
        Ok(answer)
    })
    .await
}

/// The form again with what was typed, and what is wrong with it.
fn again(
    site: &Site,
    press: &Press,
    name: &str,
    (text, seen): (&str, u64),
    lines: &[String],
    faults: &[FileFault],
) -> Result<Response, BookError> {
    let own: Vec<&FileFault> = faults.iter().filter(|fault| fault.file == name).collect();
    let main = html! {
        div.framed role="alert" {
            p.words { "Nothing was put in." }
            @for line in lines.iter().take(MOST) { p { (line) } }
        }
        (table(name, text, &own))
        (field(&press.visit, name, text, seen))
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
