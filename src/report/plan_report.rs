//! A lot's plan as rows of days, people and cars: behind every format of it.

use crate::crew::{CarJob, Jobs, Part};
use crate::planning::{LotPlan, Minute, PlannedTask, Stage};
use crate::pricing::PricedStorm;
use crate::rates::Rates;
use crate::storm::{Panel, Person, Storm};
use jiff::civil::Date;

/// A plan beside what it was made of.
#[derive(Clone, Copy)]
pub struct PlanReport<'a> {
    /// The storm.
    pub storm: &'a Storm,
    /// Its rates.
    pub rates: &'a Rates,
    /// Its prices.
    pub priced: &'a PricedStorm,
    /// The crew.
    pub people: &'a [Person],
    /// What is left to do.
    pub jobs: &'a Jobs,
    /// The site's first day.
    pub first_day: Date,
    /// Who does it when.
    pub made: &'a LotPlan,
}

/// One stretch of one task on one day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TaskPart {
    /// Index into the crew.
    pub person: usize,
    /// Index into [`Jobs::cars`].
    pub job: usize,
    /// The stage.
    pub stage: Stage,
    /// The panel, for dents.
    pub panel: Option<Panel>,
    /// When.
    pub part: Part,
    /// Which part of the task, from 1.
    pub number: usize,
    /// Of how many.
    pub of: usize,
}

/// What one person does on one car without a pause.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanLine {
    /// Index into the crew.
    pub person: usize,
    /// Index into [`Jobs::cars`].
    pub job: usize,
    /// The stage.
    pub stage: Stage,
    /// Panels, in the order in which they are done.
    pub panels: Vec<Panel>,
    /// When.
    pub part: Part,
    /// Whether the last of it goes on later.
    pub goes_on: bool,
}

impl<'a> PlanReport<'a> {
    /// The stock of a job's car.
    #[must_use]
    pub fn stock(&self, job: usize) -> &'a str {
        &self.storm.cars[self.jobs.cars[job].car].vehicle.stock
    }

    /// A job.
    #[must_use]
    pub fn job(&self, job: usize) -> &'a CarJob {
        &self.jobs.cars[job]
    }

    /// The day on which a minute that ends something lies.
    #[must_use]
    pub fn day_of(&self, end: Minute) -> Date {
        self.jobs.hours.day_of_end(end)
    }

    /// Whether every task has its place.
    #[must_use]
    pub fn is_possible(&self) -> bool {
        self.made.impossible.is_empty()
    }

    /// Every part of every task, by time, then in crew order; of one person where
    /// that is asked for.
    #[must_use]
    pub fn parts(&self, only: Option<usize>) -> Vec<TaskPart> {
        let tasks = self.made.plan.tasks.iter();
        let wanted = tasks.filter(|task| only.is_none_or(|only| only == task.worker));
        let mut parts: Vec<TaskPart> = wanted.flat_map(|task| self.parts_of(task)).collect();
        parts.sort_by_key(|part| (part.part, part.person));
        parts
    }

    fn parts_of(&self, task: &PlannedTask) -> Vec<TaskPart> {
        let hours = &self.jobs.hours;
        let parts = hours.parts(task.start, task.end, |day| {
            self.jobs.is_here(task.worker, day)
        });
        let of = parts.len();
        let panel = task.panel.map(|at| self.job(task.car).panels[at].0);
        parts
            .into_iter()
            .enumerate()
            .map(|(at, part)| TaskPart {
                person: task.worker,
                job: task.car,
                stage: task.stage,
                panel,
                part,
                number: at + 1,
                of,
            })
            .collect()
    }

    /// The plan day by day, person by person; panels of one car that follow
    /// each other are one line. Of one person where that is asked for.
    #[must_use]
    pub fn lines(&self, only: Option<usize>) -> Vec<PlanLine> {
        let mut parts = self.parts(only);
        parts.sort_by_key(|part| (part.part.day, part.person, part.part.from));
        let mut lines: Vec<PlanLine> = Vec::new();
        for part in parts {
            if let Some(last) = lines.last_mut()
                && last.part.day == part.part.day
                && last.part.to == part.part.from
                && (last.person, last.job, last.stage) == (part.person, part.job, part.stage)
            {
                last.panels.extend(part.panel);
                last.part.to = part.part.to;
                last.goes_on = part.number < part.of;
                continue;
            }
            lines.push(PlanLine {
                person: part.person,
                job: part.job,
                stage: part.stage,
                panels: part.panel.into_iter().collect(),
                part: part.part,
                goes_on: part.number < part.of,
            });
        }
        lines
    }

    /// The last day of the plan.
    #[must_use]
    pub fn last_day(&self) -> Option<Date> {
        let end = self.made.plan.score.end;
        (end > 0).then(|| self.day_of(end))
    }

    /// Jobs by the day on which the plan finishes them: the day, and each job's
    /// place, in lot order.
    #[must_use]
    pub fn out_by_day(&self) -> Vec<(Date, Vec<usize>)> {
        let mut ends: Vec<(Date, usize)> = self
            .made
            .outcome
            .ends
            .iter()
            .enumerate()
            .filter_map(|(job, end)| Some((self.day_of((*end)?), job)))
            .collect();
        ends.sort_unstable();
        let mut days: Vec<(Date, Vec<usize>)> = Vec::new();
        for (day, job) in ends {
            match days.last_mut() {
                Some((last, jobs)) if *last == day => jobs.push(job),
                _ => days.push((day, vec![job])),
            }
        }
        days
    }

    /// Jobs whose promise the plan does not keep, the latest first.
    #[must_use]
    pub fn late(&self) -> Vec<usize> {
        let late = &self.made.outcome.late;
        let mut jobs: Vec<usize> = (0..late.len()).filter(|job| late[*job] > 0).collect();
        jobs.sort_by_key(|job| (-late[*job], *job));
        jobs
    }
}

/// `07:30`.
#[must_use]
pub fn clock_text(minutes: i64) -> String {
    format!("{:02}:{:02}", minutes / 60, minutes % 60)
}

/// Minutes as hours and minutes: `2 h 05`.
#[must_use]
pub fn hours_minutes(minutes: Minute) -> String {
    match (minutes / 60, minutes % 60) {
        (0, rest) => format!("{rest} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, rest) => format!("{hours} h {rest:02}"),
    }
}

/// `Mon 2026-06-15`.
#[must_use]
pub fn day_text(day: Date) -> String {
    const DAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
    let weekday = usize::from(day.weekday().to_monday_zero_offset().unsigned_abs());
    format!("{} {day}", DAYS[weekday])
}
