//! A bound of ways that is a sum over their offers: so much of one, the rest of another.
//!
//! A way costs no less than the greatest of its bounds, so no less than two of them in any
//! shares. In given shares the split and each offer add by themselves, and what is not
//! chosen yet adds its least: a Lagrangian relaxation of "the greatest of both". That least
//! is concave in the share, so the share at which it is greatest is found by halving. What
//! is too dear then, with all else at its least, is part of no way that is asked for.

use super::pieces::BOUNDS;
use super::showing::{Added, Opened};

/// Parts in the whole of both shares.
const PARTS: i128 = 1 << SHARINGS;

/// So often the range of shares is halved.
const SHARINGS: u32 = 16;

/// The first bound and another in the shares that tell most.
pub(super) struct Weighed {
    other: usize,
    /// The other's share.
    share: i128,
    /// What the offers from each place on add at the least, in parts.
    rest: Vec<i128>,
}

impl Weighed {
    /// The shares of the first bound and another; what is too dear by them is dropped, and
    /// all splits where nothing is left of an offer. With the choices that were glanced at.
    pub fn new(
        cases: &mut Vec<Opened>,
        offers: &mut [(usize, Vec<Added>)],
        other: usize,
        below: i128,
    ) -> (Weighed, usize) {
        let size = cases.len() + offers.iter().map(|(_, offer)| offer.len()).sum::<usize>();
        let (mut low, mut high) = (0, PARTS);
        while low + 1 < high {
            let share = low + (high - low) / 2;
            if rises(cases, offers, other, share) {
                low = share;
            } else {
                high = share;
            }
        }
        let mut weighed = Weighed { other, share: low, rest: Vec::new() };
        weighed.drop_dear(cases, offers, below);
        weighed.look_ahead(offers);
        (weighed, size * (SHARINGS as usize + 1))
    }

    /// What comes to so much by each bound, in parts.
    fn of(&self, with: &[i128; BOUNDS]) -> i128 {
        (PARTS - self.share) * with[0] + self.share * with[self.other]
    }

    fn drop_dear(&self, cases: &mut Vec<Opened>, offers: &mut [(usize, Vec<Added>)], below: i128) {
        let least_of = |offer: &[Added]| offer.iter().map(|added| self.of(&added.with)).min();
        let each: Option<Vec<i128>> = offers.iter().map(|(_, offer)| least_of(offer)).collect();
        let case = cases.iter().map(|of| self.of(&of.with)).min();
        let Some((each, case)) = each.zip(case) else { return cases.clear() };
        let room = below.saturating_mul(PARTS).saturating_sub(each.iter().sum());
        cases.retain(|of| self.of(&of.with) < room);
        for ((_, offer), least) in offers.iter_mut().zip(each) {
            offer.retain(|added| self.of(&added.with) - least < room.saturating_sub(case));
        }
    }

    /// Works out what the offers from each place on add, as they are now.
    pub fn look_ahead(&mut self, offers: &[(usize, Vec<Added>)]) {
        self.rest = vec![0];
        for (_, offer) in offers.iter().rev() {
            let least = offer.iter().map(|added| self.of(&added.with)).min().unwrap_or(0);
            self.rest.push(self.rest.last().expect("there is one of nothing") + least);
        }
        self.rest.reverse();
    }

    /// What comes to so much by each bound comes to at the least with something from each
    /// offer from a place on.
    pub fn least(&self, with: &[i128; BOUNDS], place: usize) -> i128 {
        -(-(self.of(with) + self.rest[place])).div_euclid(PARTS)
    }
}

/// Whether the least of all rises with the other's share: whether what is least comes to
/// more by the other.
fn rises(cases: &[Opened], offers: &[(usize, Vec<Added>)], other: usize, share: i128) -> bool {
    let slope = |with: &[i128; BOUNDS]| {
        let more = with[other] - with[0];
        (PARTS * with[0] + share * more, more)
    };
    let case = cases.iter().map(|of| slope(&of.with)).min();
    let each = offers.iter().map(|(_, offer)| offer.iter().map(|of| slope(&of.with)).min());
    each.chain([case]).flatten().map(|(_, more)| more).sum::<i128>() > 0
}
