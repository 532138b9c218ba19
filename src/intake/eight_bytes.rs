//! Eight bytes of a word looked at in one go.

/// A byte in all eight places.
#[must_use]
pub const fn everywhere(byte: u8) -> u64 {
    u64::from_le_bytes([byte; 8])
}

/// The highest bit of every byte that is zero, and no other bit (Warren 2012,
/// Hacker's Delight, 6-1).
#[must_use]
pub const fn zeros(word: u64) -> u64 {
    const REST: u64 = everywhere(0x7f);
    !(((word & REST) + REST) | word | REST)
}

/// The highest bits of eight bytes side by side in the lowest byte: the factor
/// moves bit 8·n to bit 56 + n, and no two of its products meet.
#[must_use]
pub const fn together(highest: u64) -> u8 {
    ((highest >> 7).wrapping_mul(0x0102_0408_1020_4080) >> 56) as u8
}

/// How many ones every byte has (Warren 2012, Hacker's Delight, 5-1).
#[must_use]
pub const fn ones_by_byte(word: u64) -> u64 {
    let by_two = word - (word >> 1 & everywhere(0x55));
    let by_four = (by_two & everywhere(0x33)) + (by_two >> 2 & everywhere(0x33));
    (by_four + (by_four >> 4)) & everywhere(0x0f)
}

/// Every byte with all below it added, whose sum is no more than a byte holds.
#[must_use]
pub const fn below(bytes: u64) -> u64 {
    bytes.wrapping_mul(everywhere(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every byte in every place.
    #[test]
    fn ones_are_counted_byte_by_byte() {
        for byte in 0..=u8::MAX {
            let bytes: [u8; 8] = std::array::from_fn(|at| byte.rotate_left(at as u32) ^ at as u8);
            let ones = ones_by_byte(u64::from_le_bytes(bytes));
            assert_eq!(
                ones.to_le_bytes(),
                bytes.map(|byte| byte.count_ones() as u8)
            );
            let through = below(ones).to_le_bytes();
            for (at, through) in through.into_iter().enumerate() {
                let all = bytes[..=at].iter().map(|byte| byte.count_ones());
                assert_eq!(u32::from(through), all.sum::<u32>());
            }
        }
    }

    /// Every pattern of zeros beside the bytes that are nearly zero.
    #[test]
    fn zeros_are_found_byte_by_byte() {
        for pattern in 0..=u8::MAX {
            for other in [1, 0x7f, 0x80, 0x81, 0xff] {
                let is_zero = |at: usize| pattern >> at & 1 == 1;
                let bytes: [u8; 8] = std::array::from_fn(|at| if is_zero(at) { 0 } else { other });
                assert_eq!(together(zeros(u64::from_le_bytes(bytes))), pattern);
            }
        }
    }
}
