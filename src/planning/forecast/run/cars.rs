//! How cars go from stage to stage.

use super::super::super::problem::Stage;
use super::super::drawn::{Drawn, DrawnTask};
use super::{Run, Which, bit};
use std::cmp::Reverse;

impl Run<'_> {
    /// Cars and parts that come now; the place of the next car to come.
    pub(super) fn cars_come(&mut self, drawn: &Drawn, mut coming: usize) -> usize {
        while let Some((time, rank)) = self.arrivals.get(coming).copied()
            && time == self.now
        {
            coming += 1;
            self.arrives(drawn, rank);
        }
        while let Some(Reverse((bits, rank))) = self.parts.peek().copied()
            && f64::from_bits(bits) == self.now
        {
            self.parts.pop();
            self.parts_are_here(drawn, rank);
        }
        coming
    }

    fn arrives(&mut self, drawn: &Drawn, rank: usize) {
        let car = &drawn.cars[rank];
        let needs_bay = car.panels > 0 || car.strip.work > 0.0 || car.fit.work > 0.0;
        if !needs_bay && car.finish.work == 0.0 {
            // Nothing is to be done on it: it is not finished, and never late.
            self.ends[rank] = f64::NEG_INFINITY;
            self.open -= 1;
        } else if self.flow.bays.is_none() || !needs_bay {
            self.begin(drawn, rank);
        } else if self.flow.cars[rank].in_bay {
            self.bays -= 1;
            self.progress[rank].in_bay = true;
            self.begin(drawn, rank);
        } else if self.flow.release && self.waits_for_parts(drawn, rank) {
            // It would give its bay back at once.
            self.begin(drawn, rank);
        } else {
            self.outside.insert(rank);
        }
    }

    /// Whether nothing but a fit is left of a car, for which the parts lack.
    fn waits_for_parts(&self, drawn: &Drawn, rank: usize) -> bool {
        let car = &drawn.cars[rank];
        car.panels == 0 && car.strip.work == 0.0 && car.fit.work > 0.0 && car.parts > self.now
    }

    /// Lets cars into free bays, in their order.
    #[inline]
    pub(super) fn admit(&mut self, drawn: &Drawn) {
        while self.bays > 0
            && let Some(rank) = self.outside.first()
        {
            self.outside.remove(rank);
            self.bays -= 1;
            self.progress[rank].in_bay = true;
            self.begin(drawn, rank);
        }
    }

    /// What is next on a car that has a bay, or needs none.
    fn begin(&mut self, drawn: &Drawn, rank: usize) {
        let car = &drawn.cars[rank];
        if self.progress[rank].dents_over {
            self.offer(rank, Stage::Fit, car.fit.only);
        } else if car.strip.work > 0.0 {
            self.offer(rank, Stage::Strip, car.strip.only);
        } else {
            self.after_strip(drawn, rank);
        }
    }

    #[inline]
    pub(super) fn over(&mut self, drawn: &Drawn, task: Which) {
        let rank = task.car();
        match task.stage {
            Stage::Dents => {
                let progress = &mut self.progress[rank];
                progress.hands -= 1;
                progress.open -= 1;
                if progress.open == 0 {
                    self.after_dents(drawn, rank);
                } else {
                    self.offer_panels(rank);
                }
            }
            Stage::Strip => self.after_strip(drawn, rank),
            Stage::Fit => self.after_fit(drawn, rank),
            Stage::Finish => self.is_finished(rank),
        }
    }

    fn after_strip(&mut self, drawn: &Drawn, rank: usize) {
        let car = &drawn.cars[rank];
        if car.panels == 0 {
            self.after_dents(drawn, rank);
            return;
        }
        for panel in car.first + car.common..car.first + car.panels {
            let task = Which {
                panel,
                ..Which::of(rank, Stage::Dents)
            };
            match drawn.panels[panel as usize].only {
                Some(person) => self.keep(person, task),
                None => self.for_anybody(task),
            }
        }
        self.offer_panels(rank);
    }

    fn after_dents(&mut self, drawn: &Drawn, rank: usize) {
        self.progress[rank].dents_over = true;
        let car = &drawn.cars[rank];
        if car.fit.work == 0.0 {
            self.after_fit(drawn, rank);
        } else if car.parts > self.now {
            if self.flow.release {
                self.give_back(rank);
            }
            self.parts.push(Reverse((car.parts.to_bits(), rank)));
        } else {
            self.parts_are_here(drawn, rank);
        }
    }

    fn parts_are_here(&mut self, drawn: &Drawn, rank: usize) {
        if self.flow.bays.is_some() && !self.progress[rank].in_bay {
            self.outside.insert(rank);
        } else {
            self.offer(rank, Stage::Fit, drawn.cars[rank].fit.only);
        }
    }

    fn give_back(&mut self, rank: usize) {
        if std::mem::take(&mut self.progress[rank].in_bay) {
            self.bays += 1;
        }
    }

    fn after_fit(&mut self, drawn: &Drawn, rank: usize) {
        self.give_back(rank);
        let finish = &drawn.cars[rank].finish;
        if finish.work > 0.0 {
            self.offer(rank, Stage::Finish, finish.only);
        } else {
            self.is_finished(rank);
        }
    }

    fn is_finished(&mut self, rank: usize) {
        self.ends[rank] = self.now;
        self.last = self.now;
        self.open -= 1;
    }

    fn offer(&mut self, rank: usize, stage: Stage, only: Option<usize>) {
        let task = Which::of(rank, stage);
        match only {
            Some(person) => self.keep(person, task),
            None => self.for_anybody(task),
        }
    }

    /// Lets a task wait for who has begun it.
    fn keep(&mut self, person: usize, task: Which) {
        self.own[person].push(task);
        self.has_own |= bit(person);
    }

    /// Lets a task wait for whoever is free; a panel is one that went back.
    pub(super) fn for_anybody(&mut self, task: Which) {
        match task.stage {
            Stage::Dents => {
                self.returned.push(task);
                self.progress[task.car()].returned += 1;
                self.offer_panels(task.car());
            }
            Stage::Strip | Stage::Fit => self.queues[1].insert(task.car()),
            Stage::Finish => self.queues[2].insert(task.car()),
        }
    }

    /// Says whether a panel of a car waits for anybody.
    #[inline]
    pub(super) fn offer_panels(&mut self, rank: usize) {
        let progress = &self.progress[rank];
        let waits = progress.next < progress.last || progress.returned > 0;
        if waits && progress.hands < self.flow.hands {
            self.queues[0].insert(rank);
        } else {
            self.queues[0].remove(rank);
        }
    }

    /// The panel that a car offers: one that went back before the untouched.
    #[inline]
    pub(super) fn next_panel(&self, rank: usize) -> u32 {
        let progress = &self.progress[rank];
        if progress.returned == 0 {
            return progress.next;
        }
        let of_car = self.returned.iter().filter(|task| task.car() == rank);
        of_car.map(|task| task.panel).min().unwrap_or(progress.next)
    }

    #[inline]
    pub(super) fn take_panel(&mut self, task: Which) {
        let progress = &mut self.progress[task.car()];
        progress.hands += 1;
        if progress.returned == 0 {
            progress.next += 1;
        } else if let Some(at) = self.returned.iter().position(|one| *one == task) {
            self.returned.swap_remove(at);
            progress.returned -= 1;
        }
        self.offer_panels(task.car());
    }

    /// What is left of a task waits for whoever is free.
    pub(super) fn goes_back(&mut self, drawn: &mut Drawn, task: Which, left: f64) {
        if task.stage == Stage::Dents {
            self.progress[task.car()].hands -= 1;
        }
        let of = drawn.task_mut(task);
        *of = DrawnTask {
            work: of.work * left,
            expected: of.expected * left,
            only: None,
        };
        self.for_anybody(task);
    }
}
