//! One look at one page: who looks, and at what.

use std::convert::Infallible;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};

use axum::extract::FromRequestParts;
use axum::http::Uri;
use axum::http::request::Parts;

use super::devices::Session;
use super::roles;

/// Who looks, and at what.
#[derive(Clone)]
pub struct Visit {
    /// The device.
    pub session: Session,
    /// The path that was asked for.
    pub path: String,
    /// What stands behind the question mark.
    query: Vec<(String, String)>,
    /// What nobody can guess, of which the tokens of this look's forms are made.
    nonce: String,
    forms: Arc<AtomicU32>,
}

impl Visit {
    pub(super) fn new(session: Session, uri: &Uri, nonce: String) -> Visit {
        let query = fields(uri.query().unwrap_or_default().as_bytes());
        Visit { session, path: uri.path().to_owned(), query, nonce, forms: Arc::default() }
    }

    /// What the query says of something; empty if it does not.
    pub fn query(&self, name: &str) -> &str {
        value(&self.query, name)
    }

    /// All that the query says of something.
    pub fn queries<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        let own = self.query.iter().filter(move |(own, _)| own == name);
        own.map(|(_, value)| value.as_str())
    }

    /// What the query says of the step that was made just now, as a query.
    pub(super) fn said(&self) -> String {
        match self.query("step").parse::<i64>() {
            Ok(step) => format!("step={step}"),
            Err(_) => String::new(),
        }
    }

    /// Whether this device may look at what is there.
    pub fn may_see(&self, path: &str) -> bool {
        roles::may(self.session.device.role, false, path)
    }

    /// Whether this device may press what is sent there.
    pub fn may_press(&self, action: &str) -> bool {
        roles::may(self.session.device.role, true, action)
    }

    /// Whether this device may undo a step of this kind.
    pub fn may_undo(&self, what: &str) -> bool {
        roles::may_step(self.session.device.role, what)
    }

    /// Where this device begins.
    pub fn home(&self) -> &'static str {
        roles::home(self.session.device.role)
    }

    /// A token for one more form.
    pub(super) fn token(&self) -> String {
        let form = self.forms.fetch_add(1, Ordering::Relaxed);
        self.session.token(&format!("{}{form:x}", self.nonce))
    }
}

/// The fields of a form, or of a query, in their order.
pub(super) fn fields(text: &[u8]) -> Vec<(String, String)> {
    form_urlencoded::parse(text).into_owned().collect()
}

/// What a field says; empty if it is not there.
pub(super) fn value<'a>(fields: &'a [(String, String)], name: &str) -> &'a str {
    fields.iter().find(|(own, _)| own == name).map_or("", |(_, value)| value)
}

impl<S: Sync> FromRequestParts<S> for Visit {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Visit, Infallible> {
        // The guard lets nobody by without.
        Ok(parts.extensions.get::<Visit>().cloned().expect("a device that was paired"))
    }
}
