//! Which of several is next in time.

/// The most that there may be: whose a time is stands in so many low bits of it.
pub const MOST: usize = 1 << BITS;
const BITS: u32 = 7;
const WHOSE: u64 = (1 << BITS) - 1;

/// A time for each of so many, and the earliest of them, kept as a tree of
/// winners: changing one looks at the winners above it and at nothing else
/// (Knuth, The Art of Computer Programming 3, 5.4.1).
#[derive(Debug, Clone, Default)]
pub struct NextUp {
    /// Leaves in a power of two.
    leaves: usize,
    /// The root is 1, the leaves come last. A key is the bits of a time, which
    /// are in the order of times that are not below 0, and in the low ones whose
    /// it is. Who wins can't be foretold: the less of two is taken without a branch.
    keys: Vec<u64>,
}

impl NextUp {
    /// So many, at most [`MOST`], none of them with a time.
    #[must_use]
    pub fn of(count: usize) -> NextUp {
        let leaves = count.max(1).next_power_of_two();
        let mut next = NextUp {
            leaves,
            keys: vec![0; 2 * leaves],
        };
        next.clear();
        next
    }

    /// Takes every time away.
    pub fn clear(&mut self) {
        for one in 0..self.leaves {
            self.keys[self.leaves + one] = f64::INFINITY.to_bits() | one as u64;
        }
        for node in (1..self.leaves).rev() {
            self.keys[node] = self.keys[2 * node];
        }
    }

    /// Gives one a time as [`kept`] rounds it, not below 0; infinity takes it away.
    #[inline]
    pub fn set(&mut self, one: usize, time: f64) {
        let mut node = self.leaves + one;
        let mut best = kept(time).to_bits() | one as u64;
        self.keys[node] = best;
        while node > 1 {
            best = best.min(self.keys[node ^ 1]);
            node /= 2;
            self.keys[node] = best;
        }
    }

    /// The earliest time and whose it is, of equal ones the lower; infinity
    /// where there is none.
    #[inline]
    #[must_use]
    pub fn first(&self) -> (f64, usize) {
        let key = self.keys[1];
        (f64::from_bits(key & !WHOSE), (key & WHOSE) as usize)
    }
}

/// A time to 45 bits, rounded: in a plan of a year that is a millionth of a
/// second.
#[inline]
#[must_use]
pub fn kept(time: f64) -> f64 {
    f64::from_bits((time.to_bits() + (WHOSE >> 1) + 1) & !WHOSE)
}

#[cfg(test)]
mod tests {
    use super::NextUp;

    /// Against a look through all of them.
    #[test]
    fn the_next_one_up_has_the_least_time() {
        for count in [1_usize, 2, 3, 14, 33] {
            let mut next = NextUp::of(count);
            let mut times = vec![f64::INFINITY; count];
            let mut roll = 99_u64;
            for _ in 0..2_000 {
                roll = roll.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                let one = usize::try_from(roll >> 40).expect("small") % count;
                let time = match (roll >> 33) % 8 {
                    0 => f64::INFINITY,
                    time => time as f64,
                };
                next.set(one, time);
                times[one] = time;
                let least = times.iter().copied().fold(f64::INFINITY, f64::min);
                let who = times.iter().position(|time| *time == least);
                assert_eq!(next.first(), (least, who.expect("one of them")));
            }
        }
    }
}
