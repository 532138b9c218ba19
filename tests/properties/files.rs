//! A plain storm's files read and priced by the crate, and the bills of it.

use super::plain::{Bill, Lot};
use super::sheets::{Sheet, agreed, vehicles};
use super::toml::{card_toml, storm_toml};
use hailyard::intake::{InMemory, read_storm};
use hailyard::pricing::{Explainer, PricedStorm, price_storm};
use hailyard::rates::Rates;
use hailyard::storm::{Panel, Storm};
use proptest::test_runner::TestCaseError;

/// All files of a storm, with these count sheets.
pub fn all(lot: &Lot, counts: Vec<Sheet>) -> Vec<Sheet> {
    let mut files = vec![("storm.toml".to_owned(), storm_toml(lot))];
    for (index, card) in lot.cards.iter().enumerate() {
        files.push((format!("rates/card-{index}.toml"), card_toml(card, index)));
    }
    files.extend(counts);
    files.push(("vehicles.csv".to_owned(), vehicles(lot)));
    if !lot.agreed.is_empty() {
        files.push(("agreed.csv".to_owned(), agreed(lot)));
    }
    files
}

/// Reads and prices files; an error in them fails the case.
pub fn price(files: Vec<Sheet>) -> Result<(Storm, Rates, PricedStorm), TestCaseError> {
    let mut source = InMemory::default();
    for (path, text) in files {
        source.add(&path, text.into_bytes());
    }
    let intake = read_storm(&source, None);
    if intake.problems.errors() > 0 {
        let problems = intake.problems.sorted();
        let text: Vec<String> = problems.iter().map(ToString::to_string).collect();
        return Err(TestCaseError::fail(text.join("\n")));
    }
    let (storm, rates) = intake.storm.expect("a storm without errors");
    let priced = price_storm(&storm, &rates);
    Ok((storm, rates, priced))
}

/// The crate's bills.
pub fn bills(storm: &Storm, rates: &Rates, priced: &PricedStorm) -> Vec<Bill> {
    let text = |amount| storm.currency.text(amount);
    let shown = |amount: Option<_>| amount.map_or(String::new(), text);
    let cars = storm.cars.iter().zip(&priced.cars);
    cars.map(|(car, done)| {
        let explainer = Explainer::new(storm, rates, car.vehicle.payer);
        let lines = done.ledger.lines().iter().map(|line| {
            format!(
                "{}|{}|{}|{}|{}",
                line.panel.map_or("", Panel::word),
                line.group.word(),
                explainer.item(line),
                line.quantity.map_or(String::new(), |q| q.to_string()),
                shown(line.amount)
            )
        });
        let referred = done.panels.iter().filter(|p| p.referral.is_some()).count();
        let total = done.total().shown().filter(|_| done.is_counted());
        Bill {
            stock: car.vehicle.stock.clone(),
            status: done.status.word(),
            lines: lines.collect(),
            total: shown(total),
            owner: shown(done.owner_pays),
            payer: shown(done.payer_pays),
            counts: [
                done.panels.iter().map(|p| p.dents).sum(),
                done.panels.iter().map(|p| p.oversize).sum(),
                u32::try_from(referred).expect("few panels"),
            ],
            flag: done.total_loss.map_or("", |flag| flag.word()),
        }
    })
    .collect()
}

/// Reads, prices and bills a storm with these count sheets.
pub fn bills_of(lot: &Lot, counts: Vec<Sheet>) -> Result<Vec<Bill>, TestCaseError> {
    let (storm, rates, priced) = price(all(lot, counts))?;
    Ok(bills(&storm, &rates, &priced))
}
