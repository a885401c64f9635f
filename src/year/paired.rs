//! How sure a difference between two practices is.
//!
//! Each year both serve the same customers, so what counts is the difference of each
//! year. Of their mean there is an interval of Student's t distribution, in integers:
//! in 95 of 100 such studies it holds the true mean, as far as the differences of
//! years are distributed normally.

use crate::measure::Worth;

/// The mean of some differences, and how far the true one may be from it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Paired {
    /// The mean, rounded down.
    pub mean: Worth,
    /// Half the width of the interval, rounded up; `None` with fewer than two years.
    pub half: Option<Worth>,
}

/// The upper 0.975 points of Student's t in thousandths, with 1 to 30 degrees of
/// freedom, then 40, 60 and 120: NIST/SEMATECH e-Handbook of Statistical Methods,
/// section 1.3.6.7.2.
const T: [(i128, i128); 33] = [
    (1, 12_706),
    (2, 4_303),
    (3, 3_182),
    (4, 2_776),
    (5, 2_571),
    (6, 2_447),
    (7, 2_365),
    (8, 2_306),
    (9, 2_262),
    (10, 2_228),
    (11, 2_201),
    (12, 2_179),
    (13, 2_160),
    (14, 2_145),
    (15, 2_131),
    (16, 2_120),
    (17, 2_110),
    (18, 2_101),
    (19, 2_093),
    (20, 2_086),
    (21, 2_080),
    (22, 2_074),
    (23, 2_069),
    (24, 2_064),
    (25, 2_060),
    (26, 2_056),
    (27, 2_052),
    (28, 2_048),
    (29, 2_045),
    (30, 2_042),
    (40, 2_021),
    (60, 2_000),
    (120, 1_980),
];

impl Paired {
    /// Of what one practice came to less what another did, year by year.
    pub fn of(years: &[Worth]) -> Option<Paired> {
        let count = i128::try_from(years.len()).ok().filter(|count| *count > 0)?;
        let sum: i128 = years.iter().map(|year| i128::from(year.0)).sum();
        let squares: i128 = years.iter().map(|year| i128::from(year.0).pow(2)).sum();
        let mean = worth(sum.div_euclid(count));
        let half = student(count - 1).map(|t| {
            // t s / sqrt(n), with s^2 = (n squares - sum^2) / (n (n - 1)).
            let over = (count * squares - sum * sum) * t * t;
            let under = count * count * (count - 1) * 1_000_000;
            worth(root_up((over + under - 1) / under))
        });
        Some(Paired { mean, half })
    }

    /// Whether the true mean is below nothing, as sure as the interval is.
    pub fn is_less(&self) -> bool {
        self.half.is_some_and(|half| self.mean + half < Worth(0))
    }
}

/// The point for so many degrees of freedom; of the next fewer where there is none.
fn student(freedom: i128) -> Option<i128> {
    T.iter().rev().find(|(degrees, _)| *degrees <= freedom).map(|(_, t)| *t)
}

/// The square root, rounded up.
fn root_up(square: i128) -> i128 {
    let root = square.isqrt();
    root + i128::from(root * root < square)
}

fn worth(value: i128) -> Worth {
    Worth(i64::try_from(value).unwrap_or(i64::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 2, 4 and 9: a mean of 5, s^2 = 13, half = 4.303 sqrt(13 / 3) = 8.96 (computed).
    #[test]
    fn an_interval_is_that_of_student() {
        let years = [2_000, 4_000, 9_000].map(Worth);
        let difference = Paired::of(&years).unwrap();
        assert_eq!(difference.mean, Worth(5_000));
        assert_eq!(difference.half, Some(Worth(8_958)));
        assert!(!difference.is_less());
        assert!(Paired::of(&[-9_000, -9_100, -8_900].map(Worth)).unwrap().is_less());
    }

    #[test]
    fn one_year_says_nothing_of_chance() {
        let difference = Paired::of(&[Worth(-7)]).unwrap();
        assert_eq!(difference, Paired { mean: Worth(-7), half: None });
        assert!(!difference.is_less());
        assert_eq!(Paired::of(&[]), None);
        assert_eq!(student(35), Some(2_042), "of the next fewer");
    }
}
