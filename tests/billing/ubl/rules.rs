//! The business rules of EN 16931-1:2017 that a bill can touch, by their ids, in words
//! of the texts that CEN/TC 434 publishes with its validation rules for UBL 2.1. The
//! places of the terms in UBL are those of CEN/TS 16931-3-2, from memory.

use super::document::Element;
use rust_decimal::{Decimal, RoundingStrategy};
use std::collections::BTreeMap;

/// A category and its rate, where it has one.
type Category = (String, Option<Decimal>);

const SELLER: &str = "cac:AccountingSupplierParty/cac:Party";
const BUYER: &str = "cac:AccountingCustomerParty/cac:Party";
const TOTAL: &str = "cac:LegalMonetaryTotal";

/// Holds a document to all of them; `places` are the decimals of its currency.
#[track_caller]
pub fn check(doc: &Element, places: u32) {
    let is_credit_note = doc.name == "CreditNote";
    let line_name = format!("cac:{}Line", doc.name);
    let lines = doc.all(&line_name);
    mandatory(doc, is_credit_note, &lines);
    sums(doc, &lines);
    decimals(doc);
    parties(doc, is_credit_note);
    categories(doc, &lines, places);
}

#[track_caller]
fn rule(id: &str, holds: bool) {
    assert!(holds, "{id}");
}

fn mandatory(doc: &Element, is_credit_note: bool, lines: &[&Element]) {
    let type_code = format!("cbc:{}TypeCode", doc.name);
    let seller = |path: &str| format!("{SELLER}/{path}");
    let buyer = |path: &str| format!("{BUYER}/{path}");
    let total = |path: &str| format!("{TOTAL}/{path}");
    let terms = [
        ("BR-01, BT-24", "cbc:CustomizationID".to_owned()),
        ("BR-02, BT-1", "cbc:ID".to_owned()),
        ("BR-03, BT-2", "cbc:IssueDate".to_owned()),
        ("BR-04, BT-3", type_code.clone()),
        ("BR-05, BT-5", "cbc:DocumentCurrencyCode".to_owned()),
        (
            "BR-06, BT-27",
            seller("cac:PartyLegalEntity/cbc:RegistrationName"),
        ),
        (
            "BR-07, BT-44",
            buyer("cac:PartyLegalEntity/cbc:RegistrationName"),
        ),
        (
            "BR-09, BT-40",
            seller("cac:PostalAddress/cac:Country/cbc:IdentificationCode"),
        ),
        (
            "BR-11, BT-55",
            buyer("cac:PostalAddress/cac:Country/cbc:IdentificationCode"),
        ),
        ("BR-12, BT-106", total("cbc:LineExtensionAmount")),
        ("BR-13, BT-109", total("cbc:TaxExclusiveAmount")),
        ("BR-14, BT-112", total("cbc:TaxInclusiveAmount")),
        ("BR-15, BT-115", total("cbc:PayableAmount")),
    ];
    for (id, path) in terms {
        rule(
            id,
            doc.maybe(&path).is_some_and(|text| !text.trim().is_empty()),
        );
    }
    assert_eq!(doc.said("cbc:CustomizationID"), "urn:cen.eu:en16931:2017");
    // UNTDID 1001: commercial invoice, credit note.
    let code = if is_credit_note { "381" } else { "380" };
    assert_eq!(doc.said(&type_code), code);
    rule("BR-16", !lines.is_empty());
    let quantity = match is_credit_note {
        true => "cbc:CreditedQuantity",
        false => "cbc:InvoicedQuantity",
    };
    for (index, line) in lines.iter().enumerate() {
        rule(
            "BR-21, BT-126",
            line.said("cbc:ID") == (index + 1).to_string(),
        );
        let count = line.number(quantity); // BR-22, BT-129
        let unit = line.all(quantity)[0].attribute("unitCode");
        rule("BR-23, BT-130", unit == Some("C62"));
        let net = line.number("cbc:LineExtensionAmount"); // BR-24, BT-131
        rule("BR-25, BT-153", !line.said("cac:Item/cbc:Name").is_empty());
        let price = line.number("cac:Price/cbc:PriceAmount"); // BR-26, BT-146
        rule("BR-27", price >= Decimal::ZERO);
        // EN 16931-1, BT-131: quantity times price, without allowances on the line.
        assert_eq!(net, count * price);
        // UBL-SR-48, BR-CO-4, BT-151.
        rule(
            "BR-CO-04",
            !line
                .said("cac:Item/cac:ClassifiedTaxCategory/cbc:ID")
                .is_empty(),
        );
    }
    for allowance in doc.all("cac:AllowanceCharge") {
        assert_eq!(
            allowance.said("cbc:ChargeIndicator"),
            "false",
            "no charges are written"
        );
        rule(
            "BR-31, BT-92",
            allowance.number("cbc:Amount") > Decimal::ZERO,
        );
        rule(
            "BR-32, BT-95",
            !allowance.said("cac:TaxCategory/cbc:ID").is_empty(),
        );
        let reason = allowance.maybe("cbc:AllowanceChargeReason");
        rule("BR-33, BR-CO-21", reason.is_some());
    }
}

