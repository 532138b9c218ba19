//! The plan that is pinned to the wall: what is late, how long it takes, who
//! does what when, which cars go out, who waits and why.

use super::plan_picture::busy_by_day;
use super::{cars_text, hail_text, sender_lines};
use crate::crew::CarState;
use crate::planning::{Wait, WaitsFor};
use crate::report::document::{Block, Cell, Document, Table};
use crate::report::plan_report::{PlanLine, PlanReport, clock_text, day_text, hours_minutes};
use crate::report::plan_tables::{waits_together, waits_word};
use crate::report::plan_words::{impossible_texts, no_plan, plan_cautions, verdict};
use crate::storm::Panel;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// Waits below this are no matter of a wall.
const SHORT: i64 = 30;
/// Rows of waits that are shown; the JSON has them all.
const WAITS_SHOWN: usize = 200;

/// What a plan is and is not.
const PLAN_CAUTION: &str = "A plan is as good as its minutes and its log: it promises nothing that \
    was not counted yet. Hours, breaks, rest and overtime are for local law and a licensed adviser; \
    airbags, glass, high voltage, heat, solvents and dust for the vehicle maker's procedure, local \
    code and licensed practice.";

/// The folder of the work lists.
pub const WORK_LISTS: &str = "work-lists";

/// The wall's page; of one day where that is asked for. `files` are the names
/// of the work lists where the page may lead to them.
#[must_use]
pub fn plan_page(
    report: &PlanReport<'_>,
    only: Option<Date>,
    files: Option<&[String]>,
) -> Document {
    let storm = report.storm;
    let page = PlanPage { report, files };
    let mut blocks = vec![Block::Facts(page.facts())];
    if report.is_possible() {
        page.promises(&mut blocks);
        blocks.push(Block::Text(verdict(report)));
        page.by_day(only, &mut blocks);
        if only.is_none() {
            page.cars_out(&mut blocks);
            page.waits(&mut blocks);
            page.busy(&mut blocks);
            page.paces(&mut blocks);
        }
    } else {
        blocks.push(Block::Heading(no_plan(report).to_owned()));
        blocks.extend(impossible_texts(report).into_iter().map(Block::Text));
    }
    for text in plan_cautions(report) {
        blocks.push(Block::Caution {
            about: "look".to_owned(),
            text,
        });
    }
    blocks.push(Block::Caution {
        about: "the plan".to_owned(),
        text: PLAN_CAUTION.to_owned(),
    });
    Document {
        title: format!("{}: plan{}", storm.name, hail_text(storm)),
        sender: sender_lines(&storm.sender),
        number: String::new(),
        blocks,
    }
}

struct PlanPage<'a> {
    report: &'a PlanReport<'a>,
    files: Option<&'a [String]>,
}

