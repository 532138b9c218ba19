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

#[cfg(test)]
mod tests {
    use super::*;

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
