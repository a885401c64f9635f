//! Numbers that are the same on every machine, for problems made by seed.

/// The generator of Steele, Lea and Flood, "Fast splittable pseudorandom number
/// generators" (2014), begun at a seed.
pub struct Numbers(pub u64);

#[allow(dead_code, reason = "each test uses some of these")]
impl Numbers {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From `low` to `high`, both included.
    pub fn within(&mut self, low: i64, high: i64) -> i64 {
        let span = u64::try_from(high - low + 1).expect("low is not above high");
        low + i64::try_from(self.next() % span).expect("a small number")
    }

    /// The same as a count.
    pub fn count(&mut self, low: i64, high: i64) -> u32 {
        u32::try_from(self.within(low, high)).expect("a small count")
    }

    /// True once in `n` times.
    pub fn one_in(&mut self, n: i64) -> bool {
        self.within(1, n) == 1
    }

    /// One of the choices.
    pub fn one_of<T: Copy>(&mut self, choices: &[T]) -> T {
        choices[usize::try_from(self.within(0, choices.len() as i64 - 1)).expect("an index")]
    }
}