fn sums(doc: &Element, lines: &[&Element]) {
    let of = |name: &str| doc.or_zero(&format!("{TOTAL}/cbc:{name}"));
    let nets = lines
        .iter()
        .map(|line| line.number("cbc:LineExtensionAmount"));
    rule("BR-CO-10", of("LineExtensionAmount") == nets.sum());
    let allowances = doc.sum("cac:AllowanceCharge/cbc:Amount");
    rule("BR-CO-11", of("AllowanceTotalAmount") == allowances);
    rule(
        "BR-CO-13",
        of("TaxExclusiveAmount") == of("LineExtensionAmount") - allowances,
    );
    let tax = doc.number("cac:TaxTotal/cbc:TaxAmount");
    rule(
        "BR-CO-14",
        tax == doc.sum("cac:TaxTotal/cac:TaxSubtotal/cbc:TaxAmount"),
    );
    rule(
        "BR-CO-15",
        of("TaxInclusiveAmount") == of("TaxExclusiveAmount") + tax,
    );
    let due = of("TaxInclusiveAmount") - of("PrepaidAmount") + of("PayableRoundingAmount");
    rule("BR-CO-16", of("PayableAmount") == due);
    let is_payable = of("PayableAmount") > Decimal::ZERO;
    let says_when =
        doc.maybe("cbc:DueDate").is_some() || doc.maybe("cac:PaymentTerms/cbc:Note").is_some();
    rule("BR-CO-25", !is_payable || says_when);
}

/// BR-DEC-01 to BR-DEC-28: at most two decimals; one currency (BR-CL-03 knows a list of
/// codes; a second currency would need BT-6).
fn decimals(doc: &Element) {
    let currency = doc.said("cbc:DocumentCurrencyCode");
    let mut amounts = 0;
    doc.each(&mut |element| {
        if element.name.ends_with("Amount") {
            let decimals = element
                .text
                .split_once('.')
                .map_or(0, |(_, after)| after.len());
            rule("BR-DEC", decimals <= 2);
            assert_eq!(element.attribute("currencyID"), Some(currency));
            amounts += 1;
        }
    });
    assert!(amounts >= 8);
}

fn parties(doc: &Element, is_credit_note: bool) {
    let schemes = doc.all(&format!("{SELLER}/cac:PartyTaxScheme"));
    rule("UBL-SR-42", schemes.len() <= 2);
    let vat_of = |party: &str| -> Vec<String> {
        let schemes = doc.all(&format!("{party}/cac:PartyTaxScheme"));
        let vat = schemes
            .into_iter()
            .filter(|scheme| scheme.said("cac:TaxScheme/cbc:ID") == "VAT");
        vat.map(|scheme| scheme.said("cbc:CompanyID").to_owned())
            .collect()
    };
    for identifier in vat_of(SELLER).iter().chain(&vat_of(BUYER)) {
        let is_prefix = |prefix: &str| prefix.bytes().all(|byte| byte.is_ascii_uppercase());
        rule("BR-CO-09", identifier.get(..2).is_some_and(is_prefix));
    }
    let registration = doc.maybe(&format!("{SELLER}/cac:PartyLegalEntity/cbc:CompanyID"));
    rule(
        "BR-CO-26",
        registration.is_some() || !vat_of(SELLER).is_empty(),
    );
    let codes: Vec<&str> = doc
        .all("cac:TaxTotal/cac:TaxSubtotal/cac:TaxCategory/cbc:ID")
        .into_iter()
        .map(|element| element.text.as_str())
        .collect();
    if codes.contains(&"O") {
        rule(
            "BR-O-02, BR-O-03",
            vat_of(SELLER).is_empty() && vat_of(BUYER).is_empty(),
        );
        rule("BR-O-11", codes.len() == 1);
    } else {
        rule(
            "BR-S-02, BR-E-02, BR-E-03, BR-Z-02, BR-Z-03",
            !schemes.is_empty(),
        );
    }
    match doc.maybe("cac:PaymentMeans/cbc:PaymentMeansCode") {
        // UNTDID 4461: credit transfer.
        Some("30") => {
            let account = doc.maybe("cac:PaymentMeans/cac:PayeeFinancialAccount/cbc:ID");
            rule("BR-61, BR-50, BT-84", account.is_some());
        }
        code => rule("BR-49, BT-81", code == (!is_credit_note).then_some("1")),
    }
    for reference in doc.all("cac:BillingReference/cac:InvoiceDocumentReference") {
        rule("BR-55, BT-25", !reference.said("cbc:ID").is_empty());
    }
}

