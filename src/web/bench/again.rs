//! The morning planned, the rest of it planned again, and the day finished.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use maud::{Markup, html};

use super::hand::InHand;
use super::parts::way;
use crate::book::{
    AtBench, BenchRail, Book, BookError, OwedRail, RailState, Replanned, Stamp, TRIES, Taken, words,
};
use crate::plan::{Warning, Wishes};
use crate::report::either::pressed;
use crate::report::words::warning as warning_words;
use crate::shop::Shop;
use crate::web::form::form;
use crate::web::page::{self, Screen};
use crate::web::plans::{Bounds, Planned};
use crate::web::press::{self, Press};
use crate::web::reply;
use crate::web::said::time;
use crate::web::site::Site;
use crate::web::today::Today;
use crate::web::visit::Visit;

/// The press that plans the rest of a day again.
pub(super) fn press(visit: &Visit, job: i64) -> Markup {
    form(
        visit,
        "/bench/again",
        &html! {
            input type="hidden" name="job" value=(job);
            button.go.huge { "PLAN THE REST AGAIN" }
        },
    )
}

/// What is owed of a plan, or lies on a flaw, and the way on.
pub(super) fn owed(visit: &Visit, today: &Today, at: &AtBench) -> Markup {
    let flawed: Vec<&str> = at
        .sticks
        .iter()
        .filter(|stick| !stick.on_flaw.is_empty())
        .map(|stick| stick.lay.stick.as_str())
        .collect();
    html! {
        @if !at.owed.is_empty() || !flawed.is_empty() || !at.measured.is_empty() {
            section.framed role="alert" {
                @for one in &at.measured { p.words { b { (words::measured_words(one)) "." } } }
                @if !at.owed.is_empty() { p.words { "OWED: " b { (named(&today.shop, at.owed.iter())) } } }
                @if !flawed.is_empty() { p.words { "A cut lies on a flaw:" @for stick in &flawed { " " b.whole { (stick) } } } }
                (press(visit, at.job))
            }
        }
    }
}

/// What of the moulding in hand measures otherwise, and that nothing of it is cut before.
pub(super) fn why_it_waits(hand: &InHand) -> Markup {
    html! {
        @for one in hand.otherwise() { p.band.wide role="alert" { (words::measured_words(one)) "." } }
    }
}

/// The same in place of its cuts, with the ways on.
pub(super) fn measured(visit: &Visit, hand: &InHand) -> Option<Markup> {
    let own: Vec<&(String, String)> = hand.otherwise().collect();
    (!own.is_empty()).then(|| {
        html! {
            (why_it_waits(hand))
            div.presses.two {
                (press(visit, hand.at.job))
                // What was mistyped is put right before anything is planned for it.
                @for (_, stick) in own { a.big.huge href=(way(stick, "")) { "MEASURE " (stick) " AGAIN" } }
                a.big href="/bench" { "ALL STICKS" }
            }
        }
    })
}

/// The same as far as it is of the moulding in hand, or of a later cut of the stick in hand.
pub(super) fn owed_of(visit: &Visit, shop: &Shop, hand: &InHand) -> Markup {
    let own: Vec<&OwedRail> =
        hand.at.owed.iter().filter(|owed| owed.moulding == hand.steps.moulding).collect();
    let to_cut = hand.to_cut();
    let is_later = to_cut.first().is_some_and(|(_, rail)| !hand.is_on_flaw(rail));
    let is_flawed = is_later && !hand.stick.on_flaw.is_empty();
    html! {
        @if !own.is_empty() || is_flawed {
            div.framed.owed role="alert" {
                @if !own.is_empty() { p { "OWED in " (hand.steps.moulding) ": " b { (named(shop, own.into_iter())) } } }
                @if is_flawed { p { "A later cut lies on a flaw" } }
                (press(visit, hand.at.job))
            }
        }
    }
}

fn named<'a>(shop: &Shop, owed: impl Iterator<Item = &'a OwedRail>) -> String {
    let each = owed.map(|one| words::side(shop, (&one.frame, one.copy), one.layer, one.side));
    each.collect::<Vec<String>>().join("; ")
}

/// A rail that chipped just now, and the two ways on.
pub(super) fn chipped(visit: &Visit, shop: &Shop, hand: &InHand, rail: &BenchRail) -> Markup {
    html! {
        p.band.wide { b { (words::rail(shop, rail)) } " is spoiled and owed." }
        div.presses.two {
            (press(visit, hand.at.job))
            @if hand.stick.lay.is_done() {
                // What is left of it may serve the rail that is owed, so that it is kept only then.
                a.big.huge href=(way(hand.label(), "cut?after=0")) { "GO ON WITHOUT" }
            } @else { a.big.huge href=(way(hand.label(), "cut")) { "GO ON WITH THIS STICK" } }
        }
    }
}

