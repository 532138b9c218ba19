//! The photographs of a storm's cars, made ready when a sheet wants them.

use super::inputs::Input;
use crate::intake::{Disk, InMemory, Problem, Source, car_photos};
use crate::report::document::DocumentPhoto;
use std::collections::BTreeMap;
use std::sync::Mutex;

/// Photos of a whole storm that still go into the one file of all sheets:
/// about 60 MB of it. Above, they stand on each car's own sheet only.
const MOST_TOGETHER: usize = 400;

/// Where the photographs lie, and what was found wrong with them.
pub struct Album {
    source: Box<dyn Source>,
    files: BTreeMap<String, Vec<String>>,
    faults: Mutex<BTreeMap<String, Vec<Problem>>>,
}

impl Album {
    /// The album of an input; `files` as the intake lists them.
    pub fn new(input: &Input, files: BTreeMap<String, Vec<String>>) -> Album {
        let source: Box<dyn Source> = match input {
            Input::Folder(folder) => Box::new(Disk::new(folder)),
            Input::Sheets(_) | Input::Demo => Box::new(InMemory::default()),
        };
        Album {
            source,
            files,
            faults: Mutex::default(),
        }
    }

    /// How many files a car has.
    pub fn count(&self, stock: &str) -> usize {
        self.files.get(stock).map_or(0, Vec::len)
    }

    /// Whether all photos may stand in one file.
    pub fn fits_together(&self) -> bool {
        self.files.values().map(Vec::len).sum::<usize>() <= MOST_TOGETHER
    }

    /// The photos of a car, ready for its sheet.
    pub fn of(&self, stock: &str) -> Vec<DocumentPhoto> {
        let Some(paths) = self.files.get(stock) else {
            return Vec::new();
        };
        let (photos, faults) = car_photos(self.source.as_ref(), stock, paths);
        if !faults.is_empty()
            && let Ok(mut all) = self.faults.lock()
        {
            all.insert(stock.to_owned(), faults);
        }
        let all = photos.len();
        photos
            .into_iter()
            .enumerate()
            .map(|(at, (_, photo))| DocumentPhoto {
                // A camera's file name holds its day and hour.
                caption: format!("photograph {} of {all}", at + 1),
                jpeg: photo.jpeg.into(),
                width: photo.width,
                height: photo.height,
            })
            .collect()
    }

    /// What was found wrong so far, once a file.
    pub fn faults(&self) -> Vec<Problem> {
        self.faults
            .lock()
            .map(|all| all.values().flatten().cloned().collect())
            .unwrap_or_default()
    }
}
