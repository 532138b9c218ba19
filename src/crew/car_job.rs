//! What is left to do on a car.

use super::car_work::CarWork;
use super::progress::{CarState, Progress, TaskState};
use super::site_hours::Minute;
use crate::storm::Panel;
use rust_decimal::Decimal;

/// One piece of work that is left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct JobTask {
    /// Minutes at the standard's pace.
    pub minutes: Decimal,
    /// Who has begun it and is to end it; index into the crew list.
    pub only: Option<usize>,
}

/// A car as planning needs it.
#[derive(Debug, Clone)]
pub struct CarJob {
    /// Index into the storm's cars.
    pub car: usize,
    /// How far it is.
    pub state: CarState,
    /// No task begins before.
    pub arrives: Minute,
    /// Putting back begins no earlier.
    pub parts_due: Option<Minute>,
    /// Promised for.
    pub due: Option<Minute>,
    /// What a day late weighs.
    pub weight: i64,
    /// Whether work in its bay was begun and is not over.
    pub in_bay: bool,
    /// Whether the log says that it was put back together, or finished.
    pub is_fitted: bool,
    /// Taking off.
    pub strip: Option<JobTask>,
    /// The panels, in panel order.
    pub panels: Vec<(Panel, JobTask)>,
    /// Putting back.
    pub fit: Option<JobTask>,
    /// The last stage.
    pub finish: Option<JobTask>,
}

impl CarJob {
    /// Whether anything is left.
    #[must_use]
    pub fn has_work(&self) -> bool {
        self.tasks().next().is_some()
    }

    /// Every task that is left.
    pub fn tasks(&self) -> impl Iterator<Item = JobTask> + '_ {
        let panels = self.panels.iter().map(|(_, task)| *task);
        self.strip
            .into_iter()
            .chain(panels)
            .chain(self.fit)
            .chain(self.finish)
    }
}

/// The tasks that are left of a car's work: strip, panels, fit, finish.
pub struct Left {
    /// Taking off.
    pub strip: Option<JobTask>,
    /// The panels.
    pub panels: Vec<(Panel, JobTask)>,
    /// Putting back.
    pub fit: Option<JobTask>,
    /// The last stage.
    pub finish: Option<JobTask>,
}

/// Of a begun task is left what was expected less what is logged, and never
/// less than a tenth of it, for who began it: max(0.1 × e, e − h × v), in
/// minutes at the standard's pace, where v is the person's own pace and h the
/// minutes logged. `stays` says whether a person can still end so much.
pub fn left(
    work: &CarWork,
    progress: &Progress,
    pace: impl Fn(usize) -> Decimal,
    mut stays: impl FnMut(usize, Decimal) -> bool,
) -> Left {
    let mut task = |minutes: Decimal, state: TaskState| match state {
        _ if minutes.is_zero() => None,
        TaskState::Finished => None,
        TaskState::Open => Some(JobTask {
            minutes,
            only: None,
        }),
        TaskState::Begun { person, hours } => {
            let done = hours * Decimal::from(60) * pace(person);
            let least = minutes / Decimal::TEN;
            // Shares of hours are rounded, and must not turn into a minute.
            let minutes = least.max(minutes - done).round_dp(4).normalize();
            Some(JobTask {
                minutes,
                only: stays(person, minutes).then_some(person),
            })
        }
    };
    Left {
        strip: task(work.strip, progress.strip),
        panels: work
            .panels
            .iter()
            .zip(&progress.panels)
            .filter_map(|((panel, minutes), state)| Some((*panel, task(*minutes, *state)?)))
            .collect(),
        fit: task(work.fit, progress.fit),
        finish: task(work.finish, progress.finish),
    }
}
