//! The odds of a plan: it is gone through again and again, each time as chance
//! may have it.

mod chance;
mod drawn;
mod flow;
mod next_up;
mod odds;
mod ranks;
mod replicate;
mod run;

pub use chance::{Chance, ChanceTerms, OfCar, PaceChance};
pub use drawn::{CarChance, DayChance, Drawn, DrawnCar, DrawnTask};
pub use flow::{Attendance, CarPattern, DealOrder, Flow, FlowCar, FlowPerson, FlowTask, KnownWork};
pub use odds::{FAN, FanDay, SHOWN, day_that_holds, holds, odds_of};
pub use replicate::{Replicate, Replications, Watch, day_of, replicate};
pub use run::{MOST_PEOPLE, Run, Stretch, Which};
