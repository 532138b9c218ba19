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
    /// Makes the folder where it is missing, and refuses one that holds inputs.
    ///
    /// # Errors
    /// When the folder is the storm's own, its `counts` or `rates`, or can't be made.
    pub fn open(path: &Path, storm_folder: Option<&Path>) -> Result<ReportFolder, WriteError> {
        let fail = |said: String| WriteError {
            path: path.to_path_buf(),
            said,
        };
        if path.join("storm.toml").exists() {
            return Err(fail(
                "it holds a storm.toml; reports go to a folder of their own".to_owned(),
            ));
        }
        fs::create_dir_all(path).map_err(|error| fail(error.to_string()))?;
        if let (Ok(here), Some(Ok(storm))) =
            (path.canonicalize(), storm_folder.map(Path::canonicalize))
        {
            for inputs in ["counts", "rates", "photos"] {
                if here.starts_with(storm.join(inputs)) {
                    return Err(fail(format!(
                        "it is the storm's {inputs}; inputs are only read"
                    )));
                }
            }
        }
        Ok(ReportFolder {
            path: path.to_path_buf(),
        })
    }

    /// The folder's path.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Writes a file whole.
    ///
    /// # Errors
    /// What the system said; the target is then as it was.
    pub fn write(&self, name: &str, bytes: &[u8]) -> Result<(), WriteError> {
        let target = self.path.join(name);
        // The process's number keeps two runs at once apart; the name never stays.
        let beside = self
            .path
            .join(format!(".{name}.{}.part", std::process::id()));
        let written = (|| {
            let mut file = fs::File::create(&beside)?;
            file.write_all(bytes)?;
            file.sync_all()?;
            fs::rename(&beside, &target)
        })();
        written.map_err(|error| {
            let _ = fs::remove_file(&beside);
            WriteError {
                path: target,
                said: error.to_string(),
            }
        })
    }
}
