//! Bills read back field by field, their sums worked by hand beside them.

use super::{
    Books, approved_since, corrections, hostile, plain, smaller_deductible, sparse, two_cars,
};
use hailyard::billing::Untaxed;

#[test]
fn the_sums_of_two_cars_are_those_worked_by_hand() {
    let doc = two_cars().read();
    assert_eq!(doc.name, "Invoice");
    let total = |name: &str| {
        doc.said(&format!("cac:LegalMonetaryTotal/cbc:{name}"))
            .to_owned()
    };
    // At 19 %: 1000.03 + 210.03 + 500.03 - 20.00 + 80.03 = 1770.12; without: 33.30.
    assert_eq!(total("LineExtensionAmount"), "1803.42"); // BT-106
    assert_eq!(total("AllowanceTotalAmount"), "100.00"); // BT-107
    assert_eq!(total("TaxExclusiveAmount"), "1703.42"); // BT-109
    // 1770.12 × 19 % = 336.3228; BT-112 = 1703.42 + 336.32.
    assert_eq!(total("TaxInclusiveAmount"), "2039.74"); // BT-112
    assert_eq!(total("PrepaidAmount"), "450.00"); // BT-113
    // 229.92 + 106.42 = 336.34 were billed, 0.02 more than 336.32.
    assert_eq!(total("PayableRoundingAmount"), "0.02"); // BT-114
    assert_eq!(total("PayableAmount"), "1589.76"); // BT-115
    assert_eq!(doc.said("cac:TaxTotal/cbc:TaxAmount"), "336.32"); // BT-110
    let parts: Vec<[&str; 5]> = doc
        .all("cac:TaxTotal/cac:TaxSubtotal")
        .into_iter()
        .map(|part| {
            [
                part.said("cac:TaxCategory/cbc:ID"),      // BT-118
                part.said("cac:TaxCategory/cbc:Percent"), // BT-119
                part.said("cbc:TaxableAmount"),           // BT-116
                part.said("cbc:TaxAmount"),               // BT-117
                part.maybe("cac:TaxCategory/cbc:TaxExemptionReason")
                    .unwrap_or(""), // BT-120
            ]
        })
        .collect();
    // Without tax: 33.30 of parts less the 100.00 that were not approved.
    let reason = "not taxed by the agreed terms";
    assert_eq!(
        parts,
        [
            ["E", "0", "-66.70", "0.00", reason],
            ["S", "19", "1770.12", "336.32", ""],
        ]
    );
    let lines: Vec<[&str; 5]> = doc
        .all("cac:InvoiceLine")
        .into_iter()
        .map(|line| {
            [
                line.said("cac:Item/cbc:Name"),                              // BT-153
                line.said("cac:Item/cbc:Description"),                       // BT-154
                line.said("cbc:InvoicedQuantity"),                           // BT-129
                line.said("cac:Price/cbc:PriceAmount"),                      // BT-146
                line.said("cac:Item/cac:ClassifiedTaxCategory/cbc:Percent"), // BT-152
            ]
        })
        .collect();
    let first = "Larkspur 3, VIN ZZZZZZ00000000101, plate FM X 1";
    assert_eq!(
        lines,
        [
            ["Repair of dents, car A101", first, "1", "1000.03", "19"],
            [
                "Taking off and fitting, car A101",
                first,
                "1",
                "210.03",
                "19"
            ],
            ["Parts, car A101", first, "1", "33.30", "0"],
            [
                "Repair of dents, car A102",
                "Larkspur 3, plate FM X 2",
                "1",
                "500.03",
                "19"
            ],
            [
                "Extra work, car A102",
                "Larkspur 3, plate FM X 2",
                "-1",
                "20.00",
                "19"
            ],
            [
                "Conventional repair, car A102",
                "Larkspur 3, plate FM X 2",
                "1",
                "80.03",
                "19"
            ],
        ]
    );
    let reason = doc.said("cac:AllowanceCharge/cbc:AllowanceChargeReason");
    assert_eq!(reason, "not approved by the payer, car A101");
    assert_eq!(
        doc.said("cbc:Note"),
        "450.00 EUR of this is paid directly by the cars' owners and is not claimed here. \
         Tax was reckoned car by car and comes to 336.34 EUR; \
         the rounding amount brings the total to that."
    );
}

