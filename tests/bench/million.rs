//! How long a region of a million cars takes to price as a whole process, and
//! with how much memory, beside what the `csv` crate needs to parse the same
//! file and do nothing with it: `cargo bench --bench million`. It wants 2 GB
//! where temporary folders are made (`TMPDIR`), and the system keeps the files
//! that were just written in memory.
//!
//! `-- --cars 100000 --shape plain` measures one thing; `-- --write DIR` writes
//! the storms and measures nothing.

mod bare;
mod lot;
mod measure;
mod region;
mod site;

use bare::{csv_records, workbook_cells};
use clap::{Parser, ValueEnum};
use lot::write_lot;
use measure::{RUNS, Times, grouped, hailyard, mebibytes, peak, run};
use region::{Shape, write_region};
use rust_xlsxwriter::Workbook;
use site::write_time;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// What is measured.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Part {
    /// Every shape, and the plain one with fewer cars.
    Shapes,
    /// The plain shape with every line of every car written.
    Lines,
    /// Counts in a workbook.
    Workbook,
    /// Everything that `storm` writes.
    Storm,
}

/// Times hailyard on a region that hail went over.
#[derive(Parser)]
struct Args {
    /// Cars of a region; the plain one is also measured with a tenth and a
    /// hundredth of them
    #[arg(long, default_value_t = 1_000_000, value_parser = clap::value_parser!(u64).range(1..=10_000_000))]
    cars: u64,
    /// Only this shape
    #[arg(long, value_enum, conflicts_with = "only")]
    shape: Option<Shape>,
    /// Only this part
    #[arg(long, value_enum)]
    only: Option<Part>,
    /// Write the storms into folders here and measure nothing
    #[arg(long, value_name = "DIR", conflicts_with = "only")]
    write: Option<PathBuf>,
    /// What `cargo bench` says of its own accord
    #[arg(long, hide = true)]
    bench: bool,
}

fn main() {
    let args = Args::parse();
    let shapes = args
        .shape
        .map_or(Shape::value_variants().to_vec(), |shape| vec![shape]);
    if let Some(into) = &args.write {
        for shape in shapes {
            let written = write_region(&into.join(name(shape)), shape, args.cars);
            println!(
                "{}: {} rows, {} bytes",
                written.counts.display(),
                grouped(written.rows),
                grouped(written.bytes)
            );
        }
        return;
    }
    println!("whole process, median of {RUNS} runs, fastest and slowest beside it\n");
    let only_shape = args.shape.map(|_| Part::Shapes);
    let wanted = |part| args.only.or(only_shape).is_none_or(|only| only == part);
    if wanted(Part::Shapes) {
        println!("| shape | cars | rows | MB | price | memory | a car | csv crate alone | ratio |");
        println!("|---|---:|---:|---:|---:|---:|---:|---:|---:|");
        if args.shape.is_none() {
            for cars in [args.cars / 100, args.cars / 10] {
                region(Shape::Plain, cars.max(1));
            }
        }
        for shape in shapes {
            region(shape, args.cars);
        }
        println!();
    }
    if wanted(Part::Lines) {
        lines(args.cars.min(100_000));
    }
    if wanted(Part::Workbook) {
        workbook(args.cars.min(6_000));
    }
    if wanted(Part::Storm) {
        storm(args.cars.min(3_000));
    }
}

fn name(shape: Shape) -> String {
    let value = shape.to_possible_value().expect("no shape is skipped");
    value.get_name().to_owned()
}

/// One row of the table.
fn region(shape: Shape, cars: u64) {
    let folder = TempDir::new().expect("a temporary folder");
    let written = write_region(folder.path(), shape, cars);
    let mut price = hailyard(folder.path(), "price", &["--no-lines"]);
    let ours = Times::of(|| run(&mut price));
    let memory = peak(&mut price);
    let delimiter = if shape == Shape::Semicolon {
        b';'
    } else {
        b','
    };
    let bare = Times::of(|| assert_eq!(csv_records(&written.counts, delimiter), written.rows));
    println!(
        "| {} | {} | {} | {:.1} | {ours} | {} | {:.2} µs | {bare} | {:.2} |",
        name(shape),
        grouped(cars),
        grouped(written.rows),
        written.bytes as f64 / 1e6,
        mebibytes(memory),
        ours.median() * 1e6 / cars as f64,
        ours.median() / bare.median(),
    );
}

fn lines(cars: u64) {
    let folder = TempDir::new().expect("a temporary folder");
    let written = write_region(folder.path(), Shape::Plain, cars);
    let mut price = hailyard(folder.path(), "price", &[]);
    let times = Times::of(|| run(&mut price));
    println!(
        "{} cars, {} rows, with all lines: {times}, {}",
        grouped(cars),
        grouped(written.rows),
        mebibytes(peak(&mut price))
    );
}

/// The rows of one workbook, as many as a large lot has.
const WORKBOOK_ROWS: u32 = 60_000;

fn workbook(cars: u64) {
    let folder = TempDir::new().expect("a temporary folder");
    let written = write_region(folder.path(), Shape::Plain, cars);
    let path = folder.path().join("counts/region.xlsx");
    let rows = write_workbook(&written.counts, &path);
    std::fs::remove_file(&written.counts).expect("the file that is now a workbook");
    let mut price = hailyard(folder.path(), "price", &["--no-lines"]);
    let ours = Times::of(|| run(&mut price));
    let bare = Times::of(|| {
        workbook_cells(&path);
    });
    println!(
        "a workbook of {} rows, {} cells: {ours}, {}; its cells read by calamine alone: {bare}, ratio {:.2}",
        grouped(rows),
        grouped(workbook_cells(&path)),
        mebibytes(peak(&mut price)),
        ours.median() / bare.median()
    );
}

/// Makes a workbook of the first rows of a CSV; returns how many without the header.
fn write_workbook(counts: &Path, path: &Path) -> u64 {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_path(counts)
        .expect("a file");
    let mut rows = 0;
    for (row, record) in (0..=WORKBOOK_ROWS).zip(reader.records()) {
        for (column, cell) in (0..).zip(&record.expect("a record")) {
            let written = match cell.parse::<u32>() {
                _ if cell.is_empty() => continue,
                Ok(dents) => sheet.write_number(row, column, dents),
                Err(_) => sheet.write_string(row, column, cell),
            };
            written.expect("a cell");
        }
        rows = u64::from(row);
    }
    book.save(path).expect("a workbook");
    rows
}

fn storm(cars: u64) {
    let people = 40;
    let folder = TempDir::new().expect("a temporary folder");
    let rows = write_lot(folder.path(), cars as usize);
    write_time(folder.path(), people, Some(people), "");
    let mut storm = hailyard(folder.path(), "storm", &[]);
    let times = Times::of(|| run(&mut storm));
    println!(
        "storm of {} cars, {} rows, {people} people, everything it writes: {times}, {}",
        grouped(cars),
        grouped(rows as u64),
        mebibytes(peak(&mut storm))
    );
}
