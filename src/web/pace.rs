//! How fast one may ask: enough for any hand, and for a screen that looks again.

use std::collections::BTreeMap;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use super::shared::locked;

/// How much a server takes from others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pace {
    /// How many connections are open at once, of which one address has a share alone.
    pub connections: usize,
    /// How long somebody may take to say what is asked for.
    pub patience: Duration,
    /// How long a form may be, in bytes.
    pub longest: usize,
    /// How many requests one device may make at once, and in each second after that.
    pub requests: (u32, u32),
}

impl Default for Pace {
    fn default() -> Pace {
        Pace {
            connections: 512,
            patience: Duration::from_secs(10),
            longest: 1 << 20,
            requests: (120, 40),
        }
    }
}

/// So many are remembered at once.
const MOST: usize = 4096;

/// A request, in the millionths in which allowances are reckoned.
const ONE: u64 = 1_000_000;

/// What each may still ask, by name.
#[derive(Default)]
pub struct Allowances(Mutex<BTreeMap<String, (u64, Instant)>>);

impl Allowances {
    /// Whether one may ask now.
    pub fn grants(&self, name: &str, pace: &Pace, now: Instant) -> bool {
        let full = u64::from(pace.requests.0) * ONE;
        let grown = |(left, since): (u64, Instant)| {
            let past = now.saturating_duration_since(since).as_micros();
            let more = u64::try_from(past).unwrap_or(u64::MAX);
            left.saturating_add(more.saturating_mul(pace.requests.1.into())).min(full)
        };
        let mut all = locked(&self.0);
        if all.len() >= MOST && !all.contains_key(name) {
            // Who has asked for nothing lately may ask as much as somebody new.
            all.retain(|_, was| grown(*was) < full);
        }
        let was = all.entry(name.to_owned()).or_insert((full, now));
        let left = grown(*was);
        *was = (left.saturating_sub(if left < ONE { 0 } else { ONE }), now);
        left >= ONE
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn who_asks_too_fast_waits() {
        let pace = Pace { requests: (3, 2), ..Pace::default() };
        let (allowances, now) = (Allowances::default(), Instant::now());
        let asked =
            |name, after| allowances.grants(name, &pace, now + Duration::from_millis(after));
        assert_eq!([0, 0, 0, 0].map(|after| asked("a", after)), [true, true, true, false]);
        assert!(asked("b", 0), "others are not kept waiting");
        assert_eq!([600, 600].map(|after| asked("a", after)), [true, false]);
    }
}
