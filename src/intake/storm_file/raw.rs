//! storm.toml as serde reads it, before anything is checked.

use super::super::toml_doc::{List, Scalar};
use serde::Deserialize;
use std::collections::BTreeMap;
use toml::Spanned;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawStorm {
    pub name: Option<Scalar>,
    pub date: Option<Scalar>,
    pub currency: Option<Scalar>,
    pub unit: Option<Scalar>,
    #[serde(default)]
    pub payer: Vec<Spanned<RawPayer>>,
    pub intake: Option<RawIntake>,
    pub from: Option<RawSender>,
    #[serde(default)]
    pub share: Vec<Spanned<RawShare>>,
    pub pay: Option<RawPay>,
    pub bills: Option<RawBills>,
    pub hours: Option<Spanned<RawHours>>,
    pub time: Option<Spanned<RawTime>>,
    pub site: Option<RawSite>,
    pub sample: Option<Spanned<RawSample>>,
    // Sections of the odds. Each has its own
    // reader; here they are known, so that a misspelt section is not.
    pub staff: Option<RawStaff>,
    pub chance: Option<RawChance>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawPayer {
    pub name: Option<Scalar>,
    pub rate_card: Option<Scalar>,
    #[serde(default)]
    pub discount: Vec<Spanned<RawDiscount>>,
    #[serde(default)]
    pub lot_discount: Vec<Spanned<RawTier>>,
    pub minimum: Option<Scalar>,
    #[serde(default)]
    pub tax: Vec<Spanned<RawTax>>,
    pub deductible: Option<Scalar>,
    pub deductible_event_max: Option<Scalar>,
    pub total_loss: Option<Spanned<RawTotalLoss>>,
    pub address: Option<Scalar>,
    pub country: Option<Scalar>,
    pub tax_id: Option<Scalar>,
    pub reference: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawDiscount {
    pub on: Option<List>,
    pub percent: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawTier {
    pub cars_at_least: Option<Scalar>,
    pub percent: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawTax {
    pub name: Option<Scalar>,
    pub percent: Option<Scalar>,
    pub on: Option<List>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawTotalLoss {
    pub percent: Option<Scalar>,
    pub compare: Option<Scalar>,
    pub hail_exempt: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawIntake {
    #[serde(default)]
    pub columns: BTreeMap<String, Scalar>,
    #[serde(default)]
    pub panels: BTreeMap<String, Scalar>,
    pub ignore: Option<List>,
    pub repeated: Option<Scalar>,
    pub blank_stock: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawSender {
    pub name: Option<Scalar>,
    pub address: Option<Scalar>,
    pub phone: Option<Scalar>,
    pub email: Option<Scalar>,
    pub registration: Option<Scalar>,
    pub note: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawShare {
    pub to: Option<Scalar>,
    pub of: Option<Scalar>,
    pub percent: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawPay {
    pub redo: Option<Scalar>,
    pub period: Option<Scalar>,
    pub conventional: Option<Scalar>,
    pub overtime: Option<Scalar>,
    pub on: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawBills {
    pub prefix: Option<Scalar>,
    pub first: Option<Scalar>,
    pub per: Option<Scalar>,
    pub due_days: Option<Scalar>,
    pub pay_to: Option<Scalar>,
    pub account: Option<Scalar>,
    pub country: Option<Scalar>,
    pub tax_id: Option<Scalar>,
    pub untaxed: Option<Scalar>,
    pub untaxed_reason: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawHours {
    pub start: Option<Scalar>,
    pub days: Option<Scalar>,
    pub from: Option<Scalar>,
    pub to: Option<Scalar>,
    #[serde(rename = "break")]
    pub pause: Option<Scalar>,
    #[serde(rename = "break_at")]
    pub pause_at: Option<Scalar>,
    pub closed: Option<List>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawTime {
    pub panel_setup: Option<Scalar>,
    #[serde(default)]
    pub per_dent: BTreeMap<String, Scalar>,
    pub oversize_base: Option<Scalar>,
    pub oversize_per_mm: Option<Scalar>,
    #[serde(default)]
    pub metal: BTreeMap<String, Scalar>,
    #[serde(default)]
    pub access: BTreeMap<String, Scalar>,
    pub finish_per_car: Option<Scalar>,
    pub removal_share: Option<Scalar>,
    pub removal_factor: Option<Scalar>,
    pub spread: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawSite {
    pub bays: Option<Scalar>,
    pub hands_per_car: Option<Scalar>,
    pub release_for_parts: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawSample {
    pub strata: Option<Scalar>,
    pub helper: Option<Scalar>,
    pub helper_total: Option<Scalar>,
    pub picked: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawChance {
    pub absent_percent: Option<Scalar>,
    pub weather_percent: Option<Scalar>,
    pub growth_percent: Option<Scalar>,
    pub growth_mean: Option<Scalar>,
    pub growth_shape: Option<Scalar>,
    pub parts_late_percent: Option<Scalar>,
    pub parts_late_days: Option<Scalar>,
    pub standard_error: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawStaff {
    pub lodging_night: Option<Scalar>,
    pub per_diem: Option<Scalar>,
    #[serde(default)]
    pub pay: BTreeMap<String, Scalar>,
}
