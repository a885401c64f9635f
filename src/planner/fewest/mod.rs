//! Of plans that are as good, the one whose stops are moved least.
//!
//! Plans are as good that serve the dates as well, use up as little and take as
//! few sticks. They may cut other frames, and other rails from other sticks. Rails
//! are exchanged between sticks as long as that saves moves ([`exchange`]); which of
//! the choices of frames is taken, so that mouldings hand their settings on at each
//! machine ([`day`]), is decided here. That is a heuristic. The bound counts the
//! settings that the rails take, whatever the order.

mod cuts;
mod day;
mod exchange;
mod moulding;
mod question;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use rayon::prelude::*;

use super::choice::{Asked, asked_by, join};
use super::packing::{Counts, Fit};
use super::stage::Decided;
use super::work::Work;
use crate::shop::{Shop, Stop};
use crate::stops::StopPosition;

use day::Passed;
use exchange::exchanged;
use moulding::{Passages, as_packed};
use question::{At, Question, settings_of};

/// So many choices of frames at most are compared.
const MOST_CHOICES: usize = 40;

/// How the day's frames are cut with few settings.
pub(crate) struct Fewest {
    /// How each moulding is packed.
    pub fits: BTreeMap<String, Arc<Fit>>,
    /// No plan as good has fewer settings, on all machines together.
    pub least: u32,
}

/// Puts the choices of frames first that are to be taken, and says how to pack
/// them.
pub(crate) fn fewest(shop: &Shop, work: &Work, decided: &mut Decided) -> Fewest {
    let choices = Choices::of(decided);
    let asked = |choice: &Vec<usize>| {
        let mut served = decided.common.clone();
        for (pick, place) in decided.picks.iter().zip(choice) {
            join(&mut served, &pick.choices[*place]);
        }
        let mut asked = asked_by(&work.classes, &served);
        asked.retain(|id, counts| !decided.packings[id].cut_and_kept(counts).0.is_empty());
        asked
    };
    let days: Vec<Asked> = choices.listed.iter().map(asked).collect();
    let sure = sure(shop, work, decided, &choices);
    let known = known(shop, decided, &days);
    // The first is packed in any case.
    let is_packed = |asked: &Asked| {
        asked.iter().all(|(id, counts)| known[id].iter().any(|(other, _)| other == counts))
    };
    let places: Vec<usize> = (0..days.len()).filter(|day| is_packed(&days[*day])).collect();
    let days: Vec<&Asked> = places.iter().map(|day| &days[*day]).collect();
    let settings: Vec<(usize, usize)> =
        days.iter().map(|&asked| day::settings(&mouldings(shop, asked, &known, &sure))).collect();
    let least = settings.iter().map(|(_, least)| *least).min().unwrap_or(0);
    let taken = (0..days.len()).min_by_key(|day| settings[*day].0).expect("there is one");
    let packed =
        |(id, counts): (&String, &Counts)| (id.clone(), of(&known, id, counts).fit.clone());
    let fits = days[taken].iter().map(packed).collect();
    for (pick, place) in decided.picks.iter_mut().zip(&choices.listed[places[taken]]) {
        pick.choices.swap(0, *place);
    }
    Fewest { fits, least: u32::try_from(least).expect("fewer than rails in a morning") }
}

/// The choices of frames that are compared.
struct Choices {
    /// For each pick one of its choices, by place.
    listed: Vec<Vec<usize>>,
    /// For each pick whether there are no others as good.
    whole: Vec<bool>,
}

impl Choices {
    fn of(decided: &Decided) -> Choices {
        let picks = &decided.picks;
        let count = |count: usize, choices: usize| count.saturating_mul(choices);
        let all = picks.iter().map(|pick| pick.choices.len()).fold(1, count);
        let is_few = all <= MOST_CHOICES;
        let mut listed = vec![Vec::new()];
        for pick in picks {
            let places = if is_few { pick.choices.len() } else { 1 };
            let with = |before: Vec<usize>| {
                (0..places).map(move |place| [before.as_slice(), &[place]].concat())
            };
            listed = listed.into_iter().flat_map(with).collect();
        }
        let whole = |choices: usize, whole: bool| whole && (is_few || choices == 1);
        let whole = picks.iter().map(|pick| whole(pick.choices.len(), pick.whole)).collect();
        Choices { listed, whole }
    }
}

