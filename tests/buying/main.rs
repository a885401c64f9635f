//! Buying: against every combination on small orders, by construction on larger
//! ones, worked decisions with their sources, and what the verifier catches.

mod beyond;
mod broke;
mod choice;
mod counter;
mod decisions;
mod every;
mod fill_ups;
mod harm;
mod late;
mod made;
mod minimum;
mod mixed;
mod priced;
mod shops;
