//! A document's elements in the order of their schema.

use super::UblInput;
use super::amounts::{Amounts, Category, Line, LineOf};
use super::missing::vat_identifier;
use super::xml::Xml;
use crate::billing::{Bill, Untaxed};
use crate::money::{Money, Percent};
use crate::storm::{BillKind, BillRow, Group, Payer};
use std::cmp::Ordering;

const SPECIFICATION: &str = "urn:cen.eu:en16931:2017";

/// The only kind of tax that the standard knows.
const VAT: &str = "VAT";

const NAMESPACE: &str = "urn:oasis:names:specification:ubl:schema:xsd:";

/// Where an invoice and a credit note differ.
struct Names {
    root: &'static str,
    type_code: (&'static str, &'static str),
    line: &'static str,
    quantity: &'static str,
}

const INVOICE: Names = Names {
    root: "Invoice",
    type_code: ("cbc:InvoiceTypeCode", "380"),
    line: "cac:InvoiceLine",
    quantity: "cbc:InvoicedQuantity",
};

const CREDIT_NOTE: Names = Names {
    root: "CreditNote",
    type_code: ("cbc:CreditNoteTypeCode", "381"),
    line: "cac:CreditNoteLine",
    quantity: "cbc:CreditedQuantity",
};

/// The bytes of a bill that lacks nothing.
pub(super) fn written(
    input: &UblInput<'_>,
    bill: &Bill<'_>,
    payer: &Payer,
    amounts: &Amounts<'_>,
) -> Vec<u8> {
    let is_credit_note = bill.head().kind == BillKind::Correction;
    let writer = DocumentWriter {
        input,
        bill,
        payer,
        amounts,
        is_credit_note,
        names: if is_credit_note { CREDIT_NOTE } else { INVOICE },
    };
    writer.written()
}

struct DocumentWriter<'w, 'a> {
    input: &'w UblInput<'a>,
    bill: &'w Bill<'w>,
    payer: &'w Payer,
    amounts: &'w Amounts<'w>,
    is_credit_note: bool,
    names: Names,
}

impl DocumentWriter<'_, '_> {
    fn written(&self) -> Vec<u8> {
        let root = self.names.root;
        let space = |name: &str| format!("{NAMESPACE}{name}-2");
        let mut xml = Xml::new(self.input.storm.currency);
        let spaces = [
            ("xmlns", &*space(root)),
            ("xmlns:cac", &*space("CommonAggregateComponents")),
            ("xmlns:cbc", &*space("CommonBasicComponents")),
        ];
        xml.with_attributes(root, &spaces, |xml| {
            self.head(xml);
            self.seller(xml);
            self.buyer(xml);
            self.payment(xml);
            self.allowances(xml);
            self.taxes(xml);
            self.sums(xml);
            for (index, line) in self.amounts.lines.iter().enumerate() {
                self.line(xml, index + 1, line);
            }
        });
        xml.finish()
    }

    fn head(&self, xml: &mut Xml) {
        let head = self.bill.head();
        xml.text("cbc:CustomizationID", SPECIFICATION);
        xml.text("cbc:ID", &head.number.text);
        xml.text("cbc:IssueDate", &head.date.to_string());
        if !self.is_credit_note {
            xml.text("cbc:DueDate", &head.due.to_string());
        }
        let (type_code, code) = self.names.type_code;
        xml.text(type_code, code);
        xml.text("cbc:Note", &self.note());
        xml.text("cbc:DocumentCurrencyCode", self.input.storm.currency.code());
        xml.text("cbc:BuyerReference", &self.payer.party.reference);
        if head.kind == BillKind::Bill {
            return;
        }
        for earlier in self.input.preceding(self.bill) {
            xml.within("cac:BillingReference", |xml| {
                xml.within("cac:InvoiceDocumentReference", |xml| {
                    xml.text("cbc:ID", &earlier.number.text);
                    xml.text("cbc:IssueDate", &earlier.date.to_string());
                });
            });
        }
    }

