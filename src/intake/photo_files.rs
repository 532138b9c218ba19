//! The photos of one car: files → pictures for its sheet.

use super::photo_list::PHOTO_ORDER;
use super::problem::{Place, Problem, Severity};
use super::source::Source;
use crate::photo::{Photo, PhotoFault, prepare};
use rayon::prelude::*;

/// The most bytes of a file; cameras write a third of it.
const MAX_FILE: u64 = 32 << 20;

/// Prepares the photos of a car for its sheet, in the order of the paths, on
/// all cores. Each comes with its path; what can't stand on a sheet is a
/// caution of that car.
///
/// Memory: a file a thread, the photos made (at most
/// [`crate::photo::LONG_SIDE`] pixels a side each), and what
/// [`crate::photo::prepare`] allows all threads together.
#[must_use]
pub fn car_photos(
    source: &dyn Source,
    stock: &str,
    paths: &[String],
) -> (Vec<(String, Photo)>, Vec<Problem>) {
    let made: Vec<Result<Photo, PhotoFault>> =
        paths.par_iter().map(|path| made(source, path)).collect();
    let (mut photos, mut problems) = (Vec::new(), Vec::new());
    for (path, made) in paths.iter().zip(made) {
        match made {
            Ok(photo) => photos.push((path.clone(), photo)),
            Err(fault) => problems.push(Problem {
                severity: Severity::Caution,
                place: Place {
                    order: PHOTO_ORDER,
                    ..Place::file(path)
                },
                found: fault.found,
                expected: fault.expected,
                meant: None,
                stock: Some(stock.to_owned()),
            }),
        }
    }
    (photos, problems)
}

fn made(source: &dyn Source, path: &str) -> Result<Photo, PhotoFault> {
    let bytes = source.read(path, MAX_FILE).map_err(|error| PhotoFault {
        found: error.to_string(),
        expected: format!("a photo of at most {} MiB", MAX_FILE >> 20),
    })?;
    prepare(&bytes)
}
