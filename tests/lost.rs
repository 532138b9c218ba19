//! Nothing is lost: what a reviewer found that could have been.

use crate::builder::{Folder, OneCar, hailyard};
use hailyard::cli::Exit;

/// What `check` says of a sheet.
#[track_caller]
fn said(storm: &OneCar, exit: Exit, expected: &str) {
    let ran = hailyard(&["check", &storm.folder().arg()]);
    assert!(ran.out.contains(expected), "{}", ran.out);
    assert_eq!(ran.exit, exit, "{}", ran.out);
}

#[test]
fn dents_under_a_blank_header_are_an_error() {
    for sheet in [
        "stock,panel,dime,,nickel\nA1,hood,3,30,1\n",
        "stock,hood,,roof\nA1,3 dime,40 dime,2 dime\n",
    ] {
        said(
            &OneCar::new(sheet),
            Exit::Problems,
            "expected a header: row 2 holds",
        );
    }
    // A blank column that is blank all the way down is nothing.
    said(
        &OneCar::new("stock,panel,dime,\nA1,hood,3,\n"),
        Exit::Done,
        "0 errors, 0 cautions",
    );
    // Words under no header are a caution, in the lists too.
    said(
        &OneCar::new("stock,panel,dime,\nA1,hood,3,wet\n"),
        Exit::Done,
        "0 errors, 1 caution",
    );
    said(
        &OneCar::new("stock,panel,dime\nA1,hood,3\n").vehicles("stock,body,\nA1,suv,9000\n"),
        Exit::Done,
        "expected a header above this column",
    );
}

#[test]
fn a_list_is_found_in_any_case_and_a_stranger_is_said() {
    let folder = OneCar::new("stock,panel,dime\nA1,hood,3\n")
        .folder()
        .file("Vehicles.CSV", "stock,body\nA1,suv\n");
    let ran = hailyard(&["price", &folder.arg()]);
    assert!(ran.out.contains("suv"), "{}", ran.out);
    let folder = OneCar::new("stock,panel,dime\nA1,hood,3\n")
        .folder()
        .file("vehicle.csv", "stock,body\nA1,suv\n");
    let ran = hailyard(&["check", &folder.arg()]);
    assert!(
        ran.out.contains("probably vehicles.csv. It is not read"),
        "{}",
        ran.out
    );
}

#[test]
fn a_panel_sheet_without_a_column_for_dents_is_an_error() {
    said(
        &OneCar::new("stock,panel,metal\nA1,hood,alu\n"),
        Exit::Problems,
        "found `no column for dents`",
    );
}

#[test]
fn a_list_where_a_grid_wants_one_word_is_an_error() {
    said(
        &OneCar::new("stock,panel,dime\nA1,hood,3\n")
            .card_with("bands = ", "unit = [\"hours\"]\nbands = "),
        Exit::Problems,
        "line 21, unit: found `[\"hours\"]`; expected one quoted text, not a list",
    );
}

#[test]
fn single_quotes_are_toml_too() {
    let storm = OneCar::new("stock,panel,dime\nA1,hood,3\n")
        .card_with(
            "bands = [\"1-9\", \"10-29\", \"30+\"]",
            "bands = ['1-9', '10-29', '30+']",
        )
        .card_with("rounding = \"half-up\"", "rounding = 'half-up'");
    assert_eq!(storm.price().car("A1", "total"), "10.00");
}

/// Grids and values in files of decimal commas: three digits after the comma.
#[test]
fn a_thousand_or_a_fraction_is_a_caution_in_every_table() {
    let folder = OneCar::new("stock,panel,dime\nA1,hood,3\n")
        .card_with("[[grid]]\nbands = [\"1-9\", \"10-29\", \"30+\"]\ndime = [\"10.00\", \"20.00\", \"30.00\"]\nnickel = [\"11.00\", \"21.00\", \"31.00\"]\nquarter = [\"12.00\", \"22.00\", \"32.00\"]\nhalf-dollar = [\"13.00\", \"23.00\", \"33.00\"]\n", "[[grid]]\nfile = \"g.csv\"\n")
        .folder()
        .file("rates/g.csv", "band;dime;nickel;quarter;half-dollar\n1+;1,118;2;3;4\n");
    let ran = hailyard(&["check", &folder.arg()]);
    assert!(
        ran.out
            .contains("caution: rates/g.csv, row 2, dime: found `1,118`"),
        "{}",
        ran.out
    );
    // A grid file without one of the classes: that, and nothing more.
    let folder = folder.file("rates/g.csv", "band,dime,nickel,quarter\n1+,1,2,3\n");
    let ran = hailyard(&["check", &folder.arg()]);
    assert_eq!(ran.out.matches("error:").count(), 1, "{}", ran.out);
    assert!(
        ran.out.contains("a column for the class half-dollar"),
        "{}",
        ran.out
    );
    said(
        &OneCar::new("stock;panel;dime;value\nA1;hood;3;9,000\n").currency("KWD"),
        Exit::Done,
        "taken as a decimal comma, 9.000",
    );
}

