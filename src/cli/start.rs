//! `hailyard start`: a new storm's folder.

use super::Exit;
use super::arguments::StartArgs;
use super::output::{Stop, Streams};
use super::problems::{counted, problem_text};
use crate::intake::{Disk, Source, read_lot};
use crate::start::StormKit;
use std::fs;
use std::io::Write;
use std::path::Path;

/// How many problems are printed.
const SHOWN: usize = 1_000;
/// Bytes of a lot list.
const MAX_LOT: u64 = 16 << 20;

/// Runs the command.
pub fn run(args: &StartArgs, streams: &mut Streams<'_>) -> Result<Exit, Stop> {
    let folder = &args.folder;
    if let Ok(mut entries) = fs::read_dir(folder)
        && entries.next().is_some()
    {
        return Err(Stop::Usage(format!(
            "{} is not empty; a new storm never writes over what is there",
            folder.display()
        )));
    }
    let (lot, lot_file) = match &args.lot {
        None => (Vec::new(), None),
        Some(path) => {
            if !path.is_file() {
                return Err(Stop::Usage(format!("no such lot list: {}", path.display())));
            }
            let name = path.to_string_lossy().into_owned();
            let (lot, problems) = read_lot(&Disk::new(""), &name);
            if problems.errors() > 0 {
                streams.say(&problem_text(&problems, SHOWN, streams.bold));
                streams.say(&format!("{}; nothing was made\n", counted(&problems)));
                return Ok(Exit::Problems);
            }
            let bytes = Disk::new("")
                .read(&name, MAX_LOT)
                .map_err(|error| Stop::Usage(format!("{}: {error}", path.display())))?
                .into_owned();
            let ending = path.extension().map_or_else(
                || "csv".to_owned(),
                |ending| ending.to_string_lossy().to_lowercase(),
            );
            (lot, Some((format!("vehicles.{ending}"), bytes)))
        }
    };
    let name = folder.file_name().map_or_else(
        || "New storm".to_owned(),
        |name| name.to_string_lossy().into_owned(),
    );
    let kit = StormKit::new(&name, &lot, lot_file)
        .map_err(|error| Stop::Failed(format!("bug: the count workbook: {}", error.0)))?;
    for (path, bytes) in &kit.files {
        create(&folder.join(path), bytes)?;
        streams.print(&format!("{}\n", folder.join(path).display()))?;
    }
    streams.print(&format!(
        "\nnext: fill in {0}/storm.toml and a sheet of {0}/counts/counts.xlsx, then `hailyard check {0}`\n",
        folder.display()
    ))?;
    Ok(Exit::Done)
}

/// Writes a file that must not be there yet.
fn create(path: &Path, bytes: &[u8]) -> Result<(), Stop> {
    let written = (|| {
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder)?;
        }
        fs::OpenOptions::new()
            .write(true)
            .create_new(true)
            .open(path)?
            .write_all(bytes)
    })();
    written.map_err(|error| Stop::Failed(format!("could not write {}: {error}", path.display())))
}
