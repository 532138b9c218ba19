//! What a schedule is made from.

use super::super::shop::Shop;

/// An order of cars, one mention for every task, the panels of each car in
/// their order, and who is to do a task where that is not left to the earliest
/// end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sequence {
    /// Cars; the n-th mention of a car is its n-th task.
    pub cars: Vec<usize>,
    /// By car: its panels, as places in [`super::super::shop::CarTasks::panels`].
    pub panels: Vec<Vec<usize>>,
    /// By task: the chosen one among those able.
    pub who: Vec<Option<usize>>,
    /// By worker: the order in which trades are looked at, a place in
    /// [`super::super::dispatch::PREFERENCES`].
    pub prefers: Vec<usize>,
    /// Whether it is scheduled through time, and not task by task.
    pub through_time: bool,
}

/// One task of a sequence, and who is chosen for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Step {
    pub task: usize,
    pub who: Option<usize>,
}

impl Sequence {
    /// Whole cars one after the other, the longest panels of each first.
    #[must_use]
    pub fn of_cars(shop: &Shop<'_>, order: &[usize]) -> Sequence {
        let panels = shop
            .cars
            .iter()
            .map(|car| {
                let mut panels: Vec<usize> = (0..car.panels.len()).collect();
                panels.sort_by_key(|at| -shop.least(Some(car.panels[*at])));
                panels
            })
            .collect();
        Sequence {
            cars: order
                .iter()
                .flat_map(|car| std::iter::repeat_n(*car, shop.cars[*car].count()))
                .collect(),
            panels,
            who: vec![None; shop.tasks.len()],
            prefers: vec![0; shop.problem.workers.len()],
            through_time: false,
        }
    }

    /// Its tasks in the order in which they are placed. Where there are bays a
    /// car is placed whole at its first mention, since a bay is held to the end
    /// of fit.
    pub(super) fn steps_into(&self, shop: &Shop<'_>, next: &mut Vec<usize>, steps: &mut Vec<Step>) {
        steps.clear();
        next.clear();
        next.resize(shop.cars.len(), 0);
        let whole_cars = shop.problem.bays.is_some();
        // Who stands in a bay already comes before all who want one.
        let stands_in = |car: &&usize| whole_cars && shop.problem.cars[**car].in_bay;
        let first = self.cars.iter().filter(stands_in);
        let others = self.cars.iter().filter(|car| !stands_in(car));
        for &car in first.chain(others) {
            let nth = next[car];
            next[car] += 1;
            let tasks = if !whole_cars {
                nth..nth + 1
            } else if nth == 0 {
                0..shop.cars[car].count()
            } else {
                continue;
            };
            steps.extend(tasks.map(|nth| {
                let task = self.nth_task(shop, car, nth);
                let who = self.who[task];
                Step { task, who }
            }));
        }
    }

    fn nth_task(&self, shop: &Shop<'_>, car: usize, nth: usize) -> usize {
        let tasks = &shop.cars[car];
        let mut nth = nth;
        if let Some(strip) = tasks.strip {
            if nth == 0 {
                return strip;
            }
            nth -= 1;
        }
        if nth < tasks.panels.len() {
            return tasks.panels[self.panels[car][nth]];
        }
        nth -= tasks.panels.len();
        if let Some(fit) = tasks.fit
            && nth == 0
        {
            return fit;
        }
        // The mentions of a car are as many as its tasks.
        tasks.finish.or(tasks.fit).unwrap_or(0)
    }
}
