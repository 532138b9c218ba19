//! A plan as a table of values and as JSON.

use super::grid::{Grid, Kind, Value, columns};
use super::plan_report::{PlanReport, clock_text};
use crate::crew::Jobs;
use crate::planning::{BoundBy, Outcome, Stage, Trades, Wait, WaitsFor};
use crate::storm::Panel;

/// `plan.csv`: every part of every task, or of one person's.
#[must_use]
pub fn plan_grid<'a>(report: &PlanReport<'a>, only: Option<usize>) -> Grid<'a> {
    let rows = report.parts(only).into_iter().map(|part| {
        let vehicle = &report.storm.cars[report.job(part.job).car].vehicle;
        vec![
            Value::text(part.part.day.to_string()),
            Value::text(clock_text(part.part.from)),
            Value::text(clock_text(part.part.to)),
            Value::text(report.people[part.person].name.as_str()),
            Value::text(vehicle.stock.as_str()),
            Value::text(vehicle.row.as_str()),
            Value::text(part.stage.word()),
            Value::text(part.panel.map_or("", Panel::word)),
            count((part.part.to - part.part.from).unsigned_abs()),
            count(part.number as u64),
            count(part.of as u64),
        ]
    });
    Grid {
        columns: columns(&[
            ("date", Kind::Text),
            ("from", Kind::Text),
            ("to", Kind::Text),
            ("person", Kind::Text),
            ("stock", Kind::Text),
            ("row", Kind::Text),
            ("stage", Kind::Text),
            ("panel", Kind::Text),
            ("minutes", Kind::Count),
            ("part", Kind::Count),
            ("of", Kind::Count),
        ]),
        rows: rows.collect(),
    }
}

fn count<'a>(figure: u64) -> Value<'a> {
    Value::count(Some(figure))
}

/// The plan as JSON.
#[must_use]
pub fn plan_json(report: &PlanReport<'_>) -> serde_json::Value {
    let hours = &report.jobs.hours;
    let made = report.made;
    let day = hours.day_minutes();
    // A part of a plan is none.
    let planned = report.is_possible().then_some(&made.plan.tasks);
    let tasks: Vec<serde_json::Value> = planned
        .into_iter()
        .flatten()
        .map(|task| {
            let panel = task
                .panel
                .map(|at| report.job(task.car).panels[at].0.word());
            serde_json::json!({
                "stock": report.stock(task.car),
                "stage": task.stage.word(),
                "panel": panel,
                "person": report.people[task.worker].name,
                "start": hours.begins(task.start).to_string(),
                "end": hours.ends(task.end).to_string(),
                "minutes": task_minutes(report.jobs, task.worker, task.start, task.end),
            })
        })
        .collect();
    let cars: Vec<serde_json::Value> = report
        .jobs
        .cars
        .iter()
        .enumerate()
        .map(|(job, of)| {
            let end = made.outcome.ends[job];
            serde_json::json!({
                "stock": report.stock(job),
                "state": of.state.word(),
                "finished": end.map(|end| hours.ends(end).to_string()),
                "due": report.storm.cars[of.car].vehicle.due.map(|due| due.to_string()),
                "days_late": made.outcome.late[job],
                "no_plan_can_hold_it": made.cannot_hold(job),
            })
        })
        .collect();
    let people: Vec<serde_json::Value> = report
        .people
        .iter()
        .enumerate()
        .map(|(at, person)| {
            let pace = &report.jobs.paces.people[at];
            let busy = made.outcome.busy[at];
            serde_json::json!({
                "person": person.name,
                "speed_stated": pace.stated.normalize().to_string(),
                "speed_learned": (pace.learned * 1e4).round() / 1e4,
                "pace_planned": pace.planned.normalize().to_string(),
                "tasks_behind_it": pace.tasks,
                "minutes_of_work": busy.work,
                "minutes_here": busy.here,
            })
        })
        .collect();
    let waits: Vec<serde_json::Value> = made
        .outcome
        .waits
        .iter()
        .map(|wait| {
            serde_json::json!({
                "person": report.people[wait.worker].name,
                "from": hours.begins(wait.from).to_string(),
                "to": hours.ends(wait.to).to_string(),
                "minutes": wait.minutes,
                "for": waits_word(wait.why),
                "stock": wait.car.map(|car| report.stock(car)),
            })
        })
        .collect();
    let score = &made.plan.score;
    serde_json::json!({
        "format": 1,
        "storm": report.storm.name,
        "from": hours.start().to_string(),
        "possible": report.is_possible(),
        "why_not": super::plan_words::impossible_texts(report),
        "days": score.days,
        "last_day": report.last_day().map(|day| day.to_string()),
        "end_minute": score.end,
        "minutes_of_a_day": day,
        "bound_days": made.least_days(),
        "bound_minute": made.bound.end,
        "bound_by": bound_word(report, made.bound.by),
        "days_late_weighted": score.late,
        "idle_days": score.idle,
        "cars": cars,
        "people": people,
        "waits": waits,
        "tasks": tasks,
        "uncounted": report.jobs.uncounted.iter().map(|of| report.storm.cars[of.car].vehicle.stock.as_str()).collect::<Vec<_>>(),
    })
}