/// What planning came to, where it led here.
pub(super) fn said(site: &Site, visit: &Visit) -> Markup {
    let words = match site.plans.found(visit.query("plan")) {
        Some(Planned::Made { words, .. }) => words,
        _ => return html! {},
    };
    html! { section.framed role="status" { @for line in words.lines() { p { (line) } } } }
}

/// More lines than these would push the first stick to fetch out of sight.
const MOST_LINES: usize = 2;

/// What the plan at the bench has to be looked at for, before it is cut; many lines are behind
/// one that says how many there are of what.
pub(super) fn look_first(shop: &Shop, at: &AtBench) -> Markup {
    let style = shop.settings.style();
    let lines = html! { @for warning in &at.warnings { p { (warning_words(warning, &style)) } } };
    html! {
        @if at.warnings.len() > MOST_LINES {
            details.framed.first {
                summary { "LOOK AT FIRST: " (kinds(&at.warnings)) }
                (lines)
            }
        } @else if !at.warnings.is_empty() {
            section.framed { h2 { "LOOK AT FIRST" } (lines) }
        }
    }
}

/// How many warnings there are of each kind, what is unsafe first: `1 too thick, 12 late`.
fn kinds(warnings: &[Warning]) -> String {
    let (mut thick, mut weaker, mut late) = (0, 0, 0);
    for warning in warnings {
        *match warning {
            Warning::TooThick { .. } => &mut thick,
            Warning::Relaxed { .. } => &mut weaker,
            Warning::Late { .. } => &mut late,
        } += 1;
    }
    let all = [(thick, "too thick"), (weaker, "matched less than asked"), (late, "late")];
    let each = all.iter().filter(|(count, _)| *count > 0);
    each.map(|(count, what)| format!("{count} {what}")).collect::<Vec<String>>().join(", ")
}

/// Nothing is at the bench: the morning is planned.
pub(super) fn nothing_here(visit: &Visit, today: &Today) -> Markup {
    html! {
        p.words { "Nothing is at the bench." }
        @for owed in &today.owed { p { (words::owed_on_pile(&today.shop, owed)) } }
        (form(visit, "/bench/take", &html! { button.go.huge { "PLAN THE MORNING" } }))
    }
}

/// The way to the end of the day.
pub(super) fn day_done(visit: &Visit, today: &Today) -> Markup {
    let done = today.plans.iter().all(|(at, _)| at.sticks.iter().all(|one| one.is_over()));
    html! {
        @let owed = today.plans.iter().any(|(at, _)| !at.owed.is_empty());
        @if done && owed { p.words { "All that is laid out is cut; what is owed is not." } }
        @else if done { p.words { "Everything is cut." } }
        div.presses.two {
            @for (at, _) in today.plans.iter().filter(|_| visit.may_press("/bench/finish")) {
                a.big.go[done] href=(format!("/bench/finish?plan={}", at.job)) { "FINISH THE DAY"
                    @if today.plans.len() > 1 { ": PLAN " (at.job) } }
            }
        }
    }
}

/// Asks the planner for what ends in one step, unless that was made already.
fn plan(
    site: &Arc<Site>,
    press: &Press,
    what: &str,
    work: impl Fn(&Site, &Bounds, &Stamp) -> Result<String, BookError> + Send + 'static,
) -> Result<Response, BookError> {
    let key = press.token().to_owned();
    if let Some(done) = site.look(|book| book.step_of(&key))? {
        return Ok(reply::go(&format!("/bench?step={}", done.number)));
    }
    let stamp = site.stamp(&press.visit.session.device.name, &key)?;
    Ok(reply::go(&site.plans.ask(&key.clone(), what, move |site, bounds| {
        for _ in 0..TRIES {
            match work(site, bounds, &stamp) {
                Err(BookError::Moved) => {}
                Err(BookError::Repeated(_)) => break,
                Err(error) => return Err(error),
                Ok(words) => return made(site, &key, words),
            }
        }
        match site.look(|book| book.step_of(&key))? {
            Some(_) => made(site, &key, String::new()),
            None => Err(BookError::Moved),
        }
    })))
}

fn made(site: &Site, key: &str, words: String) -> Result<Planned, BookError> {
    let step = site.look(|book| book.step_of(key))?.map_or(0, |done| done.number);
    let words = pressed(&words);
    Ok(Planned::Made { words, to: format!("/bench?step={step}&plan={key}") })
}