    /// What the figures alone do not tell (BT-22).
    fn note(&self) -> String {
        let currency = self.input.storm.currency;
        let text = |amount: Money| {
            let amount = if amount < Money::ZERO {
                -amount
            } else {
                amount
            };
            format!("{} {}", currency.text(amount), currency.code())
        };
        let owners = match self.bill.rows.len() {
            1 => "the car's owner",
            _ => "the cars' owners",
        };
        let mut said = Vec::new();
        let direct = self.amounts.by_owners;
        let what = match (direct.cmp(&Money::ZERO), self.is_credit_note) {
            (Ordering::Equal, _) => None,
            (Ordering::Greater, false) => Some(("of this is paid", "and is not claimed")),
            (Ordering::Greater, true) => Some(("of this was to be paid", "and is not credited")),
            (Ordering::Less, false) => Some(("that was to be paid", "is claimed")),
            (Ordering::Less, true) => Some(("that is now to be paid", "is credited")),
        };
        if let Some((which, becomes)) = what {
            let amount = text(direct.max(-direct));
            said.push(format!(
                "{amount} {which} directly by {owners} {becomes} here."
            ));
        }
        let credited = self.amounts.credited;
        if !credited.is_zero() {
            said.push(format!(
                "An over-payment of {} is taken into account.",
                text(credited)
            ));
        }
        if !self.amounts.rounding.is_zero() {
            said.push(format!(
                "Tax was reckoned car by car and comes to {}; the rounding amount brings the total to that.",
                text(self.amounts.billed_tax)
            ));
        }
        said.join(" ")
    }

    fn seller(&self, xml: &mut Xml) {
        let (sender, terms) = (&self.input.storm.sender, self.input.terms);
        xml.within("cac:AccountingSupplierParty", |xml| {
            xml.within("cac:Party", |xml| {
                address(xml, &sender.address, &terms.country);
                match vat_identifier(&terms.tax_id) {
                    Some(_) if self.is_out_of_scope() => {}
                    Some(identifier) => tax_scheme(xml, &identifier, VAT),
                    None => tax_scheme(xml, &terms.tax_id, "TAX"),
                }
                xml.within("cac:PartyLegalEntity", |xml| {
                    xml.text("cbc:RegistrationName", &sender.name);
                    xml.text("cbc:CompanyID", &sender.registration);
                });
                if !sender.phone.trim().is_empty() || !sender.email.trim().is_empty() {
                    xml.within("cac:Contact", |xml| {
                        xml.text("cbc:Telephone", &sender.phone);
                        xml.text("cbc:ElectronicMail", &sender.email);
                    });
                }
            });
        });
    }

    fn buyer(&self, xml: &mut Xml) {
        let party = &self.payer.party;
        let identifier = vat_identifier(&party.tax_id);
        xml.within("cac:AccountingCustomerParty", |xml| {
            xml.within("cac:Party", |xml| {
                if identifier.is_none() && !party.tax_id.trim().is_empty() {
                    xml.within("cac:PartyIdentification", |xml| {
                        xml.text("cbc:ID", &party.tax_id);
                    });
                }
                address(xml, &party.address, &party.country);
                if let Some(identifier) = identifier.filter(|_| !self.is_out_of_scope()) {
                    tax_scheme(xml, &identifier, VAT);
                }
                xml.within("cac:PartyLegalEntity", |xml| {
                    xml.text("cbc:RegistrationName", &self.payer.name);
                });
            });
        });
    }

    /// Where nothing is in a tax's scope, no VAT identifier may stand (BR-O-02 to 04).
    fn is_out_of_scope(&self) -> bool {
        self.amounts.untaxed.code == Untaxed::OutOfScope.code()
    }

