//! 10,000 draws of single-cell changes of known sheets (some 4,900 of them differ), in
//! all three layouts and in CSV, XLSX, XLSB, XLS and ODS. Each either gives an error that
//! names that very cell, or the price that a tiny model gives for the new value; never
//! another price, never an error elsewhere.

use hailyard::intake::{InMemory, Severity, read_storm};
use hailyard::pricing::price_storm;
use std::collections::{BTreeMap, HashSet};
use std::io::Write;

const CARD: &str = r#"name = "Model card"
[[size]]
name = "dime"
upto_mm = "17.91"
[[size]]
name = "nickel"
upto_mm = "21.21"
[[grid]]
bands = ["1-4", "5-19", "20-59", "60+"]
dime = ["52.00", "66.00", "98.10", "151.00"]
nickel = ["58.05", "77.00", "118.00", "179.30"]
[[uplift]]
name = "aluminium"
percent = "25"
on = ["dents"]
metal = ["aluminium"]
"#;
const STORM: &str = "name = \"Model\"\ncurrency = \"USD\"\n[[payer]]\nname = \"Harl Cover\"\nrate_card = \"rates/card.toml\"\n";
const LIST: &str = "stock\nA1\nB2\nC3\nD4\n";

/// A panel as the model knows it: dimes, nickels, aluminium or not.
#[derive(Clone, Copy, Default)]
struct Counted {
    dimes: u64,
    nickels: u64,
    aluminium: bool,
}

/// Cents of a panel by the card above. 25 % of cents, half up: (c + 2) / 4 is
/// c / 4 rounded, since a half is two quarters.
fn cents(panel: Counted) -> u64 {
    let all = panel.dimes + panel.nickels;
    if all == 0 {
        return 0;
    }
    let band = match all {
        1..=4 => 0,
        5..=19 => 1,
        20..=59 => 2,
        _ => 3,
    };
    let grid = if panel.nickels >= panel.dimes {
        [5_805, 7_700, 11_800, 17_930]
    } else {
        [5_200, 6_600, 9_810, 15_100]
    };
    let base = grid[band];
    base + if panel.aluminium { (base + 2) / 4 } else { 0 }
}

/// Park and Miller's minimal standard generator.
struct Draw(u64);

impl Draw {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self.0 * 16_807 % 2_147_483_647;
        usize::try_from(self.0).expect("small") % end
    }

    fn of<'a>(&mut self, list: &[&'a str]) -> &'a str {
        list[self.below(list.len())]
    }
}

#[derive(Clone, Copy, PartialEq, Debug)]
enum Layout {
    Panels,
    Dents,
    Cars,
}

/// Header and rows of the unchanged sheet.
fn sheet(layout: Layout) -> Vec<Vec<String>> {
    let text = match layout {
        Layout::Panels => {
            "stock,panel,dime,nickel,metal\nA1,hood,3,4,aluminium\nA1,roof,21,0,\nB2,hood,5,5,steel\nC3,door-fl,0,2,alu\nD4,roof,60,1,\n"
        }
        Layout::Dents => {
            "stock,panel,diameter_mm,count,metal\nA1,hood,15.5,3,aluminium\nA1,hood,20,4,\nA1,roof,17.91,21,\nB2,hood,17.92,5,steel\nC3,door-fl,21.21,2,alu\nD4,roof,9,60,\n"
        }
        Layout::Cars => {
            "stock,hood,roof,door-fl\nA1,3 dime + 4 nickel + alu,21 dime,\nB2,5 dime + 5 nickel + steel,,0\nC3,,,2 nickel + alu\nD4,,60 dime + 1 nickel,\n"
        }
    };
    text.lines()
        .map(|line| line.split(',').map(str::to_owned).collect())
        .collect()
}

/// What the model makes of a count cell: a whole number, or no number.
fn model_count(text: &str) -> Option<u64> {
    if text.is_empty() {
        return Some(0);
    }
    text.bytes()
        .all(|b| b.is_ascii_digit())
        .then(|| text.parse().expect("digits"))
}

fn model_metal(text: &str) -> Option<Option<bool>> {
    match text {
        "" => Some(None),
        "steel" | "Steel" | "mild steel" | "high-strength" | "HSS" => Some(Some(false)),
        "aluminium" | "alu" | "Aluminum" | "AL" => Some(Some(true)),
        _ => None,
    }
}

/// Hundredths of a millimetre, or no diameter.
fn model_diameter(text: &str) -> Option<u64> {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    let digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty()
        || !digits(whole)
        || !digits(fraction)
        || fraction.len() > 2
        || text.ends_with('.')
    {
        return None;
    }
    let value = format!("{whole}{fraction:0<2}").parse::<u64>().ok()?;
    (value > 0 && value <= 60_000).then_some(value)
}

