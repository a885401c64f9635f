//! The ways to get one moulding: a split into chopped and cut, and so much of each
//! offer of sticks. They are too many to list (`show`).

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering::Relaxed};

use rayon::prelude::*;

use super::choices::{SoldOffer, arriving, choices};
use super::chops::chop_goods;
use super::finish::{spent, spent_least};
use super::kept::Kept;
use super::limit::{BeyondLimit, GoodsBySent, KnownForPrice};
use super::packer::{Look, WORK, limited, looks, of_rack, pieces as endless};
use super::pieces::{Pieces, pieces_in, separate};
use super::rates::Rates;
use super::record::PackingRecord;
use super::split_packings::{KnownPacking, SplitPackings};
use super::splits::{Split, splits};
use super::wants::Wants;
use crate::buy::{Goods, OfferQuantity, Terms, UNKNOWN, Way, goods_of};
use crate::planner::effort::Effort;
use crate::planner::lots::Placed;
use crate::planner::packing::Packing;

/// Steps of packing splits before it is known which are likely.
const EAGER: u64 = 100_000;

/// Where so many layers wait, packings from few suppliers' pieces are known from the
/// beginning, for so many steps.
const MANY_LAYERS: usize = 16;
const BY_FEW: u64 = 600_000;

/// Steps of working out what a way spends beyond need, where that is limited.
const STEPS_A_BUDGET: u64 = 20;

/// The ways of one moulding.
pub(super) struct MouldingWays<'a> {
    pub wants: Wants<'a>,
    pub pieces: Pieces,
    pub kept: Kept,
    pub cases: Vec<SplitPackings>,
    /// For each case what its chops cost at each supplier.
    pub chops: Vec<Vec<Goods>>,
    pub sold: Vec<SoldOffer>,
    /// Whether all that the rules allow is among them.
    pub whole: bool,
    /// Whether some way that was looked at closer spends too much beyond need: packed
    /// otherwise, using up more, it might not.
    pub is_spare_unsure: bool,
    /// How much may be bought beyond need.
    pub limit: BeyondLimit,
    /// What suppliers ask for what is needed.
    pub goods_by_sent: Mutex<GoodsBySent>,
    /// What is bought of them for a lower price alone.
    pub for_price: Mutex<KnownForPrice>,
    /// Steps of telling what ways are, of all so far.
    taken: AtomicU64,
    effort: Effort<'a>,
    /// For a longer look, and whether there may be one.
    longer: Effort<'a>,
    pub is_longer: bool,
    /// What was packed from just some pieces, and how often it was looked at.
    tried: BTreeMap<(usize, Vec<u32>), usize>,
    /// What to buy for what packings cut.
    pub covers: BTreeMap<Vec<u32>, BTreeSet<Vec<u32>>>,
    /// Who sells something of it, and whether it makes a parcel long.
    pub sellers: Vec<(usize, bool)>,
}

