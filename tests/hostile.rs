//! Files that would make a parser abort, and files that are none of their kind.

use crate::builder::{Folder, SMALL_CARD, hailyard};
use hailyard::cli::Exit;
use std::io::Write;

/// A zip archive of text members.
fn archive(members: &[(&str, &str)]) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let options = zip::write::SimpleFileOptions::default();
    for (name, text) in members {
        writer.start_file(*name, options).expect("a member");
        writer.write_all(text.as_bytes()).expect("its text");
    }
    writer.finish().expect("an archive").into_inner()
}

fn storm_with(name: &str, bytes: &[u8]) -> Folder {
    Folder::new()
        .file(
            "storm.toml",
            "name = \"S\"\ncurrency = \"USD\"\n[[payer]]\nname = \"Harl Cover\"\nrate_card = \"rates/card.toml\"\n",
        )
        .file("rates/card.toml", SMALL_CARD)
        .file(&format!("counts/{name}"), bytes)
}

/// The run must end with status 1, name the file, and say this.
#[track_caller]
fn refused(name: &str, bytes: &[u8], said: &str) {
    let folder = storm_with(name, bytes);
    let ran = hailyard(&["price", &folder.arg()]);
    assert_eq!(ran.exit, Exit::Problems, "{}{}", ran.out, ran.err);
    assert!(ran.err.contains(&format!("counts/{name}")), "{}", ran.err);
    assert!(ran.err.contains(said), "{}", ran.err);
}

const XLSX_HEAD: [(&str, &str); 4] = [
    (
        "[Content_Types].xml",
        r#"<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/></Types>"#,
    ),
    (
        "_rels/.rels",
        r#"<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#,
    ),
    (
        "xl/workbook.xml",
        r#"<?xml version="1.0"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="Lot" sheetId="1" r:id="rId1"/></sheets></workbook>"#,
    ),
    (
        "xl/_rels/workbook.xml.rels",
        r#"<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>"#,
    ),
];

/// A workbook of one sheet with these rows.
fn xlsx(rows: &str) -> Vec<u8> {
    let sheet = format!(
        r#"<?xml version="1.0"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{rows}</sheetData></worksheet>"#
    );
    let mut members = XLSX_HEAD.to_vec();
    members.push(("xl/worksheets/sheet1.xml", &sheet));
    archive(&members)
}