/// For each moulding of which a plan as good may cut other frames than those
/// listed: the settings of what it cuts in any case.
fn sure(
    shop: &Shop,
    work: &Work,
    decided: &Decided,
    choices: &Choices,
) -> BTreeMap<String, BTreeSet<StopPosition>> {
    let common = asked_by(&work.classes, &decided.common);
    let picks = decided.picks.iter().zip(&choices.whole).filter(|(_, whole)| !**whole);
    let open = picks.flat_map(|(pick, _)| &pick.mouldings);
    let of_common = |id: &String| {
        let counts = common.get(id).cloned().unwrap_or_default();
        (id.clone(), settings(shop, work, id, &counts))
    };
    let mut sure: BTreeMap<String, BTreeSet<StopPosition>> = open.map(of_common).collect();
    let is_better = |(best, _): &(bool, _)| !best;
    let overlooked = decided.verdicts.iter().filter(|(_, verdict)| is_better(verdict));
    sure.extend(overlooked.map(|(id, _)| (id.clone(), BTreeSet::new())));
    sure
}

/// The settings that a moulding's rails take.
fn settings(shop: &Shop, work: &Work, id: &str, counts: &Counts) -> BTreeSet<StopPosition> {
    let asks = &work.asks[id];
    let stop = stop(shop, id);
    // What is kept is set for another day.
    let cut = counts.keys().filter_map(|ask| asks.get(*ask));
    cut.flat_map(|ask| settings_of(stop, ask)).collect()
}

fn stop(shop: &Shop, moulding: &str) -> Stop {
    shop.cutter_of(shop.moulding(moulding)).stop
}

/// Looks at each moulding with all that it may be asked for.
fn known(
    shop: &Shop,
    decided: &mut Decided,
    days: &[Asked],
) -> BTreeMap<String, Vec<(Counts, Passages)>> {
    let mut wanted: BTreeMap<&String, Vec<&Counts>> = BTreeMap::new();
    for (id, counts) in days.iter().flatten() {
        let known = wanted.entry(id).or_default();
        if !known.contains(&counts) {
            known.push(counts);
        }
    }
    decided
        .packings
        .par_iter_mut()
        .filter_map(|(id, packing)| Some((id, packing, wanted.get(id)?)))
        .map(|(id, packing, each)| {
            let cutter = shop.cutter_of(shop.moulding(id));
            let at = At { stop: cutter.stop, joint: &|mitre| cutter.joint_loss(mitre) };
            let look = |counts: &&Counts| {
                let fit = packing.sharp(counts)?;
                // Cut otherwise, it might not leave what is kept; and what sticks that
                // are turned by themselves cost no question says.
                let is_fixed = packing.is_keeping(counts) || fit.posed.turns_by_stick;
                let passages = match is_fixed || packing.is_late() {
                    true => as_it_is(fit, &at),
                    false => exchange(fit, &at),
                };
                Some(((*counts).clone(), passages))
            };
            (id.clone(), each.iter().filter_map(look).collect())
        })
        .collect()
}

/// A fit as it is packed.
fn as_it_is(fit: Arc<Fit>, at: &At) -> Passages {
    as_packed(&Question::new(&fit, at), fit)
}

/// What exchanges make of a fit.
fn exchange(fit: Arc<Fit>, at: &At) -> Passages {
    let question = Question::new(&fit, at);
    let fit = exchanged(&question, &fit).map_or(fit, Arc::new);
    as_packed(&question, fit)
}

fn of<'a>(
    known: &'a BTreeMap<String, Vec<(Counts, Passages)>>,
    id: &str,
    counts: &Counts,
) -> &'a Passages {
    let found = known[id].iter().find(|(other, _)| other == counts);
    &found.expect("each was looked at").1
}

/// The mouldings of a day.
fn mouldings<'a>(
    shop: &'a Shop,
    asked: &'a Asked,
    known: &'a BTreeMap<String, Vec<(Counts, Passages)>>,
    sure: &BTreeMap<String, BTreeSet<StopPosition>>,
) -> Vec<Passed<'a>> {
    let passed = |(id, counts): (&'a String, &'a Counts)| Passed {
        cutter: &shop.moulding(id).cutter,
        passages: of(known, id, counts),
        sure: sure.get(id).cloned(),
    };
    asked.iter().map(passed).collect()
}
