//! The workbook of a priced storm, read back with calamine and held against
//! the storms with known answers, which an independent program reckoned.
//! That its formulas come to the same is tested in `clients`, where a
//! spreadsheet program reckons them.

pub mod edited;
pub mod made;
pub mod model;

use crate::builder::{Folder, OneCar, SMALL_CARD, data, read_csv};
use calamine::Data;
use made::{Book, workbook_of, workbook_without};
use std::io::Read;

/// All storms with known answers.
pub const STORMS: [&str; 18] = [
    "edge-7101",
    "edge-7102",
    "edge-7103",
    "edge-7104",
    "edge-7105",
    "edge-7118",
    "inch-7201",
    "lot-7001",
    "lot-7002",
    "rows-7301/panel",
    "rows-7301/dents",
    "rows-7301/cars",
    "book-7401/csv",
    "book-7401/xlsx",
    "book-7401/xlsb",
    "book-7401/ods",
    "book-7401/xls",
    "worked-example",
];

/// Whether a cell holds what a cell of a CSV table says: nothing, a text
/// (there with a `'` before what a spreadsheet would run), or a number.
fn same(cell: Option<&Data>, text: &str, is_number: bool) -> bool {
    match cell {
        None => text.is_empty(),
        Some(Data::Float(number)) => is_number && text.parse() == Ok(*number),
        Some(Data::String(found)) => {
            let plain = text
                .strip_prefix('\'')
                .filter(|rest| rest.starts_with(['=', '+', '-', '@', '\t', '\r']));
            !is_number && !text.is_empty() && found == plain.unwrap_or(text)
        }
        Some(_) => false,
    }
}

const TEXT_COLUMNS: [&str; 9] = [
    "stock", "panel", "group", "item", "payer", "status", "flags", "by", "key",
];

/// The sheets' rows of a table, header first; rows of `Lines` that stand by
/// and charge nothing are no lines.
fn rows_of(book: &Book, sheet: &str) -> Vec<u32> {
    let rows = 0..book.rows(sheet);
    if sheet != "Lines" {
        return rows.collect();
    }
    rows.filter(|row| {
        let stands_by = book.text(sheet, *row, "basis").starts_with("stands by: ");
        let empty = book.text(sheet, *row, "amount").is_empty();
        assert!(
            !stands_by || empty,
            "a row that stands by charges something"
        );
        !stands_by
    })
    .collect()
}

/// Every cell but `basis` of the three tables.
#[test]
fn the_sheets_hold_what_is_known_of_every_storm() {
    for storm in STORMS {
        let folder = data("storms").join(storm);
        let book = Book::read(&workbook_of(&folder));
        for (sheet, table) in [("Lines", "lines"), ("Cars", "cars"), ("Totals", "totals")] {
            let expected = read_csv(&folder.join(format!("expected/{table}.csv")));
            let rows = rows_of(&book, sheet);
            assert_eq!(rows.len(), expected.len(), "rows of {sheet} in {storm}");
            for (row, values) in rows.into_iter().zip(&expected) {
                for (column, (name, value)) in (0..).zip(expected[0].iter().zip(values)) {
                    let is_number = row > 0 && !TEXT_COLUMNS.contains(&name.as_str());
                    let cell = book.cell(sheet, row, column);
                    assert!(
                        name == "basis" || same(cell, value, is_number),
                        "{storm}, {sheet}, row {}, {name}: {cell:?}, known is {value:?}",
                        row + 1
                    );
                }
            }
        }
    }
}

/// A member of the packed workbook.
pub fn member(bytes: &[u8], name: &str) -> String {
    let mut zip = zip::ZipArchive::new(std::io::Cursor::new(bytes)).expect("a zip");
    let mut text = String::new();
    zip.by_name(name)
        .expect("a member")
        .read_to_string(&mut text)
        .expect("text");
    text
}

/// Cells of a sheet's XML that hold a formula, up to their end.
fn formula_cells(xml: &str) -> Vec<&str> {
    xml.split("<c ")
        .skip(1)
        .filter_map(|rest| rest.split_once("</c>"))
        .map(|(cell, _)| cell)
        .filter(|cell| cell.contains("<f"))
        .collect()
}

