//! What is held, waits or is warned of is so for a reason that holds.

use std::collections::BTreeSet;

use jiff::civil::Date;

use super::able::AskedLayer;
use super::facts::Facts;
use super::{Fault, patience, truth};
use crate::measure::Length;
use crate::plan::{Held, HoldReason, WaitReason, Waiting, Warning};
use crate::rails::Side;
use crate::shop::{Art, Form, Frame, Job, Kind, Lengths, Match, Offer};

/// Every match from the strongest.
const MATCHES: [Match; 5] = [Match::Wrap, Match::Stick, Match::Halves, Match::Lot, Match::Any];

pub(super) fn check(facts: &Facts, faults: &mut Vec<Fault>) {
    for held in &facts.plan.held {
        let Some(frame) = facts.frames.get(held.frame.as_str()) else { continue };
        if !is_so(facts, frame, held) {
            faults.push(Fault::FalseHold { frame: held.frame.clone(), copy: held.copy });
        }
    }
    for waiting in &facts.plan.waiting {
        wait(facts, waiting, faults);
    }
    warnings(facts, faults);
}

impl<'a> Facts<'a> {
    fn wanted(&'a self, frame: &'a Frame, layer: usize) -> Option<AskedLayer<'a>> {
        let index = layer.checked_sub(1)?;
        let moulding = self.shop.moulding(&frame.layers.get(index)?.moulding);
        let rails = &self.rails[frame.id.as_str()][index];
        let date = self.plan.date;
        let mitre = truth::true_mitre(moulding, frame);
        Some(AskedLayer { shop: self.shop, date, moulding, mitre, rails })
    }
}

