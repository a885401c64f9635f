//! One moulding and what its rails may come from: packs counts of asks, and
//! remembers what it has packed before.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex};

use super::effort::Effort;
pub(crate) use super::fit::{Fit, Packed};
use super::lots::Placed;
use super::material::Material;
use super::shares::{Origin, origins};
use crate::cutting::{Ask, Bench, Demand, Source, pose};
use crate::measure::Worth;
use crate::shop::Match;
use crate::solve::{Problem, least};

/// What was seen to have room is glanced at again in so many ways at most.
const MOST_AGAIN: usize = 8;

/// What posing a question and reading its answer takes, in steps.
pub(crate) fn overhead(problem: &Problem) -> u64 {
    let size = problem.items.len().saturating_add(problem.stock.len());
    200 + 4 * u64::try_from(size).unwrap_or(u64::MAX / 8)
}

/// How many of which ask, as an index into the packing's asks.
pub(crate) type Counts = BTreeMap<usize, u32>;

/// The steps of search for a first look at a packing.
pub(crate) const GLANCE: u64 = 30_000;

/// The steps after which it shows whether everything fits with ease: a plan by
/// the first rules of thumb and no more.
pub(crate) const PEEK: u64 = 1;

/// One moulding on its bench.
pub(crate) struct Packing<'a> {
    pub bench: Bench<'a>,
    pub asks: &'a [Ask],
    /// For each source its place in the rack.
    pub places: Vec<Option<usize>>,
    pub sources: Vec<Source>,
    /// Sticks from which only what is kept may be cut.
    pub(crate) later: Vec<Source>,
    pub(crate) limits: Effort<'a>,
    pub(crate) material: Material,
    /// Where rails can come from, with the room there is.
    pub(crate) origins: Vec<(Origin, Option<i64>)>,
    /// Whether an origin can give one of an ask, as far as it was asked.
    pub(crate) giving: Mutex<BTreeMap<(usize, usize), bool>>,
    /// The steps that are left, and how many of them are kept for later: they pay
    /// for no more than a peek.
    left: AtomicU64,
    kept: u64,
    /// What came of packing, and the steps that it was allowed.
    packed: BTreeMap<Counts, (Packed, u64)>,
    glanced: BTreeMap<Counts, Packed>,
    /// What came of packing with every rail from any stick.
    free: BTreeMap<Counts, Option<Arc<Fit>>>,
    /// Counts that have room, as far as more is not known of them.
    ample: BTreeSet<Counts>,
}

/// Whether there is room for everything that was asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sufficiency {
    /// There is.
    Ample,
    /// There is not.
    Lacking,
    /// Not settled within the limits.
    Unknown,
}

impl Sufficiency {
    fn of(packed: &Packed) -> Sufficiency {
        match packed {
            Packed::Fits(_) => Sufficiency::Ample,
            Packed::Impossible => Sufficiency::Lacking,
            Packed::Unknown => Sufficiency::Unknown,
        }
    }
}

