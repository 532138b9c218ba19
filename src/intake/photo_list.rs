//! `photos/STOCK/*`: which files belong to which car. Only names are read.

use super::draft::Drafts;
use super::problem::{Place, Problem, Problems, Severity};
use super::source::{EntryKind, Source};
use crate::storm::words;
use std::collections::BTreeMap;

/// Reading order of the photos, behind every other file.
pub const PHOTO_ORDER: u32 = 3_500_000_000;

/// The folder of all photos.
const FOLDER: &str = "photos";
/// Endings of the files that are taken, in any case.
const ENDINGS: [&str; 3] = ["jpg", "jpeg", "png"];
/// The endings in a message.
const ENDINGS_SAID: &str = "a photo: .jpg, .jpeg or .png";
/// The most photos of a car; more make no sheet that anyone leafs through.
const MOST: usize = 24;

/// Lists the photos of every car by its stock, in byte order of their paths.
///
/// A car's folder has its stock as name. For characters that names of folders
/// can't hold, `%` and the two hexadecimal digits of each byte stand: the
/// folder of car `A/12` is `A%2F12`. Only what is listed becomes a path, never
/// a stock.
pub fn read(
    source: &dyn Source,
    drafts: &mut Drafts,
    problems: &mut Problems,
) -> BTreeMap<String, Vec<String>> {
    let mut list = PhotoList {
        // Where a sheet or list could not be read, the stocks are not all known.
        all_known: drafts.has_list || !problems.stops(),
        source,
        drafts,
        problems,
        photos: BTreeMap::new(),
    };
    list.folders();
    list.bound();
    list.photos
}

struct PhotoList<'a> {
    source: &'a dyn Source,
    drafts: &'a mut Drafts,
    problems: &'a mut Problems,
    all_known: bool,
    photos: BTreeMap<String, Vec<String>>,
}

