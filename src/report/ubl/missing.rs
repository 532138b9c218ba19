//! What stands against a structured bill.

use super::UblInput;
use super::amounts::{Amounts, STANDARD};
use super::xml::sound_text;
use crate::billing::{Bill, Untaxed};
use crate::money::Money;
use crate::storm::{BillKind, Debtor, Payer};
use iso_currency::Country;

/// The most decimals that an amount may have (BR-DEC-01 to BR-DEC-28).
const MOST_PLACES: u32 = 2;

/// Whether this is a kind of bill that is written at all; else why not.
pub(super) fn check_kind(bill: &Bill<'_>) -> Result<(), String> {
    let Some(head) = bill.rows.first() else {
        return Err("a bill without a car is no invoice".to_owned());
    };
    let number = &head.number.text;
    let amount = bill.amount();
    match head.kind {
        BillKind::Credit => Err(format!(
            "{number} credits an over-payment: it bills nothing, so it is no invoice"
        )),
        _ if head.debtor() == Debtor::Owner => Err(format!(
            "{number} goes to a car's owner: a structured bill needs the buyer's country (BT-55), and nothing says an owner's"
        )),
        BillKind::Bill | BillKind::Supplement if amount < Money::ZERO => Err(format!(
            "{number} is a {} and comes to less than nothing: that would be a correction",
            head.kind.word()
        )),
        BillKind::Correction if amount > Money::ZERO => Err(format!(
            "{number} is a correction and takes nothing off: that would be a supplement"
        )),
        _ => Ok(()),
    }
}

/// The payer of a bill, if nothing is missing; else all that is.
pub(super) fn checked<'a>(
    input: &UblInput<'a>,
    bill: &Bill<'_>,
    amounts: &Amounts<'_>,
) -> Result<&'a Payer, Vec<String>> {
    let (terms, sender, to) = (input.terms, &input.storm.sender, &bill.head().to);
    let is_blank = |text: &str| sound_text(text).is_empty();
    let mut missing = Vec::new();
    let mut need = |is_missing: bool, what: String| {
        if is_missing {
            missing.push(what);
        }
    };
    let currency = input.storm.currency;
    need(
        currency.places() > MOST_PLACES,
        format!(
            "currency: {} has {} decimals, and a structured bill's amounts may have two (BR-DEC)",
            currency.code(),
            currency.places()
        ),
    );
    need(
        is_blank(&sender.name),
        "[from] name: who sends the bill (BT-27)".to_owned(),
    );
    need(
        is_blank(&terms.country),
        "[bills] country: the country of who sends it (BT-40)".to_owned(),
    );
    let is_out_of_scope = amounts.untaxed.code == Untaxed::OutOfScope.code();
    let has_tax = amounts.breakdown.keys().any(|of| of.code == STANDARD);
    let why = match has_tax {
        true => "needed wherever tax is billed".to_owned(),
        false => format!(
            "needed with untaxed = \"{}\"; only amounts outside a tax's scope go without, which is for a tax adviser to say",
            amounts.untaxed.code
        ),
    };
    need(
        !is_out_of_scope && is_blank(&terms.tax_id),
        format!(
            "[bills] tax_id: the number under which the sender is registered for taxes (BT-31 or BT-32), {why}"
        ),
    );
    let has_vat_identifier = !is_out_of_scope && vat_identifier(&terms.tax_id).is_some();
    need(
        !has_vat_identifier && is_blank(&sender.registration),
        "[from] registration: by it a buyer knows the sender (BT-30), where there is no VAT identifier with its country in front (BR-CO-26)".to_owned(),
    );
    let needs_reason = amounts
        .breakdown
        .keys()
        .any(|of| of.code == Untaxed::Exempt.code());
    need(
        needs_reason && is_blank(&terms.untaxed_reason),
        "[bills] untaxed_reason: why amounts have no tax (BT-120)".to_owned(),
    );
    let payer = input.storm.payers.iter().find(|payer| payer.name == *to);
    match payer {
        Some(payer) => need(
            is_blank(&payer.party.country),
            format!("[[payer]] country, of {to}: the buyer's country (BT-55)"),
        ),
        None => need(true, format!("[[payer]]: {to}, who is billed (BT-44)")),
    }
    match payer {
        Some(payer) if missing.is_empty() => Ok(payer),
        _ => Err(missing),
    }
}

/// A tax number that has the form of a VAT identifier: the country in front
/// (BR-CO-9; `EL` is Greece, `XI` Northern Ireland), then letters and figures.
pub(super) fn vat_identifier(text: &str) -> Option<String> {
    let text: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    let (country, rest) = text.split_at_checked(2)?;
    let is_country = country.bytes().all(|byte| byte.is_ascii_uppercase())
        && (matches!(country, "EL" | "XI") || country.parse::<Country>().is_ok());
    let is_sound = (2..=13).contains(&rest.len())
        && rest.bytes().all(|byte| byte.is_ascii_alphanumeric())
        && rest.bytes().any(|byte| byte.is_ascii_digit());
    (is_country && is_sound).then_some(text)
}
