//! Where input files come from: a folder on disk, single files, or the demo
//! that is compiled into the binary. Inputs are only ever read.

use std::borrow::Cow;
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

/// What stands under a name in a folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum EntryKind {
    /// A regular file.
    File,
    /// A folder.
    Folder,
    /// A pipe, a socket, a device: nothing to read from.
    Special,
}

/// A folder of input files. Paths are relative to it, with `/`.
pub trait Source: Sync {
    /// The names in a folder (`""`: the top), by byte order.
    ///
    /// # Errors
    /// When the folder can't be listed.
    fn list(&self, folder: &str) -> Result<Vec<(String, EntryKind)>, ReadError>;

    /// The bytes of a file, at most `limit` of them.
    ///
    /// # Errors
    /// When it is missing, not a file, unreadable or larger than `limit`.
    fn read(&self, path: &str, limit: u64) -> Result<Cow<'_, [u8]>, ReadError>;

    /// The bytes of a file one after the other, at most `limit` of them.
    ///
    /// # Errors
    /// As [`Source::read`]; what fails later is an error of the reader.
    fn open(&self, path: &str, limit: u64) -> Result<Box<dyn Read + Send + '_>, ReadError> {
        let bytes = self.read(path, limit)?;
        Ok(Box::new(std::io::Cursor::new(bytes)))
    }

    /// How many bytes of a long text are read in one go. Small ones show in
    /// tests that nothing hangs on where one block ends and the next begins.
    fn block_bytes(&self) -> usize {
        1 << 18
    }

    /// Whether a file or folder of this name is there.
    fn has(&self, path: &str) -> bool;
}

/// Why a file could not be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ReadError {
    /// No such file.
    Missing,
    /// A folder or a special file.
    NotAFile,
    /// Larger than allowed; the allowed bytes.
    TooLarge(u64),
    /// What the system said.
    System(String),
}

impl std::fmt::Display for ReadError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            ReadError::Missing => write!(f, "no such file"),
            ReadError::NotAFile => write!(f, "not a file"),
            ReadError::TooLarge(limit) => write!(f, "more than {} MiB", limit >> 20),
            ReadError::System(said) => write!(f, "{said}"),
        }
    }
}

impl From<std::io::Error> for ReadError {
    fn from(error: std::io::Error) -> ReadError {
        match error.kind() {
            std::io::ErrorKind::NotFound => ReadError::Missing,
            _ => ReadError::System(error.to_string()),
        }
    }
}

/// A folder on disk.
#[derive(Debug)]
pub struct Disk {
    root: PathBuf,
}

impl Disk {
    /// The folder at this path.
    #[must_use]
    pub fn new(root: impl Into<PathBuf>) -> Disk {
        Disk { root: root.into() }
    }
}

impl Source for Disk {
    fn list(&self, folder: &str) -> Result<Vec<(String, EntryKind)>, ReadError> {
        let mut names = Vec::new();
        for entry in fs::read_dir(self.root.join(folder))? {
            let entry = entry?;
            let kind = match fs::metadata(entry.path()) {
                Ok(data) if data.is_dir() => EntryKind::Folder,
                Ok(data) if data.is_file() => EntryKind::File,
                _ => EntryKind::Special,
            };
            names.push((entry.file_name().to_string_lossy().into_owned(), kind));
        }
        names.sort();
        Ok(names)
    }

    fn read(&self, path: &str, limit: u64) -> Result<Cow<'_, [u8]>, ReadError> {
        read_file(&self.root.join(path), limit).map(Cow::Owned)
    }

    fn open(&self, path: &str, limit: u64) -> Result<Box<dyn Read + Send + '_>, ReadError> {
        let path = self.root.join(path);
        check_file(&path, limit)?;
        // The file may grow while it is read, so the bound holds here too.
        Ok(Box::new(fs::File::open(path)?.take(limit)))
    }

    fn has(&self, path: &str) -> bool {
        self.root.join(path).exists()
    }
}

/// The size of a regular file within the bound.
fn check_file(path: &Path, limit: u64) -> Result<u64, ReadError> {
    let data = fs::metadata(path)?;
    if !data.is_file() {
        return Err(ReadError::NotAFile);
    }
    if data.len() > limit {
        return Err(ReadError::TooLarge(limit));
    }
    Ok(data.len())
}

fn read_file(path: &Path, limit: u64) -> Result<Vec<u8>, ReadError> {
    let size = check_file(path, limit)?;
    let mut bytes = Vec::with_capacity(usize::try_from(size).unwrap_or(0));
    // The file may grow while it is read, so the bound holds here too.
    fs::File::open(path)?
        .take(limit + 1)
        .read_to_end(&mut bytes)?;
    if bytes.len() as u64 > limit {
        return Err(ReadError::TooLarge(limit));
    }
    Ok(bytes)
}

/// Files held in memory: the built-in demo, and what tests make.
#[derive(Debug, Default)]
pub struct InMemory {
    files: std::collections::BTreeMap<String, Cow<'static, [u8]>>,
}

impl InMemory {
    /// Adds a file.
    pub fn add(&mut self, path: &str, bytes: impl Into<Cow<'static, [u8]>>) {
        self.files.insert(path.to_owned(), bytes.into());
    }
}

impl Source for InMemory {
    fn list(&self, folder: &str) -> Result<Vec<(String, EntryKind)>, ReadError> {
        let prefix = if folder.is_empty() {
            String::new()
        } else {
            format!("{folder}/")
        };
        let mut names: Vec<(String, EntryKind)> = Vec::new();
        for path in self.files.keys() {
            let Some(rest) = path.strip_prefix(&prefix) else {
                continue;
            };
            let entry = match rest.split_once('/') {
                Some((name, _)) => (name.to_owned(), EntryKind::Folder),
                None => (rest.to_owned(), EntryKind::File),
            };
            if !names.contains(&entry) {
                names.push(entry);
            }
        }
        if names.is_empty() {
            return Err(ReadError::Missing);
        }
        names.sort();
        Ok(names)
    }

    fn read(&self, path: &str, limit: u64) -> Result<Cow<'_, [u8]>, ReadError> {
        let bytes = self.files.get(path).ok_or(ReadError::Missing)?;
        if bytes.len() as u64 > limit {
            return Err(ReadError::TooLarge(limit));
        }
        Ok(Cow::Borrowed(bytes))
    }

    fn has(&self, path: &str) -> bool {
        let folder = format!("{path}/");
        self.files.contains_key(path) || self.files.keys().any(|key| key.starts_with(&folder))
    }
}
