//! A count workbook. The first byte says what the rest is: the sheet of an
//! .xlsx or .xlsb, the content of an .ods, a whole .xls, or a whole archive.
#![no_main]

use hailyard_fuzz::{archive, try_storm};
use libfuzzer_sys::fuzz_target;

const TYPES: &str = r#"<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="xml" ContentType="application/xml"/></Types>"#;
const TOP: &str = r#"<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#;
const BOOK: &str = r#"<?xml version="1.0"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="Lot" sheetId="1" r:id="rId1"/></sheets></workbook>"#;
const SHEET: &str = r#"<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>"#;

fuzz_target!(|bytes: &[u8]| {
    let Some((which, rest)) = bytes.split_first() else {
        return;
    };
    match which {
        b'x' => {
            let book = archive(&[
                ("[Content_Types].xml", TYPES.as_bytes()),
                ("_rels/.rels", TOP.as_bytes()),
                ("xl/workbook.xml", BOOK.as_bytes()),
                ("xl/_rels/workbook.xml.rels", SHEET.as_bytes()),
                ("xl/worksheets/sheet1.xml", rest),
            ]);
            try_storm(&[("counts/a.xlsx", &book)]);
        }
        b'b' => {
            let sheet = SHEET.replace("sheet1.xml", "sheet1.bin");
            let book = archive(&[
                ("[Content_Types].xml", TYPES.as_bytes()),
                ("xl/workbook.bin", &book_records()),
                ("xl/_rels/workbook.bin.rels", sheet.as_bytes()),
                ("xl/worksheets/sheet1.bin", rest),
            ]);
            try_storm(&[("counts/a.xlsb", &book)]);
        }
        b'o' => {
            let book = archive(&[
                (
                    "mimetype",
                    b"application/vnd.oasis.opendocument.spreadsheet",
                ),
                ("content.xml", rest),
            ]);
            try_storm(&[("counts/a.ods", &book)]);
        }
        b'l' => try_storm(&[("counts/a.xls", rest)]),
        b'O' => try_storm(&[("counts/a.ods", rest)]),
        b'B' => try_storm(&[("counts/a.xlsb", rest)]),
        _ => try_storm(&[("counts/a.xlsx", rest)]),
    }
});

/// The workbook part of an .xlsb with one sheet: begin, begin sheets, the
/// sheet, end sheets, end. [MS-XLSB] 2.1.7.61.
fn book_records() -> Vec<u8> {
    let wide = |text: &str| -> Vec<u8> {
        let mut bytes = u32::try_from(text.len())
            .expect("short")
            .to_le_bytes()
            .to_vec();
        bytes.extend(text.encode_utf16().flat_map(u16::to_le_bytes));
        bytes
    };
    let mut sheet = vec![0; 4];
    sheet.extend(1_u32.to_le_bytes());
    sheet.extend(wide("rId1"));
    sheet.extend(wide("Lot"));
    let mut bytes = vec![0x83, 0x01, 0, 0x8f, 0x01, 0, 0x9c, 0x01];
    bytes.push(u8::try_from(sheet.len()).expect("short"));
    bytes.extend(sheet);
    bytes.extend([0x90, 0x01, 0, 0x84, 0x01, 0]);
    bytes
}
