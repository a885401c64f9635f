//! What came, with the lengths that really came: onto the rack, each with a label.

use std::collections::BTreeSet;
use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use maud::{Markup, html};

use super::fields::{FilledIn, line_seen, said};
use crate::book::{Book, BookError, Delivery, PlacedLine, Stamp, words};
use crate::measure::{Length, Money, parse_length};
use crate::shop::write::exact;
use crate::shop::{Lengths, Offer, Shop, read_code, read_flaws, read_words, shown};
use crate::web::form::{form, spelt};
use crate::web::page::{self, Screen};
use crate::web::press::{self, Press};
use crate::web::rack::lists;
use crate::web::site::Site;
use crate::web::sure;
use crate::web::visit::Visit;

/// So many different lengths are said at once.
const ROWS: usize = 5;

/// No more sticks come at once.
const MOST: u32 = 10_000;

pub(super) async fn asked(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::show(site, visit, |site, visit| {
        of_line(site, visit, visit.query("line").parse().ok(), (FilledIn(None), ""))
    })
    .await
}

/// The form for a line of an order, or for none: as it was filled in, where something was
/// wrong with it.
fn of_line(
    site: &Site,
    visit: &Visit,
    line: Option<i64>,
    (typed, wrong): (FilledIn, &str),
) -> Result<Screen, BookError> {
    let today = site.today()?;
    let (shop, open) = (&today.shop, site.look(Book::open_lines)?);
    let head = |head: &str| typed.head(wrong, html! { h1 { (head) } });
    let main = match line.map(|line| open.into_iter().find(|of| of.line == line)) {
        Some(None) => {
            return Err(BookError::Wrong(
                "that line is not open any more (look at the orders)".to_owned(),
            ));
        }
        Some(Some(line)) => html! {
            (head("What came"))
            @match line.form.as_str() {
                "chop" => (chops(visit, shop, &line)),
                "sheet" => { (sheets(visit, (shop, &line), typed)) (lists(&today)) },
                _ => {
                    p.words { (line_seen(visit, shop, &line)) ", " (line.to_come()) " to come" }
                    (sticks(visit, (shop, Some(&line)), typed))
                    (lists(&today))
                },
            }
        },
        None => html! {
            (head("Bought without an order"))
            (sticks(visit, (shop, None), typed))
            (lists(&today))
        },
    };
    Ok(Screen::new("What came", main))
}

fn chops(visit: &Visit, shop: &Shop, line: &PlacedLine) -> Markup {
    html! {
        p.words { (line_seen(visit, shop, line)) }
        (form(visit, "/receive", &html! {
            input type="hidden" name="line" value=(line.line);
            input type="hidden" name="back" value=(format!("/receive?line={}", line.line));
            button.go { "ALL OF IT CAME" }
        }))
        p.keys { a.big href="/order" { "NOT YET" } }
    }
}

fn sheets(visit: &Visit, (shop, line): (&Shop, &PlacedLine), typed: FilledIn) -> Markup {
    let count = line.to_come().to_string();
    html! {
        p.words { (line_seen(visit, shop, line)) ", " (line.to_come()) " to come" }
        (form(visit, "/receive", &html! {
            input type="hidden" name="line" value=(line.line);
            input type="hidden" name="back" value=(format!("/receive?line={}", line.line));
            div.fields {
                label { "How many sheets" input name="sheets" inputmode="numeric" value=(typed.or("sheets", &count)); }
                label { "Place" input name="place" list="places" value=(typed.or("place", "")); }
            }
            button.go { "INTO THE RACK" }
        }))
        p.keys { a.big href="/order" { "NOT YET" } }
    }
}

