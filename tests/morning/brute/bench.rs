//! One moulding's sticks tried in every way: which rails, in which runs.
//!
//! Rails of equal length are alike, so a stick is a number of each kind of
//! block in each of its runs.

use std::collections::{BTreeMap, BTreeSet};

use longpoint::measure::Mitre;
use longpoint::rails::Rail;
use longpoint::shop::{Kind, Match, Moulding, Shop, Stick, Stop};

/// A lot by its number; a stick of no known lot has one to itself.
pub type Lot = usize;

/// How a machine is set: what its stop reads, and its mitre.
pub type Setting = (i64, Mitre);

/// One thing that is cut from one stick: blocks of rails, each cut in one go.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Unit {
    /// The length of each block and its mitre, which is one for all.
    pub blocks: Vec<i64>,
    pub mitre: Mitre,
    /// For each block the settings that its rails take, where that matters.
    pub settings: Vec<Vec<Setting>>,
    /// The only lot it may come from, if that matters.
    pub lot: Option<Lot>,
}

/// Somewhere to cut from.
pub struct Source {
    pub length: i64,
    pub flaws: Vec<(i64, i64)>,
    pub lot: Lot,
    /// As many as wanted, at the full price.
    pub is_new: bool,
}

/// What is used up and how many sticks are taken; smaller is better.
pub type Cost = (i64, u32);

/// How many of each unit.
pub type Counts = Vec<u8>;

/// What holds for one moulding and a set of mitres.
pub struct Bench<'a> {
    pub shop: &'a Shop,
    pub moulding: &'a Moulding,
    pub mitres: BTreeSet<Mitre>,
}

/// The units that one layer needs, each once per frame.
pub fn units(
    rails: &[Rail],
    mitre: Mitre,
    match_: Match,
    joint: i64,
    lot: Option<Lot>,
) -> Vec<Unit> {
    let length = |block: &[Rail]| {
        let points: i64 = block.iter().map(|rail| rail.long_point.nm()).sum();
        points + joint * (block.len() as i64 - 1)
    };
    let unit = |blocks: Vec<&[Rail]>| Unit {
        blocks: blocks.into_iter().map(length).collect(),
        mitre,
        settings: Vec::new(),
        lot,
    };
    blocks(rails, match_).into_iter().map(unit).collect()
}

/// The rails of each block of each unit.
fn blocks(rails: &[Rail], match_: Match) -> Vec<Vec<&[Rail]>> {
    match match_ {
        Match::Any | Match::Lot => rails.chunks(1).map(|rail| vec![rail]).collect(),
        Match::Halves => rails.chunks(2).map(|pair| vec![pair]).collect(),
        Match::Stick => vec![rails.chunks(1).collect()],
        Match::Wrap => vec![vec![rails]],
    }
}

/// The same units with what they do to a stop.
pub fn with_settings(units: Vec<Unit>, rails: &[Rail], match_: Match, stop: Stop) -> Vec<Unit> {
    let reading = |rail: &Rail| match stop {
        Stop::Long => rail.long_point.nm(),
        Stop::Rabbet => rail.rabbet.nm(),
        Stop::Sight => rail.sight.nm(),
    };
    let blocks = blocks(rails, match_);
    let told = units.into_iter().zip(blocks).map(|(unit, blocks)| {
        let setting = |rail: &Rail| (reading(rail), unit.mitre);
        let of = |block: &&[Rail]| block.iter().map(setting).collect();
        Unit { settings: blocks.iter().map(of).collect(), ..unit }
    });
    told.collect()
}

/// The sticks of a moulding on the rack, and a new one.
pub fn sources(shop: &Shop, moulding: &Moulding, taken: &BTreeSet<String>) -> Vec<Source> {
    let mut lots: BTreeMap<String, Lot> = BTreeMap::new();
    let mut sources = Vec::new();
    let of = |stick: &&Stick| stick.moulding == moulding.id && !taken.contains(&stick.id);
    for (index, stick) in shop.rack.iter().filter(of).enumerate() {
        let name = match stick.lot.as_str() {
            "" => format!("alone {index}"),
            lot => format!("lot {lot}"),
        };
        let next = lots.len() + 1;
        sources.push(Source {
            length: stick.length.nm(),
            flaws: stick.flaws.iter().map(|flaw| (flaw.from.nm(), flaw.to.nm())).collect(),
            lot: *lots.entry(name).or_insert(next),
            is_new: false,
        });
    }
    sources.push(Source { length: moulding.stick.nm(), flaws: Vec::new(), lot: 0, is_new: true });
    sources
}

