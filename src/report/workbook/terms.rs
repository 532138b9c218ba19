//! The `Terms` sheet: what formulas need of each payer's terms, one row a payer.

use super::cells::{self, Styles};
use crate::money::RoundingRule;
use crate::rates::Tax;
use crate::report::storm_report::StormReport;
use crate::storm::Group;
use rust_xlsxwriter::utility::column_number_to_name;
use rust_xlsxwriter::{Worksheet, XlsxError};

/// The sheet's name.
pub const NAME: &str = "Terms";

const COLUMNS: [(&str, f64); 13] = [
    ("payer_no", 9.0),
    ("payer", 24.0),
    ("rounding", 11.0),
    ("dents_standing_percent", 12.0),
    ("dents_lot_tier_percent", 12.0),
    ("dents_discount_percent", 12.0),
    ("removal_discount_percent", 12.0),
    ("parts_discount_percent", 12.0),
    ("extra_discount_percent", 12.0),
    ("conventional_discount_percent", 14.0),
    ("minimum", 12.0),
    ("deductible", 12.0),
    ("deductible_event_max", 14.0),
];
/// The columns of each tax: its name, its groups and its percent.
const TAX_COLUMNS: u16 = 3;
const FIRST_TAX: u16 = 13;

/// A payer's number.
pub fn number(payer: usize) -> u32 {
    u32::try_from(payer + 1).unwrap_or(u32::MAX)
}

fn cell(payer: usize, column: u16) -> String {
    format!("{NAME}!${}${}", column_number_to_name(column), payer + 2)
}

/// The cell of the percent off a group.
pub fn discount_cell(payer: usize, group: Group) -> String {
    let column = u16::try_from(group.index()).unwrap_or(u16::MAX);
    cell(payer, 5 + column)
}

/// The cell of the minimum.
pub fn minimum_cell(payer: usize) -> String {
    cell(payer, 10)
}

/// The cell of the payer's deductible.
pub fn deductible_cell(payer: usize) -> String {
    cell(payer, 11)
}

/// The cell of the most that all owners bear.
pub fn event_max_cell(payer: usize) -> String {
    cell(payer, 12)
}

fn tax_column(index: usize) -> u16 {
    let index = u16::try_from(index).unwrap_or(u16::MAX);
    index.saturating_mul(TAX_COLUMNS).saturating_add(FIRST_TAX)
}

/// The cell of a tax's percent.
pub fn tax_cell(payer: usize, index: usize) -> String {
    cell(payer, tax_column(index).saturating_add(2))
}

/// The groups that a tax is on.
pub fn taxed(tax: &Tax) -> Vec<Group> {
    Group::ALL
        .into_iter()
        .filter(|group| *group != Group::Tax && tax.on[group.index()])
        .collect()
}

/// The groups that a tax is on, in words.
pub fn on(tax: &Tax) -> String {
    let words: Vec<&str> = taxed(tax).into_iter().map(Group::word).collect();
    words.join(", ")
}

/// Writes the sheet.
pub fn write(
    sheet: &mut Worksheet,
    report: &StormReport<'_>,
    styles: &Styles,
) -> Result<(), XlsxError> {
    sheet.set_name(NAME)?;
    let all = &report.rates.terms;
    let taxes = all.iter().map(|terms| terms.taxes.len()).max().unwrap_or(0);
    let names = COLUMNS
        .into_iter()
        .map(|(name, width)| (name.to_owned(), width))
        .chain((1..=taxes).flat_map(|tax| {
            [("", 14.0), ("_on", 18.0), ("_percent", 9.0)]
                .map(|(what, width)| (format!("tax_{tax}{what}"), width))
        }));
    let columns = styles.header(sheet, names)?;
    for (row, (payer, terms)) in (1..).zip(all.iter().enumerate()) {
        sheet.write_number(row, 0, number(payer))?;
        styles.text(sheet, row, 1, &report.storm.payers[payer].name)?;
        let rounding = match report.rates.card_of(payer).rounding {
            RoundingRule::HalfUp => "half-up",
            RoundingRule::HalfEven => "half-even",
        };
        sheet.write_string(row, 2, rounding)?;
        let tier = report.priced.tiers[payer];
        let standing = terms.discount[Group::Dents.index()];
        cells::percent(sheet, row, 3, standing)?;
        let reached = tier.map(|tier| tier.percent).unwrap_or_default();
        cells::percent(sheet, row, 4, reached)?;
        let dents = terms.discount_on(Group::Dents, tier);
        styles.live(
            sheet,
            row,
            5,
            format!("=ROUND(D{0}+E{0},3)", row + 1),
            dents.0.normalize().to_string(),
        )?;
        let others = [
            Group::Removal,
            Group::Parts,
            Group::Extra,
            Group::Conventional,
        ];
        for (column, group) in (6..).zip(others) {
            cells::percent(sheet, row, column, terms.discount[group.index()])?;
        }
        let amounts = [terms.minimum, terms.deductible, terms.deductible_event_max];
        for (column, amount) in (10..).zip(amounts) {
            if let Some(amount) = amount {
                styles.money(sheet, row, column, amount)?;
            }
        }
        for (index, tax) in terms.taxes.iter().enumerate() {
            let column = tax_column(index);
            styles.text(sheet, row, column, &tax.name)?;
            sheet.write_string(row, column + 1, on(tax))?;
            cells::percent(sheet, row, column + 2, tax.percent)?;
        }
    }
    let rows = u32::try_from(all.len()).unwrap_or(u32::MAX);
    cells::set_up(sheet, &report.storm.name, NAME, rows, columns, 2)
}
