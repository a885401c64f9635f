//! Which device may look at, press and undo what: all of it in two tables.

use crate::book::Role;

const EVERYBODY: &[Role] = &Role::ALL;
const FLOOR: &[Role] = &[Role::Bench, Role::Counter];
const BENCH: &[Role] = &[Role::Bench];
const COUNTER: &[Role] = &[Role::Counter];
const NOBODY: &[Role] = &[];

/// What there is, by how its address begins, who may look at it beside the office, and who
/// may press there. Of two that fit the longer is meant; what is not named is the office's.
const ROOMS: [(&str, &[Role], &[Role]); 22] = [
    ("", EVERYBODY, NOBODY),
    ("bench", FLOOR, BENCH),
    ("count", FLOOR, FLOOR),
    ("counter", COUNTER, COUNTER),
    ("joiner", FLOOR, BENCH),
    ("live", EVERYBODY, NOBODY),
    ("order", FLOOR, NOBODY),
    ("order/basket", NOBODY, NOBODY),
    ("order/letters", NOBODY, NOBODY),
    ("page.js", EVERYBODY, NOBODY),
    ("pair", EVERYBODY, EVERYBODY),
    ("plans", FLOOR, FLOOR),
    ("print", FLOOR, FLOOR),
    ("print/jobs", NOBODY, NOBODY),
    ("rack", FLOOR, NOBODY),
    ("receive", FLOOR, FLOOR),
    ("s", FLOOR, BENCH),
    ("steps", FLOOR, NOBODY),
    ("style.css", EVERYBODY, NOBODY),
    ("ticket", COUNTER, COUNTER),
    ("undo", NOBODY, FLOOR),
    ("wall", EVERYBODY, NOBODY),
];

/// The steps of the book, and who may make them beside the office: whoever may make one may
/// undo it. What is not named is the office's.
const STEPS: [(&str, &[Role]); 15] = [
    ("cancel", COUNTER),
    ("correct", BENCH),
    ("count", FLOOR),
    ("cut", BENCH),
    ("finish", BENCH),
    ("fitted", BENCH),
    ("flaw", BENCH),
    ("joined", BENCH),
    ("put-back", BENCH),
    ("receive", FLOOR),
    ("replan", BENCH),
    ("scrap", BENCH),
    ("spoil", FLOOR),
    ("take", BENCH),
    ("ticket", COUNTER),
];

/// Whether a device with this role may look at, or press on, what is there.
pub(super) fn may(role: Role, is_press: bool, path: &str) -> bool {
    let path = path.split('?').next().unwrap_or_default().trim_start_matches('/');
    let fits = |room: &str| {
        path.strip_prefix(room).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    };
    let own = ROOMS.iter().filter(|(room, ..)| fits(room)).max_by_key(|(room, ..)| room.len());
    let named = own.is_some_and(|(_, look, press)| match is_press {
        true => press.contains(&role),
        false => look.contains(&role),
    });
    role == Role::Office || named
}

/// Whether a device with this role may make a step of this kind, and so undo it.
pub(super) fn may_step(role: Role, what: &str) -> bool {
    let named = STEPS.iter().any(|(own, roles)| *own == what && roles.contains(&role));
    role == Role::Office || named
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
            assert!(!may(role, false, "/devices") && !may(role, false, "/new/page"));
            assert!(!may_step(role, "order") && !may_step(role, "a step that is new"));
        }
        assert!(may(Role::Office, true, "/devices/3/off") && may_step(Role::Office, "order"));
        assert!(may(Role::Bench, true, "/bench/S-1/cut") && !may(Role::Counter, true, "/bench/x"));
    }

    #[test]
    fn an_address_is_of_the_room_that_it_begins_with() {
        assert!(may(Role::Bench, false, "/order?line=3") && may(Role::Bench, false, "/order/"));
        assert!(!may(Role::Bench, false, "/order/basket?plan=1"));
        assert!(!may(Role::Bench, false, "/counter") && !may(Role::Bench, false, "/counters"));
        assert!(may(Role::Counter, false, "/counter/customer?plan=1"));
        assert!(!may(Role::Counter, false, "/s-1") && may(Role::Counter, false, "/s/S-1"));
        assert!(!may(Role::Bench, false, "//order/basket") && !may(Role::Bench, false, "/files"));
    }
}
