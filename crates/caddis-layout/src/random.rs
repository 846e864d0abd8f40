//! The only randomness: a counter-based generator of the search's own.

/// # Source
/// `SplitMix64`: G. L. Steele, D. Lea, C. H. Flood, Fast splittable pseudorandom number generators, 2014 (from memory).
#[derive(Debug, Clone)]
pub(crate) struct Random(u64);

impl Random {
    pub(crate) fn new(seed: u64, stream: u64) -> Self {
        let mut random = Self(seed ^ stream.wrapping_mul(0xA24B_AED4_963E_E407));
        random.next();
        random
    }

    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// In `0..1`.
    pub(crate) fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// In `-1..1`.
    pub(crate) fn signed(&mut self) -> f64 {
        2.0 * self.unit() - 1.0
    }

    /// In `0..count`; 0 when there is nothing to choose.
    pub(crate) fn below(&mut self, count: usize) -> usize {
        ((self.unit() * count as f64) as usize).min(count.saturating_sub(1))
    }

    /// Normal, of mean 0 and spread 1.
    ///
    /// # Source
    /// G. E. P. Box, M. E. Muller, A note on the generation of random normal deviates, 1958 (from memory).
    pub(crate) fn normal(&mut self) -> f64 {
        let (u, v) = (1.0 - self.unit(), self.unit());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }

    pub(crate) fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            let other = self.below(last + 1);
            items.swap(last, other);
        }
    }
}
