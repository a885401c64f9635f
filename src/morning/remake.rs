//! The rest of a morning planned again: the rails that are still owed of one
//! moulding, packed into what is left of it.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use crate::cutting::{Ask, Bench, Demand, LaidRail, LaidStick, Source};
use crate::measure::Worth;
use crate::offcuts::Labels;
use crate::plan::{CutStick, Owed};
use crate::planner::cut_order::{Laid, few_settings};
use crate::planner::effort::Effort;
use crate::planner::feasible::bench;
use crate::planner::lots::sources;
use crate::planner::packing::{Fit, Packed, Packing};
use crate::planner::sheet::{cut_stick, placed};
use crate::rails::{Rail, frame_rails};
use crate::shop::{Match, Shop};
use crate::solve::Limits;
use crate::verify::{self, Fault, Verified};

/// A way to cut what is owed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remade {
    /// The sticks and their rails.
    pub sticks: Verified<Vec<CutStick>>,
    /// The worth of the sticks less that of what goes back.
    pub used_up: Worth,
    /// Whether no way uses up less.
    pub proven: bool,
}

/// More ways to choose the lots than this are not compared.
const MOST_LOTS: usize = 64;

/// Packs what is owed of one moulding into the sticks of it on the shop's rack:
/// the way that uses up least, then the one of fewest sticks. `None` if there is
/// no way, or none was found within the limits.
///
/// # Errors
/// What the check finds wrong with it, which is then not to be had: a mistake of the
/// program.
///
/// # Panics
/// If a frame or a side that is owed is not in the shop.
pub fn remake(
    shop: &Shop,
    moulding: &str,
    owed: &[Owed],
    limits: &Limits,
) -> Result<Option<Remade>, Vec<Fault>> {
    if owed.is_empty() {
        let sticks = Verified::default();
        return Ok(Some(Remade { sticks, used_up: Worth(0), proven: true }));
    }
    let effort = Effort::new(limits);
    let bench = bench(shop, shop.moulding(moulding));
    let placed = sources(&shop.rack, moulding);
    let packing = Packing::new(bench, &[], placed, effort);
    let demands: Vec<Demand> = owed.iter().map(|owed| demand(shop, owed)).collect();
    let (shares, mut whole) = lots(shop, owed, &packing);
    let mut best: Option<Fit> = None;
    for share in shares {
        let with = |(demand, lot): (&Demand, Option<u32>)| Demand { lot, ..demand.clone() };
        let demands: Vec<Demand> = demands.iter().zip(share).map(with).collect();
        match packing.settle(((0..demands.len()).collect(), demands), effort) {
            Packed::Fits(fit) => {
                whole &= fit.proven;
                let key = |fit: &Fit| (fit.used_up, fit.sticks);
                if best.as_ref().is_none_or(|best| key(&fit) < key(best)) {
                    best = Some(Fit::clone(&fit));
                }
            }
            Packed::Impossible => {}
            Packed::Unknown => whole = false,
        }
    }
    let Some(fit) = best else { return Ok(None) };
    fit.check().map_err(|fault| {
        let moulding = moulding.to_owned();
        vec![Fault::Packing { moulding, fault }]
    })?;
    let owners: Vec<Vec<usize>> = (0..owed.len()).map(|index| vec![index]).collect();
    let laid = fit.posed.lay(&bench, &fit.demands, &packing.sources, &owners, &fit.solution);
    let mut labels = Labels::new(shop.rack.iter().map(|stick| stick.id.as_str()));
    let write = |mut laid: LaidStick| {
        let blocks = std::mem::take(&mut laid.blocks);
        Laid { stick: stick(shop, (&bench, &packing), owed, &laid, &mut labels), blocks }
    };
    let sticks = few_settings(shop, laid.into_iter().map(write).collect());
    // No date matters to what is owed.
    let sticks = verify::remade(shop, Date::ZERO, sticks, owed)?;
    Ok(Some(Remade { sticks, used_up: fit.used_up, proven: whole }))
}

fn demand(shop: &Shop, owed: &Owed) -> Demand {
    let frame = shop.frame(&owed.frame);
    let frame = frame.expect("what is owed is of a frame of the shop");
    let layer = &frame_rails(shop, frame)[owed.layer - 1];
    let wanted = layer.rails.iter().filter(|rail| owed.sides.contains(&rail.side));
    let rails: Vec<Rail> = wanted.copied().collect();
    let ask = Ask { mitre: layer.mitre, match_: owed.match_, rails, like: None };
    Demand { ask, lot: None, together: false, count: 1 }
}

