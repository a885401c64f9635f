//! Plans are made one at a time on a thread of their own, while everybody goes on; a page
//! says how far it is.

use std::sync::atomic::Ordering;
use std::sync::{Arc, Weak};
use std::thread;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;
use maud::html;
use rayon::{ThreadPool, ThreadPoolBuilder};

use super::form::{form, spelt};
use super::page::{self, Screen};
use super::plans::{Bounds, PlanOrder, PlanStage, Planned, Underway};
use super::press::Press;
use super::reply;
use super::shared::locked;
use super::site::Site;
use super::visit::Visit;

/// Begins to plan what is asked, one after the other, as long as the site is there.
pub(super) fn begin(site: &Arc<Site>) -> std::io::Result<()> {
    let asked = locked(&site.plans.asked).take();
    let site = Arc::downgrade(site);
    let Some(asked) = asked else { return Ok(()) };
    let pool = ThreadPoolBuilder::new().build().map_err(std::io::Error::other)?;
    thread::spawn(move || {
        while let Ok(order) = asked.recv() {
            if !plan(&site, order, &pool) {
                return;
            }
        }
    });
    Ok(())
}

/// Plans once; false once the site is gone.
fn plan(site: &Weak<Site>, order: PlanOrder, pool: &ThreadPool) -> bool {
    let Some(site) = site.upgrade() else { return false };
    let underway = Arc::new(Underway::default());
    site.plans.set(&order.key, PlanStage::Works(Arc::clone(&underway)));
    let bounds = Bounds { underway: &underway, pool };
    let work = std::panic::AssertUnwindSafe(|| (order.work)(&site, &bounds));
    let found = match std::panic::catch_unwind(work) {
        Ok(found) => found.map_err(|error| error.to_string()),
        Err(_) => Err("the program made a mistake while planning; nothing was done".to_owned()),
    };
    site.plans.set(&order.key, PlanStage::Over(found));
    true
}

/// How far it is, or the way to what was found.
pub(super) async fn asked(
    State(site): State<Arc<Site>>,
    Path(key): Path<String>,
    visit: Visit,
) -> Response {
    page::aside(move || {
        let (what, underway) = match site.plans.stage(&key) {
            Some((
                _,
                PlanStage::Over(Ok(Planned::Made { to, .. } | Planned::Answer { to, .. })),
            )) => {
                return Ok(reply::go(&to));
            }
            Some((_, PlanStage::Over(Err(words)))) => {
                return page::wrong(&site, &visit, &words);
            }
            Some((what, PlanStage::Works(underway))) => (what, Some(underway)),
            Some((what, PlanStage::Waits)) => (what, None),
            None => {
                let words = "That was not worked out: the server was started anew meanwhile. \
                             Press once more.";
                return Ok(reply::plain(StatusCode::NOT_FOUND, words));
            }
        };
        let underway = underway.as_deref();
        let is_stopping = underway.is_some_and(|own| own.stop.load(Ordering::Relaxed));
        let counted = underway.map(|own| (own.done.load(Ordering::Relaxed), own.all.load(Ordering::Relaxed)));
        let counted = counted.filter(|(_, all)| *all > 0);
        let main = html! {
            h1 { (what) }
            p.words role="status" {
                @if underway.is_none() { "Something else is planned first." }
                @else if is_stopping { "The best way so far is taken." }
                @else { "It is being worked out." }
                @if let Some((done, all)) = counted { " " (done) " of " (all) " mouldings are done." }
            }
            p { "You may go on elsewhere: it is done all the same." }
            div.presses.two {
                @if underway.is_some() && !is_stopping {
                    (form(&visit, "/plans/stop", &html! {
                        input type="hidden" name="key" value=(key);
                        button { "TAKE THE BEST SO FAR" }
                    }))
                }
                a.big href="/" { "GO ON ELSEWHERE" }
            }
        };
        let to = visit.path.clone();
        page::whole(&site, &visit, Screen::new(what, main).turning(1, to))
    })
    .await
}

/// Has it end with the best that it has.
pub(super) async fn stopped(State(site): State<Arc<Site>>, press: Press) -> Response {
    let key = press.text("key");
    if let Some((_, PlanStage::Works(underway))) = site.plans.stage(key) {
        underway.stop.store(true, Ordering::Relaxed);
    }
    reply::go(&format!("/plans/{}", spelt(key)))
}
