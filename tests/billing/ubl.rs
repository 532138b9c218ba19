//! Structured bills: read back field by field, held to the rules of EN 16931-1:2017,
//! and their sums worked by hand. The terms' places are said in `rules`.

mod document;
mod random;
mod refused;
mod rules;
mod worked;

use document::Element;
use hailyard::billing::{BillTerms, Untaxed, bills_of};
use hailyard::money::{Currency, Money, Percent};
use hailyard::report::{UblInput, ubl_bill};
use hailyard::storm::{BillKind, BillNumber, BillParts, BillRow};
use hailyard::storm::{Car, Party, Payer, Sender, Storm, Vehicle};
use hailyard::units::LengthUnit;
use jiff::civil::date;

/// A storm, its terms and its ledger, all invented.
pub struct Books {
    storm: Storm,
    terms: BillTerms,
    ledger: Vec<BillRow>,
}

fn books(code: &str) -> Books {
    let vehicle = |stock: &str, vin: &str, plate: &str| Car {
        vehicle: Vehicle {
            stock: stock.to_owned(),
            vin: vin.to_owned(),
            plate: plate.to_owned(),
            model: "Larkspur 3".to_owned(),
            ..Vehicle::default()
        },
        ..Car::default()
    };
    let storm = Storm {
        name: "Tallow Creek".to_owned(),
        date: None,
        currency: Currency::from_code(code).expect("a currency"),
        unit: LengthUnit::Millimetre,
        sender: Sender {
            name: "Fenmoor Dent Works".to_owned(),
            address: "Yard 4\nMill Lane 9\n00001 Fenmoor\nBack gate".to_owned(),
            phone: "+49 000 555".to_owned(),
            email: "desk@fenmoor.example".to_owned(),
            registration: "FM 1207".to_owned(),
            note: String::new(),
        },
        payers: vec![Payer {
            name: "Quarry Mutual".to_owned(),
            party: Party {
                address: "Slate Street 1".to_owned(),
                country: "AT".to_owned(),
                tax_id: "ATU00000001".to_owned(),
                reference: "HAIL-77".to_owned(),
            },
        }],
        cars: vec![
            vehicle("A101", "ZZZZZZ00000000101", "FM X 1"),
            vehicle("A102", "", "FM X 2"),
        ],
        agreed: Vec::new(),
        lot: None,
        size_names: Vec::new(),
        code_names: Vec::new(),
    };
    let terms = BillTerms {
        pay_to: "Within 30 days, naming the number.".to_owned(),
        account: "DE00 0000 0000 0000 0000 01".to_owned(),
        country: "DE".to_owned(),
        tax_id: "DE 000000001".to_owned(),
        ..BillTerms::default()
    };
    Books {
        storm,
        terms,
        ledger: Vec::new(),
    }
}

impl Books {
    /// Adds a row. `groups` are dents, removal, parts, extra, conventional and tax;
    /// `others` what was not approved, the other's part and a credit. The rate is on
    /// all groups but parts.
    fn row(
        mut self,
        (serial, kind, stock): (u64, BillKind, &str),
        groups: [&str; 6],
        others: [&str; 3],
        rate: &str,
    ) -> Books {
        let money = |text: &str| self.money(text);
        let [not_approved, other_part, credit] = others.map(money);
        let parts = BillParts {
            groups: groups.map(money),
            not_approved,
            other_part,
            credit,
        };
        let rate = Percent(rate.parse().expect("a percent"));
        self.ledger.push(BillRow {
            number: BillNumber {
                text: format!("TC-{serial}"),
                serial,
            },
            date: date(2026, 7, 1),
            due: date(2026, 7, 31),
            kind,
            to: "Quarry Mutual".to_owned(),
            stock: stock.into(),
            of: String::new(),
            parts,
            tax_rates: [rate, rate, Percent::ZERO, rate, rate, Percent::ZERO],
            source: None,
        });
        self
    }

    fn money(&self, text: &str) -> Money {
        let text = if text.is_empty() { "0" } else { text };
        let amount = self.storm.currency.amount(text.parse().expect("a number"));
        amount.expect("minor units")
    }

    fn with(mut self, change: impl FnOnce(&mut Books)) -> Books {
        change(&mut self);
        self
    }

    /// The last bill of the ledger.
    fn written(&self) -> Result<Vec<u8>, Vec<String>> {
        let input = UblInput::new(&self.storm, &self.terms, &self.ledger);
        let bill = bills_of(&self.ledger).pop().expect("a bill");
        ubl_bill(&input, &bill)
    }

    /// The last bill, read back, held to all rules and to the bill's own amount.
    #[track_caller]
    fn read(&self) -> Element {
        let bytes = self.written().expect("nothing is missing");
        assert_eq!(self.written(), Ok(bytes.clone()), "the same bytes again");
        let doc = Element::read(&bytes);
        rules::check(&doc, self.storm.currency.places());
        let bill = bills_of(&self.ledger).pop().expect("a bill");
        let amount = match bill.head().kind {
            BillKind::Correction => -bill.amount(),
            _ => bill.amount(),
        };
        assert_eq!(
            doc.said("cac:LegalMonetaryTotal/cbc:PayableAmount"),
            self.storm.currency.text(amount)
        );
        doc
    }
}