impl PlanPage<'_> {
    fn facts(&self) -> Vec<(&'static str, String)> {
        let report = self.report;
        let jobs = report.jobs;
        let left = jobs.cars.iter().filter(|job| job.has_work()).count();
        let mut facts = vec![
            ("from", day_text(jobs.hours.start())),
            ("hours", jobs.hours.said()),
            ("people", report.people.len().to_string()),
            ("to do", cars_text(left)),
        ];
        if !jobs.uncounted.is_empty() {
            let cars = cars_text(jobs.uncounted.len());
            facts.push(("uncounted", format!("{cars}, not in the plan")));
        }
        facts.push(("now", self.states()));
        if let Some(bays) = jobs.site.bays {
            facts.push(("bays", bays.to_string()));
        }
        facts.push((
            "promises",
            match self.promised() {
                (0, _) => "none were made".to_owned(),
                (all, late) => format!("{} of {all} kept", all - late),
            },
        ));
        facts.push(("idle", self.idle_days()));
        facts
    }

    /// Cars with a due day and work, and how many of them are late.
    fn promised(&self) -> (usize, usize) {
        let made = self.report.made;
        let all = made
            .problem
            .cars
            .iter()
            .zip(&made.outcome.ends)
            .filter(|(car, end)| car.due.is_some() && end.is_some())
            .count();
        (all, self.report.late().len())
    }

    /// How many cars are how far: `2 counted, 1 in dents, 33 finished`.
    fn states(&self) -> String {
        let mut states: BTreeMap<CarState, usize> = BTreeMap::new();
        for job in &self.report.jobs.cars {
            *states.entry(job.state).or_default() += 1;
        }
        let said: Vec<String> = states
            .iter()
            .map(|(state, cars)| format!("{cars} {}", state.word()))
            .collect();
        said.join(", ")
    }

    fn idle_days(&self) -> String {
        match self.report.made.plan.score.idle {
            1 => "1 person-day".to_owned(),
            days => format!("{days} person-days"),
        }
    }

    /// What can't be kept any more, first of all.
    fn promises(&self, blocks: &mut Vec<Block>) {
        let report = self.report;
        let late = report.late();
        if late.is_empty() {
            return;
        }
        blocks.push(Block::Heading("Promises that do not hold".to_owned()));
        let mut table = Table::new("What was promised, and when the plan finishes it")
            .words("stock", 0)
            .words("promised", 0)
            .words("finished", 0)
            .figures("days late", 0)
            .words("under any plan", 1)
            .words("now", 2);
        for job in late {
            let car = report.job(job);
            let due = report.storm.cars[car.car].vehicle.due;
            let end = report.made.outcome.ends[job].unwrap_or(0);
            let any = if report.made.cannot_hold(job) {
                "can't be held"
            } else {
                ""
            };
            table.row(vec![
                report.stock(job).into(),
                due.map_or(String::new(), |due| due.to_string()).into(),
                day_text(report.day_of(end)).into(),
                report.made.outcome.late[job].to_string().into(),
                any.into(),
                car.state.word().into(),
            ]);
        }
        blocks.push(Block::Table(table.without_empty_columns()));
    }

    fn by_day(&self, only: Option<Date>, blocks: &mut Vec<Block>) {
        let mut days: BTreeMap<Date, Vec<PlanLine>> = BTreeMap::new();
        for line in self.report.lines(None) {
            days.entry(line.part.day).or_default().push(line);
        }
        let mut shown = 0;
        for (day, lines) in &days {
            if only.is_some_and(|only| only != *day) {
                continue;
            }
            shown += 1;
            blocks.push(Block::Table(self.day(*day, lines)));
        }
        if let (0, Some(only)) = (shown, only) {
            blocks.push(Block::Text(format!(
                "Nothing is planned on {}.",
                day_text(only)
            )));
        }
    }

    fn day(&self, day: Date, lines: &[PlanLine]) -> Table {
        let report = self.report;
        let mut table = Table::new(format!("Work on {}", day_text(day)))
            .words("person", 0)
            .words("from", 0)
            .words("to", 0)
            .words("stock", 0)
            .words("row", 2)
            .words("stage", 0)
            .words("panels", 0);
        let mut last = usize::MAX;
        for line in lines {
            // A name once, above its lines.
            let name = if line.person == last {
                String::new()
            } else {
                report.people[line.person].name.clone()
            };
            last = line.person;
            let vehicle = &report.storm.cars[report.job(line.job).car].vehicle;
            table.row(vec![
                name.into(),
                clock_text(line.part.from).into(),
                clock_text(line.part.to).into(),
                vehicle.stock.as_str().into(),
                vehicle.row.as_str().into(),
                line.stage.word().into(),
                panels_text(line).into(),
            ]);
        }
        table.without_empty_columns()
    }

    fn cars_out(&self, blocks: &mut Vec<Block>) {
        let report = self.report;
        let mut table = Table::new("Cars finished each day")
            .words("day", 0)
            .figures("cars", 0)
            .words("stock", 0);
        let mut all = 0;
        for (day, jobs) in report.out_by_day() {
            all += jobs.len();
            let stocks: Vec<&str> = jobs.iter().map(|job| report.stock(*job)).collect();
            table.row(vec![
                day_text(day).into(),
                jobs.len().to_string().into(),
                stocks.join(", ").into(),
            ]);
        }
        table.sums(vec!["together".into(), all.to_string().into(), "".into()]);
        blocks.push(Block::Table(table));
    }

    fn waits(&self, blocks: &mut Vec<Block>) {
        let report = self.report;
        let outcome = &report.made.outcome;
        let together = waits_together(outcome);
        if together.is_empty() {
            return;
        }
        blocks.push(Block::Heading("Who waits, and why".to_owned()));
        let mut table = Table::new("Waiting in all")
            .words("person", 0)
            .words("for", 0)
            .figures("time", 0);
        for (person, why, minutes) in together {
            table.row(vec![
                report.people[person].name.as_str().into(),
                waits_word(why).into(),
                hours_minutes(minutes).into(),
            ]);
        }
        blocks.push(Block::Table(table));
        let mut long: Vec<&Wait> = outcome
            .waits
            .iter()
            .filter(|wait| wait.minutes >= SHORT && wait.why != WaitsFor::MoreWork)
            .collect();
        long.sort_by_key(|wait| (wait.from, wait.worker));
        if long.is_empty() {
            return;
        }
        let mut table = Table::new(format!("Waits of {SHORT} minutes and more"))
            .words("person", 0)
            .words("from", 0)
            .words("to", 0)
            .figures("time", 0)
            .words("for", 0)
            .words("next car", 1);
        let hours = &report.jobs.hours;
        for wait in long.iter().take(WAITS_SHOWN) {
            table.row(vec![
                report.people[wait.worker].name.as_str().into(),
                moment_text(hours.begins(wait.from)).into(),
                moment_text(hours.ends(wait.to)).into(),
                hours_minutes(wait.minutes).into(),
                waits_word(wait.why).into(),
                wait.car
                    .map_or(Cell::default(), |car| report.stock(car).into()),
            ]);
        }
        blocks.push(Block::Table(table));
        if long.len() > WAITS_SHOWN {
            blocks.push(Block::Text(format!(
                "{} more such waits: `hailyard plan --json` has them.",
                long.len() - WAITS_SHOWN
            )));
        }
    }

    fn busy(&self, blocks: &mut Vec<Block>) {
        let report = self.report;
        blocks.push(Block::Heading("How busy everyone is".to_owned()));
        let mut table = Table::new("Work up to the last car")
            .words("person", 0)
            .figures("here", 0)
            .figures("work", 0)
            .figures("busy %", 0);
        let people = report.people.iter().zip(&report.made.outcome.busy);
        for (at, (person, busy)) in people.enumerate() {
            let name = match self.files {
                Some(files) => Cell::to(
                    &person.name,
                    format!(
                        "{WORK_LISTS}/{}.html",
                        files[at].replace('%', "%25").replace(' ', "%20")
                    ),
                ),
                None => person.name.as_str().into(),
            };
            let share = if busy.here == 0 {
                String::new()
            } else {
                // Half up, in whole percents: for a look, and no money.
                ((busy.work * 200 + busy.here) / (busy.here * 2)).to_string()
            };
            table.row(vec![
                name,
                hours_minutes(busy.here).into(),
                hours_minutes(busy.work).into(),
                share.into(),
            ]);
        }
        blocks.push(Block::Table(table));
        blocks.extend(busy_by_day(report).into_iter().map(Block::Picture));
    }

    fn paces(&self, blocks: &mut Vec<Block>) {
        let report = self.report;
        let paces = &report.jobs.paces;
        blocks.push(Block::Heading("How quick everyone is".to_owned()));
        let Some(learned) = &paces.learned else {
            blocks.push(Block::Text(
                "No finished task with hours is logged yet, so everyone is planned at the stated speed."
                    .to_owned(),
            ));
            return;
        };
        let mut said = format!(
            "From {} finished tasks with hours: the standard takes {:.2} times its minutes (standard \
             error of the log {:.3}), one task spreads by {:.2} of its log, one person from the next by {:.2}.",
            learned.tasks,
            libm::exp(learned.mean + learned.sigma * learned.sigma / 2.0),
            learned.mean_error,
            learned.sigma,
            learned.sigma_person,
        );
        if learned.sigma_person == 0.0 {
            said.push_str(" People differ no more than chance would have it, so none is drawn from the stated speed.");
        }
        blocks.push(Block::Text(said));
        let mut table = Table::new("Speeds")
            .words("person", 0)
            .figures("stated", 0)
            .figures("learned", 0)
            .figures("planned with", 1)
            .figures("tasks behind it", 0);
        for (person, pace) in report.people.iter().zip(&paces.people) {
            table.row(vec![
                person.name.as_str().into(),
                pace.stated.normalize().to_string().into(),
                format!("{:.2}", pace.learned).into(),
                format!("{:.2}", pace.planned).into(),
                pace.tasks.to_string().into(),
            ]);
        }
        blocks.push(Block::Table(table));
        blocks.push(Block::Text(
            "Learned: against the corrected standard. Planned with: standard minutes done in a minute, on the mean."
                .to_owned(),
        ));
    }
}

/// `hood, roof (goes on)`.
pub(super) fn panels_text(line: &PlanLine) -> String {
    let panels: Vec<&str> = line
        .panels
        .iter()
        .map(|panel| Panel::word(*panel))
        .collect();
    let mut text = panels.join(", ");
    if line.goes_on {
        text = format!("{text} (goes on)").trim_start().to_owned();
    }
    text
}

/// `Mon 2026-06-15 07:30`.
fn moment_text(moment: jiff::civil::DateTime) -> String {
    let minutes = i64::from(moment.hour()) * 60 + i64::from(moment.minute());
    format!("{} {}", day_text(moment.date()), clock_text(minutes))
}
