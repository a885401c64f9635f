//! Writes an answer for people: a sentence, then a table of what to cut.

use comfy_table::presets::NOTHING;
use comfy_table::{CellAlignment, ContentArrangement, Table, TableComponent};

use super::answer::{PackAnswer, Reason, ReasonKind, Status, StickCuts};
use crate::solve::Problem;

/// The widest line of a terminal that everyone has.
const WIDTH: u16 = 80;

/// The answer in words, ending with a line break.
pub fn write(problem: &Problem, answer: &PackAnswer) -> String {
    let mut text = headline(problem, answer);
    text.push('\n');
    match &answer.reason {
        Some(reason) => {
            push_table(&mut text, &pieces_table(problem, reason));
        }
        None if answer.patterns.is_empty() => {}
        None => {
            text.push_str(&left_over(problem, &answer.patterns));
            text.push('\n');
            push_table(&mut text, &cuts_table(problem, &answer.patterns));
        }
    }
    text
}

fn push_table(text: &mut String, table: &Table) {
    text.push('\n');
    text.push_str(&table.trim_fmt());
    text.push('\n');
}

/// How good the plan is, or why there is none.
fn headline(problem: &Problem, answer: &PackAnswer) -> String {
    if let Some(reason) = &answer.reason {
        return impossible(problem, reason);
    }
    let counting = problem.stock.iter().all(|stock| stock.cost == 1);
    let bound = answer.bound.unwrap_or(0);
    let (Some(cost), Some(sticks)) = (answer.cost, answer.sticks) else {
        let least = if counting {
            format!("at least {} would be needed", sticks_of(bound))
        } else {
            format!("any plan costs at least {bound}")
        };
        return format!(
            "No plan was found in the time given (allow more with --seconds); {least}."
        );
    };
    let proven = answer.status == Status::Proven;
    let taken = sticks_of(i64::try_from(sticks).unwrap_or(i64::MAX));
    match (counting, proven) {
        (true, true) => format!("{taken}, proven fewest."),
        (true, false) => format!("{taken}; at least {bound} are needed."),
        (false, true) => format!("Cost {cost} in {taken}, proven least."),
        (false, false) => format!(
            "Cost {cost} in {taken}; no plan costs less than {bound} (a gap of {} %).",
            percent(i128::from(cost - bound), i128::from(cost))
        ),
    }
}

fn sticks_of(count: i64) -> String {
    match count {
        1 => "1 stick".to_owned(),
        _ => format!("{count} sticks"),
    }
}

/// Why there is no plan; the table below it lists the pieces.
fn impossible(problem: &Problem, reason: &Reason) -> String {
    let items = || reason.items.iter().map(|&item| &problem.items[item]);
    let lengths = || items().map(|item| item.parts[0]);
    match (reason.kind, reason.wanted, reason.room.or(reason.places)) {
        (ReasonKind::TooLong, ..) => {
            let longest = problem.stock.iter().map(|stock| stock.runs[0].room).max();
            let one = items().map(|item| u64::from(item.demand)).sum::<u64>() == 1;
            let pieces = if one { "this piece is" } else { "these pieces are" };
            format!(
                "Impossible: the longest stock is {}, and {pieces} longer.",
                longest.unwrap_or(0)
            )
        }
        (ReasonKind::TooLittle, Some(wanted), Some(room)) => format!(
            "Impossible: these pieces add up to {wanted}. All the stock that is long enough\n\
             for any of them gives {room} at most in such pieces, {} too little.",
            wanted - room
        ),
        (ReasonKind::TooFew, Some(wanted), Some(places)) => {
            let shortest = lengths().min().unwrap_or(0);
            let alike = lengths().all(|length| length == shortest);
            let or_longer = if alike { "" } else { " or longer" };
            format!(
                "Impossible: {wanted} pieces of {shortest}{or_longer} are wanted, but all the stock together\n\
                 has places for {places} at most."
            )
        }
        _ => "Impossible: the stock is long enough in all, but however it is shared out, some\n\
              of these pieces are left over. This is proven."
            .into(),
    }
}

/// How much of the stock taken is not in any piece.
fn left_over(problem: &Problem, cuts: &[StickCuts]) -> String {
    let mut taken = 0;
    let mut left = 0;
    for cut in cuts {
        let times = i128::from(cut.times);
        taken += times * i128::from(stock_length(problem, cut));
        left += times * i128::from(remainder(problem, cut));
    }
    format!("{left} of {taken} is left over ({} %).", percent(left, taken))
}

/// `part` of `whole` in percent, to two places.
fn percent(part: i128, whole: i128) -> String {
    let hundredths = (part * 10_000 + whole / 2) / whole.max(1);
    format!("{}.{:02}", hundredths / 100, hundredths % 100)
}

fn stock_length(problem: &Problem, cut: &StickCuts) -> i64 {
    problem.stock[cut.stock].runs[0].room
}

fn remainder(problem: &Problem, cut: &StickCuts) -> i64 {
    let length = |&(item, count): &(usize, u32)| problem.items[item].parts[0] * i64::from(count);
    stock_length(problem, cut) - cut.items.iter().map(length).sum::<i64>()
}

fn table<const N: usize>(header: [&str; N], numbers: &[usize]) -> Table {
    let mut table = Table::new();
    table
        .load_preset(NOTHING)
        .set_style(TableComponent::HeaderLines, '-')
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(WIDTH)
        .set_header(header);
    for &index in numbers {
        let column = table.column_mut(index).expect("a number stands in a column");
        column.set_cell_alignment(CellAlignment::Right);
    }
    table
}

fn cuts_table(problem: &Problem, cuts: &[StickCuts]) -> Table {
    let mut table = table(["times", "stock", "pieces", "left"], &[0, 1, 3]);
    for cut in cuts {
        table.add_row([
            cut.times.to_string(),
            stock_length(problem, cut).to_string(),
            pieces(problem, cut),
            remainder(problem, cut).to_string(),
        ]);
    }
    table
}

fn pieces_table(problem: &Problem, reason: &Reason) -> Table {
    let mut table = table(["piece", "wanted"], &[0, 1]);
    for item in reason.items.iter().map(|&item| &problem.items[item]) {
        table.add_row([item.parts[0].to_string(), item.demand.to_string()]);
    }
    table
}

/// The pieces of one stick, longest first: `2 x 24 + 20`.
fn pieces(problem: &Problem, cut: &StickCuts) -> String {
    let mut lengths: Vec<(i64, u32)> = Vec::new();
    let mut items = cut.items.clone();
    items.sort_by_key(|&(item, _)| std::cmp::Reverse(problem.items[item].parts[0]));
    for (item, count) in items {
        let length = problem.items[item].parts[0];
        match lengths.last_mut() {
            Some((same, total)) if *same == length => *total += count,
            _ => lengths.push((length, count)),
        }
    }
    let words = lengths.iter().map(|&(length, count)| match count {
        1 => length.to_string(),
        _ => format!("{count} x {length}"),
    });
    words.collect::<Vec<_>>().join(" + ")
}
