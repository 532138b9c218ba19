//! Bounds on a packed file before any parser sees it, and what the parser
//! does not tell: hidden rows, and an OpenDocument sheet's repeats and merges.
//!
//! Parsers believe a file: a few kilobytes that claim a million columns make
//! them allocate until the process aborts. So every member is first inflated
//! into a counter, and repeats are multiplied out on paper.

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use std::collections::BTreeMap;
use std::io::{Cursor, Read};

/// Bytes of a workbook as it lies on disk.
pub const MAX_PACKED: u64 = 16 << 20;
/// Bytes of all its members unpacked.
pub const MAX_UNPACKED: u64 = 128 << 20;
/// Members of one archive.
const MAX_MEMBERS: usize = 4_096;
/// Cells of one workbook.
pub const MAX_CELLS: usize = 2_000_000;

/// The members of a packed workbook that hold sheets, unpacked and counted.
pub struct Unpacked {
    members: BTreeMap<String, Vec<u8>>,
}

/// Inflates every member into a counter and keeps those that are asked for.
///
/// # Errors
/// What was found and what was expected, when a bound is passed or the
/// archive is broken.
pub fn unpack(bytes: &[u8], keep: &dyn Fn(&str) -> bool) -> Result<Unpacked, (String, String)> {
    let broken = |error: &dyn std::fmt::Display| {
        (
            format!("a broken archive ({error})"),
            "a workbook that a spreadsheet program can open".to_owned(),
        )
    };
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).map_err(|error| broken(&error))?;
    if archive.len() > MAX_MEMBERS {
        return Err((
            format!("{} members in the archive", archive.len()),
            format!("at most {MAX_MEMBERS}"),
        ));
    }
    let mut left = MAX_UNPACKED;
    let mut members = BTreeMap::new();
    let mut scratch = vec![0_u8; 64 << 10];
    for index in 0..archive.len() {
        let mut member = archive.by_index(index).map_err(|error| broken(&error))?;
        let name = member.name().map_err(|error| broken(&error))?.into_owned();
        let mut kept = keep(&name).then(Vec::new);
        loop {
            let read = member.read(&mut scratch).map_err(|error| broken(&error))?;
            if read == 0 {
                break;
            }
            left = left.checked_sub(read as u64).ok_or_else(|| {
                (
                    format!("more than {} MiB unpacked", MAX_UNPACKED >> 20),
                    format!("at most {} MiB unpacked", MAX_UNPACKED >> 20),
                )
            })?;
            if let Some(kept) = &mut kept {
                kept.extend_from_slice(&scratch[..read]);
            }
        }
        if let Some(kept) = kept {
            members.insert(name, kept);
        }
    }
    Ok(Unpacked { members })
}

impl Unpacked {
    /// For every sheet member of an Office Open XML workbook: how many rows are hidden.
    #[must_use]
    pub fn hidden_rows(&self) -> BTreeMap<String, usize> {
        self.members
            .iter()
            .map(|(name, xml)| (name.clone(), count_hidden_rows(xml)))
            .collect()
    }

    /// A member's text.
    #[must_use]
    pub fn member(&self, name: &str) -> Option<&[u8]> {
        self.members.get(name).map(Vec::as_slice)
    }
}

fn attribute(element: &BytesStart<'_>, name: &str) -> Option<String> {
    element
        .attributes()
        .flatten()
        .find(|attribute| attribute.key.as_ref() == name)
        .map(|attribute| attribute.value.to_string())
}

fn count_hidden_rows(xml: &[u8]) -> usize {
    let mut reader = Reader::from_reader(xml);
    let (mut buffer, mut hidden) = (Vec::new(), 0);
    loop {
        match reader.read_event_into(&mut buffer) {
            Ok(Event::Start(element) | Event::Empty(element))
                if element.local_name().as_ref() == "row" =>
            {
                let mark = attribute(&element, "hidden");
                hidden += usize::from(matches!(mark.as_deref(), Some("1" | "true")));
            }
            Ok(Event::Eof) | Err(_) => return hidden,
            Ok(_) => {}
        }
        buffer.clear();
    }
}

/// What a scan of an OpenDocument sheet tells.
#[derive(Debug, Default, Clone)]
pub struct OdsSheet {
    /// Its name.
    pub name: String,
    /// Rows that are hidden or filtered away.
    pub hidden_rows: usize,
    /// Merged ranges as (first row, first column, last row, last column), from 0.
    pub merges: Vec<(u32, u32, u32, u32)>,
}

