//! Several mouldings side by side for the same size.

use jiff::civil::Date;

use crate::quote::Quote;
use crate::shop::Shop;
use crate::ticket::Concern;

use super::either::typed;
use super::quote_text::{codes, day, names, size, times};
use super::text::Page;
use super::words::{and, held, if_taken};

/// Several mouldings side by side for the same size.
pub fn side_by_side(quotes: &[Quote], asked: Option<Date>, today: Date, shop: &Shop) -> String {
    let mut page = Page::new();
    let Some(first) = quotes.first() else { return page.into_text() };
    let when = asked.map(|asked| format!(", wanted {}", day(asked, today))).unwrap_or_default();
    page.line("", &format!("{}{when}:", size(first, shop)));
    page.gap();
    let rows: Vec<[String; 3]> =
        quotes.iter().map(|quote| row(quote, asked, today, shop)).collect();
    let widths: Vec<usize> = (0..3)
        .map(|column| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0))
        .collect();
    for (quote, [codes, price, ready]) in quotes.iter().zip(&rows) {
        let start = format!("{codes:<0$}  {price:>1$}  ", widths[0], widths[1]);
        page.line(&start, ready);
        // A job's package follows its moulding.
        let own = Some(size(quote, shop)).filter(|own| *own != size(first, shop));
        let own = own.map(|own| format!(", {own}")).unwrap_or_default();
        page.line("  ", &format!("{}{own}", names(quote, shop)));
        if let Some(price) = quote.price.as_ref().filter(|price| !price.without.is_empty()) {
            page.line("  ", &format!("without {}, of no price", and(&price.without)));
        }
        let mut look: Vec<&str> = quote.concerns.iter().map(Concern::name).collect();
        look.dedup();
        if !look.is_empty() {
            page.line("  ", &format!("look at: {}", look.join(", ")));
        }
    }
    page.into_text()
}

fn row(quote: &Quote, asked: Option<Date>, today: Date, shop: &Shop) -> [String; 3] {
    let copies = quote.frame.copies;
    let price = match (&quote.price, quote.list) {
        (Some(price), _) => shop.settings.currency.show(times(price.said, copies)),
        (None, Some(list)) => format!("list {}", shop.settings.currency.show(times(list, copies))),
        (None, None) => "no price".to_owned(),
    };
    let ready = match (&quote.promise, &quote.held) {
        (Some(promise), _) => match asked {
            Some(asked) if promise.ready > asked => {
                let before = match quote.sooner {
                    Some(_) => "unless others are late not before",
                    None => "not before",
                };
                format!("{before} {}{}", day(promise.ready, today), cost(quote, shop))
            }
            Some(asked) => {
                let yes = match quote.can_be_promised(Some(asked)) {
                    true if quote.ask_first().is_empty() => "yes",
                    true => "perhaps",
                    false => "only so",
                };
                let due = day(quote.frame.due.unwrap_or(asked), today);
                format!("{yes}, {due}{}", cost(quote, shop))
            }
            None => format!("{}{}", day(promise.ready, today), cost(quote, shop)),
        },
        (None, Some(reason)) => typed(&held(reason, &shop.settings.style())),
        (None, None) => "no day: it is not known when its moulding comes".to_owned(),
    };
    [codes(quote), price, ready]
}

/// What the day costs others, and what it hangs on.
pub(super) fn cost(quote: &Quote, shop: &Shop) -> String {
    match asked_first(quote, shop).as_str() {
        "" => others(quote),
        ask => format!("{}, if {ask}: ask them first", others(quote)),
    }
}

/// What the day hangs on of what suppliers have to be asked first; empty where on nothing.
pub fn asked_first(quote: &Quote, shop: &Shop) -> String {
    let Some(promise) = &quote.promise else { return String::new() };
    let taken = Some(&promise.ask_first).filter(|refusing| !refusing.is_empty());
    let sent = promise.lengths.iter().map(|asked| {
        let s = if let [_] = asked.suppliers.as_slice() { "s" } else { "" };
        let least = shop.settings.style().show_unit(asked.least);
        let (who, what) = (and(&asked.suppliers), &asked.moulding);
        format!("{who} send{s} {what} in lengths of at least {least}")
    });
    let all: Vec<String> =
        taken.map(|refusing| if_taken(refusing)).into_iter().chain(sent).collect();
    and(&all)
}

fn others(quote: &Quote) -> String {
    let (broken, late) = (quote.made_late(true), quote.made_late(false));
    match (broken.is_empty(), late.is_empty()) {
        (false, _) => format!(", if the promise for {} is broken", broken.join(", ")),
        (true, false) => format!(", but {} will be late", late.join(", ")),
        (true, true) => String::new(),
    }
}
