//! Hours that were logged beside those that the time standard gives for the same
//! work: by person, and by panel or stage.

use super::car_work::CarWork;
use crate::storm::{CrewLog, Panel, Storm, Trade, WorkRow};
use rust_decimal::Decimal;
use std::collections::{BTreeMap, HashMap};

/// A kind of work: the panels in their order, then the stages of a car.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WorkOf {
    /// Dents on a panel.
    Panel(Panel),
    /// Dents of a car whose log names no panel.
    Car,
    /// Taking off.
    Strip,
    /// Putting back.
    Fit,
    /// The last stage.
    Finish,
}

impl WorkOf {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            WorkOf::Panel(panel) => panel.word(),
            WorkOf::Car => "(whole cars)",
            WorkOf::Strip => Trade::Strip.word(),
            WorkOf::Fit => Trade::Fit.word(),
            WorkOf::Finish => Trade::Finish.word(),
        }
    }
}

/// Hours of finished work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct HoursSum {
    /// Finished tasks, or for a person those they had a hand in.
    pub tasks: u32,
    /// What the standard gives for them, one person at speed 1.0.
    pub estimated: Decimal,
    /// What was logged on them.
    pub logged: Decimal,
    /// What was logged on all else: unfinished work, rows without a panel that
    /// the price has, waiting and travel.
    pub beside: Decimal,
}

impl HoursSum {
    /// Logged hours per estimated hour; none where nothing was estimated.
    #[must_use]
    pub fn ratio(&self) -> Option<Decimal> {
        // Shown to two places; a quotient's last digits are no matter.
        (!self.estimated.is_zero()).then(|| (self.logged / self.estimated).round_dp(6))
    }

    /// Adds others.
    pub fn join(&mut self, other: &HoursSum) {
        self.tasks += other.tasks;
        self.estimated += other.estimated;
        self.logged += other.logged;
        self.beside += other.beside;
    }
}

/// Estimated and logged hours of a storm.
#[derive(Debug, Clone, Default)]
pub struct HoursBook {
    /// By index into the crew list.
    pub people: Vec<HoursSum>,
    /// By kind of work; only those that were logged.
    pub kinds: BTreeMap<WorkOf, HoursSum>,
}

/// One task of a car while its rows are gathered.
#[derive(Default)]
struct Task<'a> {
    rows: Vec<&'a WorkRow>,
}

impl HoursBook {
    /// Of a storm's log; `work` is every car's whole work.
    ///
    /// A task is finished when its last row, by date and then by the file, is
    /// done. Hours of several people on it share its estimate by their hours.
    #[must_use]
    pub fn of(storm: &Storm, log: &CrewLog, work: &[CarWork]) -> HoursBook {
        let places: HashMap<&str, usize> = storm
            .cars
            .iter()
            .enumerate()
            .map(|(at, car)| (car.vehicle.stock.as_str(), at))
            .collect();
        let mut book = HoursBook {
            people: vec![HoursSum::default(); log.people.len()],
            kinds: BTreeMap::new(),
        };
        let mut tasks: BTreeMap<(usize, WorkOf), Task<'_>> = BTreeMap::new();
        for row in &log.work {
            let car = row.stock.as_deref().and_then(|stock| places.get(stock));
            match (car, kind_of(row)) {
                (Some(&car), Some(kind)) => {
                    tasks.entry((car, kind)).or_default().rows.push(row);
                }
                _ => book.people[row.person].beside += row.hours.unwrap_or_default(),
            }
        }
        let named: Vec<(usize, WorkOf)> = tasks.keys().copied().collect();
        for ((car, kind), task) in tasks {
            let of_work = &work[car];
            let minutes = match kind {
                WorkOf::Panel(panel) => {
                    let known = of_work.panels.iter().find(|(known, _)| *known == panel);
                    known.map_or(Decimal::ZERO, |(_, minutes)| *minutes)
                }
                // A row without a panel stands behind those that name one.
                WorkOf::Car => of_work
                    .panels
                    .iter()
                    .filter(|(panel, _)| {
                        named.binary_search(&(car, WorkOf::Panel(*panel))).is_err()
                    })
                    .map(|(_, minutes)| minutes)
                    .sum(),
                WorkOf::Strip => of_work.strip,
                WorkOf::Fit => of_work.fit,
                WorkOf::Finish => of_work.finish,
            };
            book.add(kind, task, minutes);
        }
        book
    }

    fn add(&mut self, kind: WorkOf, mut task: Task<'_>, minutes: Decimal) {
        task.rows.sort_by_key(|row| row.date);
        let logged: Decimal = task.rows.iter().filter_map(|row| row.hours).sum();
        let is_finished = task.rows.last().is_some_and(|row| row.done);
        let whole = self.kinds.entry(kind).or_default();
        // Without hours nothing can be held against the estimate.
        if !is_finished || minutes.is_zero() || logged.is_zero() {
            whole.beside += logged;
            for row in task.rows {
                self.people[row.person].beside += row.hours.unwrap_or_default();
            }
            return;
        }
        let estimated = minutes / Decimal::from(60);
        whole.tasks += 1;
        whole.estimated += estimated;
        whole.logged += logged;
        let mut by_person: BTreeMap<usize, Decimal> = BTreeMap::new();
        for row in task.rows {
            *by_person.entry(row.person).or_default() += row.hours.unwrap_or_default();
        }
        for (person, hours) in by_person {
            let sum = &mut self.people[person];
            sum.tasks += 1;
            sum.logged += hours;
            sum.estimated += estimated * hours / logged;
        }
    }

    /// All of it together.
    #[must_use]
    pub fn total(&self) -> HoursSum {
        let mut sum = HoursSum::default();
        for of_person in &self.people {
            sum.join(of_person);
        }
        // Tasks that several people had a hand in are still one each.
        sum.tasks = self.kinds.values().map(|kind| kind.tasks).sum();
        sum
    }
}

fn kind_of(row: &WorkRow) -> Option<WorkOf> {
    Some(match (row.trade, row.panel) {
        (Trade::Dents, Some(panel)) => WorkOf::Panel(panel),
        (Trade::Dents, None) => WorkOf::Car,
        (Trade::Strip, _) => WorkOf::Strip,
        (Trade::Fit, _) => WorkOf::Fit,
        (Trade::Finish, _) => WorkOf::Finish,
        (Trade::Other, _) => return None,
    })
}
