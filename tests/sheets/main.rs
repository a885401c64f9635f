//! Boards and glass: known values, brute force that shares no code, weeks against the habit,
//! and what is said of them.

mod brute;
mod check;
mod known;
mod many;
mod most;
mod said;
mod shops;
mod weeks;

use longpoint::measure::Length;

fn mm(length: i64) -> Length {
    Length::from_mm(length)
}