use BillKind::{Bill, Correction, Supplement};

/// Two cars with 19 % on all but parts.
///
/// A101: 1000.03 + 210.03 + 33.30; tax by line 190.0057 → 190.01 and 39.9057 → 39.91,
/// together 229.92; 100.00 not approved, 300.00 by the owner: 1073.28.
/// A102: 500.03 - 20.00 + 80.03; tax 95.0057 → 95.01, -3.80, 15.2057 → 15.21, together
/// 106.42; 150.00 by the owner: 516.48. The bill: 1589.76.
fn two_cars() -> Books {
    let first = ["1000.03", "210.03", "33.30", "", "", "229.92"];
    let second = ["500.03", "", "", "-20.00", "80.03", "106.42"];
    books("EUR")
        .row((7, Bill, "A101"), first, ["-100.00", "-300.00", ""], "19")
        .row((7, Bill, "A102"), second, ["", "-150.00", ""], "19")
}

/// What was refused at first is approved: a line without tax, not an allowance.
fn approved_since() -> Books {
    let none = [""; 6];
    two_cars()
        .row((8, Supplement, "A101"), none, ["60.00", "", ""], "19")
        .with(|books| {
            books.ledger[2].of = "hidden dents".to_owned();
        })
}

/// The deductible turned out 200.00 smaller: nothing of the price has changed.
fn smaller_deductible() -> Books {
    two_cars().row((8, Supplement, "A101"), [""; 6], ["", "200.00", ""], "19")
}

/// A102 was billed 50.00 of dents too high, with 9.50 of tax, of which the owner had
/// borne 30.00: 29.50 go back. Then its deductible turned out 25.00 larger.
fn corrections() -> [Books; 2] {
    let less = ["-50.00", "", "", "", "", "-9.50"];
    let taken_off = || two_cars().row((8, Correction, "A102"), less, ["", "30.00", ""], "19");
    [
        taken_off(),
        taken_off().row((9, Correction, "A102"), [""; 6], ["", "-25.00", ""], "19"),
    ]
}

/// One car of 80.00 for dents and 20.00 for parts, without a tax or with one on dents.
fn plain(code: &str, untaxed: Untaxed, rate: &str, tax: &str) -> Books {
    let groups = ["80", "", "20", "", "", tax];
    books(code)
        .row((1, Bill, "A101"), groups, ["-10", "-5", ""], rate)
        .with(|books| books.terms.untaxed = untaxed)
}

/// As little as a bill may say.
fn sparse() -> Books {
    plain("USD", Untaxed::Exempt, "0", "").with(|books| {
        books.storm.sender.address.clear();
        books.storm.sender.phone.clear();
        books.storm.sender.email.clear();
        books.storm.cars.clear();
        books.storm.payers[0].party = Party {
            country: "US".to_owned(),
            tax_id: "77-1".to_owned(),
            ..Party::default()
        };
        books.terms.pay_to.clear();
        books.terms.account.clear();
        books.terms.tax_id = "18-0042".to_owned();
    })
}

/// Texts with all that XML sets apart or forbids.
fn hostile() -> Books {
    two_cars().with(|books| {
        let text = "<a b=\"1\">&amp; 'x' ]]> \u{0}\u{1b}\u{fffe}\r\n\té 雹 \u{1f697}";
        books.storm.sender.name = text.to_owned();
        books.storm.payers[0].party.reference = text.to_owned();
        books.storm.cars[0].vehicle.claim = text.to_owned();
        books.terms.untaxed_reason = text.to_owned();
        books.terms.account = "\u{2014} 12 34".to_owned();
    })
}

/// Bills of every kind, by name, for other programs to read.
pub fn samples() -> Vec<(String, Vec<u8>)> {
    let [taken_off, larger_deductible] = corrections();
    let books = [
        ("two-cars", two_cars()),
        ("approved-since", approved_since()),
        ("smaller-deductible", smaller_deductible()),
        ("taken-off", taken_off),
        ("larger-deductible", larger_deductible),
        ("exempt", plain("USD", Untaxed::Exempt, "0", "")),
        ("zero-rated", plain("USD", Untaxed::ZeroRated, "0", "")),
        ("out-of-scope", plain("USD", Untaxed::OutOfScope, "0", "")),
        ("mixed", plain("USD", Untaxed::OutOfScope, "8.250", "6.60")),
        ("whole-yen", plain("JPY", Untaxed::ZeroRated, "8", "7")),
        ("sparse", sparse()),
        ("hostile", hostile()),
    ];
    let written = books.into_iter().map(|(name, books)| {
        let bytes = books.written().expect("nothing is missing");
        (name.to_owned(), bytes)
    });
    written.chain(random::samples()).collect()
}
