//! The book: what goes in comes out, a year of random mornings adds up, and a
//! whole day goes as the README tells it.

mod bench_order;
mod cards;
mod changed;
mod codes;
mod command;
mod correct;
mod day;
mod debts;
mod deliveries;
mod figures;
mod harm;
mod invoices;
mod model;
mod offers;
mod on_order;
mod once_ordered;
mod orders;
mod rack;
mod replan;
mod round_trip;
mod said;
mod sheet_orders;
mod sheets;
mod shops;
mod slips;
mod spare;
mod spare_lots;
mod steps;
mod supplied;
mod tickets;
mod when;
