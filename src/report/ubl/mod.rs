//! Bills as structured invoices: the semantic model of EN 16931-1:2017 in the
//! syntax of UBL 2.1 (OASIS), documents `Invoice` and `CreditNote`.
//!
//! | term | is |
//! |---|---|
//! | BT-1, BT-2, BT-9 | number, day and due day of the bill; a credit note has no due day |
//! | BT-3 | 380 for a bill and a supplement, 381 for a correction, whose amounts are then positive |
//! | BT-5 | the storm's currency |
//! | BT-10 | `[[payer]] reference` |
//! | BT-20 | `[bills] pay_to`; in a credit note that it is taken off or paid back |
//! | BT-22 | what owners pay directly, what was credited before, and how BT-114 arose |
//! | BT-24 | `urn:cen.eu:en16931:2017` |
//! | BG-3 | of a supplement or correction: the earlier bills of its cars to the same payer |
//! | BG-4, BG-5, BG-6 | `[from]`, with `[bills] country` (BT-40); the address in lines, since nothing tells street and town apart |
//! | BT-30 | `[from] registration` |
//! | BT-31, BT-32 | `[bills] tax_id`: BT-31 where it has the form of a VAT identifier, else BT-32 |
//! | BG-7, BG-8 | the payer, with `[[payer]] country` (BT-55) |
//! | BT-46, BT-48 | `[[payer]] tax_id`: BT-48 where it has that form, else BT-46 |
//! | BG-16, BG-17 | code 30 into `[bills] account`, else code 1; none in a credit note, which pays the other way |
//! | BG-20 | car by car what the payer did not approve, without tax |
//! | BG-23 | by category and rate; BT-117 is rounded half up to the minor unit |
//! | BT-113 | what the owners pay directly, and what was credited before |
//! | BT-114 | our tax, rounded car by car, less the standard's, rounded rate by rate |
//! | BT-115 | the bill's amount, to the minor unit |
//! | BG-25 | a line for each car and group with an amount, quantity 1, unit `C62` |
//!
//! **Below zero.** A price may not be (BR-27), so a line below zero has quantity -1.
//! Where the payer approved more than before (in a credit note: less), that is a line
//! and no allowance. A car of which only the owner's part changed has a line of 0.00,
//! since a document needs one (BR-16).
//!
//! **Categories.** An amount with a rate is `S`. One without has the category of
//! `[bills] untaxed`; `O` may not stand beside others (BR-O-11 to BR-O-14), so it
//! becomes `E` there. The standard knows one kind of tax and calls it VAT. Whether a
//! tax is one, which category an amount without it has, whether what was not approved
//! lowers a tax, and whether a duty to send structured invoices is met, is for a tax
//! adviser to say.
//!
//! Electronic addresses (BT-34, BT-49) are not known and left out.

mod amounts;
mod document;
mod missing;
mod xml;

use crate::billing::{Bill, BillTerms};
use crate::storm::{BillKind, BillRow, Storm, Vehicle};
use amounts::Amounts;
use std::collections::{BTreeMap, HashMap};

/// What structured bills are made of, looked up once for all of them.
pub struct UblInput<'a> {
    storm: &'a Storm,
    terms: &'a BillTerms,
    vehicles: HashMap<&'a str, &'a Vehicle>,
    ledger: HashMap<&'a str, Vec<&'a BillRow>>,
}

impl<'a> UblInput<'a> {
    /// Of a storm, what it says of bills, and the bill ledger in its order. Time and
    /// memory grow with the cars and the rows.
    #[must_use]
    pub fn new(storm: &'a Storm, terms: &'a BillTerms, ledger: &'a [BillRow]) -> UblInput<'a> {
        let vehicles = storm.cars.iter().map(|car| &car.vehicle);
        let mut by_stock: HashMap<&str, Vec<&BillRow>> = HashMap::new();
        for row in ledger.iter().filter(|row| row.kind.bills()) {
            by_stock.entry(&row.stock).or_default().push(row);
        }
        UblInput {
            storm,
            terms,
            vehicles: vehicles
                .map(|vehicle| (vehicle.stock.as_str(), vehicle))
                .collect(),
            ledger: by_stock,
        }
    }

    /// The earlier bills of a bill's cars to the same payer, each once, by number.
    fn preceding(&self, bill: &Bill<'a>) -> Vec<&'a BillRow> {
        let mut met = BTreeMap::new();
        for row in &bill.rows {
            let of_car = self.ledger.get(&*row.stock).into_iter().flatten();
            let before = of_car.take_while(|other| other.number != row.number);
            for other in before.filter(|other| other.to == row.to) {
                met.insert((other.number.serial, other.number.text.as_str()), *other);
            }
        }
        met.into_values().collect()
    }
}

/// A bill as a structured invoice or credit note, in UTF-8. The same bill gives the
/// same bytes.
///
/// # Errors
/// All that the standard needs and storm.toml does not say, in plain words; or why
/// this bill is not written: one to an owner, whose country nobody has written down,
/// and a credit for an over-payment, which is no invoice.
pub fn ubl_bill(input: &UblInput<'_>, bill: &Bill<'_>) -> Result<Vec<u8>, Vec<String>> {
    missing::check_kind(bill).map_err(|reason| vec![reason])?;
    let is_credit_note = bill.head().kind == BillKind::Correction;
    let amounts = Amounts::of(bill, input.terms, input.storm.currency, is_credit_note);
    let payer = missing::checked(input, bill, &amounts)?;
    Ok(document::written(input, bill, payer, &amounts))
}
