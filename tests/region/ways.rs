//! With lines and without, in every way of asking: bad cars left out, JSON,
//! another card, sheets by themselves.

use super::Files;
use super::both::{Both, both, folder, same};
use super::lots::{Kind, STORM, enough, lot};
use super::sheet::{Look, Order, write};
use super::tables;
use crate::builder::{Folder, hailyard};
use crate::properties::model::priced;
use crate::properties::plain::Lot;
use crate::properties::storms::Dice;
use hailyard::cli::Exit;

/// A lot and its files.
fn made(kind: &Kind, look: &Look) -> (Lot, Files) {
    let rolls = enough(kind);
    let mut dice = Dice::new(&rolls);
    let made = lot(kind, &mut dice);
    write(kind, look, &made, &mut dice)
}

/// A file of a storm as text, to be changed.
fn edit(files: &mut Files, name: &str, change: impl FnOnce(&mut String)) {
    let file = files.iter_mut().find(|(known, _)| known == name);
    let bytes = &mut file.expect("the file").1;
    let mut text = String::from_utf8(std::mem::take(bytes)).expect("UTF-8");
    change(&mut text);
    *bytes = text.into_bytes();
}

/// That the CSV files are what the model makes of a lot.
#[track_caller]
fn equal(found: &Both, lot: &Lot) {
    let priced = priced(lot);
    same(
        "cars.csv",
        found.text("cars.csv"),
        &tables::cars(lot, &priced),
    );
    let totals = tables::totals(lot, STORM, &priced);
    same("totals.csv", found.text("totals.csv"), &totals);
}

fn kind(seed: u64) -> Kind {
    Kind {
        payers: 3,
        odd: 5,
        ..Kind::plain(seed, 200)
    }
}

#[test]
fn json_is_the_same_but_for_the_lines() {
    let (lot, files) = made(&kind(60), &Look::PLAIN);
    equal(&both(&files, &["--json"]), &lot);
}

/// Bad cars are left out, and tiers and event maxima are reckoned from the
/// others, with a list and without.
#[test]
fn bad_cars_are_left_out() {
    for list in [Some(Order::Shuffled), None] {
        let look = Look {
            list,
            rows: Order::Shuffled,
            ..Look::PLAIN
        };
        let (mut lot, mut files) = made(&kind(61), &look);
        let bad = [0, 57, 58, 120, 199].map(|index| lot.cars[index].stock.clone());
        edit(&mut files, "counts/m.csv", |sheet| {
            for stock in &bad {
                // The first row of that car says another panel.
                let at = sheet.find(&format!("\n{stock},")).expect("its row");
                let panel = at + 1 + stock.len() + 1;
                sheet.insert_str(panel, "no-");
            }
        });
        let refused = both(&files, &[]);
        assert_eq!(refused.ran.exit, Exit::Problems);
        assert!(refused.written.is_empty());
        assert!(
            refused.ran.err.contains("5 errors, "),
            "{}",
            refused.ran.err
        );
        lot.cars.retain(|car| !bad.contains(&car.stock));
        let found = both(&files, &["--without-bad"]);
        assert_eq!(found.ran.exit, Exit::Problems);
        // In lot order, as they were picked.
        let left_out = format!("5 cars are left out: {}\n", bad.join(", "));
        assert!(found.ran.err.contains(&left_out), "{}", found.ran.err);
        equal(&found, &lot);
        equal(&both(&files, &["--without-bad", "--json"]), &lot);
    }
}

/// Nothing is left out where nothing is bad.
#[test]
fn leaving_out_bad_cars_that_there_are_not_changes_nothing() {
    let (lot, files) = made(&kind(62), &Look::PLAIN);
    let found = both(&files, &["--without-bad"]);
    assert_eq!(found.ran.exit, Exit::Done);
    equal(&found, &lot);
}

/// Every payer on one card.
#[test]
fn another_card() {
    let kind = Kind {
        classes: vec![4, 4],
        odd: 0,
        ..kind(63)
    };
    let (mut lot, files) = made(&kind, &Look::PLAIN);
    let storm = folder(&files);
    let card = format!("{}/rates/card-1.toml", storm.arg());
    let found = both(&files, &["--card", &card]);
    for payer in &mut lot.payers {
        payer.card = 1;
    }
    equal(&found, &lot);
}

/// Count sheets by themselves, on the built-in card: the first line says so.
#[test]
fn lone_sheets() {
    let sheet = "stock,panel,dime,nickel,oversize\nA1,hood,3,34,\nA1,roof,61,0,40\nB2,hood,,2,\n";
    let lone = Folder::new().file("lot.csv", sheet);
    let path = format!("{}/lot.csv", lone.arg());
    let outs = [Folder::new(), Folder::new()];
    let ran = [&[][..], &["--no-lines"]].map(|more| {
        let out = outs[usize::from(!more.is_empty())].arg();
        let mut args = vec!["price", path.as_str(), "--out", out.as_str()];
        args.extend(more);
        let ran = hailyard(&args);
        assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
        (ran.out.replace(&out, "OUT"), ran.err)
    });
    assert_eq!(ran[0], ran[1]);
    for name in ["cars.csv", "totals.csv", "cars.parquet", "totals.parquet"] {
        let bytes = outs
            .each_ref()
            .map(|out| std::fs::read(out.path().join(name)).expect("a file"));
        assert!(bytes[0] == bytes[1], "{name}");
    }
}

