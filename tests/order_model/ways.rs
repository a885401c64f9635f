//! Every way to get one moulding: what is cut from which sticks, what is chopped,
//! and every count of everything on offer that could be bought for it.

use std::collections::{BTreeMap, HashMap};

use jiff::civil::Date;
use longpoint::measure::Length;
use longpoint::shop::{Form, Lengths};

use super::cuts::{Bench, Item, Source, State, cuts};
use super::figures::Figures;
use super::purchases::purchases;
use super::rules::{FINE, Kind, Rules};

/// What is bought of each supplier, and whether that makes a parcel long.
type Goods = (Vec<i64>, Vec<bool>);
/// The same, with what of it is beyond need.
type Kept = (Vec<i64>, Vec<bool>, i64);

/// More purchases and cuttings than this are not tried with one another.
const MOST_WAYS: usize = 2_000_000;

/// One layer of a frame that waits.
#[derive(Debug, Clone)]
pub struct Layer {
    /// The long points of its rails.
    pub rails: Vec<Length>,
    /// What must lie in one piece, with the joints inside.
    pub blocks: Vec<Length>,
    /// Whether all of it must come from one lot.
    pub one_lot: bool,
    /// Whether a supplier's chop would keep its match.
    pub can_be_chopped: bool,
    /// Whether the machine can hold its rails.
    pub can_be_cut: bool,
    pub by: Option<Date>,
}

/// A stick of the rack that the order may use.
#[derive(Debug, Clone)]
pub struct Rack {
    pub length: Length,
    /// Empty if not known.
    pub lot: String,
    /// Whether it could count as a whole stick if it is left.
    pub can_be_whole: bool,
}

/// One moulding, with all that waits for it.
pub struct Lacking<'a> {
    pub rules: &'a Rules<'a>,
    pub id: &'a str,
    pub layers: Vec<Layer>,
    pub rack: Vec<Rack>,
    /// Whether the rack must be filled up.
    pub always: bool,
}

/// One way to get it, as it bears on the bills.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Way {
    /// The price of the goods at each supplier.
    pub goods: Vec<i64>,
    /// Where the parcel is long.
    pub long: Vec<bool>,
    /// What it uses up less what it leaves, in thousandths.
    pub own: i64,
    /// What sticks beyond need cost, in minor units.
    pub beyond: i64,
    /// What is bought, for whoever reads it.
    pub what: String,
}

/// What is cut and what is chopped of the layers.
pub struct Cutting {
    /// The layers that are chopped.
    pub chopped: Vec<usize>,
    pub state: State,
    /// The worth of what is left of cut sticks less that of the rack's before.
    pub value: i64,
}

/// All cuttings, and the sources that they count: first the rack's sticks, then
/// new ones by supplier and length.
pub struct Cuttings {
    pub all: Vec<Cutting>,
    pub new: Vec<(usize, Length)>,
}

