//! The chosen ways written out as lines, bills, sticks and chops.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::Buyer;
use super::advice::form;
use super::finish::{Detail, lots_of};
use super::packer::Phase;
use super::wants::{WantedLayer, Wants};
use crate::buy::{OfferQuantity, Way, bill, chop_fee, goods_of, price_at, quantity, step_reached};
use crate::measure::{Length, Money, Worth};
use crate::plan::{Chopped, CutStick, Order, OrderLine};
use crate::planner::sheet::Sheet;
use crate::planner::stage::Batch;
use crate::shop::{Offer, WHOLE};

impl Buyer<'_> {
    /// The order as it goes to the suppliers and to the bench.
    pub(super) fn write(&self, chosen: &[(&Wants, &Way, &Detail)], sheet: &mut Sheet) -> Order {
        let mut order = Order::default();
        for (wants, _, detail) in chosen {
            order.lines.extend(self.sticks_lines(wants, detail));
            let mut cut: Vec<(usize, usize, u32)> =
                detail.bought.iter().map(|line| (line.kind, line.supply, line.cut)).collect();
            for phase in &detail.phases {
                order.sticks.extend(self.sticks(wants, phase, &mut cut, sheet));
            }
            self.chopped(wants, detail, &mut order);
        }
        order.lines.sort_by(|a, b| (&a.supplier, a.offer).cmp(&(&b.supplier, b.offer)));
        self.bills(chosen, &mut order);
        order
    }

    /// The lines of the sticks and boxes of one moulding.
    fn sticks_lines(&self, wants: &Wants, detail: &Detail) -> Vec<OrderLine> {
        let mut lines = Vec::new();
        for (place, lots) in lots_of(wants, &detail.bought) {
            let offer = &self.shop.offers[place];
            let of_offer =
                detail.bought.iter().filter(|line| wants.supplies[line.supply].offer == place);
            for ((line, cost), lot) in of_offer.zip(parts(offer, &lots)).zip(&lots) {
                lines.push(OrderLine {
                    supplier: offer.supplier.clone(),
                    form: form(&offer.form).to_owned(),
                    moulding: wants.moulding.id.clone(),
                    length: lot.length,
                    height: None,
                    count: lot.count,
                    cost: Some(cost),
                    offer: Some(offer.row),
                    halved: line.piece.halved,
                    pieces: line.pieces,
                    cut: line.cut,
                    restock: line.restock,
                    rails: Vec::new(),
                    tickets: Vec::new(),
                });
            }
        }
        lines
    }

    /// The sticks of a phase, the new ones with their suppliers: `cut` says how
    /// many of a kind are still to be cut of each supply.
    fn sticks(
        &self,
        wants: &Wants,
        phase: &Phase,
        cut: &mut [(usize, usize, u32)],
        sheet: &mut Sheet,
    ) -> Vec<CutStick> {
        let batch = Batch {
            moulding: wants.moulding.id.clone(),
            fit: phase.fit.clone(),
            free: None,
            places: phase.places.to_vec(),
            sources: phase.sources.to_vec(),
            owners: owners(phase),
            bound: Worth(0),
            proven: false,
        };
        let mut sticks = sheet.sticks(self.work, &batch);
        let new = sticks.iter_mut().filter(|stick| stick.is_new);
        for (stick, &source) in new.zip(&phase.cut) {
            let of = |(kind, _, left): &&mut (usize, usize, u32)| {
                phase.kinds[source] == Some(*kind) && *left > 0
            };
            let (_, supply, left) = cut.iter_mut().find(of).expect("what is cut is bought");
            *left -= 1;
            let offer = wants.supplies[*supply].offer;
            stick.supplier = self.shop.offers[offer].supplier.clone();
        }
        sticks
    }

    /// The chops of one moulding: each layer, and the lines for those alike.
    fn chopped(&self, wants: &Wants, detail: &Detail, order: &mut Order) {
        for (place, layers) in &detail.chopped {
            self.chopped_by(wants, &self.shop.offers[*place], layers, order);
        }
    }

    /// The chops of one moulding by one offer.
    fn chopped_by(&self, wants: &Wants, offer: &Offer, layers: &[WantedLayer], order: &mut Order) {
        let mut alike: BTreeMap<(Length, Vec<Length>), u32> = BTreeMap::new();
        for layer in layers {
            let billed = crate::buy::chop_billed(offer, wants.perimeter(layer));
            let rails = wants.asks[layer.ask].rails.iter().map(|rail| rail.long_point).collect();
            *alike.entry((billed, rails)).or_default() += 1;
            let task = &self.work.tasks[layer.task];
            let class = &self.work.classes[task.class];
            let layer = class
                .layers
                .iter()
                .position(|l| l.moulding == wants.moulding.id && l.ask == layer.ask)
                .expect("a layer is its frame's");
            let frame = &self.shop.frames[task.frame];
            order.chops.push(Chopped {
                frame: frame.id.clone(),
                copy: task.copy,
                layer: frame.to_cut(task.copy)[layer],
                moulding: wants.moulding.id.clone(),
                supplier: offer.supplier.clone(),
                offer: offer.row,
                billed,
            });
        }
        let lots: Vec<OfferQuantity> = alike
            .iter()
            .map(|((length, _), count)| OfferQuantity { length: *length, count: *count })
            .collect();
        for (((length, rails), count), cost) in alike.into_iter().zip(parts(offer, &lots)) {
            order.lines.push(OrderLine {
                supplier: offer.supplier.clone(),
                form: "chop".to_owned(),
                moulding: wants.moulding.id.clone(),
                length,
                height: None,
                count,
                cost: Some(cost),
                offer: Some(offer.row),
                halved: false,
                pieces: 0,
                cut: 0,
                restock: 0,
                rails,
                tickets: Vec::new(),
            });
        }
    }

    /// What each supplier charges.
    fn bills(&self, chosen: &[(&Wants, &Way, &Detail)], order: &mut Order) {
        for (place, supplier) in self.shop.suppliers.values().enumerate() {
            let at =
                || chosen.iter().flat_map(|(_, way, _)| &way.goods).filter(|g| g.supplier == place);
            let goods = Money(at().map(|goods| goods.cost).sum());
            if goods.0 > 0 {
                let is_long = at().any(|goods| goods.long);
                order.bills.extend(bill(supplier, goods, is_long, self.date));
            }
        }
    }
}

