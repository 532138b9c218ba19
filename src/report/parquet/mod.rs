//! Parquet, for whoever wants to query: amounts are Decimal(38, places).

mod amounts;
mod cells;

use super::grid::{Kind, Tabular};
use crate::money::Currency;
use crate::totals::FrameError;
use cells::Columns;
use polars::prelude::*;
use polars_arrow::datatypes::{ArrowDataType, ArrowSchema, Field as ArrowField};
use polars_parquet::write::{
    CompressedPage, CompressionOptions, DynIter, DynStreamingIterator, Encoding, FileWriter,
    StatisticsOptions, Version, WriteOptions, ZstdLevel, array_to_columns, compress,
    fallible_streaming_iterator, get_dtype_encoding,
};
use rayon::prelude::*;

/// Rows of one group in the file: enough for the columns to be packed well, and
/// few enough for them to stay close to the processor meanwhile.
const ROWS: usize = 1 << 15;
/// Groups that each core packs before they are written: the library packs a
/// page into as much room as it could need and keeps that with it.
const GROUPS_A_CORE: usize = 4;
/// Bytes of a column that are packed in one go: few enough to stay close to the
/// processor.
const PAGE: usize = 1 << 18;

/// A table as a Parquet file, packed on all cores.
///
/// # Errors
/// Only when the library of Parquet fails, which is a bug.
pub fn to_parquet(table: &impl Tabular, currency: Currency) -> Result<Vec<u8>, FrameError> {
    let options = WriteOptions {
        // Cars stand in lot order: the least and the most of a group of them tell a
        // query nothing.
        statistics: StatisticsOptions::empty(),
        version: Version::V1,
        // The library's own level, 3, takes longer and makes a table of cars no smaller.
        compression: CompressionOptions::Zstd(Some(ZstdLevel::try_new(1)?)),
        data_page_size: Some(PAGE),
    };
    let fields = table.columns().iter().map(|column| {
        let name = PlSmallStr::from_static(column.name);
        (
            name.clone(),
            ArrowField::new(name, dtype(column.kind, currency), true),
        )
    });
    let schema: ArrowSchema = fields.collect();
    let mut file = FileWriter::try_new(Vec::new(), schema, options)?;
    let starts: Vec<usize> = (0..table.height()).step_by(ROWS).collect();
    for starts in starts.chunks(GROUPS_A_CORE * rayon::current_num_threads()) {
        let groups: Vec<Group> = starts
            .par_iter()
            .map(|start| {
                let rows = *start..(start + ROWS).min(table.height());
                let mut columns = Columns::new(table.columns(), rows.len(), currency);
                table.rows(rows.clone(), &mut columns);
                Group::pack(columns, rows.len(), &file)
            })
            .collect::<Result<_, FrameError>>()?;
        for group in &groups {
            group.write(&mut file)?;
        }
    }
    file.end(None)?;
    Ok(file.into_inner())
}

/// What a column is in the file. Money has 28 digits, so that no amount is too long.
fn dtype(kind: Kind, currency: Currency) -> ArrowDataType {
    match kind {
        Kind::Text => ArrowDataType::Utf8View,
        Kind::Count => ArrowDataType::UInt64,
        Kind::Statistic => ArrowDataType::Float64,
        Kind::Money => ArrowDataType::Decimal(38, currency.places() as usize),
    }
}

/// A group of rows, packed.
struct Group {
    rows: usize,
    /// The pages of each column.
    columns: Vec<Vec<CompressedPage>>,
}

impl Group {
    /// Packs rows for a file, every column by itself: the library would pack them
    /// one after the other while it writes.
    fn pack(
        columns: Columns<'_>,
        rows: usize,
        file: &FileWriter<Vec<u8>>,
    ) -> Result<Group, FrameError> {
        let options = file.options();
        let packed: Vec<Vec<CompressedPage>> = columns
            .arrays()
            .zip(file.parquet_schema().fields())
            .map(|(array, kind)| {
                let array = array?;
                let encodings = match array.dtype() {
                    // Of so many amounts no list is worth a try; few came as one.
                    ArrowDataType::Decimal(..) => vec![Encoding::Plain],
                    dtype => get_dtype_encoding(dtype),
                };
                let pages = array_to_columns(array, kind.clone(), options, &encodings)?;
                let pages = pages.into_iter().flatten();
                pages
                    .map(|page| Ok(compress(page?, Vec::new(), options.compression)?))
                    .collect::<PolarsResult<_>>()
            })
            .collect::<PolarsResult<_>>()?;
        Ok(Group {
            rows,
            columns: packed,
        })
    }

