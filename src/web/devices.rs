//! Which devices are known, and by what: each shows a secret that only it has.

use std::collections::BTreeMap;
use std::sync::Mutex;

use sha2::{Digest, Sha256};

use super::shared::{hex, locked};
use crate::book::Device;

/// The devices by the hash of their secret, as the book has them.
pub struct Devices(Mutex<BTreeMap<String, Device>>);

/// A device that asks, and the secret that it showed.
#[derive(Clone)]
pub struct Session {
    /// Which.
    pub device: Device,
    secret: String,
}

impl Devices {
    pub(super) fn new(all: Vec<Device>) -> Devices {
        let devices = Devices(Mutex::default());
        devices.set(all);
        devices
    }

    /// The book has these now.
    pub(super) fn set(&self, all: Vec<Device>) {
        *locked(&self.0) = all.into_iter().map(|device| (device.hash.clone(), device)).collect();
    }

    /// Whose secret it is.
    pub fn session(&self, secret: &str) -> Option<Session> {
        let device = locked(&self.0).get(&hash("device", &[secret])).cloned()?;
        Some(Session { device, secret: secret.to_owned() })
    }

    /// Whether a device that was let in once was not taken off since.
    pub(super) fn knows(&self, session: &Session) -> bool {
        self.session(&session.secret).is_some()
    }
}

impl Session {
    /// A token for a form of this device, made of what nobody can guess.
    ///
    /// It says of itself that it was given to this device, so that no list of those that
    /// were given is to be kept, and one that was given before the server was started anew
    /// is good still.
    pub fn token(&self, nonce: &str) -> String {
        format!("{nonce}.{}", self.seal(nonce))
    }

    /// The token that a form carries, if this device was given it: as it stands in the
    /// book.
    pub fn given<'a>(&self, token: &'a str) -> Option<&'a str> {
        let (nonce, seal) = token.split_once('.')?;
        (self.seal(nonce) == seal && !nonce.is_empty()).then_some(nonce)
    }

    fn seal(&self, nonce: &str) -> String {
        hash("form", &[&self.secret, nonce])[..32].to_owned()
    }
}

/// The hash of a secret for a purpose; what is hashed for one is of no use for another.
pub(super) fn hash(purpose: &str, parts: &[&str]) -> String {
    let mut hash = Sha256::new();
    for part in [purpose].iter().chain(parts) {
        hash.update(part.as_bytes());
        hash.update([0]);
    }
    hex(&hash.finalize())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::Role;

    fn known(secret: &str) -> Devices {
        let hash = hash("device", &[secret]);
        let (name, since) = ("bench tablet".to_owned(), String::new());
        Devices::new(vec![Device { id: 1, name, role: Role::Bench, hash, since }])
    }

    #[test]
    fn a_token_is_good_for_the_device_that_it_was_given_to() {
        let ours = known("a secret").session("a secret").unwrap();
        let other = known("another").session("another").unwrap();
        let token = ours.token("0123");
        assert_eq!(ours.given(&token), Some("0123"));
        assert_eq!(other.given(&token), None);
        for forged in
            ["", "0123", "0123.", ".", &token.replace("0123", "0124"), &format!("{token}0")]
        {
            assert_eq!(ours.given(forged), None, "{forged}");
        }
    }

    #[test]
    fn a_hash_is_no_secret() {
        let devices = known("a secret");
        assert!(devices.session("a secret").is_some());
        assert!(devices.session(&hash("device", &["a secret"])).is_none());
        assert!(devices.session("").is_none());
    }
}