/// Lines of an earlier run are left where they lie, the rest is replaced.
#[test]
fn lines_that_lie_there_are_left() {
    let (_, old) = made(&kind(64), &Look::PLAIN);
    let (lot, new) = made(&kind(65), &Look::PLAIN);
    let out = Folder::new();
    let price = |files: &Files, more: &[&str]| {
        let storm = folder(files);
        let (from, to) = (storm.arg(), out.arg());
        let mut args = vec!["price", from.as_str(), "--out", to.as_str()];
        args.extend(more);
        assert_eq!(hailyard(&args).exit, Exit::Done);
    };
    let read = |name: &str| std::fs::read(out.path().join(name)).expect("a file");
    price(&old, &[]);
    let lines = ["lines.csv", "lines.parquet"].map(read);
    price(&new, &["--no-lines"]);
    assert!(lines == ["lines.csv", "lines.parquet"].map(read));
    let cars = String::from_utf8(read("cars.csv")).expect("UTF-8");
    same("cars.csv", &cars, &tables::cars(&lot, &priced(&lot)));
}

/// Shown and not written: the same text, but for where it was written to.
#[test]
fn shown_without_being_written() {
    let (_, files) = made(&kind(66), &Look::PLAIN);
    let written = both(&files, &[]).ran;
    let storm = folder(&files);
    for more in [&[][..], &["--no-lines"]] {
        let from = storm.arg();
        let mut args = vec!["price", from.as_str()];
        args.extend(more);
        let shown = hailyard(&args);
        let out = shown.out.replace(&from, "STORM") + "\nwritten to OUT\n";
        same("standard output", &out, &written.out);
        assert_eq!(shown.err, written.err);
    }
}

/// What can't be put in its place: status 3 in both ways, and nothing beside it.
#[test]
fn what_cannot_be_written() {
    let (_, files) = made(&kind(67), &Look::PLAIN);
    let storm = folder(&files);
    let said = [&[][..], &["--no-lines"]].map(|more| {
        let out = Folder::new().file("totals.csv/stands/in/the.way", "");
        let (from, to) = (storm.arg(), out.arg());
        let mut args = vec!["price", from.as_str(), "--out", to.as_str()];
        args.extend(more);
        let ran = hailyard(&args);
        assert_eq!(ran.exit, Exit::Failed, "{}", ran.err);
        let names = std::fs::read_dir(out.path()).expect("a folder");
        let parts = names.filter(|entry| {
            let path = entry.as_ref().expect("an entry").path();
            path.extension().is_some_and(|end| end == "part")
        });
        assert_eq!(parts.count(), 0);
        (ran.out, ran.err.replace(&to, "OUT"))
    });
    assert_eq!(said[0], said[1]);
}

/// Of lots beyond some thousand cars the owners' parts are shared out many cars at
/// a time. The way with lines goes car by car.
#[test]
fn event_maxima_of_many_cars() {
    let payer = |name: &str, most: &str| {
        format!(
            "[[payer]]\nname = \"{name}\"\nrate_card = \"rates/c.toml\"\ndeductible = \"50.00\"\ndeductible_event_max = \"{most}\"\n"
        )
    };
    let storm = format!(
        "name = \"Many\"\ncurrency = \"USD\"\nunit = \"mm\"\n{}{}",
        payer("Harl Cover", "120000.00"),
        payer("Ostrel Fleet", "200030.00")
    );
    let card = "name = \"Card\"\nremoval_rate = \"58.00\"\n[[size]]\nname = \"dime\"\nupto_mm = \"17.91\"\n[[grid]]\nbands = [\"1-9\", \"10+\"]\ndime = [\"32.00\", \"60.50\"]\n";
    let (mut list, mut counts) = ("stock,payer,deductible\n".to_owned(), String::new());
    let (mut harl, mut crosses) = (0, 0);
    for car in 0..9_500 {
        let payer = ["Harl Cover", "Ostrel Fleet"][usize::from(car % 3 == 0)];
        let own = if car % 7 == 0 { "20.00" } else { "" };
        list += &format!("A{car},{payer},{own}\n");
        counts += &format!("A{car},hood,{}\n", car % 19 + 1);
        // What the first payer's owners bear up to here, by hand, in cents.
        let total = if car % 19 + 1 < 10 { 3_200 } else { 6_050 };
        let deductible = if own.is_empty() { 5_000 } else { 2_000 };
        if car % 3 != 0 && harl < 12_000_000 {
            harl += deductible.min(total).min(12_000_000 - harl);
            crosses = car;
        }
    }
    assert_eq!((harl, crosses), (12_000_000, 4_688));
    let files: Files = [
        ("storm.toml", storm.as_str()),
        ("rates/c.toml", card),
        ("vehicles.csv", &list),
        ("counts/m.csv", &format!("stock,panel,dime\n{counts}")),
    ]
    .map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()))
    .to_vec();
    let found = both(&files, &[]);
    let cars = found.text("cars.csv");
    let paid = |stock: &str| {
        let row = cars
            .lines()
            .find(|line| line.starts_with(&format!("{stock},")));
        row.expect("the car")
            .split(',')
            .nth(15)
            .expect("a cell")
            .to_owned()
    };
    assert_eq!(paid("A4688"), "26.00");
    assert_eq!(paid("A4690"), "0.00");
    assert_eq!(paid("A9499"), "0.00");
    let totals = found.text("totals.csv");
    let of = |name: &str| {
        totals
            .lines()
            .find(|line| line.contains(name))
            .expect("a payer")
    };
    assert!(of("Harl Cover").contains(",120000.00"), "{totals}");
}
