//! Many shops: tasks from standard input, and the driver that has them answered on many
//! machines while some of them die.
#![cfg(unix)]

mod driver;
#[allow(dead_code, reason = "the tests of signals use the rest of it")]
#[path = "../interrupts/run.rs"]
mod run;
mod signals;
mod task;
mod work;