/// Plans the rest of a day again.
pub(super) async fn replanned(State(site): State<Arc<Site>>, press: Press) -> Response {
    page::aside(move || {
        let job = press.number("job")?;
        plan(&site, &press, "The rest of the day is planned again", move |site, bounds, stamp| {
            let day = site.look(|book| book.day(Some(job)))?;
            let draft = bounds
                .plan(|limits| day.draft_telling(&limits, &|done, all| bounds.tell(done, all)))?;
            let replanned: Replanned =
                site.write(|book| book.replan(&draft, stamp.at.date(), stamp))?;
            Ok(words::replan_words(&site.today()?.shop, &replanned))
        })
    })
    .await
}

/// Plans the morning, and takes the plan to the bench.
pub(super) async fn taken(State(site): State<Arc<Site>>, press: Press) -> Response {
    page::aside(move || {
        let first = Some(press.text("first").to_owned()).filter(|first| !first.is_empty());
        let wishes = Wishes { rush: first.into_iter().collect(), ..Wishes::default() };
        plan(&site, &press, "The morning is planned", move |site, bounds, stamp| {
            if let Some(why) = planned_already(site)? {
                return Err(BookError::Wrong(why));
            }
            let mut snapshot = site.look(Book::snapshot)?;
            snapshot.shop = snapshot.shop.at(stamp.at.date(), stamp.at.time());
            let plan = bounds.morning(&snapshot.shop, stamp.at.date(), &wishes)?;
            let taken: Taken = site.write(|book| book.take(&snapshot, &plan, stamp))?;
            Ok(words::taken_words(&taken))
        })
    })
    .await
}

/// That somebody planned it since the form was made, which is there only as long as nothing
/// is at the bench, and who.
fn planned_already(site: &Site) -> Result<Option<String>, BookError> {
    let today = site.today()?;
    if today.plans.is_empty() {
        return Ok(None);
    }
    let steps = site.look(|book| book.steps(None, 200))?;
    let taken = steps.iter().find(|step| step.done.what == "take" && step.stands());
    let whose = taken.map_or(String::new(), |step| {
        let by = match step.done.who.as_str() {
            "" => String::new(),
            who => format!(" by {who}"),
        };
        format!(", at {}{by} (step {})", time(&step.done.at), step.done.number)
    });
    Ok(Some(format!("It is planned already{whose}, and nothing was done now: look at the bench.")))
}

/// Puts a plan back from which nothing was cut.
pub(super) async fn put_back(State(site): State<Arc<Site>>, press: Press) -> Response {
    press::step(site, press, "/bench".to_owned(), |book, press, stamp| {
        book.put_back(Some(press.number("job")?), stamp).map(drop)
    })
    .await
}

/// What is left to say before the day is finished: where the offcuts go.
pub(super) async fn finish(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::show(site, visit, |site, visit| {
        let today = site.today()?;
        let asked = visit.query("plan").parse::<i64>().ok();
        let plan = today.plans.iter().find(|(at, _)| Some(at.job) == asked);
        let Some((at, _)) = plan else {
            return Err(BookError::Wrong("that plan is not at the bench any more".to_owned()));
        };
        let rails = || at.sticks.iter().flat_map(|stick| &stick.lay.rails);
        let open = rails().filter(|rail| rail.state == RailState::ToCut).count();
        let is_cut = |rail: &BenchRail| matches!(rail.state, RailState::Cut | RailState::Spoiled);
        let main = html! {
            h1 { "Finish the day" @if today.plans.len() > 1 { ": plan " (at.job) } }
            @if open > 0 {
                p.band.wide { b { (words::count(open, "rail is", "rails are")) " not cut" }
                    ": what is not cut goes back to the pile." }
            }
            @if !at.owed.is_empty() { p { "Owed, and on the pile then: " (named(&today.shop, at.owed.iter())) } }
            p { "Where do the offcuts go?" }
            (form(visit, "/bench/finish", &html! {
                input type="hidden" name="job" value=(at.job);
                input type="hidden" name="open" value=(open);
                div.keys { @for place in &today.places { button name="place" value=(place) { (place) } } }
            }))
            @if !rails().any(is_cut) {
                p { "Nothing was cut: its frames go back to the pile and its sticks are free, as if it \
                    had not been planned." }
                (form(visit, "/bench/back", &html! {
                    input type="hidden" name="job" value=(at.job);
                    button { "PUT THE PLAN BACK" }
                }))
            }
            div.presses.two { a.big href="/bench" { "NOT YET" } }
        };
        Ok(Screen::new("Finish the day", main))
    })
    .await
}

/// Finishes it, as long as no more is open than was said.
pub(super) async fn finished(State(site): State<Arc<Site>>, press: Press) -> Response {
    press::saying(site, press, "/bench".to_owned(), |book, press, stamp| {
        let rest_back = press.number("open")? > 0;
        let place = press.text("place").to_owned();
        let finished = book.finish(Some(press.number("job")?), (&place, rest_back), stamp)?;
        Ok(words::finish_words(&book.shop()?, &finished))
    })
    .await
}
