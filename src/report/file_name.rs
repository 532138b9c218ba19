//! File names from names that people chose. A stock is text and never a path.

use std::fmt::Write;

/// A name as a file name that is valid and distinct on any system: lower-case
/// letters, digits, `-` and inner `_` stay, every other byte becomes `%2E`.
/// Upper-case letters are escaped too, since some systems do not tell them
/// apart, and so is the first letter of a name that some systems reserve.
#[must_use]
pub fn escaped(name: &str) -> String {
    let reserved = is_reserved(name);
    let mut file = String::with_capacity(name.len());
    for (index, byte) in name.bytes().enumerate() {
        let stays =
            byte.is_ascii_lowercase() || byte.is_ascii_digit() || matches!(byte, b'-' | b'_');
        if stays && !(index == 0 && reserved) {
            file.push(char::from(byte));
        } else {
            let _ = write!(file, "%{byte:02X}");
        }
    }
    if file.is_empty() {
        file.push('%');
    }
    // Names longer than systems allow are cut and told apart by a sum of all of it.
    if file.len() > 200 {
        let sum = name.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |sum, byte| {
            (sum ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        });
        file.truncate(180);
        let _ = write!(file, "~{sum:016x}");
    }
    file
}

/// Device names that some systems keep, with or without an ending.
fn is_reserved(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or("").to_ascii_lowercase();
    let numbered = |prefix: &str| {
        stem.strip_prefix(prefix)
            .is_some_and(|rest| rest.len() == 1 && rest.bytes().all(|b| b.is_ascii_digit()))
    };
    ["con", "prn", "aux", "nul"].contains(&stem.as_str()) || numbered("com") || numbered("lpt")
}

/// A storm's name as the name of its report folder: lower-case letters,
/// digits and `-`.
#[must_use]
pub fn folder_name(name: &str) -> String {
    let mut folder = String::new();
    for c in name.chars().flat_map(char::to_lowercase) {
        if c.is_ascii_lowercase() || c.is_ascii_digit() {
            folder.push(c);
        } else if !folder.ends_with('-') && !folder.is_empty() {
            folder.push('-');
        }
    }
    let folder = folder.trim_end_matches('-');
    match folder {
        "" => "storm".to_owned(),
        folder if is_reserved(folder) => format!("storm-{folder}"),
        folder => folder.chars().take(100).collect(),
    }
}