fn text_cell(at: &str, text: &str) -> String {
    format!(r#"<c r="{at}" t="inlineStr"><is><t>{text}</t></is></c>"#)
}

/// Two far corners filled: a reader of whole ranges would allocate 17
/// thousand million cells. Here it is three cells.
#[test]
fn a_workbook_with_two_far_corners_is_just_a_few_cells() {
    let header = format!(
        "<row r=\"1\">{}{}{}</row>",
        text_cell("A1", "stock"),
        text_cell("B1", "panel"),
        text_cell("C1", "dime")
    );
    let far = format!("<row r=\"1048576\">{}</row>", text_cell("XFD1048576", "x"));
    refused("far.xlsx", &xlsx(&format!("{header}{far}")), "row 1048576");
}

/// A reference past every spreadsheet: room for a row of that width would be
/// more than the machine has. Found by fuzzing.
#[test]
fn a_cell_beyond_all_columns_is_refused() {
    for (at, said) in [
        ("ZZZZZ1", "row 1, column 12356630"),
        ("XFE1", "row 1, column 16385"),
        ("A1048577", "row 1048577, column 1"),
    ] {
        let header = format!(
            "<row r=\"1\">{}{}{}</row>",
            text_cell("A1", "stock"),
            text_cell("B1", "panel"),
            text_cell(at, "dime")
        );
        refused("wide.xlsx", &xlsx(&header), said);
    }
}

/// An OpenDocument spreadsheet of one sheet with these rows.
fn ods(rows: &str) -> Vec<u8> {
    let content = format!(
        r#"<?xml version="1.0"?><office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><office:body><office:spreadsheet><table:table table:name="Lot">{rows}</table:table></office:spreadsheet></office:body></office:document-content>"#
    );
    archive(&[
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("content.xml", &content),
        (
            "META-INF/manifest.xml",
            r#"<?xml version="1.0"?><manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>"#,
        ),
    ])
}

fn ods_row(cells: &[(&str, &str)]) -> String {
    let cells: String = cells
        .iter()
        .map(|(text, more)| {
            format!(
                r#"<table:table-cell office:value-type="string" {more}><text:p>{text}</text:p></table:table-cell>"#
            )
        })
        .collect();
    format!("<table:table-row>{cells}</table:table-row>")
}

/// A kilobyte of OpenDocument that claims a million rows of ten thousand cells.
#[test]
fn repeated_cells_of_an_ods_are_multiplied_out_on_paper_first() {
    let bytes = ods(
        r#"<table:table-row table:number-rows-repeated="1000000"><table:table-cell table:number-columns-repeated="10000" office:value-type="float" office:value="1"/></table:table-row>"#,
    );
    assert!(bytes.len() < 2_000);
    refused("bomb.ods", &bytes, "2,000,000 cells");
}

/// Names of another prefix say nothing to the parser, so they must not begin the
/// reckoning anew; and a sheet has no sheet within it.
#[test]
fn an_ods_is_reckoned_by_the_names_of_its_parser() {
    let part = |columns: u32| {
        format!(
            r#"<table:table-row table:number-rows-repeated="999"><table:table-cell table:number-columns-repeated="{columns}" office:value-type="float" office:value="1"/></table:table-row>"#
        )
    };
    // 999 x 2,000 and 999 x 10: each part is below the bound, the whole is above.
    let [wide, narrow] = [2_000, 10].map(part);
    for other in ["<x:table/>", "<x:table></x:table>", "<x:table-row/>"] {
        let bytes = ods(&format!("{wide}{other}{narrow}"));
        refused("parts.ods", &bytes, "2,000,000 cells");
    }
    let bytes = ods(&format!("{narrow}<table:table/>{narrow}"));
    refused("inner.ods", &bytes, "a table within a table");
}

/// What a cell spans is a figure of the file, and may be none or more than
/// there is: the cells are read all the same. Found by fuzzing.
#[test]
fn a_cell_that_spans_no_row_or_all_there_are_is_read() {
    let spans = |rows: &str, columns: &str| {
        format!(r#"table:number-rows-spanned="{rows}" table:number-columns-spanned="{columns}""#)
    };
    let counted = |title: &str, below: &str| {
        let head = [("stock", title), ("panel", ""), ("dime", "")];
        let row = [("A1", ""), ("hood", ""), ("3", "")];
        ods(&format!("{}{}{below}", ods_row(&head), ods_row(&row)))
    };
    // Nothing, all that 64 bits hold, and a cell that spans far after as many empty rows.
    for (title, below) in [
        (spans("0", "2"), String::new()),
        (spans("0", "0"), String::new()),
        (spans("1", "18446744073709551615"), String::new()),
        (
            String::new(),
            format!(
                r#"<table:table-row table:number-rows-repeated="4294967290"/><table:table-row><table:table-cell {}/></table:table-row>"#,
                spans("18446744073709551615", "3")
            ),
        ),
    ] {
        let folder = storm_with("spans.ods", &counted(&title, &below));
        let ran = hailyard(&["price", &folder.arg()]);
        assert_eq!(
            ran.exit,
            Exit::Done,
            "{title}{below}: {}{}",
            ran.out,
            ran.err
        );
        // Three dimes on a hood: 10.00 by the small card.
        let car = ran.out.lines().find(|line| line.contains("A1"));
        assert!(
            car.is_some_and(|line| line.contains("10.00")),
            "{}",
            ran.out
        );
    }
    // The stock's cell reaches down over all rows there are.
    let all = spans("4294967295", "1");
    let row = ods_row(&[("A1", &all), ("hood", ""), ("3", "")]);
    let head = ods_row(&[("stock", ""), ("panel", ""), ("dime", "")]);
    let below = ods_row(&[("", ""), ("roof", ""), ("3", "")]);
    refused(
        "tall.ods",
        &ods(&format!("{head}{row}{below}")),
        "`A2:A1048576 merged`",
    );
}

/// The same of an Office Open XML workbook, whose reader takes any row.
#[test]
fn a_merged_range_beyond_all_rows_is_cut_to_those_there_are() {
    let head = format!(
        "<row r=\"1\">{}{}{}</row>",
        text_cell("A1", "stock"),
        text_cell("B1", "panel"),
        text_cell("C1", "dime")
    );
    let row = format!(
        "<row r=\"2\">{}{}{}</row>",
        text_cell("A2", "A1"),
        text_cell("B2", "hood"),
        text_cell("C2", "3")
    );
    let sheet = format!(
        r#"<?xml version="1.0"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{head}{row}</sheetData><mergeCells count="2"><mergeCell ref="A2:A4294967295"/><mergeCell ref="B4294967290:C4294967295"/></mergeCells></worksheet>"#
    );
    let mut members = XLSX_HEAD.to_vec();
    members.push(("xl/worksheets/sheet1.xml", &sheet));
    refused("merged.xlsx", &archive(&members), "`A2:A1048576 merged`");
}

/// 200 MiB of one letter pack into 200 KiB.
#[test]
fn a_member_that_unpacks_past_the_bound_is_refused() {
    let mut members = XLSX_HEAD.to_vec();
    let long = "a".repeat(200 << 20);
    members.push(("xl/sharedStrings.xml", &long));
    let bytes = archive(&members);
    assert!(bytes.len() < 1 << 20);
    refused("long.xlsx", &bytes, "128 MiB");
}

#[test]
fn files_that_are_none_of_their_kind_are_problems_and_never_a_panic() {
    for ending in ["xlsx", "xlsm", "xlsb", "xls", "ods"] {
        let name = format!("bad.{ending}");
        refused(&name, b"stock,panel,dime\nA1,hood,3\n", "expected");
        refused(&name, b"PK\x03\x04 and no more", "expected");
        refused(&name, &[0xd0, 0xcf, 0x11, 0xe0, 1, 2, 3], "expected");
    }
    refused("empty.csv", b"", "an empty file");
    refused("zero.csv", b"stock,panel\0,dime\n", "no text");
    let book = xlsx(&format!("<row r=\"1\">{}</row>", text_cell("A1", "stock")));
    refused("book.csv", &book, "its own ending");
    refused("none.csv", b"a,b,c\n1,2,3\n", "no header");
    for cut in [10, 100, book.len() / 2, book.len() - 5] {
        refused("cut.xlsx", &book[..cut], "expected");
    }
}

#[test]
fn an_unclosed_quote_is_found_and_said() {
    let mut sheet = String::from("stock,panel,dime,note\nA1,hood,3,\"fell off\n");
    for row in 0..5_000 {
        sheet.push_str(&format!("A{row},roof,3,plain\n"));
    }
    refused("quote.csv", sheet.as_bytes(), "never closed");
}

#[test]
fn a_folder_under_the_name_of_a_sheet_is_an_error() {
    let folder = storm_with("lot.csv", b"stock,panel,dime\nA1,hood,3\n")
        .file("counts/x.csv/inner.csv", "stock,panel,dime\n");
    let ran = hailyard(&["price", &folder.arg()]);
    assert_eq!(ran.exit, Exit::Problems);
    assert!(
        ran.err.contains("counts/x.csv: found `a folder`"),
        "{}",
        ran.err
    );
}

/// Control and direction marks of a sheet reach the terminal as escapes.
#[test]
fn text_of_a_sheet_cannot_steer_the_terminal() {
    let folder = storm_with(
        "lot.csv",
        "stock,panel,dime\nA\u{1b}[31m1,hood,3\nB\u{202e}2,bonet\u{7},3\n".as_bytes(),
    );
    let ran = hailyard(&["check", &folder.arg()]);
    assert!(
        !ran.out.contains('\u{1b}') && !ran.out.contains('\u{202e}') && !ran.out.contains('\u{7}')
    );
    assert!(ran.out.contains("\\u{202e}"), "{}", ran.out);
}

/// Deep nesting and huge numbers in TOML are problems with a line.
#[test]
fn hostile_toml_is_a_problem_with_its_line() {
    let deep = format!("name = {}{}\n", "[".repeat(5_000), "]".repeat(5_000));
    for (text, said) in [
        (deep.as_str(), "storm.toml, line 1"),
        ("name = \"a\nb\"\n", "storm.toml, line 1"),
        ("name = \"S\"\nname = \"T\"\n", "storm.toml, line 2"),
        (
            "[[payer]]\nminimum = 99999999999999999999\n",
            "storm.toml, line 2",
        ),
        ("currency = \"XAU\"\n", "ISO 4217"),
    ] {
        let folder = Folder::new().file("storm.toml", text);
        let ran = hailyard(&["check", &folder.arg()]);
        assert_eq!(ran.exit, Exit::Problems, "{text:.40}");
        assert!(ran.out.contains(said), "{}", ran.out);
    }
}

/// An old workbook by hand: a compound file with one stream of records.
fn xls(sheet_records: &[(u16, Vec<u8>)]) -> Vec<u8> {
    let record = |kind: u16, data: &[u8]| {
        let mut bytes = kind.to_le_bytes().to_vec();
        bytes.extend(u16::try_from(data.len()).expect("short").to_le_bytes());
        bytes.extend(data);
        bytes
    };
    // BOF of the globals (BIFF8, 0x0005) and of a sheet (0x0010), EOF.
    let bof = |kind: u8| record(0x0809, &[0, 6, kind, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
    let eof = record(0x000a, &[]);
    let name = b"Lot";
    let globals_length = bof(5).len() + 4 + 8 + name.len() + eof.len();
    let mut bound = u32::try_from(globals_length)
        .expect("short")
        .to_le_bytes()
        .to_vec();
    bound.extend([0, 0, 3, 0]);
    bound.extend(name);
    let mut stream = bof(5);
    stream.extend(record(0x0085, &bound));
    stream.extend(&eof);
    assert_eq!(stream.len(), globals_length);
    stream.extend(bof(0x10));
    for (kind, data) in sheet_records {
        stream.extend(record(*kind, data));
    }
    stream.extend(&eof);
    let mut file = cfb::CompoundFile::create(std::io::Cursor::new(Vec::new())).expect("a file");
    file.create_stream("/Workbook")
        .expect("a stream")
        .write_all(&stream)
        .expect("written");
    file.into_inner().into_inner()
}

/// A number cell of an old workbook.
fn xls_number(row: u16, column: u16) -> (u16, Vec<u8>) {
    let mut data = row.to_le_bytes().to_vec();
    data.extend(column.to_le_bytes());
    data.extend([0, 0]);
    data.extend(1.0_f64.to_le_bytes());
    (0x0203, data)
}

/// Two far corners of an old workbook: its parser would allocate 16 million cells.
#[test]
fn an_old_workbook_with_two_far_corners_is_refused_before_its_parser_sees_it() {
    let far = xls(&[xls_number(0, 0), xls_number(65_535, 255)]);
    assert!(far.len() < 40_000);
    refused("far.xls", &far, "a rectangle of 16777216");
    // The same with near corners is just a sheet without a header.
    let near = xls(&[xls_number(0, 0), xls_number(9, 9)]);
    refused("near.xls", &near, "no header");
}