impl PhotoList<'_> {
    fn caution(
        &mut self,
        path: &str,
        found: impl Into<String>,
        expected: impl Into<String>,
        stock: Option<&str>,
    ) {
        self.caution_meaning(path, found, expected, stock, None);
    }

    fn caution_meaning(
        &mut self,
        path: &str,
        found: impl Into<String>,
        expected: impl Into<String>,
        stock: Option<&str>,
        meant: Option<String>,
    ) {
        self.problems.push(Problem {
            severity: Severity::Caution,
            place: Place {
                order: PHOTO_ORDER,
                ..Place::file(path)
            },
            found: found.into(),
            expected: expected.into(),
            meant,
            stock: stock.map(str::to_owned),
        });
    }

    fn folders(&mut self) {
        let expected = "a folder of photos, in it a folder for each stock";
        let beside = self.source.list("").unwrap_or_default();
        match beside.iter().find(|(name, _)| name == FOLDER) {
            Some((_, EntryKind::Folder)) => {}
            Some(_) => return self.caution(FOLDER, "no folder", expected, None),
            None => {
                // Some systems tell no case: there `Photos` can be listed as well.
                if !self.source.has(FOLDER) {
                    return self.other_names(&beside);
                }
            }
        }
        let entries = match self.source.list(FOLDER) {
            Ok(entries) => entries,
            Err(error) => return self.caution(FOLDER, error.to_string(), expected, None),
        };
        for (name, kind) in entries {
            let path = format!("{FOLDER}/{name}");
            match kind {
                _ if is_hidden(&name) => {}
                EntryKind::Folder => self.car_folder(&name, &path),
                _ => self.caution(&path, name, "a folder named as a stock", None),
            }
        }
    }

    /// A folder whose name is nearly that of the photos' is not read, and that is said.
    fn other_names(&mut self, beside: &[(String, EntryKind)]) {
        for (name, kind) in beside {
            let near = words::nearest(&words::fold(name), [FOLDER].into_iter());
            if *kind == EntryKind::Folder && near.is_some() {
                let expected = format!("the name {FOLDER}. It is not read");
                self.caution(name, name, expected, None);
            }
        }
    }

    fn car_folder(&mut self, name: &str, path: &str) {
        let unescaped = unescaped(name);
        let car = self
            .drafts
            .find(name)
            .or_else(|| self.drafts.find(unescaped.as_deref()?));
        let Some(car) = car else {
            if self.all_known {
                self.unknown(name, unescaped.as_deref().unwrap_or(name), path);
            }
            return;
        };
        let stock = self.drafts.cars[car].stock.to_string();
        let files = match self.source.list(path) {
            Ok(files) => files,
            // A source in memory has no empty folders; one on disk may go while it is read.
            Err(error) => {
                return self.caution(path, error.to_string(), "photos of the car", Some(&stock));
            }
        };
        let mut empty = true;
        for (file, kind) in files {
            if is_hidden(&file) {
                continue;
            }
            empty = false;
            let inner = format!("{path}/{file}");
            let ending = file
                .rsplit_once('.')
                .map_or("", |(_, ending)| ending)
                .to_ascii_lowercase();
            match kind {
                EntryKind::Folder => {
                    let expected = "no subfolder: it is passed over";
                    self.caution(&inner, file, expected, Some(&stock));
                }
                _ if !ENDINGS.contains(&ending.as_str()) => {
                    self.caution(&inner, file, ENDINGS_SAID, Some(&stock));
                }
                EntryKind::Special => {
                    let found = "neither a file nor a folder";
                    self.caution(&inner, found, ENDINGS_SAID, Some(&stock));
                }
                EntryKind::File => self.photos.entry(stock.clone()).or_default().push(inner),
            }
        }
        if empty {
            self.caution(path, "an empty folder", ENDINGS_SAID, Some(&stock));
        }
    }

    fn unknown(&mut self, name: &str, stock: &str, path: &str) {
        let near: Vec<String> = self
            .drafts
            .near_misses(stock)
            .iter()
            .map(|car| escaped(&self.drafts.cars[*car].stock))
            .collect();
        let meant = (!near.is_empty()).then(|| near.join(" or "));
        self.caution_meaning(path, name, "a folder named as a stock", None, meant);
    }

    /// Keeps the first photos of each car.
    fn bound(&mut self) {
        let mut photos = std::mem::take(&mut self.photos);
        for (stock, paths) in &mut photos {
            // Two folders of one car, as it is and escaped, are one list.
            paths.sort();
            if paths.len() > MOST {
                let first_left = paths[MOST].clone();
                let found = format!("{} photos of the car", paths.len());
                let expected = format!("at most {MOST}: this one and those after it are left out");
                self.caution(&first_left, found, expected, Some(stock));
                paths.truncate(MOST);
            }
        }
        self.photos = photos;
    }
}

/// What systems and programs leave in folders.
fn is_hidden(name: &str) -> bool {
    let is = |other: &str| name.eq_ignore_ascii_case(other);
    name.starts_with('.') || name.starts_with("~$") || is("thumbs.db") || is("desktop.ini")
}

/// A stock as the name of a folder on any system.
fn escaped(stock: &str) -> String {
    let last = stock.len().saturating_sub(1);
    let mut name = String::with_capacity(stock.len());
    for (at, c) in stock.char_indices() {
        let at_end = c == '.' && (at == 0 || at == last);
        if at_end || c.is_ascii_control() || r#"<>:"/\|?*%"#.contains(c) {
            name.push_str(&format!("%{:02X}", u32::from(c)));
        } else {
            name.push(c);
        }
    }
    name
}

/// The stock of a folder's name with escapes; `None` where it has none, or
/// they give no text.
fn unescaped(name: &str) -> Option<String> {
    let (start, rest) = name.split_once('%')?;
    let mut bytes = start.as_bytes().to_vec();
    for part in rest.split('%') {
        let code = part.get(..2)?;
        // `from_str_radix` would take a sign.
        if !code.bytes().all(|byte| byte.is_ascii_hexdigit()) {
            return None;
        }
        bytes.push(u8::from_str_radix(code, 16).ok()?);
        bytes.extend_from_slice(&part.as_bytes()[2..]);
    }
    String::from_utf8(bytes).ok()
}
