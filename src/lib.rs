//! Longpoint: from a framing shop's pending frames to chopped rails.
//!
//! The long point is the outer tip of a mitred rail. Longpoint works out every
//! rail of every pending frame, packs the rails into the sticks and offcuts on
//! the rack, and says what to cut this morning, what to order and what cannot
//! be made as asked, each with a proof or a bound.
//!
//! # A morning
//!
//! Ana has one ticket: a 16 x 20 in print in a 2 in black moulding. She wants
//! to know whether the eight-foot stick in bay 1 will do, and what is left.
//!
//! ```
//! use longpoint::morning::{WORK, plan};
//! use longpoint::shop::read_files;
//! use longpoint::solve::Limits;
//!
//! let shop = read_files(&[
//!     ("shop.toml", br#"
//!         name = "Ana frames"
//!         unit = "in"
//!         allowance = "1/8"
//!         currency = "USD"
//!         default_cutter = "saw"
//!         [offcuts]
//!         keep = "6"
//!         worth = "0.5"
//!         [cutter.saw]
//!         kerf = "1/8"
//!         passes = 1
//!         nick = "0"
//!         first_trim = "1"
//!         last_trim = "1"
//!         grip = "0"
//!         shortest = "6"
//!         stop = "long"
//!     "#.as_slice()),
//!     ("mouldings.csv", b"moulding,width,rabbet,stick,price,per\nBLACK,2,1/4,96,3.10,ft\n"),
//!     ("frames.csv", b"frame,moulding,width,height,due\n17,BLACK,16,20,2026-12-04\n"),
//!     ("rack.csv", b"stick,moulding,length,place\nS-1,BLACK,96,bay 1\n"),
//! ].into_iter().map(|(name, bytes)| (name.to_owned(), bytes.to_vec())).collect())?;
//!
//! let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
//! let today = jiff::civil::date(2026, 12, 1);
//! let plan = plan(&shop, today, limits).expect("every plan is re-checked");
//!
//! let stick = &plan.today[0];
//! assert_eq!(stick.rails.len(), 4);
//! assert_eq!(shop.settings.style().show(stick.rails[0].long_point), "23 5/8");
//! assert_eq!(shop.settings.style().show_down(stick.left.length), "7 25/32");
//! assert!(stick.left.keep && plan.proof[0].proven);
//! # Ok::<(), longpoint::shop::Faults>(())
//! ```
//!
//! # The map
//!
//! What is typed: [`measure`] (exact lengths, money, mitres) <- [`shop`] (a folder,
//! read and checked, with the rules of [`job`]) <- [`rails`] (mitre arithmetic) <-
//! [`cutting`] (rails and clear runs as integers, and back).
//!
//! Beside rails: [`sheets`], boards and glass, edge to edge.
//!
//! What works: [`solve`] (integers alone), [`stops`] (the order of cuts), [`buy`]
//! (money alone), [`offcuts`] (labels of what is left).
//!
//! What decides: [`morning`] asks [`planner`] who is cut today and `order` what is
//! bought for the rest; the outcome is a [`plan`], plain data, which [`verify`] checks
//! from the inputs alone.
//!
//! What asks the planner again: [`why`] one frame stands where it stands, what else the
//! rack [`fits`], what a frame costs and when it is ready ([`quote`], with [`price`]), and
//! what a [`year`] of such mornings comes to. A [`ticket`] that begins with an artwork is
//! worked out beside the plan.
//!
//! What people see: [`chop`] puts a plan in the bench's order, [`report`] writes it,
//! [`book`] is the shop's ledger, [`cli`] the command line.
//!
//! # What Longpoint does not do
//!
//! It does not know what a wall holds, lay several openings in one mat, place flaws on
//! the back of a moulding, mix mitres within one frame (only regular polygons),
//! bend rails, or know your machine: its manual and the rules of your place
//! come first.
#![deny(missing_docs)]
#![forbid(unsafe_code)]

pub mod book;
pub mod buy;
pub mod chop;
pub mod cli;
pub mod cutting;
pub mod fits;
pub mod job;
pub mod measure;
pub mod morning;
pub mod offcuts;
mod order;
pub mod plan;
pub mod planner;
pub mod price;
pub mod quote;
pub mod rails;
pub mod report;
pub mod sheet_order;
pub mod sheets;
pub mod shop;
pub mod solve;
pub mod stops;
pub mod ticket;
pub mod verify;
pub mod web;
pub mod why;
pub mod year;