impl<'a> Packing<'a> {
    pub fn new(
        bench: Bench<'a>,
        asks: &'a [Ask],
        sources: Vec<Placed>,
        effort: Effort<'a>,
    ) -> Packing<'a> {
        let (places, sources): (_, Vec<Source>) = sources.into_iter().unzip();
        let material = Material::new(&bench, asks, &sources);
        Packing {
            origins: origins(asks, &sources, &material.rooms),
            material,
            giving: Mutex::default(),
            bench,
            asks,
            places,
            sources,
            later: Vec::new(),
            left: AtomicU64::new(effort.purse()),
            kept: 0,
            limits: effort,
            packed: BTreeMap::new(),
            glanced: BTreeMap::new(),
            free: BTreeMap::new(),
            ample: BTreeSet::new(),
        }
    }

    /// Packs these counts as well as the limits allow, or recalls what came of
    /// them. What was not settled is packed anew where much more may be spent.
    pub fn pack(&mut self, counts: &Counts) -> Packed {
        let effort = self.affordable(self.limits);
        let known = self.packed.get(counts);
        let is_known =
            |(packed, with): &&(Packed, u64)| packed.is_settled() || *with > effort.work() / 2;
        if let Some((known, _)) = known.filter(is_known) {
            return known.clone();
        }
        if !self.may_search() {
            let known = known.map(|(known, _)| known).or_else(|| self.glanced.get(counts));
            return known.cloned().unwrap_or(Packed::Unknown);
        }
        let packed = if self.is_keeping(counts) {
            self.pack_keeping(counts, false)
        } else {
            let floor = if self.is_shared_out(counts) { self.pack_freely(counts) } else { None };
            self.over_lots(counts, effort, floor.as_deref())
        };
        let before = self.packed.remove(counts).map(|(before, _)| before);
        let packed = before.map_or(packed.clone(), |before| before.or_better(packed));
        self.packed.insert(counts.clone(), (packed.clone(), effort.work()));
        packed
    }

    /// How these counts are packed, which were chosen because they can be; with
    /// what is known from packing them without the match rules. `None` where the
    /// search was cut off and no way is found again.
    pub fn sharp(&mut self, counts: &Counts) -> Option<Arc<Fit>> {
        let fit = self.pack(counts).fit().or_else(|| self.again(counts))?;
        let free = self.pack_freely(counts);
        Some(free.map_or(fit.clone(), |free| Arc::new(fit.sharpened(&free))))
    }

    /// A way to cut what was seen to have room, looked for as it was then, whatever
    /// was spent since.
    fn again(&mut self, counts: &Counts) -> Option<Arc<Fit>> {
        if let Some(fit) = self.glanced.get(counts).and_then(Packed::fit) {
            return Some(fit);
        }
        let whole = self.limits.to_the_end();
        if self.is_keeping(counts) {
            let left = self.left();
            self.grant(whole.work());
            let again = self.pack_keeping(counts, true).fit();
            self.grant(left);
            return again;
        }
        let again = self.first_fit(counts, whole.at_most(PEEK), usize::MAX);
        let again = again.or_else(|| self.first_fit(counts, whole.at_most(GLANCE), MOST_AGAIN))?;
        self.glanced.insert(counts.clone(), Packed::Fits(again.clone()));
        Some(again)
    }

    /// As [`pack`](Self::pack), but with little search: enough to tell in most
    /// cases whether everything fits, and roughly what it uses up.
    pub fn glance(&mut self, counts: &Counts) -> Packed {
        let packed = self.packed.get(counts).map(|(packed, _)| packed);
        if let Some(known) = packed.or_else(|| self.glanced.get(counts)) {
            return known.clone();
        }
        if !self.may_search() {
            return Packed::Unknown;
        }
        let packed = match self.is_keeping(counts) {
            true => self.pack_keeping(counts, true),
            false => self.over_lots(counts, self.affordable(self.limits.at_most(GLANCE)), None),
        };
        if packed.is_settled() {
            self.packed.insert(counts.clone(), (packed.clone(), GLANCE));
        } else {
            self.glanced.insert(counts.clone(), packed.clone());
        }
        packed
    }

    /// Whether there is room for all of these, looking no harder than it takes:
    /// a peek, then a glance, then a full look.
    pub fn room(&mut self, counts: &Counts) -> Sufficiency {
        match self.glance_room(counts) {
            Sufficiency::Unknown => Sufficiency::of(&self.pack(counts)),
            settled => settled,
        }
    }

    /// Whether there is room for all of these, as everything begins with that: a
    /// peek is made even if the time is over.
    pub fn room_for_all(&mut self, counts: &Counts) -> bool {
        if self.is_late() && self.fits_with_ease(counts) {
            self.ample.insert(counts.clone());
        }
        self.room(counts) == Sufficiency::Ample
    }

    /// Whether packing these again would change nothing.
    pub fn is_settled(&self, counts: &Counts) -> bool {
        self.packed.get(counts).is_some_and(|(packed, _)| packed.is_settled())
    }

    /// As [`room`](Self::room), without the full look.
    pub fn glance_room(&mut self, counts: &Counts) -> Sufficiency {
        let known = self.packed.contains_key(counts) || self.glanced.contains_key(counts);
        if known {
            return Sufficiency::of(&self.glance(counts));
        }
        if self.length(counts) > self.all_room() {
            return Sufficiency::Lacking;
        }
        if self.ample.contains(counts) || (self.may_peek() && self.fits_with_ease(counts)) {
            self.ample.insert(counts.clone());
            return Sufficiency::Ample;
        }
        Sufficiency::of(&self.glance(counts))
    }

    /// Gives it so many steps to spend, none of them kept.
    pub fn grant(&mut self, steps: u64) {
        (self.left, self.kept) = (AtomicU64::new(steps), 0);
    }

    /// The steps that are left.
    pub fn left(&self) -> u64 {
        self.left.load(Ordering::Relaxed)
    }

    /// Keeps what is left for so many turns, this one included, but the more of it
    /// for the earlier ones.
    pub fn keep_for(&mut self, turns: u64) {
        let now = self.left() / (turns + 1) * 2;
        self.kept = self.left().saturating_sub(now);
    }

    /// Counts steps that were taken.
    pub fn spend(&self, steps: u64) {
        let less = |left: u64| Some(left.saturating_sub(steps));
        // It never fails: there is always something left to be said of it.
        let _ = self.left.fetch_update(Ordering::Relaxed, Ordering::Relaxed, less);
    }

    /// Whether there are steps for more than a peek.
    pub fn may_search(&self) -> bool {
        self.left() > self.kept && !self.is_late()
    }

    /// Whether there are steps for a peek, and time.
    fn may_peek(&self) -> bool {
        self.left() > 0 && !self.is_late()
    }

    /// Whether the time is over.
    pub fn is_late(&self) -> bool {
        self.limits.is_over()
    }

    /// As much of it as may be spent now.
    pub(crate) fn affordable<'e>(&self, effort: Effort<'e>) -> Effort<'e> {
        effort.at_most(self.left().saturating_sub(self.kept).max(PEEK))
    }

    /// The least length that what is cut of these counts takes.
    pub fn length(&self, counts: &Counts) -> i64 {
        let length = |(ask, count): (&usize, &u32)| {
            let each = self.material.lengths.get(*ask).copied().unwrap_or(0);
            each.saturating_mul(i64::from(*count))
        };
        counts.iter().map(length).fold(0, i64::saturating_add)
    }

    /// The most length that all sticks give.
    pub fn all_room(&self) -> i64 {
        if self.sources.iter().any(|source| source.is_new) {
            return i64::MAX;
        }
        self.material.rooms.iter().sum()
    }

    /// How many different counts have been packed.
    pub fn effort(&self) -> usize {
        self.packed.len() + self.glanced.len() + self.ample.len()
    }

    /// As [`pack`](Self::pack), with every rail from any stick, where a match
    /// rule is in force at all.
    pub fn pack_freely(&mut self, counts: &Counts) -> Option<Arc<Fit>> {
        if self.is_keeping(counts) {
            let (cut, _) = self.cut_and_kept(counts);
            return self.pack_freely(&cut);
        }
        if let Some(known) = self.free.get(counts) {
            return known.clone();
        }
        if !self.may_search() {
            return None;
        }
        let free = self.settle_freely(counts);
        self.free.insert(counts.clone(), free.clone());
        free
    }

    fn settle_freely(&self, counts: &Counts) -> Option<Arc<Fit>> {
        if counts.keys().all(|ask| self.asks[*ask].match_ == Match::Any) {
            return None;
        }
        self.settle(self.freely(counts), self.affordable(self.limits)).fit()
    }

    /// These counts with every rail from any stick.
    pub(crate) fn freely(&self, counts: &Counts) -> (Vec<usize>, Vec<Demand>) {
        let free = |(&of, &count): (&usize, &u32)| {
            let ask = Ask { match_: Match::Any, like: None, ..self.asks[of].clone() };
            (of, Demand { ask, lot: None, together: false, count })
        };
        counts.iter().map(free).unzip()
    }

    /// What these counts use up at the least, whatever the match rules, as far as
    /// the limits tell; `None` if that is nothing.
    pub fn least(&self, counts: &Counts) -> Option<Worth> {
        let packed = self.settle(self.freely(counts), self.affordable(self.limits));
        packed.fit().map(|fit| fit.bound)
    }

    /// What these counts use up at the least, by lengths alone.
    pub fn least_by_length(&self, counts: &Counts) -> Worth {
        let (_, demands) = self.freely(counts);
        let posed = pose(&self.bench, &demands, &self.sources);
        let problem = posed.relaxed.as_ref().unwrap_or(&posed.problem);
        Worth(least(problem).div_euclid(posed.scale))
    }
}
