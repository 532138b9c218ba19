//! Names of files made from stocks: a stock is text and never a path.

use crate::report::file_name::is_reserved;
use crate::storm::Car;
use std::collections::BTreeMap;

/// The longest name before its ending.
const LONGEST: usize = 120;

/// The file name of every car's sheet, without an ending.
#[derive(Debug, Default)]
pub struct CarFiles {
    names: Vec<String>,
}

/// How a page reaches the cars' sheets; none of them where there are none.
#[derive(Debug, Clone, Copy)]
pub struct Links<'a> {
    /// The names.
    pub files: &'a CarFiles,
    /// The path from the page to their folder, with its `/`.
    pub folder: &'a str,
}

impl Links<'_> {
    /// The path to a car's sheet.
    #[must_use]
    pub fn to(&self, car: usize) -> String {
        format!("{}{}.html", self.folder, self.files.names[car])
    }
}

impl CarFiles {
    /// Names for all cars of a storm.
    #[must_use]
    pub fn of(cars: &[Car]) -> CarFiles {
        let mut used: BTreeMap<String, usize> = BTreeMap::new();
        let names = cars
            .iter()
            .map(|car| {
                let name = file_stem(&car.vehicle.stock);
                // Only names that were cut can meet.
                let times = used.entry(name.clone()).or_default();
                *times += 1;
                match times {
                    1 => name,
                    times => format!("{name}~~{times}"),
                }
            })
            .collect();
        CarFiles { names }
    }

    /// The name of a car, without an ending.
    #[must_use]
    pub fn name(&self, car: usize) -> &str {
        &self.names[car]
    }
}

/// A stock as a name that is valid on any system and distinct from that of any
/// other stock, also where case does not count: small letters, digits and `-`
/// stand for themselves, a capital is `_` and its small letter, any other byte
/// `~` and two hexadecimal digits. A device's name gets a `~` of its own.
fn file_stem(stock: &str) -> String {
    let mut name = String::new();
    for byte in stock.bytes() {
        match byte {
            b'a'..=b'z' | b'0'..=b'9' | b'-' => name.push(char::from(byte)),
            b'A'..=b'Z' => {
                name.push('_');
                name.push(char::from(byte.to_ascii_lowercase()));
            }
            byte => name.push_str(&format!("~{byte:02x}")),
        }
        if name.len() > LONGEST {
            name.push_str("~~");
            break;
        }
    }
    if name.is_empty() || is_reserved(&name) {
        name.insert(0, '~');
    }
    name
}

#[cfg(test)]
mod tests {
    use super::file_stem;

    #[test]
    fn stocks_that_systems_would_mix_up_stay_apart() {
        let stocks = [
            "a-12", "A-12", "CON", "con", "con.", "x.", "x", "../x", "..\\x", "a b", "a/b", "",
            "~", "~con", "_a", "A", "ä", "NUL.txt", "com1",
        ];
        let mut names: Vec<String> = stocks.iter().map(|stock| file_stem(stock)).collect();
        for name in &names {
            assert!(!name.is_empty() && !name.ends_with('.') && !name.contains(['/', '\\', ' ']));
            assert_eq!(*name, name.to_lowercase());
            assert!(!crate::report::file_name::is_reserved(name), "{name}");
        }
        names.sort();
        names.dedup();
        assert_eq!(names.len(), stocks.len());
        assert_eq!(file_stem("A-12"), "_a-12");
        assert_eq!(file_stem("../x"), "~2e~2e~2fx");
        assert_eq!(file_stem("con"), "~con");
    }
}