/// The model's cents per car, or `None`: the changed cell is at fault.
fn model(layout: Layout, rows: &[Vec<String>]) -> Option<BTreeMap<String, u64>> {
    let mut panels: BTreeMap<(String, String), Counted> = BTreeMap::new();
    let mut metals: BTreeMap<(String, String), bool> = BTreeMap::new();
    for row in &rows[1..] {
        let stock = row[0].clone();
        if !["A1", "B2", "C3", "D4"].contains(&stock.as_str()) {
            return None;
        }
        if layout == Layout::Cars {
            for (column, cell) in row.iter().enumerate().skip(1) {
                let counted = model_terms(cell)?;
                panels.insert((stock.clone(), rows[0][column].clone()), counted);
            }
            continue;
        }
        let panel = match row[1].as_str() {
            "hood" | "bonnet" | "Hood" => "hood",
            "roof" | "ROOF" => "roof",
            "door-fl" | "LF door" | "left front door" => "door-fl",
            "decklid" | "trunk" => "decklid",
            _ => return None,
        };
        let key = (stock, panel.to_owned());
        let metal = model_metal(&row[4])?;
        if layout == Layout::Panels {
            let counted = Counted {
                dimes: model_count(&row[2])?,
                nickels: model_count(&row[3])?,
                aluminium: metal == Some(true),
            };
            if counted.dimes + counted.nickels > 9_999 || panels.insert(key, counted).is_some() {
                return None;
            }
            continue;
        }
        let count = if row[3].is_empty() {
            Some(1)
        } else {
            model_count(&row[3])
        }?;
        let diameter = model_diameter(&row[2]);
        if diameter.is_none() && !(row[2].is_empty() && count == 0) {
            return None;
        }
        if let Some(metal) = metal {
            // Two different metals on one panel are an error.
            if *metals.entry(key.clone()).or_insert(metal) != metal {
                return None;
            }
        }
        let counted = panels.entry(key.clone()).or_default();
        match diameter {
            Some(hundredths) if hundredths <= 1_791 => counted.dimes += count,
            Some(hundredths) if hundredths <= 2_121 => counted.nickels += count,
            // Oversize without a step: by quote, no amount.
            _ => {}
        }
        counted.aluminium = metals.get(&key).copied().unwrap_or(false);
        if counted.dimes + counted.nickels > 9_999 {
            return None;
        }
    }
    let mut cars = BTreeMap::new();
    for ((stock, _), counted) in panels {
        *cars.entry(stock).or_insert(0) += cents(counted);
    }
    Some(cars)
}

/// A cell of a car row.
fn model_terms(cell: &str) -> Option<Counted> {
    let mut counted = Counted::default();
    if cell.is_empty() || cell == "0" {
        return Some(counted);
    }
    for term in cell.split('+').map(str::trim) {
        match term.split_once(' ') {
            Some((count, class)) if model_count(count).is_some() && !count.is_empty() => {
                match class {
                    "dime" => counted.dimes += model_count(count)?,
                    "nickel" | "Nickel" => counted.nickels += model_count(count)?,
                    _ => return None,
                }
            }
            _ => counted.aluminium = model_metal(term).flatten()?,
        }
    }
    (counted.dimes + counted.nickels <= 9_999).then_some(counted)
}

/// Another value for a cell: often sound, often not.
fn new_value(layout: Layout, column: usize, draw: &mut Draw) -> String {
    const BAD_COUNTS: [&str; 10] = [
        "x",
        "1.5",
        "-2",
        "1,2",
        "1e2",
        "9-May",
        "99999999999",
        "12 dents",
        "O",
        "=3",
    ];
    const BAD_WORDS: [&str; 6] = ["hod", "fender", "door", "lorry", "12", "?"];
    let sound = draw.below(2) == 0;
    match (layout, column) {
        // A stock moved to another car may double a panel, which is named at
        // the panel; so stocks are only made unknown.
        (_, 0) => draw.of(&["", "a1", "Z9", "A01", "Total"]).to_owned(),
        (Layout::Cars, _) if sound => {
            let count = draw.below(80);
            let class = draw.of(&["dime", "nickel", "Nickel"]);
            match draw.below(4) {
                0 => "0".to_owned(),
                1 => format!("{count} {class} + alu"),
                2 => format!("{count} {class}+{} nickel", draw.below(30)),
                _ => format!("{count} {class}"),
            }
        }
        (Layout::Cars, _) => draw
            .of(&[
                "12",
                "3 dimes",
                "dime 3",
                "4 dime + shiny",
                "3 dime +",
                "1.5 dime",
                "-3 dime",
                "23 nickle",
            ])
            .to_owned(),
        (_, 1) if sound => draw
            .of(&["bonnet", "ROOF", "LF door", "trunk", "decklid"])
            .to_owned(),
        (_, 1) => draw.of(&BAD_WORDS).to_owned(),
        (_, 4) if sound => draw
            .of(&["steel", "alu", "Aluminum", "HSS", "high-strength", "", "AL"])
            .to_owned(),
        (_, 4) => draw.of(&["tin", "7", "alloys", "-"]).to_owned(),
        (Layout::Dents, 2) if sound => format!("{}.{}", 1 + draw.below(25), draw.below(100)),
        (Layout::Dents, 2) => draw
            .of(&["0", "x", "601", "1,5", "5 cm", "-3", "", "1.2.3"])
            .to_owned(),
        (_, _) if sound => draw.below(120).to_string(),
        (_, _) => draw.of(&BAD_COUNTS).to_owned(),
    }
}

