//! Packings written out as the plan's sticks, rails, lines and proofs.

use std::collections::BTreeSet;

use crate::cutting::{Bench, LaidRail, LaidStick, Source};
use crate::measure::{Mitre, Worth};
use crate::offcuts::Labels;
use crate::shop::{Shop, Stick};

use super::cut_order::Laid;
use super::feasible::bench;
use super::packing::Fit;
use super::stage::Batch;
use super::work::Work;
use crate::plan::{CutStick, Matching, OrderLine, Part, PlacedRail, Proof};

/// Writes out packings, giving labels and numbers as it goes.
pub(crate) struct Sheet<'a> {
    shop: &'a Shop,
    labels: Labels,
    new_sticks: u32,
    /// The sticks that are called like new ones.
    named_new: BTreeSet<&'a str>,
    /// Mouldings with what is wrong with their packing.
    pub faults: Vec<(String, String)>,
}

impl<'a> Sheet<'a> {
    pub fn new(shop: &'a Shop) -> Sheet<'a> {
        let labels = Labels::new(shop.sticks().map(|stick| stick.id.as_str()));
        let (new_sticks, named_new) = (0, named_new(shop));
        Sheet { shop, labels, new_sticks, named_new, faults: Vec::new() }
    }

    /// The same for a shop with another rack.
    pub fn on(self, shop: &Shop) -> Sheet<'_> {
        let Sheet { labels, new_sticks, faults, .. } = self;
        Sheet { shop, labels, new_sticks, named_new: named_new(shop), faults }
    }

    /// The sticks of a batch with their rails.
    pub fn sticks(&mut self, work: &Work, batch: &Batch) -> Vec<CutStick> {
        self.laid(work, batch).into_iter().map(|laid| laid.stick).collect()
    }

    /// The sticks of a batch, with what of each may change places.
    pub fn laid(&mut self, work: &Work, batch: &Batch) -> Vec<Laid> {
        let bench = bench(self.shop, self.shop.moulding(&batch.moulding));
        if let Err(fault) = batch.fit.check() {
            self.faults.push((batch.moulding.clone(), fault));
        }
        let Fit { demands, posed, solution, .. } = &*batch.fit;
        let laid = posed.lay(&bench, demands, &batch.sources, &batch.owners, solution);
        let write = |mut laid: LaidStick| {
            let blocks = std::mem::take(&mut laid.blocks);
            Laid { stick: self.stick(work, batch, laid), blocks }
        };
        laid.into_iter().map(write).collect()
    }

    fn stick(&mut self, work: &Work, batch: &Batch, laid: LaidStick) -> CutStick {
        let bench = bench(self.shop, self.shop.moulding(&batch.moulding));
        let source = &batch.sources[laid.source];
        let on_rack = batch.places[laid.source].map(|place| self.shop.stick(place));
        let name = on_rack.map_or_else(|| self.new_name(), |stick| stick.id.clone());
        let rails = laid.rails.iter().map(|rail| self.rail(work, batch, rail)).collect();
        cut_stick((&bench, source), (name, on_rack), &laid, rails, &mut self.labels)
    }

    /// The next of `new-1`, `new-2`, ... that no stick on the rack or on order is
    /// called.
    fn new_name(&mut self) -> String {
        loop {
            self.new_sticks += 1;
            let name = format!("{NEW}{}", self.new_sticks);
            if !self.named_new.contains(name.as_str()) {
                return name;
            }
        }
    }

    fn rail(&self, work: &Work, batch: &Batch, laid: &LaidRail) -> PlacedRail {
        let task = &work.tasks[laid.owner];
        let ask = &batch.fit.demands[laid.demand].ask;
        let class = &work.classes[task.class];
        let is_ask = |layer: &super::work::ClassLayer| {
            layer.moulding == batch.moulding && work.asks[&layer.moulding][layer.ask] == *ask
        };
        let layer = class.layers.iter().position(is_ask).expect("an owner asked for its rail");
        let frame = &self.shop.frames[task.frame];
        let layer = frame.to_cut(task.copy)[layer];
        placed(laid, (&frame.id, task.copy, layer), ask.mitre)
    }

