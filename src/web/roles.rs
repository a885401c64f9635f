//! Which device may see and press what: all of it in one table.

use crate::book::Role;

/// The rooms of the page by the first part of their address, and who may press there
/// beside the office. What is not named is the office's.
const PRESSES: [(&str, &[Role]); 11] = [
    ("pair", &Role::ALL),
    ("bench", &[Role::Bench]),
    ("joiner", &[Role::Bench]),
    ("plans", &[Role::Bench, Role::Counter]),
    ("undo", &[Role::Bench, Role::Counter]),
    ("counter", &[Role::Counter]),
    ("ticket", &[Role::Counter]),
    ("s", &[Role::Bench]),
    ("count", &[Role::Bench, Role::Counter]),
    ("print", &[Role::Bench, Role::Counter]),
    ("receive", &[Role::Bench, Role::Counter]),
];

/// What only the office may look at.
const OFFICE: [&str; 5] = ["devices", "files", "figures", "invoice", "office"];

/// What the wall may look at.
const WALL: [&str; 6] = ["", "wall", "live", "pair", "style.css", "page.js"];

/// Whether a device with this role may look at, or press on, what is there.
pub(super) fn may(role: Role, is_press: bool, path: &str) -> bool {
    let room = path.trim_start_matches('/').split('/').next().unwrap_or_default();
    match role {
        Role::Office => true,
        _ if is_press => PRESSES.iter().any(|(name, roles)| *name == room && roles.contains(&role)),
        Role::Wall => WALL.contains(&room),
        Role::Bench | Role::Counter => !OFFICE.contains(&room),
    }
}

/// Where a device with this role begins.
pub(super) fn home(role: Role) -> &'static str {
    match role {
        Role::Wall => "/wall",
        Role::Counter => "/counter",
        Role::Bench | Role::Office => "/bench",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_wall_is_only_looked_at() {
        assert!(may(Role::Wall, false, "/wall") && may(Role::Wall, false, "/live"));
        assert!(!may(Role::Wall, false, "/bench") && !may(Role::Wall, true, "/bench/S-1/cut"));
        assert!(!may(Role::Wall, true, "/wall"));
    }

    #[test]
    fn what_nobody_thought_of_is_the_offices() {
        for role in [Role::Wall, Role::Bench, Role::Counter] {
            assert!(!may(role, true, "/devices/3/off") && !may(role, true, "/new/page"));
            assert!(!may(role, false, "/devices"));
        }
        assert!(may(Role::Office, true, "/devices/3/off"));
        assert!(may(Role::Bench, true, "/bench/S-1/cut") && !may(Role::Counter, true, "/bench/x"));
    }
}