/// The settings of a block's rails, one after the other.
pub type Shape = Vec<Setting>;

/// What is laid in one run.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Laid {
    blocks: i64,
    /// The blocks and a joint for each.
    taken: i64,
    /// The smallest of those joints.
    least: i64,
    mitres: BTreeSet<Mitre>,
    /// What they do to a stop: of single rails at one setting one is enough.
    shapes: Vec<Shape>,
}

/// What a stick uses up at the least that gives so many units, and the shapes in
/// each of its runs that are cut so.
pub type Passings = BTreeMap<Counts, (i64, BTreeSet<Vec<Vec<Shape>>>)>;

impl Bench<'_> {
    pub fn joint_loss(&self, mitre: Mitre) -> i64 {
        self.shop.cutter_of(self.moulding).joint_loss(mitre).nm()
    }

    /// What each pair of neighbours of a stick saves by lying head to tail, which
    /// they do if all its blocks have one mitre.
    fn overlap(&self, laid: &[Laid]) -> i64 {
        let mitres: BTreeSet<Mitre> = laid.iter().flat_map(|run| run.mitres.clone()).collect();
        match (self.moulding.kind, mitres.first()) {
            (Kind::Reversible, Some(mitre)) if mitres.len() == 1 => {
                mitre.tan_down(self.moulding.width).nm()
            }
            _ => 0,
        }
    }

    fn runs(&self, source: &Source) -> Vec<(i64, i64)> {
        let cutter = self.shop.cutter_of(self.moulding);
        let widest = self.mitres.iter().map(|mitre| self.joint_loss(*mitre)).max().unwrap();
        let far = source.length - cutter.last_trim.nm().max(cutter.grip.nm());
        let mut runs = Vec::new();
        let mut at = cutter.first_trim.nm();
        for (from, to) in &source.flaws {
            runs.push((at, far.min(*from)));
            at = at.max(from + widest.max(to - from));
        }
        runs.push((at, far));
        runs.retain(|(from, to)| from < to);
        runs
    }

    /// The longest rail that the sources give.
    pub fn longest(&self, sources: &[Source]) -> i64 {
        let runs = sources.iter().flat_map(|source| self.runs(source));
        runs.map(|(from, to)| to - from).max().unwrap_or(0)
    }

    fn worth(&self, length: i64) -> i64 {
        let (keep, usual) = (self.shop.settings.keep.nm(), self.moulding.stick.nm());
        if length <= 0 || length < keep {
            return 0;
        }
        if length >= usual {
            return self.price(length);
        }
        // The lengths that the shop has written down, with what is kept and a whole stick.
        let mut knots = vec![(keep, self.shop.settings.worth)];
        knots.extend(self.moulding.worths.iter().map(|(at, share)| (at.nm(), *share)));
        knots.push((usual, 1_000_000));
        let after = knots.iter().position(|(at, _)| *at > length).unwrap();
        let wide = |(at, share): (i64, u32)| (i128::from(at), i128::from(share));
        let ((from, low), (to, high)) = (wide(knots[after - 1]), wide(knots[after]));
        let length = i128::from(length);
        let (rate, per) = self.moulding.rate();
        let millionths = low * (to - from) + (high - low) * (length - from);
        let worth = length * i128::from(rate.0) * millionths;
        i64::try_from(worth / (i128::from(per.nm()) * 1_000_000 * (to - from))).unwrap()
    }

    fn price(&self, length: i64) -> i64 {
        let (rate, per) = self.moulding.rate();
        let price = i128::from(length) * i128::from(rate.0) / i128::from(per.nm());
        i64::try_from(price).unwrap()
    }

    /// Every number of units that one stick can hold, with what that uses up.
    pub fn patterns(&self, source: &Source, units: &[Unit], most: &Counts) -> Vec<(Counts, i64)> {
        let passings = self.passings(source, units, most);
        passings.into_iter().map(|(counts, (used_up, _))| (counts, used_up)).collect()
    }

    /// The same with what each way to hold them does to a stop.
    pub fn passings(&self, source: &Source, units: &[Unit], most: &Counts) -> Passings {
        let runs = self.runs(source);
        let (mitres, shapes) = Default::default();
        let empty = Laid { blocks: 0, taken: 0, least: i64::MAX, mitres, shapes };
        let mut level = BTreeSet::from([(vec![0_u8; units.len()], vec![empty; runs.len()])]);
        for (index, unit) in units.iter().enumerate() {
            if unit.lot.is_some_and(|lot| lot != source.lot) {
                continue;
            }
            let mut newest = level.clone();
            for _ in 0..most[index] {
                newest = newest
                    .iter()
                    .flat_map(|(counts, laid)| {
                        let mut counts = counts.clone();
                        counts[index] += 1;
                        let places = self.places(&runs, laid.clone(), unit, &unit.blocks);
                        places.into_iter().map(move |laid| (counts.clone(), laid))
                    })
                    .collect();
                level.extend(newest.iter().cloned());
            }
        }
        let price =
            if source.is_new { self.price(source.length) } else { self.worth(source.length) };
        let mut best = Passings::new();
        for (counts, laid) in level.into_iter().filter(|(counts, _)| counts.iter().any(|n| *n > 0))
        {
            let used_up = price - self.back(source, &runs, &laid);
            let shapes: Vec<Vec<Shape>> = laid.into_iter().map(|run| run.shapes).collect();
            let known = best.entry(counts).or_insert((used_up, BTreeSet::new()));
            if used_up < known.0 {
                *known = (used_up, BTreeSet::new());
            }
            if used_up == known.0 {
                known.1.insert(shapes);
            }
        }
        best
    }

    /// Every way to lay blocks in runs that have something laid already.
    fn places(
        &self,
        runs: &[(i64, i64)],
        laid: Vec<Laid>,
        unit: &Unit,
        blocks: &[i64],
    ) -> BTreeSet<Vec<Laid>> {
        let Some((block, rest)) = blocks.split_first() else { return BTreeSet::from([laid]) };
        let joint = self.joint_loss(unit.mitre);
        let mut ways = BTreeSet::new();
        for index in 0..runs.len() {
            let mut more = laid.clone();
            let run = &mut more[index];
            run.blocks += 1;
            run.taken += block + joint;
            run.least = run.least.min(joint);
            run.mitres.insert(unit.mitre);
            if let Some(shape) = unit.settings.get(unit.blocks.len() - blocks.len()) {
                run.add(shape);
            }
            // Neighbours lose the larger of their joints. With the larger ones
            // first a run loses each but the least, and no order loses less:
            // of a chain's links, each block but one can be given one of its own
            // that is no smaller than its joint.
            let overlap = self.overlap(&more);
            let holds = |(run, (from, to)): (&Laid, &(i64, i64))| {
                run.blocks == 0 || run.taken - run.least - overlap * (run.blocks - 1) <= to - from
            };
            if more.iter().zip(runs).all(holds) {
                ways.extend(self.places(runs, more, unit, rest));
            }
        }
        ways
    }

    /// What goes back: what is left beyond the last block, and before each flaw
    /// that a block lies beyond.
    fn back(&self, source: &Source, runs: &[(i64, i64)], laid: &[Laid]) -> i64 {
        let last = laid.iter().rposition(|run| run.blocks > 0).unwrap();
        let overlap = self.overlap(laid);
        let remains = |(index, run): (usize, &Laid)| {
            let end = if index == last { source.length } else { runs[index].1 };
            let nested = overlap * (run.blocks - 1).max(0);
            self.worth(end - runs[index].0 - run.taken + nested)
        };
        laid[..=last].iter().enumerate().map(remains).sum()
    }
}

impl Laid {
    fn add(&mut self, shape: &Shape) {
        let mut shape = shape.clone();
        shape.dedup();
        if shape.len() > 1 || !self.shapes.contains(&shape) {
            self.shapes.push(shape);
            self.shapes.sort_unstable();
        }
    }
}
