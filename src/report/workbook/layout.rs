//! Which rows of `Lines` each car has. Discounts, the minimum and taxes
//! stand last in a car, and where an edit can call one to life that is not
//! charged now, a row stands by for it.

use crate::pricing::{Item, Line};
use crate::rates::{LotTier, Terms};
use crate::report::storm_report::StormReport;
use crate::storm::Group;
use rust_xlsxwriter::XlsxError;

/// Rows of a sheet, header included.
const MOST_ROWS: usize = 1_048_576;
/// Groups that the minimum looks at (step 8 of pricing).
pub const MINIMUM_GROUPS: [Group; 4] = [Group::Dents, Group::Removal, Group::Parts, Group::Extra];

/// What a row of steps 7 to 9 is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// The discount of a group.
    Discount(Group),
    /// The minimum.
    Minimum,
    /// A tax of the terms.
    Tax(usize),
}

/// A row of steps 7 to 9.
#[derive(Debug, Clone, Copy)]
pub struct StepRow<'a> {
    /// What it is.
    pub step: Step,
    /// The line, where it is charged; else the row stands by.
    pub line: Option<&'a Line>,
}

/// The rows of a car with lines. Rows are a sheet's: the header is row 1.
#[derive(Debug)]
pub struct CarRows<'a> {
    /// Its first row.
    pub first: usize,
    /// Lines of steps 1 to 6.
    pub priced: &'a [Line],
    /// Rows of steps 7 to 9.
    pub steps: Vec<StepRow<'a>>,
}

impl CarRows<'_> {
    /// The last row of steps 1 to 6.
    pub fn last_priced(&self) -> usize {
        self.first + self.priced.len() - 1
    }

    /// The last row.
    pub fn last(&self) -> usize {
        self.last_priced() + self.steps.len()
    }
}

/// The rows of all cars.
pub struct Layout<'a> {
    /// By car in lot order; none: a car without lines.
    pub cars: Vec<Option<CarRows<'a>>>,
    /// The last row, at least 2, so that a range is never upside down.
    pub last: usize,
}

impl<'a> Layout<'a> {
    /// Lays out a report's lines.
    pub fn of(report: &StormReport<'a>) -> Result<Layout<'a>, XlsxError> {
        let mut next = 2;
        let mut cars = Vec::with_capacity(report.priced.cars.len());
        for (car, priced) in report.storm.cars.iter().zip(&report.priced.cars) {
            let payer = car.vehicle.payer;
            let rows = car_rows(
                next,
                priced.ledger.lines(),
                &report.rates.terms[payer],
                report.priced.tiers[payer],
            );
            next = rows.as_ref().map_or(next, |rows| rows.last() + 1);
            cars.push(rows);
        }
        let last = next - 1;
        if last > MOST_ROWS {
            return Err(XlsxError::ParameterError(format!(
                "{} lines are more than the {MOST_ROWS} rows of a sheet; lines.csv and lines.parquet hold them all",
                last - 1
            )));
        }
        Ok(Layout {
            cars,
            last: last.max(2),
        })
    }
}

fn car_rows<'a>(
    first: usize,
    lines: &'a [Line],
    terms: &Terms,
    tier: Option<LotTier>,
) -> Option<CarRows<'a>> {
    let is_step = |line: &Line| matches!(line.item, Item::Discount | Item::Minimum | Item::Tax(_));
    let (priced, charged) = lines.split_at(lines.iter().position(is_step).unwrap_or(lines.len()));
    if priced.is_empty() {
        return None;
    }
    let mut has = [false; 6];
    for line in priced {
        has[line.group.index()] = true;
    }
    let find = |item, group: Option<Group>| {
        charged
            .iter()
            .find(|line| line.item == item && group.is_none_or(|group| line.group == group))
    };
    let mut steps = Vec::new();
    let mut add = |step, line| steps.push(StepRow { step, line });
    for group in Group::ALL {
        let percent = terms.discount_on(group, tier);
        if group != Group::Tax && has[group.index()] && !percent.is_zero() {
            add(Step::Discount(group), find(Item::Discount, Some(group)));
        }
    }
    if terms.minimum.is_some() && MINIMUM_GROUPS.iter().any(|group| has[group.index()]) {
        add(Step::Minimum, find(Item::Minimum, None));
        // The minimum is a line of dents, also on a car without any.
        has[Group::Dents.index()] = true;
    }
    for (index, tax) in terms.taxes.iter().enumerate() {
        let taxed = Group::ALL
            .into_iter()
            .any(|group| group != Group::Tax && tax.on[group.index()] && has[group.index()]);
        if taxed && !tax.percent.is_zero() {
            add(Step::Tax(index), find(Item::Tax(index), None));
        }
    }
    debug_assert_eq!(
        steps.iter().filter(|row| row.line.is_some()).count(),
        charged.len(),
        "bug: a line of steps 7 to 9 has no row"
    );
    Some(CarRows {
        first,
        priced,
        steps,
    })
}
