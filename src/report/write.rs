//! Files that appear whole or not at all: each is written beside its target
//! and renamed, so a reader sees the old file or the new one.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Why nothing, or not all, could be written.
#[derive(Debug)]
pub struct WriteError {
    /// Where.
    pub path: PathBuf,
    /// What the system said.
    pub said: String,
}

impl std::fmt::Display for WriteError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "could not write {}: {}", self.path.display(), self.said)
    }
}

/// The folder that reports land in.
#[derive(Debug)]
pub struct ReportFolder {
    path: PathBuf,
}

impl ReportFolder {
    /// Makes the folder where it is missing, and refuses one that holds inputs:
    /// those are only ever read.
    ///
    /// # Errors
    /// When the folder is the storm's own, its `counts` or `rates`, or that of
    /// the count sheets given, or can't be made.
    pub fn open(path: &Path, inputs: &[PathBuf]) -> Result<ReportFolder, WriteError> {
        let fail = |said: &str| WriteError {
            path: path.to_path_buf(),
            said: said.to_owned(),
        };
        let here = resolved(path);
        for input in inputs {
            let Ok(input) = input.canonicalize() else {
                continue;
            };
            let folder = if input.is_dir() {
                Some(input.as_path())
            } else {
                input.parent()
            };
            let holds_inputs = ["counts", "rates", "photos"]
                .iter()
                .any(|inner| here.starts_with(input.join(inner)));
            if holds_inputs || folder.is_some_and(|folder| folder == here) {
                return Err(fail(
                    "inputs lie there; reports go to a folder of their own",
                ));
            }
        }
        if path.join("storm.toml").exists() {
            return Err(fail(
                "it holds a storm.toml; reports go to a folder of their own",
            ));
        }
        fs::create_dir_all(path).map_err(|error| fail(&error.to_string()))?;
        Ok(ReportFolder {
            path: path.to_path_buf(),
        })
    }

    /// The folder's path.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// A folder inside this one, made where it is missing.
    ///
    /// # Errors
    /// When it can't be made.
    pub fn inside(&self, name: &str) -> Result<ReportFolder, WriteError> {
        let path = self.path.join(name);
        fs::create_dir_all(&path).map_err(|error| WriteError {
            path: path.clone(),
            said: error.to_string(),
        })?;
        Ok(ReportFolder { path })
    }

    /// Writes a file whole.
    ///
    /// # Errors
    /// What the system said; the target is then as it was.
    pub fn write(&self, name: &str, bytes: &[u8]) -> Result<(), WriteError> {
        self.write_with(name, |file| file.write_all(bytes))
    }

    /// Writes a file whole that is made while it is written.
    ///
    /// # Errors
    /// What the system said; the target is then as it was.
    pub fn write_with(
        &self,
        name: &str,
        write: impl FnOnce(&mut dyn Write) -> std::io::Result<()>,
    ) -> Result<(), WriteError> {
        self.write_beside(name, write)?.finish()
    }

    /// Writes a file whole beside its target, which is as it was until the file is
    /// finished.
    ///
    /// # Errors
    /// What the system said.
    pub fn write_beside(
        &self,
        name: &str,
        write: impl FnOnce(&mut dyn Write) -> std::io::Result<()>,
    ) -> Result<Beside, WriteError> {
        let paths = Paths {
            target: self.path.join(name),
            // The process's number keeps two runs at once apart; the name never stays.
            beside: self
                .path
                .join(format!(".{name}.{}.part", std::process::id())),
        };
        let written = (|| {
            let mut file = fs::File::create(&paths.beside)?;
            write(&mut file)?;
            Ok(file)
        })();
        match written {
            Ok(file) => Ok(Beside { file, paths }),
            Err(error) => Err(paths.failed(&error)),
        }
    }
}

/// A file that is written but not yet what it is called.
#[derive(Debug)]
#[must_use]
pub struct Beside {
    file: fs::File,
    paths: Paths,
}

impl Beside {
    /// Waits until the disk has it, and gives it its name.
    ///
    /// # Errors
    /// What the system said; the target is then as it was.
    pub fn finish(self) -> Result<(), WriteError> {
        let Beside { file, paths } = self;
        let finished = file
            .sync_all()
            .and_then(|()| fs::rename(&paths.beside, &paths.target));
        finished.map_err(|error| paths.failed(&error))
    }
}

#[derive(Debug)]
struct Paths {
    target: PathBuf,
    beside: PathBuf,
}

impl Paths {
    fn failed(&self, error: &std::io::Error) -> WriteError {
        WriteError {
            path: self.target.clone(),
            said: error.to_string(),
        }
    }
}

impl Drop for Paths {
    /// Leaves nothing behind that did not get its name.
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.beside);
    }
}

/// The path without links and dots, as far as it exists already.
fn resolved(path: &Path) -> PathBuf {
    for ancestor in path.ancestors() {
        let existing = if ancestor.as_os_str().is_empty() {
            Path::new(".")
        } else {
            ancestor
        };
        if let Ok(real) = existing.canonicalize() {
            let rest = path.strip_prefix(ancestor).unwrap_or(path);
            return real.join(rest);
        }
    }
    path.to_path_buf()
}