fn category(of: &Element) -> Category {
    let rate = of.maybe("cbc:Percent");
    assert_eq!(of.said("cac:TaxScheme/cbc:ID"), "VAT");
    let rate = rate.map(|text| text.parse::<Decimal>().expect("a rate").normalize());
    (of.said("cbc:ID").to_owned(), rate)
}

/// BR-S, BR-E, BR-Z and BR-O 01 to 14, BR-45 to BR-48, BR-CO-17 and BR-CO-18.
fn categories(doc: &Element, lines: &[&Element], places: u32) {
    let mut taxable: BTreeMap<Category, Decimal> = BTreeMap::new();
    for line in lines {
        let of = category(line.all("cac:Item/cac:ClassifiedTaxCategory")[0]);
        *taxable.entry(of).or_default() += line.number("cbc:LineExtensionAmount");
    }
    for allowance in doc.all("cac:AllowanceCharge") {
        let of = category(allowance.all("cac:TaxCategory")[0]);
        *taxable.entry(of).or_default() -= allowance.number("cbc:Amount");
    }
    let mut found = BTreeMap::new();
    for part in doc.all("cac:TaxTotal/cac:TaxSubtotal") {
        let named = part.all("cac:TaxCategory")[0];
        let of = category(named);
        let (base, tax) = (
            part.number("cbc:TaxableAmount"),
            part.number("cbc:TaxAmount"),
        );
        let rate = of.1.unwrap_or_default();
        let exact = base * rate / Decimal::ONE_HUNDRED;
        // The rule says two decimals; a currency with none is rounded to whole units.
        let rounded = exact.round_dp_with_strategy(places, RoundingStrategy::MidpointAwayFromZero);
        rule("BR-CO-17, BR-S-09", tax == rounded);
        let (reason, code) = (
            named.maybe("cbc:TaxExemptionReason"),
            named.maybe("cbc:TaxExemptionReasonCode"),
        );
        match of.0.as_str() {
            "S" => {
                rule("BR-S-05", of.1.is_some_and(|rate| rate > Decimal::ZERO));
                rule("BR-S-10", reason.is_none() && code.is_none());
            }
            "E" => {
                rule("BR-E-05, BR-E-06", of.1 == Some(Decimal::ZERO));
                rule("BR-E-09", tax.is_zero());
                rule("BR-E-10", reason.is_some());
            }
            "Z" => {
                rule("BR-Z-05, BR-Z-06", of.1 == Some(Decimal::ZERO));
                rule("BR-Z-09", tax.is_zero());
                rule("BR-Z-10", reason.is_none() && code.is_none());
            }
            "O" => {
                rule("BR-O-05, BR-O-06, BR-48", of.1.is_none());
                rule("BR-O-09", tax.is_zero());
                // The code means "not subject to VAT" (list VATEX of the Connecting
                // Europe Facility, from memory).
                rule("BR-O-10", code == Some("VATEX-EU-O"));
            }
            other => panic!("a category that no bill has: {other}"),
        }
        let is_new = found.insert(of, base).is_none();
        rule("BR-S-01, BR-E-01, BR-Z-01, BR-O-01", is_new);
    }
    rule("BR-CO-18", !found.is_empty());
    // BR-S-08, BR-E-08, BR-Z-08, BR-O-08; that both have the same categories is the
    // rest of rules 01, and BR-O-12 and BR-O-13 with BR-O-11.
    assert_eq!(found, taxable);
}
