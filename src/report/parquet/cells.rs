//! The cells of some rows, column by column.

use super::super::Column;
use super::super::grid::{CellSink, Kind};
use super::amounts::Amounts;
use super::dtype;
use crate::money::{Currency, Money};
use polars::prelude::PolarsResult;
use polars_arrow::array::{
    Array, DictionaryArray, MutableArray, MutableBinaryViewArray, MutablePrimitiveArray,
    PrimitiveArray, Utf8ViewArray,
};
use rayon::prelude::*;

/// The columns so far, and the one whose cell comes next. What is not of its
/// kind is nothing.
pub struct Columns<'a> {
    columns: Vec<Cells<'a>>,
    next: usize,
    currency: Currency,
}

impl<'a> Columns<'a> {
    /// Of so many rows.
    pub fn new(columns: &[Column], height: usize, currency: Currency) -> Columns<'a> {
        Columns {
            columns: columns
                .iter()
                .map(|column| Cells::new(column.kind, height))
                .collect(),
            next: 0,
            currency,
        }
    }

    /// Every column as an array, each made where it is asked for.
    pub fn arrays(self) -> impl IndexedParallelIterator<Item = PolarsResult<Box<dyn Array>>> {
        let currency = self.currency;
        let columns = self.columns.into_par_iter();
        columns.map(move |cells| cells.finish(currency))
    }

    fn wide_units(&mut self, units: i128) {
        match self.next() {
            Cells::Money(amounts) => amounts.push(units),
            other => other.push_nothing(),
        }
    }

    fn next(&mut self) -> &mut Cells<'a> {
        self.next += 1;
        &mut self.columns[self.next - 1]
    }
}

impl<'a> CellSink<'a> for Columns<'a> {
    fn empty(&mut self) {
        self.next().push_nothing();
    }

    fn text(&mut self, text: &'a str) {
        match self.next() {
            Cells::Text(words) if !text.is_empty() => words.push(text),
            other => other.push_nothing(),
        }
    }

    fn count(&mut self, count: u64) {
        match self.next() {
            Cells::Count(counts) => counts.push(count),
            other => other.push_nothing(),
        }
    }

    fn money(&mut self, amount: Money) {
        let amount = amount.minor_units(self.currency);
        self.wide_units(amount);
    }

    fn units(&mut self, units: i64) {
        self.wide_units(units.into());
    }

    fn statistic(&mut self, value: f64, _: usize) {
        match self.next() {
            Cells::Statistic(values) => values.push_value(value),
            other => other.push_nothing(),
        }
    }

    fn end_row(&mut self) {
        self.next = 0;
    }
}

/// The cells of one column so far.
enum Cells<'a> {
    Text(Words<'a>),
    Count(Counts),
    Statistic(MutablePrimitiveArray<f64>),
    Money(Amounts),
}

impl Cells<'_> {
    fn new(kind: Kind, height: usize) -> Self {
        match kind {
            Kind::Text => Cells::Text(Words::Few {
                keys: MutablePrimitiveArray::with_capacity(height),
                known: Vec::new(),
                last: 0,
            }),
            Kind::Count => Cells::Count(Counts::Small {
                keys: MutablePrimitiveArray::with_capacity(height),
                known: Vec::new(),
                places: Vec::new(),
            }),
            Kind::Statistic => Cells::Statistic(MutablePrimitiveArray::with_capacity(height)),
            Kind::Money => Cells::Money(Amounts::new(height)),
        }
    }

    fn push_nothing(&mut self) {
        match self {
            Cells::Text(words) => words.push_nothing(),
            Cells::Count(counts) => counts.push_nothing(),
            Cells::Statistic(values) => values.push(None),
            Cells::Money(amounts) => amounts.push_nothing(),
        }
    }

    fn finish(self, currency: Currency) -> PolarsResult<Box<dyn Array>> {
        Ok(match self {
            Cells::Text(words) => words.finish()?,
            Cells::Count(counts) => counts.finish()?,
            Cells::Statistic(mut values) => values.as_box(),
            Cells::Money(amounts) => amounts.finish(dtype(Kind::Money, currency))?,
        })
    }
}

/// The counts of one column so far.
enum Counts {
    /// As most columns have them: small, and each again and again.
    Small {
        /// By their places among those known.
        keys: MutablePrimitiveArray<u32>,
        known: Vec<u64>,
        /// The place of each count from 1, where it is known.
        places: Vec<u32>,
    },
    /// One by one.
    Large(MutablePrimitiveArray<u64>),
}