/// Whether a reason to hold is true in all that it says.
fn is_so(facts: &Facts, frame: &Frame, held: &Held) -> bool {
    let rail = |wanted: &AskedLayer, side: &Side| {
        wanted.rails.iter().find(|(other, _)| other == side).map(|(_, rail)| *rail)
    };
    let layer = match &held.reason {
        HoldReason::TooShort { layer, .. }
        | HoldReason::NoMitre { layer, .. }
        | HoldReason::TooLong { layer, .. }
        | HoldReason::MatchTooLong { layer, .. }
        | HoldReason::RandomLengths { layer, .. } => Some(*layer),
        HoldReason::NoOpening { .. }
        | HoldReason::NotSold { .. }
        | HoldReason::StickTaken { .. }
        | HoldReason::NotSettled { .. } => None,
    };
    if layer.is_some_and(|layer| could_be_chopped(facts, frame, layer)) {
        return false;
    }
    match &held.reason {
        HoldReason::NoOpening { layer, moulding, side } => {
            facts.wanted(frame, *layer).is_some_and(|wanted| {
                wanted.moulding.id == *moulding
                    && rail(&wanted, side).is_some_and(|rail| !rail.sight.is_positive())
            })
        }
        HoldReason::TooShort { layer, side, long_point, cutter, shortest } => {
            facts.wanted(frame, *layer).is_some_and(|wanted| {
                let machine = facts.shop.cutter_of(wanted.moulding);
                (cutter, shortest) == (&machine.name, &machine.shortest)
                    && long_point < shortest
                    && rail(&wanted, side).is_some_and(|rail| rail.long_point == *long_point)
            })
        }
        HoldReason::NoMitre { layer, mitre, cutter } => {
            facts.wanted(frame, *layer).is_some_and(|wanted| {
                let machine = facts.shop.cutter_of(wanted.moulding);
                (cutter, *mitre) == (&machine.name, wanted.mitre) && !machine.cuts(*mitre)
            })
        }
        HoldReason::TooLong { layer, moulding, side, long_point, longest } => {
            facts.wanted(frame, *layer).is_some_and(|wanted| {
                wanted.moulding.id == *moulding
                    && *longest == wanted.longest_run()
                    && long_point > longest
                    && rail(&wanted, side).is_some_and(|rail| rail.long_point == *long_point)
            })
        }
        HoldReason::MatchTooLong { layer, moulding, match_, needed, longest } => {
            facts.wanted(frame, *layer).is_some_and(|wanted| {
                let asked = &frame.layers[layer - 1];
                let mut allowed =
                    MATCHES.into_iter().filter(|m| (asked.match_floor..=asked.match_).contains(m));
                (moulding, match_) == (&asked.moulding, &asked.match_)
                    && *needed == wanted.longest_together(*match_)
                    && *longest == wanted.longest_run()
                    && !allowed.any(|match_| wanted.possible(match_))
            })
        }
        HoldReason::RandomLengths { layer, moulding, least, suppliers } => {
            let Some(wanted) = facts.wanted(frame, *layer) else { return false };
            let asked = &frame.layers[layer - 1];
            let allowed =
                MATCHES.into_iter().filter(|m| (asked.match_floor..=asked.match_).contains(m));
            let mut allowed: Vec<Match> = allowed.collect();
            let in_force = facts.match_in_force(&frame.id, *layer).unwrap_or(asked.match_);
            // A stick on the rack would do, and goes to others.
            let is_taken = wanted.possible(in_force) && !wanted.possible_new(in_force);
            if is_taken {
                allowed = vec![in_force];
            }
            let sells = |length: Length| random(facts, &wanted.moulding.id, length);
            let mut lengths = allowed.iter().map(|match_| wanted.least_stick(*match_));
            let first = lengths.find(|length| !sells(*length).is_empty());
            wanted.moulding.id == *moulding
                && first == Some(*least)
                && sells(*least).iter().eq(suppliers)
                && (is_taken || !allowed.into_iter().any(|match_| wanted.possible(match_)))
        }
        HoldReason::NotSold { mouldings, from } => {
            let sold = |id: &String, day: Date| {
                let moulding = facts.shop.mouldings.get(id);
                moulding.is_none_or(|moulding| {
                    !truth::new_lengths(facts.shop, moulding, day).is_empty()
                })
            };
            let own = |id: &String| frame.layers.iter().any(|layer| layer.moulding == *id);
            let all = |day: &Date| mouldings.iter().all(|id| sold(id, *day));
            let today = facts.plan.date;
            let mut days: Vec<Date> = facts
                .shop
                .offers
                .iter()
                .filter(|offer| mouldings.contains(&offer.moulding))
                .flat_map(|offer| [offer.dates.from, offer.dates.out_until])
                .flatten()
                .filter(|day| *day > today && *day < Date::MAX)
                .collect();
            days.sort_unstable();
            !mouldings.is_empty()
                && mouldings.iter().all(|id| own(id) && !sold(id, today))
                && days.into_iter().find(all) == *from
        }
        HoldReason::StickTaken { mouldings } => taken(facts, frame, mouldings),
        HoldReason::NotSettled { mouldings } => {
            let own = |id: &String| frame.layers.iter().any(|layer| layer.moulding == *id);
            !mouldings.is_empty() && mouldings.iter().all(own) && !taken(facts, frame, mouldings)
        }
    }
}

/// Who sells sticks of random lengths of which one may be as long.
fn random(facts: &Facts, moulding: &str, length: Length) -> BTreeSet<String> {
    let may = |offer: &&Offer| {
        let supplier = &facts.shop.suppliers[&offer.supplier];
        offer.moulding == *moulding
            && !matches!(offer.form, Form::Chop { .. })
            && matches!(offer.lengths, Lengths::Between(_, longest) if longest >= length)
            && truth::is_sold_on(supplier, offer, facts.plan.date)
    };
    facts.shop.offers.iter().filter(may).map(|offer| offer.supplier.clone()).collect()
}

