//! The crew's own files beside a priced storm.

use crate::billing::{AccountsInput, BillTerms, receipts_by_car};
use crate::crew::{JobsInput, TimeTerms};
use crate::intake::Problems;
use crate::pay::{CameIn, PayTerms, PayableOn, SplitInput};
use crate::pricing::PricedStorm;
use crate::rates::Rates;
use crate::storm::{BillingLog, CrewLog, Storm};
use jiff::civil::Date;
use std::collections::HashMap;

/// The terms of pay and of time, the crew's files, and what was found wrong in them.
pub struct Books {
    /// Shares and how the crew is paid.
    pub terms: PayTerms,
    /// Hours, time standard and bays.
    pub time: TimeTerms,
    /// People, work, ledger.
    pub log: CrewLog,
    /// How cars are billed.
    pub bill_terms: BillTerms,
    /// Decisions, receipts, bills.
    pub billing: BillingLog,
    /// What is wrong in receipts and bills.
    pub billing_problems: Problems,
    /// Whether that is errors, whoever has taken them to say them.
    pub billing_at_fault: bool,
    /// What is wrong in these files.
    pub problems: Problems,
    /// What is wrong in the days of the cars.
    pub plan_problems: Problems,
}

/// Whether a command is about something.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Want {
    /// It is not.
    #[default]
    No,
    /// Where there is enough to make it of.
    WhereKnown,
    /// In any case.
    Yes,
}

/// What a command makes beside prices.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Wanted {
    /// Who gets what.
    pub split: Want,
    /// What is left to do, and who does it when.
    pub plan: Want,
    /// What the whole lot comes to by the cars counted so far.
    pub lot: Want,
    /// What was billed and came in.
    pub bills: Want,
    /// The day from which is planned, where it was said.
    pub from: Option<Date>,
}

impl Wanted {
    /// All that the folder allows.
    pub const ALL_KNOWN: Wanted = Wanted {
        split: Want::WhereKnown,
        plan: Want::WhereKnown,
        lot: Want::WhereKnown,
        bills: Want::WhereKnown,
        from: None,
    };

    /// Whether the crew's files are any matter.
    pub fn reads_books(&self) -> bool {
        self.split != Want::No || self.plan != Want::No
    }

    /// Whether something is asked for in any case.
    pub fn insists(&self) -> bool {
        let all = [self.split, self.plan, self.lot, self.bills];
        all.contains(&Want::Yes)
    }
}

impl Books {
    /// Whether a split is to be made.
    pub fn splits(&self, wanted: Wanted) -> bool {
        match wanted.split {
            Want::No => false,
            Want::WhereKnown => self.log.has_people || !self.terms.shares.is_empty(),
            Want::Yes => true,
        }
    }

    /// Whether it is to be planned.
    pub fn plans(&self, wanted: Wanted) -> bool {
        match wanted.plan {
            Want::No => false,
            Want::WhereKnown => {
                self.time.hours.is_some()
                    && self.time.standard.is_some()
                    && !self.log.people.is_empty()
            }
            Want::Yes => true,
        }
    }

    /// What a split is made of.
    pub fn input<'a>(
        &'a self,
        storm: &'a Storm,
        rates: &'a Rates,
        priced: &'a PricedStorm,
        came_in: &'a [CameIn],
    ) -> SplitInput<'a> {
        SplitInput {
            storm,
            rates,
            priced,
            terms: &self.terms,
            log: &self.log,
            came_in,
        }
    }

    /// What accounts are made of.
    pub fn accounts_input<'a>(
        &'a self,
        storm: &'a Storm,
        rates: &'a Rates,
        priced: &'a PricedStorm,
    ) -> AccountsInput<'a> {
        AccountsInput {
            storm,
            rates,
            priced,
            terms: &self.bill_terms,
            log: &self.billing,
        }
    }

    /// What came in for each car of the storm.
    pub fn came_in(&self, storm: &Storm) -> Vec<CameIn> {
        if self.terms.on == PayableOn::Work {
            return Vec::new();
        }
        let places: HashMap<&str, usize> = storm
            .cars
            .iter()
            .enumerate()
            .map(|(car, of)| (of.vehicle.stock.as_str(), car))
            .collect();
        let receipts = receipts_by_car(&self.billing).into_iter();
        let of_cars = receipts.filter_map(|receipt| {
            Some(CameIn {
                car: *places.get(&*receipt.stock)?,
                date: receipt.date,
                amount: receipt.amount,
            })
        });
        of_cars.collect()
    }

    /// Whether there is anything to say of bills and receipts.
    pub fn collects(&self, wanted: Wanted) -> bool {
        match wanted.bills {
            Want::No => false,
            Want::WhereKnown => self.billing.is_kept,
            Want::Yes => true,
        }
    }

    /// What jobs are made of.
    pub fn jobs_input<'a>(
        &'a self,
        storm: &'a Storm,
        rates: &'a Rates,
        priced: &'a PricedStorm,
        from: Option<Date>,
    ) -> JobsInput<'a> {
        JobsInput {
            storm,
            rates,
            priced,
            log: &self.log,
            terms: &self.time,
            from,
        }
    }
}
