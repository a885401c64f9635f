//! The best morning as an integer program, written from the definitions.

use std::collections::{BTreeMap, BTreeSet};

use good_lp::{
    Expression, ResolutionError, Solution as _, SolverModel, Variable, constraint, microlp,
    variable, variables,
};
use jiff::civil::Date;
use longpoint::measure::Mitre;
use longpoint::rails::frame_rails;
use longpoint::shop::{Frame, Kind, Match, Shop};

use super::bench::{Bench, Unit, sources, units};

/// The best morning: frames of each date, what they use up, sticks.
#[derive(Debug, PartialEq, Eq)]
pub struct Best {
    pub served: Vec<u32>,
    pub used_up: i64,
    pub sticks: u32,
}

/// The dates of all frames, earliest first, undated last.
pub fn dates(shop: &Shop) -> Vec<Option<Date>> {
    let dates: BTreeSet<(bool, Option<Date>)> =
        shop.frames.iter().map(|frame| (frame.due.is_none(), frame.due)).collect();
    dates.into_iter().map(|(_, date)| date).collect()
}

/// What one choice needs of what is cut: so many of each kind of unit.
type Needs = BTreeMap<usize, u32>;

/// One layer of a frame: the ways to cut it, one for each lot that it may come
/// from.
struct Layer {
    frame: usize,
    ways: Vec<Needs>,
}

/// One way to cut one stick.
struct Way {
    stick: usize,
    gives: Needs,
    used_up: i64,
}

/// Everything that may be chosen.
#[derive(Default)]
struct Menu {
    kinds: BTreeMap<(String, Unit), usize>,
    layers: Vec<Layer>,
    ways: Vec<Way>,
    sticks: usize,
}

/// More sticks than any morning takes: worth counts in these, sticks in ones.
const SCALE: i64 = 64;

/// With more ways to cut a stick than this the general solver may take minutes.
const MOST_WAYS: usize = 200;

/// The best morning; `None` if the general solver would take too long.
pub fn best(shop: &Shop) -> Option<Best> {
    let menu = Menu::new(shop);
    if menu.ways.len() > MOST_WAYS {
        return None;
    }
    let dates = dates(shop);
    let mut served: Vec<u32> = Vec::new();
    for _ in &dates {
        let most = Aim::Most(served.len());
        let answer = menu.solve(shop, &dates, &served, most);
        served.push(menu.served(shop, &dates, &answer)[served.len()]);
    }
    let answer = menu.solve(shop, &dates, &served, Aim::Least);
    assert_eq!(menu.served(shop, &dates, &answer), served);
    menu.check(&answer);
    let taken = || menu.ways.iter().zip(&answer.ways).filter(|(_, times)| **times > 0);
    Some(Best {
        served,
        used_up: taken().map(|(way, times)| way.used_up * times).sum(),
        sticks: taken().map(|(_, times)| u32::try_from(*times).unwrap()).sum(),
    })
}

/// What is to be made most or least of.
#[derive(Clone, Copy)]
enum Aim {
    /// Most frames of this date.
    Most(usize),
    /// Least used up, then fewest sticks.
    Least,
}

/// What was chosen, rounded to whole numbers.
struct Answer {
    frames: Vec<i64>,
    layers: Vec<Vec<i64>>,
    ways: Vec<i64>,
}

impl Menu {
    fn new(shop: &Shop) -> Menu {
        let mut menu = Menu::default();
        for moulding in shop.mouldings.values() {
            let mitre = |frame: &Frame| match moulding.kind {
                Kind::BuildOut => Mitre::BUTT,
                _ => frame.mitre,
            };
            let mitres = shop.frames.iter().map(mitre).collect();
            let bench = Bench { shop, moulding, mitres };
            let mut rack = sources(shop, moulding, &BTreeSet::new());
            rack.retain(|source| !source.is_new);
            let lots: BTreeSet<usize> = rack.iter().map(|source| source.lot).collect();
            let mut most: BTreeMap<Unit, u32> = BTreeMap::new();
            for (index, frame) in shop.frames.iter().enumerate() {
                for (layer, rails) in frame.layers.iter().zip(frame_rails(shop, frame)) {
                    if layer.moulding != moulding.id {
                        continue;
                    }
                    let from = match layer.match_ {
                        Match::Lot | Match::Halves => lots.iter().copied().map(Some).collect(),
                        _ => vec![None],
                    };
                    let mut ways = Vec::new();
                    for lot in from {
                        let joint = bench.joint_loss(mitre(frame));
                        let mut needs = Needs::new();
                        for unit in units(&rails.rails, mitre(frame), layer.match_, joint, lot) {
                            *most.entry(unit.clone()).or_default() += frame.copies;
                            let next = menu.kinds.len();
                            let key = (moulding.id.clone(), unit);
                            *needs.entry(*menu.kinds.entry(key).or_insert(next)).or_default() += 1;
                        }
                        ways.push(needs);
                    }
                    menu.layers.push(Layer { frame: index, ways });
                }
            }
            let (kinds, most): (Vec<Unit>, Vec<u8>) =
                most.into_iter().map(|(unit, n)| (unit, n.min(12) as u8)).unzip();
            let known = |unit: &Unit| menu.kinds[&(moulding.id.clone(), unit.clone())];
            let known: Vec<usize> = kinds.iter().map(known).collect();
            for source in &rack {
                for (counts, used_up) in bench.patterns(source, &kinds, &most) {
                    let gives = counts.iter().zip(&known).filter(|(n, _)| **n > 0);
                    let gives = gives.map(|(n, kind)| (*kind, u32::from(*n))).collect();
                    menu.ways.push(Way { stick: menu.sticks, gives, used_up });
                }
                menu.sticks += 1;
            }
        }
        menu
    }

