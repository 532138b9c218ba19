//! Parquet, for whoever wants to query: amounts are Decimal(38, places).

use super::grid::{CellSink, Kind, Tabular};
use crate::money::{Currency, Money};
use crate::totals::FrameError;
use polars::prelude::*;
use polars_parquet::write::{
    CompressedPage, CompressionOptions, DynIter, DynStreamingIterator, Encoding, FileWriter,
    StatisticsOptions, Version, WriteOptions, ZstdLevel, array_to_columns, compress,
    fallible_streaming_iterator, get_dtype_encoding,
};
use rayon::prelude::*;
use std::ops::Range;

/// Rows of one group in the file: enough for the columns to be packed well, and
/// few enough for every core to have some.
const ROWS: usize = 1 << 17;
/// Bytes of a column that are packed in one go: few enough to stay close to the
/// processor.
const PAGE: usize = 1 << 18;

/// A table as a Parquet file, packed on all cores.
///
/// # Errors
/// Only when an amount passes 38 digits, which no checked input reaches.
pub fn to_parquet(table: &impl Tabular, currency: Currency) -> Result<Vec<u8>, FrameError> {
    let schema = rows(table, 0..0, currency)?
        .schema()
        .to_arrow(CompatLevel::newest());
    let options = WriteOptions {
        // Cars stand in lot order: the least and the most of a group of them tell a
        // query nothing.
        statistics: StatisticsOptions::empty(),
        version: Version::V1,
        // The library's own level, 3, takes longer and makes a table of cars no smaller.
        compression: CompressionOptions::Zstd(Some(ZstdLevel::try_new(1)?)),
        data_page_size: Some(PAGE),
    };
    let mut file = FileWriter::try_new(Vec::new(), schema, options)?;
    let starts: Vec<usize> = (0..table.height()).step_by(ROWS).collect();
    // One for each core: the library packs a page into as much room as it could need
    // and keeps that with it.
    for starts in starts.chunks(rayon::current_num_threads()) {
        let groups: Vec<Group> = starts
            .par_iter()
            .map(|start| {
                let rows = rows(table, *start..(start + ROWS).min(table.height()), currency)?;
                Group::pack(&rows, &file)
            })
            .collect::<Result<_, FrameError>>()?;
        for group in &groups {
            group.write(&mut file)?;
        }
    }
    file.end(None)?;
    Ok(file.into_inner())
}

/// Some rows in columns.
fn rows(
    table: &impl Tabular,
    rows: Range<usize>,
    currency: Currency,
) -> Result<DataFrame, FrameError> {
    let mut columns = Columns::new(table.columns(), rows.len(), currency);
    table.rows(rows, &mut columns);
    columns.finish()
}

/// A group of rows, packed.
struct Group {
    rows: u64,
    /// The pages of each column.
    columns: Vec<Vec<CompressedPage>>,
}

impl Group {
    /// Packs rows for a file, every column by itself: the library would pack them
    /// one after the other while it writes.
    fn pack(rows: &DataFrame, file: &FileWriter<Vec<u8>>) -> Result<Group, FrameError> {
        let options = file.options();
        let fields = file
            .schema()
            .iter_values()
            .zip(file.parquet_schema().fields());
        let fields: Vec<_> = fields.collect();
        let mut columns = Vec::new();
        // One, since all rows were made in one go.
        for batch in rows.iter_chunks(CompatLevel::newest(), false) {
            let packed: Vec<Vec<CompressedPage>> = batch
                .columns()
                .par_iter()
                .zip(&fields)
                .map(|(array, (field, kind))| {
                    let encodings = match field.dtype {
                        // Hardly an amount comes twice: no list of them is worth a try.
                        ArrowDataType::Decimal(..) => vec![Encoding::Plain],
                        _ => get_dtype_encoding(&field.dtype),
                    };
                    let pages = array_to_columns(array, (*kind).clone(), options, &encodings)?;
                    let pages = pages.into_iter().flatten();
                    pages
                        .map(|page| Ok(compress(page?, Vec::new(), options.compression)?))
                        .collect::<PolarsResult<_>>()
                })
                .collect::<PolarsResult<_>>()?;
            columns.extend(packed);
        }
        Ok(Group {
            rows: rows.height() as u64,
            columns,
        })
    }

