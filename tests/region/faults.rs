//! Every kind of fault in a sheet of two thousand rows, at its place.

use super::lots::Kind;
use super::planted::Planted;
use super::sheet::{Look, Order};

/// 500 cars of four rows each.
pub fn quiet(seed: u64) -> Kind {
    Kind {
        quiet: true,
        ..Kind::plain(seed, 500)
    }
}

/// Cells that are not what their column asks for: the column, the cell, the
/// part of it that is at fault.
const CELLS: [(&str, &str, &str); 33] = [
    ("pea", "1,234", "1,234"),
    ("bean", "12.5", "12.5"),
    ("pea", "-3", "-3"),
    ("plum", "O7", "O7"),
    ("pea", "1e3", "1e3"),
    ("olive", "7 dents", "7 dents"),
    ("pea", "２", "２"),
    ("pea", "12345678901", "12345678901"),
    ("pea", "+4", "+4"),
    ("bean", "4;5", "4;5"),
    ("pea", "#N/A", "#N/A"),
    ("panel", "bonet", "bonet"),
    ("panel", "door", "door"),
    ("panel", "Wing", "Wing"),
    ("panel", "", ""),
    ("panel", "hood roof", "hood roof"),
    ("metal", "tin", "tin"),
    ("metal", "alu steel", "alu steel"),
    ("access", "shut", "shut"),
    ("access", "-", "-"),
    ("paint", "repaited", "repaited"),
    ("conventional", "maybe", "maybe"),
    ("prior", "x", "x"),
    ("prior", "-1", "-1"),
    ("oversize", "5.5 cm", "5.5 cm"),
    ("oversize", "40; 650", "650"),
    ("oversize", "0", "0"),
    ("oversize", "62 x", "62 x"),
    ("oversize", "x2; 44", "x2"),
    ("oversize", "44 x-2", "44 x-2"),
    ("remove", "sun-visor", "sun-visor"),
    ("remove", "headliner; sun-visor; Trim", "sun-visor"),
    ("remove", "headlinr", "headlinr"),
];

/// One of them in every thirteenth car.
fn cells_of_every_column(seed: u64, look: &Look) {
    let mut sheet = Planted::new(&quiet(seed), look);
    for (index, (column, cell, found)) in CELLS.into_iter().enumerate() {
        let row = sheet.row(3 + 13 * index, index % 4);
        sheet.plant_part(row, column, cell, found);
    }
    // The first row and the last one too.
    let (first, last) = (sheet.row(0, 0), sheet.row(499, 3));
    sheet.plant(first, "pea", "l2");
    sheet.words("probably 12");
    sheet.plant(last, "pea", "8 pcs");
    sheet.words("probably 8");
    // Several in one row, each for itself.
    let row = sheet.row(250, 1);
    for (column, cell) in [("olive", "x"), ("metal", "tin"), ("prior", "1.5")] {
        sheet.plant(row, column, cell);
    }
    sheet.plant_part(row, "oversize", "50; 7 km; 700; 52", "7 km");
    sheet.error(row, "oversize", "700");
    sheet.check();
}

#[test]
fn cells_that_are_not_what_their_column_asks_for() {
    cells_of_every_column(70, &Look::PLAIN);
}

#[test]
fn such_cells_in_sheets_of_every_look() {
    let tabs = Look {
        delimiter: '\t',
        columns: Order::Shuffled,
        newline: "\r\n",
        ..Look::PLAIN
    };
    cells_of_every_column(71, &tabs);
    let semicolons = Look {
        delimiter: ';',
        mark: true,
        list: None,
        ..Look::PLAIN
    };
    cells_of_every_column(72, &semicolons);
    let quoted = Look {
        quoted: true,
        list: None,
        files: 2,
        ..Look::PLAIN
    };
    cells_of_every_column(73, &quoted);
}

