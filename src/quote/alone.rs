//! What each offer by itself would charge for a frame, from an empty rack.

use jiff::civil::Date;

use crate::measure::Worth;
use crate::morning::plan;
use crate::plan::{Account, Bill};
use crate::shop::{Frame, Offer, Shop};
use crate::solve::Limits;
use crate::verify::Fault;

/// One offer's price for the frames of a quote and nothing else, from an empty
/// rack.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Alone {
    /// The row of the offer in `offers.csv`.
    pub offer: u64,
    /// What the supplier charges.
    pub bill: Bill,
    /// The same less what is left on the rack.
    pub net: Worth,
}

/// Each offer of the mouldings of a frame of one layer by itself; of a stack none.
pub(super) fn alone(
    shop: &Shop,
    frame: &Frame,
    date: Date,
    limits: Limits,
) -> Result<Vec<Alone>, Vec<Fault>> {
    let [layer] = &frame.layers[..] else { return Ok(Vec::new()) };
    let undated = Frame { due: None, promised: false, ..frame.clone() };
    let mut bare = Shop { frames: vec![undated], ..shop.clone() };
    bare.rack.clear();
    bare.coming.clear();
    bare.spare.clear();
    let of_it = |offer: &&Offer| offer.moulding == layer.moulding;
    let mut price = |offer: &Offer| {
        bare.offers = vec![offer.clone()];
        let plan = plan(&bare, date, limits)?;
        let bill = plan.order.bills.first().zip(plan.order.account);
        let alone = |(bill, account): (&Bill, Account)| Alone {
            offer: offer.row,
            bill: bill.clone(),
            net: account.net,
        };
        Ok(bill.map(alone))
    };
    shop.offers.iter().filter(of_it).filter_map(|offer| price(offer).transpose()).collect()
}
