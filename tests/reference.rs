//! Storms with known answers: what an independent program, written from the
//! pricing rules alone in exact fractions, made of the same folders. Every
//! cell but `basis` must be equal.

use crate::builder::{Folder, Tables, data, hailyard, read_csv};
use hailyard::cli::Exit;
use std::collections::{BTreeMap, BTreeSet};

#[track_caller]
fn same(folder: &str) {
    let folder = data("storms").join(folder);
    let tables = Tables::of(&folder);
    for table in ["lines", "cars", "totals"] {
        let expected = read_csv(&folder.join(format!("expected/{table}.csv")));
        let found = tables.rows(table);
        // `basis` is for people and stands last in lines.csv.
        let width = if table == "lines" {
            6
        } else {
            expected[0].len()
        };
        assert_eq!(found.len(), expected.len(), "rows of {table}");
        for (found, expected) in found.iter().zip(&expected) {
            assert_eq!(found[..width], expected[..width], "in {table}");
        }
    }
}

#[test]
fn the_worked_example() {
    same("worked-example");
}

#[test]
fn lots_of_sixty_cars() {
    same("lot-7001");
    same("lot-7002");
}

#[test]
fn storms_that_sit_on_the_edges_of_rules() {
    for storm in ["7101", "7102", "7103", "7104", "7105", "7118"] {
        same(&format!("edge-{storm}"));
    }
}

#[test]
fn a_storm_measured_in_inches() {
    same("inch-7201");
}

#[test]
fn one_storm_in_three_layouts() {
    for layout in ["panel", "dents", "cars"] {
        same(&format!("rows-7301/{layout}"));
    }
}

#[test]
fn one_storm_as_text_and_as_workbooks_of_four_kinds() {
    for kind in ["csv", "xlsx", "xlsb", "ods", "xls"] {
        same(&format!("book-7401/{kind}"));
    }
}

/// File, sheet, row, column, cell, severity and what was found.
type Key = [String; 7];

#[track_caller]
fn same_problems(folder: &str) {
    let folder = data("storms/broken-7501").join(folder);
    let ran = hailyard(&["check", "--json", folder.to_str().expect("a path")]);
    assert_eq!(ran.exit, Exit::Problems);
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    let text = |value: &serde_json::Value| match value {
        serde_json::Value::Null => String::new(),
        serde_json::Value::String(text) => text.clone(),
        other => other.to_string(),
    };
    let found: Vec<Key> = json["problems"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|problem| {
            assert!(!text(&problem["expected"]).is_empty(), "{problem}");
            [
                "file", "sheet", "row", "column", "cell", "severity", "found",
            ]
            .map(|key| text(&problem[key]))
        })
        .collect();
    let expected: Vec<Key> = read_csv(&folder.join("problems.csv"))[1..]
        .iter()
        .map(|row| std::array::from_fn(|column| row[column].clone()))
        .collect();
    let set = |keys: &[Key]| keys.iter().cloned().collect::<BTreeSet<Key>>();
    assert_eq!(set(&found), set(&expected));
    // As sets they are equal; as lists too, so none is reported twice.
    assert_eq!(found.len(), expected.len());
}

#[test]
fn every_problem_of_broken_sheets_is_reported_with_its_place() {
    same_problems("sheets");
}

#[test]
fn every_problem_of_broken_toml_is_reported_with_its_place() {
    same_problems("toml");
}

/// 5,000 cars on a card of one step each, against what DuckDB 2.0.1 makes of
/// the same rules in SQL over DECIMAL: a general query engine that knows
/// nothing of this code. Every shared column of every car must be equal.
#[test]
fn five_thousand_cars_equal_a_general_query_engine_to_the_cent() {
    let expected = read_csv(&data("engine/cars.csv"));
    let tables = Tables::of(&data("engine/storm"));
    let found = tables.rows("cars");
    let by_stock: BTreeMap<&str, &Vec<String>> = found[1..]
        .iter()
        .map(|row| (row[0].as_str(), row))
        .collect();
    assert_eq!(by_stock.len(), 5_000);
    assert_eq!(expected.len(), 5_001);
    let column = |name: &str| found[0].iter().position(|header| header == name);
    for row in &expected[1..] {
        let car = by_stock[row[0].as_str()];
        for (name, cell) in expected[0].iter().zip(row) {
            let at = column(name).expect("a shared column");
            assert_eq!(&car[at], cell, "{name} of {}", row[0]);
        }
    }
}

/// Splitting the count sheet over files, and turning its rows around, changes
/// no line, car or total where a vehicle list keeps the lot order.
#[test]
fn file_split_and_row_order_change_nothing() {
    let storm = data("storms/lot-7001");
    let expected = Tables::of(&storm);
    let mut folder = Folder::copy_of(&storm, true);
    let sheet = std::fs::read_to_string(storm.join("counts/a-lot.csv")).expect("a sheet");
    let mut lines: Vec<&str> = sheet.lines().collect();
    let header = lines.remove(0);
    lines.reverse();
    let (first, second) = lines.split_at(lines.len() / 3);
    let write = |rows: &[&str]| format!("{header}\n{}\n", rows.join("\n"));
    folder = folder
        .file("counts/a-lot.csv", write(first))
        .file("counts/z-rest.csv", write(second));
    let found = Tables::of(folder.path());
    for table in ["lines", "cars", "totals"] {
        let width = if table == "lines" { 6 } else { 1_000 };
        let cut = |rows: &[Vec<String>]| -> Vec<Vec<String>> {
            rows.iter()
                .map(|row| row[..row.len().min(width)].to_vec())
                .collect()
        };
        assert_eq!(cut(found.rows(table)), cut(expected.rows(table)), "{table}");
    }
}
