//! What a plan comes to, in sentences.

use super::plain::wrap_into;
use super::plan_report::{PlanReport, day_text, hours_minutes};
use super::plan_tables::trades_word;
use super::terminal::Width;
use crate::planning::{BoundBy, Impossible, NEVER, Stage};

/// How long it takes and how near that is to what is possible.
#[must_use]
pub fn verdict(report: &PlanReport<'_>) -> String {
    let made = report.made;
    let Some(last) = report.last_day() else {
        return "Nothing is left to do.".to_owned();
    };
    let score = &made.plan.score;
    let days = days_text(score.days);
    let gap_days = score.days - made.least_days();
    let gap = score.end - made.bound.end;
    let held = match made.bound.by {
        BoundBy::Nothing => String::new(),
        BoundBy::Group(trades) => format!("; the people of {} hold it up", trades_word(trades)),
        BoundBy::Car(job) => format!("; car {} holds it up", report.stock(job)),
        BoundBy::Bays => "; the bays hold it up".to_owned(),
    };
    let proved = if gap == 0 {
        "no plan under these rules ends earlier".to_owned()
    } else if gap_days == 0 {
        format!(
            "no plan under these rules ends on an earlier day, and none more than {} earlier",
            hours_minutes(gap)
        )
    } else {
        format!(
            "no plan under these rules ends more than {} earlier, {} of work",
            days_text(gap_days),
            hours_minutes(gap)
        )
    };
    format!(
        "The last car is finished on {}, after {days}; {proved}{held}.",
        day_text(last)
    )
}

/// The plan in a few lines, under a storm's summary.
#[must_use]
pub fn plan_summary(report: &PlanReport<'_>, width: Width) -> String {
    let mut text = String::from("\n");
    if !report.is_possible() {
        let head = format!("{} for what is left:", no_plan(report));
        wrap_into(&mut text, &head, width, "  ");
        for reason in impossible_texts(report) {
            wrap_into(&mut text, &reason, width, "  ");
        }
        return text;
    }
    let late = report.late();
    if !late.is_empty() {
        let stocks: Vec<&str> = late.iter().map(|job| report.stock(*job)).collect();
        let said = format!("promised and late by the plan: {}", stocks.join(", "));
        wrap_into(&mut text, &said, width, "  ");
    }
    let said = format!("{} `hailyard plan` shows who does what.", verdict(report));
    wrap_into(&mut text, &said, width, "  ");
    text
}

fn days_text(days: i64) -> String {
    match days {
        1 => "1 working day".to_owned(),
        days => format!("{days} working days"),
    }
}

