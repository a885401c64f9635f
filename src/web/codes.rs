//! The codes with which devices are paired: each once, and not for long.

use std::collections::VecDeque;
use std::sync::Mutex;

use jiff::civil::DateTime;
use jiff::{SignedDuration, Span};

use super::shared::locked;
use crate::book::Role;

/// Letters and figures that are not taken for each other.
const LETTERS: &[u8; 32] = b"ABCDEFGHJKLMNPQRSTUVWXYZ23456789";

/// How many of them a code has, in two halves: forty bits.
const LONG: usize = 8;

/// For how long a code is good.
const MINUTES: i64 = 30;

/// So many wrong codes are heard in a minute, from everybody together: to try half of
/// all codes at that pace takes fifty thousand years.
const TRIES: usize = 20;

/// A code that was given out.
struct PairingCode {
    code: String,
    role: Role,
    until: DateTime,
}

/// Those that are good still, and when wrong ones were tried.
#[derive(Default)]
pub struct Codes {
    given: Mutex<Vec<PairingCode>>,
    wrong: Mutex<VecDeque<DateTime>>,
}

/// What came of a code that somebody typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CodeTried {
    /// It is good, for this role, and is not good any more.
    Good(Role),
    /// There is no such code now.
    Unknown,
    /// Too many wrong ones were tried just now.
    TooMany,
}

impl Codes {
    /// A new code for a role.
    pub fn give(&self, role: Role, now: DateTime, random: &dyn Fn(&mut [u8])) -> String {
        let mut bytes = [0; LONG];
        random(&mut bytes);
        let letters = bytes.map(|byte| char::from(LETTERS[usize::from(byte) % LETTERS.len()]));
        let code: String = letters.iter().collect();
        let until = now.saturating_add(Span::new().minutes(MINUTES));
        let mut given = locked(&self.given);
        given.retain(|given| given.until >= now);
        given.push(PairingCode { code: code.clone(), role, until });
        format!("{}-{}", &code[..LONG / 2], &code[LONG / 2..])
    }

    /// Tries a code as it was typed, once.
    pub fn take(&self, typed: &str, now: DateTime) -> CodeTried {
        let mut wrong = locked(&self.wrong);
        wrong.retain(|at| now.duration_since(*at) < SignedDuration::from_secs(60));
        if wrong.len() >= TRIES {
            return CodeTried::TooMany;
        }
        let plain = |c: char| c.is_ascii_alphanumeric().then(|| c.to_ascii_uppercase());
        let typed: String = typed.chars().filter_map(plain).collect();
        let mut given = locked(&self.given);
        let found = given.iter().position(|given| given.code == typed && given.until >= now);
        match found {
            Some(at) => CodeTried::Good(given.remove(at).role),
            None => {
                wrong.push_back(now);
                CodeTried::Unknown
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    const MORNING: DateTime = date(2031, 3, 3).at(8, 0, 0, 0);

    fn counting(bytes: &mut [u8]) {
        bytes.iter_mut().zip(0..).for_each(|(byte, at)| *byte = at);
    }

    #[test]
    fn a_code_is_good_once_and_for_half_an_hour() {
        let codes = Codes::default();
        let code = codes.give(Role::Bench, MORNING, &counting);
        assert_eq!(code, "ABCD-EFGH");
        assert_eq!(codes.take("abcd efgh", MORNING), CodeTried::Good(Role::Bench));
        assert_eq!(codes.take("ABCD-EFGH", MORNING), CodeTried::Unknown);
        codes.give(Role::Wall, MORNING, &counting);
        let later = MORNING.saturating_add(Span::new().minutes(31));
        assert_eq!(codes.take("ABCD-EFGH", later), CodeTried::Unknown);
    }

    #[test]
    fn codes_cannot_be_tried_one_after_the_other() {
        let codes = Codes::default();
        for _ in 0..TRIES {
            assert_eq!(codes.take("ZZZZ-ZZZZ", MORNING), CodeTried::Unknown);
        }
        codes.give(Role::Office, MORNING, &counting);
        assert_eq!(codes.take("ABCD-EFGH", MORNING), CodeTried::TooMany);
        let later = MORNING.saturating_add(Span::new().minutes(2));
        assert_eq!(codes.take("ABCD-EFGH", later), CodeTried::Good(Role::Office));
    }
}
