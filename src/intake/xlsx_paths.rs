//! Which member of an Office Open XML workbook holds which sheet.

use super::guard::Unpacked;
use quick_xml::Reader;
use quick_xml::events::Event;
use std::collections::BTreeMap;

/// The member path of every sheet by its name.
#[must_use]
pub fn sheet_paths(unpacked: &Unpacked) -> BTreeMap<String, String> {
    let targets = relations(unpacked, "xl/_rels/workbook.xml.rels");
    let sheets = unpacked
        .member("xl/workbook.xml")
        .map(|xml| attribute_pairs(xml, "sheet", "name", "r:id"))
        .unwrap_or_default();
    sheets
        .into_iter()
        .filter_map(|(name, id)| Some((name, targets.get(&id)?.clone())))
        .collect()
}

/// The member that each relation of the workbook part points to.
#[must_use]
pub fn relations(unpacked: &Unpacked, member: &str) -> BTreeMap<String, String> {
    unpacked
        .member(member)
        .map(|xml| attribute_pairs(xml, "Relationship", "Id", "Target"))
        .unwrap_or_default()
        .into_iter()
        .map(|(id, target)| {
            let path = match target.strip_prefix('/') {
                Some(absolute) => absolute.to_owned(),
                None => format!("xl/{target}"),
            };
            (id, path)
        })
        .collect()
}

fn attribute_pairs(xml: &[u8], element: &str, first: &str, second: &str) -> Vec<(String, String)> {
    let mut reader = Reader::from_reader(xml);
    let (mut buffer, mut pairs) = (Vec::new(), Vec::new());
    loop {
        match reader.read_event_into(&mut buffer) {
            Ok(Event::Start(found) | Event::Empty(found))
                if found.local_name().as_ref() == element =>
            {
                let value = |name: &str| {
                    found
                        .attributes()
                        .flatten()
                        .find(|attribute| attribute.key.as_ref() == name)
                        .and_then(|attribute| {
                            quick_xml::escape::unescape(&attribute.value)
                                .ok()
                                .map(|text| text.into_owned())
                        })
                };
                if let (Some(first), Some(second)) = (value(first), value(second)) {
                    pairs.push((first, second));
                }
            }
            Ok(Event::Eof) | Err(_) => return pairs,
            Ok(_) => {}
        }
        buffer.clear();
    }
}
