//! Why no plan can be made at all, and what would cure it.

use super::standard::Lack;
use crate::intake::{Place, Problem, Severity};
use crate::storm::Storm;

/// What is lacking.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotPlannable {
    /// storm.toml has no `[hours]`.
    NoHours,
    /// storm.toml has no `[time]`.
    NoStandard,
    /// There is no crew list.
    NoCrew,
    /// The standard lacks a figure; so many cars need it, this one first.
    Lacks {
        /// What it lacks.
        lack: Lack,
        /// Cars that need it.
        cars: usize,
        /// The first of them, by index.
        first: usize,
    },
}

impl NotPlannable {
    /// As a problem with its place.
    #[must_use]
    pub fn problem(&self, storm: &Storm) -> Problem {
        let (file, column, expected) = match self {
            NotPlannable::NoHours => (
                "storm.toml",
                "hours",
                "[hours]: the first working day, the days of the week, from and to".to_owned(),
            ),
            NotPlannable::NoStandard => (
                "storm.toml",
                "time",
                "[time]: minutes of one dent by size class, and what else takes time".to_owned(),
            ),
            NotPlannable::NoCrew => (
                "crew",
                "name",
                "crew.csv or a workbook: who works here, with their trades".to_owned(),
            ),
            NotPlannable::Lacks { lack, cars, first } => {
                let (key, expected) = match lack {
                    Lack::Size(size) => {
                        let name = &storm.size_names[usize::from(size.0)];
                        ("per_dent", format!("minutes of the size class {name}"))
                    }
                    Lack::Oversize => (
                        "oversize_base",
                        "minutes of dents beyond the largest size class".to_owned(),
                    ),
                    Lack::Metal(metal) => (
                        "metal",
                        format!("a factor for {}; steel is 1", metal.word()),
                    ),
                    Lack::Access(access) => (
                        "access",
                        format!("a factor for {}; open is 1", access.word()),
                    ),
                };
                let stock = &storm.cars[*first].vehicle.stock;
                let who = match cars {
                    1 => format!("{stock} needs it"),
                    cars => format!("{cars} cars need it, {stock} first"),
                };
                ("storm.toml", key, format!("{expected}: {who}"))
            }
        };
        Problem {
            severity: Severity::Error,
            place: Place {
                column: Some(column.to_owned()),
                ..Place::file(file)
            },
            found: String::new(),
            expected,
            meant: None,
            stock: None,
        }
    }
}
