//! `hailyard lot --table`: a total from a sample of any counted things.

use super::Exit;
use super::arguments::LotArgs;
use super::output::{Stop, Streams};
use super::problems::{SHOWN, counted, problem_text, say_cautions};
use crate::intake::{Disk, SampleRequest, read_sample};
use crate::report::{SampleReport, sample_json, sample_text};
use crate::sampling::Stratum;
use std::path::Path;

/// Estimates a column of a table.
pub fn estimate_table(
    table: &Path,
    args: &LotArgs,
    streams: &mut Streams<'_>,
) -> Result<Exit, Stop> {
    if args
        .known
        .is_some_and(|known| !known.is_finite() || known <= 0.0)
    {
        return Err(Stop::Usage("--known: a total above 0".to_owned()));
    }
    let table = table.to_string_lossy().into_owned();
    // clap has asked for one beside the table.
    let value = args.value.as_deref().unwrap_or_default();
    let sizes = args
        .sizes
        .as_ref()
        .map(|path| path.to_string_lossy().into_owned());
    let request = SampleRequest {
        table: &table,
        value,
        strata: args.stratum.as_deref().zip(sizes.as_deref()),
        cars: args.cars,
        helper: args.ratio.as_deref(),
    };
    let (sample, problems) = read_sample(&Disk::new(""), &request);
    if problems.errors() > 0 {
        streams.say(&problem_text(&problems, SHOWN, streams.bold));
        streams.say(&format!("{}; nothing was estimated\n", counted(&problems)));
        return Ok(Exit::Problems);
    }
    let mut helpers = Vec::new();
    let mut strata = Vec::new();
    for stratum in sample {
        helpers.push(stratum.helpers);
        strata.push(Stratum {
            name: stratum.name,
            cars: stratum.cars,
            values: stratum.values,
        });
    }
    let helper = args.known.map(|known| (helpers.as_slice(), known));
    let report = SampleReport::of(&strata, helper, args.within / 100.0);
    if args.common.json {
        streams.json(&sample_json(&report))?;
    } else {
        streams.print(&sample_text(&report, value, streams.table_width()))?;
    }
    say_cautions(&problems, streams);
    Ok(Exit::Done)
}
