//! storm.toml of a new storm: everything a lead sets, with a comment each.

use crate::intake::LotCar;
use std::fmt::Write;

/// The settings of a storm of this name, one payer entry per payer of the lot.
pub fn storm_toml(name: &str, lot: &[LotCar]) -> String {
    let mut payers: Vec<&str> = Vec::new();
    for car in lot {
        if !car.payer.is_empty() && !payers.contains(&car.payer.as_str()) {
            payers.push(&car.payer);
        }
    }
    if payers.is_empty() {
        payers.push("Name of the payer");
    }
    let mut text = format!(
        r#"# A storm is this folder: mail it, zip it, keep it.
name = {}
# date = 2026-06-14          # the day of the hail
currency = "USD"            # ISO 4217
unit = "mm"                 # what dents are measured in where nothing is said: mm or in

# How sheets are read. Take the # away from what you need.
# [intake]
# repeated = "add"          # the same stock and panel twice: refuse (default), add or last
# blank_stock = "above"     # a blank stock means the one above
# ignore = ["No."]          # columns that hold no dents
# [intake.columns]
# Wagon = "stock"           # your team's own words
# [intake.panels]
# Frunk = "hood"

# Who sends the sheets.
# [from]
# name = "Your firm"
# address = "Street, place"
# phone = ""
# email = ""

# How cars are billed: `hailyard bills --issue` numbers what payers approved.
# [bills]
# prefix = "B-"             # in front of the number
# per = "payer"             # one bill a car (default), or one a payer with its cars
# due_days = 30
# pay_to = "Account, bank"

# One entry per payer: an insurer, a dealer, an owner. Amounts and percents are
# quoted decimals. Two example cards lie in rates/; their figures are invented.
"#,
        quoted(name)
    );
    for payer in payers {
        let _ = write!(
            text,
            r#"
[[payer]]
name = {}
rate_card = "rates/coins.toml"
# discount = [{{ on = ["dents"], percent = "5" }}]
# lot_discount = [{{ cars_at_least = 25, percent = "2" }}]      # on dents, for all of this payer's cars
# minimum = "150.00"                                          # the least a car costs before tax
# tax = [{{ name = "state", percent = "8.25", on = ["parts", "extra"] }}]
# deductible = "500.00"                                       # what the owner bears of each car
# deductible_event_max = "20000.00"                           # what all owners together bear
# total_loss = {{ percent = "75", compare = ">=", hail_exempt = false }}
"#,
            quoted(payer)
        );
    }
    text
}

/// A text as a TOML basic string.
fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}
