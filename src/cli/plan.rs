//! `hailyard plan`: who does what when, and what no plan can beat.

use super::Exit;
use super::arguments::PlanArgs;
use super::books::{Want, Wanted};
use super::handouts::{FILE_WIDTH, Handout, wanted, write_pdf};
use super::inputs::Input;
use super::instance::plan_instance;
use super::output::{Stop, Streams};
use super::people::find_person;
use super::priced::{Priced, price};
use super::problems::say_cautions;
use super::progress::Progress;
use super::stale::{say_stale, stale_plan};
use crate::crew::{Jobs, SiteHours};
use crate::planning::{LotPlan, StopRule};
use crate::report::html::{Step, page};
use crate::report::pages::{IndexEntry, WORK_LISTS, plan_page, work_list_page};
use crate::report::pdf::Paper;
use crate::report::{
    PlanReport, ReportFolder, document_text, plan_calendar, plan_cautions, plan_grid, plan_json,
    statement_files, to_csv,
};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::path::PathBuf;
use std::time::Duration;

/// The files of a plan, and what they are, as the index has them.
const FILES: [(Handout, &str, &str); 5] = [
    (
        Handout::Html,
        "plan.html",
        "the plan for the wall: who does what when, cars finished each day, who waits",
    ),
    (Handout::Pdf, "plan.pdf", "the same, to print and pin up"),
    (Handout::Text, "plan.txt", "the same as plain text"),
    (Handout::Tables, "plan.csv", "every part of every task"),
    (
        Handout::Tables,
        "plan.ics",
        "the same for a calendar; everyone's own lies in work-lists",
    ),
];

/// The seed where none is given.
pub const PLAN_SEED: u64 = 1;

/// Runs the command.
pub fn run(args: &PlanArgs, streams: &mut Streams<'_>) -> Result<Exit, Stop> {
    if let Some(path) = &args.instance {
        return plan_instance(path, args, streams);
    }
    let common = &args.common;
    let paths: Vec<PathBuf> = args.folder.clone().into_iter().collect();
    let input = Input::of(&paths)?;
    let asked = Wanted {
        plan: Want::Yes,
        from: args.from,
        ..Wanted::default()
    };
    let priced = match price(
        &input,
        common.card.as_deref(),
        common.json,
        common.without_bad,
        asked,
        streams,
    )? {
        Ok(priced) => priced,
        Err(exit) => return Ok(exit),
    };
    let Some(jobs) = &priced.jobs else {
        return Err(Stop::Failed(
            "bug: no jobs where a plan was asked for".to_owned(),
        ));
    };
    let person = args
        .person
        .as_deref()
        .map(|asked| find_person(asked, &priced.books.log.people))
        .transpose()?;
    let stop = stop_rule(args, rounds_for(jobs))?;
    let progress = Progress::start(streams.progress);
    progress.stage("planning");
    let made = LotPlan::of(
        &priced.storm,
        &priced.books.log.people,
        jobs,
        stop,
        args.seed,
    );
    drop(progress);
    let report = plan_report(&priced, jobs, &made);
    if let Some(out) = &args.out {
        let folder = ReportFolder::open(out, &input.paths())?;
        let kinds = PlanKinds {
            csv: true,
            html: true,
            pdf: Some(args.paper),
        };
        write_plan(&folder, &report, &[], kinds)?;
        // No plain text is written here, so one that lies there is stale.
        let kinds = wanted(&[Handout::Html, Handout::Pdf, Handout::Tables]);
        let (lists, written) = written_of_plan(&report, &kinds);
        say_stale(&stale_plan(&folder, &lists, &written), streams);
    }
    if common.json {
        streams.json(&plan_json(&report))?;
        say_plan_cautions(&report, streams);
    } else {
        let document = match person {
            Some(person) if report.is_possible() => work_list_page(&report, person, args.day),
            _ => plan_page(&report, args.day, None),
        };
        streams.print(&document_text(&document, streams.table_width()))?;
        if let Some(out) = &args.out {
            streams.print(&format!("\nwritten to {}\n", out.display()))?;
        }
    }
    let start = jobs.hours.start();
    if let Some(asked) = args.from.filter(|asked| *asked != start) {
        streams.say(&format!(
            "caution: the plan begins on {start}: the site is not at work on {asked}, or not yet\n"
        ));
    }
    say_cautions(&priced.problems, streams);
    Ok(if report.is_possible() {
        priced.exit()
    } else {
        Exit::Problems
    })
}

/// The plan beside what it was made of.
pub fn plan_report<'a>(priced: &'a Priced, jobs: &'a Jobs, made: &'a LotPlan) -> PlanReport<'a> {
    PlanReport {
        storm: &priced.storm,
        rates: &priced.rates,
        priced: &priced.priced,
        people: &priced.books.log.people,
        jobs,
        first_day: priced
            .books
            .time
            .hours
            .as_ref()
            .map_or(jobs.hours.start(), SiteHours::start),
        made,
    }
}

