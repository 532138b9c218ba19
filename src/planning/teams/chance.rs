//! Chance of which a plan by teams is drawn.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// Chance, or none.
pub(super) struct Chance(Option<ChaCha8Rng>);

impl Chance {
    /// Chance of one turn, or none at all.
    pub fn of(turn: Option<[u64; 4]>) -> Chance {
        Chance(turn.map(|turn| {
            let mut key = [0; 32];
            for (part, word) in key.chunks_exact_mut(8).zip(turn) {
                part.copy_from_slice(&word.to_le_bytes());
            }
            ChaCha8Rng::from_seed(key)
        }))
    }

    /// A whole number below the end; 0 where nothing is left to chance.
    pub fn below(&mut self, end: usize) -> usize {
        let end = u64::try_from(end).unwrap_or(1);
        let roll = self.0.as_mut().map_or(0, |rng| u64::from(rng.next_u32()));
        usize::try_from((roll * end) >> 32).unwrap_or(0)
    }
}