    fn served(&self, shop: &Shop, dates: &[Option<Date>], answer: &Answer) -> Vec<u32> {
        let of = |date: &Option<Date>| {
            let frames = shop.frames.iter().zip(&answer.frames);
            let cut: i64 = frames.filter(|(frame, _)| frame.due == *date).map(|(_, n)| n).sum();
            u32::try_from(cut).unwrap()
        };
        dates.iter().map(of).collect()
    }

    /// Solves it in fractions first: what is counted is whole, so no choice is
    /// better than that rounded, and told so the general solver need not find it
    /// out by search.
    fn solve(&self, shop: &Shop, dates: &[Option<Date>], served: &[u32], aim: Aim) -> Answer {
        let (_, in_fractions) = self.general(shop, dates, served, aim, None);
        let limit = match aim {
            Aim::Most(_) => (in_fractions + 1e-4).floor(),
            Aim::Least => (in_fractions - 1e-4).ceil(),
        };
        self.general(shop, dates, served, aim, Some(limit)).0
    }

    fn general(
        &self,
        shop: &Shop,
        dates: &[Option<Date>],
        served: &[u32],
        aim: Aim,
        limit: Option<f64>,
    ) -> (Answer, f64) {
        variables! { model: }
        let number = |most: u32| match limit {
            Some(_) => variable().integer().min(0).max(most),
            None => variable().min(0).max(most),
        };
        let copies = |frame: usize| shop.frames[frame].copies;
        let frames: Vec<Variable> =
            (0..shop.frames.len()).map(|frame| model.add(number(copies(frame)))).collect();
        let layers: Vec<Vec<Variable>> = self
            .layers
            .iter()
            .map(|layer| {
                layer.ways.iter().map(|_| model.add(number(copies(layer.frame)))).collect()
            })
            .collect();
        let ways: Vec<Variable> = self.ways.iter().map(|_| model.add(number(1))).collect();
        let of_date = |date: usize| -> Expression {
            let of = shop.frames.iter().zip(&frames).filter(|(frame, _)| frame.due == dates[date]);
            of.map(|(_, frame)| *frame).sum()
        };
        let cost: Expression = self
            .ways
            .iter()
            .zip(&ways)
            .map(|(way, times)| (way.used_up * SCALE + 1) as f64 * *times)
            .sum();
        let aimed = match aim {
            Aim::Most(date) => of_date(date),
            Aim::Least => cost.clone(),
        };
        let mut program = match aim {
            Aim::Most(_) => model.maximise(aimed.clone()).using(microlp),
            Aim::Least => model.minimise(aimed.clone()).using(microlp),
        };
        if let Some(limit) = limit {
            program = program.with(match aim {
                Aim::Most(_) => constraint!(aimed.clone() <= limit),
                Aim::Least => constraint!(aimed.clone() >= limit),
            });
        }
        for (date, count) in served.iter().enumerate() {
            program = program.with(constraint!(of_date(date) == f64::from(*count)));
        }
        for (layer, shares) in self.layers.iter().zip(&layers) {
            let all: Expression = shares.iter().copied().sum();
            program = program.with(constraint!(all == frames[layer.frame]));
        }
        for stick in 0..self.sticks {
            let of = self.ways.iter().zip(&ways).filter(|(way, _)| way.stick == stick);
            let all: Expression = of.map(|(_, times)| *times).sum();
            program = program.with(constraint!(all <= 1));
        }
        for kind in self.kinds.values() {
            let mut over = Expression::default();
            for (way, times) in self.ways.iter().zip(&ways) {
                over += f64::from(way.gives.get(kind).copied().unwrap_or(0)) * *times;
            }
            for (layer, shares) in self.layers.iter().zip(&layers) {
                for (needs, share) in layer.ways.iter().zip(shares) {
                    over -= f64::from(needs.get(kind).copied().unwrap_or(0)) * *share;
                }
            }
            program = program.with(constraint!(over == 0));
        }
        let solved = match program.solve() {
            Ok(solved) => solved,
            Err(ResolutionError::Infeasible) => panic!("cutting nothing is always possible"),
            Err(error) => panic!("the general solver failed: {error}"),
        };
        let whole = |variable: &Variable| solved.value(*variable).round() as i64;
        let answer = Answer {
            frames: frames.iter().map(whole).collect(),
            layers: layers.iter().map(|shares| shares.iter().map(whole).collect()).collect(),
            ways: ways.iter().map(whole).collect(),
        };
        (answer, solved.eval(&aimed))
    }

    /// The choice is one: what is cut is what the frames need, from each stick
    /// once.
    fn check(&self, answer: &Answer) {
        let mut over: BTreeMap<usize, i64> = BTreeMap::new();
        let mut sticks: BTreeMap<usize, i64> = BTreeMap::new();
        for (way, times) in self.ways.iter().zip(&answer.ways) {
            way.gives
                .iter()
                .for_each(|(kind, n)| *over.entry(*kind).or_default() += times * i64::from(*n));
            *sticks.entry(way.stick).or_default() += times;
        }
        for (layer, shares) in self.layers.iter().zip(&answer.layers) {
            assert_eq!(shares.iter().sum::<i64>(), answer.frames[layer.frame]);
            for (needs, share) in layer.ways.iter().zip(shares) {
                needs
                    .iter()
                    .for_each(|(kind, n)| *over.entry(*kind).or_default() -= share * i64::from(*n));
            }
        }
        assert!(over.values().all(|over| *over == 0), "{over:?}");
        assert!(sticks.values().all(|times| *times <= 1), "{sticks:?}");
    }
}
