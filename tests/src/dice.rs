//! Random numbers that are the same everywhere for the same seed.

/// SplitMix64 (Steele, Lea, Flood 2014, figure 17, with its published constants).
#[derive(Debug, Clone)]
pub struct Dice(u64);

impl Dice {
    /// Starts from a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A whole number from 0 to below `n`; 0 for n = 0.
    pub fn below(&mut self, n: usize) -> usize {
        (self.next() % (n.max(1) as u64)) as usize
    }

    /// A number from `low` to below `high`, on a grid of 2⁻⁵³ of the range.
    pub fn within(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * ((self.next() >> 11) as f64 / (1u64 << 53) as f64)
    }
}