#[test]
fn every_formula_is_written_with_its_value() {
    for storm in ["edge-7103", "lot-7001"] {
        let bytes = workbook_of(&data("storms").join(storm));
        let book = Book::read(&bytes);
        let mut found = 0;
        for sheet in 1..=5 {
            let xml = member(&bytes, &format!("xl/worksheets/sheet{sheet}.xml"));
            for cell in formula_cells(&xml) {
                found += 1;
                let is_text = cell.contains("t=\"str\"");
                let value = cell.split_once("<v>").expect("a value").1;
                assert!(is_text || !value.starts_with('<'), "{cell}");
            }
        }
        assert_eq!(found, book.formulas().len());
        assert!(found > 100, "{found}");
    }
}

#[test]
fn made_twice_it_has_the_same_bytes() {
    let folder = data("storms/edge-7118");
    assert!(workbook_of(&folder) == workbook_of(&folder));
}

/// A storm whose every text is made to be run, to break the file or to match
/// other texts: names of payers are wildcards and conditions of a spreadsheet.
fn hostile() -> Folder {
    let toml = "name = \"=cmd &[File] & \\u202E <b>\"\ncurrency = \"USD\"\nunit = \"mm\"\n\
        [[payer]]\nname = \"*\"\nrate_card = \"rates/card.toml\"\n\
        tax = [{ name = \"=1+1\", percent = \"10\", on = [\"extra\"] }]\n\
        [[payer]]\nname = \">5\"\nrate_card = \"rates/card.toml\"\n\
        [[payer]]\nname = \"=1+1\"\nrate_card = \"rates/card.toml\"\n";
    let card =
        format!("{SMALL_CARD}\n[[extra]]\nname = \"@sum\"\nper = \"vehicle\"\namount = \"6.50\"\n");
    let long = "=".to_owned() + &"x".repeat(30_000);
    let by = "y".repeat(32_760);
    let list = "stock,payer\n=1+1,*\n+1,*\n-1,>5\n@x,>5\n<r><t>a</t></r>,=1+1\n\"a\u{1}b_x0041_c\",=1+1\n\u{202E}7,=1+1\n";
    let counts = "stock,panel,dime\n=1+1,hood,3\n+1,hood,3\n-1,hood,3\n@x,hood,3\n<r><t>a</t></r>,hood,3\n\"a\u{1}b_x0041_c\",hood,3\n\u{202E}7,hood,3\n";
    let agreed = format!(
        "stock,panel,group,item,amount,by\n+1,,extra,{long},5.00,{by}\n-1,,extra,\"=HYPERLINK(\"\"x\"\")\",5.00,=x\n"
    );
    Folder::new()
        .file("storm.toml", toml)
        .file("rates/card.toml", card)
        .file("vehicles.csv", list)
        .file("counts/lot.csv", counts)
        .file("agreed.csv", agreed)
}

