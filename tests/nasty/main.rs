//! Shops that nobody would wish for, and files that nobody meant to write.
//!
//! Every shop folder of `shops` is valid, however odd: it must be planned, the
//! plan must stand, and every sheet of it must be written. Every file of
//! `mangle` may be wrong: it must be read or refused, in few words, and nothing
//! may panic. All is drawn from fixed seeds; a failure names its seed, and
//! `LONGPOINT_SHOP=seed LONGPOINT_SHOP_INTO=folder` writes that shop down.
//! `LONGPOINT_SHOPS` and `LONGPOINT_FILES` make the rings longer.

mod arguments;
mod books;
mod files;
mod judge;
mod limits;
mod mangle;
#[path = "../support/ring.rs"]
mod part;
mod ring;
mod shops;

#[path = "../support/numbers.rs"]
mod numbers;
