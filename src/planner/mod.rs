//! Who is cut today, and from what: from the pile of pending frames to packed and
//! laid-out sticks.
//!
//! | step | files |
//! |---|---|
//! | the pile as work, and what could make it | `work`, `feasible`, `offered`, `elsewhere`, `lots`, `material` |
//! | who is served where there is not enough | `stage`, `choice`, `choose`, `front`, `component`, `connected`, `search`, `curve`, `cheapest`, `kept`, `by_day`, `patience` |
//! | one moulding packed | `packing`, `settling`, `shares`, `fit`, `keeping`, `effort`, `purse` |
//! | what came of it, written out | `sheet`, `cut_order`, `fewest`, `evening`, `offcut_use`, `taken` |
//! | spare rails | `spare` |

pub(crate) mod by_day;
pub(crate) mod cheapest;
pub(crate) mod choice;
pub(crate) mod choose;
pub(crate) mod component;
pub(crate) mod connected;
pub(crate) mod curve;
pub(crate) mod cut_order;
pub(crate) mod effort;
pub(crate) mod elsewhere;
pub(crate) mod evening;
pub(crate) mod feasible;
pub(crate) mod fewest;
pub(crate) mod fit;
pub(crate) mod front;
pub(crate) mod keeping;
pub(crate) mod kept;
pub(crate) mod lots;
pub(crate) mod material;
pub(crate) mod offcut_use;
pub(crate) mod offered;
pub(crate) mod packing;
pub(crate) mod patience;
pub(crate) mod purse;
pub(crate) mod search;
pub(crate) mod settling;
pub(crate) mod shares;
pub(crate) mod sheet;
pub(crate) mod spare;
pub(crate) mod stage;
pub(crate) mod taken;
pub(crate) mod work;

pub use spare::{From, serving};
