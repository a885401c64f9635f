//! The book: the shop's ledger of sticks and offcuts, frames and orders.
//!
//! One SQLite file. What people typed is kept as they typed it; each
//! stick's length is the sum of its movements, which are only ever added to; the
//! few columns that have a state note every change. So every command is one
//! step in one transaction, and any step can be undone by adding
//! its opposite.

mod answered;
mod assembly;
mod audit;
mod back;
mod backup;
mod begin;
mod bench;
mod bill;
mod bounded;
mod cancel;
mod card;
mod correct;
mod count;
mod cut;
mod debts;
mod device;
mod done;
mod error;
mod export;
mod family;
mod field;
mod figures;
mod finish;
mod flaw;
mod give_up;
mod invoice;
mod journal;
mod laying;
mod lays;
mod ledger;

mod migrate;
mod monthly;
mod offer;
mod on_order;
mod opening;
mod owing;
pub mod pages;
mod price;
mod printed;
mod purchase;
mod rack;
mod read_only;
mod receive;
mod refresh;
mod remains;
mod replan;
mod scrap;
mod snapshot;
mod source_files;
mod spare;
mod spelt;
mod spoil;
mod stamp;
mod step;
mod supplied;
mod take;
mod ticket;
mod undo;
pub mod words;

pub use answered::Confirmation;
pub use assembly::{Assembly, CopyInWork};
pub use audit::Audit;
pub use bench::{AtBench, BenchStick, OwedRail};
pub use bill::BillSums;
pub use cancel::Cancelled;
pub use correct::{Corrected, Correction};
pub use count::{Counted, Difference, Found};
pub use cut::TickedStick;
pub use debts::Debts;
pub use device::{Device, Role};
pub use done::Done;
pub use error::BookError;
pub use family::{Event, History};
pub use figures::{Figures, Use};
pub use finish::Finished;
pub use invoice::{Invoice, ReckonedLine, Reckoning};
pub use journal::LoggedStep;
pub use lays::{BenchRail, RailState, StickLayout};
pub use ledger::Book;
pub use offer::{OfferChange, StockChange, WhichOffers};
pub use on_order::{LineState, PlacedLine, line_of};
pub(crate) use purchase::PART_ORDER;
pub use purchase::Pages;
pub use rack::{OnRack, RackQuery};
pub use receive::{Came, Delivery};
pub use refresh::Refreshed;
pub use replan::{Again, Day, Draft, Replanned};
pub use scrap::Scrapped;
pub use snapshot::{Snapshot, TRIES};
pub use spare::Given;
pub use spoil::{Spoilt, Which};
pub use stamp::Stamp;
pub use take::Taken;
pub use ticket::CopyStand;