/// For each way to choose, the lot of each demand; false if there are too many
/// ways to compare them all.
fn lots(shop: &Shop, owed: &[Owed], packing: &Packing) -> (Vec<Vec<Option<u32>>>, bool) {
    let rack = |index: usize| packing.places[index].map(|place| &shop.rack[place]);
    let mut by_name: BTreeMap<(&str, &str), u32> = BTreeMap::new();
    for (index, source) in packing.sources.iter().enumerate() {
        if let Some(stick) = rack(index) {
            let of = if stick.lot.is_empty() { stick.id.as_str() } else { "" };
            by_name.insert((stick.lot.as_str(), of), source.lot);
        }
    }
    let every: BTreeSet<u32> = packing.sources.iter().map(|source| source.lot).collect();
    let mut shares: Vec<Vec<Option<u32>>> = vec![Vec::new()];
    let mut whole = true;
    for owed in owed {
        let choices: Vec<Option<u32>> = match (owed.match_, &owed.like) {
            (Match::Any | Match::Stick | Match::Wrap, _) => vec![None],
            (_, Some((lot, stick))) => {
                let of = if lot.is_empty() { stick.as_str() } else { "" };
                by_name.get(&(lot.as_str(), of)).copied().map(Some).into_iter().collect()
            }
            (_, None) => every.iter().copied().map(Some).collect(),
        };
        whole &= shares.len() * choices.len() <= MOST_LOTS;
        shares = shares
            .iter()
            .flat_map(|share| choices.iter().map(|lot| [share.as_slice(), &[*lot]].concat()))
            .take(MOST_LOTS)
            .collect();
    }
    (shares, whole)
}

fn stick(
    shop: &Shop,
    (bench, packing): (&Bench, &Packing),
    owed: &[Owed],
    laid: &LaidStick,
    labels: &mut Labels,
) -> CutStick {
    let source: &Source = &packing.sources[laid.source];
    let place = packing.places[laid.source].expect("nothing is bought at the bench");
    let on_rack = &shop.rack[place];
    let rail = |laid: &LaidRail| {
        let of = &owed[laid.owner];
        let frame = shop.frame(&of.frame).expect("what is owed is of a frame of the shop");
        placed(laid, (&of.frame, of.copy, of.layer), shop.mitre_of(frame, of.layer))
    };
    let rails = laid.rails.iter().map(rail).collect();
    let name = (on_rack.id.clone(), Some(on_rack));
    cut_stick((bench, source), name, laid, rails, labels)
}

/// What a length of a moulding is worth on the rack.
///
/// # Panics
/// If the shop has no such moulding.
pub fn worth(shop: &Shop, moulding: &str, length: crate::measure::Length) -> Worth {
    bench(shop, shop.moulding(moulding)).worth(length)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Mitre;
    use crate::rails::Side;
    use crate::shop::read_files;

    const SHOP: &[u8] = b"name = \"Two rails\"\nunit = \"mm\"\nallowance = \"3\"\n\
        currency = \"EUR\"\ndefault_cutter = \"saw\"\n[offcuts]\nkeep = \"150\"\nworth = \"0.5\"\n\
        [cutter.saw]\nkerf = \"3\"\npasses = 1\nnick = \"0\"\nfirst_trim = \"20\"\n\
        last_trim = \"20\"\ngrip = \"0\"\nshortest = \"150\"\nstop = \"long\"\n";

    #[test]
    fn a_packing_that_is_spoiled_is_seen() {
        let files = [
            ("shop.toml", SHOP),
            ("mouldings.csv", b"moulding,width,rabbet,stick\nOAK,20,6,2400\n".as_slice()),
            ("frames.csv", b"frame,moulding,width,height\n1,OAK,300,400\n".as_slice()),
            ("rack.csv", b"stick,moulding,length\nA,OAK,2400\n".as_slice()),
        ];
        let files = files.map(|(name, text)| (name.to_owned(), text.to_vec()));
        let shop = read_files(&files.into()).unwrap();
        let sides = Side::all(Mitre::SQUARE).to_vec();
        let (frame, match_) = ("1".to_owned(), Match::Any);
        let owed = Owed { frame, copy: 1, layer: 1, sides, match_, like: None };
        let limits = Limits { work: 10_000, deadline: None, stop: None, watch: None };
        let effort = Effort::new(&limits);
        let placed = sources(&shop.rack, "OAK");
        let packing = Packing::new(bench(&shop, shop.moulding("OAK")), &[], placed, effort);
        let packed = packing.settle((vec![0], vec![demand(&shop, &owed)]), effort);
        let Packed::Fits(fit) = packed else { panic!("a stick of 2400 holds four rails") };
        assert_eq!(fit.check(), Ok(()));
        let mut spoiled = Fit::clone(&fit);
        spoiled.solution.cost -= 1;
        assert!(spoiled.check().is_err(), "a cost that is too low");
        let mut spoiled = Fit::clone(&fit);
        spoiled.solution.patterns[0].runs[0].pop();
        assert!(spoiled.check().is_err(), "a rail that is not cut");
    }
}
