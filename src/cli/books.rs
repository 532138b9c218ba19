//! The crew's own files beside a priced storm.

use crate::intake::{Place, Problem, Problems, Severity};
use crate::money::Currency;
use crate::pay::{PayTerms, Split, SplitInput};
use crate::pricing::PricedStorm;
use crate::rates::Rates;
use crate::storm::{CrewLog, Storm};

/// The terms of pay, the crew's files, and what was found wrong in them.
pub struct Books {
    /// Shares and how the crew is paid.
    pub terms: PayTerms,
    /// People, work, ledger.
    pub log: CrewLog,
    /// What is wrong in these files.
    pub problems: Problems,
}

/// Whether a command is about the split.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SplitWanted {
    /// It is not, and the crew's files are no matter.
    No,
    /// Where there is a crew or a share.
    WhereKnown,
    /// In any case.
    Yes,
}

impl Books {
    /// Whether a split is to be made.
    pub fn are_wanted(&self, wanted: SplitWanted) -> bool {
        match wanted {
            SplitWanted::No => false,
            SplitWanted::WhereKnown => self.log.has_people || !self.terms.shares.is_empty(),
            SplitWanted::Yes => true,
        }
    }

    /// What a split is made of.
    pub fn input<'a>(
        &'a self,
        storm: &'a Storm,
        rates: &'a Rates,
        priced: &'a PricedStorm,
    ) -> SplitInput<'a> {
        SplitInput {
            storm,
            rates,
            priced,
            terms: &self.terms,
            log: &self.log,
        }
    }
}

/// Shares that got less than their percent, since not as much was left.
pub fn share_cautions(split: &Split, terms: &PayTerms, currency: Currency) -> Vec<Problem> {
    let shares = terms.shares.iter().zip(&split.shares);
    shares
        .filter_map(|(share, sum)| {
            let (cars, short) = sum.short?;
            let word = if cars == 1 { "car" } else { "cars" };
            Some(Problem {
                severity: Severity::Caution,
                place: Place {
                    row: Some(share.line),
                    column: Some("percent".to_owned()),
                    ..Place::file("storm.toml")
                },
                found: share.percent.0.normalize().to_string(),
                expected: format!(
                    "as much left of {}: {} is {} short on {cars} {word}",
                    share.of.said(),
                    share.to,
                    currency.text(short)
                ),
                meant: None,
                stock: None,
            })
        })
        .collect()
}
