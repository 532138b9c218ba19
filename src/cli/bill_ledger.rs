//! The bill ledger's file: the one file of a storm's folder that is written to.
//!
//! Rows are only ever put behind those that are there. The file is held by a
//! second file beside it from before it is read until it is written, so that two
//! runs can't give out one number twice, and it is replaced as a whole, so that a
//! reader sees it before or after.

use super::output::Stop;
use crate::intake::printable;
use crate::money::Currency;
use crate::report::{ledger_grid, to_csv};
use crate::storm::BillRow;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

/// The ledger's name in a storm's folder.
pub const LEDGER: &str = "bills.csv";

/// A ledger that nobody else writes meanwhile.
pub struct HeldLedger {
    path: PathBuf,
    hold: PathBuf,
}

impl HeldLedger {
    /// Holds the ledger of a storm's folder.
    pub fn hold(folder: &Path) -> Result<HeldLedger, Stop> {
        // Where it is a link, what it leads to is held and written.
        let path = folder.join(LEDGER);
        let path = fs::canonicalize(&path).unwrap_or(path);
        let hold = path.with_file_name(".bills.csv.held");
        if let Some(other) = other_ledger(folder) {
            return Err(Stop::Usage(format!(
                "bills stand in {}: rows can only be put behind those of a {LEDGER}",
                printable(&other)
            )));
        }
        match fs::File::create_new(&hold) {
            Ok(mut file) => {
                // Whoever finds it left behind wants to know whose it was.
                let _ = writeln!(file, "process {}", std::process::id());
                Ok(HeldLedger { path, hold })
            }
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
                Err(Stop::Failed(format!(
                    "bills are being written there by another run; if none is running, one was broken off: delete {}",
                    hold.display()
                )))
            }
            Err(error) => Err(Stop::Failed(format!(
                "could not write {}: {error}",
                hold.display()
            ))),
        }
    }

    /// Puts rows behind those that are there.
    pub fn append(&self, rows: &[BillRow], currency: Currency) -> Result<(), Stop> {
        let failed = |error: &dyn std::fmt::Display| {
            Stop::Failed(format!("could not write {}: {error}", self.path.display()))
        };
        let new = to_csv(&ledger_grid(rows), currency);
        let head = new.iter().position(|byte| *byte == b'\n').unwrap_or(0) + 1;
        let mut bytes = match fs::read(&self.path) {
            Ok(bytes) => bytes,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => new[..head].to_vec(),
            Err(error) => return Err(failed(&error)),
        };
        // Rows go behind columns that are these and in this order; a spreadsheet
        // program may have saved them otherwise.
        let first = bytes
            .split(|byte| *byte == b'\n')
            .next()
            .unwrap_or_default();
        let first = first.strip_suffix(b"\r").unwrap_or(first);
        let first = first.strip_prefix(b"\xef\xbb\xbf").unwrap_or(first);
        if first != &new[..head - 1] {
            let columns = String::from_utf8_lossy(&new[..head - 1]);
            return Err(failed(&format!(
                "its first row is not `{columns}`, so that no row can be put behind it; `hailyard bills --out DIR` writes it so"
            )));
        }
        if std::str::from_utf8(&bytes).is_err() {
            return Err(failed(
                &"it is not UTF-8, so that no row can be put behind it; `hailyard bills --out DIR` writes it so",
            ));
        }
        if !bytes.ends_with(b"\n") {
            bytes.push(b'\n');
        }
        bytes.extend_from_slice(&new[head..]);
        let beside = self.path.with_file_name(".bills.csv.part");
        let written = (|| {
            let mut file = fs::File::create(&beside)?;
            file.write_all(&bytes)?;
            file.sync_all()?;
            fs::rename(&beside, &self.path)?;
            // A number that was given out must outlive a power cut. Systems
            // whose folders can't be opened keep renames by themselves.
            if let Some(folder) = self
                .path
                .parent()
                .and_then(|path| fs::File::open(path).ok())
            {
                let _ = folder.sync_all();
            }
            Ok(())
        })();
        written.map_err(|error: std::io::Error| {
            let _ = fs::remove_file(&beside);
            failed(&error)
        })
    }
}

/// A table of bills by another name, which would be read in place of the ledger.
fn other_ledger(folder: &Path) -> Option<String> {
    let entries = fs::read_dir(folder).ok()?;
    let mut names: Vec<String> = entries
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| {
            let stem = name.rsplit_once('.').map(|(stem, _)| stem.to_lowercase());
            name != LEDGER && stem.as_deref() == Some("bills")
        })
        .collect();
    names.sort();
    names.into_iter().next()
}

impl Drop for HeldLedger {
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.hold);
    }
}
