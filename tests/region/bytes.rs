//! What the bytes of a sheet may be: other encodings, no text at all, quotes
//! that are never closed, cells and rows beyond all bounds.

use super::Files;
use super::both::{both, same};
use super::faults::quiet;
use super::lots::{Kind, STORM, enough, lot};
use super::planted::{Planted, same_problems};
use super::said::{Said, by_check, by_library, in_memory};
use super::sheet::{Look, write};
use super::tables;
use crate::properties::model::priced;
use crate::properties::storms::Dice;
use hailyard::cli::Exit;

/// Faults at both ends and in the middle, and words outside of ASCII.
fn plant(sheet: &mut Planted, word: &str) {
    for car in [0, 250, 499] {
        let row = sheet.row(car, 3);
        sheet.plant(row, "pea", "some");
    }
    let row = sheet.row(498, 0);
    word.clone_into(sheet.cell(row, "note"));
}

fn look() -> Look {
    Look {
        needless: true,
        ..Look::PLAIN
    }
}

/// One byte near the end that is not UTF-8 makes the whole sheet Windows-1252,
/// which is said once.
#[test]
fn a_late_byte_of_windows_1252() {
    let mut sheet = Planted::new(&quiet(110), &look());
    plant(&mut sheet, "café");
    sheet.notes = vec!["note: counts/m.csv: not UTF-8: read as Windows-1252".to_owned()];
    sheet.encode = Some(|text| text.replace('é', "\u{1}").into_bytes());
    let files = sheet.files();
    let (_, bytes) = files
        .iter()
        .find(|(name, _)| name == "counts/m.csv")
        .expect("it");
    assert_eq!(bytes.iter().filter(|byte| **byte == 1).count(), 1);
    sheet.encode = Some(|text| {
        let bytes = text.replace('é', "\u{1}").into_bytes();
        // 0xE9 is é in Windows-1252 and the beginning of three bytes in UTF-8.
        bytes
            .iter()
            .map(|byte| if *byte == 1 { 0xe9 } else { *byte })
            .collect()
    });
    sheet.check();
}

/// The stocks of such a sheet are Windows-1252 from its first row on, though
/// they would be UTF-8 by themselves: `Ærø` is C3 86 72 C3 B8, which is `Ã†rÃ¸`.
#[test]
fn a_late_byte_changes_the_first_stock() {
    let kind = Kind {
        quiet: true,
        ..Kind::plain(111, 400)
    };
    let look = Look {
        list: None,
        ..look()
    };
    let rolls = enough(&kind);
    let mut dice = Dice::new(&rolls);
    let mut made = lot(&kind, &mut dice);
    "Ærø".clone_into(&mut made.cars[0].stock);
    let (mut lot, files) = write(&kind, &look, &made, &mut dice);
    let found = both(&files, &[]);
    assert_eq!(found.ran.exit, Exit::Done);
    same(
        "in UTF-8",
        found.text("cars.csv"),
        &tables::cars(&lot, &priced(&lot)),
    );
    assert!(found.text("cars.csv").contains("\nÆrø,"));
    let broken = with_counts(&files, |bytes| {
        let wet = bytes.windows(5).rposition(|bytes| bytes == b",wet,");
        // ½ in Windows-1252, and no beginning of anything in UTF-8.
        bytes[wet.expect("a note") + 1] = 0xbd;
    });
    let found = both(&broken, &[]);
    "Ã†rÃ¸".clone_into(&mut lot.cars[0].stock);
    let priced = priced(&lot);
    same(
        "in Windows-1252",
        found.text("cars.csv"),
        &tables::cars(&lot, &priced),
    );
    same(
        "totals.csv",
        found.text("totals.csv"),
        &tables::totals(&lot, STORM, &priced),
    );
    let said = "note: counts/m.csv: not UTF-8: read as Windows-1252\n";
    assert_eq!(found.ran.err.matches(said).count(), 1, "{}", found.ran.err);
}

/// The same files with other bytes of the first count sheet.
fn with_counts(files: &Files, change: impl FnOnce(&mut Vec<u8>)) -> Files {
    let mut files = files.clone();
    let mut counts = files.iter_mut();
    let counts = counts.find(|(name, _)| name == "counts/m.csv");
    change(&mut counts.expect("a sheet").1);
    files
}

/// UTF-16 by its mark, in both orders of bytes.
#[test]
fn utf_16_with_its_mark() {
    let little: fn(&str) -> Vec<u8> = |text| {
        let units = std::iter::once(0xfeff).chain(text.encode_utf16());
        units.flat_map(u16::to_le_bytes).collect()
    };
    let big: fn(&str) -> Vec<u8> = |text| {
        let units = std::iter::once(0xfeff).chain(text.encode_utf16());
        units.flat_map(u16::to_be_bytes).collect()
    };
    for (encode, name) in [(little, "UTF-16LE"), (big, "UTF-16BE")] {
        let mut sheet = Planted::new(&quiet(112), &look());
        plant(&mut sheet, "日本 café 🚗");
        sheet.notes = vec![format!("note: counts/m.csv: not UTF-8: read as {name}")];
        sheet.encode = Some(encode);
        sheet.check();
    }
}

