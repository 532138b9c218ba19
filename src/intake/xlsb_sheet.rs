//! What the reader of `.xlsb` leaves out: a cell in its short form, which has
//! no column of its own, and one of rich text would vanish; hidden rows and
//! merged ranges are not told. So each sheet is walked first, and such cells
//! are written out in the long form.
//!
//! Record numbers and layouts: Microsoft, [MS-XLSB], sections 2.3 and 2.4; the
//! short forms as other programs write them.

use super::guard::{MAX_CELLS, Unpacked};
use super::xlsx_paths::relations;
use std::collections::BTreeMap;
use std::io::{Cursor, Read, Write};

const ROW: u16 = 0;
/// The last of the cell records in the long form; the first is 1.
const LAST_LONG: u16 = 11;
/// The short forms: blank, RK, error, truth, number, text, shared text.
const SHORT: std::ops::RangeInclusive<u16> = 12..=18;
const RICH_TEXT: u16 = 62;
const TEXT: u16 = 6;
const BUNDLE_SHEET: u16 = 156;
const MERGE: u16 = 176;
/// Of the 12th byte of a row: its height is 0.
const ROW_HIDDEN: u8 = 0x10;

/// What the walk of one sheet tells.
#[derive(Debug, Default)]
pub struct SheetWalk {
    /// How many rows are hidden.
    pub hidden_rows: usize,
    /// Merged ranges: first row, first column, last row, last column, from 0.
    pub merges: Vec<(u32, u32, u32, u32)>,
    /// The sheet with every cell in the long form, where any was not.
    rewritten: Option<Vec<u8>>,
}

/// A workbook whose sheets were walked.
pub struct Walked {
    /// The walk of every sheet by the sheet's name.
    pub sheets: BTreeMap<String, SheetWalk>,
    /// The workbook with all cells in the long form, where any was not.
    pub rewritten: Option<Vec<u8>>,
}

/// Walks the sheets of a workbook.
///
/// # Errors
/// What was found and what was expected, when the archive can't be read.
pub fn walk(bytes: &[u8], unpacked: &Unpacked) -> Result<Walked, (String, String)> {
    let mut by_path = BTreeMap::new();
    for (name, path) in sheet_paths(unpacked) {
        if let Some(part) = unpacked.member(&path) {
            by_path.insert(path, (name, walk_sheet(part)));
        }
    }
    let rewritten = by_path
        .values()
        .any(|(_, walk)| walk.rewritten.is_some())
        .then(|| rewrite(bytes, &by_path))
        .transpose()
        .map_err(|error| {
            (
                format!("a broken archive ({error})"),
                "a workbook that a spreadsheet program can open".to_owned(),
            )
        })?;
    Ok(Walked {
        sheets: by_path.into_values().collect(),
        rewritten,
    })
}

/// The archive anew, with the rewritten sheets in the place of their own.
fn rewrite(
    bytes: &[u8],
    by_path: &BTreeMap<String, (String, SheetWalk)>,
) -> Result<Vec<u8>, Box<dyn std::error::Error>> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes))?;
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let stored =
        zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for index in 0..archive.len() {
        let mut member = archive.by_index(index)?;
        let name = member.name()?.into_owned();
        let mut unpacked = Vec::new();
        match by_path
            .get(&name)
            .and_then(|(_, walk)| walk.rewritten.as_ref())
        {
            Some(sheet) => unpacked.clone_from(sheet),
            None => {
                member.read_to_end(&mut unpacked)?;
            }
        }
        writer.start_file(name, stored)?;
        writer.write_all(&unpacked)?;
    }
    Ok(writer.finish()?.into_inner())
}

/// The records of a part: kind, where it begins, its body.
struct Records<'a> {
    part: &'a [u8],
    at: usize,
}

