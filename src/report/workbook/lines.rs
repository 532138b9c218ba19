//! The `Lines` sheet: `lines.csv`, and beside it what an amount is made from.

use super::cells::{self, Styles};
use super::layout::{CarRows, Layout, MINIMUM_GROUPS, Step, StepRow};
use super::reckoning::{is_exact, part, rounded};
use super::terms;
use crate::money::{Money, Percent};
use crate::pricing::{Explainer, Line};
use crate::rates::Terms;
use crate::report::grid::Value;
use crate::report::storm_report::StormReport;
use crate::storm::{Car, Group};
use rust_xlsxwriter::{DataValidation, DataValidationErrorStyle, Formula, Worksheet, XlsxError};

/// The sheet's name.
pub const NAME: &str = "Lines";
/// What `amount_is` says of an amount that stands there to be edited.
pub const ENTERED: &str = "entered";

const COLUMNS: [(&str, f64); 12] = [
    ("stock", 12.0),
    ("panel", 12.0),
    ("group", 13.0),
    ("item", 22.0),
    ("quantity", 9.0),
    ("amount", 12.0),
    ("basis", 48.0),
    ("amount_is", 10.0),
    ("payer_no", 9.0),
    ("body", 9.0),
    ("on_amount", 12.0),
    ("percent", 9.0),
];
const AMOUNT: u16 = 5;

/// Cells of a column over some rows, as formulas of this sheet write them.
fn here(column: char, first: usize, last: usize) -> String {
    format!("${column}${first}:${column}${last}")
}

/// The same, as other sheets write them.
pub fn cells(column: char, first: usize, last: usize) -> String {
    format!("{NAME}!{}", here(column, first, last))
}

/// Writes the sheet.
pub fn write(
    sheet: &mut Worksheet,
    report: &StormReport<'_>,
    layout: &Layout<'_>,
    styles: &Styles,
) -> Result<(), XlsxError> {
    sheet.set_name(NAME)?;
    let columns = styles.header(sheet, COLUMNS)?;
    for (car, rows) in report.storm.cars.iter().zip(&layout.cars) {
        if let Some(rows) = rows {
            let payer = car.vehicle.payer;
            CarSheet {
                sheet,
                styles,
                car,
                rows,
                terms: &report.rates.terms[payer],
                percents: |group| {
                    report.rates.terms[payer].discount_on(group, report.priced.tiers[payer])
                },
                rule: report.rates.card_of(payer).rounding,
                explainer: Explainer::new(report.storm, report.rates, payer),
            }
            .write()?;
        }
    }
    // Text in an amount would silently count as nothing, and a fraction of a
    // cent would make sheets that do not foot.
    let last = u32::try_from(layout.last - 1).unwrap_or(u32::MAX);
    let rule = DataValidation::new()
        .allow_custom(Formula::new(format!(
            "=AND(ISNUMBER(F2),{}=F2)",
            rounded("F2", styles.currency)
        )))
        .set_error_title("not an amount")?
        .set_error_message("A number with the currency's places. 0 strikes a line; an empty cell waits for a written quote.")?
        .set_error_style(DataValidationErrorStyle::Stop);
    sheet.add_data_validation(1, AMOUNT, last, AMOUNT, &rule)?;
    cells::set_up(sheet, &report.storm.name, NAME, last, columns, 2)
}

/// One car's rows in the making.
struct CarSheet<'s, 'a, P> {
    sheet: &'s mut Worksheet,
    styles: &'s Styles,
    car: &'a Car,
    rows: &'s CarRows<'a>,
    terms: &'a Terms,
    percents: P,
    rule: crate::money::RoundingRule,
    explainer: Explainer<'a>,
}

/// How an amount of steps 7 to 9 is made.
struct Made {
    on: String,
    on_amount: Money,
    percent: Option<(String, Percent)>,
    amount: String,
}

impl<P: Fn(Group) -> Percent> CarSheet<'_, '_, P> {
    fn write(&mut self) -> Result<(), XlsxError> {
        for (index, line) in self.rows.priced.iter().enumerate() {
            let row = sheet_row(self.rows.first + index);
            self.words(row, line.panel.map_or("", |panel| panel.word()), line.group)?;
            self.item(row, line)?;
            let quantity = Value::count(line.quantity.map(u64::from));
            self.styles.value(self.sheet, row, 4, &quantity)?;
            let amount = Value::money(line.amount);
            self.styles.value(self.sheet, row, AMOUNT, &amount)?;
            self.sheet.write_string(row, 7, ENTERED)?;
        }
        for (index, step) in self.rows.steps.iter().enumerate() {
            self.step(self.rows.last_priced() + 1 + index, step)?;
        }
        Ok(())
    }

    /// What every row of the car says.
    fn words(&mut self, row: u32, panel: &str, group: Group) -> Result<(), XlsxError> {
        let vehicle = &self.car.vehicle;
        self.styles.text(self.sheet, row, 0, &vehicle.stock)?;
        self.sheet.write_string(row, 1, panel)?;
        self.sheet.write_string(row, 2, group.word())?;
        self.sheet
            .write_number(row, 8, terms::number(vehicle.payer))?;
        self.sheet.write_string(row, 9, vehicle.body.word())?;
        Ok(())
    }