    fn write(&self, file: &mut FileWriter<Vec<u8>>) -> Result<(), FrameError> {
        let columns = self.columns.iter().map(|pages| {
            let pages = fallible_streaming_iterator::convert(pages.iter().map(PolarsResult::Ok));
            Ok(DynStreamingIterator::new(pages))
        });
        file.write(self.rows as u64, DynIter::new(columns))?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::super::grid::{Grid, Value};
    use super::*;
    use crate::money::Money;
    use std::io::Cursor;

    /// What the library reads is what the table holds, across pages and groups: words
    /// that come again, too many of them to be told apart, none at all.
    #[test]
    fn a_table_comes_out_as_it_went_in() {
        let usd = Currency::usd();
        let columns = [
            ("own", Kind::Text),
            ("few", Kind::Text),
            ("later", Kind::Text),
            ("none", Kind::Text),
            ("count", Kind::Count),
            ("small", Kind::Count),
            ("no_count", Kind::Count),
            ("amount", Kind::Money),
            ("few_amounts", Kind::Money),
            ("later_amount", Kind::Money),
            ("no_amount", Kind::Money),
            ("value", Kind::Statistic),
        ];
        let height = ROWS as u64 + 30_000;
        let words: Vec<String> = (0..height).map(|row| format!("H{row}")).collect();
        let large = [1_i128 << 70, -(1_i128 << 70), 1 << 62, -1, 0];
        let row = |row: u64| -> Vec<Value<'_>> {
            let own = &words[row as usize];
            let few = ["Harl Cover", "Ost", "a payer of a longer name", ""][row as usize / 3 % 4];
            // Only in the last page of the first group are there too many.
            let late = row > ROWS as u64 - 2_000 && row.is_multiple_of(2);
            let amount = match large.get(row as usize % 1_000) {
                Some(units) => Money::from_minor_units(*units, usd),
                None => Money::from_minor_units(i128::from(row) * 7_919, usd),
            };
            let few_amounts = large[row as usize / 2 % large.len()];
            let few_amounts = Money::from_minor_units(few_amounts, usd);
            vec![
                Value::text(own.as_str()),
                Value::text(few),
                Value::text(if late { own.as_str() } else { "as before" }),
                Value::Empty,
                Value::count((!row.is_multiple_of(5)).then_some(row)),
                Value::count((!row.is_multiple_of(3)).then_some(4_095 - row * row % 300)),
                Value::Empty,
                Value::money((!row.is_multiple_of(7)).then_some(amount)),
                Value::money((!row.is_multiple_of(11)).then_some(few_amounts)),
                Value::money(Some(if late { amount } else { few_amounts })),
                Value::Empty,
                Value::Statistic(row as f64 / 3.0, 2),
            ]
        };
        for height in [height, 31, 32, 33, 1, 0] {
            let table = Grid {
                columns: super::super::grid::columns(&columns),
                rows: (0..height).map(row).collect(),
            };
            let bytes = to_parquet(&table, usd).expect("Parquet");
            let read = ParquetReader::new(Cursor::new(bytes)).finish();
            let read = read.expect("a table");
            assert_eq!(read.height() as u64, height);
            let kinds: Vec<DataType> = read.columns().iter().map(|it| it.dtype().clone()).collect();
            let (text, money) = (DataType::String, DataType::Decimal(38, 2));
            let texts = [text.clone(), text.clone(), text.clone(), text];
            let count = DataType::UInt64;
            let others = [
                count.clone(),
                count.clone(),
                count,
                money.clone(),
                money.clone(),
                money.clone(),
                money,
                DataType::Float64,
            ];
            assert_eq!(kinds, [&texts[..], &others].concat());
            for (at, column) in read.columns().iter().enumerate() {
                for (row, values) in table.rows.iter().enumerate() {
                    let found = column.get(row).expect("a value");
                    let is_same = match (&values[at], &found) {
                        (Value::Empty, AnyValue::Null) => true,
                        (Value::Text(text), found) => found.get_str() == Some(text),
                        (Value::Count(count), AnyValue::UInt64(found)) => count == found,
                        (Value::Statistic(value, _), AnyValue::Float64(found)) => value == found,
                        (Value::Money(amount), AnyValue::Decimal(found, 38, 2)) => {
                            amount.minor_units(usd) == *found
                        }
                        _ => false,
                    };
                    assert!(is_same, "row {row}: {:?}, found {found:?}", values[at]);
                }
            }
        }
    }
}
