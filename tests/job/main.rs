//! Jobs: the rules against values worked out elsewhere, properties, and whole folders.

mod book;
mod build_out;
mod canvas;
mod consent;
mod faults;
mod folder;
mod hang;
mod heavy;
mod join;
mod kinds;
mod light;
mod lists;
mod looks;
mod odd;
mod package;
mod pick;
mod properties;
mod sheets;
mod size;
mod toughened;
mod turned;
mod wrong;