/// Whether some supplier would chop a layer, at a match that its frame accepts.
fn could_be_chopped(facts: &Facts, frame: &Frame, layer: usize) -> bool {
    let Some(wanted) = facts.wanted(frame, layer) else { return false };
    let asked = &frame.layers[layer - 1];
    let accepts = |match_: &Match| (asked.match_floor..=asked.match_).contains(match_);
    let open = wanted.rails.iter().all(|(_, rail)| rail.sight.is_positive());
    let cuts = |offer: &&Offer| {
        let supplier = &facts.shop.suppliers[&offer.supplier];
        let (Form::Chop { .. }, Lengths::Between(from, to)) = (offer.form, &offer.lengths) else {
            return false;
        };
        offer.moulding == wanted.moulding.id
            && truth::is_sold_on(supplier, offer, facts.plan.date)
            && wanted.rails.iter().all(|(_, rail)| (*from..=*to).contains(&rail.long_point))
    };
    open && [Match::Lot, Match::Any].iter().any(accepts)
        && facts.shop.offers.iter().any(|offer| cuts(&offer))
}

/// Whether only a stick on the rack could serve a layer of these mouldings.
fn taken(facts: &Facts, frame: &Frame, mouldings: &[String]) -> bool {
    let rare = |layer: usize| {
        let match_ = facts.match_in_force(&frame.id, layer)?;
        let wanted = facts.wanted(frame, layer)?;
        let named = mouldings.contains(&wanted.moulding.id);
        Some(named && wanted.possible(match_) && !wanted.possible_new(match_))
    };
    mouldings.iter().all(|id| frame.layers.iter().any(|layer| layer.moulding == *id))
        && (1..=frame.layers.len()).any(|layer| rare(layer) == Some(true))
}

/// A frame waits for its own date and mouldings.
fn wait(facts: &Facts, waiting: &Waiting, faults: &mut Vec<Fault>) {
    let Some(frame) = facts.frames.get(waiting.frame.as_str()) else { return };
    let to_cut = frame.to_cut(waiting.copy);
    let own = |id: &String| to_cut.iter().any(|layer| frame.layers[layer - 1].moulding == *id);
    let of_own = |named: &[String]| !named.is_empty() && named.iter().all(own);
    let (mouldings, order) = match &waiting.reason {
        WaitReason::Moulding(named) => (of_own(named), frame.coming(waiting.copy).is_empty()),
        WaitReason::Chops(named) => (of_own(named), true),
        WaitReason::Patience { mouldings, by } => (
            mouldings.iter().eq(patience::mouldings(frame, waiting.copy)),
            patience::is_rightly(facts, (frame, waiting.copy), *by),
        ),
        WaitReason::OnOrder { mouldings, suppliers, arrives } => {
            let coming = frame.coming(waiting.copy);
            let chopped = coming.iter().map(|(layer, ..)| &frame.layers[layer - 1].moulding);
            let from = coming.iter().map(|(_, supplier, _)| *supplier);
            let named = mouldings.iter().collect::<BTreeSet<_>>() == chopped.collect();
            let asked = suppliers.iter().map(String::as_str).collect::<BTreeSet<_>>();
            let day = coming.iter().filter_map(|(.., arrives)| *arrives).max();
            (named && !mouldings.is_empty(), asked == from.collect() && *arrives == day)
        }
    };
    let truths = [("date", waiting.due == frame.due), ("moulding", mouldings), ("order", order)];
    for (what, _) in truths.into_iter().filter(|(_, is_true)| !is_true) {
        let (frame, copy) = (waiting.frame.clone(), waiting.copy);
        faults.push(Fault::FalseWait { frame, copy, what });
    }
}

/// Every warning is so, and none of the plain ones is missing.
fn warnings(facts: &Facts, faults: &mut Vec<Fault>) {
    let mut due: Vec<Warning> =
        facts.frames.values().flat_map(|frame| plain_warnings(facts, frame)).collect();
    let mut relaxed = BTreeSet::new();
    for warning in &facts.plan.warnings {
        if let Warning::Relaxed { frame, layer, asked, given } = warning {
            let is_first = relaxed.insert((frame, layer));
            if !is_first || !rightly_relaxed(facts, frame, *layer, *asked, *given) {
                let (frame, layer, given) = (frame.clone(), *layer, *given);
                faults.push(Fault::FalseRelaxed { frame, layer, given });
            }
        } else if let Some(place) = due.iter().position(|other| other == warning) {
            due.swap_remove(place);
        } else {
            faults.push(Fault::FalseWarning { frame: about(warning) });
        }
    }
    faults.extend(due.iter().map(|missing| Fault::FalseWarning { frame: about(missing) }));
}

