//! A seeded draw, so that every case can be made again from its number.

/// Numbers from a seed (splitmix64, Steele, Lea and Flood 2014, constants from memory).
pub struct Draw(u64);

impl Draw {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5bd1_e995)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut x = self.0;
        x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        x ^ (x >> 31)
    }

    /// A whole number from `low` to `high`, both included.
    pub fn whole(&mut self, low: u32, high: u32) -> u32 {
        low + (self.next() % u64::from(high - low + 1)) as u32
    }

    /// A number from `low` to `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn yes(&mut self, share: f64) -> bool {
        self.between(0.0, 1.0) < share
    }

    pub fn one_of<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.whole(0, of.len() as u32 - 1) as usize]
    }
}