fn sticks(visit: &Visit, (shop, line): (&Shop, Option<&PlacedLine>), typed: FilledIn) -> Markup {
    let is_random = line.is_some_and(|line| is_random(shop, line));
    let (count, length) = match line {
        // How long these are is known once they are measured.
        Some(line) if is_random => (line.to_come().to_string(), String::new()),
        Some(line) => (line.to_come().to_string(), exact(line.piece, &shop.settings)),
        None => (String::new(), String::new()),
    };
    let lot = match line {
        Some(_) => "Lot; empty if all that comes of that order today is of one",
        None => "Lot; empty where nobody knows",
    };
    html! {
        (form(visit, "/receive", &html! {
            @match line {
                Some(line) => {
                    input type="hidden" name="line" value=(line.line);
                    input type="hidden" name="back" value=(format!("/receive?line={}", line.line));
                },
                None => {
                    input type="hidden" name="back" value="/receive";
                    div.fields {
                        label { "Moulding" input name="moulding" list="mouldings" value=(typed.or("moulding", "")) required; }
                        label { "From whom, if it was bought" input name="from" value=(typed.or("from", "")); }
                        label { "What it cost together" input name="cost" inputmode="decimal" value=(typed.or("cost", "")); }
                    }
                },
            }
            @if is_random { p.words { "They come in random lengths: measure each." } }
            p { "As it was measured, tip to tip along the back edge:" }
            @for row in 0..ROWS {
                @let (count, length) = if row == 0 { (count.as_str(), length.as_str()) } else { ("", "") };
                div.fields.pair {
                    label { "How many" input name="count" inputmode="numeric" value=(typed.nth("count", row, count)); }
                    label { "Length" input name="length" value=(typed.nth("length", row, length)); }
                }
            }
            div.fields {
                label { (lot) input name="lot" autocapitalize="characters" value=(typed.or("lot", "")); }
                label { "Place" input name="place" list="places" value=(typed.or("place", "")); }
                label { "Flaws of each" input name="flaws" value=(typed.or("flaws", "")); }
            }
            button.go { "ONTO THE RACK" }
        }))
        p.keys { a.big href="/order" { "NOT YET" } }
    }
}

/// Whether who sent a line sells its moulding in whatever lengths come.
fn is_random(shop: &Shop, line: &PlacedLine) -> bool {
    let is_own =
        |offer: &&Offer| (&offer.supplier, &offer.moulding) == (&line.supplier, &line.moulding);
    let mut own = shop.offers.iter().filter(is_own);
    own.any(|offer| matches!(offer.lengths, Lengths::Between(from, _) if from == line.length))
}

/// Takes it in. Where it is of a line of chops, that is all there is to say.
pub(super) async fn received(State(site): State<Arc<Site>>, press: Press) -> Response {
    page::aside(move || {
        let doubts = site.look(|book| doubts(book, &press))?;
        let back = match said(&press, "line") {
            Some(line) => format!("/receive?line={}", spelt(&line)),
            None => "/receive".to_owned(),
        };
        let ask = (doubts.as_slice(), sure::MEASURED, "YES, THAT IS WHAT CAME");
        if let Some(question) = sure::asked(&site, &press, ("/receive", &back), ask)? {
            return Ok(question);
        }
        let mut said = String::new();
        let work = |book: &mut Book, press: &Press, stamp: &Stamp| {
            said = taken_in(book, press, stamp)?;
            Ok(())
        };
        let answer = press::or_else(&site, &press, "/print", work, |words| {
            let line = press.text("line").parse().ok();
            let open = site.look(Book::open_lines)?;
            if line.is_some_and(|line| open.iter().all(|of| of.line != line)) {
                return press::refused(&site, &press, "/order", words);
            }
            let page = of_line(&site, &press.visit, line, (FilledIn(Some(&press)), words))?;
            press::not_done(&site, &press, page)
        })?;
        press::keep(&site, press.token(), said)?;
        Ok(answer)
    })
    .await
}

/// What is doubtful of the lengths of what came; nothing where something is wrong with them.
fn doubts(book: &Book, press: &Press) -> Result<Vec<String>, BookError> {
    let (shop, mut faults) = (book.shop()?, Vec::new());
    let lengths: BTreeSet<Length> = lengths(press, &shop, &mut faults).into_iter().collect();
    let of_line = match said(press, "line").map(|_| press.number("line")).transpose()? {
        Some(line) => book.open_lines()?.into_iter().find(|of| of.line == line),
        None => None,
    };
    let (moulding, ordered) = match (of_line, shop.meant_moulding(press.text("moulding").trim())) {
        (Some(line), _) => (line.moulding, Some(line.piece)),
        (None, Ok(moulding)) => (moulding.id.clone(), None),
        (None, Err(_)) => return Ok(Vec::new()),
    };
    let doubt = |length: Length| words::too_long(&shop, &moulding, (length, ordered));
    Ok(lengths.into_iter().filter_map(doubt).collect())
}