    fn payment(&self, xml: &mut Xml) {
        let terms = self.input.terms;
        if !self.is_credit_note {
            let account = account(&terms.account);
            xml.within("cac:PaymentMeans", |xml| {
                // UNTDID 4461: credit transfer, or an instrument that is not defined.
                let code = if account.is_empty() { "1" } else { "30" };
                xml.text("cbc:PaymentMeansCode", code);
                xml.text("cbc:PaymentID", &self.bill.head().number.text);
                if !account.is_empty() {
                    xml.within("cac:PayeeFinancialAccount", |xml| {
                        xml.text("cbc:ID", &account);
                    });
                }
            });
        }
        let words = match self.is_credit_note {
            true => "Taken off what is open, or paid back.",
            false => terms.pay_to.trim(),
        };
        if !words.is_empty() {
            xml.within("cac:PaymentTerms", |xml| xml.text("cbc:Note", words));
        }
    }

    fn allowances(&self, xml: &mut Xml) {
        for allowance in &self.amounts.allowances {
            xml.within("cac:AllowanceCharge", |xml| {
                xml.text("cbc:ChargeIndicator", "false");
                let reason = format!("not approved by the payer, car {}", allowance.row.stock);
                xml.text("cbc:AllowanceChargeReason", &reason);
                xml.amount("cbc:Amount", allowance.amount);
                category(xml, "cac:TaxCategory", self.amounts.untaxed, |_| {});
            });
        }
    }

    fn taxes(&self, xml: &mut Xml) {
        xml.within("cac:TaxTotal", |xml| {
            xml.amount("cbc:TaxAmount", self.amounts.tax);
            for (of, taxed) in &self.amounts.breakdown {
                xml.within("cac:TaxSubtotal", |xml| {
                    xml.amount("cbc:TaxableAmount", taxed.taxable);
                    xml.amount("cbc:TaxAmount", taxed.tax);
                    category(xml, "cac:TaxCategory", *of, |xml| {
                        self.why_untaxed(xml, *of)
                    });
                });
            }
        });
    }

    /// BT-121 and BT-120, which only these two categories may have.
    fn why_untaxed(&self, xml: &mut Xml, of: Category) {
        let is_out_of_scope = of.code == Untaxed::OutOfScope.code();
        if is_out_of_scope {
            // A text of one's own need not say "not subject to VAT"; BR-O-10 wants that.
            xml.text("cbc:TaxExemptionReasonCode", "VATEX-EU-O");
        }
        if is_out_of_scope || of.code == Untaxed::Exempt.code() {
            xml.text("cbc:TaxExemptionReason", &self.input.terms.untaxed_reason);
        }
    }

    fn sums(&self, xml: &mut Xml) {
        let amounts = self.amounts;
        xml.within("cac:LegalMonetaryTotal", |xml| {
            xml.amount("cbc:LineExtensionAmount", amounts.line_sum);
            xml.amount("cbc:TaxExclusiveAmount", amounts.without_tax);
            xml.amount("cbc:TaxInclusiveAmount", amounts.with_tax);
            let others = [
                ("cbc:AllowanceTotalAmount", amounts.allowance_sum),
                ("cbc:PrepaidAmount", amounts.paid()),
                ("cbc:PayableRoundingAmount", amounts.rounding),
            ];
            for (name, amount) in others.into_iter().filter(|(_, amount)| !amount.is_zero()) {
                xml.amount(name, amount);
            }
            xml.amount("cbc:PayableAmount", amounts.payable);
        });
    }

    fn line(&self, xml: &mut Xml, number: usize, line: &Line<'_>) {
        let is_below_zero = line.amount < Money::ZERO;
        xml.within(self.names.line, |xml| {
            xml.text("cbc:ID", &number.to_string());
            xml.pieces(self.names.quantity, if is_below_zero { "-1" } else { "1" });
            xml.amount("cbc:LineExtensionAmount", line.amount);
            xml.within("cac:Item", |xml| {
                xml.text("cbc:Description", &self.description(line.row));
                let name = format!("{}, car {}", self.line_name(line.of), line.row.stock);
                xml.text("cbc:Name", &name);
                category(xml, "cac:ClassifiedTaxCategory", line.category, |_| {});
            });
            xml.within("cac:Price", |xml| {
                let price = if is_below_zero {
                    -line.amount
                } else {
                    line.amount
                };
                xml.amount("cbc:PriceAmount", price);
            });
        });
    }