fn about(warning: &Warning) -> String {
    match warning {
        Warning::TooThick { frame, .. }
        | Warning::Late { frame, .. }
        | Warning::Relaxed { frame, .. } => frame.clone(),
    }
}

/// Too thick a package, too late a date.
fn plain_warnings(facts: &Facts, frame: &Frame) -> Vec<Warning> {
    let id = &frame.id;
    let kind = |layer: usize| facts.shop.moulding(&frame.layers[layer].moulding).kind;
    let job = facts.shop.jobs.get(id);
    let inside = match job {
        // A canvas is held by clips, but for one that stands in a floater.
        Some(job) if job.art == Art::Canvas => {
            frame.thickness.max(job.thick).filter(|_| kind(0) == Kind::Floater)
        }
        _ => frame.thickness.max(job.and_then(|job| adds_up(facts, job))),
    };
    let room = frame.layers.iter().enumerate();
    let room = room.filter_map(|(at, _)| Some((room_at(facts, frame, at)?, at + 1))).min();
    let both = inside.zip(room);
    let thick = both.filter(|(thickness, (depth, _))| thickness > depth);
    let thick = thick.map(|(thickness, (depth, layer))| Warning::TooThick {
        frame: id.clone(),
        layer,
        moulding: frame.layers[layer - 1].moulding.clone(),
        kind: kind(layer - 1),
        thickness,
        depth,
    });
    let late = frame
        .due
        .filter(|due| *due < facts.plan.date)
        .map(|due| Warning::Late { frame: id.clone(), due });
    thick.into_iter().chain(late).collect()
}

/// What a layer's rabbet, deeper by every strip behind it, leaves a package behind the lips of
/// the layers before it; nothing where that is not measured, or of what has no rabbet there.
fn room_at(facts: &Facts, frame: &Frame, at: usize) -> Option<Length> {
    let mut room = Length::ZERO;
    for (place, layer) in frame.layers.iter().enumerate() {
        let moulding = facts.shop.moulding(&layer.moulding);
        let body = moulding.body.height;
        let has_lip = matches!(moulding.kind, Kind::Rebated | Kind::Reversible);
        if layer.window.is_some() || (place == at && at > 0 && !has_lip) {
            if place == at {
                return None;
            }
        } else if place == at {
            room += moulding.depth?;
        } else if moulding.kind == Kind::BuildOut {
            room += body.filter(|_| place > at).unwrap_or(Length::ZERO);
        } else if place < at {
            room += moulding.depth? - body.filter(|_| has_lip)?;
        }
    }
    Some(room)
}

/// What a job's layers add up to: without what floats, which lies within the others, and
/// nothing for a canvas.
fn adds_up(facts: &Facts, job: &Job) -> Option<Length> {
    let boards = job.materials().map(|code| facts.shop.materials[code].takes());
    let fillet = job.fillet.iter().map(|code| facts.shop.moulding(code).body.height);
    let all = boards.chain(fillet).sum::<Option<Length>>()?;
    match job.art {
        Art::Canvas => None,
        Art::Nothing => Some(all),
        _ if job.floats() => job.thick.map(|_| all),
        _ => Some(all + job.thick?),
    }
}

/// A match is relaxed only where each stronger one is impossible on every
/// stick at hand or on offer, and never below the floor.
fn rightly_relaxed(facts: &Facts, frame: &str, layer: usize, asked: Match, given: Match) -> bool {
    let Some(frame) = facts.frames.get(frame) else { return false };
    let Some(wanted) = facts.wanted(frame, layer) else { return false };
    let of = &frame.layers[layer - 1];
    asked == of.match_
        && (of.match_floor..asked).contains(&given)
        && !MATCHES
            .into_iter()
            .filter(|match_| (given..=asked).contains(match_) && *match_ != given)
            .any(|match_| wanted.possible(match_))
}
