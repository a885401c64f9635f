//! Jobs: the rules against values worked out elsewhere, properties, and whole folders.

mod hang;
mod join;
mod package;
mod properties;
mod size;
