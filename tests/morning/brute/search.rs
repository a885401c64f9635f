//! Every choice of frames and lots, for the best by the rules of a plan.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use longpoint::measure::Mitre;
use longpoint::rails::{LayerRails, Rail, frame_rails};
use longpoint::shop::{Frame, Kind, Match, Moulding, Shop};

use super::bench::{Bench, Cost, Counts, Lot, Source, Unit, sources, units, with_settings};
use super::stops::{Standing, add, pass};

/// A frame and the match that each of its layers gets; `None` if it cannot be
/// made as asked.
pub type Settled = Option<Vec<Match>>;

/// What is possible for each frame by itself.
pub fn settle(shop: &Shop, frame: &Frame) -> Settled {
    let layers = frame_rails(shop, frame);
    frame
        .layers
        .iter()
        .zip(&layers)
        .map(|(layer, LayerRails { rails, .. })| {
            let moulding = shop.moulding(&layer.moulding);
            let bench = Bench { shop, moulding, mitres: BTreeSet::from([mitre(moulding, frame)]) };
            let sources = sources(shop, moulding, &BTreeSet::new());
            let (longest, shortest) = (bench.longest(&sources), shop.cutter_of(moulding).shortest);
            let fine = rails.iter().all(|rail| {
                rail.sight.is_positive()
                    && rail.long_point >= shortest
                    && rail.long_point.nm() <= longest
            });
            let matches = [Match::Wrap, Match::Stick, Match::Halves, Match::Lot, Match::Any];
            matches
                .into_iter()
                .filter(|match_| fine && (layer.match_floor..=layer.match_).contains(match_))
                .find(|match_| {
                    let lots: BTreeSet<Option<Lot>> = match match_ {
                        Match::Lot | Match::Halves => {
                            sources.iter().map(|source| Some(source.lot)).collect()
                        }
                        _ => BTreeSet::from([None]),
                    };
                    lots.into_iter().any(|lot| {
                        let joint = bench.joint_loss(mitre(moulding, frame));
                        let wanted = units(rails, mitre(moulding, frame), *match_, joint, lot);
                        let (kinds, most) = count(wanted.into_iter().map(|unit| (unit, 1)));
                        bench.everything(&sources, &kinds, &most).contains_key(&most)
                    })
                })
        })
        .collect()
}

/// Build-outs are cut square, all else as its frame.
fn mitre(moulding: &Moulding, frame: &Frame) -> Mitre {
    if moulding.kind == Kind::BuildOut { Mitre::BUTT } else { frame.mitre }
}

/// How many of each kind of unit.
fn count(wanted: impl Iterator<Item = (Unit, u8)>) -> (Vec<Unit>, Counts) {
    let mut counts: BTreeMap<Unit, u8> = BTreeMap::new();
    for (unit, times) in wanted {
        *counts.entry(unit).or_default() += times;
    }
    counts.into_iter().unzip()
}

/// One frame that may be cut, so many times.
pub struct Job<'a> {
    pub frame: &'a Frame,
    pub matches: Vec<Match>,
    pub copies: u8,
}

/// The best of a part: frames by date, earliest first, and what they cost.
#[derive(Debug, PartialEq, Eq)]
pub struct Best {
    pub served: Vec<u32>,
    pub cost: Cost,
    /// How many of each job, in every choice that comes to this.
    pub numbers: Vec<Counts>,
}

/// When a frame's turn comes: rushed ones first, then by date, undated last.
pub type Turn = (bool, bool, Option<Date>);

/// When a frame's turn comes.
pub fn turn(frame: &Frame, rushed: &BTreeSet<String>) -> Turn {
    (!rushed.contains(&frame.id), frame.due.is_none(), frame.due)
}

/// The turns of all frames, the first first.
pub fn turns(shop: &Shop, rushed: &BTreeSet<String>) -> Vec<Turn> {
    let turns: BTreeSet<Turn> = shop.frames.iter().map(|frame| turn(frame, rushed)).collect();
    turns.into_iter().collect()
}

/// The least that these jobs take of a moulding if every rail may come from any
/// stick; `None` if they cannot be cut.
pub fn unmatched(
    shop: &Shop,
    moulding: &Moulding,
    jobs: &[Job],
    taken: &BTreeSet<String>,
    buy: bool,
) -> Option<Cost> {
    let free = |job: &Job<'_>| vec![Match::Any; job.matches.len()];
    let all: Vec<Job> = jobs
        .iter()
        .map(|job| Job { frame: job.frame, matches: free(job), copies: job.copies })
        .collect();
    let numbers: Counts = jobs.iter().map(|job| job.copies).collect();
    Table::new(shop, moulding, taken, buy).least(&all, &numbers)
}

