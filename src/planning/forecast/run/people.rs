//! Who takes what, and who is here.

use super::super::super::problem::{Day, Stage};
use super::super::drawn::{DayChance, Drawn};
use super::super::flow::LAST_DAY;
use super::{Begun, Crew, Doing, Run, Which, bit};

impl Run<'_> {
    /// Whoever is free and here takes what waits, in their order.
    #[inline]
    pub(super) fn deal(&mut self, drawn: &Drawn, days: &mut impl DayChance) {
        let mut wanted = self.wanted();
        while wanted != 0 {
            let person = wanted.trailing_zeros() as usize;
            if self.is_here(person, days)
                && let Some(task) = self.pick(drawn, person)
            {
                self.take(drawn, days, person, task);
            }
            let later = (Crew::MAX << person) << 1;
            wanted = self.wanted() & later;
        }
    }

    /// Of the idle those who could do something that waits.
    #[inline]
    fn wanted(&self) -> Crew {
        let mut able = self.has_own;
        for (queue, able_in) in self.queues.iter().zip(&self.able) {
            able |= if queue.is_empty() { 0 } else { *able_in };
        }
        self.idle & able
    }

    /// Whether somebody idle is here; who isn't is away until they are.
    #[inline]
    fn is_here(&mut self, person: usize, days: &mut impl DayChance) -> bool {
        if self.here_on[person] == self.today {
            return true;
        }
        let here = self.next_here(person, self.today, days) == Some(self.today);
        if here {
            self.here_on[person] = self.today;
        } else {
            self.comes_back(person, days);
        }
        here
    }

    #[inline]
    fn pick(&mut self, drawn: &Drawn, person: usize) -> Option<Which> {
        let flow = self.flow;
        let of = &flow.people[person];
        if self.has_own & bit(person) != 0
            && let Some(task) = self.pick_own(person)
        {
            return Some(task);
        }
        let most = of
            .days
            .as_ref()
            .map(|days| (self.closes - self.now) + flow.day * days.after(self.today) as f64);
        for &trade in &of.looks_at {
            let mut next = self.queues[trade].first();
            while let Some(rank) = next {
                let stage = match trade {
                    0 => Stage::Dents,
                    1 if self.progress[rank].dents_over => Stage::Fit,
                    1 => Stage::Strip,
                    _ => Stage::Finish,
                };
                let mut task = Which::of(rank, stage);
                if stage == Stage::Dents {
                    task.panel = self.next_panel(rank);
                }
                if most.is_some_and(|most| !fits(drawn.task(task).expected, of.speed, most)) {
                    next = self.queues[trade].from(rank + 1);
                    continue;
                }
                if stage == Stage::Dents {
                    self.take_panel(task);
                } else {
                    self.queues[trade].remove(rank);
                }
                return Some(task);
            }
        }
        None
    }

    /// What somebody has begun and may go on with.
    fn pick_own(&mut self, person: usize) -> Option<Which> {
        let own = &self.own[person];
        let may = |task: &Which| {
            task.stage != Stage::Dents || self.progress[task.car()].hands < self.flow.hands
        };
        let at = (0..own.len())
            .filter(|at| may(&own[*at]))
            .min_by_key(|at| own[*at])?;
        let task = self.own[person].swap_remove(at);
        if self.own[person].is_empty() {
            self.has_own &= !bit(person);
        }
        if task.stage == Stage::Dents {
            self.progress[task.car()].hands += 1;
            self.offer_panels(task.car());
        }
        Some(task)
    }

    #[inline]
    fn take(&mut self, drawn: &Drawn, days: &mut impl DayChance, person: usize, task: Which) {
        let minutes = drawn.task(task).work * drawn.pace[person];
        let (ends, left) = if minutes <= self.closes - self.now {
            (self.now + minutes, 0.0)
        } else {
            self.runs_until(person, minutes, days)
        };
        self.idle &= !bit(person);
        self.doing[person] = Doing::Task(task);
        self.begun[person] = Begun {
            from: self.now,
            work: minutes - left,
            left: if left > 0.0 { left / minutes } else { 0.0 },
        };
        self.next.set(person, ends);
    }

    /// When so many minutes of somebody who is here are over, or go back with
    /// what is left of them: whoever is absent is waited for one day, whoever
    /// has left for none.
    fn runs_until(&self, person: usize, minutes: f64, days: &mut impl DayChance) -> (f64, f64) {
        let of = &self.flow.people[person];
        let mut left = minutes - (self.closes - self.now);
        let mut day = self.today;
        loop {
            // From one evening to the next morning at work.
            let mut was_absent = false;
            loop {
                day += 1;
                if day >= LAST_DAY {
                    return (f64::INFINITY, left);
                }
                if days.is_closed(day) {
                    continue;
                }
                let opens = day as f64 * self.flow.day;
                let scheduled = of.days.as_ref().map_or(Some(day), |days| days.from(day));
                match scheduled {
                    None => return (opens, left),
                    Some(next) if next > day => {}
                    Some(_) if !days.is_absent(of.key, day) => break,
                    Some(_) if was_absent => return (opens, left),
                    Some(_) => was_absent = true,
                }
            }
            if left <= self.flow.day {
                return (day as f64 * self.flow.day + left, 0.0);
            }
            left -= self.flow.day;
        }
    }

    /// Sets when somebody who is away is here again.
    pub(super) fn comes_back(&mut self, person: usize, days: &mut impl DayChance) {
        let next = self.next_here(person, self.today, days);
        if next == Some(self.today) {
            self.idle |= bit(person);
            self.doing[person] = Doing::Idle;
            return;
        }
        self.idle &= !bit(person);
        self.doing[person] = Doing::Away;
        let opens = next.map_or(f64::INFINITY, |day| day as f64 * self.flow.day);
        self.next.set(person, opens);
    }

    /// Begun work waits one day for who is absent, like any other; so it is for
    /// anybody on the second day if they are not there on the first two.
    pub(super) fn may_give_up(&mut self, person: usize, days: &mut impl DayChance) {
        let key = self.flow.people[person].key;
        let first = self.scheduled(person, 0, days);
        let second = first.and_then(|day| self.scheduled(person, day + 1, days));
        if let (Some(first), Some(second)) = (first, second)
            && days.is_absent(key, first)
            && days.is_absent(key, second)
        {
            self.idle &= !bit(person);
            self.doing[person] = Doing::GivesUp;
            self.next.set(person, second as f64 * self.flow.day);
        }
    }

    pub(super) fn gives_up(&mut self, drawn: &mut Drawn, person: usize, days: &mut impl DayChance) {
        self.has_own &= !bit(person);
        for task in std::mem::take(&mut self.own[person]) {
            self.for_anybody(task);
        }
        for task in drawn.tasks_mut() {
            task.only = task.only.filter(|only| *only != person);
        }
        self.comes_back(person, days);
    }

    /// Minutes that a person was here up to a time.
    pub fn here(&self, person: usize, end: f64, days: &mut impl DayChance) -> f64 {
        if self.flow.day == f64::INFINITY {
            return end;
        }
        let (mut here, mut from) = (0.0, 0);
        while let Some(day) = self.next_here(person, from, days) {
            let opens = day as f64 * self.flow.day;
            if opens >= end {
                break;
            }
            here += self.flow.day.min(end - opens);
            from = day + 1;
        }
        here
    }

    /// The first open day from this one on for which somebody is scheduled.
    fn scheduled(&self, person: usize, from: Day, days: &mut impl DayChance) -> Option<Day> {
        let mut day = from;
        loop {
            if let Some(attendance) = &self.flow.people[person].days {
                day = attendance.from(day)?;
            }
            if day >= LAST_DAY {
                return None;
            }
            if !days.is_closed(day) {
                return Some(day);
            }
            day += 1;
        }
    }

    /// The first day from this one on on which somebody is here.
    fn next_here(&self, person: usize, from: Day, days: &mut impl DayChance) -> Option<Day> {
        let mut day = from;
        loop {
            day = self.scheduled(person, day, days)?;
            if !days.is_absent(self.flow.people[person].key, day) {
                return Some(day);
            }
            day += 1;
        }
    }
}

/// Whether so much is expected to fit. Plans are exact where this is a float: a
/// millionth of a minute is no reason to leave a task.
fn fits(expected: f64, speed: f64, most: f64) -> bool {
    expected <= most * speed + 1e-6
}