/// A value as a workbook holds it: whole and decimal numbers as numbers.
fn is_number(text: &str) -> bool {
    let plain = text.strip_prefix('-').unwrap_or(text);
    !plain.is_empty()
        && plain.bytes().all(|b| b.is_ascii_digit() || b == b'.')
        && plain.bytes().filter(|b| *b == b'.').count() <= 1
        && plain.starts_with(|c: char| c.is_ascii_digit())
        && !plain.ends_with('.')
        && (plain == "0" || !plain.starts_with('0') || plain.starts_with("0."))
}

fn as_csv(rows: &[Vec<String>]) -> Vec<u8> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for row in rows {
        writer.write_record(row).expect("a row");
    }
    writer.into_inner().expect("bytes")
}

fn as_xlsx(rows: &[Vec<String>]) -> Vec<u8> {
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    for (at, row) in (0..).zip(rows) {
        for (column, cell) in (0..).zip(row) {
            if is_number(cell) {
                let number: f64 = cell.parse().expect("a number");
                sheet.write_number(at, column, number).expect("written");
            } else if !cell.is_empty() {
                sheet.write_string(at, column, cell).expect("written");
            }
        }
    }
    book.save_to_buffer().expect("a workbook")
}

fn as_ods(rows: &[Vec<String>]) -> Vec<u8> {
    let mut table = String::new();
    for row in rows {
        table.push_str("<table:table-row>");
        for cell in row {
            if is_number(cell) {
                table.push_str(&format!("<table:table-cell office:value-type=\"float\" office:value=\"{cell}\"><text:p>{cell}</text:p></table:table-cell>"));
            } else if cell.is_empty() {
                table.push_str("<table:table-cell/>");
            } else {
                let text = cell.replace('&', "&amp;").replace('<', "&lt;");
                table.push_str(&format!("<table:table-cell office:value-type=\"string\"><text:p>{text}</text:p></table:table-cell>"));
            }
        }
        table.push_str("</table:table-row>");
    }
    let content = format!(
        "<?xml version=\"1.0\"?><office:document-content xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\"><office:body><office:spreadsheet><table:table table:name=\"Lot\">{table}</table:table></office:spreadsheet></office:body></office:document-content>"
    );
    let mut writer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let options =
        zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for (name, text) in [
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("content.xml", content.as_str()),
        (
            "META-INF/manifest.xml",
            "<?xml version=\"1.0\"?><manifest:manifest xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\"/>",
        ),
    ] {
        writer.start_file(name, options).expect("a member");
        writer.write_all(text.as_bytes()).expect("its text");
    }
    writer.finish().expect("an archive").into_inner()
}