/// When the search ends: as asked, or after so many rounds.
pub fn stop_rule(args: &PlanArgs, rounds: u64) -> Result<StopRule, Stop> {
    Ok(match (args.rounds, args.seconds) {
        (Some(rounds), _) => StopRule::Rounds(rounds),
        (None, Some(seconds)) => StopRule::Time(
            Duration::try_from_secs_f64(seconds)
                .map_err(|error| Stop::Usage(format!("--seconds {seconds}: {error}")))?,
        ),
        (None, None) => StopRule::Rounds(rounds),
    })
}

/// Changes that are tried where nothing else is said: fewer where each costs
/// more, so that a plan takes seconds.
pub fn rounds_for(jobs: &Jobs) -> u64 {
    const TASK_CHANGES: u64 = 1_500_000;
    let tasks: usize = jobs.cars.iter().map(|job| job.tasks().count()).sum();
    (TASK_CHANGES / (tasks as u64).max(1)).clamp(40, 30_000)
}

/// Writes what is wanted of a plan beside a storm's reports; what of it the
/// index is to list.
pub fn write_plan_handouts(
    folder: &ReportFolder,
    report: &PlanReport<'_>,
    wanted: &BTreeSet<Handout>,
    paper: Paper,
) -> Result<Vec<IndexEntry>, Stop> {
    let kinds = PlanKinds {
        csv: wanted.contains(&Handout::Tables),
        html: wanted.contains(&Handout::Html),
        pdf: wanted.contains(&Handout::Pdf).then_some(paper),
    };
    let steps = [
        ("reports".to_owned(), Some("index.html".to_owned())),
        ("plan".to_owned(), None),
    ];
    write_plan(folder, report, &steps, kinds)?;
    if wanted.contains(&Handout::Text) {
        let plain = plan_page(report, None, None);
        folder.write("plan.txt", document_text(&plain, FILE_WIDTH).as_bytes())?;
    }
    let (_, written) = written_of_plan(report, wanted);
    let entries = FILES.iter().filter(|(_, path, _)| written.contains(path));
    Ok(entries
        .map(|(_, path, what)| IndexEntry {
            path: (*path).to_owned(),
            what,
        })
        .collect())
}

/// The work lists and the files of a plan that are written.
pub fn written_of_plan(
    report: &PlanReport<'_>,
    wanted: &BTreeSet<Handout>,
) -> (Vec<String>, Vec<&'static str>) {
    let lists = if report.is_possible() {
        statement_files(report.people)
    } else {
        Vec::new()
    };
    let files = FILES
        .iter()
        .filter(|(kind, _, _)| wanted.contains(kind))
        .filter(|(kind, _, _)| report.is_possible() || *kind != Handout::Tables);
    (lists, files.map(|(_, path, _)| *path).collect())
}

/// In which forms a plan is written.
#[derive(Debug, Clone, Copy)]
pub struct PlanKinds {
    /// As a table and as calendars.
    pub csv: bool,
    /// As pages for a browser.
    pub html: bool,
    /// As PDF, on this paper.
    pub pdf: Option<Paper>,
}

/// Writes the plan: `plan.csv`, `plan.ics`, the wall's page, and everyone's
/// work list. `steps` lead from the page to what it belongs to.
pub fn write_plan(
    folder: &ReportFolder,
    report: &PlanReport<'_>,
    steps: &[Step],
    kinds: PlanKinds,
) -> Result<(), Stop> {
    let day = Some(report.jobs.hours.start());
    let files = statement_files(report.people);
    let document = plan_page(report, None, None);
    if kinds.html {
        let linked = plan_page(report, None, Some(&files));
        folder.write("plan.html", page(&linked, steps)?.as_bytes())?;
    }
    if let Some(paper) = kinds.pdf {
        write_pdf(folder, "plan", &document, paper, day)?;
    }
    if !report.is_possible() {
        return Ok(());
    }
    let lists = folder.inside(WORK_LISTS)?;
    if kinds.csv {
        let grid = plan_grid(report, None);
        folder.write("plan.csv", &to_csv(&grid, report.storm.currency))?;
        folder.write("plan.ics", plan_calendar(report, None).as_bytes())?;
    }
    (0..report.people.len())
        .into_par_iter()
        .try_for_each(|person| -> Result<(), Stop> {
            let name = &files[person];
            if kinds.csv {
                let grid = plan_grid(report, Some(person));
                let table = to_csv(&grid, report.storm.currency);
                lists.write(&format!("{name}.csv"), &table)?;
                let calendar = plan_calendar(report, Some(person));
                lists.write(&format!("{name}.ics"), calendar.as_bytes())?;
            }
            if kinds.html || kinds.pdf.is_some() {
                let document = work_list_page(report, person, None);
                if kinds.html {
                    lists.write(&format!("{name}.html"), page(&document, &[])?.as_bytes())?;
                }
                if let Some(paper) = kinds.pdf {
                    write_pdf(&lists, name, &document, paper, day)?;
                }
            }
            Ok(())
        })
}

/// What of a plan wants a look, where no page says it.
pub fn say_plan_cautions(report: &PlanReport<'_>, streams: &mut Streams<'_>) {
    for said in plan_cautions(report) {
        streams.say(&format!("caution: {said}\n"));
    }
}