/// What each of these costs at the price that they reach together, with its own fees. What
/// rounding leaves goes to those that lost most by it, so that the parts add up to the whole.
fn parts(offer: &Offer, lots: &[OfferQuantity]) -> Vec<Money> {
    let price = i128::from(price_at(offer, step_reached(offer, lots)).0 * offer.paid());
    let (_, unit) = quantity(offer, lots);
    let under = unit * i128::from(WHOLE) * 1000;
    let exact: Vec<i128> = lots.iter().map(|lot| quantity(offer, &[*lot]).0 * price).collect();
    let fees = |lot: &OfferQuantity| i128::from(lot.count) * i128::from(chop_fee(offer).0);
    let mut parts: Vec<i128> =
        lots.iter().zip(&exact).map(|(lot, exact)| exact.div_euclid(under) + fees(lot)).collect();
    let left = i128::from(goods_of(offer, lots).0) - parts.iter().sum::<i128>();
    let mut order: Vec<usize> = (0..lots.len()).collect();
    order.sort_by_key(|&at| (Reverse(exact[at].rem_euclid(under)), at));
    for at in order.into_iter().take(usize::try_from(left).unwrap_or(0)) {
        parts[at] += 1;
    }
    parts.into_iter().map(|part| Money(i64::try_from(part).unwrap_or(i64::MAX))).collect()
}

/// For each demand of a packing the tasks that it serves, earliest wanted first.
fn owners(phase: &Phase) -> Vec<Vec<usize>> {
    let mut by_ask: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (ask, layers) in Wants::by_ask(&phase.layers) {
        by_ask.insert(ask, layers.iter().map(|layer: &WantedLayer| layer.task).collect());
    }
    let mut hand_out = |(of, count): (&usize, u32)| {
        let owners = by_ask.get_mut(of).expect("what is packed was asked for");
        owners.drain(..count as usize).collect()
    };
    let demands = phase.fit.of.iter().zip(&phase.fit.demands);
    demands.map(|(of, demand)| hand_out((of, demand.count))).collect()
}