/// With an error of the header or of a row that may be part of a car, the car
/// is left out, even where its other rows are sound.
#[test]
fn no_car_is_priced_by_half() {
    let price = |storm: &OneCar| hailyard(&["price", &storm.folder().arg(), "--without-bad"]);
    let ran = price(&OneCar::new(
        "stock,hood,door\nA1,5 dime,conventional\nB2,2 dime,\n",
    ));
    assert!(ran.err.contains("1 car is left out: A1"), "{}", ran.err);
    let ran = price(
        &OneCar::new("stock,panel,dime\n1001,hood,3\nB2,hood,3\n")
            .agreed("stock,panel,group,item,amount\n01001,,parts,glass,50\n"),
    );
    assert!(ran.err.contains("1 car is left out: 1001"), "{}", ran.err);
}

/// 1,500 cars on the list, one counted, wrongly: the error is shown, whatever
/// the number of cautions.
#[test]
fn cautions_never_hide_an_error() {
    let mut list = String::from("stock\n");
    for car in 0..1_500 {
        list.push_str(&format!("C{car}\n"));
    }
    let storm = OneCar::new("stock,panel,dime\nC7,hood,x4\n").vehicles(&list);
    let ran = hailyard(&["check", &storm.folder().arg()]);
    let first = ran.out.lines().nth(1).expect("a line");
    assert!(
        first.starts_with("error: counts/lot.csv, row 2, dime"),
        "{first}"
    );
    assert!(
        ran.out.contains("… and 500 more"),
        "{}",
        ran.out.lines().last().unwrap_or_default()
    );
}

#[test]
fn the_sheet_prints_no_false_equation() {
    // 0.333 h x 58.00 = 19.314
    let folder = OneCar::new("stock,panel,dime,remove\nA1,hood,3,lamp\n")
        .card("[[removal]]\ncode = \"lamp\"\nhours = \"0.333\"\nonce_per = \"vehicle\"\n")
        .folder();
    let ran = hailyard(&["car", "A1", &folder.arg()]);
    assert!(
        ran.out.contains("0.333 h x 58.00 = 19.314 -> 19.31"),
        "{}",
        ran.out
    );
}

#[test]
fn a_car_rows_note_and_the_counter_are_on_the_sheet() {
    let folder = OneCar::new("stock,hood,note\nA1,5 dime,owner wants a call\n").folder();
    let ran = hailyard(&["car", "A1", &folder.arg()]);
    let words: Vec<&str> = ran.out.split_whitespace().collect();
    assert!(
        words.join(" ").contains("note owner wants a call"),
        "{}",
        ran.out
    );
    let folder = OneCar::new("stock,panel,dime,counted_by,counted_on\nA1,hood,3,W. Tolliver,2026-06-15\nA1,roof,3,W. Tolliver,2026-06-15\n").folder();
    let ran = hailyard(&["car", "A1", &folder.arg()]);
    assert!(
        ran.out
            .contains("counted by W. Tolliver on 2026-06-15, rate card"),
        "{}",
        ran.out
    );
}

/// A workbook's numbers have the bounds that written figures have.
#[test]
fn a_workbooks_number_beyond_all_bounds_is_an_error() {
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    for (column, header) in (0..).zip(["stock", "panel", "group", "item", "amount"]) {
        sheet.write_string(0, column, header).expect("written");
    }
    for (column, cell) in (0..).zip(["A1", "", "parts", "glass"]) {
        sheet.write_string(1, column, cell).expect("written");
    }
    sheet.write_number(1, 4, 5e25).expect("written");
    let bytes = book.save_to_buffer().expect("a workbook");
    let folder: Folder = OneCar::new("stock,panel,dime\nA1,hood,3\n")
        .folder()
        .file("agreed.xlsx", bytes);
    let ran = hailyard(&["check", &folder.arg()]);
    assert!(ran.out.contains("row 2, amount (E2)"), "{}", ran.out);
    assert_eq!(ran.exit, Exit::Problems);
}