/// More than 9,999 dents on a panel: the row is named, and how many it has.
#[test]
fn dents_beyond_all_measure() {
    let mut sheet = Planted::new(&quiet(74), &Look::PLAIN);
    let only = |sheet: &mut Planted, car, cells: &[(&str, &str)]| {
        let row = sheet.row(car, 2);
        for column in ["pea", "bean", "olive", "plum"] {
            sheet.cell(row, column).clear();
        }
        for (column, cell) in cells {
            (*cell).clone_into(sheet.cell(row, column));
        }
        row
    };
    let row = only(&mut sheet, 9, &[("pea", "10000")]);
    sheet.error(row, "", "10000");
    // 9,000 + 999 are still 9,999, far as they are from their neighbours' 6 to 12.
    let row = only(&mut sheet, 77, &[("pea", "9000"), ("plum", "0999")]);
    sheet.count(row).sized = vec![9_000, 0, 0, 999];
    let panel = sheet.count(row).panel;
    sheet.caution(row, "panel", &format!("9999 dents on {panel}"));
    let row = only(&mut sheet, 300, &[("pea", "9000"), ("plum", "1000")]);
    sheet.error(row, "", "10000");
    // 9,998 in a class and two oversize.
    let row = only(&mut sheet, 401, &[("bean", "9998"), ("oversize", "44 x2")]);
    sheet.error(row, "", "10000");
    sheet.check();
}

/// Rows that name no car of the lot, and whose cars they may be.
#[test]
fn rows_without_a_sound_stock() {
    let mut sheet = Planted::new(&quiet(75), &Look::PLAIN);
    // Above the first car there is none.
    let row = sheet.row(0, 0);
    let mut blank = sheet.line(row).clone();
    blank.cells[0].clear();
    let row = sheet.insert(row, blank);
    sheet.say("error", row, "stock", "", "");
    // In a car's third row: it may be that car's.
    let row = sheet.row(120, 2);
    sheet.plant(row, "stock", "");
    sheet.words("`[intake] blank_stock = \"above\"`");
    // Rows of sums are nobody's.
    for (car, label) in [
        (33, "Total"),
        (210, "sum"),
        (340, "Sub-Total:"),
        (499, "GRAND TOTAL"),
    ] {
        let row = sheet.row(car, 0);
        let mut sums = sheet.line(row).clone();
        label.clone_into(&mut sums.cells[0]);
        sums.cells[1].clear();
        let row = sheet.insert(row, sums);
        sheet.say("error", row, "stock", label, "");
        sheet.words("row of sums");
    }
    // Stocks that the list lacks: near misses of a car and one of none.
    for (car, at) in [(80, 400), (160, 20), (350, 351)] {
        let stock = sheet.written.lot.cars[car].stock.clone();
        let miss = match car {
            80 => stock.to_lowercase(),
            160 => format!("00{stock}"),
            _ => stock.replacen('K', "K ", 1),
        };
        let row = sheet.row(at, 1);
        let mut stray = sheet.line(row).clone();
        stray.cells[0].clone_from(&miss);
        let row = sheet.insert(row, stray);
        sheet.say("error", row, "stock", &miss, "");
        sheet.words(&format!("probably {stock}"));
        sheet.suspect(&stock);
    }
    let row = sheet.row(444, 0);
    let mut stray = sheet.line(row).clone();
    "Z-1".clone_into(&mut stray.cells[0]);
    let row = sheet.insert(row, stray);
    sheet.say("error", row, "stock", "Z-1", "");
    sheet.check();
}

/// Text beyond the last column, whatever stands before it.
#[test]
fn text_beyond_the_last_column() {
    let mut sheet = Planted::new(&quiet(76), &Look::PLAIN);
    for (car, nth, beyond) in [(0, 0, 0), (130, 3, 2), (499, 3, 5)] {
        let row = sheet.row(car, nth);
        let cells = &mut sheet.line(row).cells;
        cells.extend(std::iter::repeat_n(String::new(), beyond));
        cells.push("lamp cracked".to_owned());
        sheet.error(row, "", "lamp cracked");
    }
    // Blank cells there are nothing.
    let row = sheet.row(200, 1);
    sheet
        .line(row)
        .cells
        .extend(["", " ", ""].map(str::to_owned));
    // A short row is filled with blanks.
    let row = sheet.row(300, 1);
    let metal = sheet.written.counts[0].columns.iter();
    let metal = metal.clone().position(|column| column == "metal");
    sheet.line(row).cells.truncate(metal.expect("a column"));
    sheet.check();
}