/// Tries every number of every job, from the rack less the sticks `taken`, and
/// from new sticks if they may be bought.
pub fn best(
    shop: &Shop,
    rushed: &BTreeSet<String>,
    jobs: &[Job],
    taken: &BTreeSet<String>,
    buy: bool,
) -> Best {
    let mut tables: BTreeMap<&str, Table> = BTreeMap::new();
    for moulding in shop.mouldings.values() {
        tables.insert(&moulding.id, Table::new(shop, moulding, taken, buy));
    }
    let turns = turns(shop, rushed);
    let mut best: Option<(Reverse<Vec<u32>>, Cost)> = None;
    let mut equals: Vec<Counts> = Vec::new();
    for numbers in all_numbers(jobs) {
        let mut served = vec![0; turns.len()];
        for (job, number) in jobs.iter().zip(&numbers) {
            let date = turns.iter().position(|other| *other == turn(job.frame, rushed)).unwrap();
            served[date] += u32::from(*number);
        }
        let served = Reverse(served);
        if best.as_ref().is_some_and(|(known, _)| *known < served) {
            continue;
        }
        let mut cost = Some((0, 0));
        for table in tables.values_mut() {
            let more = table.least(jobs, &numbers);
            cost = cost.zip(more).map(|(a, b)| (a.0 + b.0, a.1 + b.1));
        }
        let Some(cost) = cost else { continue };
        if best.as_ref().is_none_or(|known| (&served, cost) < (&known.0, known.1)) {
            best = Some((served, cost));
            equals.clear();
        }
        if best.as_ref().is_some_and(|known| cost == known.1) {
            equals.push(numbers);
        }
    }
    let (Reverse(served), cost) = best.unwrap();
    Best { served, cost, numbers: equals }
}

/// The fewest settings of all plans for today that are best, where all is cut at
/// one machine and each moulding together.
pub fn fewest_settings(shop: &Shop, jobs: &[Job], best: &Best) -> usize {
    let none = BTreeSet::new();
    let table = |moulding| Table::new(shop, moulding, &none, false);
    let mut tables: Vec<Table> = shop.mouldings.values().map(table).collect();
    let mut fewest = usize::MAX;
    for numbers in &best.numbers {
        for turned in [false, true] {
            let mut standing = Standing::from([(None, 0)]);
            for place in 0..tables.len() {
                let place = if turned { tables.len() - 1 - place } else { place };
                standing = tables[place].pass(jobs, numbers, standing);
            }
            fewest = fewest.min(standing.into_values().min().unwrap());
        }
    }
    fewest
}

fn all_numbers(jobs: &[Job]) -> Vec<Counts> {
    let mut numbers = vec![Vec::new()];
    for job in jobs {
        numbers = numbers
            .into_iter()
            .flat_map(|numbers: Counts| {
                (0..=job.copies).map(move |more| [numbers.clone(), vec![more]].concat())
            })
            .collect();
    }
    numbers
}

/// The ways to cut one stick, and the least cost of each set of frames.
type Ways = (Vec<Unit>, BTreeMap<Counts, Cost>);

/// The least costs of one moulding, worked out once for each set of mitres.
struct Table<'a> {
    shop: &'a Shop,
    moulding: &'a Moulding,
    sources: Vec<Source>,
    by_mitres: BTreeMap<BTreeSet<Mitre>, Ways>,
}

impl<'a> Table<'a> {
    /// Of what is on the rack less the sticks `taken`, and bought.
    fn new(shop: &'a Shop, moulding: &'a Moulding, taken: &BTreeSet<String>, buy: bool) -> Self {
        let mut sources = sources(shop, moulding, taken);
        sources.retain(|source| buy || !source.is_new);
        Table { shop, moulding, sources, by_mitres: BTreeMap::new() }
    }

