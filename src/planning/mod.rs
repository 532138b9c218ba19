//! A problem in minutes → a plan that can be followed, and a bound that no plan
//! can beat. This room knows neither dents nor cards.

mod bound;
mod calendar;
mod car_bound;
mod changes;
mod climb;
mod dispatch;
pub mod forecast;
mod impossible;
mod instance;
mod lot;
mod outcome;
mod problem;
mod schedule;
mod search;
mod shop;
mod starts;
mod teams;

pub use bound::{Bound, BoundBy, car_bounds, lower_bound};
pub use calendar::{Calendar, NEVER};
pub use impossible::{Impossible, impossible};
pub use instance::read_instance;
pub use lot::{LotPlan, problem_of};
pub use outcome::{Busy, Outcome, Wait, WaitsFor, days};
pub use problem::{
    Day, Minute, PlanCar, PlanProblem, PlannedTask, Stage, Trades, Work, Worker, duration,
};
pub use schedule::{Score, Sequence};
pub use search::{Plan, StopRule, plan};
pub use shop::Shop;
