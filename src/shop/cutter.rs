//! A cutting machine and what it costs in length.

use crate::measure::{Length, Mitre};

/// A chopper (knives, no kerf), a double mitre saw or a single mitre saw.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cutter {
    /// The name used in the shop's files.
    pub name: String,
    /// The width that one pass of the blade turns to dust; zero for knives.
    pub kerf: Length,
    /// How many passes part two rails: 1 for a double saw, 2 for most single saws.
    pub passes: u8,
    /// What is lost at each joint beside the kerf, as measured on the machine.
    pub nick: Length,
    /// What is cut away at the marked end before the first rail.
    pub first_trim: Length,
    /// What must stay uncut at the far end.
    pub last_trim: Length,
    /// What the machine must still hold when the last rail is cut.
    pub grip: Length,
    /// The shortest rail (long point) that it can hold safely.
    pub shortest: Length,
    /// What its scale reads.
    pub stop: Stop,
    /// The mitres that it cuts, as ranges in thousandths of a degree off square; none
    /// are all.
    pub mitres: Vec<(i64, i64)>,
}

/// How near a mitre is to what is written for it: 25.7 is meant for 180/7 degrees. No
/// two mitres are as near to each other.
const NEAR_MITRE: i64 = 100;

/// How far a hand stays from blade or knives (IEC 62841-3-9, as quoted in public manuals
/// of mitre saws).
const HAND: Length = Length::from_mm(100);
/// A rail so little longer than the machine's shortest is called short (our own
/// margin, no source).
const NEAR_SHORTEST: Length = Length::from_mm(50);

/// Which length of a rail the machine's scale reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stop {
    /// Tip to tip along the back edge.
    Long,
    /// Along the rabbet, where the package sits.
    Rabbet,
    /// Tip to tip along the sight edge.
    Sight,
}

impl Stop {
    /// What the scale reads for a rail of these lengths.
    pub fn reading(self, long_point: Length, rabbet: Length, sight: Length) -> Length {
        match self {
            Stop::Long => long_point,
            Stop::Rabbet => rabbet,
            Stop::Sight => sight,
        }
    }
}

impl Cutter {
    /// Whether it cuts this mitre.
    pub fn cuts(&self, mitre: Mitre) -> bool {
        let angle = mitre.millidegrees();
        let is_in =
            |&(from, to): &(i64, i64)| (from - NEAR_MITRE..=to + NEAR_MITRE).contains(&angle);
        self.mitres.is_empty() || self.mitres.iter().any(is_in)
    }

    /// Whether a rail must be clamped: a hand on it cannot keep its distance from the
    /// cuts at both ends, or it is hardly longer than the machine's shortest.
    pub fn needs_clamp(&self, long_point: Length) -> bool {
        long_point < HAND * 2 || long_point < self.shortest + NEAR_SHORTEST
    }

    /// What is lost along the back edge between two neighbouring rails:
    /// passes x kerf / cos(180/n) + nick, up to the nanometre.
    pub fn joint_loss(&self, mitre: Mitre) -> Length {
        mitre.over_cos_up(self.kerf * i64::from(self.passes)) + self.nick
    }
}

impl Stop {
    /// The word used in files and on sheets.
    pub const fn word(self) -> &'static str {
        match self {
            Stop::Long => "long",
            Stop::Rabbet => "rabbet",
            Stop::Sight => "sight",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn saw(kerf: Length, passes: u8) -> Cutter {
        Cutter {
            name: "saw".to_owned(),
            kerf,
            passes,
            nick: Length::ZERO,
            first_trim: Length::ZERO,
            last_trim: Length::ZERO,
            grip: Length::ZERO,
            shortest: Length::ZERO,
            stop: Stop::Long,
            mitres: Vec::new(),
        }
    }

    #[test]
    fn a_machine_cuts_the_mitres_that_it_is_said_to() {
        let cuts = |mitres: &[(i64, i64)]| -> Vec<u8> {
            let mut machine = saw(Length::ZERO, 1);
            machine.mitres = mitres.to_vec();
            let all = (3..=16).filter_map(Mitre::new);
            all.filter(|mitre| machine.cuts(*mitre)).map(Mitre::sides).collect()
        };
        assert_eq!(cuts(&[]), (3..=16).collect::<Vec<u8>>());
        assert_eq!(cuts(&[(45_000, 45_000)]), [4]);
        assert_eq!(cuts(&[(25_700, 25_700), (30_000, 30_000)]), [6, 7]);
        assert_eq!(cuts(&[(22_500, 45_000)]), [4, 5, 6, 7, 8]);
    }

    /// Kerf along the stick at 45 degrees, computed from the mitre triangle;
    /// blades of 1/8 in (full) and 3/32 in (thin) as published by a saw maker's guide.
    #[test]
    fn a_mitred_kerf_takes_more_of_the_stick_than_a_square_one() {
        let inches = |count: i64| count as f64 / 25_400_000.0;
        for (sixty_fourths, expected) in [(8, 0.17678), (6, 0.13258), (4, 0.08839)] {
            let joint = saw(Length::from_64ths(sixty_fourths), 1).joint_loss(Mitre::SQUARE);
            assert!((inches(joint.nm()) - expected).abs() < 5e-6);
        }
        for (tenths, expected) in [(32, 4.5255), (30, 4.2426), (24, 3.3941)] {
            let joint = saw(Length::from_nm(tenths * 100_000), 1).joint_loss(Mitre::SQUARE);
            assert!((joint.as_mm() - expected).abs() < 5e-5);
        }
    }

    #[test]
    fn two_passes_and_a_nick_add_up() {
        let mut single = saw(Length::from_mm(3), 2);
        single.nick = Length::from_mm(1);
        assert_eq!(single.joint_loss(Mitre::SQUARE), Length::from_nm(9_485_282));
    }
}