    /// The jobs of which some are cut that take of the moulding, and how many.
    fn used<'j, 'f>(&self, jobs: &'j [Job<'f>], numbers: &[u8]) -> Vec<(&'j Job<'f>, u8)> {
        let each = jobs.iter().zip(numbers.iter().copied());
        each.filter(|(job, number)| *number > 0 && self.concerns(job)).collect()
    }

    fn least(&mut self, jobs: &[Job], numbers: &[u8]) -> Option<Cost> {
        let used = self.used(jobs, numbers);
        if used.is_empty() {
            return Some((0, 0));
        }
        let mitres: BTreeSet<Mitre> =
            used.iter().map(|(job, _)| mitre(self.moulding, job.frame)).collect();
        if !self.by_mitres.contains_key(&mitres) {
            let table = self.table(jobs, mitres.clone());
            self.by_mitres.insert(mitres.clone(), table);
        }
        let (kinds, costs) = &self.by_mitres[&mitres];
        let mut ways: BTreeSet<Counts> = BTreeSet::from([vec![0; kinds.len()]]);
        for (job, number) in used {
            for layer in self.layers(job, &mitres) {
                for _ in 0..number {
                    ways = more_ways(&ways, &layer, kinds);
                }
            }
        }
        ways.iter().filter_map(|way| costs.get(way)).min().copied()
    }

    /// Cuts what this many jobs take of the moulding, for the least that they cost,
    /// with the fewest settings.
    fn pass(&mut self, jobs: &[Job], numbers: &[u8], standing: Standing) -> Standing {
        let used = self.used(jobs, numbers);
        if used.is_empty() {
            return standing;
        }
        let cost = self.least(jobs, numbers).unwrap();
        let mitres: BTreeSet<Mitre> =
            used.iter().map(|(job, _)| mitre(self.moulding, job.frame)).collect();
        let stop = self.shop.cutter_of(self.moulding).stop;
        let mut ways: BTreeSet<BTreeMap<Unit, u8>> = BTreeSet::from([BTreeMap::new()]);
        for (job, number) in used {
            let each = self.layers(job, &mitres).into_iter().zip(self.matched(job));
            for (layer, (rails, match_)) in each {
                let told = |units| with_settings(units, &rails, match_, stop);
                let lots: Vec<Vec<Unit>> = layer.into_iter().map(told).collect();
                for _ in 0..number {
                    ways =
                        ways.iter().flat_map(|way| lots.iter().map(|lot| more(way, lot))).collect();
                }
            }
        }
        let bench = Bench { shop: self.shop, moulding: self.moulding, mitres };
        let mut best = Standing::new();
        for way in ways {
            let (kinds, target): (Vec<Unit>, Counts) = way.into_iter().unzip();
            add(&mut best, pass(&bench, &self.sources, &kinds, &target, cost, &standing));
        }
        best
    }

    /// The rails of a job's layers in this moulding, with their match.
    fn matched(&self, job: &Job) -> Vec<(Vec<Rail>, Match)> {
        let rails = frame_rails(self.shop, job.frame);
        let layers = job.frame.layers.iter().zip(rails).zip(&job.matches);
        let own = layers.filter(|((layer, _), _)| layer.moulding == self.moulding.id);
        own.map(|((_, LayerRails { rails, .. }), match_)| (rails.to_vec(), *match_)).collect()
    }

    fn concerns(&self, job: &Job) -> bool {
        job.frame.layers.iter().any(|layer| layer.moulding == self.moulding.id)
    }

    fn table(&self, jobs: &[Job], mitres: BTreeSet<Mitre>) -> (Vec<Unit>, BTreeMap<Counts, Cost>) {
        let mut wanted = Vec::new();
        for job in jobs.iter().filter(|job| mitres.contains(&mitre(self.moulding, job.frame))) {
            for layer in self.layers(job, &mitres) {
                wanted.extend(layer.into_iter().flatten().map(|unit| (unit, job.copies)));
            }
        }
        let (kinds, most) = count(wanted.into_iter());
        let bench = Bench { shop: self.shop, moulding: self.moulding, mitres };
        let costs = bench.everything(&self.sources, &kinds, &most);
        (kinds, costs)
    }

    /// For each layer of a job in this moulding, its units by every choice of lot.
    fn layers(&self, job: &Job, mitres: &BTreeSet<Mitre>) -> Vec<Vec<Vec<Unit>>> {
        let bench = Bench { shop: self.shop, moulding: self.moulding, mitres: mitres.clone() };
        let lots: BTreeSet<Lot> = self.sources.iter().map(|source| source.lot).collect();
        let rails = frame_rails(self.shop, job.frame);
        let layers = job.frame.layers.iter().zip(&rails).zip(&job.matches);
        layers
            .filter(|((layer, _), _)| layer.moulding == self.moulding.id)
            .map(|((_, LayerRails { rails, .. }), match_)| {
                let of = |lot| {
                    let mitre = mitre(self.moulding, job.frame);
                    units(rails, mitre, *match_, bench.joint_loss(mitre), lot)
                };
                match match_ {
                    Match::Lot | Match::Halves => lots.iter().map(|lot| of(Some(*lot))).collect(),
                    _ => vec![of(None)],
                }
            })
            .collect()
    }
}

/// A way with some more units.
fn more(way: &BTreeMap<Unit, u8>, units: &[Unit]) -> BTreeMap<Unit, u8> {
    let mut way = way.clone();
    for unit in units {
        *way.entry(unit.clone()).or_default() += 1;
    }
    way
}

/// Each way so far with the units of one more layer, by every choice of lot.
fn more_ways(ways: &BTreeSet<Counts>, layer: &[Vec<Unit>], kinds: &[Unit]) -> BTreeSet<Counts> {
    let mut wider = BTreeSet::new();
    for way in ways {
        for units in layer {
            let mut way = way.clone();
            for unit in units {
                way[kinds.iter().position(|kind| kind == unit).unwrap()] += 1;
            }
            wider.insert(way);
        }
    }
    wider
}
