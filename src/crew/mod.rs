//! The crew's time: the hours of the site, what a panel takes by the time
//! standard, what the work log says is done, how quick everyone is. Out of it
//! come [`Jobs`], in minutes; who does them when is a matter of planning.

mod car_job;
mod car_work;
mod hours_book;
mod jobs;
mod learning;
mod not_plannable;
mod pace;
mod posterior;
mod progress;
mod site_chance;
mod site_hours;
mod staff_terms;
mod standard;

pub use car_job::{CarJob, JobTask};
pub use car_work::CarWork;
pub use hours_book::{HoursBook, HoursSum, WorkOf};
pub use jobs::{HORIZON, Jobs, JobsInput, UncountedCar, all_work, jobs};
pub use learning::{
    Learned, LearnedPerson, LoggedTask, PersonMean, PersonVariation, Shrunk, learn, shrink,
};
pub use not_plannable::NotPlannable;
pub use pace::{Pace, Paces};
pub use posterior::{Posterior, Variances};
pub use progress::{CarState, Progress, TaskState};
pub use site_chance::SiteChance;
pub use site_hours::{Minute, Part, SiteHours};
pub use staff_terms::StaffTerms;
pub use standard::{Lack, Site, TimeStandard};

/// What storm.toml says of time: `[hours]`, `[time]`, `[site]`, `[chance]` and
/// `[staff]`.
#[derive(Debug, Clone, Default)]
pub struct TimeTerms {
    /// When the site works.
    pub hours: Option<SiteHours>,
    /// How long work takes.
    pub standard: Option<TimeStandard>,
    /// Bays and hands.
    pub site: Site,
    /// What may come between.
    pub chance: SiteChance,
    /// What more people cost.
    pub staff: StaffTerms,
}

impl TimeTerms {
    /// Whether anything is said of it.
    #[must_use]
    pub fn is_given(&self) -> bool {
        self.hours.is_some() || self.standard.is_some()
    }
}