    fn item(&mut self, row: u32, line: &Line) -> Result<(), XlsxError> {
        let item = self.explainer.item(line);
        self.styles.text(self.sheet, row, 3, &item)?;
        let basis = self.explainer.basis(line);
        self.styles.text(self.sheet, row, 6, &basis)
    }

    fn step(&mut self, number: usize, step: &StepRow<'_>) -> Result<(), XlsxError> {
        let row = sheet_row(number);
        let group = match step.step {
            Step::Discount(group) => group,
            Step::Minimum => Group::Dents,
            Step::Tax(_) => Group::Tax,
        };
        self.words(row, "", group)?;
        match step.line {
            Some(line) => self.item(row, line)?,
            None => self.standing_by(row, step.step)?,
        }
        let made = self.made(number, step.step);
        let currency = self.styles.currency;
        let too_long = made
            .percent
            .as_ref()
            .is_some_and(|(_, percent)| !is_exact(made.on_amount, *percent, currency));
        if too_long {
            let amount = Value::money(step.line.and_then(|line| line.amount));
            self.styles.value(self.sheet, row, AMOUNT, &amount)?;
            self.sheet.write_string(row, 7, "fixed")?;
            return Ok(());
        }
        let amount = step.line.and_then(|line| line.amount);
        self.styles
            .live_money(self.sheet, row, AMOUNT, made.amount, amount)?;
        self.sheet.write_string(row, 7, "formula")?;
        self.styles
            .live_money(self.sheet, row, 10, made.on, Some(made.on_amount))?;
        if let Some((cell, percent)) = made.percent {
            let shown = percent.0.normalize().to_string();
            self.styles
                .live(self.sheet, row, 11, format!("={cell}"), shown)?;
        }
        Ok(())
    }

    /// The item and basis of a row that is not charged at these amounts.
    fn standing_by(&mut self, row: u32, step: Step) -> Result<(), XlsxError> {
        let (item, basis) = match step {
            Step::Discount(group) => (
                "discount".to_owned(),
                format!("stands by: {} off {}", (self.percents)(group), group.word()),
            ),
            Step::Minimum => {
                let minimum = self.terms.minimum.unwrap_or_default();
                (
                    "minimum".to_owned(),
                    format!("stands by: minimum {}", self.styles.currency.text(minimum)),
                )
            }
            Step::Tax(index) => {
                let tax = &self.terms.taxes[index];
                (
                    format!("tax {}", tax.name),
                    format!("stands by: {} of {}", tax.percent, terms::on(tax)),
                )
            }
        };
        self.styles.text(self.sheet, row, 3, &item)?;
        self.styles.text(self.sheet, row, 6, &basis)
    }

    /// The sum of some groups over the car's rows down to `last`.
    fn sum(&self, groups: &[Group], last: usize) -> String {
        let first = self.rows.first;
        let sums: Vec<String> = groups
            .iter()
            .map(|group| {
                format!(
                    "SUMIF({},\"{}\",{})",
                    here('C', first, last),
                    group.word(),
                    here('F', first, last)
                )
            })
            .collect();
        format!("={}", rounded(&sums.join("+"), self.styles.currency))
    }

    /// The printed sum of some groups over the rows down to `last`.
    fn printed(&self, groups: &[Group], last: usize) -> Money {
        let steps = last - self.rows.last_priced();
        let steps = self.rows.steps[..steps].iter().filter_map(|row| row.line);
        self.rows
            .priced
            .iter()
            .chain(steps)
            .filter(|line| groups.contains(&line.group))
            .filter_map(|line| line.amount)
            .sum()
    }

    fn made(&self, number: usize, step: Step) -> Made {
        let payer = self.car.vehicle.payer;
        let minor = self.styles.minor();
        let (amount_cell, percent_cell) = (format!("$K{number}"), format!("$L{number}"));
        let priced = self.rows.last_priced();
        let percent_of = |groups: &[Group], last, cell, percent, sign| Made {
            on: self.sum(groups, last),
            on_amount: self.printed(groups, last),
            percent: Some((cell, percent)),
            amount: part(&amount_cell, &percent_cell, sign, minor, self.rule),
        };
        match step {
            Step::Discount(group) => percent_of(
                &[group],
                priced,
                terms::discount_cell(payer, group),
                (self.percents)(group),
                "0-",
            ),
            Step::Tax(index) => {
                let tax = &self.terms.taxes[index];
                let pre_tax = self
                    .rows
                    .steps
                    .iter()
                    .take_while(|row| !matches!(row.step, Step::Tax(_)))
                    .count();
                percent_of(
                    &terms::taxed(tax),
                    priced + pre_tax,
                    terms::tax_cell(payer, index),
                    tax.percent,
                    "0+",
                )
            }
            Step::Minimum => {
                let minimum = terms::minimum_cell(payer);
                Made {
                    on: self.sum(&MINIMUM_GROUPS, number - 1),
                    on_amount: self.printed(&MINIMUM_GROUPS, number - 1),
                    percent: None,
                    amount: format!(
                        "=IF(AND(COUNTBLANK({})=0,{amount_cell}>0,{amount_cell}<{minimum}),{},\"\")",
                        here('F', self.rows.first, priced),
                        rounded(&format!("{minimum}-{amount_cell}"), self.styles.currency)
                    ),
                }
            }
        }
    }
}

/// The library counts rows from 0.
fn sheet_row(row: usize) -> u32 {
    u32::try_from(row - 1).unwrap_or(u32::MAX)
}
