//! What a bill lacks, and what is no invoice at all.

use super::{Correction, Supplement, plain, two_cars};
use hailyard::billing::{BillTerms, Untaxed};
use hailyard::storm::{BillKind, Party, Sender};

#[test]
fn all_that_is_missing_is_said_at_once() {
    let bare = two_cars().with(|books| {
        books.storm.sender = Sender::default();
        books.terms = BillTerms {
            untaxed_reason: " ".to_owned(),
            ..BillTerms::default()
        };
        books.storm.payers[0].party = Party::default();
    });
    let missing = bare.written().expect_err("nothing is said");
    let keys = [
        "[from] name",
        "[bills] country",
        "[bills] tax_id",
        "[from] registration",
        "[bills] untaxed_reason",
        "[[payer]] country, of Quarry Mutual",
    ];
    assert_eq!(missing.len(), keys.len(), "{missing:#?}");
    for (said, key) in missing.iter().zip(keys) {
        assert!(
            said.starts_with(&format!("{key}: ")) || said.starts_with(key),
            "{said}"
        );
    }
    // Outside the scope nobody needs a tax number, but a registration (BR-CO-26).
    let plain = |id: &str, registration: &str| {
        plain("USD", Untaxed::OutOfScope, "0", "").with(|books| {
            books.terms.tax_id = id.to_owned();
            books.storm.sender.registration = registration.to_owned();
        })
    };
    plain("", "FM 1207").read();
    let missing = plain("DE000000001", "")
        .written()
        .expect_err("a registration");
    assert!(
        missing[0].starts_with("[from] registration: "),
        "{missing:?}"
    );
    assert_eq!(missing.len(), 1);
    let missing = plain("", "FM 1207").with(|books| books.storm.payers.clear());
    let missing = missing.written().expect_err("a payer");
    assert_eq!(missing, ["[[payer]]: Quarry Mutual, who is billed (BT-44)"]);
    // Three decimals are more than the standard has (BR-DEC).
    let missing = super::plain("KWD", Untaxed::Exempt, "0", "").written();
    let missing = missing.expect_err("a currency");
    assert_eq!(missing.len(), 1);
    assert!(missing[0].contains("KWD has 3 decimals"), "{missing:?}");
}

#[test]
fn what_is_no_invoice_is_not_written() {
    let owner = two_cars().with(|books| {
        for row in &mut books.ledger {
            row.to = "owner".to_owned();
        }
    });
    let credit = ["", "", "-5.00"];
    let cases = [
        (owner, "TC-7 goes to a car's owner"),
        (
            two_cars().row((8, BillKind::Credit, "A101"), [""; 6], credit, "0"),
            "TC-8 credits an over-payment",
        ),
        (
            two_cars().row((8, Supplement, "A101"), [""; 6], ["-1.00", "", ""], "0"),
            "TC-8 is a supplement and comes to less than nothing",
        ),
        (
            two_cars().row((8, Correction, "A101"), [""; 6], ["1.00", "", ""], "0"),
            "TC-8 is a correction and takes nothing off",
        ),
    ];
    for (books, said) in cases {
        let reasons = books.written().expect_err(said);
        assert_eq!(reasons.len(), 1);
        assert!(reasons[0].starts_with(said), "{reasons:?}");
    }
}
