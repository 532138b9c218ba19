//! The odds of a plan: it is gone through again and again, each time as chance
//! may have it.

mod chance;
mod drawn;
mod flow;
mod lot;
mod next_up;
mod odds;
mod order;
mod ranks;
mod replicate;
mod run;
mod staff;

pub use chance::{Chance, ChanceTerms, LogChance, OfCar, PaceChance};
pub use drawn::{CarChance, DayChance, Drawn, DrawnCar, DrawnTask};
pub use flow::{
    Attendance, CarPattern, DealOrder, Flow, FlowCar, FlowPerson, FlowTask, KnownWork, LAST_DAY,
};
pub use lot::{ForecastInput, LotCar, LotFlow, LotForecast, NoForecast, StandIn, chance_terms};
pub use odds::{FAN, FanDay, SHOWN, day_that_holds, holds, odds_of};
pub use order::{NoChance, WithoutChance, without_chance};
pub use replicate::{Replicate, Replications, Watch, day_of, replicate};
pub use run::{MOST_PEOPLE, Run, Stretch, Which};
pub use staff::{CrewOdds, CrewSize, PersonCost, Staff, StaffQuestion};
