//! A car → lines. The steps stand in one file each, and [`car`] names them in
//! order; [`storm`] does what only all cars together decide: the lot tier, and
//! how far the owners' deductibles reach.

mod agreed;
mod basis;
mod car;
mod car_amounts;
mod dents;
mod known_panels;
mod ledger;
mod limit;
mod line;
mod oversize;
mod owner;
mod panel_prices;
mod panel_sums;
mod prepared;
mod removal;
mod settle;
mod storm;
mod sums;
mod total_loss;
mod uplift;

pub use agreed::{by_car as agreed_by_car, check_agreed};
pub use basis::Explainer;
pub use car::{PricedPanel, Referral};
pub use car_amounts::{AmountSums, CarAmounts};
pub use ledger::{GroupSum, Ledger};
pub use line::{Basis, Item, Line, SetOff};
pub use panel_sums::{Marks, PanelSum, PanelSums};
pub use storm::{PricedCar, PricedStorm, Status, price_storm, price_storm_in_lot};
pub use sums::{CarCounts, CarSums, OpenSums, SumPricer, SummedStorm, SumsOfCars};
pub use total_loss::{CAUTION as TOTAL_LOSS_CAUTION, TotalLossFlag};
