//! Dents by class, packed: a region counts eleven million panels.

use super::PlainCount;

const ODD_BYTES: u64 = 0x00ff_00ff_00ff_00ff;
const ODD_PAIRS: u64 = 0x0000_ffff_0000_ffff;

/// Dents by class: the classes are a sheet's, the first in the lowest bits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ClassDents {
    /// 16 bits a class, of [`ClassDents::FEW`].
    Few(u64),
    /// 8 bits a class, of all that a [`PlainCount`] tells apart.
    Many(u64),
}

impl ClassDents {
    /// How many classes are told apart where one has more dents than a byte holds.
    pub const FEW: usize = 4;

    /// Of dents by class; none where they do not fit.
    #[must_use]
    pub fn new(by_class: [u32; PlainCount::CLASSES]) -> Option<ClassDents> {
        let bytes = by_class.map(u8::try_from);
        if bytes.iter().all(Result::is_ok) {
            let bytes = bytes.map(Result::unwrap_or_default);
            return Some(ClassDents::Many(u64::from_le_bytes(bytes)));
        }
        let (few, beyond) = by_class.split_at(ClassDents::FEW);
        if beyond.iter().any(|dents| *dents > 0) {
            return None;
        }
        let packed = (0..).zip(few).try_fold(0, |packed, (class, dents)| {
            let dents = u64::from(u16::try_from(*dents).ok()?);
            Some(packed | dents << (16 * class))
        });
        packed.map(ClassDents::Few)
    }

    /// All dents, every class in one step.
    #[inline]
    #[must_use]
    pub fn total(self) -> u32 {
        // 16 bits a class, two classes one over the other where there are many.
        let by_two = match self {
            ClassDents::Few(dents) => dents,
            ClassDents::Many(dents) => (dents & ODD_BYTES) + (dents >> 8 & ODD_BYTES),
        };
        let by_four = (by_two & ODD_PAIRS) + (by_two >> 16 & ODD_PAIRS);
        (by_four as u32) + (by_four >> 32) as u32
    }

    /// By class, of all there can be.
    #[inline]
    #[must_use]
    pub fn by_class(self) -> [u16; PlainCount::CLASSES] {
        match self {
            ClassDents::Few(dents) => std::array::from_fn(|at| {
                if at < ClassDents::FEW {
                    (dents >> (16 * at)) as u16
                } else {
                    0
                }
            }),
            ClassDents::Many(dents) => dents.to_le_bytes().map(u16::from),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dents_come_out_by_class_and_in_all() {
        let few = ClassDents::Few(0xffff_0000_0100_0007);
        assert_eq!(few.by_class(), [7, 0x100, 0, 0xffff, 0, 0, 0, 0]);
        let many = ClassDents::Many(0xff00_0900_0000_0107);
        assert_eq!(many.by_class(), [7, 1, 0, 0, 0, 9, 0, 0xff]);
        for dents in [few, many] {
            let by_class = dents.by_class().map(u32::from);
            assert_eq!(ClassDents::new(by_class), Some(dents));
            assert_eq!(dents.total(), by_class.iter().sum::<u32>());
        }
        for too_many in [[65_536, 0, 0, 0, 0, 0, 0, 0], [256, 0, 0, 0, 1, 0, 0, 0]] {
            assert_eq!(ClassDents::new(too_many), None);
        }
    }
}