    fn line_name(&self, of: LineOf) -> &'static str {
        match of {
            LineOf::Group(Group::Dents) => "Repair of dents",
            LineOf::Group(Group::Removal) => "Taking off and fitting",
            LineOf::Group(Group::Parts) => "Parts",
            LineOf::Group(Group::Extra) => "Extra work",
            LineOf::Group(Group::Conventional) => "Conventional repair",
            LineOf::Group(Group::Tax) => "Tax",
            LineOf::Decided if self.is_credit_note => "No longer approved by the payer",
            LineOf::Decided => "Approved by the payer since",
            LineOf::Nothing => "No work",
        }
    }

    /// What is known of a line's car (BT-154).
    fn description(&self, row: &BillRow) -> String {
        let vehicle = self.input.vehicles.get(&*row.stock);
        let mut said = vec![("supplement ", row.of.as_str())];
        let mut name = String::new();
        if let Some(vehicle) = vehicle {
            let words = [&vehicle.year, &vehicle.make, &vehicle.model];
            let words = words.map(|word| word.trim());
            let words: Vec<&str> = words.into_iter().filter(|word| !word.is_empty()).collect();
            name = words.join(" ");
            said.extend([
                ("VIN ", vehicle.vin.as_str()),
                ("plate ", &vehicle.plate),
                ("claim ", &vehicle.claim),
            ]);
        }
        said.insert(0, ("", &name));
        let known = said.into_iter().filter(|(_, text)| !text.trim().is_empty());
        let texts = known.map(|(word, text)| format!("{word}{}", text.trim()));
        texts.collect::<Vec<_>>().join(", ")
    }
}

/// A postal address in at most three parts (UBL-SR-51): the first two lines, and all
/// others together.
fn address(xml: &mut Xml, text: &str, country: &str) {
    let lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
    let lines: Vec<&str> = lines.collect();
    let line = |index: usize| lines.get(index).copied().unwrap_or_default();
    xml.within("cac:PostalAddress", |xml| {
        xml.text("cbc:StreetName", line(0));
        xml.text("cbc:AdditionalStreetName", line(1));
        if lines.len() > 2 {
            xml.within("cac:AddressLine", |xml| {
                xml.text("cbc:Line", &lines[2..].join(", "));
            });
        }
        xml.within("cac:Country", |xml| {
            xml.text("cbc:IdentificationCode", country);
        });
    });
}

fn tax_scheme(xml: &mut Xml, identifier: &str, scheme: &str) {
    if identifier.trim().is_empty() {
        return;
    }
    xml.within("cac:PartyTaxScheme", |xml| {
        xml.text("cbc:CompanyID", identifier);
        xml.within("cac:TaxScheme", |xml| xml.text("cbc:ID", scheme));
    });
}

fn category(xml: &mut Xml, name: &str, of: Category, reason: impl FnOnce(&mut Xml)) {
    xml.within(name, |xml| {
        xml.text("cbc:ID", of.code);
        if let Some(Percent(rate)) = of.rate {
            xml.text("cbc:Percent", &rate.normalize().to_string());
        }
        reason(xml);
        xml.within("cac:TaxScheme", |xml| xml.text("cbc:ID", VAT));
    });
}

/// An account as machines take it: an IBAN without the blanks that people set
/// (ISO 13616), anything else as it is.
fn account(text: &str) -> String {
    let packed: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    let bytes = packed.as_bytes();
    let is_iban = (15..=34).contains(&bytes.len())
        && bytes.iter().all(u8::is_ascii_alphanumeric)
        && bytes[..2].iter().all(u8::is_ascii_uppercase)
        && bytes[2..4].iter().all(u8::is_ascii_digit);
    if is_iban {
        packed
    } else {
        text.trim().to_owned()
    }
}
