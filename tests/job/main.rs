//! Jobs: the rules against values worked out elsewhere, properties, and whole folders.

mod book;
mod faults;
mod folder;
mod hang;
mod heavy;
mod join;
mod looks;
mod odd;
mod package;
mod properties;
mod sheets;
mod size;
