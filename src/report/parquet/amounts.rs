//! The amounts of one column in a group of rows.

use hashbrown::HashTable;
use polars::prelude::PolarsResult;
use polars_arrow::array::{
    Array, DictionaryArray, FixedSizeBinaryArray, MutableArray, MutablePrimitiveArray,
};
use polars_arrow::datatypes::ArrowDataType;

/// Amounts so far, in minor units.
pub enum Amounts {
    /// Few, as the prices of a card or what an owner pays, which come again and again.
    Few {
        /// By their places among those known.
        keys: MutablePrimitiveArray<u32>,
        known: Vec<i128>,
        /// The places, each to be found by its amount.
        places: HashTable<u32>,
        /// That of the last one.
        last: u32,
    },
    /// One by one, as the totals of cars.
    Many(MutablePrimitiveArray<i128>),
}

/// Amounts that are told apart before each stands by itself.
const MOST_KNOWN: usize = 512;

/// Few amounts are equal in their lowest 64 bits, of which the table uses both ends.
fn hash(units: i128) -> u64 {
    let product = (units as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    product ^ product >> 32
}

impl Amounts {
    /// Of so many rows.
    pub fn new(height: usize) -> Amounts {
        Amounts::Few {
            keys: MutablePrimitiveArray::with_capacity(height),
            known: Vec::new(),
            places: HashTable::new(),
            last: 0,
        }
    }

    /// Adds an amount.
    pub fn push(&mut self, units: i128) {
        match self {
            // Mostly it is the same again.
            Amounts::Few {
                keys, known, last, ..
            } if known.get(*last as usize) == Some(&units) => keys.push_value(*last),
            Amounts::Many(amounts) => amounts.push_value(units),
            Amounts::Few { .. } => self.push_other(units),
        }
    }

    /// Adds an amount to few, of which it is not the last one again.
    #[inline(never)]
    fn push_other(&mut self, units: i128) {
        let Amounts::Few {
            keys,
            known,
            places,
            last,
        } = self
        else {
            unreachable!("bug: amounts that stand one by one");
        };
        let is_it = |place: &u32| known[*place as usize] == units;
        if let Some(place) = places.find(hash(units), is_it) {
            *last = *place;
        } else if known.len() < MOST_KNOWN {
            *last = known.len() as u32;
            known.push(units);
            places.insert_unique(hash(units), *last, |place| hash(known[*place as usize]));
        } else {
            let mut amounts = one_by_one(keys, known);
            amounts.push_value(units);
            *self = Amounts::Many(amounts);
            return;
        }
        keys.push_value(*last);
    }

    /// Adds a cell without one.
    pub fn push_nothing(&mut self) {
        match self {
            Amounts::Few { keys, .. } => keys.push(None),
            Amounts::Many(amounts) => amounts.push(None),
        }
    }

    /// The array that is a column of a kind of decimal.
    pub fn finish(self, dtype: ArrowDataType) -> PolarsResult<Box<dyn Array>> {
        Ok(match self {
            // A list of no amounts is one that not all programs can read.
            Amounts::Few { keys, known, .. } if known.is_empty() => {
                one_by_one(&keys, &known).to(dtype).as_box()
            }
            // The library lists no decimals, but the bytes that they are in the file. It
            // would not know the least of them: statistics must stay off.
            Amounts::Few { keys, known, .. } => {
                let bytes: Vec<u8> = known.into_iter().flat_map(i128::to_be_bytes).collect();
                let kind = ArrowDataType::FixedSizeBinary(size_of::<i128>());
                let known = FixedSizeBinaryArray::try_new(kind, bytes.into(), None)?.boxed();
                DictionaryArray::try_from_keys(keys.into(), known, false)?.boxed()
            }
            Amounts::Many(amounts) => amounts.to(dtype).as_box(),
        })
    }
}

/// Amounts by their places, each by itself.
fn one_by_one(keys: &MutablePrimitiveArray<u32>, known: &[i128]) -> MutablePrimitiveArray<i128> {
    let mut amounts = MutablePrimitiveArray::with_capacity(keys.capacity());
    for key in keys.iter() {
        amounts.push(key.map(|key| known[*key as usize]));
    }
    amounts
}

#[cfg(test)]
mod tests {
    use super::*;

    /// So many amounts are listed, and not one more; a cell without one is neither.
    #[test]
    fn few_amounts_are_listed() {
        let decimal = ArrowDataType::Decimal(38, 2);
        for (amounts, is_listed) in [(0, false), (1, true), (512, true), (513, false)] {
            let mut column = Amounts::new(1_200);
            for row in 0..1_200_i128 {
                if row % 7 == 0 || amounts == 0 {
                    column.push_nothing();
                    continue;
                }
                let amount = row % amounts;
                // Half of them are equal in their lower half, by which they are found.
                column.push(if amount % 2 == 0 {
                    amount
                } else {
                    amount << 64
                });
            }
            let array = column.finish(decimal.clone()).expect("an array");
            assert_eq!(array.len(), 1_200);
            let listed = matches!(array.dtype(), ArrowDataType::Dictionary(..));
            assert_eq!(listed, is_listed, "{amounts}");
        }
    }
}
