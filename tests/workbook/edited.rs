//! A workbook's file, edited as a person or a careless program would.

use super::made::address;
use std::collections::BTreeMap;
use std::io::{Cursor, Read, Write};
use zip::write::SimpleFileOptions;

/// What planted values say: no sum of any storm.
pub const PLANTED: &str = "77777.77";

/// The file with each sheet's XML changed; sheets count from 1.
fn with_sheets(bytes: &[u8], change: impl Fn(usize, &str) -> String) -> Vec<u8> {
    let mut from = zip::ZipArchive::new(Cursor::new(bytes)).expect("a zip");
    let mut to = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for index in 0..from.len() {
        let mut member = from.by_index(index).expect("a member");
        let name = member.name().expect("a name").to_string();
        let mut content = Vec::new();
        member.read_to_end(&mut content).expect("bytes");
        let sheet = name
            .strip_prefix("xl/worksheets/sheet")
            .and_then(|rest| rest.strip_suffix(".xml"))
            .and_then(|number| number.parse().ok());
        if let Some(sheet) = sheet {
            let text = String::from_utf8(content).expect("UTF-8");
            content = change(sheet, &text).into_bytes();
        }
        to.start_file(name, SimpleFileOptions::default())
            .expect("a member");
        to.write_all(&content).expect("written");
    }
    to.finish().expect("a zip").into_inner()
}

/// The file with a wrong stored value in every cell that has a formula.
pub fn with_wrong_values(bytes: &[u8]) -> Vec<u8> {
    with_sheets(bytes, |_, xml| {
        let mut parts = xml.split("<c ");
        let mut text = parts.next().unwrap_or_default().to_owned();
        for part in parts {
            text.push_str("<c ");
            match (part.split_once("<v>"), part.split_once("</v>")) {
                (Some((before, _)), Some((_, after))) if before.contains("<f>") => {
                    let before = before.replacen(" t=\"str\"", "", 1);
                    text.push_str(&format!("{before}<v>{PLANTED}</v>{after}"));
                }
                _ => text.push_str(part),
            }
        }
        text
    })
}

/// The file with other amounts on `Lines`, by row from 0; none: cleared.
pub fn with_amounts(bytes: &[u8], amounts: &BTreeMap<u32, Option<String>>) -> Vec<u8> {
    with_sheets(bytes, |sheet, xml| {
        if sheet != 3 {
            return xml.to_owned();
        }
        let mut parts = xml.split("<row ");
        let mut text = parts.next().unwrap_or_default().to_owned();
        for (row, part) in (0..).zip(parts) {
            text.push_str("<row ");
            let Some(amount) = amounts.get(&row) else {
                text.push_str(part);
                continue;
            };
            let (old, next) = (
                format!("<c r=\"{}\"", address(row, 5)),
                format!("<c r=\"{}\"", address(row, 6)),
            );
            let (before, after) = part.split_once(&next).expect("a basis");
            let before = before.split_once(&old).map_or(before, |(before, _)| before);
            text.push_str(before);
            if let Some(amount) = amount {
                text.push_str(&format!("{old}><v>{amount}</v></c>"));
            }
            text.push_str(&next);
            text.push_str(after);
        }
        text
    })
}
