//! `hailyard recount`: two counts of the same cars, and the supplement.

use super::Exit;
use super::arguments::RecountArgs;
use super::handouts::write_document;
use super::inputs::{Input, open};
use super::output::{Stop, Streams};
use super::problems::{counted, problem_text};
use crate::compare::{overlay, supplement};
use crate::intake::{Disk, EntryKind, Source, read_counts};
use crate::pricing::{check_agreed, price_storm};
use crate::report::pages::supplement_page;
use crate::report::{
    ReportFolder, grid_to_json, supplement_cars, supplement_lines, supplement_text, to_csv,
};
use crate::storm::Storm;
use std::path::{Path, PathBuf};

/// How many problems are printed.
const SHOWN: usize = 1_000;

/// Runs the command.
pub fn run(args: &RecountArgs, streams: &mut Streams<'_>) -> Result<Exit, Stop> {
    for path in [&args.old, &args.new] {
        if !path.exists() {
            return Err(Stop::Usage(format!(
                "no such file or folder: {}",
                path.display()
            )));
        }
    }
    let folder = storm_folder(args)?;
    let input = Input::of(std::slice::from_ref(&folder))?;
    let opened = open(&input, None, args.json, streams)?;
    let Some((mut before, rates)) = opened.storm.filter(|_| opened.problems.errors() == 0) else {
        return Ok(refused(&opened.problems, streams));
    };
    for side in [&args.old, &args.new] {
        streams.say(&format!("count {}\n", side.display()));
    }
    // The old count lies over the storm's own, unless it is the storm's own.
    if args.old != folder {
        match count(&folder, &args.old, streams)? {
            Ok(count) => {
                overlay(&mut before, &count);
            }
            Err(exit) => return Ok(exit),
        }
    }
    let mut after = before.clone();
    let met = match count(&folder, &args.new, streams)? {
        Ok(count) => overlay(&mut after, &count),
        Err(exit) => return Ok(exit),
    };
    for storm in [&before, &after] {
        let stale = check_agreed(storm, &rates, &opened.sheets);
        if !stale.is_empty() {
            for (_, problem) in stale {
                streams.say(&format!("{problem}\n"));
            }
            streams.say("an agreement is gone stale after the recount; nothing was priced\n");
            return Ok(Exit::Problems);
        }
    }
    let change = supplement(
        (&before, &price_storm(&before, &rates)),
        (&after, &price_storm(&after, &rates)),
        &rates,
    );
    let currency = after.currency;
    let (lines, cars) = (
        supplement_lines(&change, &after),
        supplement_cars(&change, &after),
    );
    if let Some(out) = &args.out {
        let mut inputs = input.paths();
        inputs.extend([args.old.clone(), args.new.clone()]);
        let folder = ReportFolder::open(out, &inputs)?;
        folder.write("supplement-lines.csv", &to_csv(&lines, currency))?;
        folder.write("supplement-cars.csv", &to_csv(&cars, currency))?;
        let page = supplement_page(&change, &after, &met);
        write_document(&folder, "supplement", &page, args.paper, after.date)?;
    }
    if args.json {
        streams.json(&serde_json::json!({
            "format": 1,
            "storm": after.name,
            "currency": currency.code(),
            "before": currency.text(change.before),
            "after": currency.text(change.after),
            "supplement": currency.text(change.after - change.before),
            "cars": grid_to_json(&cars, currency),
            "lines": grid_to_json(&lines, currency),
        }))?;
    } else {
        let text = supplement_text(&change, &after, &met, streams.table_width());
        streams.print(&text)?;
    }
    Ok(Exit::Done)
}

/// Whose terms price both counts: the folder asked for, else the old count's,
/// else the new one's.
fn storm_folder(args: &RecountArgs) -> Result<PathBuf, Stop> {
    let is_storm = |path: &Path| path.join("storm.toml").is_file();
    [args.storm.as_deref(), Some(&args.old), Some(&args.new)]
        .into_iter()
        .flatten()
        .find(|path| is_storm(path))
        .map(Path::to_path_buf)
        .ok_or_else(|| {
            Stop::Usage(
                "neither count is a storm's folder: `--storm FOLDER` says whose terms price them"
                    .to_owned(),
            )
        })
}

/// Reads one side against the storm's settings and lot list.
fn count(
    folder: &Path,
    side: &Path,
    streams: &mut Streams<'_>,
) -> Result<Result<Storm, Exit>, Stop> {
    let (root, sheets) = if side.is_dir() {
        let source = Disk::new(side);
        let names = source
            .list("counts")
            .map_err(|error| Stop::Usage(format!("{}: counts: {error}", side.display())))?;
        let sheets: Vec<String> = names
            .into_iter()
            .filter(|(name, kind)| {
                *kind == EntryKind::File && !name.starts_with('.') && !name.starts_with("~$")
            })
            .map(|(name, _)| format!("counts/{name}"))
            .collect();
        (source, sheets)
    } else {
        (Disk::new(""), vec![side.to_string_lossy().into_owned()])
    };
    let read = read_counts(&Disk::new(folder), &root, &sheets);
    match read.storm {
        Some((storm, _)) if read.problems.errors() == 0 => Ok(Ok(storm)),
        _ => Ok(Err(refused(&read.problems, streams))),
    }
}

fn refused(problems: &crate::intake::Problems, streams: &mut Streams<'_>) -> Exit {
    streams.say(&problem_text(problems, SHOWN, streams.bold));
    streams.say(&format!("{}; nothing was priced\n", counted(problems)));
    Exit::Problems
}