#[test]
fn what_the_storm_says_stands_at_its_place() {
    let doc = two_cars().read();
    let seller = "cac:AccountingSupplierParty/cac:Party";
    let buyer = "cac:AccountingCustomerParty/cac:Party";
    let expected = [
        ("cbc:ID", "TC-7"),                  // BT-1
        ("cbc:IssueDate", "2026-07-01"),     // BT-2
        ("cbc:DueDate", "2026-07-31"),       // BT-9
        ("cbc:DocumentCurrencyCode", "EUR"), // BT-5
        ("cbc:BuyerReference", "HAIL-77"),   // BT-10
        (
            "cac:PaymentTerms/cbc:Note",
            "Within 30 days, naming the number.",
        ), // BT-20
        ("cac:PaymentMeans/cbc:PaymentMeansCode", "30"), // BT-81
        ("cac:PaymentMeans/cbc:PaymentID", "TC-7"), // BT-83
        // BT-84; ISO 13616 writes it without blanks.
        (
            "cac:PaymentMeans/cac:PayeeFinancialAccount/cbc:ID",
            "DE00000000000000000001",
        ),
    ];
    for (path, text) in expected {
        assert_eq!(doc.said(path), text, "{path}");
    }
    let of_seller = [
        (
            "cac:PartyLegalEntity/cbc:RegistrationName",
            "Fenmoor Dent Works",
        ), // BT-27
        ("cac:PartyLegalEntity/cbc:CompanyID", "FM 1207"), // BT-30
        ("cac:PartyTaxScheme/cbc:CompanyID", "DE000000001"), // BT-31
        ("cac:PostalAddress/cbc:StreetName", "Yard 4"),    // BT-35
        ("cac:PostalAddress/cbc:AdditionalStreetName", "Mill Lane 9"), // BT-36
        (
            "cac:PostalAddress/cac:AddressLine/cbc:Line",
            "00001 Fenmoor, Back gate",
        ), // BT-162
        ("cac:PostalAddress/cac:Country/cbc:IdentificationCode", "DE"), // BT-40
        ("cac:Contact/cbc:Telephone", "+49 000 555"),      // BT-42
        ("cac:Contact/cbc:ElectronicMail", "desk@fenmoor.example"), // BT-43
    ];
    for (path, text) in of_seller {
        assert_eq!(doc.said(&format!("{seller}/{path}")), text, "{path}");
    }
    let of_buyer = [
        ("cac:PartyLegalEntity/cbc:RegistrationName", "Quarry Mutual"), // BT-44
        ("cac:PartyTaxScheme/cbc:CompanyID", "ATU00000001"),            // BT-48
        ("cac:PostalAddress/cbc:StreetName", "Slate Street 1"),         // BT-50
        ("cac:PostalAddress/cac:Country/cbc:IdentificationCode", "AT"), // BT-55
    ];
    for (path, text) in of_buyer {
        assert_eq!(doc.said(&format!("{buyer}/{path}")), text, "{path}");
    }
    assert!(doc.all("cac:BillingReference").is_empty());
}

#[test]
fn a_supplement_names_the_bill_before_it() {
    let doc = approved_since().read();
    assert_eq!(doc.name, "Invoice");
    let reference = "cac:BillingReference/cac:InvoiceDocumentReference";
    assert_eq!(doc.said(&format!("{reference}/cbc:ID")), "TC-7"); // BT-25
    assert_eq!(
        doc.said(&format!("{reference}/cbc:IssueDate")),
        "2026-07-01"
    ); // BT-26
    let item = |name: &str| {
        doc.said(&format!("cac:InvoiceLine/cac:Item/cbc:{name}"))
            .to_owned()
    };
    assert_eq!(item("Name"), "Approved by the payer since, car A101");
    let described = "Larkspur 3, supplement hidden dents, VIN ZZZZZZ00000000101, plate FM X 1";
    assert_eq!(item("Description"), described);
    assert_eq!(doc.said("cac:InvoiceLine/cbc:LineExtensionAmount"), "60.00");
}

#[test]
fn a_smaller_deductible_is_less_paid_and_no_work() {
    let doc = smaller_deductible().read();
    // BT-115 = 0.00 - (-200.00).
    assert_eq!(
        doc.said("cac:LegalMonetaryTotal/cbc:PrepaidAmount"),
        "-200.00"
    );
    assert_eq!(
        doc.said("cac:LegalMonetaryTotal/cbc:TaxInclusiveAmount"),
        "0.00"
    );
    assert_eq!(
        doc.said("cac:InvoiceLine/cac:Item/cbc:Name"),
        "No work, car A101"
    );
    assert_eq!(
        doc.said("cbc:Note"),
        "200.00 EUR that was to be paid directly by the car's owner is claimed here."
    );
}