#[test]
fn text_from_sheets_stays_text() {
    let bytes = workbook_of(hostile().path());
    let book = Book::read(&bytes);
    let stocks: Vec<String> = (1..book.rows("Cars"))
        .map(|row| book.text("Cars", row, "stock"))
        .collect();
    let expected = [
        "=1+1",
        "+1",
        "-1",
        "@x",
        "<r><t>a</t></r>",
        "a\u{1}b_x0041_c",
        "\u{202E}7",
    ];
    assert_eq!(stocks, expected);
    let lines: Vec<(String, String)> = (1..book.rows("Lines"))
        .map(|row| {
            (
                book.text("Lines", row, "item"),
                book.text("Lines", row, "basis"),
            )
        })
        .collect();
    let long = "=".to_owned() + &"x".repeat(30_000);
    let item = |item: &str| lines.iter().find(|line| line.0 == item);
    let basis = &item(&long).expect("the long item").1;
    // 32,767 UTF-16 units with the mark; "agreed with " and 32,760 are more.
    assert_eq!(basis.encode_utf16().count(), 32_767);
    assert!(basis.starts_with("agreed with yy") && basis.ends_with("y … (cut)"));
    assert!(item("=HYPERLINK(\"x\")").is_some());
    assert!(item("tax =1+1").is_some() && item("@sum").is_some());
    // Formulas stand in our own columns alone and hold no text but our words.
    for ((sheet, _, column), formula) in book.formulas() {
        let header = book.cell(sheet, 0, *column).expect("a header").to_string();
        assert!(
            !TEXT_COLUMNS.contains(&header.as_str()) || header == "status",
            "a formula under {header}"
        );
        for word in formula.split('"').skip(1).step_by(2) {
            let ours = [
                "dents",
                "removal",
                "parts",
                "extra",
                "conventional",
                "tax",
                "quote",
                "priced",
                "+ quote",
                "<1E+99",
                "=",
                "entered",
                "hood",
                "other",
                "",
            ];
            assert!(ours.contains(&word), "{formula}");
        }
    }
    // Per payer, though `*` and `>5` are conditions to a spreadsheet: two
    // cars of 10.00 and 6.50, with 0.65 of tax each (5.00 agreed: 1.15); two
    // more, 5.00 agreed on one; three more.
    let totals: Vec<(String, String)> = (1..book.rows("Totals"))
        .filter(|row| book.text("Totals", *row, "by") == "payer")
        .map(|row| {
            (
                book.text("Totals", row, "key"),
                book.text("Totals", row, "total"),
            )
        })
        .collect();
    let expected = [("*", "39.8"), (">5", "38"), ("=1+1", "49.5")];
    assert_eq!(
        totals,
        expected.map(|(key, total)| (key.to_owned(), total.to_owned()))
    );
}

/// Headers, filters, frozen panes and print set-up of the tables, in the
/// words of the format (ECMA-376, part 1, 18.3).
#[test]
fn tables_are_set_up_for_reading_and_for_paper() {
    let bytes = workbook_of(&data("storms/lot-7001"));
    for sheet in 1..=4 {
        let xml = member(&bytes, &format!("xl/worksheets/sheet{sheet}.xml"));
        for said in [
            "<pane ",
            "state=\"frozen\"",
            "<autoFilter ",
            "paperSize=\"9\"",
            "orientation=\"landscape\"",
            "fitToHeight=\"0\"",
            "<pageSetUpPr fitToPage=\"1\"/>",
        ] {
            assert!(xml.contains(said), "{said} on sheet {sheet}");
        }
        assert!(!xml.contains("sheetProtection"));
    }
    let book = member(&bytes, "xl/workbook.xml");
    assert_eq!(book.matches("_xlnm.Print_Titles").count(), 4);
    assert!(member(&bytes, "docProps/core.xml").contains("2000-01-01T00:00:00Z"));
}

/// Amounts look like the currency's: two places, none, three.
#[test]
fn amounts_have_the_places_of_the_currency() {
    for (code, format) in [("USD", "\"0.00\""), ("KWD", "\"0.000\"")] {
        let folder = OneCar::new("stock,panel,dime\nA1,hood,3\n")
            .currency(code)
            .folder();
        let styles = member(&workbook_of(folder.path()), "xl/styles.xml");
        let is_built_in = format == "\"0.00\"" && styles.contains("numFmtId=\"2\"");
        assert!(is_built_in || styles.contains(format), "{styles}");
    }
}

/// A list without a count: no line, no sum, and the sheets are there.
#[test]
fn a_storm_without_counted_cars_opens() {
    let folder = OneCar::new("stock,panel,dime\nA1,hood,3\n")
        .vehicles("stock\nA1\nB2\n")
        .folder()
        .file("counts/lot.csv", "stock,hood\nA1,\nB2,\n");
    let book = Book::read(&workbook_of(folder.path()));
    assert_eq!((book.rows("Lines"), book.rows("Cars")), (1, 3));
    assert_eq!(book.text("Cars", 1, "status"), "uncounted");
    assert_eq!(book.text("Cars", 1, "total"), "");
    assert_eq!(book.text("Totals", 1, "total"), "0");
}

