//! An order held against what was billed of it, as a table and in words.

use crate::book::{PlacedLine, ReckonedLine, Reckoning};
use crate::measure::{Length, Money};
use crate::report::escape::clean;
use crate::report::text::paged;
use crate::shop::{Settings, Shop};

/// What the columns of the table are called.
pub const RECKONING_COLUMNS: [&str; 7] = ["", "", "ordered", "came", "comes to", "billed", "more"];

/// The table, and below it what is different.
pub fn reckoning_text(of: &Reckoning, shop: &Shop) -> String {
    let mut text = paged(&reckoning_head(of, shop)) + &row(RECKONING_COLUMNS.map(str::to_owned));
    text.extend(reckoning_rows(of, &shop.settings).into_iter().map(row));
    text.push('\n');
    text.extend(reckoning_words(of, &shop.settings).iter().map(|words| paged(words)));
    text
}

/// Of which order it is, from whom, and in which money.
pub fn reckoning_head(of: &Reckoning, shop: &Shop) -> String {
    let from = match shop.suppliers.get(&of.supplier) {
        Some(supplier) => format!(" from {} ({})", supplier.name, supplier.id),
        None if of.supplier.is_empty() => String::new(),
        None => format!(" from {}", of.supplier),
    };
    format!("Order {} of {}{from}, in {}", of.order, of.date, shop.settings.currency.code())
}

/// The lines of the order, and what is charged beside them, by [`RECKONING_COLUMNS`].
pub fn reckoning_rows(of: &Reckoning, settings: &Settings) -> Vec<[String; 7]> {
    let line = |line: &ReckonedLine| {
        let billed = line.billed.filter(|_| of.bills > 0);
        let [worth, billed, more] = sums(line.worth, billed, settings);
        [
            line.line.line.to_string(),
            line.line.moulding.clone(),
            format!("{} x {}", line.line.count, ordered(&line.line, settings)),
            came(line, settings),
            worth,
            billed,
            more,
        ]
    };
    let charge = |(name, worth, billed): (&str, Option<Money>, Money)| {
        let billed = Some(billed).filter(|_| of.bills > 0);
        let [worth, billed, more] = sums(worth, billed, settings);
        let agreed = if name == "goods" { "" } else { "agreed" };
        let none = String::new();
        [none.clone(), name.to_owned(), none, agreed.to_owned(), worth, billed, more]
    };
    of.lines.iter().map(line).chain(charges(of).map(charge)).collect()
}

/// What is not as it was ordered, a sentence each, or that nothing is.
pub fn reckoning_words(of: &Reckoning, settings: &Settings) -> Vec<String> {
    let mut said = differences(of, settings);
    if of.bills == 0 {
        said.insert(0, "Nothing of it is billed yet.".to_owned());
    } else if said.is_empty() {
        said.push("Nothing is different, and nothing is to come any more.".to_owned());
    }
    said
}

fn row(cells: [String; 7]) -> String {
    let [line, name, ordered, came, worth, billed, more] = cells;
    let text =
        format!("{line:>4}  {name:<12} {ordered:>14} {came:>14} {worth:>9} {billed:>9} {more:>9}");
    clean(text.trim_end()) + "\n"
}

/// The goods, and what is charged beside them: as it should be, and as it is billed.
fn charges(of: &Reckoning) -> [(&'static str, Option<Money>, Money); 3] {
    [
        ("goods", of.goods, of.billed.goods),
        ("carriage", of.agreed.map(|(carriage, _)| carriage), of.billed.carriage),
        ("other", of.agreed.map(|(_, other)| other), of.billed.other),
    ]
}

/// How long each is as it is ordered; of sheets their size.
fn ordered(line: &PlacedLine, settings: &Settings) -> String {
    let style = settings.style();
    match line.form.as_str() {
        "sheet" => format!("{} x {}", style.show(line.length), style.show(line.piece)),
        _ => style.show(line.length),
    }
}

/// How many pieces came, and how long they are end to end.
fn came(line: &ReckonedLine, settings: &Settings) -> String {
    let count = format!("{} of {}", line.line.came, line.line.all());
    match line.length == Length::ZERO {
        true => count,
        false => format!("{}: {}", line.line.came, settings.style().show(line.length)),
    }
}

fn sums(worth: Option<Money>, billed: Option<Money>, settings: &Settings) -> [String; 3] {
    let show = |sum: Option<Money>| sum.map(|sum| settings.currency.show(sum)).unwrap_or_default();
    let more = worth.zip(billed).map(|(worth, billed)| billed.0 - worth.0);
    let more = match more.filter(|more| *more != 0) {
        Some(more) if more > 0 => format!("+{}", show(Some(Money(more)))),
        more => show(more.map(Money)),
    };
    [show(worth), show(billed), more]
}

/// What is not as it was ordered, a sentence each.
fn differences(of: &Reckoning, settings: &Settings) -> Vec<String> {
    let amount = |sum: i64| {
        let currency = &settings.currency;
        format!("{} {}", currency.show(Money(sum.abs())), currency.code())
    };
    let left = of.lines.iter().filter(|line| line.line.to_come() > 0);
    let left = left.map(|line| format!("{} of line {}", line.line.to_come(), line.line.line));
    let left = left.collect::<Vec<_>>().join(", ");
    let mut said = Vec::new();
    if !left.is_empty() {
        said.push(format!("Still to come: {left}."));
    }
    for line in of.lines.iter().filter(|line| line.short.0 > 0) {
        let (number, (count, by)) = (line.line.line, line.short);
        let by = settings.style().show_unit(by);
        said.push(format!(
            "Line {number}: {count} of {} came shorter than ordered, by {by} together.",
            line.line.came
        ));
    }
    let is_billed = of.bills > 0;
    for line in &of.lines {
        let number = line.line.line;
        let (Some(worth), Some(billed), true) = (line.worth, line.billed, is_billed) else {
            continue;
        };
        match billed.0 - worth.0 {
            0 => {}
            more if worth == Money(0) => {
                said.push(format!("Line {number}: {} billed, and nothing came.", amount(more)));
            }
            more if more > 0 => said.push(format!(
                "Line {number}: {} more than what came costs at the price it was ordered at.",
                amount(more)
            )),
            less => said.push(format!(
                "Line {number}: {} less than what came costs at the price it was ordered at.",
                amount(less)
            )),
        }
    }
    for (name, worth, billed) in charges(of).into_iter().filter(|_| is_billed) {
        let Some(worth) = worth else { continue };
        let than = match name {
            "goods" => "The goods: {} than what came costs.",
            "carriage" => "Carriage: {} than was agreed.",
            _ => "What else is charged: {} than was agreed.",
        };
        match billed.0 - worth.0 {
            0 => {}
            more if more > 0 => said.push(than.replace("{}", &format!("{} more", amount(more)))),
            less => said.push(than.replace("{}", &format!("{} less", amount(less)))),
        }
    }
    let ordered = of.lines.iter().map(|line| line.line.cost).sum::<Option<Money>>();
    let has_less = of.goods.zip(ordered).is_some_and(|(came, ordered)| came < ordered);
    if has_less && of.agreed.is_some_and(|(_, other)| other.0 > 0) {
        said.push(
            "Less came than was ordered: what makes up a minimum was agreed for all of it, and \
             may be more now."
                .to_owned(),
        );
    }
    said
}