/// What stops a storm: nothing is priced in any way, and all that was met
/// before it is said.
#[track_caller]
fn stops(files: &Files, expected: &[Said]) {
    let said = by_check(files);
    // The cars of the list whose rows could not be read are beside the point.
    let of_counts = |said: &[Said]| -> Vec<Said> {
        let counts = said.iter().filter(|said| said.file != "vehicles.csv");
        counts.cloned().collect()
    };
    same_problems(&of_counts(&said), expected);
    assert_eq!(by_library(&in_memory(files)), said);
    for more in [&[][..], &["--without-bad"], &["--json"]] {
        let found = both(files, more);
        assert_eq!(found.ran.exit, Exit::Problems);
        assert!(found.written.is_empty());
        let last = found.ran.err.lines().last().expect("a line");
        let why = "nothing was priced, since not every error belongs to a car";
        assert!(last.ends_with(why), "{last}");
    }
}

fn error(row: u32, column: &str, found: &str, car: &str, words: &str) -> Said {
    Said {
        severity: "error",
        file: "counts/m.csv".to_owned(),
        row,
        column: column.to_owned(),
        found: found.to_owned(),
        car: car.to_owned(),
        words: words.to_owned(),
    }
}

/// A sheet with a faulty cell in its 401st, 1,201st and 1,801st row, with a
/// list and without; the stocks of these rows.
fn sheets() -> [(Files, [String; 3]); 2] {
    [Some(super::sheet::Order::Lot), None].map(|list| {
        let look = Look { list, ..look() };
        let mut sheet = Planted::new(&quiet(113), &look);
        // No quotes anywhere, so that nothing closes one that is opened.
        let counts = &mut sheet.written.counts[0];
        for row in &mut counts.rows {
            let cells = counts.columns.iter().zip(&mut row.cells);
            for (column, cell) in cells {
                match column.as_str() {
                    "note" | "counted_by" => "wet and cold".clone_into(cell),
                    "payer" => cell.clear(),
                    _ => {}
                }
            }
        }
        let stocks = [100, 300, 450].map(|car| {
            let row = sheet.row(car, 0);
            // The header is a row, and a car has four.
            assert_eq!(sheet.place(row).1, 4 * car as u32 + 2);
            "x".clone_into(sheet.cell(row, "pea"));
            sheet.line(row).stock.clone()
        });
        (sheet.files(), stocks)
    })
}

/// A byte of nothing anywhere: no text, whatever stands before it.
#[test]
fn a_byte_of_nothing() {
    for (files, _) in sheets() {
        for part in [1, 3, 5] {
            let broken = with_counts(&files, |bytes| {
                let at = bytes.len() * part / 6;
                bytes[at] = 0;
            });
            stops(
                &broken,
                &[error(0, "", "bytes that are no text", "", "delimited text")],
            );
        }
    }
}

/// What stands before a row that is beyond all bounds is read, what follows is not.
#[test]
fn quotes_cells_and_rows_beyond_all_bounds() {
    let long = "a cell of more than 32,767 characters";
    for (files, stocks) in sheets() {
        let before = [(402, 0), (1_202, 1)].map(|(row, index): (u32, usize)| {
            error(row, "pea", "x", &stocks[index], "a whole number of dents")
        });
        // The first row of car 320, below the header.
        let at = 4 * 320 + 2;
        let in_row = |change: fn(&str) -> String| {
            with_counts(&files, |bytes| {
                let text = String::from_utf8(std::mem::take(bytes)).expect("UTF-8");
                let mut lines: Vec<String> = text.split('\n').map(str::to_owned).collect();
                lines[at - 1] = change(&lines[at - 1]);
                *bytes = lines.join("\n").into_bytes();
            })
        };
        let expect = |found: &str, words: &str| {
            let mut said = before.to_vec();
            said.push(error(at as u32, "", found, "", words));
            said
        };
        let closed = "never closed takes all that follows into one cell";
        // 719 rows of more than 46 characters follow.
        let never_closed = in_row(|line| line.replacen(',', ",\"", 1));
        stops(&never_closed, &expect(long, closed));
        let long_cell = in_row(|line| format!("{line}{}", "y".repeat(32_768)));
        stops(&long_cell, &expect(long, "shorter cells"));
        let wide = in_row(|line| {
            let cells = line.split(',').count();
            format!("{line}{}", ",".repeat(16_385 - cells))
        });
        stops(&wide, &expect("16385 columns", "at most 16384 columns"));
    }
}

/// A file without a header, or with nothing in it, beside a sound one.
#[test]
fn files_that_hold_no_counts() {
    let (files, stocks) = &sheets()[0];
    let faulty = [(402, 0), (1_202, 1), (1_802, 2)].map(|(row, index): (u32, usize)| {
        error(row, "pea", "x", &stocks[index], "a whole number of dents")
    });
    let cases = [
        ("", "an empty file", "a table"),
        (
            "a,b\n1,2\n",
            "no header",
            "a header within the first 20 rows",
        ),
    ];
    for (text, found, words) in cases {
        let mut more = files.clone();
        more.push(("counts/z.csv".to_owned(), text.as_bytes().to_vec()));
        let mut expected = faulty.to_vec();
        expected.push(Said {
            file: "counts/z.csv".to_owned(),
            ..error(0, "", found, "", words)
        });
        stops(&more, &expected);
    }
}