/// An old workbook: one stream of records, each a number, a length, a body.
/// Microsoft, [MS-XLS], sections 2.4.21 (BOF), 2.4.28 (BoundSheet8), 2.4.148
/// (Label), 2.4.180 (Number), 2.4.103 (EOF).
fn as_xls(rows: &[Vec<String>]) -> Vec<u8> {
    fn record(stream: &mut Vec<u8>, kind: u16, parts: &[&[u8]]) {
        let body = parts.concat();
        stream.extend(kind.to_le_bytes());
        stream.extend(u16::try_from(body.len()).expect("short").to_le_bytes());
        stream.extend(body);
    }
    const BEGIN: u16 = 0x0809;
    const END: u16 = 0x000a;
    let mut stream = Vec::new();
    record(&mut stream, BEGIN, &[&[0, 6, 5, 0], &[0; 12]]);
    // 24 bytes stand before the sheet's place, 15 and 4 from there to the sheet.
    let sheet = u32::try_from(stream.len() + 15 + 4).expect("short");
    record(
        &mut stream,
        0x0085,
        &[&sheet.to_le_bytes(), &[0, 0, 3, 0], b"Lot"],
    );
    record(&mut stream, END, &[]);
    assert_eq!(stream.len(), sheet as usize);
    record(&mut stream, BEGIN, &[&[0, 6, 16, 0], &[0; 12]]);
    for (at, row) in (0_u16..).zip(rows) {
        for (column, cell) in (0_u16..).zip(row).filter(|(_, cell)| !cell.is_empty()) {
            let place = [at.to_le_bytes(), column.to_le_bytes(), [0, 0]].concat();
            if is_number(cell) {
                let number = cell.parse::<f64>().expect("a number").to_le_bytes();
                record(&mut stream, 0x0203, &[&place, &number]);
            } else {
                let units: Vec<u8> = cell.encode_utf16().flat_map(u16::to_le_bytes).collect();
                let length = u16::try_from(units.len() / 2).expect("short").to_le_bytes();
                record(&mut stream, 0x0204, &[&place, &length, &[1], &units]);
            }
        }
    }
    record(&mut stream, END, &[]);
    let mut file = cfb::CompoundFile::create(std::io::Cursor::new(Vec::new())).expect("a file");
    file.create_stream("/Workbook")
        .expect("a stream")
        .write_all(&stream)
        .expect("its bytes");
    file.into_inner().into_inner()
}

/// A binary workbook; every other row's cells after the first in the short
/// form. [MS-XLSB], sections 2.4.820 (BrtRowHdr), 2.4.311 (BrtBundleSh) and
/// the cells of 2.3.
fn as_xlsb(rows: &[Vec<String>]) -> Vec<u8> {
    fn record(part: &mut Vec<u8>, kind: u16, body: &[u8]) {
        let low = u8::try_from(kind & 0x7f).expect("seven bits");
        if kind < 128 {
            part.push(low);
        } else {
            part.extend([low | 0x80, u8::try_from(kind >> 7).expect("seven bits")]);
        }
        let length = body.len();
        if length < 128 {
            part.push(u8::try_from(length).expect("seven bits"));
        } else {
            let low = u8::try_from(length & 0x7f).expect("seven bits");
            part.extend([low | 0x80, u8::try_from(length >> 7).expect("short")]);
        }
        part.extend(body);
    }
    fn wide(text: &str) -> Vec<u8> {
        let units: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
        let length = u32::try_from(units.len() / 2).expect("short");
        [length.to_le_bytes().to_vec(), units].concat()
    }
    let mut sheet = Vec::new();
    record(&mut sheet, 129, &[]);
    let last = u32::try_from(rows.len() - 1).expect("few").to_le_bytes();
    record(
        &mut sheet,
        148,
        &[[0; 4], last, [0; 4], [9, 0, 0, 0]].concat(),
    );
    record(&mut sheet, 145, &[]);
    for (at, row) in (0_u32..).zip(rows) {
        record(
            &mut sheet,
            0,
            &[at.to_le_bytes().to_vec(), vec![0; 13]].concat(),
        );
        let mut short = false;
        for (column, cell) in (0_u32..).zip(row) {
            let (kind, value) = match cell.as_str() {
                "" => (1, Vec::new()),
                cell if is_number(cell) => (
                    5,
                    cell.parse::<f64>()
                        .expect("a number")
                        .to_le_bytes()
                        .to_vec(),
                ),
                cell => (6, wide(cell)),
            };
            if short {
                record(&mut sheet, kind + 11, &[vec![0; 4], value].concat());
            } else {
                let place = column.to_le_bytes().to_vec();
                record(&mut sheet, kind, &[place, vec![0; 4], value].concat());
            }
            short = at % 2 == 1;
        }
    }
    record(&mut sheet, 146, &[]);
    record(&mut sheet, 130, &[]);
    let mut book = Vec::new();
    record(&mut book, 131, &[]);
    record(&mut book, 143, &[]);
    let bundle = [vec![0, 0, 0, 0, 1, 0, 0, 0], wide("rId1"), wide("Lot")].concat();
    record(&mut book, 156, &bundle);
    record(&mut book, 144, &[]);
    record(&mut book, 132, &[]);
    let mut writer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let options =
        zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for (name, bytes) in [
        ("xl/workbook.bin", book.as_slice()),
        (
            "xl/_rels/workbook.bin.rels",
            br#"<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.bin"/></Relationships>"#,
        ),
        ("xl/worksheets/sheet1.bin", sheet.as_slice()),
    ] {
        writer.start_file(name, options).expect("a member");
        writer.write_all(bytes).expect("its bytes");
    }
    writer.finish().expect("an archive").into_inner()
}

