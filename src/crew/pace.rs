//! How quick everyone is: what was stated, drawn towards what the log shows.

use super::learning::{Learned, LoggedTask, learn};
use crate::storm::Person;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// The pace of one person.
#[derive(Debug, Clone, PartialEq)]
pub struct Pace {
    /// By the crew list.
    pub stated: Decimal,
    /// Against the standard as the log corrects it.
    pub learned: f64,
    /// Standard minutes done in a minute, on the mean: what is planned with.
    pub planned: Decimal,
    /// Finished tasks behind it.
    pub tasks: usize,
}

/// The paces of a crew.
#[derive(Debug, Clone)]
pub struct Paces {
    /// In crew order.
    pub people: Vec<Pace>,
    /// What the log taught; none without a finished task.
    pub learned: Option<Learned>,
}

/// Decimals of a pace that was learned: a hundredth of a percent is finer than
/// any log tells.
const PLACES: u32 = 4;

impl Paces {
    /// Paces by the crew list and what a log teaches. `spread` is the standard
    /// deviation of a task's log where the log can't tell it.
    #[must_use]
    pub fn of(people: &[Person], tasks: &[LoggedTask], spread: Decimal) -> Paces {
        let spread = spread.to_f64().unwrap_or(0.0);
        let learned = learn(people.len(), tasks, spread);
        let paces = people.iter().enumerate().map(|(at, person)| {
            let stated = person.speed.to_f64().unwrap_or(1.0);
            match &learned {
                None => Pace {
                    stated: person.speed,
                    learned: stated,
                    planned: person.speed,
                    tasks: 0,
                },
                Some(learned) => Pace {
                    stated: person.speed,
                    learned: learned.speed(stated, at),
                    planned: rounded(stated / learned.expected_factor(at)),
                    tasks: learned.people[at].tasks,
                },
            }
        });
        Paces {
            people: paces.collect(),
            learned,
        }
    }
}

impl Paces {
    /// Adds somebody of whom nothing is known: the standard's own pace, as the
    /// log corrects it.
    pub fn add_unknown(&mut self) {
        let planned = self.learned.as_ref().map_or(Decimal::ONE, |learned| {
            rounded(1.0 / learned.expected_factor(usize::MAX))
        });
        self.people.push(Pace {
            stated: Decimal::ONE,
            learned: 1.0,
            planned,
            tasks: 0,
        });
    }
}

/// The one crossing from a statistic back to an exact figure.
fn rounded(pace: f64) -> Decimal {
    let scale = 10_f64.powi(i32::try_from(PLACES).unwrap_or(4));
    let least = 1.0;
    let whole = (pace * scale).round().clamp(least, 1e9);
    Decimal::new(whole as i64, PLACES)
}
