//! Exact quantities: lengths, money and mitres, parsed from what people type.
//!
//! Everything underneath is an integer, so that two sums of the same rails are
//! equal and no rail "almost" fits.

mod date;
mod decimal;
mod length;
mod mitre;
mod money;
mod parse;
mod rate;
mod show;
mod weight;

pub use decimal::DecimalError;
pub(crate) use decimal::{parse_decimal, show_share};
pub use length::{Length, Unit};
pub use mitre::Mitre;
pub use money::{Currency, Money, Worth};
pub use parse::{LengthError, parse_length, written_unit};
pub use rate::Rate;
pub use show::LengthStyle;
pub use weight::{Weight, WeightError, parse_weight};