/// A quote car says so, beside its total too, and what has lines but no
/// amount is empty. 45 mm is above all classes, and the card has no step.
#[test]
fn a_quote_is_visibly_partial() {
    let folder =
        OneCar::new("stock,panel,dime,oversize\nA1,hood,3,\nA1,roof,0,45\nB2,roof,0,45\n").folder();
    let book = Book::read(&workbook_of(folder.path()));
    let car = |row, column| book.text("Cars", row, column);
    assert_eq!(
        ["status", "dents_amount", "total", "note"].map(|column| car(1, column)),
        ["quote", "10", "10", "+ quote"]
    );
    assert_eq!(
        [
            "status",
            "dents_amount",
            "parts_amount",
            "total",
            "payer_pays",
            "owner_pays",
            "note"
        ]
        .map(|column| car(2, column)),
        ["quote", "", "0", "", "", "", "+ quote"]
    );
    assert_eq!(book.text("Totals", 1, "note"), "+ quote");
    assert_eq!(book.text("Totals", 1, "quotes"), "2");
}

/// A sheet's amounts are read and written with 15 digits; more is refused
/// rather than cut. 9,999,999,999.9999 twice has 15, but 1,000 of the largest
/// amounts have 18.
#[test]
fn amounts_too_long_for_a_spreadsheet_are_refused() {
    let mut counts = String::from("stock,panel,dime\n");
    for car in 0..1_000 {
        counts.push_str(&format!("A{car},hood,3\n"));
    }
    let folder = OneCar::new(&counts)
        .currency("CLF")
        .card_with("\"10.00\"", "\"9999999999.9999\"")
        .folder();
    let failed = workbook_without(folder.path(), &[]).expect_err("too long");
    assert!(failed.contains("15 digits"), "{failed}");
}

/// 7,000 cars of 25 panels, each with a line of dents and five extras, are
/// 1,050,000 lines; a sheet has 1,048,576 rows.
#[test]
fn more_lines_than_a_sheet_has_rows_are_refused() {
    let panels: Vec<&str> = hailyard::storm::Panel::ALL
        .into_iter()
        .map(hailyard::storm::Panel::word)
        .collect();
    let mut counts = format!("stock,{}\n", panels.join(","));
    for car in 0..7_000 {
        counts.push_str(&format!("A{car}{}\n", ",3 dime".repeat(panels.len())));
    }
    let mut storm = OneCar::new(&counts);
    for extra in 1..=5 {
        storm = storm.card(&format!(
            "[[extra]]\nname = \"wax {extra}\"\nper = \"panel\"\namount = \"6.50\"\n"
        ));
    }
    let failed = workbook_without(storm.folder().path(), &[]).expect_err("too many");
    assert!(failed.contains("1050000 lines"), "{failed}");
}

/// 9,999,999,999.99 in minor units times 33,300 thousandths of a percent is
/// more than 2^53, so the tax is the tool's own: 33.3 % are 3,329,999,999.99667.
#[test]
fn a_percent_too_long_to_reckon_exactly_is_a_fixed_amount() {
    let folder = OneCar::new("stock,panel,dime\nA1,hood,3\nB2,hood,10\n")
        .currency("IRR")
        .card_with("\"10.00\"", "\"9999999999.99\"")
        .terms("tax = [{ name = \"levy\", percent = \"33.3\", on = [\"dents\"] }]")
        .folder();
    let book = Book::read(&workbook_of(folder.path()));
    let said = |row| ["item", "amount", "amount_is"].map(|header| book.text("Lines", row, header));
    assert_eq!(said(2), ["tax levy", "3330000000", "fixed"]);
    assert_eq!(said(4), ["tax levy", "6.66", "formula"]);
    assert!(!book.formulas().contains_key(&("Lines".to_owned(), 2, 5)));
}

#[test]
fn totals_say_that_cars_were_left_out() {
    let folder = OneCar::new("stock,panel,dime,oversize\nA1,hood,3,45\n").folder();
    let left_out = ["B2".to_owned(), "C3".to_owned()];
    let bytes = workbook_without(folder.path(), &left_out).expect("a workbook");
    let book = Book::read(&bytes);
    assert_eq!(book.text("Totals", 1, "note"), "+ quote, without 2 cars");
    let said = "2 cars are left out because of errors in their inputs.";
    let said = Data::String(said.to_owned());
    assert_eq!(book.cell("Read me", 1, 0), Some(&said));
}
