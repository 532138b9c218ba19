//! One replication as chance has it: what every task takes, and which days are
//! lost.

use super::super::problem::{Day, Stage};
use super::flow::{CarPattern, Flow, FlowTask, KnownWork};
use super::run::Which;

/// A piece of work as it will turn out.
#[derive(Debug, Clone, Copy, Default)]
pub struct DrawnTask {
    /// Minutes at the standard's pace times what chance makes of them; 0 is none.
    pub work: f64,
    /// Minutes at the standard's pace that anybody would expect.
    pub expected: f64,
    /// Place in [`Flow::people`] of who has begun it.
    pub only: Option<usize>,
}

/// A car as it will turn out.
#[derive(Debug, Clone, Copy, Default)]
pub struct DrawnCar {
    /// When the parts come.
    pub parts: f64,
    /// Taking off.
    pub strip: DrawnTask,
    /// Its panels: a stretch of [`Drawn::panels`], those that somebody has
    /// begun at its end.
    pub first: u32,
    /// How many.
    pub panels: u32,
    /// How many of them are for anybody.
    pub common: u32,
    /// Putting back.
    pub fit: DrawnTask,
    /// The last stage.
    pub finish: DrawnTask,
}

/// What chance says of the work of one replication.
#[derive(Debug, Clone, Default)]
pub struct Drawn {
    /// By rank.
    pub cars: Vec<DrawnCar>,
    /// The panels of all cars.
    pub panels: Vec<DrawnTask>,
    /// By place in [`Flow::people`]: minutes that one of [`DrawnTask::work`] takes.
    pub pace: Vec<f64>,
}

/// What makes one car's work what it is.
pub trait CarChance {
    /// Working days that its parts are late.
    fn late(&mut self) -> f64;
    /// Which of so many patterns an uncounted car has.
    fn which(&mut self, of: usize) -> usize;
    /// What its dent minutes grow by once it is stripped.
    fn growth(&mut self) -> f64;
    /// What the next task's minutes are multiplied by, in the order strip,
    /// panels, fit, finish; those of a stage without work are asked for too.
    fn factor(&mut self) -> f64;
}

/// Which days are lost.
pub trait DayChance {
    /// Whether weather closes the site.
    fn is_closed(&mut self, day: Day) -> bool;
    /// Whether somebody who was to be here is not: the person's key.
    fn is_absent(&mut self, person: u64, day: Day) -> bool;
}

impl Drawn {
    /// Draws the work of every car; paces are left as they are.
    pub fn draw<C: CarChance>(&mut self, flow: &Flow, mut chance: impl FnMut(usize) -> C) {
        self.cars.clear();
        self.panels.clear();
        for (rank, car) in flow.cars.iter().enumerate() {
            let mut chance = chance(rank);
            let pattern = match car.work {
                KnownWork::Counted(pattern) => pattern,
                KnownWork::AnyOf(pool) => {
                    let pool = &flow.pools[pool];
                    pool[chance.which(pool.len()).min(pool.len() - 1)]
                }
            };
            let drawn = self.car(&flow.patterns[pattern], &mut chance);
            // Without days nothing can be days late.
            let may_be_late = car.awaits_parts && drawn.fit.work > 0.0 && flow.day.is_finite();
            let late = if may_be_late { chance.late() } else { 0.0 };
            let parts = if late > 0.0 {
                car.parts + late * flow.day
            } else {
                car.parts
            };
            self.cars.push(DrawnCar { parts, ..drawn });
        }
    }

    /// A task of it.
    #[inline]
    #[must_use]
    pub fn task(&self, task: Which) -> &DrawnTask {
        let car = &self.cars[task.rank as usize];
        match task.stage {
            Stage::Dents => &self.panels[task.panel as usize],
            Stage::Strip => &car.strip,
            Stage::Fit => &car.fit,
            Stage::Finish => &car.finish,
        }
    }

    /// Likewise.
    pub fn task_mut(&mut self, task: Which) -> &mut DrawnTask {
        let car = &mut self.cars[task.rank as usize];
        match task.stage {
            Stage::Dents => &mut self.panels[task.panel as usize],
            Stage::Strip => &mut car.strip,
            Stage::Fit => &mut car.fit,
            Stage::Finish => &mut car.finish,
        }
    }

    /// All of them.
    pub fn tasks_mut(&mut self) -> impl Iterator<Item = &mut DrawnTask> {
        let of_cars = self.cars.iter_mut();
        let others = of_cars.flat_map(|car| [&mut car.strip, &mut car.fit, &mut car.finish]);
        self.panels.iter_mut().chain(others)
    }

    fn car(&mut self, pattern: &CarPattern, chance: &mut impl CarChance) -> DrawnCar {
        let task = |task: &FlowTask, growth: f64, factor: f64| DrawnTask {
            work: task.minutes * growth * factor,
            expected: task.minutes * growth,
            only: task.only,
        };
        // What is hidden shows once a car is stripped.
        let growth = if pattern.strip.minutes > 0.0 {
            chance.growth()
        } else {
            1.0
        };
        let strip = task(&pattern.strip, 1.0, chance.factor());
        let first = self.panels.len();
        let of = &pattern.panels;
        self.panels
            .extend(of.iter().map(|panel| task(panel, growth, chance.factor())));
        let begun = of.iter().filter(|panel| panel.only.is_some()).count();
        if begun > 0 {
            self.panels[first..].sort_by_key(|panel| panel.only.is_some());
        }
        DrawnCar {
            parts: 0.0,
            strip,
            first: u32::try_from(first).unwrap_or(u32::MAX),
            panels: u32::try_from(of.len()).unwrap_or(u32::MAX),
            common: u32::try_from(of.len() - begun).unwrap_or(u32::MAX),
            fit: task(&pattern.fit, 1.0, chance.factor()),
            finish: task(&pattern.finish, 1.0, chance.factor()),
        }
    }
}
