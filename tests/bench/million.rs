//! How long a region of a million cars takes: `cargo bench --bench million`.

#[expect(dead_code)] // the measuring will use the rest
mod lot;
mod region;

use clap::{Parser, ValueEnum};
use region::{Shape, write_region};
use std::path::PathBuf;

/// What to measure.
#[derive(Parser)]
struct Args {
    /// Cars of each shape.
    #[arg(long, default_value_t = 1_000_000)]
    cars: u64,
    /// Only this shape.
    #[arg(long, value_enum)]
    shape: Option<Shape>,
    /// Writes the storms into folders here and measures nothing.
    #[arg(long, value_name = "DIR")]
    write: Option<PathBuf>,
    /// `cargo bench` says so.
    #[arg(long, hide = true)]
    bench: bool,
}

fn main() {
    let args = Args::parse();
    let shapes: Vec<Shape> = args
        .shape
        .map_or(Shape::value_variants().to_vec(), |shape| vec![shape]);
    if let Some(into) = &args.write {
        for shape in shapes {
            let name = shape.to_possible_value().expect("a name");
            let written = write_region(&into.join(name.get_name()), shape, args.cars);
            println!(
                "{}: {} rows, {} bytes",
                written.counts.display(),
                written.rows,
                written.bytes
            );
        }
    }
}
