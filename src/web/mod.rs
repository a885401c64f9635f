//! The shop's page: the book on a tablet at the bench, a screen at the counter, one on the
//! wall. It has no rules of its own: each press is one step of the book.
//!
//! To add a page: one file with a handler that ends in `page::show`, which hands it the
//! site and the visit, away from the thread that answers everybody; a line for it in
//! `routes` below, one in `page::WAYS` if there is a way to it from every page. What it
//! shows of the bench is `Site::today`, read once for each step; anything else it reads
//! with `Site::look`. To add a press: a form made by `form::form`, a handler that takes a
//! `press::Press` and ends in `press::step`, which makes one step of the book with the
//! press's token and leads on; and who may press it, in `roles::ROOMS`; who may undo it, in `roles::STEPS`. What it changes
//! it changes through a method of `Book`. `steps.rs` is both, in eighty lines; a test
//! asks over a line of its own, as `tests/serve/steps.rs` does.

mod bench;
mod boards;
mod codes;
mod cookie;
mod count;
mod counter;
mod devices;
mod files;
mod form;
mod guard;
mod hosts;
mod job;
mod joiner;
mod kept;
mod listen;
mod live;
mod office;
mod office_words;
mod orders;
mod pace;
mod page;
mod pairing;
mod planning;
mod plans;
mod press;
mod promised;
mod rack;
mod reply;
mod roles;
mod room;
mod said;
mod screens;
mod shared;
mod site;
mod stands;
mod static_files;
mod steps;
mod stick;
mod sure;
mod tickets;
mod today;
mod visit;
mod wall;

pub use hosts::Hosts;
pub use pace::Pace;
pub use site::{Clock, Random};

use std::io;
use std::net::{SocketAddr, TcpListener};
use std::sync::Arc;

use axum::Router;
use axum::middleware::from_fn_with_state;
use axum::routing::{get, post};
use tokio::runtime;
use tokio::sync::oneshot;

use crate::book::{Book, BookError, Role};
use room::Room;
use site::Site;

/// A server of a book that listens, and answers once it runs.
pub struct Server {
    site: Arc<Site>,
    listener: TcpListener,
}

/// What ends a server.
pub struct Ending(oneshot::Sender<()>);

impl Ending {
    /// Ends it. One that ended already is no fault.
    pub fn now(self) {
        let _ = self.0.send(());
    }
}

impl Server {
    /// A server of this book at an address, of which others may know another.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn new(
        book: Book,
        (listener, through): (TcpListener, Option<String>),
        pace: Pace,
        (clock, random): (Clock, Random),
    ) -> Result<Server, BookError> {
        let address = listener.local_addr().map_err(|error| BookError::Wrong(error.to_string()))?;
        let site = Site::new(book, (Hosts::new(address, through), pace), clock, random)?;
        Ok(Server { site: Arc::new(site), listener })
    }

    /// Where it listens.
    ///
    /// # Errors
    /// If the system does not say.
    pub fn address(&self) -> io::Result<SocketAddr> {
        self.listener.local_addr()
    }

    /// The address to open on a device, with a new code that pairs it in a role.
    ///
    /// # Errors
    /// If it is not known what time it is.
    pub fn invitation(&self, role: Role) -> Result<Invitation, BookError> {
        screens::invitation(&self.site, role)
    }

    /// What ends it, to be had before it runs.
    pub fn stop(&self) -> (Ending, oneshot::Receiver<()>) {
        let (stop, stopped) = oneshot::channel();
        (Ending(stop), stopped)
    }

    /// Answers until it is stopped.
    ///
    /// # Errors
    /// If the system gives it no thread or no line.
    pub fn run(self, stopped: oneshot::Receiver<()>) -> io::Result<()> {
        let mut runtime = runtime::Builder::new_current_thread();
        let runtime = runtime.enable_all().max_blocking_threads(site::AT_ONCE).build()?;
        let pace = self.site.pace;
        let room = Room::new(pace.connections, !self.site.hosts.has_something_between());
        self.listener.set_nonblocking(true)?;
        live::look_out(&self.site).map_err(io::Error::other)?;
        planning::begin(&self.site)?;
        let router = routes(self.site);
        runtime.block_on(async {
            let listener = tokio::net::TcpListener::from_std(self.listener)?;
            listen::listen(listener, router, (pace, room), stopped).await;
            Ok(())
        })
    }
}

pub use screens::Invitation;

fn routes(site: Arc<Site>) -> Router {
    Router::new()
        .route("/", get(screens::home))
        .route("/style.css", get(static_files::style))
        .route("/page.js", get(static_files::script))
        .route("/live", get(live::live))
        .route("/pair", get(pairing::asked).post(pairing::paired))
        .route("/devices", get(screens::list))
        .route("/devices/new", post(screens::invite))
        .route("/devices/off", post(screens::off))
        .merge(bench::routes())
        .merge(counter::routes())
        .merge(tickets::routes())
        .merge(rack::routes())
        .merge(stick::routes())
        .merge(count::routes())
        .merge(orders::routes())
        .merge(files::routes())
        .merge(office::routes())
        .merge(joiner::routes())
        .route("/wall", get(wall::wall))
        .route("/plans/stop", post(planning::stopped))
        .route("/plans/{key}", get(planning::asked))
        .route("/steps", get(steps::list))
        .route("/undo", post(steps::undone))
        .fallback(screens::nothing)
        .layer(from_fn_with_state(Arc::clone(&site), guard::guard))
        .with_state(site)
}