/// That there is no plan, as far as that is proved.
#[must_use]
pub fn no_plan(report: &PlanReport<'_>) -> &'static str {
    let only_searched = |reason: &Impossible| matches!(reason, Impossible::EveryoneGone { .. });
    if report.made.bound.end < NEVER && report.made.impossible.iter().all(only_searched) {
        "No plan was found"
    } else {
        "There is no plan"
    }
}

/// Why there is no plan, each with its cure.
#[must_use]
pub fn impossible_texts(report: &PlanReport<'_>) -> Vec<String> {
    report
        .made
        .impossible
        .iter()
        .map(|reason| impossible_text(report, reason))
        .collect()
}

fn impossible_text(report: &PlanReport<'_>, reason: &Impossible) -> String {
    let cars = |cars: &[usize]| match cars {
        [one] => format!("car {}", report.stock(*one)),
        [first, ..] => format!("{} cars, {} first", cars.len(), report.stock(*first)),
        [] => String::new(),
    };
    let doer = |stage: Stage| match stage {
        Stage::Strip | Stage::Fit => "strip",
        stage => stage.word(),
    };
    match reason {
        Impossible::NoBay => {
            "There is no bay, so no car can be worked on. One bay or more cures it ([site] bays)."
                .to_owned()
        }
        Impossible::TooFar { days } => format!(
            "It would take {days} working days. More people, or fewer minutes in [time], cure it."
        ),
        Impossible::FarAway { car } => format!(
            "Car {} or its parts come so late that nobody plans for it. A sound day for it in the vehicle list cures it.",
            report.stock(*car)
        ),
        Impossible::Nobody { stage, cars: of } => format!(
            "Nobody can do {} of {}. Somebody with the trade {} in the crew list cures it.",
            stage.word(),
            cars(of),
            doer(*stage)
        ),
        Impossible::TooLong {
            stage,
            car,
            minutes,
        } => format!(
            "Car {} has {} work that takes {} in one piece, longer than anyone with the trade {} is here. \
             Somebody who stays longer cures it.",
            report.stock(*car),
            stage.word(),
            hours_minutes(*minutes),
            doer(*stage)
        ),
        Impossible::EveryoneGone {
            stage,
            cars: of,
            minutes,
            last,
        } => {
            let gone = match *last {
                0 => "nobody with that trade is here any more".to_owned(),
                last if last >= NEVER => "it can't be begun in time".to_owned(),
                last => format!(
                    "the last with that trade leaves after {}",
                    day_text(report.day_of(last))
                ),
            };
            format!(
                "{} of {}, {} of it, found no place: {gone}. Staying longer, or one more with the trade {}, cures it.",
                capital(stage.word()),
                cars(of),
                hours_minutes(*minutes),
                doer(*stage)
            )
        }
    }
}

fn capital(word: &str) -> String {
    let mut chars = word.chars();
    chars.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(chars).collect()
    })
}

/// What of a plan wants a look: days that are logged beyond it, work that was
/// handed over, parts that nobody waits for, people who can't be planned.
#[must_use]
pub fn plan_cautions(report: &PlanReport<'_>) -> Vec<String> {
    let jobs = report.jobs;
    let start = jobs.hours.start();
    let mut said = Vec::new();
    if let Some(logged) = jobs.logged_to.filter(|logged| *logged >= start) {
        said.push(format!(
            "the log goes to {logged}, the plan begins on {start}: what is logged on later days is taken as done"
        ));
    }
    let first = report.first_day;
    if let Some(logged) = jobs
        .logged_to
        .filter(|logged| (*logged - first).get_days() > 366)
    {
        said.push(format!(
            "the log goes to {logged}, more than a year after the site's first day: is a year mistyped?"
        ));
    }
    for person in report.people {
        if person.trades.is_empty() {
            said.push(format!(
                "{} has no trade in the crew list, so nothing is planned for them",
                person.name
            ));
        }
    }
    let later = report.made.handed_over.iter();
    let later = later.map(|(job, person)| (jobs.cars[*job].car, *person));
    for (car, person) in jobs.handed_over.iter().copied().chain(later) {
        said.push(format!(
            "{} began work on {} and is no longer here to end it: it is planned for whoever can",
            report.people[person].name, report.storm.cars[car].vehicle.stock
        ));
    }
    let without_fit: Vec<&str> = jobs
        .cars
        .iter()
        .filter(|job| job.has_work() && job.parts_due.is_some() && job.fit.is_none())
        .map(|job| report.storm.cars[job.car].vehicle.stock.as_str())
        .collect();
    if !without_fit.is_empty() {
        said.push(format!(
            "parts are due for cars that nothing is put back on, and nobody waits for them: {}",
            without_fit.join(", ")
        ));
    }
    let unlogged: Vec<&str> = jobs
        .cars
        .iter()
        .filter(|job| job.is_fitted && (job.strip.is_some() || !job.panels.is_empty()))
        .map(|job| report.storm.cars[job.car].vehicle.stock.as_str())
        .collect();
    if !unlogged.is_empty() {
        said.push(format!(
            "put back or finished by the log, with earlier work that nobody logged, which is planned: {}",
            unlogged.join(", ")
        ));
    }
    said
}
