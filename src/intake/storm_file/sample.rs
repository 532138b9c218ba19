//! What the counted cars are a sample of: `[sample]`.

use super::super::header::ListColumn;
use super::super::problem::Place;
use super::super::toml_doc::{Scalar, one_of};
use super::raw::RawSample;
use super::{IntakeOptions, StormReader};
use crate::storm::words;
use rust_decimal::Decimal;

/// Columns of the vehicle list that hold a number.
const NUMBERS: [ListColumn; 5] = [
    ListColumn::Value,
    ListColumn::Deductible,
    ListColumn::Odometer,
    ListColumn::Year,
    ListColumn::Priority,
];

/// A column of the vehicle list that storm.toml names, and where it does.
#[derive(Debug, Clone)]
pub struct ListWord {
    /// The column.
    pub column: ListColumn,
    /// Its word.
    pub word: &'static str,
    /// Where it is named.
    pub place: Place,
}

/// `[sample]`, checked.
#[derive(Debug, Clone, Default)]
pub struct SampleTerms {
    /// Whether the section is there.
    pub is_given: bool,
    /// The column that parts the lot into strata.
    pub strata: Option<ListWord>,
    /// The column that is known of every car.
    pub helper: Option<ListWord>,
    /// Its total over all cars, where it is not that of the list.
    pub helper_total: Option<Decimal>,
    /// How the counted cars were picked.
    pub picked: String,
}

impl StormReader<'_, '_> {
    pub(super) fn sample(
        &mut self,
        raw: Option<&toml::Spanned<RawSample>>,
        options: &IntakeOptions,
    ) -> SampleTerms {
        let Some(raw) = raw.map(toml::Spanned::get_ref) else {
            return SampleTerms::default();
        };
        let all = ListColumn::ALL.map(|(column, _)| column);
        let strata = raw
            .strata
            .as_ref()
            .and_then(|value| self.list_column(value, &all, options));
        let helper = raw
            .helper
            .as_ref()
            .and_then(|value| self.list_column(value, &NUMBERS, options));
        let helper_total = raw
            .helper_total
            .as_ref()
            .and_then(|value| self.doc.positive(value));
        if let (None, Some(total)) = (&raw.helper, &raw.helper_total) {
            let expected = "`helper` beside it: the column that this is the total of";
            self.doc.fault(&total.span(), expected);
        }
        let picked = raw.picked.as_ref().and_then(|value| self.doc.text(value));
        SampleTerms {
            is_given: true,
            strata,
            helper,
            helper_total,
            picked: picked.unwrap_or_default().trim().to_owned(),
        }
    }

    /// One of these columns, under any of its words.
    fn list_column(
        &mut self,
        value: &Scalar,
        among: &[ListColumn],
        options: &IntakeOptions,
    ) -> Option<ListWord> {
        let text = self.doc.name(value)?;
        let folded = words::fold(&text);
        let folded = options.columns.get(&folded).cloned().unwrap_or(folded);
        let folded = words::column_alias(&folded).map_or(folded, words::fold);
        let known: Vec<(ListColumn, &'static str)> = ListColumn::ALL
            .into_iter()
            .filter(|(column, _)| among.contains(column))
            .collect();
        let found = known.iter().find(|(_, word)| words::fold(word) == folded);
        let Some((column, word)) = found else {
            let all: Vec<&str> = known.iter().map(|(_, word)| *word).collect();
            let near = words::nearest(&folded, all.iter().copied()).map(str::to_owned);
            let expected = format!("a column of the vehicle list: {}", one_of(&all));
            self.doc.fault_meant(&value.span(), expected, near);
            return None;
        };
        Some(ListWord {
            column: *column,
            word,
            place: self.doc.place(&value.span()),
        })
    }
}
