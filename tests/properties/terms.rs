//! Steps 7 to 11 of the model: what a payer's terms make of a car's lines.

use super::model::Line;
use super::plain::{Car, GROUPS, Payer};
use super::ratio::Ratio;
use std::cmp::Ordering;

/// Discount, minimum, taxes.
pub fn steps_7_to_9(
    payer: &Payer,
    priced_cars: usize,
    round: impl Fn(Ratio) -> Ratio,
    lines: &mut Vec<Line>,
) {
    let of_car = |group, item: String, amount| Line {
        panel: "",
        group,
        item,
        quantity: None,
        amount: Some(amount),
    };
    let sum_of = |lines: &[Line], groups: &[&str]| -> Ratio {
        let inside = lines.iter().filter(|line| groups.contains(&line.group));
        inside.filter_map(|line| line.amount).sum()
    };
    let reached = payer
        .tiers
        .iter()
        .filter(|(cars, _)| priced_cars >= *cars as usize);
    let tier = reached.max_by_key(|(cars, _)| *cars);
    for group in &GROUPS[..5] {
        let standing = payer.discounts.iter().filter(|(on, _)| on.contains(group));
        let mut percent: Ratio = standing.map(|(_, percent)| *percent).sum();
        if let (&"dents", Some((_, more))) = (group, tier) {
            percent = percent + *more;
        }
        let sum = sum_of(lines, &[group]);
        if !percent.is_zero() && !sum.is_zero() {
            let amount = round(Ratio::ZERO - sum.percent(percent));
            lines.push(of_car(group, "discount".to_owned(), amount));
        }
    }
    let whole = lines.iter().all(|line| line.amount.is_some());
    let sum = sum_of(lines, &["dents", "removal", "parts", "extra"]);
    if let Some(minimum) = payer.minimum
        && whole
        && sum > Ratio::ZERO
        && sum < minimum
    {
        lines.push(of_car("dents", "minimum".to_owned(), minimum - sum));
    }
    let before = lines.clone();
    for tax in &payer.taxes {
        let sum = sum_of(&before, &tax.on);
        if !tax.percent.is_zero() && !sum.is_zero() {
            let amount = round(sum.percent(tax.percent));
            lines.push(of_car("tax", format!("tax {}", tax.name), amount));
        }
    }
}

/// The owner's part, up to what the event maximum has left.
pub fn step_10(payer: &Payer, car: &Car, total: Ratio, borne: &mut Ratio) -> Ratio {
    let deductible = car.deductible.or(payer.deductible).unwrap_or(Ratio::ZERO);
    let mut part = deductible.min(total);
    if let Some(most) = payer.event_max {
        part = part.min(most - *borne);
    }
    *borne = *borne + part;
    part
}

/// The total-loss flag: known once what is known of the total suffices.
pub fn step_11(payer: &Payer, car: &Car, status: &str, total: Ratio) -> &'static str {
    let (Some(term), Some(value)) = (&payer.total_loss, car.value) else {
        return "";
    };
    if term.hail_exempt || value.is_zero() || status == "uncounted" {
        return "";
    }
    let (part, least) = (total * Ratio::whole(100), term.percent * value);
    match part.cmp(&least) {
        Ordering::Greater => "total-loss",
        Ordering::Equal if term.at_least => "total-loss",
        _ if status == "quote" => "total-loss-unknown",
        _ => "",
    }
}