/// Multiplies out the repeats of every sheet of an OpenDocument spreadsheet.
///
/// # Errors
/// When the cells that a parser would make pass [`MAX_CELLS`].
pub fn scan_ods(content: &[u8]) -> Result<Vec<OdsSheet>, (String, String)> {
    let mut reader = Reader::from_reader(content);
    let mut buffer = Vec::new();
    let mut sheets: Vec<OdsSheet> = Vec::new();
    // Of the sheet: rows so far, widest used column, rows up to the last used
    // one; of the row: columns so far, its repeats, its last used column.
    let (mut rows, mut width, mut used_rows) = (0_u64, 0_u64, 0_u64);
    let (mut columns, mut repeats, mut used_columns) = (0_u64, 1_u64, 0_u64);
    let (mut pushed, mut total, mut is_in_sheet) = (0_u64, 0_u64, false);
    loop {
        let event = reader.read_event_into(&mut buffer);
        let (element, empty) = match &event {
            Ok(Event::Start(element)) => (element, false),
            Ok(Event::Empty(element)) => (element, true),
            Ok(Event::End(element)) => {
                if element.name().as_ref() == "table:table-row" {
                    if used_columns > 0 {
                        width = width.max(used_columns);
                        used_rows = rows.saturating_add(repeats);
                        pushed = pushed.saturating_add(used_columns);
                    }
                    rows = rows.saturating_add(repeats);
                } else if element.name().as_ref() == "table:table" {
                    is_in_sheet = false;
                    total = total.saturating_add(pushed.max(width.saturating_mul(used_rows)));
                }
                if pushed.max(total) > MAX_CELLS as u64
                    || width.saturating_mul(used_rows) > MAX_CELLS as u64
                {
                    return Err((
                        format!("{used_rows} rows of {width} cells once repeats are written out"),
                        "at most 2,000,000 cells".to_owned(),
                    ));
                }
                buffer.clear();
                continue;
            }
            Ok(Event::Eof) => return Ok(sheets),
            Err(error) => {
                return Err((
                    format!("broken XML ({error})"),
                    "a workbook that a spreadsheet program can open".to_owned(),
                ));
            }
            Ok(_) => {
                buffer.clear();
                continue;
            }
        };
        let number = |name: &str| {
            attribute(element, name)
                .and_then(|text| text.parse::<u64>().ok())
                .unwrap_or(1)
        };
        // By the same names as the parser, which passes over all others.
        match element.name().as_ref() {
            "table:table" if is_in_sheet => {
                return Err((
                    "a table within a table".to_owned(),
                    "sheets of cells".to_owned(),
                ));
            }
            "table:table" => {
                is_in_sheet = !empty;
                (rows, width, used_rows, pushed) = (0, 0, 0, 0);
                sheets.push(OdsSheet {
                    name: attribute(element, "table:name").unwrap_or_default(),
                    ..OdsSheet::default()
                });
            }
            "table:table-row" => {
                (columns, used_columns) = (0, 0);
                repeats = number("table:number-rows-repeated");
                let shown = attribute(element, "table:visibility");
                if matches!(shown.as_deref(), Some("collapse" | "filter"))
                    && let Some(sheet) = sheets.last_mut()
                {
                    // A hidden tail of empty rows is no count that anybody hid.
                    sheet.hidden_rows += usize::try_from(repeats.min(10_000)).unwrap_or(0);
                }
                if empty {
                    rows = rows.saturating_add(repeats);
                }
            }
            "table:table-cell" | "table:covered-table-cell" => {
                let across = number("table:number-columns-repeated");
                let (down, over) = (
                    number("table:number-rows-spanned"),
                    number("table:number-columns-spanned"),
                );
                if (down > 1 || over > 1)
                    && let Some(sheet) = sheets.last_mut()
                {
                    let at = |value: u64| u32::try_from(value).unwrap_or(u32::MAX);
                    sheet.merges.push((
                        at(rows),
                        at(columns),
                        // A cell that spans no row stands in one all the same.
                        at(rows.saturating_add(down.saturating_sub(1))),
                        at(columns.saturating_add(over.saturating_sub(1))),
                    ));
                }
                columns = columns.saturating_add(across);
                let speaks = attribute(element, "office:value-type").is_some()
                    || attribute(element, "table:formula").is_some()
                    || attribute(element, "office:value").is_some()
                    || attribute(element, "office:string-value").is_some();
                if speaks {
                    used_columns = columns;
                }
            }
            _ => {}
        }
        buffer.clear();
    }
}