impl<'a> MouldingWays<'a> {
    /// All of them; none is complete where nothing is known to do.
    pub fn new(wants: Wants<'a>, longer: Effort<'a>) -> MouldingWays<'a> {
        let effort = longer.at_most(WORK);
        let pieces = Pieces::new(&wants);
        let lateness = pieces.lateness();
        let rates = Rates::all(&wants, &pieces, effort);
        let splits = splits(&wants, Rates::cheapest(&rates, &wants));
        let by_length = cheapest(&wants, &pieces, effort);
        let case = |split: Split| {
            let counts = Wants::counts(&split.cut);
            let least = by_length.least_by_length(&counts).0;
            let length = by_length.length(&counts);
            let mut case = SplitPackings::new(split, length, least, &lateness);
            for (late, rates) in lateness.iter().zip(&rates) {
                let least = |of: &Option<Rates>| of.as_ref().map(|of| of.least(&case.split.cut));
                let least = rates.each_ref().map(least);
                case.lift(*late, least);
                case.is_packed |= least[0].is_some();
            }
            case
        };
        let whole = !splits.lacking && lateness.len() == 1;
        let cases: Vec<SplitPackings> = splits.all.into_par_iter().map(case).collect();
        let chops = cases.iter().map(|case| chop_goods(&wants, &case.split)).collect();
        let kept = Kept::new(&wants, &pieces);
        let (tried, sold, sellers) = (BTreeMap::new(), Vec::new(), Vec::new());
        let limit = BeyondLimit::new(&wants);
        let mut ways = MouldingWays {
            wants,
            pieces,
            kept,
            cases,
            chops,
            sold,
            whole: true,
            is_spare_unsure: false,
            limit,
            goods_by_sent: Mutex::default(),
            for_price: Mutex::default(),
            taken: AtomicU64::new(0),
            effort,
            longer,
            is_longer: false,
            tried,
            covers: BTreeMap::new(),
            sellers,
        };
        ways.know_one();
        let most = ways.pieces.most_cut(&ways.wants, ways.most_saved());
        let (sold, is_all) = choices(&ways.wants, &ways.pieces, &most, limit);
        ways.sellers = self::sellers(&sold, &ways.chops);
        ways.sold = sold;
        ways.whole = whole && is_all;
        ways.know_unmixed();
        ways.know_by_few();
        if limit != BeyondLimit::NONE && ways.is_none() {
            // Nothing within the limit is known of: what is known is better than nothing.
            ways.limit = BeyondLimit::NONE;
            ways.whole = false;
        }
        ways
    }

    /// More than this no purchase of it saves against the simplest: a packing that
    /// is known from the cheapest offer of each kind of piece, on terms as dear as
    /// can be; and whatever its suppliers can charge less for more.
    fn most_saved(&self) -> i64 {
        let wants = &self.wants;
        let mut terms = 0;
        for (supplier, of) in &wants.shop.suppliers {
            let mut offers = wants.shop.offers.iter().filter(|offer| offer.supplier == *supplier);
            if offers.any(|offer| offer.moulding == wants.moulding.id) {
                terms += 2 * (Terms::of(of).most_saved() + Terms::charged(of).long) * 1000;
            }
        }
        let packings = self.cases.iter().zip(&self.chops).flat_map(|(case, chops)| {
            let chops: i64 = chops.iter().map(|goods| goods.cost * 1000).sum();
            case.packings().map(move |(cut, used_up)| (cut, used_up + chops))
        });
        let known = packings.filter_map(|(cut, used_up)| {
            let kinds = cut.iter().enumerate().filter(|(_, count)| **count > 0);
            let bought = kinds.map(|(kind, count)| self.simplest(kind, *count));
            Some(bought.sum::<Option<i64>>()? + used_up)
        });
        known.min().unwrap_or(i64::MAX / 4).saturating_add(terms + self.kept.most_more().max(0))
    }

    /// What so many pieces of a kind cost from the cheapest offer, less what they
    /// count uncut.
    fn simplest(&self, kind: usize, count: u32) -> Option<i64> {
        let wants = &self.wants;
        let mut best: Option<i64> = None;
        for (supply, of) in wants.supplies.iter().enumerate() {
            for (at, piece) in of.pieces.iter().enumerate() {
                if self.pieces.kind(supply, at) != kind {
                    continue;
                }
                let each = pieces_in(wants, supply, piece);
                let lot = OfferQuantity { length: piece.stick, count: count.div_ceil(each) };
                let goods = goods_of(&wants.shop.offers[of.offer], &[lot]).0 * 1000;
                let worth = self.pieces.kinds[kind].worth * i64::from(lot.count * each);
                best = Some(best.map_or(goods - worth, |best| best.min(goods - worth)));
            }
        }
        best
    }

    /// Packs the first splits until one is known to do.
    fn know_one(&mut self) {
        let MouldingWays { wants, pieces, cases, effort, .. } = self;
        let mut steps = 0;
        for case in cases.iter_mut() {
            if !case.has_record() {
                steps += case.pack(wants, pieces, *effort);
            }
            if steps > EAGER && case.has_record() {
                break;
            }
        }
    }

    /// Where the packings that are known mix whole sticks and halves of one offer,
    /// packs from either alone.
    fn know_unmixed(&mut self) {
        if !self.is_none() {
            return;
        }
        let MouldingWays { wants, pieces, cases, effort, .. } = self;
        for case in cases.iter_mut().filter(|case| case.has_record()) {
            for halved in [false, true] {
                case.pack_unmixed(wants, pieces, halved, *effort);
            }
        }
    }

    /// Where many layers wait, packs from few suppliers' pieces too.
    fn know_by_few(&mut self) {
        let MouldingWays { wants, pieces, cases, effort, .. } = self;
        if separate(wants) && wants.layers.len() >= MANY_LAYERS {
            for case in cases.iter_mut().filter(|case| case.split.chopped.is_empty()) {
                case.pack_by_few(wants, pieces, BY_FEW, *effort);
            }
        }
    }

    /// Whether nothing is known to do.
    pub fn is_none(&self) -> bool {
        self.plain().iter().all(|way| !way.is_known())
    }

    /// Looks closer at what a way is packed as, a longer look for so many steps; the steps
    /// taken, none if it was looked at before.
    pub fn look_closer(&mut self, way: &Way, share: u64) -> u64 {
        let Some((case, picks)) = way.of.split_first() else { return 0 };
        let (case, most) = (*case as usize, self.most_looks());
        let MouldingWays { wants, pieces, kept, cases, sold, effort, longer, tried, .. } = self;
        if !cases[case].is_packed {
            return cases[case].pack(wants, pieces, *effort);
        }
        let some = arriving(pieces, sold, picks);
        let looked = tried.entry((case, some.clone())).or_default();
        let known = cases[case].known(wants, pieces, kept, &some);
        let is_settled = known.is_some_and(|known| known.is_settled());
        if is_settled && wants.shop.settings.buying.spare_most.is_none() {
            *looked = most;
        }
        let mut steps = 0;
        let least =
            |case: &SplitPackings| case.known(wants, pieces, kept, &some).map(|known| known.least);
        while *looked < most {
            let look = looks(wants).get(*looked).map(|look| (*look, *effort));
            let (look, effort) = look.unwrap_or((Look::Whole, limited(*longer, share)));
            *looked += 1;
            let before = least(&cases[case]);
            steps += cases[case].pack_from(wants, pieces, kept, &some, look, effort);
            let after = least(&cases[case]);
            // What turns out to use up more may not be worth a longer look.
            if after != before {
                break;
            }
        }
        steps += self.look_within(case, picks, &some);
        let most = self.wants.shop.settings.buying.spare_most;
        let best = self.known(case, &some).and_then(|known| known.best);
        if let Some((most, (record, _))) = most.zip(best) {
            self.is_spare_unsure |= spent(self, case, record, picks) > most.0;
        }
        steps
    }

    /// Where a way might be within the limit if it were cut from fewer of the rack's
    /// sticks, packs it so. The steps taken.
    fn look_within(&mut self, case: usize, picks: &[u32], some: &[u32]) -> u64 {
        let Some(known) = self.known(case, some) else { return 0 };
        let is_of_rack = |record: &PackingRecord| record.opened > record.new_count();
        let may_leave = known.best.is_some_and(|(at, _)| is_of_rack(self.cases[case].record(at)));
        if !may_leave
            || self.best_within(case, &known, picks).is_some()
            || !self.may_be_within(case, &known, picks)
        {
            return 0;
        }
        let MouldingWays { wants, pieces, kept, cases, effort, .. } = self;
        cases[case].pack_leaving(wants, pieces, kept, some, *effort)
    }

    /// How often a way may be looked at.
    fn most_looks(&self) -> usize {
        looks(&self.wants).len() + usize::from(self.is_longer)
    }

    /// Whether what may be spent beyond need is limited.
    pub fn has_budget(&self) -> bool {
        self.wants.shop.settings.buying.spare_most.is_some()
    }

    /// A way with what is known of it now.
    pub fn again(&self, way: &Way) -> Option<Way> {
        let (case, picks) = way.of.split_first()?;
        self.way(*case as usize, picks)
    }

    /// A way to get it; `None` if it is known that it does not do.
    pub fn way(&self, case: usize, picks: &[u32]) -> Option<Way> {
        let some = arriving(&self.pieces, &self.sold, picks);
        let has_budget = self.has_budget();
        self.take(self.cases[case].size() + if has_budget { STEPS_A_BUDGET } else { 1 });
        let known = self.known(case, &some)?;
        let chosen = || self.sold.iter().zip(picks).map(|(sold, &at)| &sold.choices[at as usize]);
        let mut goods: BTreeMap<usize, Goods> = BTreeMap::new();
        let chosen_goods = chosen().filter_map(|choice| choice.goods);
        for one in self.chops[case].iter().copied().chain(chosen_goods) {
            let all = goods.entry(one.supplier).or_insert(Goods { cost: 0, long: false, ..one });
            all.cost += one.cost;
            all.long |= one.long;
        }
        let worth: i64 = chosen().map(|choice| choice.worth).sum();
        let least = known.least - worth;
        let best = self.best_within(case, &known, picks);
        if best.is_none() && known.is_settled() && !self.may_be_within(case, &known, picks) {
            return None;
        }
        let own = best.map_or(UNKNOWN, |(_, used_up)| used_up - worth);
        let spare = match best.filter(|_| has_budget) {
            Some((record, _)) => spent(self, case, record, picks),
            None => 0,
        };
        let of = std::iter::once(u32::try_from(case).unwrap_or(u32::MAX)).chain(picks.to_vec());
        let goods = goods.into_values().collect();
        let doubt = own - least;
        let looked = self.tried.get(&(case, some)).copied().unwrap_or(0);
        let is_tried = self.cases[case].is_packed && looked == self.most_looks();
        let is_open = (doubt > 0 || spare > 0) && !is_tried;
        let spare_least = match is_open && has_budget {
            true => spent_least(self, case, picks).min(spare),
            false => spare,
        };
        Some(Way { own, doubt, is_open, of: of.collect(), goods, spare, spare_least })
    }

    /// Counts so many steps of telling what a way is.
    pub fn take(&self, steps: u64) {
        self.taken.fetch_add(steps, Relaxed);
    }

    /// How many steps of telling what ways are were taken.
    pub fn taken(&self) -> u64 {
        self.taken.load(Relaxed)
    }

    /// What is known of some pieces, where they can be packed at once.
    pub fn known(&self, case: usize, some: &[u32]) -> Option<KnownPacking> {
        self.cases[case].known(&self.wants, &self.pieces, &self.kept, some)
    }
}

fn sellers(sold: &[SoldOffer], chops: &[Vec<Goods>]) -> Vec<(usize, bool)> {
    let sticks = sold.iter().flat_map(|sold| &sold.choices).filter_map(|choice| choice.goods);
    let goods = sticks.chain(chops.iter().flatten().copied());
    let sellers: BTreeSet<(usize, bool)> =
        goods.map(|goods| (goods.supplier, goods.long)).collect();
    sellers.into_iter().collect()
}

/// What layers use up at the least by length: the rack, and every kind of piece at
/// its premium.
fn cheapest<'a>(wants: &Wants<'a>, pieces: &Pieces, effort: Effort<'a>) -> Packing<'a> {
    let new = pieces.kinds.iter().enumerate().filter(|(_, kind)| kind.is_of_use);
    let new = new.map(|(at, kind)| endless(wants, (at, kind), kind.premiums[0], true));
    let sticks = of_rack(wants).into_iter().chain(new);
    let sources: Vec<Placed> = sticks.map(|stick| stick.placed).collect();
    Packing::new(wants.bench(), wants.asks, sources, effort)
}