/// The first count that is not small.
const LARGE: u64 = 4_096;

impl Counts {
    fn push(&mut self, count: u64) {
        let (keys, known, places) = match self {
            Counts::Small {
                keys,
                known,
                places,
            } => (keys, known, places),
            Counts::Large(counts) => return counts.push_value(count),
        };
        let at = count as usize;
        match places.get(at) {
            Some(place) if *place > 0 => keys.push_value(place - 1),
            _ if count < LARGE => {
                if places.len() <= at {
                    places.resize(at + 1, 0);
                }
                keys.push_value(known.len() as u32);
                known.push(count);
                places[at] = known.len() as u32;
            }
            _ => {
                let mut counts = each_count(keys, known);
                counts.push_value(count);
                *self = Counts::Large(counts);
            }
        }
    }

    fn push_nothing(&mut self) {
        match self {
            Counts::Small { keys, .. } => keys.push(None),
            Counts::Large(counts) => counts.push(None),
        }
    }

    fn finish(self) -> PolarsResult<Box<dyn Array>> {
        Ok(match self {
            Counts::Small { keys, known, .. } if known.is_empty() => {
                each_count(&keys, &known).as_box()
            }
            Counts::Small { keys, known, .. } => {
                let known = PrimitiveArray::from_vec(known).boxed();
                DictionaryArray::try_from_keys(keys.into(), known, false)?.boxed()
            }
            Counts::Large(mut counts) => counts.as_box(),
        })
    }
}

/// Counts by their places, each by itself.
fn each_count(keys: &MutablePrimitiveArray<u32>, known: &[u64]) -> MutablePrimitiveArray<u64> {
    let mut counts = MutablePrimitiveArray::with_capacity(keys.capacity());
    for key in keys.iter() {
        counts.push(key.map(|key| known[*key as usize]));
    }
    counts
}

/// The words of one column so far.
enum Words<'a> {
    /// As most columns have them: few, and each again and again.
    Few {
        /// By their places among those known.
        keys: MutablePrimitiveArray<u32>,
        known: Vec<&'a str>,
        /// The place of the last one.
        last: u32,
    },
    /// One by one.
    Many(MutableBinaryViewArray<str>),
}

/// Words that are told apart before each stands by itself.
const MOST_KNOWN: usize = 32;

impl<'a> Words<'a> {
    fn push(&mut self, word: &'a str) {
        let (keys, known, last) = match self {
            Words::Few { keys, known, last } => (keys, known, last),
            Words::Many(words) => return words.push_value(word),
        };
        // Rows of one payer and of one status follow each other: mostly it is the very
        // same text.
        let is_last = known
            .get(*last as usize)
            .is_some_and(|known| std::ptr::eq(*known, word) || *known == word);
        if !is_last {
            let place = known.iter().position(|known| *known == word);
            if place.is_none() && known.len() == MOST_KNOWN {
                let mut words = one_by_one(keys, known);
                words.push_value(word);
                *self = Words::Many(words);
                return;
            }
            let place = place.unwrap_or_else(|| {
                known.push(word);
                known.len() - 1
            });
            *last = place as u32;
        }
        keys.push_value(*last);
    }

    fn push_nothing(&mut self) {
        match self {
            Words::Few { keys, .. } => keys.push(None),
            Words::Many(words) => words.push_null(),
        }
    }

    fn finish(self) -> PolarsResult<Box<dyn Array>> {
        Ok(match self {
            // A list of no words is one that not all programs can read.
            Words::Few { keys, known, .. } if known.is_empty() => {
                one_by_one(&keys, &known).as_box()
            }
            Words::Few { keys, known, .. } => {
                let keys: PrimitiveArray<u32> = keys.into();
                let known = Utf8ViewArray::from_slice_values(&known).boxed();
                DictionaryArray::try_from_keys(keys, known, false)?.boxed()
            }
            Words::Many(mut words) => words.as_box(),
        })
    }
}

/// Words by their places, each by itself.
fn one_by_one(keys: &MutablePrimitiveArray<u32>, known: &[&str]) -> MutableBinaryViewArray<str> {
    let mut words = MutableBinaryViewArray::with_capacity(keys.capacity());
    for key in keys.iter() {
        words.push(key.map(|key| known[*key as usize]));
    }
    words
}
