//! Numbers by chance, the same for the same seed on every machine.

/// A generator of 64 bits at a time: SplitMix64 (Steele, Lea and Flood 2014, "Fast
/// splittable pseudorandom number generators").
#[derive(Debug, Clone)]
pub(super) struct Dice {
    state: u64,
}

impl Dice {
    /// Begins at a seed; another `stream` of the same seed has nothing to do with it.
    pub fn new(seed: u64, stream: u64) -> Dice {
        let state = Dice { state: seed }.next() ^ Dice { state: !stream }.next();
        Dice { state }
    }

    fn next(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.state;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number below `count`, which is not zero: each as likely as the others but for
    /// one part in 2^64 / `count`.
    pub fn below(&mut self, count: usize) -> usize {
        let wide = u128::from(self.next()) * u128::try_from(count).unwrap_or(0);
        usize::try_from(wide >> 64).expect("below the count")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first three numbers of the generator at seed 0, as its authors' own program
    /// gives them.
    #[test]
    fn the_generator_is_the_published_one() {
        let mut dice = Dice { state: 0 };
        let first = [dice.next(), dice.next(), dice.next()];
        assert_eq!(first, [0xe220_a839_7b1d_cdaf, 0x6e78_9e6a_a1b9_65f4, 0x06c4_5d18_8009_454f]);
    }

    #[test]
    fn every_number_comes_about_as_often() {
        let mut dice = Dice::new(1, 0);
        let mut seen = [0_u32; 7];
        (0..7_000).for_each(|_| seen[dice.below(7)] += 1);
        assert!(seen.iter().all(|times| (850..1_150).contains(times)), "{seen:?}");
    }
}