fn taken_in(book: &mut Book, press: &Press, stamp: &Stamp) -> Result<String, BookError> {
    let shop = book.shop()?;
    let line = said(press, "line").map(|_| press.number("line")).transpose()?;
    if let (Some(line), Some(many)) = (line, said(press, "sheets")) {
        let count = many.parse::<u32>().map_err(|_| {
            BookError::Wrong(format!("how many: \"{}\" is no number", shown(&many)))
        })?;
        let place = said(press, "place").unwrap_or_default();
        let place =
            read_words(&place).map_err(|fault| BookError::Wrong(format!("place: {fault}")))?;
        let (came, stocks, _) = book.receive_sheet_line((line, Some(count)), &place, stamp)?;
        return Ok(words::sheets_came_words(&shop, &came, &stocks));
    }
    let came = match (line, press.all("length").next()) {
        (Some(line), None) => book.receive_chops(line, stamp)?,
        _ => {
            let (delivery, paid) = delivery(book, press, (&shop, line))?;
            match paid {
                Some((from, cost)) => book.buy(&delivery, (&from, cost), stamp)?,
                None => book.receive(&delivery, stamp)?,
            }
        }
    };
    Ok(words::came_words(&shop, &came))
}

/// What came, from whom and for how much where that was said; all that is wrong at once.
fn delivery(
    book: &Book,
    press: &Press,
    (shop, line): (&Shop, Option<i64>),
) -> Result<(Delivery, Option<(String, Money)>), BookError> {
    let mut faults = Vec::new();
    let lengths = lengths(press, shop, &mut faults);
    let mut read = |name: &str, read: fn(&str) -> Result<String, crate::shop::Mistake>| {
        let text = said(press, name)?;
        read(&text)
            .map_err(|fault| faults.push(format!("{name}: \"{}\" {fault}", shown(&text))))
            .ok()
    };
    let (lot, place) = (read("lot", read_code), read("place", read_words));
    let from = read("from", read_words);
    let moulding = match line {
        Some(line) => book.moulding_of_line(line)?,
        None => match shop.meant_moulding(press.text("moulding").trim()) {
            Ok(moulding) => moulding.id.clone(),
            Err(fault) => {
                faults.push(format!("moulding: {fault}"));
                String::new()
            }
        },
    };
    let flaws = said(press, "flaws").map(|text| read_flaws(&text, &shop.settings)).transpose();
    let flaws = flaws.unwrap_or_else(|fault| {
        faults.push(format!("flaws: {fault}"));
        None
    });
    let cost = said(press, "cost").and_then(|text| {
        let read = shop.settings.currency.parse(&text);
        read.map_err(|fault| faults.push(format!("cost: \"{}\" {fault}", shown(&text)))).ok()
    });
    if from.is_some() != cost.is_some() && faults.is_empty() {
        faults.push("say both from whom and what it cost, or neither".to_owned());
    }
    if !faults.is_empty() {
        return Err(BookError::Wrong(faults.join("\n")));
    }
    let (lot, place) = (lot.unwrap_or_default(), place.unwrap_or_default());
    let flaws = flaws.unwrap_or_default();
    Ok((Delivery { moulding, lengths, lot, place, flaws, line }, from.zip(cost)))
}

/// The lengths, row by row: so many of each.
fn lengths(press: &Press, shop: &Shop, faults: &mut Vec<String>) -> Vec<Length> {
    let mut lengths = Vec::new();
    for (count, length) in press.all("count").zip(press.all("length")) {
        let (count, length) = (count.trim(), length.trim());
        if length.is_empty() && count.is_empty() {
            continue;
        }
        let many = if count.is_empty() { Ok(1) } else { count.parse::<u32>() };
        let many = many.ok().filter(|many| (1..=MOST).contains(many));
        let long = parse_length(length, shop.settings.unit);
        match (many, long) {
            (Some(many), Ok(long)) => lengths.extend((0..many).map(|_| long)),
            (many, long) => {
                if many.is_none() {
                    faults.push(format!(
                        "how many: \"{}\" is no number from 1 to {MOST}",
                        shown(count)
                    ));
                }
                if let Err(fault) = long {
                    faults.push(format!("length: \"{}\" {fault}", shown(length)));
                }
            }
        }
    }
    if lengths.is_empty() && faults.is_empty() {
        faults.push("say how long it is, as it was measured".to_owned());
    }
    lengths
}
