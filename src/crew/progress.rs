//! What the work log says is done, task by task.

use super::car_work::CarWork;
use super::learning::LoggedTask;
use crate::storm::{CrewLog, Storm, Trade, WorkRow};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use std::collections::HashMap;

/// How far a task is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum TaskState {
    /// Nothing is logged.
    #[default]
    Open,
    /// Begun by a person, with so many hours since it was last finished.
    Begun {
        /// Index into the crew list.
        person: usize,
        /// Hours logged on it.
        hours: Decimal,
    },
    /// Its last row says done.
    Finished,
}

/// How far a car is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum CarState {
    /// It has not arrived yet.
    Expected,
    /// It is here and not counted.
    Arrived,
    /// It is counted, and nothing is finished.
    Counted,
    /// What hides the dents is off.
    Stripped,
    /// Dents are begun.
    InDents,
    /// Everything is back on, or nothing had to come off and the dents are done.
    Fitted,
    /// All is done.
    Finished,
    /// Nothing on it is work of this crew.
    NoWork,
}

impl CarState {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            CarState::Expected => "expected",
            CarState::Arrived => "arrived",
            CarState::Counted => "counted",
            CarState::Stripped => "stripped",
            CarState::InDents => "in dents",
            CarState::Fitted => "fitted",
            CarState::Finished => "finished",
            CarState::NoWork => "without work",
        }
    }
}

/// The tasks of one car as the log has them.
#[derive(Debug, Clone, Default)]
pub struct Progress {
    /// Taking off.
    pub strip: TaskState,
    /// As in [`CarWork::panels`].
    pub panels: Vec<TaskState>,
    /// Putting back.
    pub fit: TaskState,
    /// The last stage.
    pub finish: TaskState,
}

impl Progress {
    /// Whether anything was done that is done in a bay.
    #[must_use]
    pub fn is_begun(&self) -> bool {
        let states = self.panels.iter().chain([&self.strip, &self.fit]);
        states.into_iter().any(|state| *state != TaskState::Open)
    }

    /// How far a counted car is that has this work.
    #[must_use]
    pub fn state(&self, work: &CarWork) -> CarState {
        let over =
            |minutes: Decimal, state: TaskState| minutes.is_zero() || state == TaskState::Finished;
        let dents_over = self
            .panels
            .iter()
            .all(|state| *state == TaskState::Finished);
        let begun = self.panels.iter().any(|state| *state != TaskState::Open);
        let stripped = over(work.strip, self.strip);
        let fitted = stripped && dents_over && over(work.fit, self.fit);
        if work.total().is_zero() {
            CarState::NoWork
        } else if fitted && over(work.finish, self.finish) {
            CarState::Finished
        } else if fitted {
            CarState::Fitted
        } else if begun {
            CarState::InDents
        } else if stripped && !work.strip.is_zero() {
            CarState::Stripped
        } else {
            CarState::Counted
        }
    }
}

/// One task while the log is read.
#[derive(Debug, Clone, Default)]
struct Track {
    state: TaskState,
    /// What it teaches: hours of one person, all of them known, nothing done again.
    person: Option<usize>,
    hours: Decimal,
    teaches: bool,
    seen: bool,
}

impl Track {
    fn row(&mut self, row: &WorkRow, hours: Option<Decimal>) {
        let before = match self.state {
            TaskState::Begun { hours, .. } => hours,
            _ => Decimal::ZERO,
        };
        self.teaches = hours.is_some()
            && !row.redo
            && (!self.seen || self.teaches && self.person == Some(row.person));
        self.seen = true;
        self.person = Some(row.person);
        self.hours += hours.unwrap_or_default();
        self.state = if row.done {
            TaskState::Finished
        } else {
            TaskState::Begun {
                person: row.person,
                hours: before + hours.unwrap_or_default(),
            }
        };
    }
}

/// The tracks of one car.
struct CarTracks {
    strip: Track,
    panels: Vec<Track>,
    fit: Track,
    finish: Track,
    /// Rows for the car as a whole: a lesson of all its panels together.
    whole: Track,
    by_panel: bool,
}