    fn write(&self, file: &mut FileWriter<Vec<u8>>) -> Result<(), FrameError> {
        let columns = self.columns.iter().map(|pages| {
            let pages = fallible_streaming_iterator::convert(pages.iter().map(PolarsResult::Ok));
            Ok(DynStreamingIterator::new(pages))
        });
        file.write(self.rows, DynIter::new(columns))?;
        Ok(())
    }
}

/// The columns so far, and the one whose cell comes next. What is not of its
/// kind is nothing.
struct Columns {
    columns: Vec<Cells>,
    next: usize,
    height: usize,
    currency: Currency,
}

impl Columns {
    /// Of so many rows.
    fn new(columns: &[super::Column], height: usize, currency: Currency) -> Columns {
        let cells = |column: &super::Column| Cells::new(column.kind, column.name.into(), height);
        Columns {
            columns: columns.iter().map(cells).collect(),
            next: 0,
            height,
            currency,
        }
    }

    /// All rows together.
    fn finish(self) -> Result<DataFrame, FrameError> {
        let columns: Vec<Column> = self
            .columns
            .into_iter()
            .map(|column| column.finish(self.currency))
            .collect::<Result<_, FrameError>>()?;
        Ok(DataFrame::new(self.height, columns)?)
    }

    fn wide_units(&mut self, units: i128) {
        match self.next() {
            Cells::Money(all) => all.append_value(units),
            other => other.push_nothing(),
        }
    }

    fn next(&mut self) -> &mut Cells {
        self.next += 1;
        &mut self.columns[self.next - 1]
    }
}

impl CellSink<'_> for Columns {
    fn empty(&mut self) {
        self.next().push_nothing();
    }

    fn text(&mut self, text: &str) {
        match self.next() {
            Cells::Text(texts) if !text.is_empty() => texts.append_value(text),
            other => other.push_nothing(),
        }
    }

    fn count(&mut self, count: u64) {
        match self.next() {
            Cells::Count(counts) => counts.append_value(count),
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
            Cells::Statistic(values) => values.append_value(value),
            other => other.push_nothing(),
        }
    }

    fn end_row(&mut self) {
        self.next = 0;
    }
}

/// The cells of one column so far.
enum Cells {
    Text(StringChunkedBuilder),
    Count(PrimitiveChunkedBuilder<UInt64Type>),
    Statistic(PrimitiveChunkedBuilder<Float64Type>),
    /// In minor units.
    Money(PrimitiveChunkedBuilder<Int128Type>),
}

impl Cells {
    fn new(kind: Kind, name: PlSmallStr, height: usize) -> Cells {
        match kind {
            Kind::Text => Cells::Text(StringChunkedBuilder::new(name, height)),
            Kind::Count => Cells::Count(PrimitiveChunkedBuilder::new(name, height)),
            Kind::Statistic => Cells::Statistic(PrimitiveChunkedBuilder::new(name, height)),
            Kind::Money => Cells::Money(PrimitiveChunkedBuilder::new(name, height)),
        }
    }

    fn push_nothing(&mut self) {
        match self {
            Cells::Text(texts) => texts.append_null(),
            Cells::Count(counts) => counts.append_null(),
            Cells::Statistic(values) => values.append_null(),
            Cells::Money(units) => units.append_null(),
        }
    }

    fn finish(self, currency: Currency) -> Result<Column, FrameError> {
        Ok(match self {
            Cells::Text(texts) => texts.finish().into_column(),
            Cells::Count(counts) => counts.finish().into_column(),
            Cells::Statistic(values) => values.finish().into_column(),
            Cells::Money(units) => {
                let places = currency.places() as usize;
                // Money has 28 digits, so that no amount is too long for the column.
                let amounts = units.finish().into_decimal_unchecked(38, places);
                amounts.into_series().into_column()
            }
        })
    }
}