#[test]
fn a_correction_is_a_credit_note_with_amounts_above_zero() {
    let [taken_off, larger_deductible] = corrections();
    let doc = taken_off.read();
    assert_eq!(doc.name, "CreditNote");
    assert_eq!(
        doc.said("cac:CreditNoteLine/cbc:LineExtensionAmount"),
        "50.00"
    );
    assert_eq!(doc.said("cac:TaxTotal/cbc:TaxAmount"), "9.50");
    // 59.50 less the 30.00 that were the owner's.
    assert_eq!(
        doc.said("cac:LegalMonetaryTotal/cbc:PrepaidAmount"),
        "30.00"
    );
    assert_eq!(
        doc.said("cac:LegalMonetaryTotal/cbc:PayableAmount"),
        "29.50"
    );
    assert_eq!(
        doc.said("cbc:Note"),
        "30.00 EUR of this was to be paid directly by the car's owner and is not credited here."
    );
    assert!(doc.all("cac:PaymentMeans").is_empty());
    let doc = larger_deductible.read();
    assert_eq!(
        doc.said("cac:LegalMonetaryTotal/cbc:PayableAmount"),
        "25.00"
    );
    let references = doc.all("cac:BillingReference/cac:InvoiceDocumentReference/cbc:ID");
    let references: Vec<&str> = references.iter().map(|id| id.text.as_str()).collect();
    assert_eq!(references, ["TC-7", "TC-8"]);
    assert_eq!(
        doc.said("cbc:Note"),
        "25.00 EUR that is now to be paid directly by the car's owner is credited here."
    );
}

#[test]
fn amounts_without_tax_have_the_category_that_was_said() {
    let codes = |books: Books| {
        let doc = books.read();
        let found = doc.all("cac:TaxTotal/cac:TaxSubtotal/cac:TaxCategory/cbc:ID");
        found
            .iter()
            .map(|code| code.text.clone())
            .collect::<Vec<_>>()
    };
    use Untaxed::{Exempt, OutOfScope, ZeroRated};
    assert_eq!(codes(plain("USD", Exempt, "0", "")), ["E"]);
    assert_eq!(codes(plain("USD", ZeroRated, "0", "")), ["Z"]);
    assert_eq!(codes(plain("USD", OutOfScope, "0", "")), ["O"]);
    // 80 × 8.25 % = 6.60; O may stand beside nothing else (BR-O-11 to BR-O-14).
    assert_eq!(codes(plain("USD", ZeroRated, "8.250", "6.60")), ["S", "Z"]);
    assert_eq!(codes(plain("USD", OutOfScope, "8.250", "6.60")), ["E", "S"]);
    // Whole yen: 80 × 8 % = 6.4, billed as 7.
    let doc = plain("JPY", ZeroRated, "8", "7").read();
    assert_eq!(doc.said("cac:TaxTotal/cbc:TaxAmount"), "6");
    assert_eq!(
        doc.said("cac:LegalMonetaryTotal/cbc:PayableRoundingAmount"),
        "1"
    );
    assert_eq!(doc.said("cac:LegalMonetaryTotal/cbc:PayableAmount"), "92");
}

#[test]
fn a_number_that_is_no_vat_identifier_is_a_tax_registration() {
    let doc = sparse().read();
    let scheme = "cac:AccountingSupplierParty/cac:Party/cac:PartyTaxScheme";
    assert_eq!(doc.said(&format!("{scheme}/cbc:CompanyID")), "18-0042"); // BT-32
    assert_eq!(doc.said(&format!("{scheme}/cac:TaxScheme/cbc:ID")), "TAX");
    let buyer = "cac:AccountingCustomerParty/cac:Party";
    assert_eq!(
        doc.said(&format!("{buyer}/cac:PartyIdentification/cbc:ID")),
        "77-1"
    ); // BT-46
    assert!(doc.all(&format!("{buyer}/cac:PartyTaxScheme")).is_empty());
    // UNTDID 4461: not defined.
    assert_eq!(doc.said("cac:PaymentMeans/cbc:PaymentMeansCode"), "1");
    assert_eq!(doc.maybe("cac:PaymentTerms/cbc:Note"), None);
}

#[test]
fn texts_are_data() {
    let doc = hostile().read();
    let name = "cac:AccountingSupplierParty/cac:Party/cac:PartyLegalEntity/cbc:RegistrationName";
    let sound = "<a b=\"1\">&amp; 'x' ]]> \u{fffd}\u{fffd}\u{fffd}   é 雹 \u{1f697}";
    assert_eq!(doc.said(name), sound);
    assert_eq!(doc.said("cbc:BuyerReference"), sound);
}