/// A quote that is opened and never closed takes all that follows into its
/// cell, so that cars would be gone without a word: in a row, in the header, in
/// a list, whatever stands in the file before it.
#[test]
fn a_quote_that_is_never_closed_is_an_error() {
    let found = "found `a quote that is never closed`";
    for (sheet, row) in [
        (
            "stock,panel,dime,note\nA1,hood,3,\"wet\nB2,hood,5,\n",
            "row 2",
        ),
        (
            "stock,panel,dime,\"note\nA1,hood,3,wet\nB2,hood,5,\n",
            "row 1",
        ),
        (
            "stock,panel,dime,note\nA1,hood,3,\"a \"\"word\"\"\"\nB2,hood,5,\"\n",
            "row 3",
        ),
        (
            "stock;panel;dime;note\r\nA1;hood;3;\r\nB2;hood;5;\"dry",
            "row 3",
        ),
    ] {
        said(
            &OneCar::new(sheet),
            Exit::Problems,
            &format!("counts/lot.csv, {row}: {found}"),
        );
    }
    said(
        &OneCar::new("stock,panel,dime\nA1,hood,3\nB2,hood,3\n")
            .vehicles("stock,body,owner\nA1,suv,\"Ann\nB2,suv,Ben\n"),
        Exit::Problems,
        &format!("vehicles.csv, row 2: {found}"),
    );
    // Closed at the very end, with a line end or without, and quotes that are
    // no quotes since they do not begin a cell.
    for sheet in [
        "stock,panel,dime,note\nA1,hood,3,\"two\nlines\"",
        "stock,panel,dime,note\nA1,hood,3,\"two\nlines\"\n\n",
        "stock,panel,dime,note\nA1,hood,3,5\" dent\n",
        "stock,panel,dime,note\nA1,hood,3,5\" dent",
    ] {
        said(&OneCar::new(sheet), Exit::Done, "0 errors, 0 cautions");
    }
}

/// Below a stock that is no car's, a blank is not the car further up.
#[test]
fn a_blank_below_an_unknown_stock_is_not_the_car_above_it() {
    let storm = OneCar::new("stock,panel,dime\nA1,hood,3\nB22,roof,5\n,decklid,7\n")
        .terms("[intake]\nblank_stock = \"above\"\n")
        .vehicles("stock\nA1\nB2\n");
    said(
        &storm,
        Exit::Problems,
        "row 4, stock: nothing found; expected a stock: no row above has one that is known [car A1]",
    );
    let storm = OneCar::new("stock,panel,dime\nA1,hood,3\nTotal,,3\n,decklid,7\n")
        .terms("[intake]\nblank_stock = \"above\"\n");
    said(&storm, Exit::Problems, "2 errors, ");
}

/// The same where the unknown stock is a merged cell of a workbook.
#[test]
fn a_blank_below_a_merged_unknown_stock_is_not_the_car_above_it() {
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    let rows = [
        ["stock", "panel", "dime"],
        ["A1", "hood", "3"],
        ["", "roof", "5"],
        ["", "decklid", "7"],
        ["", "fender-l", "2"],
    ];
    for (row, cells) in (0_u32..).zip(rows) {
        for (column, cell) in (0_u16..).zip(cells).filter(|(_, cell)| !cell.is_empty()) {
            let written = match cell.parse::<f64>() {
                Ok(number) => sheet.write(row, column, number),
                Err(_) => sheet.write(row, column, cell),
            };
            written.expect("a cell");
        }
    }
    let plain = rust_xlsxwriter::Format::new();
    let merged = sheet.merge_range(2, 0, 3, 0, "B22", &plain);
    merged.expect("a merged cell");
    let folder = OneCar::new("stock,panel,dime\n")
        .terms("[intake]\nblank_stock = \"above\"\n")
        .vehicles("stock\nA1\nB2\n")
        .folder()
        .file(
            "counts/round.xlsx",
            book.save_to_buffer().expect("a workbook"),
        );
    let ran = hailyard(&["check", &folder.arg()]);
    let expected =
        "row 5, stock (A5): nothing found; expected a stock: no row above has one that is known";
    assert!(ran.out.contains(expected), "{}", ran.out);
}

/// Only this file's own delimiter makes `#` a first cell.
#[test]
fn a_stock_that_begins_with_a_hash_is_a_stock() {
    let sheet =
        "stock,panel,dime\n#;7,hood,3\n#\t8,hood,3\n#9,hood,3\nA1,hood,3\n# a remark,,\n#,,\n";
    let ran = hailyard(&["price", &OneCar::new(sheet).folder().arg()]);
    assert!(ran.out.contains("4 of 4 counted"), "{}", ran.out);
    let sheet = "stock;panel;dime\n#,7;hood;3\nA1;hood;3\n#;;\n";
    let ran = hailyard(&["price", &OneCar::new(sheet).folder().arg()]);
    assert!(ran.out.contains("2 of 2 counted"), "{}", ran.out);
}
