//! The demo shop's morning shows each thing that decides a morning, and `why`
//! answers for every frame that is not cut.

use std::collections::BTreeSet;
use std::path::Path;

use crate::support::LIMITS;
use jiff::civil::{Date, date};
use longpoint::morning::plan;
use longpoint::plan::{Part, Plan, Warning};
use longpoint::shop::{Match, Shop, read_folder};
use longpoint::solve::Limits;
use longpoint::verify::verify;
use longpoint::why::why;
use longpoint::{chop, report};

const TODAY: Date = date(2026, 11, 25);

/// Little search: each answer plans the morning dozens of times.
const LITTLE: Limits = Limits { work: 20_000, ..LIMITS };

fn demo() -> (Shop, Plan) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("data").join("demo");
    let shop = read_folder(&folder).unwrap();
    let plan = plan(&shop, TODAY, LIMITS).unwrap().into_inner();
    verify(&shop, &plan).unwrap();
    (shop, plan)
}

fn cut_today(plan: &Plan) -> BTreeSet<&str> {
    let rails = plan.today.iter().flat_map(|stick| &stick.rails);
    rails.map(|rail| rail.frame.as_str()).collect()
}

#[test]
fn every_match_is_cut_and_a_weaker_one_is_named() {
    let (shop, plan) = demo();
    let today = cut_today(&plan);
    let relaxed = |id: &str| {
        let mut warnings = plan.warnings.iter();
        warnings.any(|w| matches!(w, Warning::Relaxed { frame, .. } if frame == id))
    };
    let kept = |match_: Match| {
        let mut frames = shop.frames.iter();
        frames.any(|frame| {
            let asks = frame.layers.iter().any(|layer| layer.match_ == match_);
            asks && today.contains(frame.id.as_str()) && !relaxed(&frame.id)
        })
    };
    for match_ in [Match::Any, Match::Lot, Match::Halves, Match::Stick, Match::Wrap] {
        assert!(kept(match_), "no frame with match {} is cut as asked", match_.word());
    }
    let cut_weaker =
        shop.frames.iter().any(|frame| today.contains(&*frame.id) && relaxed(&frame.id));
    assert!(cut_weaker, "no frame is cut today at a weaker match");
}

#[test]
fn lots_stacks_and_dates_all_have_a_say() {
    let (shop, plan) = demo();
    let today = cut_today(&plan);
    let lots_of = |moulding: &str| {
        let sticks = plan.today.iter().filter(|stick| stick.moulding == moulding);
        sticks
            .map(|stick| stick.lot.as_str())
            .filter(|lot| !lot.is_empty())
            .collect::<BTreeSet<_>>()
    };
    assert!(
        shop.mouldings.keys().any(|id| lots_of(id).len() > 1),
        "no moulding is cut of two lots"
    );
    let stacks = shop.frames.iter().filter(|frame| frame.layers.len() > 1);
    let (cut, not): (Vec<_>, Vec<_>) = stacks.partition(|frame| today.contains(&*frame.id));
    assert!(!cut.is_empty() && !not.is_empty(), "stacks are all cut or all wait");
    let due = |ids: &mut dyn Iterator<Item = &str>| {
        ids.filter_map(|id| shop.find_frame(id).unwrap().due).collect::<BTreeSet<Date>>()
    };
    assert!(due(&mut today.iter().copied()).len() > 2, "few dates are served");
    let waiting = due(&mut plan.waiting.iter().map(|waits| waits.frame.as_str()));
    assert!(waiting.iter().any(|due| *due > TODAY), "nothing waits that is due later");
    assert!(plan.proof.iter().all(|p| p.part != Part::Today || p.proven), "not all is proven");
}

/// Each answer is in whole words, and names something that would change it.
#[test]
fn why_answers_for_every_frame_that_waits_or_is_held() {
    let (shop, plan) = demo();
    let waiting = plan.waiting.iter().map(|waits| waits.frame.as_str());
    let asked: BTreeSet<&str> =
        waiting.chain(plan.held.iter().map(|held| held.frame.as_str())).collect();
    assert!(asked.len() > 10, "few frames wait");
    let mut contested = 0;
    for id in asked {
        let frame = shop.find_frame(id).unwrap();
        let answer = why(&shop, TODAY, frame, &LITTLE).unwrap();
        let text = report::why_text::why(&answer, &shop);
        assert!(text.starts_with(id), "{text}");
        assert!(text.contains("wait") || text.contains("cannot be made as asked"), "{text}");
        assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
        assert!(!text.contains(['{', '}', '_']), "{text}");
        contested += u32::from(answer.shortages.iter().any(|short| !short.users.is_empty()));
        assert!(!answer.changes.is_empty(), "nothing is named that would change it: {text}");
    }
    assert!(contested > 1, "only {contested} of them compete with a frame that is cut");
}

/// S-176 was cut to its end with a rail to be clamped, and so were three others.
#[test]
fn few_sticks_end_with_a_rail_to_be_clamped() {
    let (shop, plan) = demo();
    let schedule = chop::schedule(&plan, &shop);
    let last = |stick: &chop::StickSteps| stick.cuts.last().is_some_and(|cut| cut.clamp);
    let ends: Vec<&str> =
        schedule.sticks().filter(|stick| last(stick)).map(|stick| stick.stick.as_str()).collect();
    assert_eq!(ends.len(), 2, "{ends:?}");
    assert!(!ends.contains(&"S-176"), "{ends:?}");
    assert_eq!(schedule.settings(), 66);
}
