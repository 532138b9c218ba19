//! What stands beside a sheet of panel rows: other layouts, workbooks, agreed
//! amounts, a team's own words.

use super::Files;
use super::both::{both, same};
use super::lots::{Kind, STORM, enough, lot, rolls};
use super::sheet::{Look, Sheet, Written, written};
use super::tables;
use crate::properties::files::all;
use crate::properties::layouts::measured;
use crate::properties::model::priced;
use crate::properties::plain::Lot;
use crate::properties::sheets::{car_rows, dent_rows, one_sheet, panel_rows, rows};
use crate::properties::storms::{self, Dice};
use hailyard::cli::Exit;

/// Both ways are what the model makes of a lot.
#[track_caller]
fn equal(lot: &Lot, files: &Files) {
    let found = both(files, &[]);
    assert_eq!(found.ran.exit, Exit::Done, "{}", found.ran.err);
    let priced = priced(lot);
    same(
        "cars.csv",
        found.text("cars.csv"),
        &tables::cars(lot, &priced),
    );
    let totals = tables::totals(lot, STORM, &priced);
    same("totals.csv", found.text("totals.csv"), &totals);
}

fn bytes(files: Vec<(String, String)>) -> Files {
    let files = files.into_iter();
    files
        .map(|(name, text)| (name, text.into_bytes()))
        .collect()
}

/// Small storms of the other properties: two payers at most, agreed amounts.
#[test]
fn random_storms_with_agreed_amounts() {
    let mut agreed = 0;
    for seed in 140..152 {
        let rolls = rolls(seed, 6_000);
        let lot = storms::lot(&mut Dice::new(&rolls), 40);
        agreed += lot.agreed.len();
        equal(&lot, &bytes(all(&lot, one_sheet(&lot))));
    }
    assert!(agreed > 40, "{agreed}");
}

/// Panels spread over sheets of panel rows, dent rows and car rows.
#[test]
fn sheets_of_all_three_layouts() {
    for seed in 170..178 {
        let rolls = rolls(seed, 8_000);
        let mut dice = Dice::new(&rolls);
        let lot = storms::lot(&mut dice, 40);
        let lot = measured(&lot, &mut dice);
        let mut dealt = [Vec::new(), Vec::new(), Vec::new()];
        for row in rows(&lot) {
            dealt[dice.below(3) as usize].push(row);
        }
        let mut sheets = [
            panel_rows(&lot, &dealt[0]),
            dent_rows(&lot, &dealt[1]),
            car_rows(&lot, &dealt[2]),
        ];
        dice.shuffle(&mut sheets);
        let names = ["counts/a.csv", "counts/b.csv", "counts/c.csv"].map(str::to_owned);
        let counts = names.into_iter().zip(sheets).collect();
        equal(&lot, &bytes(all(&lot, counts)));
    }
}

/// A lot before it is files, and the dice that it was made with.
fn made<'a>(kind: &Kind, look: &Look, rolls: &'a [u16]) -> (Written, Dice<'a>) {
    let mut dice = Dice::new(rolls);
    let made = lot(kind, &mut dice);
    let written = written(kind, look, &made, &mut dice);
    (written, dice)
}

fn workbook(sheet: &Sheet) -> Vec<u8> {
    let mut book = rust_xlsxwriter::Workbook::new();
    let page = book.add_worksheet();
    let rows = sheet.rows.iter().map(|row| &row.cells);
    for (at, cells) in std::iter::once(&sheet.columns).chain(rows).enumerate() {
        for (column, cell) in cells.iter().enumerate() {
            let (at, column) = (at as u32, column as u16);
            // Whole numbers are numbers there, but for stocks.
            let number = cell.parse::<u32>().ok().filter(|_| column > 0);
            let wrote = match number {
                _ if cell.is_empty() => continue,
                Some(number) => page.write_number(at, column, number),
                None => page.write_string(at, column, cell),
            };
            wrote.expect("written");
        }
    }
    book.save_to_buffer().expect("a workbook")
}

/// The second part of the counts in a workbook.
#[test]
fn a_workbook_beside_a_sheet() {
    let kind = Kind {
        odd: 10,
        ..Kind::plain(190, 120)
    };
    for list in [Look::PLAIN.list, None] {
        let look = Look {
            files: 2,
            list,
            ..Look::PLAIN
        };
        let rolls = enough(&kind);
        let (mut written, mut dice) = made(&kind, &look, &rolls);
        let second = written.counts.pop().expect("two");
        let mut files = written.files(&mut dice);
        files.push(("counts/n.xlsx".to_owned(), workbook(&second)));
        equal(&written.lot, &files);
    }
}

/// A team's own words for columns and panels.
#[test]
fn own_words() {
    let kind = Kind {
        odd: 10,
        ..Kind::plain(191, 100)
    };
    let rolls = enough(&kind);
    let (mut written, mut dice) = made(&kind, &Look::PLAIN, &rolls);
    let sheet = &mut written.counts[0];
    for column in &mut sheet.columns {
        match column.as_str() {
            "stock" => "Wagen".clone_into(column),
            "panel" => "Bauteil, außen".clone_into(column),
            "pea" => " PEA ".clone_into(column),
            _ => {}
        }
    }
    for row in &mut sheet.rows {
        if row.cells[1] == "hood" {
            "Haube".clone_into(&mut row.cells[1]);
        }
    }
    let mut files = written.files(&mut dice);
    let terms = files.iter_mut().find(|(name, _)| name == "storm.toml");
    let words = "[intake.columns]\nWagen = \"stock\"\n\"Bauteil, außen\" = \"panel\"\n[intake.panels]\nHaube = \"hood\"\n";
    terms.expect("terms").1.extend(words.bytes());
    equal(&written.lot, &files);
}

/// A list, and sheets of which nobody has filled in a row yet.
#[test]
fn sheets_without_a_row() {
    let kind = Kind::plain(192, 50);
    let rolls = enough(&kind);
    let (mut written, mut dice) = made(&kind, &Look::PLAIN, &rolls);
    written.counts[0].rows.clear();
    for car in &mut written.lot.cars {
        car.panels.clear();
    }
    let files = written.files(&mut dice);
    equal(&written.lot, &files);
    // Without the list there is no car at all.
    written.list = None;
    written.lot.cars.clear();
    // The event maximum and the tiers stand on the payer, whoever has cars.
    let files = written.files(&mut dice);
    equal(&written.lot, &files);
}
