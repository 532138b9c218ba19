//! The amounts of a document, as EN 16931 foots them.

use crate::billing::{Bill, BillTerms, Untaxed};
use crate::money::{Currency, Money, Percent, Rounding, RoundingRule};
use crate::storm::{BillParts, BillRow, Group};
use std::collections::BTreeMap;

/// A tax category with its rate. The order is that of the breakdown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Category {
    /// The code (UNTDID 5305).
    pub code: &'static str,
    /// The rate; none outside the tax's scope.
    pub rate: Option<Percent>,
}

/// The category of amounts with a tax.
pub(super) const STANDARD: &str = "S";

impl Category {
    fn of_untaxed(untaxed: Untaxed) -> Category {
        Category {
            code: untaxed.code(),
            rate: (untaxed != Untaxed::OutOfScope).then_some(Percent::ZERO),
        }
    }
}

/// What a line is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum LineOf {
    /// A group of the car's price.
    Group(Group),
    /// What the payer now approves and did not before; in a credit note the reverse.
    Decided,
    /// The car alone: nothing of its price has changed.
    Nothing,
}

/// One line (BG-25).
pub(super) struct Line<'a> {
    pub row: &'a BillRow,
    pub of: LineOf,
    pub amount: Money,
    pub category: Category,
}

/// One allowance on the document (BG-20).
pub(super) struct Allowance<'a> {
    pub row: &'a BillRow,
    pub amount: Money,
}

/// One category of the breakdown (BG-23).
#[derive(Default)]
pub(super) struct Taxed {
    pub taxable: Money,
    pub tax: Money,
}

/// All amounts of a document, in its own sign.
pub(super) struct Amounts<'a> {
    pub lines: Vec<Line<'a>>,
    pub allowances: Vec<Allowance<'a>>,
    /// The category of what has no tax.
    pub untaxed: Category,
    pub breakdown: BTreeMap<Category, Taxed>,
    /// BT-106.
    pub line_sum: Money,
    /// BT-107.
    pub allowance_sum: Money,
    /// BT-109.
    pub without_tax: Money,
    /// BT-110.
    pub tax: Money,
    /// BT-112.
    pub with_tax: Money,
    /// Of BT-113 what the owners pay.
    pub by_owners: Money,
    /// Of BT-113 what was credited before.
    pub credited: Money,
    /// The tax as it was billed, car by car.
    pub billed_tax: Money,
    /// BT-114.
    pub rounding: Money,
    /// BT-115.
    pub payable: Money,
}

impl<'a> Amounts<'a> {
    pub fn of(
        bill: &Bill<'a>,
        terms: &BillTerms,
        currency: Currency,
        is_credit_note: bool,
    ) -> Amounts<'a> {
        let signed = |parts: &BillParts| match is_credit_note {
            true => BillParts::default().less(parts),
            false => *parts,
        };
        let untaxed = Category::of_untaxed(untaxed(bill, terms));
        let (mut lines, mut allowances) = (Vec::new(), Vec::new());
        for &row in &bill.rows {
            let parts = signed(&row.parts);
            let before = lines.len();
            let mut push = |of, amount, category| {
                lines.push(Line {
                    row,
                    of,
                    amount,
                    category,
                });
            };
            for group in priced_groups(row) {
                let category = match row.tax_rates[group.index()] {
                    rate if is_taxed(rate) => Category {
                        code: STANDARD,
                        rate: Some(rate),
                    },
                    _ => untaxed,
                };
                push(LineOf::Group(group), parts.groups[group.index()], category);
            }
            if parts.not_approved > Money::ZERO {
                push(LineOf::Decided, parts.not_approved, untaxed);
            } else if parts.not_approved < Money::ZERO {
                let amount = -parts.not_approved;
                allowances.push(Allowance { row, amount });
            }
            if lines.len() == before {
                lines.push(Line {
                    row,
                    of: LineOf::Nothing,
                    amount: Money::ZERO,
                    category: untaxed,
                });
            }
        }
        let breakdown = breakdown(&lines, &allowances, untaxed, currency);
        let line_sum: Money = lines.iter().map(|line| line.amount).sum();
        let allowance_sum: Money = allowances.iter().map(|allowance| allowance.amount).sum();
        let without_tax = line_sum - allowance_sum;
        let tax: Money = breakdown.values().map(|of| of.tax).sum();
        let with_tax = without_tax + tax;
        let parts = signed(&bill.parts());
        let (by_owners, credited) = (-parts.other_part, -parts.credit);
        let payable = parts.amount();
        Amounts {
            lines,
            allowances,
            untaxed,
            breakdown,
            line_sum,
            allowance_sum,
            without_tax,
            tax,
            with_tax,
            by_owners,
            credited,
            billed_tax: parts.groups[Group::Tax.index()],
            // BR-CO-16, read backwards.
            rounding: payable - with_tax + by_owners + credited,
            payable,
        }
    }

    /// BT-113.
    pub fn paid(&self) -> Money {
        self.by_owners + self.credited
    }
}

/// The groups of a row that have an amount, without the tax.
fn priced_groups(row: &BillRow) -> impl Iterator<Item = Group> + '_ {
    Group::ALL
        .into_iter()
        .filter(|group| *group != Group::Tax && !row.parts.groups[group.index()].is_zero())
}

fn is_taxed(rate: Percent) -> bool {
    rate > Percent::ZERO
}

/// What the amounts without a tax are: out of scope only where all are.
fn untaxed(bill: &Bill<'_>, terms: &BillTerms) -> Untaxed {
    let taxes =
        |row: &&BillRow| priced_groups(row).any(|group| is_taxed(row.tax_rates[group.index()]));
    match terms.untaxed {
        Untaxed::OutOfScope if bill.rows.iter().any(taxes) => Untaxed::Exempt,
        untaxed => untaxed,
    }
}

fn breakdown(
    lines: &[Line<'_>],
    allowances: &[Allowance<'_>],
    untaxed: Category,
    currency: Currency,
) -> BTreeMap<Category, Taxed> {
    let mut breakdown: BTreeMap<Category, Taxed> = BTreeMap::new();
    for line in lines {
        breakdown.entry(line.category).or_default().taxable += line.amount;
    }
    for allowance in allowances {
        breakdown.entry(untaxed).or_default().taxable += -allowance.amount;
    }
    // The standard's rounding, whatever that of the card (BR-CO-17).
    let rounding = Rounding {
        rule: RoundingRule::HalfUp,
        currency,
    };
    for (category, of) in &mut breakdown {
        let rate = category.rate.unwrap_or(Percent::ZERO);
        of.tax = rounding.money(of.taxable.exact().percent(rate));
    }
    breakdown
}
