//! Numbers that look drawn and are the same on every machine.

use crate::odds::priors::normal_score;

/// The generator splitmix64: small, even, the same on every machine.
#[derive(Debug, Clone)]
pub struct Random(u64);

impl Random {
    /// A generator for one floor of a seed.
    pub fn of(seed: u64, index: usize) -> Self {
        let mut random = Self(seed ^ (index as u64).wrapping_mul(0xd134_2543_de82_ef95));
        random.next();
        random
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        bits ^ (bits >> 31)
    }

    /// Strictly between 0 and 1.
    pub fn even(&mut self) -> f64 {
        ((self.next() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    /// From a normal of mean 0 and spread 1.
    pub fn normal(&mut self) -> f64 {
        normal_score(self.even())
    }

    /// Whether something of this chance happens.
    pub fn chance(&mut self, chance: f64) -> bool {
        self.even() < chance
    }

    /// A whole number below `count`.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.even() * count as f64) as usize).min(count - 1)
    }

    /// One of several by their shares.
    pub fn pick<T: Copy>(&mut self, entries: &[(T, f64)]) -> T {
        let mut left = self.even() * entries.iter().map(|it| it.1).sum::<f64>();
        for (entry, share) in entries {
            left -= share;
            if left < 0.0 {
                return *entry;
            }
        }
        entries[entries.len() - 1].0
    }
}

#[cfg(test)]
mod tests {
    use super::Random;

    /// Source: the first outputs of splitmix64 from the state 1234567, as published with the
    /// generator (from memory: 6457827717110365317, 3203168211198807973).
    #[test]
    fn the_generator_is_splitmix64() {
        let mut random = Random(1_234_567);
        assert_eq!(random.next(), 6_457_827_717_110_365_317);
        assert_eq!(random.next(), 3_203_168_211_198_807_973);
    }
}
