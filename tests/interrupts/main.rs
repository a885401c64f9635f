//! Signals, closed pipes, full disks: what ends a command from outside.
//!
//! The program itself is run and real signals are sent to it, so all of this is
//! for systems that have them.
#![cfg(unix)]

mod places;
mod run;
mod signals;
