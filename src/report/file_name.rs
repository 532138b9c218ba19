//! Folder names from names that people chose.

/// Device names that some systems keep, with or without an ending.
pub fn is_reserved(name: &str) -> bool {
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