/// How far every car is, and what the finished tasks teach.
///
/// A task whose last row, by date and then by the file, is done is finished. A
/// row of dents without a panel is of all panels that are not finished by then;
/// its hours are theirs by their minutes.
#[must_use]
pub fn progress(
    storm: &Storm,
    log: &CrewLog,
    work: &[CarWork],
) -> (Vec<Progress>, Vec<LoggedTask>) {
    let places: HashMap<&str, usize> = storm
        .cars
        .iter()
        .enumerate()
        .map(|(at, car)| (car.vehicle.stock.as_str(), at))
        .collect();
    let mut tracks: Vec<CarTracks> = work
        .iter()
        .map(|work| CarTracks {
            strip: Track::default(),
            panels: vec![Track::default(); work.panels.len()],
            fit: Track::default(),
            finish: Track::default(),
            whole: Track::default(),
            by_panel: false,
        })
        .collect();
    let mut rows: Vec<&WorkRow> = log.work.iter().collect();
    rows.sort_by_key(|row| row.date);
    for row in rows {
        let Some(car) = row.stock.as_deref().and_then(|stock| places.get(stock)) else {
            continue;
        };
        let (tracks, work) = (&mut tracks[*car], &work[*car]);
        match row.trade {
            Trade::Strip => tracks.strip.row(row, row.hours),
            Trade::Fit => tracks.fit.row(row, row.hours),
            Trade::Finish => tracks.finish.row(row, row.hours),
            Trade::Dents => dents(tracks, work, row),
            Trade::Other => {}
        }
    }
    let mut lessons = Vec::new();
    for (tracks, work) in tracks.iter().zip(work) {
        let mut lesson = |track: &Track, standard: Decimal| {
            lessons.extend(lesson(log, track, standard));
        };
        lesson(&tracks.strip, work.strip);
        if tracks.by_panel {
            for (track, (_, minutes)) in tracks.panels.iter().zip(&work.panels) {
                lesson(track, *minutes);
            }
        } else {
            let all = work.panels.iter().map(|(_, minutes)| minutes).sum();
            lesson(&tracks.whole, all);
        }
        lesson(&tracks.fit, work.fit);
        lesson(&tracks.finish, work.finish);
    }
    let states = tracks.into_iter().map(|tracks| Progress {
        strip: tracks.strip.state,
        panels: tracks.panels.into_iter().map(|track| track.state).collect(),
        fit: tracks.fit.state,
        finish: tracks.finish.state,
    });
    (states.collect(), lessons)
}

fn dents(tracks: &mut CarTracks, work: &CarWork, row: &WorkRow) {
    if let Some(panel) = row.panel {
        tracks.by_panel = true;
        let at = work.panels.iter().position(|(known, _)| *known == panel);
        if let Some(at) = at {
            tracks.panels[at].row(row, row.hours);
        }
        return;
    }
    tracks.whole.row(row, row.hours);
    let open = |track: &Track| track.state != TaskState::Finished;
    // Where nothing is open any more, the car as a whole is done again.
    let again = !tracks.panels.iter().any(open);
    let mine: Vec<usize> = (0..tracks.panels.len())
        .filter(|at| again || open(&tracks.panels[*at]))
        .collect();
    let all: Decimal = mine.iter().map(|at| work.panels[*at].1).sum();
    for at in mine {
        let share = row.hours.map(|hours| {
            // Hours and minutes are of few digits: the quotient's rounding is
            // far below a minute.
            (hours * work.panels[at].1 / all).round_dp(6)
        });
        tracks.panels[at].row(row, share);
        // A share is reckoned by the standard and can't teach it.
        tracks.panels[at].teaches = false;
    }
}

/// What a finished task teaches, if anything.
fn lesson(log: &CrewLog, track: &Track, standard: Decimal) -> Option<LoggedTask> {
    let person = track.person?;
    let sound = track.state == TaskState::Finished
        && track.teaches
        && !track.hours.is_zero()
        && !standard.is_zero();
    let logged = track.hours * Decimal::from(60);
    sound.then_some(LoggedTask {
        person,
        standard: standard.to_f64()?,
        logged: logged.to_f64()?,
        speed: log.people[person].speed.to_f64()?,
    })
}
