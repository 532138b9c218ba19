//! A supplement: what changed from one count to the next, line by line.

use super::{hail_text, sender_lines};
use crate::compare::{CarSupplement, Overlaid, Supplement};
use crate::money::{Currency, Money};
use crate::report::document::{Block, Cell, Document, Table};
use crate::storm::Storm;

/// The supplement's page. `storm` is the new one.
#[must_use]
pub fn supplement_page(supplement: &Supplement, storm: &Storm, met: &Overlaid) -> Document {
    let currency = storm.currency;
    let money = |amount: Money| currency.grouped(amount);
    let whole = supplement.after - supplement.before;
    let owners = supplement.owners_after - supplement.owners_before;
    let mut blocks = vec![Block::Facts(vec![
        ("storm", format!("{}{}", storm.name, hail_text(storm))),
        ("before", money(supplement.before)),
        ("after", money(supplement.after)),
        ("supplement", money(whole)),
        ("payers pay", money(whole - owners)),
        ("owners pay", money(owners)),
        ("amounts in", currency.code().to_owned()),
    ])];
    met_blocks(met, &mut blocks);
    if supplement.cars.is_empty() {
        blocks.push(Block::Text("Nothing changes.".to_owned()));
    } else {
        blocks.push(Block::Heading("Car by car".to_owned()));
        blocks.push(Block::Table(cars(supplement, storm)));
    }
    for car in &supplement.cars {
        let stock = &storm.cars[car.car].vehicle.stock;
        blocks.push(Block::Heading(format!("Car {stock}")));
        blocks.push(Block::Table(lines(car, stock, currency)));
    }
    Document {
        title: format!("{}: supplement", storm.name),
        sender: sender_lines(&storm.sender),
        number: String::new(),
        blocks,
    }
}

fn met_blocks(met: &Overlaid, blocks: &mut Vec<Block>) {
    if !met.new_cars.is_empty() {
        blocks.push(Block::Listed {
            lead: "Only in the new count: cars".to_owned(),
            items: met.new_cars.iter().map(Cell::from).collect(),
        });
    }
    for (stock, panel) in &met.new_panels {
        blocks.push(Block::Text(format!(
            "Only in the new count: {} of car {stock}.",
            panel.word()
        )));
    }
    for (stock, panel, was, now) in &met.surface {
        blocks.push(Block::Caution {
            about: format!("{} of car {stock}", panel.word()),
            text: format!("the surface was {was}, now {now}"),
        });
    }
    for (stock, panel, before, after) in &met.fewer {
        blocks.push(Block::Caution {
            about: format!("{} of car {stock}", panel.word()),
            text: format!("fewer dents than before: {before}, now {after}"),
        });
    }
}

fn cars(supplement: &Supplement, storm: &Storm) -> Table {
    let money = |amount: Money| Cell::from(storm.currency.grouped(amount));
    let mut table = Table::new("What each car changes by")
        .words("stock", 0)
        .figures("before", 1)
        .figures("after", 1)
        .figures("supplement", 0)
        .figures("owner", 2)
        .words("open", 3);
    table.long = true;
    for car in &supplement.cars {
        table.row(vec![
            storm.cars[car.car].vehicle.stock.as_str().into(),
            money(car.before),
            money(car.after),
            money(car.after - car.before),
            money(car.owner_after - car.owner_before),
            if car.open { "quote" } else { "" }.into(),
        ]);
    }
    table.sums(vec![
        "total".into(),
        money(supplement.cars.iter().map(|car| car.before).sum()),
        money(supplement.cars.iter().map(|car| car.after).sum()),
        money(supplement.after - supplement.before),
        money(supplement.owners_after - supplement.owners_before),
        "".into(),
    ]);
    table.without_empty_columns()
}

fn lines(car: &CarSupplement, stock: &str, currency: Currency) -> Table {
    let side = |amount: Option<Money>| {
        amount.map_or(Cell::default(), |amount| currency.grouped(amount).into())
    };
    let mut table = Table::new(format!("Lines of car {stock} that change"))
        .words("panel", 0)
        .words("item", 0)
        .figures("before", 1)
        .figures("after", 1)
        .figures("supplement", 0);
    for line in &car.lines {
        let after = match line.after {
            None if line.open => "by quote".into(),
            after => side(after),
        };
        table.row(vec![
            line.panel.map_or("", |panel| panel.word()).into(),
            line.item.as_str().into(),
            side(line.before),
            after,
            currency.grouped(line.difference()).into(),
        ]);
    }
    table.sums(vec![
        "".into(),
        "total".into(),
        // The lines that stay are not listed, so these two would not foot.
        "".into(),
        "".into(),
        currency.grouped(car.after - car.before).into(),
    ]);
    table
}