/// What a plan comes to, without its tasks, as JSON.
#[must_use]
pub fn plan_sums_json(report: &PlanReport<'_>) -> serde_json::Value {
    let made = report.made;
    serde_json::json!({
        "from": report.jobs.hours.start().to_string(),
        "possible": report.is_possible(),
        "why_not": super::plan_words::impossible_texts(report),
        "days": made.plan.score.days,
        "last_day": report.last_day().map(|day| day.to_string()),
        "bound_days": made.least_days(),
        "late": report.late().into_iter().map(|job| report.stock(job)).collect::<Vec<_>>(),
    })
}

/// Minutes of a task itself: days away of its person are none of it.
fn task_minutes(jobs: &Jobs, person: usize, start: i64, end: i64) -> i64 {
    let parts = jobs
        .hours
        .parts(start, end, |day| jobs.is_here(person, day));
    parts.iter().map(|part| part.to - part.from).sum()
}

/// What holds the bound up, in a word.
fn bound_word(report: &PlanReport<'_>, by: BoundBy) -> String {
    match by {
        BoundBy::Nothing => String::new(),
        BoundBy::Group(trades) => trades_word(trades),
        BoundBy::Car(job) => format!("car {}", report.stock(job)),
        BoundBy::Bays => "bays".to_owned(),
    }
}

/// `dents and finish`.
#[must_use]
pub fn trades_word(trades: Trades) -> String {
    let words = [
        (Trades::DENTS, "dents"),
        (Trades::STRIP, "strip and fit"),
        (Trades::FINISH, "finish"),
    ];
    let of: Vec<&str> = words
        .into_iter()
        .filter(|(trade, _)| trades.meets(*trade))
        .map(|(_, word)| word)
        .collect();
    of.join(", ")
}

/// What somebody waits for, in words.
#[must_use]
pub fn waits_word(why: WaitsFor) -> &'static str {
    match why {
        WaitsFor::Car => "no car",
        WaitsFor::Parts => "parts",
        WaitsFor::Stage(Stage::Strip) => "strip",
        WaitsFor::Stage(Stage::Dents) => "dents",
        WaitsFor::Stage(Stage::Fit | Stage::Finish) => "fit",
        WaitsFor::Bay => "no bay",
        WaitsFor::Hands => "hands on the car",
        WaitsFor::Nothing => "nothing: it could begin earlier",
        WaitsFor::MoreWork => "no more work",
    }
}

/// Waits of one person for one reason, added up: person, reason, minutes, in
/// crew order.
#[must_use]
pub fn waits_together(outcome: &Outcome) -> Vec<(usize, WaitsFor, i64)> {
    let mut all: Vec<(usize, WaitsFor, i64)> = Vec::new();
    for Wait {
        worker,
        minutes,
        why,
        ..
    } in &outcome.waits
    {
        match all
            .iter_mut()
            .find(|(person, of, _)| person == worker && of == why)
        {
            Some((_, _, sum)) => *sum += minutes,
            None => all.push((*worker, *why, *minutes)),
        }
    }
    all.sort_by_key(|(person, why, _)| (*person, *why));
    all
}