impl<'a> Iterator for Records<'a> {
    type Item = (u16, usize, &'a [u8]);

    fn next(&mut self) -> Option<Self::Item> {
        let begin = self.at;
        let mut at = begin;
        // Seven bits a byte, the lowest first; a kind has at most two bytes, a
        // length four.
        let mut varying = |most: usize| -> Option<usize> {
            let mut value = 0;
            for place in 0..most {
                let byte = *self.part.get(at)?;
                at += 1;
                value |= usize::from(byte & 0x7f) << (7 * place);
                if byte & 0x80 == 0 {
                    break;
                }
            }
            Some(value)
        };
        let kind = u16::try_from(varying(2)?).ok()?;
        let length = varying(4)?;
        let body = self.part.get(at..at.checked_add(length)?)?;
        self.at = at + length;
        Some((kind, begin, body))
    }
}

fn walk_sheet(part: &[u8]) -> SheetWalk {
    let mut walk = SheetWalk::default();
    let mut written: Option<Vec<u8>> = None;
    let mut column = 0_u32;
    let mut records = Records { part, at: 0 };
    while let Some((kind, begin, body)) = records.next() {
        let long = match kind {
            ROW => {
                column = 0;
                let hidden = body.get(11).is_some_and(|flags| flags & ROW_HIDDEN != 0);
                walk.hidden_rows += usize::from(hidden);
                None
            }
            1..=LAST_LONG => {
                column = number(body, 0).unwrap_or(0).saturating_add(1);
                None
            }
            kind if SHORT.contains(&kind) => {
                let mut long = column.to_le_bytes().to_vec();
                long.extend_from_slice(body);
                column = column.saturating_add(1);
                Some((kind - SHORT.start() + 1, long))
            }
            RICH_TEXT => {
                column = number(body, 0).unwrap_or(0).saturating_add(1);
                // Column, style, one byte of flags, the text, its runs.
                body.get(..8).zip(body.get(9..)).map(|(head, text)| {
                    let mut long = head.to_vec();
                    long.extend_from_slice(text);
                    (TEXT, long)
                })
            }
            MERGE => {
                if let (Some(top), Some(bottom), Some(left), Some(right)) = (
                    number(body, 0),
                    number(body, 4),
                    number(body, 8),
                    number(body, 12),
                ) && walk.merges.len() < MAX_CELLS
                {
                    walk.merges.push((top, left, bottom, right));
                }
                None
            }
            _ => None,
        };
        match (long, &mut written) {
            (Some((kind, long)), _) => {
                let written = written.get_or_insert_with(|| part[..begin].to_vec());
                push_record(written, kind, &long);
            }
            (None, Some(written)) => written.extend_from_slice(&part[begin..records.at]),
            (None, None) => {}
        }
    }
    if let Some(written) = &mut written {
        written.extend_from_slice(&part[records.at..]);
    }
    walk.rewritten = written;
    walk
}

/// One record: its kind is below 128, its length four times seven bits.
fn push_record(part: &mut Vec<u8>, kind: u16, body: &[u8]) {
    part.push(kind.to_le_bytes()[0]);
    let mut length = body.len();
    loop {
        let low = (length & 0x7f).to_le_bytes()[0];
        length >>= 7;
        if length == 0 {
            part.push(low);
            break;
        }
        part.push(low | 0x80);
    }
    part.extend_from_slice(body);
}

/// The member path of every sheet by its name.
fn sheet_paths(unpacked: &Unpacked) -> Vec<(String, String)> {
    let targets = relations(unpacked, "xl/_rels/workbook.bin.rels");
    let part = unpacked.member("xl/workbook.bin").unwrap_or_default();
    Records { part, at: 0 }
        .filter(|(kind, _, _)| *kind == BUNDLE_SHEET)
        .filter_map(|(_, _, body)| {
            // State, id, then the relation and the name.
            let (relation, after) = wide(body, 8)?;
            let (name, _) = wide(body, after)?;
            Some((name, targets.get(&relation)?.clone()))
        })
        .collect()
}

/// A text of 16-bit units after their number, and where it ends.
fn wide(bytes: &[u8], at: usize) -> Option<(String, usize)> {
    let length = usize::try_from(number(bytes, at)?).ok()?;
    let end = length.checked_mul(2)?.checked_add(at + 4)?;
    let units: Vec<u16> = bytes
        .get(at + 4..end)?
        .chunks_exact(2)
        .map(|pair| u16::from_le_bytes([pair[0], pair[1]]))
        .collect();
    Some((String::from_utf16_lossy(&units), end))
}

fn number(bytes: &[u8], at: usize) -> Option<u32> {
    let four = bytes.get(at..at.checked_add(4)?)?;
    Some(u32::from_le_bytes([four[0], four[1], four[2], four[3]]))
}
