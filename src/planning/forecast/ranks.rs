//! A set of small numbers that tells its least one at once.

/// Numbers below a bound as bits, and above them a bit for every word that has
/// any.
#[derive(Debug, Clone, Default)]
pub struct Ranks {
    words: Vec<u64>,
    filled: Vec<u64>,
    count: u32,
}

const WORD: usize = 64;

impl Ranks {
    /// An empty set of numbers below `bound`.
    #[must_use]
    pub fn below(bound: usize) -> Ranks {
        let words = bound.div_ceil(WORD).max(1);
        Ranks {
            words: vec![0; words],
            filled: vec![0; words.div_ceil(WORD)],
            count: 0,
        }
    }

    /// Takes everything out.
    pub fn clear(&mut self) {
        self.words.fill(0);
        self.filled.fill(0);
        self.count = 0;
    }

    /// Puts a number in.
    #[inline]
    pub fn insert(&mut self, number: usize) {
        let (at, bit) = (number / WORD, 1 << (number % WORD));
        let word = &mut self.words[at];
        self.count += u32::from(*word & bit == 0);
        *word |= bit;
        self.filled[at / WORD] |= 1 << (at % WORD);
    }

    /// Takes a number out.
    #[inline]
    pub fn remove(&mut self, number: usize) {
        let (at, bit) = (number / WORD, 1 << (number % WORD));
        let word = &mut self.words[at];
        self.count -= u32::from(*word & bit != 0);
        *word &= !bit;
        if *word == 0 {
            self.filled[at / WORD] &= !(1 << (at % WORD));
        }
    }

    /// Whether there is none.
    #[inline]
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.count == 0
    }

    /// The least one.
    #[inline]
    #[must_use]
    pub fn first(&self) -> Option<usize> {
        self.first_of_words(0)
    }

    /// The least one that is not below `from`.
    #[inline]
    #[must_use]
    pub fn from(&self, from: usize) -> Option<usize> {
        let at = from / WORD;
        let left = self.words.get(at)? & (u64::MAX << (from % WORD));
        if left != 0 {
            return Some(at * WORD + left.trailing_zeros() as usize);
        }
        self.first_of_words(at + 1)
    }

    /// The least one in the words from this one on.
    #[inline]
    fn first_of_words(&self, from: usize) -> Option<usize> {
        let mut at = from / WORD;
        let mut filled = self.filled.get(at)? & (u64::MAX << (from % WORD));
        while filled == 0 {
            at += 1;
            filled = *self.filled.get(at)?;
        }
        let word = at * WORD + filled.trailing_zeros() as usize;
        Some(word * WORD + self.words[word].trailing_zeros() as usize)
    }
}

#[cfg(test)]
mod tests {
    use super::Ranks;
    use std::collections::BTreeSet;

    /// Against the standard library's ordered set, over many words.
    #[test]
    fn a_set_of_ranks_is_an_ordered_set() {
        let mut ranks = Ranks::below(300_000);
        let mut known = BTreeSet::new();
        let mut roll = 12_345_u64;
        for _ in 0..20_000 {
            roll = roll.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            let number = usize::try_from((roll >> 33) % 300_000).expect("small");
            if roll & (1 << 20) == 0 {
                ranks.insert(number);
                known.insert(number);
            } else {
                let near = known.range(number..).next().copied();
                if let Some(near) = near {
                    ranks.remove(near);
                    known.remove(&near);
                }
            }
            assert_eq!(ranks.first(), known.first().copied());
            assert_eq!(ranks.is_empty(), known.is_empty());
            assert_eq!(ranks.from(number), known.range(number..).next().copied());
        }
        ranks.clear();
        assert_eq!(ranks.first(), None);
    }
}
