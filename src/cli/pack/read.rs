//! Reads an instance in any of its forms into a question for the solver.

use super::fault::{InputError, InputFault, InputFaults};
use super::{json, number, text};
use crate::solve::{Item, Problem, Run, Stock};

/// The most that all lengths, or all costs, may add up to.
const MOST_SUM: i64 = 1_000_000_000_000_000;

/// The most pieces that all demands may add up to: as many as are counted.
const MOST_PIECES: i64 = number::MOST_COUNT;

/// The most rows of items, and of stock.
const MOST_ITEMS: usize = 20_000;
const MOST_STOCK: usize = 5_000;

/// Reads an instance; `file` is only its name in messages.
///
/// What begins with `{` is the JSON form; otherwise the second row tells the
/// two text forms apart.
///
/// ```
/// use longpoint::cli::pack::read::problem;
/// // Two rails of 24 in and two of 20 in from sticks of 96 in.
/// let problem = problem("rails.txt", "2\n96\n24 2\n20 2\n").unwrap();
/// assert_eq!(problem.stock[0].runs[0].room, 96);
/// assert_eq!(problem.items[1].demand, 2);
/// ```
///
/// # Errors
///
/// All [`InputFaults`] of the instance at once.
pub fn problem(file: &str, text: &str) -> Result<Problem, InputFaults> {
    let mut faults = Vec::new();
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let problem = if text.trim().is_empty() {
        faults.push(InputFault { line: 1, flaw: InputError::Nothing });
        Problem::default()
    } else if text.trim_start().starts_with('{') {
        json::read(text, &mut faults)
    } else {
        text::read(text, &mut faults)
    };
    faults.extend(sums(&problem));
    if faults.is_empty() {
        return Ok(problem);
    }
    faults.sort_by_key(|fault| fault.line);
    Err(InputFaults { file: file.to_owned(), faults })
}

/// A plain stick of one run.
pub(super) fn stock(length: i64, cost: i64, supply: Option<u32>) -> Stock {
    Stock { runs: vec![Run::clear(length)], cost, supply, credit: None, group: 0 }
}

/// A piece that may come from any stick.
pub(super) fn item(length: i64, demand: u32) -> Item {
    Item { parts: vec![length], demand, group: None }
}

/// Whether the sums of a plan stay within what is added up, and its rows within
/// what is held.
fn sums(problem: &Problem) -> Option<InputFault> {
    let demands = || problem.items.iter().map(|item| i128::from(item.demand));
    let pieces = problem.items.iter().map(|item| i128::from(item.parts[0]));
    let lengths: i128 = pieces.zip(demands()).map(|(length, demand)| length * demand).sum();
    let dearest = problem.stock.iter().map(|stock| stock.cost).max();
    // No plan worth having takes more sticks than there are pieces.
    let costs = i128::from(dearest.unwrap_or(0)) * demands().sum::<i128>();
    let most = i128::from(MOST_SUM);
    let flaw = if demands().sum::<i128>() > i128::from(MOST_PIECES) {
        InputError::Pieces { most: MOST_PIECES }
    } else if lengths > most {
        InputError::Sum { what: "the lengths of all pieces", most: MOST_SUM }
    } else if costs > most {
        InputError::Sum { what: "the costs of a stick for each piece", most: MOST_SUM }
    } else if problem.items.len() > MOST_ITEMS {
        InputError::TooMany { what: "items", found: problem.items.len(), most: MOST_ITEMS }
    } else if problem.stock.len() > MOST_STOCK {
        InputError::TooMany { what: "stock lengths", found: problem.stock.len(), most: MOST_STOCK }
    } else {
        return None;
    };
    Some(InputFault { line: 1, flaw })
}
