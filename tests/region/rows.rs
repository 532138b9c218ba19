//! Rows as a spreadsheet counts them, whatever stands between and within them.

use super::faults::quiet;
use super::planted::Planted;
use super::sheet::{Look, Order};

/// Faults on both sides of everything that could shift a row.
fn plant(sheet: &mut Planted) {
    for car in [0, 1, 99, 100, 101, 249, 250, 251, 399, 400, 401, 498, 499] {
        let row = sheet.row(car, car % 4);
        sheet.plant(row, "olive", "4 or 5");
    }
}

/// Notes of several lines, of quotes and delimiters, and a long one.
fn notes(sheet: &mut Planted, newline: &str) {
    let note = |sheet: &mut Planted, car, text: String| {
        let row = sheet.row(car, 1);
        *sheet.cell(row, "note") = text;
    };
    note(sheet, 0, format!("two{newline}lines"));
    note(sheet, 100, format!("{newline}{newline}{newline}"));
    note(sheet, 101, "a \"quote\", and; more\tof it".to_owned());
    // A note that looks like rows of other cars.
    note(
        sheet,
        250,
        format!("K00000,hood,1{newline}K00007,roof,2{newline}"),
    );
    // 5,000 lines in one cell, still below 32,767 characters.
    let long = "wet".to_owned() + newline;
    note(sheet, 400, long.repeat(5_000));
    note(sheet, 499, "\"".repeat(99));
}

#[test]
fn newlines_within_quotes_belong_to_their_row() {
    for newline in ["\n", "\r\n"] {
        let look = Look {
            needless: true,
            newline,
            ..Look::PLAIN
        };
        let mut sheet = Planted::new(&quiet(100), &look);
        plant(&mut sheet);
        notes(&mut sheet, newline);
        sheet.check();
    }
}

#[test]
fn the_same_where_everything_is_quoted_and_in_any_order() {
    let look = Look {
        needless: true,
        quoted: true,
        mark: true,
        columns: Order::Shuffled,
        rows: Order::Shuffled,
        delimiter: ';',
        ..Look::PLAIN
    };
    let mut sheet = Planted::new(&quiet(101), &look);
    plant(&mut sheet);
    notes(&mut sheet, "\n");
    sheet.check();
}

/// Blank rows and rows that begin with `#` are rows all the same; how many
/// comments and titles there are is said.
#[test]
fn blank_rows_comments_and_titles_are_counted() {
    for newline in ["\n", "\r\n"] {
        let look = Look {
            newline,
            ..Look::PLAIN
        };
        let mut sheet = Planted::new(&quiet(102), &look);
        plant(&mut sheet);
        let above = [
            "Evening round",
            "# begun by Odd",
            "",
            ",,",
            "North field,,3",
        ];
        sheet.written.counts[0].above = above.map(str::to_owned).to_vec();
        let lines = [
            (1, ""),
            (1, ",,,"),
            (99, "# wet from here"),
            (100, "#"),
            (250, "#,hood,90"),
            (250, "  "),
            (250, " , \t, "),
            (399, ""),
            (399, ""),
            (399, "# \"quoted\", and more"),
            (499, ",,,,,,,,,,,,,,,,,,"),
        ];
        for (car, text) in lines {
            let row = sheet.row(car, 0);
            sheet.insert_raw(row, text);
        }
        // `# begun`, `# wet`, `#`, `#,hood` and `# "quoted"`; two titles.
        sheet.notes = vec![
            "note: counts/m.csv: 5 comment rows passed over".to_owned(),
            "note: counts/m.csv: 2 title rows passed over".to_owned(),
        ];
        sheet.check();
    }
}

/// A stock that begins with the sign of a comment is none.
#[test]
fn stocks_with_the_sign_of_a_comment() {
    let mut sheet = Planted::new(&quiet(103), &Look::PLAIN);
    for (car, stock) in [(100, "#12"), (250, "# 12"), (251, "#")] {
        let rows = [0, 1, 2, 3].map(|nth| sheet.row(car, nth));
        for row in rows {
            // The writer quotes `#` and `# 12`, which makes them stocks.
            stock.clone_into(&mut sheet.line(row).cells[0]);
            stock.clone_into(&mut sheet.line(row).stock);
        }
        let list = sheet.written.list.as_mut().expect("a list");
        stock.clone_into(&mut list.rows[car].cells[0]);
        stock.clone_into(&mut sheet.written.lot.cars[car].stock);
    }
    plant(&mut sheet);
    sheet.check();
}

/// A carriage return alone ends a row, here and there or everywhere.
#[test]
fn carriage_returns_alone_end_rows() {
    let look = Look {
        newline: "\r",
        ..Look::PLAIN
    };
    let mut sheet = Planted::new(&quiet(104), &look);
    plant(&mut sheet);
    let row = sheet.row(250, 2);
    sheet.insert_raw(row, "");
    sheet.check();
    let mut sheet = Planted::new(&quiet(105), &Look::PLAIN);
    plant(&mut sheet);
    // Every hundredth line ends with a carriage return, some with one more
    // before the usual end, which makes a blank row.
    sheet.encode = Some(|text| {
        let lines = text.split_inclusive('\n').enumerate();
        let ended = lines.map(|(at, line)| match at % 100 {
            0 => line.replace('\n', "\r"),
            50 => line.replace('\n', "\r\n"),
            _ => line.to_owned(),
        });
        ended.collect::<String>().into_bytes()
    });
    sheet.check();
}

/// The header may stand in the twentieth row; every row of it counts.
#[test]
fn a_header_in_the_twentieth_row() {
    let mut sheet = Planted::new(&quiet(106), &Look::PLAIN);
    plant(&mut sheet);
    let titles = (1..20).map(|row| format!("title {row}, of the round"));
    sheet.written.counts[0].above = titles.collect();
    sheet.notes = vec!["note: counts/m.csv: 19 title rows passed over".to_owned()];
    sheet.check();
}

/// The last row needs no end, and may be followed by blank ones.
#[test]
fn the_end_of_the_last_row() {
    let cut: fn(&str) -> Vec<u8> = |text| text.trim_end().as_bytes().to_vec();
    let more: fn(&str) -> Vec<u8> = |text| format!("{text}\n\r\n\r\r\n\n").into_bytes();
    for encode in [cut, more] {
        let mut sheet = Planted::new(&quiet(107), &Look::PLAIN);
        plant(&mut sheet);
        sheet.encode = Some(encode);
        sheet.check();
    }
}