/// An error: its row, its column, its message.
type Fault = (u32, Option<u32>, String);

/// What the tool makes of the sheet: cents per car, or the places of its errors.
fn priced(name: &str, bytes: Vec<u8>) -> Result<BTreeMap<String, u64>, Vec<Fault>> {
    let mut folder = InMemory::default();
    folder.add("storm.toml", STORM.as_bytes());
    folder.add("rates/card.toml", CARD.as_bytes());
    folder.add("vehicles.csv", LIST.as_bytes());
    folder.add(&format!("counts/{name}"), bytes);
    let intake = read_storm(&folder, None);
    let errors: Vec<Fault> = intake
        .problems
        .sorted()
        .into_iter()
        .filter(|problem| problem.severity == Severity::Error)
        .map(|problem| {
            let place = &problem.place;
            (
                place.row.unwrap_or(0),
                place.column_index,
                problem.to_string(),
            )
        })
        .collect();
    if !errors.is_empty() {
        return Err(errors);
    }
    let (storm, rates) = intake.storm.expect("a storm without an error");
    let priced = price_storm(&storm, &rates);
    Ok(storm
        .cars
        .iter()
        .zip(&priced.cars)
        .filter(|(_, priced)| priced.is_counted())
        .map(|(car, priced)| {
            let units = priced.total().known.minor_units(storm.currency);
            (
                car.vehicle.stock.clone(),
                u64::try_from(units).expect("not below 0"),
            )
        })
        .collect())
}

/// Cars that the model prices at nothing may be uncounted in the tool.
fn same(found: &BTreeMap<String, u64>, expected: &BTreeMap<String, u64>) -> bool {
    ["A1", "B2", "C3", "D4"].iter().all(|stock| {
        found.get(*stock).copied().unwrap_or(0) == expected.get(*stock).copied().unwrap_or(0)
    })
}

#[test]
fn every_single_cell_change_is_an_error_at_that_cell_or_the_models_price() {
    let mut draw = Draw(7_503);
    let (mut errors, mut prices, mut changed) = (0, 0, 0);
    let mut seen = HashSet::new();
    let layouts = [Layout::Panels, Layout::Dents, Layout::Cars];
    for round in 0..10_000 {
        let layout = layouts[round % 3];
        let mut rows = sheet(layout);
        let before = model(layout, &rows);
        let row = 1 + draw.below(rows.len() - 1);
        let column = draw.below(rows[0].len());
        rows[row][column] = new_value(layout, column, &mut draw);
        // Of a short list of wrong words each is drawn more than once.
        if !seen.insert((round / 3 % 5, rows.clone())) {
            continue;
        }
        let (name, bytes) = match (round / 3) % 5 {
            0 => ("lot.csv", as_csv(&rows)),
            1 => ("lot.xlsx", as_xlsx(&rows)),
            2 => ("lot.xlsb", as_xlsb(&rows)),
            3 => ("lot.xls", as_xls(&rows)),
            _ => ("lot.ods", as_ods(&rows)),
        };
        let context = || {
            format!(
                "{layout:?} {name} row {} column {column}: `{}`",
                row + 1,
                rows[row][column]
            )
        };
        match (priced(name, bytes), model(layout, &rows)) {
            (Ok(found), Some(expected)) => {
                assert!(
                    same(&found, &expected),
                    "{}: {found:?} {expected:?}",
                    context()
                );
                prices += 1;
                changed += usize::from(before.as_ref() != Some(&expected));
            }
            (Err(places), None) => {
                let named = places.iter().all(|(at, index, _)| {
                    *at as usize == row + 1 && index.is_none_or(|index| index as usize == column)
                });
                // Two rows that clash are named at the later one, and the
                // message says which earlier one, so both are found.
                let earlier = format!("first at row {} ", row + 1);
                let clash = places.iter().all(|(_, _, said)| {
                    said.contains("one metal a panel") || said.contains(&earlier)
                });
                assert!(named || clash, "{}: {places:?}", context());
                errors += 1;
            }
            (found, expected) => panic!("{}: {found:?} for {expected:?}", context()),
        }
    }
    assert!(seen.len() > 4_500, "{} changes", seen.len());
    assert!(
        errors > 1_000 && changed > 1_000,
        "{errors} errors, {prices} prices, {changed} changed"
    );
}
