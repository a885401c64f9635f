//! How many connections there is room for: of all, and of each address.
//!
//! # Why each has a share
//!
//! One computer in the shop that opens lines and never closes them would leave none for the
//! tablets. Where something stands between, all come from its address, and it is theirs to
//! share out: so none has a share there.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex};

use super::shared::locked;

/// An address has one in so many of all connections.
const SHARE: usize = 8;

/// The connections that are open.
pub(super) struct Room {
    all: usize,
    each: usize,
    taken: Mutex<BTreeMap<IpAddr, usize>>,
}

/// A seat for a connection, until it is let go.
pub(super) struct Seat {
    room: Arc<Room>,
    from: IpAddr,
}

impl Room {
    /// Room for so many; where they are shared out, so that one address has its share alone.
    pub fn new(all: usize, is_shared_out: bool) -> Room {
        let each = if is_shared_out { all.div_ceil(SHARE) } else { all };
        Room { all, each, taken: Mutex::default() }
    }

    /// A seat for a connection from there, if there is one.
    pub fn take(room: &Arc<Room>, from: IpAddr) -> Option<Seat> {
        let mut taken = locked(&room.taken);
        let own = taken.get(&from).copied().unwrap_or(0);
        if own >= room.each || taken.values().sum::<usize>() >= room.all {
            return None;
        }
        taken.insert(from, own + 1);
        Some(Seat { room: Arc::clone(room), from })
    }
}

impl Drop for Seat {
    fn drop(&mut self) {
        let mut taken = locked(&self.room.taken);
        match taken.get_mut(&self.from) {
            Some(own) if *own > 1 => *own -= 1,
            _ => drop(taken.remove(&self.from)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_has_its_share_and_all_have_no_more_than_there_is() {
        let room = Arc::new(Room::new(16, true));
        let from = |last: u8| IpAddr::from([192, 168, 1, last]);
        let take = |last| Room::take(&room, from(last));
        let held: Vec<Option<Seat>> = [1, 1, 1, 2].map(take).into();
        let is_in: Vec<bool> = held.iter().map(Option::is_some).collect();
        assert_eq!(is_in, [true, true, false, true]);
        drop(held);
        assert!(locked(&room.taken).is_empty(), "what is let go is free");
        let held: Vec<Option<Seat>> = (1..=9).flat_map(|last| [take(last), take(last)]).collect();
        assert_eq!(held.iter().flatten().count(), 16);
        let room = Arc::new(Room::new(16, false));
        let held: Vec<Option<Seat>> = (0..17).map(|_| Room::take(&room, from(1))).collect();
        assert_eq!(held.iter().flatten().count(), 16, "one that all come through has no share");
    }
}