    /// What is known of how good a batch is.
    pub fn proof(&self, batch: &Batch, part: Part) -> Proof {
        Proof {
            moulding: batch.moulding.clone(),
            part,
            proven: batch.proven,
            used_up: batch.fit.used_up,
            bound: batch.bound,
            sticks: batch.fit.sticks,
            priced: self.priced(batch),
        }
    }

    /// That it was not settled whether anything of a moulding can be cut.
    pub fn unsettled(&self, moulding: &str, part: Part) -> Proof {
        let priced = self.shop.moulding(moulding).price.is_some();
        let (proven, used_up, bound) = (false, Worth(0), Worth(0));
        Proof { moulding: moulding.to_owned(), part, proven, used_up, bound, sticks: 0, priced }
    }

    /// What the match rules cost in a batch, if there are any.
    pub fn matching(&self, batch: &Batch, part: Part) -> Option<Matching> {
        let free = batch.free.as_ref()?;
        Some(Matching {
            moulding: batch.moulding.clone(),
            part,
            sticks: batch.fit.sticks,
            sticks_free: free.sticks,
            used_up: batch.fit.used_up,
            used_up_free: free.used_up,
            proven: batch.proven && free.proven,
            priced: self.priced(batch),
        })
    }

    /// What to buy for a batch, if anything.
    pub fn line(&self, batch: &Batch, sticks: &[CutStick]) -> Option<OrderLine> {
        let new: Vec<&CutStick> = sticks.iter().filter(|stick| stick.is_new).collect();
        let first = new.first()?;
        let cost: Worth = new.iter().map(|stick| stick.worth).sum();
        Some(OrderLine {
            supplier: String::new(),
            form: "length".to_owned(),
            moulding: batch.moulding.clone(),
            length: first.length,
            height: None,
            count: u32::try_from(new.len()).expect("fewer sticks than rails"),
            cost: self.priced(batch).then(|| cost.to_money()),
            offer: None,
            halved: false,
            pieces: u32::try_from(new.len()).expect("fewer sticks than rails"),
            cut: u32::try_from(new.len()).expect("fewer sticks than rails"),
            restock: 0,
            rails: Vec::new(),
            tickets: Vec::new(),
        })
    }

    fn priced(&self, batch: &Batch) -> bool {
        self.shop.moulding(&batch.moulding).price.is_some()
    }
}

/// What the name of a stick begins with that is still to be bought.
const NEW: &str = "new-";

fn named_new(shop: &Shop) -> BTreeSet<&str> {
    let names = shop.sticks().map(|stick| stick.id.as_str());
    names.filter(|name| name.starts_with(NEW)).collect()
}

/// A stick that is laid out, with its rails: one of the rack or on order, or one that is
/// still to be bought.
pub(crate) fn cut_stick(
    (bench, source): (&Bench, &Source),
    (name, on_rack): (String, Option<&Stick>),
    laid: &LaidStick,
    rails: Vec<PlacedRail>,
    labels: &mut Labels,
) -> CutStick {
    let left = labels.assess(bench, &name, laid.left);
    let between = laid.between.iter().map(|remnant| labels.assess(bench, &name, *remnant));
    let between = between.filter(|left| left.keep).collect();
    CutStick {
        is_new: source.is_new,
        moulding: bench.moulding.id.clone(),
        length: source.length,
        lot: on_rack.map(|stick| stick.lot.clone()).unwrap_or_default(),
        place: on_rack.map(|stick| stick.place.clone()).unwrap_or_default(),
        flaws: source.flaws.clone(),
        first_trim: bench.cutter.first_trim,
        rails,
        left,
        between,
        worth: bench.price(&Source { paid: None, ..source.clone() }),
        supplier: String::new(),
        stick: name,
    }
}

/// A rail of a layer of a frame copy, in its place.
pub(crate) fn placed(
    laid: &LaidRail,
    (frame, copy, layer): (&str, u32, usize),
    mitre: Mitre,
) -> PlacedRail {
    PlacedRail {
        frame: frame.to_owned(),
        copy,
        layer,
        side: laid.rail.side,
        mitre,
        from: laid.from,
        to: laid.to,
        long_point: laid.rail.long_point,
        rabbet: laid.rail.rabbet,
        sight: laid.rail.sight,
        turned: laid.turned,
    }
}