impl Lacking<'_> {
    fn place(&self, offer: usize) -> usize {
        let supplier = &self.rules.shop.offers[offer].supplier;
        self.rules.shop.suppliers.keys().position(|id| id == supplier).unwrap()
    }

    /// Every kind that can be ordered: for each offer its kinds whole, or halved.
    fn modes(&self) -> Vec<Vec<Vec<Kind>>> {
        let offers = self.rules.offers(self.id, false).into_iter();
        let modes = |place| {
            let kinds = [false, true].into_iter();
            kinds.filter_map(|halved| self.rules.kinds(place, halved)).collect()
        };
        offers.map(modes).collect()
    }

    fn bench(&self) -> Bench {
        let cutter = self.rules.shop.cutter_of(self.rules.moulding(self.id));
        let (first_trim, end) = (cutter.first_trim, cutter.last_trim.max(cutter.grip));
        Bench { first_trim, end, joint: joint_loss(cutter) }
    }

    /// Every way to cut any of the layers that leaves the others to be chopped.
    /// `None` if there are too many.
    pub fn cuttings(&self) -> Option<Cuttings> {
        let worth = |length: Length| self.rules.worth(self.id, length);
        let (mut sources, lots, new) = self.sources();
        let items: usize = self.layers.iter().map(|layer| layer.blocks.len()).sum();
        for source in sources.iter_mut().skip(self.rack.len()) {
            source.most = u8::try_from(items).unwrap();
        }
        let bound: Vec<usize> =
            (0..self.layers.len()).filter(|layer| self.layers[*layer].one_lot).collect();
        let mut best: HashMap<(u128, Vec<usize>), Cutting> = HashMap::new();
        // Lot by lot for what must come from one; the last choice is to have it chopped.
        for mut choice in 0..(lots + 1).pow(u32::try_from(bound.len()).unwrap()) {
            let mut homes = BTreeMap::new();
            for layer in &bound {
                homes.insert(*layer, choice % (lots + 1));
                choice /= lots + 1;
            }
            let (items, free) = self.items(&homes, lots);
            let states = cuts(&items, &sources, self.bench(), &worth)?;
            let bound: Vec<usize> =
                homes.iter().filter(|(_, lot)| **lot == lots).map(|(layer, _)| *layer).collect();
            for (chopped, uncut) in self.left_to_chop(&free) {
                let chopped: Vec<usize> = bound.iter().copied().chain(chopped).collect();
                let may = |layer: &usize| self.layers[*layer].can_be_chopped;
                if !chopped.iter().all(may) {
                    continue;
                }
                for (state, value) in states.iter().filter(|(state, _)| state.uncut == uncut) {
                    let cutting =
                        Cutting { chopped: chopped.clone(), state: *state, value: *value };
                    let key = (state.opened, chopped.clone());
                    let known = best.get(&key).is_some_and(|known| known.value >= *value);
                    if !known {
                        best.insert(key, cutting);
                    }
                }
            }
        }
        Some(Cuttings { all: best.into_values().collect(), new })
    }

    /// The rack's sticks and what can be bought, with how many lots there are.
    fn sources(&self) -> (Vec<Source>, usize, Vec<(usize, Length)>) {
        let mut lots: Vec<String> = Vec::new();
        let mut lot = |name: String| {
            lots.iter().position(|lot| *lot == name).unwrap_or_else(|| {
                lots.push(name);
                lots.len() - 1
            })
        };
        let mut sources = Vec::new();
        for (place, stick) in self.rack.iter().enumerate() {
            let unknown = stick.lot.is_empty();
            sources.push(Source {
                length: stick.length,
                lot: lot(if unknown { format!("?{place}") } else { format!("={}", stick.lot) }),
                day: None,
                most: 1,
                before: self.rules.worth(self.id, stick.length),
            });
        }
        let mut new: Vec<(usize, Length)> = Vec::new();
        for kind in self.modes().into_iter().flatten().flatten() {
            let class = (self.place(kind.offer), kind.piece);
            if new.contains(&class) {
                continue;
            }
            new.push(class);
            let supplier = self.rules.supplier(&self.rules.shop.offers[kind.offer]);
            sources.push(Source {
                length: kind.piece,
                lot: lot(format!("+{}", supplier.id)),
                day: Some(self.rules.day(supplier)),
                most: 0,
                before: 0,
            });
        }
        (sources, lots.len(), new)
    }

    /// The items to cut, alike ones together, and those of the layers that may come
    /// from any lot.
    fn items(
        &self,
        homes: &BTreeMap<usize, usize>,
        lots: usize,
    ) -> (Vec<Item>, Vec<(usize, Vec<usize>)>) {
        let mut items: Vec<Item> = Vec::new();
        let mut free = Vec::new();
        for (number, layer) in self.layers.iter().enumerate() {
            let home = homes.get(&number).copied();
            if home == Some(lots) {
                continue;
            }
            let mut places = Vec::new();
            for length in &layer.blocks {
                let item = Item { length: *length, by: layer.by, lot: home, count: 1 };
                let alike = |i: &Item| (i.length, i.by, i.lot) == (item.length, item.by, item.lot);
                let place = items.iter().position(alike).unwrap_or(items.len());
                match items.get_mut(place) {
                    Some(known) => known.count += 1,
                    None => items.push(item),
                }
                places.push(place);
            }
            if home.is_none() {
                free.push((number, places));
            }
        }
        (items, free)
    }

    /// Every choice of the free layers that are chopped, with what is then uncut:
    /// all that the machine cannot hold among them.
    fn left_to_chop(&self, free: &[(usize, Vec<usize>)]) -> Vec<(Vec<usize>, u128)> {
        let mut choices = Vec::new();
        for mask in 0..1_u32 << free.len() {
            let is_chopped = |at: usize| mask >> at & 1 == 1;
            let chopped: Vec<usize> =
                (0..free.len()).filter(|at| is_chopped(*at)).map(|at| free[at].0).collect();
            let places = (0..free.len()).filter(|at| is_chopped(*at)).flat_map(|at| &free[at].1);
            let uncut = places.fold(0_u128, |uncut, place| uncut + (1 << (8 * place)));
            choices.push((chopped, uncut));
        }
        choices
    }

    /// Whether the layers that are not chopped can be held by the machine.
    fn holds(&self, cutting: &Cutting) -> bool {
        let all = self.layers.iter().enumerate();
        all.into_iter().all(|(n, layer)| layer.can_be_cut || cutting.chopped.contains(&n))
    }

    /// Every choice of who chops what, as goods and long parcels.
    fn chops(&self, chopped: &[usize]) -> Vec<(Vec<i64>, Vec<bool>)> {
        let offers = self.rules.offers(self.id, true);
        let count = self.rules.shop.suppliers.len();
        let mut found: Vec<(Vec<i64>, Vec<bool>)> = Vec::new();
        let choices = offers.len().pow(u32::try_from(chopped.len()).unwrap());
        'choice: for mut choice in 0..choices {
            let mut lots: BTreeMap<usize, Vec<(Length, u32)>> = BTreeMap::new();
            let mut long = vec![false; count];
            for layer in chopped.iter().map(|layer| &self.layers[*layer]) {
                let offer = offers[choice % offers.len()];
                choice /= offers.len();
                let sold = &self.rules.shop.offers[offer];
                let supplier = self.rules.supplier(sold);
                let Form::Chop { least, .. } = sold.form else { unreachable!() };
                let Lengths::Between(from, to) = sold.lengths else { unreachable!() };
                let in_time = layer.by.is_none_or(|by| self.rules.day(supplier) <= by);
                if !in_time || !layer.rails.iter().all(|rail| (from..=to).contains(rail)) {
                    continue 'choice;
                }
                let is_long = |rail: &Length| supplier.long.is_some_and(|l| *rail > l.over);
                long[self.place(offer)] |= layer.rails.iter().any(is_long);
                let billed = layer.rails.iter().copied().sum::<Length>().max(least);
                lots.entry(offer).or_default().push((billed, 1));
            }
            let mut goods = vec![0; count];
            for (offer, lots) in lots {
                let Form::Chop { fee, .. } = self.rules.shop.offers[offer].form else {
                    unreachable!()
                };
                let fees = fee.0 * i64::try_from(lots.len()).unwrap();
                goods[self.place(offer)] += self.rules.goods(offer, &lots).0 + fees;
            }
            if !found.contains(&(goods.clone(), long.clone())) {
                found.push((goods, long));
            }
        }
        found
    }

    /// Every way that costs no more than `most` without what bills add, each kind
    /// of goods once at its least; `None` if there are too many.
    pub fn ways(&self, cuttings: &Cuttings, most: i64) -> Option<Vec<Way>> {
        let mut kept: BTreeMap<Kept, (i64, String)> = BTreeMap::new();
        let mut chops: HashMap<&[usize], Vec<Goods>> = HashMap::new();
        let cuttings_held: Vec<&Cutting> =
            cuttings.all.iter().filter(|cutting| self.holds(cutting)).collect();
        for cutting in &cuttings_held {
            let chopped = cutting.chopped.as_slice();
            chops.entry(chopped).or_insert_with(|| self.chops(chopped));
        }
        let figures = Figures::new(self, cuttings);
        let purchases = purchases(self, most)?;
        if purchases.len() * cuttings_held.len() > MOST_WAYS {
            return None;
        }
        for purchase in purchases {
            let bare = purchase.goods.iter().sum::<i64>() * FINE;
            for (chopped, (own, _, beyond)) in
                figures.best(self, cuttings, &cuttings_held, &purchase)
            {
                if own + bare > most {
                    continue;
                }
                for (goods, long) in &chops[chopped] {
                    let sum = |(a, b): (&i64, &i64)| a + b;
                    let goods: Vec<i64> = goods.iter().zip(&purchase.goods).map(sum).collect();
                    if own + goods.iter().sum::<i64>() * FINE > most {
                        continue;
                    }
                    let long = long.iter().zip(&purchase.long).map(|(a, b)| *a || *b).collect();
                    let best =
                        kept.entry((goods, long, beyond)).or_insert((i64::MAX, String::new()));
                    if own < best.0 {
                        *best = (own, format!("{} chops {chopped:?}", purchase.words(self)));
                    }
                }
            }
        }
        let way = |((goods, long, beyond), (own, what))| Way { goods, long, own, beyond, what };
        Some(kept.into_iter().map(way).collect())
    }

    /// Whether the layers can be made at all by their days.
    pub fn can_be_made(&self, cuttings: &Cuttings) -> bool {
        let held = cuttings.all.iter().filter(|cutting| self.holds(cutting));
        held.into_iter().any(|cutting| !self.chops(&cutting.chopped).is_empty())
    }
}

fn joint_loss(cutter: &longpoint::shop::Cutter) -> Length {
    let dust = Length::from_nm(cutter.kerf.nm() * i64::from(cutter.passes));
    longpoint::measure::Mitre::SQUARE.over_cos_up(dust) + cutter.nick
}
